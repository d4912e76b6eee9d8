/** What was given, as a record of the log: planned and given apart, so that the log can learn from the difference. */
import type { ExposureAnswer, ExposureQuestion } from '../exposure/answer.ts';
import type { ExposureRecord } from './workshop.ts';

export interface GivenExposure {
  readonly id: string;
  /** ISO 8601 with offset. */
  readonly at: string;
  readonly timeZone?: string;
  readonly cameraId?: string;
  readonly plateId?: string;
  readonly passId?: string;
  /** Of the workshop's own film; its name stands beside it. */
  readonly filmId?: string;
  readonly question: ExposureQuestion;
  readonly answer: ExposureAnswer;
  readonly givenS: number;
  readonly startedAt?: string;
  readonly endedAt?: string;
  readonly sheet?: string;
  readonly notes?: string;
}

/** The record of one exposure, to be appended and never rewritten. */
export function givenExposure(exposure: GivenExposure): ExposureRecord {
  const { question, answer } = exposure;
  const filterFactor = question.filterFactor ?? (question.filterStops === undefined ? undefined : 2 ** question.filterStops);
  const said = <T extends object>(fields: T): T =>
    Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== undefined)) as T;
  const record = said({
    id: exposure.id,
    at: exposure.at,
    timeZone: exposure.timeZone,
    cameraId: exposure.cameraId,
    plateId: exposure.plateId,
    passId: exposure.passId,
    filmName: answer.film ?? undefined,
    filmId: exposure.filmId,
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
    given: said({ timeS: exposure.givenS, startedAt: exposure.startedAt, endedAt: exposure.endedAt }),
    sheet: exposure.sheet,
    notes: exposure.notes,
  });
  return JSON.parse(JSON.stringify(record)) as ExposureRecord;
}
