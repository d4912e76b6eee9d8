/** Where on the earth: latitude north and longitude east, the two numbers that the sky asks for. */
import { InputError } from '../errors.ts';

export interface Place {
  /** North positive, −π/2…π/2. */
  readonly latitudeRad: number;
  /** East positive, −π…π. */
  readonly longitudeRad: number;
}

const DEG = Math.PI / 180;

/** @throws InputError out-of-range */
export function requirePlace(place: Place): void {
  const inside = (value: number, limit: number): boolean => Number.isFinite(value) && Math.abs(value) <= limit;
  if (!inside(place.latitudeRad, Math.PI / 2)) {
    const got = place.latitudeRad / DEG;
    throw new InputError('out-of-range', `The latitude must lie between −90° and 90°, north positive, but is ${got}°.`, {
      path: 'latitude', got, expected: '−90°…90°',
    });
  }
  if (!inside(place.longitudeRad, Math.PI)) {
    const got = place.longitudeRad / DEG;
    throw new InputError('out-of-range', `The longitude must lie between −180° and 180°, east positive, but is ${got}°.`, {
      path: 'longitude', got, expected: '−180°…180°',
    });
  }
}

/** Days that the sun's theory and the civil calendar are both good for. */
const EARLIEST_S = Date.UTC(1900, 0, 1) / 1000;
const LATEST_S = Date.UTC(2200, 0, 1) / 1000;

/** @throws InputError out-of-range */
export function requireInstant(instantS: number, path: string): void {
  if (Number.isFinite(instantS) && instantS >= EARLIEST_S && instantS <= LATEST_S) return;
  throw new InputError('out-of-range', `The date must lie between the years 1900 and 2200.`, {
    path, got: instantS, expected: '1900…2200',
  });
}
