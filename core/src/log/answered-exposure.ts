/** An answer of the exposure room as a record of the log: planned and given apart, so that the log can learn from the difference. */
import type { ExposureAnswer, ExposureQuestion } from '../exposure/answer.ts';
import { mountedPlate, numbersOf } from './lookup.ts';
import type { CameraRecord, ExposureRecord, Workshop } from './workshop.ts';

export interface AnsweredExposure {
  readonly id: string;
  /** ISO 8601 with offset. */
  readonly at: string;
  readonly timeZone?: string;
  /** Its plate, pass and film are looked up in `workshop`. */
  readonly camera: CameraRecord | null;
  readonly workshop: Workshop | null;
  readonly question: ExposureQuestion;
  readonly answer: ExposureAnswer;
  /** Left out: planned, not given yet. */
  readonly givenS?: number;
  readonly startedAt?: string;
  readonly endedAt?: string;
  readonly sheet?: string;
  readonly notes?: string;
}

/** The record of one exposure, planned or given, to be appended to the log. */
export function answeredExposure(exposure: AnsweredExposure): ExposureRecord {
  const { question, answer, camera, workshop } = exposure;
  const filterFactor = question.filterFactor ?? (question.filterStops === undefined ? undefined : 2 ** question.filterStops);
  const numbers = camera === null || workshop === null ? null : numbersOf(camera, workshop);
  const plate = camera === null || workshop === null ? null : mountedPlate(camera, workshop);
  const said = <T extends object>(fields: T): T =>
    Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== undefined)) as T;
  const record = said({
    id: exposure.id,
    at: exposure.at,
    timeZone: exposure.timeZone,
    cameraId: camera?.id,
    plateId: plate?.id,
    passId: numbers?.kind === 'measured' ? numbers.passId : undefined,
    filmName: answer.film ?? undefined,
    // of the workshop's own; its name stands beside it
    filmId: workshop?.films.find(({ id }) => id === question.film?.id)?.id,
    exposureIndex: answer.iso ?? undefined,
    light: question.light,
    filterFactor: filterFactor === 1 ? undefined : filterFactor,
    fNumber: question.fNumber,
    fNumberStandardUncertainty: question.fNumberStandardUncertainty,
    planned: {
      meteredS: answer.meteredS,
      correctedS: answer.correctedS,
      rangeS: answer.rangeS,
      extrapolated: answer.extrapolated,
      source: answer.source,
    },
    given:
      exposure.givenS === undefined
        ? undefined
        : said({ timeS: exposure.givenS, startedAt: exposure.startedAt, endedAt: exposure.endedAt }),
    sheet: exposure.sheet,
    notes: exposure.notes,
  });
  return JSON.parse(JSON.stringify(record)) as ExposureRecord;
}
