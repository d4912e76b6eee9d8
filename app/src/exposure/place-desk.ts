/** Where the maker works, or this camera stands: read from the workshop, written back as named steps. */
import type { Workshop } from '#core';
import { isCamerawrightError } from '#core';
import { timeZone } from '#io/browser';
import type { TimeZone } from '#io/browser';
import type { Bench } from '../shell/index.ts';

export type PlaceRecord = NonNullable<Workshop['place']>;

/** Place of the camera where it has one of its own, else of the workshop. */
export function placeOf(bench: Bench): PlaceRecord | null {
  return bench.workshop.camera?.place ?? bench.workshop.document.place ?? null;
}

/** Clocks of the place, else of the workshop, else of this device; a name that is no zone counts as none. */
export function zoneOf(bench: Bench): TimeZone {
  const name = placeOf(bench)?.timeZone ?? bench.workshop.document.timeZone ?? bench.clock.zone();
  try {
    return timeZone(name);
  } catch (error) {
    if (!isCamerawrightError(error)) throw error;
    return timeZone('UTC');
  }
}

/** Changes the place that counts now. */
export function setPlace(bench: Bench, what: string, change: Partial<PlaceRecord>): void {
  const cameraId = bench.workshop.camera?.place === undefined ? null : bench.workshop.camera.id;
  bench.workshop.edit(what, (draft) => {
    const camera = draft.cameras.find(({ id }) => id === cameraId);
    const before = camera?.place ?? draft.place ?? { latitudeRad: 0, longitudeRad: 0, timeZone: bench.clock.zone() };
    const place = { ...before, ...change };
    if (camera === undefined) draft.place = place;
    else camera.place = place;
  });
}

export function now(bench: Bench): number {
  return Date.parse(bench.clock.now()) / 1000;
}
