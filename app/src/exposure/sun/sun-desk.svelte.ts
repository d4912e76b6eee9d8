/**
 * What the part “Sun tracks” knows: how the chosen camera stands in the sun for months, as it stands in the workshop, and
 * the tracks that follow. Sky and magnetic model are loaded when they are needed.
 */
import type { CameraRecord, Draft } from '#core';
import { isCamerawrightError, latestMeasuredPass } from '#core';
import type * as CompassDoor from '#core/compass';
import type * as SkyDoor from '#core/sun';
import type { PaperSurface, SunCamera, SunTracks } from '#core/sun';
import type { TimeZone } from '#io/browser';
import type { Bench } from '../../shell/index.ts';
import { now, placeOf, zoneOf } from '../place-desk.ts';

export type SunRecord = NonNullable<CameraRecord['sunPicture']>;
type Sky = typeof SkyDoor;
type Compass = typeof CompassDoor;

export type SunAnswered =
  | { readonly kind: 'answer'; readonly tracks: SunTracks }
  | { readonly kind: 'missing'; readonly sentence: string };

export interface Declination {
  readonly declinationRad: number;
  readonly words: string;
}

/** The fields that hold one plain number. */
export type SunNumberKey =
  | 'azimuthRad' | 'compassAzimuthRad' | 'declinationRad' | 'tiltRad' | 'canDiameterMm' | 'holeHeightMm' | 'holeDiameterMm';

const DEG = Math.PI / 180;

export class SunDesk {
  readonly #bench: Bench;
  #sky = $state.raw<Sky | null>(null);
  #compass = $state.raw<Compass | null>(null);

  constructor(bench: Bench) {
    this.#bench = bench;
    void import('#core/sun').then((sky) => (this.#sky = sky));
    void import('#core/compass').then((compass) => (this.#compass = compass));
  }

  get sky(): Sky | null {
    return this.#sky;
  }

  get camera(): CameraRecord | null {
    return this.#bench.workshop.camera;
  }

  get record(): SunRecord {
    return this.camera?.sunPicture ?? {};
  }

  get zone(): TimeZone {
    return zoneOf(this.#bench);
  }

  get place(): ReturnType<typeof placeOf> {
    return placeOf(this.#bench);
  }

  get surface(): PaperSurface {
    return this.record.surface ?? 'can-wall';
  }

  get fromDate(): string {
    return this.record.fromDate ?? this.zone.date(now(this.#bench));
  }

  /** Left out: half a year on. */
  get toDate(): string {
    return this.record.toDate ?? this.zone.date(this.zone.instantS(this.fromDate, '12:00') + 183 * 86_400);
  }

  /** By the measured plate, or as typed. */
  get holeDiameterMm(): number | null {
    const { plate } = this.#bench.workshop;
    return (plate === null ? undefined : latestMeasuredPass(plate)?.figures?.outlineDiameterMm) ?? this.record.holeDiameterMm ?? null;
  }

  get measuredPlate(): string | null {
    const { plate } = this.#bench.workshop;
    return plate !== null && latestMeasuredPass(plate)?.figures !== undefined ? plate.name : null;
  }

  get byCompass(): boolean {
    return this.record.compassAzimuthRad !== undefined;
  }

  /** Entered, or by the model for this place and date. */
  readonly #declination = $derived.by<Declination | null>(() => {
    const { declinationRad } = this.record;
    if (declinationRad !== undefined) return { declinationRad, words: 'as typed' };
    const { place } = this;
    const compass = this.#compass;
    if (place === null || compass === null) return null;
    try {
      const model = compass.magneticDeclination(place, this.zone.instantS(this.fromDate, '12:00'));
      const doubt = ((2 * model.standardUncertaintyRad) / DEG).toFixed(1);
      return {
        declinationRad: model.declinationRad,
        words: `by the ${model.modelName} model, made for ${model.validYears[0]} to ${model.validYears[1]}, ±${doubt}° at k = 2; iron nearby is not in it`,
      };
    } catch (error) {
      if (!isCamerawrightError(error)) throw error;
      return { declinationRad: 0, words: error.message };
    }
  });

  get declination(): Declination | null {
    return this.#declination;
  }

  /** From true north. */
  get azimuthRad(): number {
    const { compassAzimuthRad, azimuthRad } = this.record;
    if (compassAzimuthRad !== undefined) return compassAzimuthRad + (this.#declination?.declinationRad ?? 0);
    return azimuthRad ?? ((this.place?.latitudeRad ?? 1) < 0 ? 0 : Math.PI);
  }

  get sunCamera(): SunCamera | { readonly kind: 'missing'; readonly sentence: string } {
    const { camera, record, surface } = this;
    const paperWidthMm = record.paper?.widthMm ?? camera?.frame?.widthMm;
    const paperHeightMm = record.paper?.heightMm ?? camera?.frame?.heightMm;
    const distanceMm = surface === 'flat' ? camera?.focalLengthMm : record.canDiameterMm;
    if (distanceMm === undefined) {
      return {
        kind: 'missing',
        sentence: surface === 'flat' ? 'Type the focal length on the Camera page.' : 'Type how wide the can is inside.',
      };
    }
    if (paperWidthMm === undefined || paperHeightMm === undefined) {
      return { kind: 'missing', sentence: 'Type how large the paper is, its width along the curve.' };
    }
    return {
      surface, distanceMm, paperWidthMm, paperHeightMm, azimuthRad: this.azimuthRad, tiltRad: record.tiltRad ?? 0,
      holeHeightMm: record.holeHeightMm ?? paperHeightMm / 2,
    };
  }

  readonly #answered = $derived.by<SunAnswered>(() => {
    if (this.camera === null) {
      return { kind: 'missing', sentence: 'Make a camera for the can or the box first: what you type here is kept with it.' };
    }
    const { place, zone, sunCamera } = this;
    const sky = this.#sky;
    if (place === null) return { kind: 'missing', sentence: 'Type latitude and longitude of the place.' };
    if ('kind' in sunCamera) return sunCamera;
    if (sky === null) return { kind: 'missing', sentence: 'Looking up the sun …' };
    try {
      const fromS = zone.instantS(this.fromDate, '12:00');
      const { holeDiameterMm } = this;
      return {
        kind: 'answer',
        tracks: sky.sunTracks({
          place, camera: sunCamera, fromS, toS: zone.instantS(this.toDate, '12:00'), utcOffsetS: this.hourOffsetS,
          ...(holeDiameterMm !== null && { holeDiameterMm }),
          horizon: this.record.horizon ?? [],
          dateWords: (instantS) => dayWords(zone.date(instantS)),
        }),
      };
    } catch (error) {
      if (!isCamerawrightError(error)) throw error;
      return { kind: 'missing', sentence: error.message };
    }
  });

  get answered(): SunAnswered {
    return this.#answered;
  }

  /** Standard time: the lesser offset of January and July, so that the hour lines of all months agree. */
  get hourOffsetS(): number {
    const year = Number(this.fromDate.slice(0, 4));
    return Math.min(this.zone.offsetS(Date.UTC(year, 0, 15) / 1000), this.zone.offsetS(Date.UTC(year, 6, 15) / 1000));
  }

  // ---- changes ----

  #change(what: string, recipe: (record: Draft<SunRecord>) => void): void {
    const id = this.camera?.id;
    this.#bench.workshop.edit(what, (draft) => {
      const camera = draft.cameras.find((candidate) => candidate.id === id);
      if (camera === undefined) return;
      camera.sunPicture ??= {};
      recipe(camera.sunPicture);
    });
  }

  setSurface(surface: PaperSurface): void {
    this.#change('shape of the paper', (record) => {
      record.surface = surface;
    });
  }

