/** The words in which sun tracks are asked for and answered: data only. */
import type { Direction, Landing, SunCamera } from './paper.ts';
import type { Place } from './place.ts';

export interface TracksQuestion {
  readonly place: Place;
  readonly camera: SunCamera;
  /** Middle of the first and of the last day, seconds since 1970-01-01T00:00Z. */
  readonly fromS: number;
  readonly toS: number;
  /** How far the clock of the hour marks is ahead of UTC; one offset for all months, so that hour lines do not jump. */
  readonly utcOffsetS: number;
  readonly holeDiameterMm?: number;
  /** Corners of the skyline as measured from the hole. */
  readonly horizon?: readonly Direction[];
  /** The date at the place, in words: `21 June 2027`. */
  readonly dateWords: (instantS: number) => string;
}

export interface TrackPoint {
  readonly instantS: number;
  /** As seen, lifted by refraction. */
  readonly altitudeRad: number;
  readonly azimuthRad: number;
  /** The sun stands above the skyline. */
  readonly drawn: boolean;
  /** `null`: behind the camera. */
  readonly landing: Landing | null;
}

export interface DayTrack {
  /** `June solstice`, `first day`; `null` for a day of the months between. */
  readonly name: string | null;
  readonly noon: TrackPoint;
  readonly riseS: number | null;
  readonly setS: number | null;
  readonly points: readonly TrackPoint[];
}

export interface HourLine {
  /** Of the clock, 0…23. */
  readonly hour: number;
  readonly points: readonly TrackPoint[];
}

/** How far neighbouring days lie apart at noon, against the width of the line each draws. */
export interface DaySpacing {
  readonly noonS: number;
  readonly spacingMm: number | null;
  readonly discMm: number | null;
  /** `null`: no hole given. */
  readonly blurMm: number | null;
  readonly lineMm: number | null;
}

export interface NoonFall {
  readonly track: DayTrack;
  /** To the nearest edge of the paper, negative beyond it; `null`: behind the camera. */
  readonly marginMm: number | null;
  /** What would bring it back; `null` when it needs nothing. */
  readonly remedy: { readonly tiltRad: number | null; readonly holeHeightMm: number | null } | null;
}

export interface SunTracks {
  readonly camera: SunCamera;
  readonly tracks: readonly DayTrack[];
  readonly hourLines: readonly HourLine[];
  /** The skyline on the paper, from left to right in the scene. */
  readonly horizon: readonly { readonly xMm: number; readonly yMm: number; readonly onPaper: boolean }[];
  readonly spacings: readonly DaySpacing[];
  readonly highestNoon: NoonFall | null;
  readonly sentence: string;
  readonly cautions: readonly string[];
}
