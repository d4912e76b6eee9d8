/** The words in which an exposure in changing light is asked for and answered: data only. */
import type { ExposureAnswer, ExposureQuestion } from './answer.ts';
import type { LightCourse } from './light-course.ts';

/** Cloud that passes before the sun and away again. */
export interface PassingCloud {
  /** Share of the time in which it is there, 0…1. */
  readonly timeShare: number;
  /** How much darker it is then, > 0. */
  readonly stops: number;
}

export interface ChangingQuestion {
  /** Hole, film, filter as for any exposure; its light is not looked at, the course tells it. */
  readonly question: Omit<ExposureQuestion, 'light'>;
  readonly course: LightCourse;
  /** k = 1, what all readings have in common (the meter, the way of reading); left out: a careful reading. */
  readonly lightStandardUncertaintyStops?: number;
  /** Seconds since 1970-01-01T00:00Z. */
  readonly openAtS: number;
  /** No light is counted after this instant. */
  readonly untilS: number;
  readonly cloud?: PassingCloud;
  /** What a clock on the wall shows at an instant. */
  readonly clock: (instantS: number, withSeconds: boolean) => string;
}

/** A moment on the way. */
export interface AccumulatedLight {
  readonly instantS: number;
  readonly ev100Ev: number;
  readonly spanEv: readonly [number, number];
  /** Of the exposure, so far: 1 is right. */
  readonly doneShare: number;
}

export interface ChangingAnswer {
  /** `null`: this light will never be enough before `untilS`. */
  readonly closeAtS: number | null;
  readonly durationS: number | null;
  /** About 95 %; `null` at the late end: it may never be enough; at the early end: it surely is not. */
  readonly closeRangeS: readonly [number | null, number | null];
  /** What the second model says, in which film tires with time and not with the light. */
  readonly tiringByTimeCloseAtS: number | null;
  /** Had by `untilS`: 0 right, below 0 too little, above 0 too much. */
  readonly atEndStops: number;
  readonly atEndRangeStops: readonly [number, number];
  /** Opened no later than this it is still enough; `null` when it was not even some hours before. */
  readonly latestOpeningS: number | null;
  /** The answer if the light stayed as it is at opening. */
  readonly steady: ExposureAnswer;
  /** Time in which the light halves (or doubles) at opening, s; `null`: steady. */
  readonly halvingS: number | null;
  /** False: it falls or is steady. */
  readonly rising: boolean;
  /** All the light from opening to `untilS`, told as so long of the light at opening. */
  readonly presentLightLeftS: number;
  /** When more or less than right is reached; `null`: never. */
  readonly marks: readonly { readonly stops: number; readonly closeAtS: number | null }[];
  /** Of the exposure, the share given in light past the film's published figures. */
  readonly extrapolatedShare: number;
  /** From opening to a little past the closing, or to where hardly anything is added any more. */
  readonly points: readonly AccumulatedLight[];
  readonly courseWords: string;
  readonly untilS: number;
  /** The exposure is so short that clock times are told with their seconds. */
  readonly withSeconds: boolean;
  readonly sentence: string;
  readonly cautions: readonly string[];
}
