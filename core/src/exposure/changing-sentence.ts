/** The answer for a light that changes, in words: when to close, or that it will never be enough. */
import type { ChangingAnswer, ChangingQuestion } from './changing-answer.ts';
import { formatTime, roundedTimeS } from './duration.ts';

type Figures = Omit<ChangingAnswer, 'sentence' | 'cautions'>;

/** Below this a clock time is told with its seconds. */
export const SECONDS_BELOW_S = 600;
/** Exposures further off than this are told as "more than". */
export const FARTHEST_STOPS = 10;
/** Cautions about what hardly matters are left out. */
const WORTH_SHARE = 0.1;
const WORTH_STOPS = 0.3;

function stopsWords(stops: number): string {
  const size = Math.abs(stops);
  return `${size.toFixed(size >= 9.95 ? 0 : 1)} ${size < 1.05 ? 'stop' : 'stops'}`;
}

/** `−1.3 stops`, with a true minus; what lies off the scale says `more than`. */
export function signedStops(stops: number): string {
  return `${Math.abs(stops) >= FARTHEST_STOPS ? 'more than ' : ''}${stops < -0.05 ? '−' : stops > 0.05 ? '+' : ''}${stopsWords(stops)}`;
}

function closing(answer: Figures, asked: ChangingQuestion): string {
  const { closeAtS, durationS, withSeconds: fine } = answer;
  if (closeAtS === null || durationS === null) return '';
  const at = (instantS: number): string => asked.clock(instantS, fine);
  const [from, until] = answer.closeRangeS;
  const given = formatTime(roundedTimeS(durationS));
  const range = until === null
    ? `at the earliest ${at(from ?? closeAtS)}; it may also never be enough`
    : `anything from ${at(from ?? closeAtS)} to ${at(until)} will do`;
  return `Open at ${at(asked.openAtS)}, close at ${at(closeAtS)}, ${given} later; ${range}.`;
}

function never(answer: Figures, asked: ChangingQuestion): string {
  const [lo, hi] = answer.atEndRangeStops;
  const until = asked.clock(asked.untilS, false);
  const open = asked.clock(asked.openAtS, false);
  const latest = answer.latestOpeningS === null
    ? ''
    : ` Opened by ${asked.clock(answer.latestOpeningS, false)} it would be enough.`;
  const figure = (stops: number): string => signedStops(stops).replace(/ stops?$/, '');
  const range = hi >= 0 ? `${figure(lo)} to just enough` : `${figure(lo)} to ${figure(hi)}`;
  return (
    `This light will never be enough; from ${open} on at most ${signedStops(answer.atEndStops)} (${range}), ` +
    `even open until ${until}.${latest}`
  );
}

function cautionsOf(answer: Figures, asked: ChangingQuestion): string[] {
  const said: string[] = [...asked.course.cautions];
  const { steady, tiringByTimeCloseAtS: other, closeAtS, durationS } = answer;
  if (closeAtS !== null && durationS !== null) {
    if (other === null) said.push('A film that tires with time rather than with dim light would not get enough.');
    else if (Math.abs(Math.log2((other - asked.openAtS) / durationS)) > WORTH_STOPS) {
      said.push(
        `If film tires with time rather than with dim light, ${asked.clock(other, answer.withSeconds)} is right; the range reaches there.`,
      );
    }
  }
  if (answer.extrapolatedShare > WORTH_SHARE) {
    const share = Math.round(answer.extrapolatedShare * 100);
    said.push(`${share} % of the exposure lies past the film's published figures.`);
  }
  if (asked.cloud !== undefined && asked.cloud.timeShare > 0) {
    said.push('Cloud is averaged over its coming and going; a short exposure may meet only the one or the other.');
  }
  said.push(...steady.cautions.filter((caution) => !caution.startsWith('Longer than a year')));
  return [...new Set(said)];
}

/** The sentence and the cautions of an answer. */
export function changingSentence(answer: Figures, asked: ChangingQuestion): Pick<ChangingAnswer, 'sentence' | 'cautions'> {
  return {
    sentence: answer.closeAtS === null ? never(answer, asked) : closing(answer, asked),
    cautions: cautionsOf(answer, asked),
  };
}
