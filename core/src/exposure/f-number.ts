/** The hole as a stop: f-number with its uncertainty, the nearest named stops, and the way from a meter's marks. */
import { InputError, requirePositive } from '../errors.ts';
import { requireNonNegative } from './limits.ts';

/** Stops per doubling of the f-number: light goes with its square. */
export interface NamedStop {
  /** As written on a scale: `f/250` → third stop `f/256`. */
  readonly name: string;
  /** What the name stands for, a power of 2^(1/2) or 2^(1/6). */
  readonly fNumber: number;
  /** How much darker the hole is than the named stop; negative = brighter. */
  readonly differenceStops: number;
}

export interface HoleStop {
  readonly fNumber: number;
  /** k = 1 */
  readonly fNumberStandardUncertainty: number;
  /** The same in exposure, k = 1: 2·u(N)/(N·ln 2). */
  readonly standardUncertaintyStops: number;
  readonly nearestFullStop: NamedStop;
  readonly nearestThirdStop: NamedStop;
}

/** Nominal marks by third stops from f/1; beyond the marks found in use the exact value is rounded. */
const THIRD_MARKS = [
  1, 1.1, 1.2, 1.4, 1.6, 1.8, 2, 2.2, 2.5, 2.8, 3.2, 3.5, 4, 4.5, 5, 5.6, 6.3, 7.1, 8, 9, 10, 11, 13, 14, 16, 18, 20,
  22,
] as const;

/** Full-stop marks whose rounding is not that of the exact value. */
const FULL_MARKS: ReadonlyMap<number, number> = new Map([
  [13, 90],
  [15, 180],
  [17, 360],
  [19, 720],
]);

/** @param thirds third stops from f/1 */
function markOf(thirds: number): number {
  const full = thirds % 3 === 0 ? FULL_MARKS.get(thirds / 3) : undefined;
  const exact = 2 ** (thirds / 6);
  return full ?? THIRD_MARKS[thirds] ?? (exact < 1 ? Number(exact.toPrecision(1)) : Math.round(exact));
}

/**
 * f-number of a hole, f over the diameter of the circle of equal area.
 *   N = f / d,  u(N)/N = √((u(d)/d)² + (u(f)/f)²)
 * Valid: uncorrelated uncertainties; object far away (near ones lengthen nothing in a pinhole: f is the hole's
 * distance to the film).
 * @param focalLengthMm > 0, sharp edge of the hole to the film
 * @param diameterMm > 0, area-equivalent
 * @throws InputError not-positive, negative
 * @source jcgm100 5.1.6
 */
export function holeStop(hole: {
  readonly focalLengthMm: number;
  readonly diameterMm: number;
  readonly focalLengthStandardUncertaintyMm?: number;
  readonly diameterStandardUncertaintyMm?: number;
}): HoleStop {
  const { focalLengthMm: f, diameterMm: d } = hole;
  const uf = hole.focalLengthStandardUncertaintyMm ?? 0;
  const ud = hole.diameterStandardUncertaintyMm ?? 0;
  requirePositive(f, 'focal length', 'mm');
  requirePositive(d, 'hole diameter', 'mm');
  requireNonNegative(uf, 'uncertainty of the focal length', 'mm');
  requireNonNegative(ud, 'uncertainty of the hole diameter', 'mm');
  const fNumber = f / d;
  const fNumberStandardUncertainty = fNumber * Math.hypot(ud / d, uf / f);
  return {
    fNumber,
    fNumberStandardUncertainty,
    standardUncertaintyStops: fNumberUncertaintyStops({ fNumber, fNumberStandardUncertainty }),
    nearestFullStop: nearestStop(fNumber, 'full'),
    nearestThirdStop: nearestStop(fNumber, 'third'),
  };
}

/** What an uncertain f-number is worth in exposure, k = 1:  2·u(N)/(N·ln 2) stops. */
export function fNumberUncertaintyStops(hole: {
  readonly fNumber: number;
  readonly fNumberStandardUncertainty: number;
}): number {
  return (2 * hole.fNumberStandardUncertainty) / (hole.fNumber * Math.LN2);
}

/**
 * How much longer an f-number needs than another:  2·log2(N_to / N_from), negative = shorter.
 * @throws InputError not-positive
 */
export function stopsBetween(fNumbers: { readonly fromFNumber: number; readonly toFNumber: number }): number {
  requirePositive(fNumbers.fromFNumber, 'f-number', '');
  requirePositive(fNumbers.toFNumber, 'f-number', '');
  return 2 * Math.log2(fNumbers.toFNumber / fNumbers.fromFNumber);
}

/**
 * The full or third stop whose exposure is nearest.
 * @throws InputError not-positive
 */
export function nearestStop(fNumber: number, step: 'full' | 'third'): NamedStop {
  requirePositive(fNumber, 'f-number', '');
  const perStop = step === 'full' ? 1 : 3;
  const thirds = Math.round(2 * Math.log2(fNumber) * perStop) * (3 / perStop);
  const exact = 2 ** (thirds / 6);
  return { name: `f/${markOf(thirds)}`, fNumber: exact, differenceStops: 2 * Math.log2(fNumber / exact) };
}

/**
 * What a mark on a dial stands for: f/22 is 2^(9/2) = 22.627…, f/11 is 11.314.
 * @param mark a full- or third-stop mark, f/1…f/360
 * @throws InputError unknown-name: no such mark
 */
export function fNumberOfMark(markFNumber: number): number {
  for (let thirds = 0; thirds <= 60; thirds++) {
    if (markOf(thirds) === markFNumber) return 2 ** (thirds / 6);
  }
  throw new InputError(
    'unknown-name',
    `f/${markFNumber} is not a mark of the full- or third-stop scale; give the f-number as a plain number instead.`,
    { path: 'fNumber', got: markFNumber, expected: 'f/1 … f/360 by thirds of a stop' },
  );
}

export interface MeterConversion {
  /** The mark on the meter: 22. */
  readonly markFNumber: number;
  /** What it stands for: 22.627. */
  readonly meterFNumber: number;
  /** Count so many stops on from the meter's time. */
  readonly differenceStops: number;
  /** Or multiply the meter's time by this. */
  readonly factor: number;
}

/**
 * From the marks at which meters stop to this hole:  factor = (N / N_mark)².
 * @param markFNumbers dial marks, by default f/8, f/11, f/16, f/22
 * @throws InputError not-positive, unknown-name
 */
export function meterConversions(
  fNumber: number,
  markFNumbers: readonly number[] = [8, 11, 16, 22],
): MeterConversion[] {
  requirePositive(fNumber, 'f-number', '');
  return markFNumbers.map((markFNumber) => {
    const meterFNumber = fNumberOfMark(markFNumber);
    return {
      markFNumber,
      meterFNumber,
      differenceStops: stopsBetween({ fromFNumber: meterFNumber, toFNumber: fNumber }),
      factor: (fNumber / meterFNumber) ** 2,
    };
  });
}
