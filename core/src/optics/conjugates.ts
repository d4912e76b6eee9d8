/**
 * Object, hole and film: the one length that diffraction at a hole knows.
 *
 * Everything about a round hole on the axis follows from two numbers without a dimension,
 *   c = d / √(λ f′)   (hole; c² / 4 is the Fresnel number)
 *   q = ν m √(λ f′)   (spatial frequency on the film; m = f / f′ = 1 + f / u)
 * with 1 / f′ = 1 / f + 1 / u. So each result for a distant object holds for every distance.
 */
import { InputError, requirePositive } from '../errors.ts';

export const MM_PER_NM = 1e-6;

export interface Conjugates {
  /** Hole to film, > 0. */
  readonly focalLengthMm: number;
  /** Hole to object, > 0; `Infinity` for a distant scene. */
  readonly objectDistanceMm: number;
  /** Of the light that counts, > 0. */
  readonly wavelengthNm: number;
}

/** @throws InputError not-positive */
export function requireConjugates(of: Conjugates): void {
  requirePositive(of.focalLengthMm, 'focalLengthMm', 'mm');
  requirePositive(of.wavelengthNm, 'wavelengthNm', 'nm');
  requireObjectDistance(of.objectDistanceMm);
}

/** @throws InputError not-positive */
export function requireObjectDistance(objectDistanceMm: number): void {
  if (!(objectDistanceMm > 0)) {
    throw new InputError(
      'not-positive',
      `objectDistanceMm must be greater than 0 mm (or infinity for a distant scene), but is ${objectDistanceMm}.`,
      { path: 'objectDistanceMm', got: objectDistanceMm, expected: '> 0 mm or infinity' },
    );
  }
}

/**
 * Distance f′ that diffraction sees, mm.
 *   1 / f′ = 1 / f + 1 / u
 * Valid: Fresnel regime, d much smaller than f.
 * @param of all > 0; object distance may be infinite
 * @throws InputError not-positive
 * @source optics-notes 2
 */
export function diffractionDistanceMm(of: Conjugates): number {
  requireConjugates(of);
  return of.focalLengthMm / (1 + of.focalLengthMm / of.objectDistanceMm);
}

/**
 * √(λ f′), mm: the natural length of diffraction on the film, and the diameter of the hole with c = 1.
 * @param of all > 0; object distance may be infinite
 * @throws InputError not-positive
 * @source optics-notes 2
 */
export function diffractionLengthMm(of: Conjugates): number {
  return Math.sqrt(of.wavelengthNm * MM_PER_NM * diffractionDistanceMm(of));
}

/**
 * Fresnel number of a round hole, a² / (λ f′) = c² / 4.
 * @param of all > 0; object distance may be infinite
 * @throws InputError not-positive
 * @source optics-notes 2
 */
export function fresnelNumber(of: Conjugates & { readonly diameterMm: number }): number {
  requirePositive(of.diameterMm, 'diameterMm', 'mm');
  return (of.diameterMm / diffractionLengthMm(of)) ** 2 / 4;
}