  setNumber(key: SunNumberKey, what: string, value: number | null): void {
    this.#change(what, (record) => {
      if (value === null) delete record[key];
      else record[key] = value;
    });
  }

  setPaper(key: 'widthMm' | 'heightMm', value: number | null): void {
    this.#change('paper', (record) => {
      record.paper ??= {};
      if (value === null) delete record.paper[key];
      else record.paper[key] = value;
    });
  }

  /** Changing the way of telling keeps the direction itself. */
  setByCompass(on: boolean): void {
    const { azimuthRad } = this;
    const declinationRad = this.#declination?.declinationRad ?? 0;
    this.#change('way of aiming', (record) => {
      if (on) {
        record.compassAzimuthRad = turned(azimuthRad - declinationRad);
        delete record.azimuthRad;
      } else {
        record.azimuthRad = turned(azimuthRad);
        delete record.compassAzimuthRad;
      }
    });
  }

  setDate(key: 'fromDate' | 'toDate', date: string): void {
    this.#change(key === 'fromDate' ? 'first day' : 'last day', (record) => {
      record[key] = date;
    });
  }

  setHorizon(corners: SunRecord['horizon']): void {
    this.#change('skyline', (record) => {
      if (corners === undefined || corners.length === 0) delete record.horizon;
      else record.horizon = corners.map((corner) => ({ ...corner }));
    });
  }
}

/** Kept within the whole turn that the workshop stores, to a millionth of a degree. */
function turned(azimuthRad: number): number {
  const full = 2 * Math.PI;
  const degrees = (((azimuthRad % full) + full) % full) / DEG;
  return Number(degrees.toFixed(6)) * DEG;
}

const MONTHS = ['January', 'February', 'March', 'April', 'May', 'June', 'July', 'August', 'September', 'October', 'November', 'December'];

/** `2027-06-21` → `21 June`. */
export function dayWords(date: string): string {
  return `${Number(date.slice(8, 10))} ${MONTHS[Number(date.slice(5, 7)) - 1] ?? ''}`;
}

/** `2027-06-21` → `21 Jun`. */
export function shortDay(date: string): string {
  return dayWords(date).replace(/(\w{3})\w*$/, '$1');
}
