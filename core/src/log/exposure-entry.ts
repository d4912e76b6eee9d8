/**
 * What a maker does with an exposure: plan it, give it, judge it. Planned and given stay apart, so that the log can
 * learn from the difference. All work on the draft of a workshop, inside a store's change.
 */
import { InputError } from '../errors.ts';
import { roundedTimeS } from '../exposure/duration.ts';
import { latestMeasuredPass, mountedPlate, numbersOf } from './lookup.ts';
import type { CameraRecord, Draft, ExposureRecord, Workshop, WorkshopDraft } from './workshop.ts';

type ExposureDraft = Draft<ExposureRecord>;

export interface ExposureHead {
  /** UUID v7, made outside the core. */
  readonly id: string;
  /** ISO 8601 with offset. */
  readonly at: string;
  readonly timeZone?: string;
}

/** An exposure with this camera as it is now: its plate, hole, film and speed. */
export function exposureWith(camera: CameraRecord, workshop: Workshop, head: ExposureHead): ExposureRecord {
  const plate = mountedPlate(camera, workshop);
  const pass = plate === null ? null : latestMeasuredPass(plate);
  const numbers = numbersOf(camera, workshop);
  const fNumber = numbers.kind === 'measured' ? numbers.focalLengthMm / numbers.diameterMm : camera.fNumber;
  const doubtMm = numbers.kind === 'measured' ? numbers.standardUncertaintyMm : null;
  const relative = numbers.kind === 'measured' && doubtMm !== null ? doubtMm / numbers.diameterMm : null;
  return {
    id: head.id,
    at: head.at,
    ...(head.timeZone !== undefined && { timeZone: head.timeZone }),
    cameraId: camera.id,
    ...(plate !== null && { plateId: plate.id }),
    ...(pass !== null && { passId: pass.id }),
    ...(camera.filmName !== undefined && { filmName: camera.filmName }),
    ...(camera.filmId !== undefined && { filmId: camera.filmId }),
    ...(camera.exposureIndex !== undefined && { exposureIndex: camera.exposureIndex }),
    ...(fNumber !== undefined && { fNumber }),
    ...(fNumber !== undefined && relative !== null && { fNumberStandardUncertainty: fNumber * relative }),
  };
}

function found(draft: WorkshopDraft, exposureId: string): ExposureDraft {
  const exposure = draft.exposures.find(({ id }) => id === exposureId);
  if (exposure === undefined) {
    throw new InputError('missing', 'This exposure is not in the workshop any more: it may have been put away elsewhere.', {
      path: 'exposures',
      got: exposureId,
    });
  }
  return exposure;
}

/**
 * Given as planned: for the time that was shown, which is the planned one rounded as a hand can count it.
 * @param at when the shutter was closed, ISO 8601 with offset
 * @throws InputError `missing` when it is gone or no time was planned, `conflict` when it was given already
 */
export function giveAsPlanned(draft: WorkshopDraft, exposureId: string, at: string): void {
  const plannedS = found(draft, exposureId).planned?.correctedS;
  if (plannedS === undefined) {
    throw new InputError('missing', 'No time was planned for this exposure: say how long it was.', { path: 'planned.correctedS' });
  }
  giveExposure(draft, exposureId, { timeS: roundedTimeS(plannedS), at });
}

/**
 * Given, whatever was planned.
 * @throws InputError `missing` when it is gone, `conflict` when it was given already
 */
export function giveExposure(draft: WorkshopDraft, exposureId: string, given: { readonly timeS: number; readonly at: string }): void {
  const exposure = found(draft, exposureId);
  if (exposure.given?.timeS !== undefined) {
    throw new InputError('conflict', 'This exposure was given already. Write the second one as an exposure of its own.', {
      path: 'given',
      got: exposure.given.timeS,
    });
  }
  exposure.given = { ...exposure.given, timeS: given.timeS, endedAt: given.at };
}

export type Judgement = NonNullable<ExposureRecord['result']>;

/** @throws InputError `missing` when it is gone */
export function judgeExposure(draft: WorkshopDraft, exposureId: string, judgement: Judgement): void {
  const exposure = found(draft, exposureId);
  exposure.result = { ...exposure.result, ...(judgement as Draft<Judgement>) };
}
