/** From the compass to true north: the magnetic declination at a place. */
import geomagnetism from 'geomagnetism';
import type { GeomagnetismModel } from 'geomagnetism';
import { InputError } from '../errors.ts';
import { requireInstant, requirePlace } from './place.ts';
import type { Place } from './place.ts';

export interface MagneticDeclination {
  /** East positive: true bearing = compass bearing + declination. */
  readonly declinationRad: number;
  /** k = 1, of the model, about: crustal fields and errors of the model. */
  readonly standardUncertaintyRad: number;
  readonly modelName: string;
  /** Years for which the model is made. */
  readonly validYears: readonly [number, number];
}

const DEG = Math.PI / 180;
/** Error of the World Magnetic Model at 60° of inclination as its report states it, about; from memory. @source wmm2025 */
const MODEL_DEG = 0.4;
/** Below this horizontal field a compass wanders too much to aim by: the caution zone. @source wmm2025 */
const CAUTION_NT = 6000;

/** Years for which the library brings a model, each made for five of them. */
const MODEL_YEARS = [2015, 2029] as const;

/** `null` where no model is made for the date; the library then throws a plain error. */
function timedModel(date: Date): GeomagnetismModel | null {
  try {
    return geomagnetism.model(date);
  } catch {
    return null;
  }
}

/**
 * Magnetic declination at sea level from the World Magnetic Model.
 * Valid: 2015…2029, each model for its five years; iron nearby, a car or a railing, is not in it.
 * @throws InputError out-of-range: no model for this date, or too near a magnetic pole
 * @source wmm2025
 */
export function magneticDeclination(place: Place, instantS: number): MagneticDeclination {
  requirePlace(place);
  requireInstant(instantS, 'date');
  const date = new Date(instantS * 1000);
  const chosen = timedModel(date);
  if (chosen === null) {
    const years = `${MODEL_YEARS[0]} to ${MODEL_YEARS[1]}`;
    throw new InputError(
      'out-of-range',
      `The magnetic models at hand are made for ${years}; for ${date.getUTCFullYear()} enter the declination from a map.`,
      { path: 'date', got: date.getUTCFullYear(), expected: years },
    );
  }
  const field = chosen.point([place.latitudeRad / DEG, place.longitudeRad / DEG]);
  if (field.h < CAUTION_NT) {
    throw new InputError(
      'out-of-range',
      'So near to a magnetic pole a compass does not point: take the direction from a map or from the sun at noon.',
      { path: 'place', got: Math.round(field.h), expected: `a horizontal field above ${CAUTION_NT} nT` },
    );
  }
  return {
    declinationRad: field.decl * DEG,
    standardUncertaintyRad: MODEL_DEG * DEG,
    modelName: chosen.name,
    validYears: [chosen.start_date.getUTCFullYear(), chosen.end_date.getUTCFullYear()],
  };
}
