/**
 * The point image of a round hole on the axis, for one wavelength or the light that a film sees, exact in the Fresnel
 * regime. Intensity 1 is the light that would fall there without the plate.
 */
import { InputError } from '../errors.ts';
import { besselJ } from '../numeric/bessel.ts';
import { tabulatedJ0 } from '../numeric/bessel-table.ts';
import { chebyshevCount, chebyshevMatrix, chebyshevPoints } from '../numeric/chebyshev.ts';
import { gaussLegendre } from '../numeric/quadrature.ts';
import type { GaussRule } from '../numeric/quadrature.ts';
import { MM_PER_NM } from './conjugates.ts';
import { overlapOtf } from './round-hole.ts';
import { requireView } from './view.ts';
import type { HoleView } from './view.ts';

/** A round hole, where it stands, and the light that counts. */
export interface RoundHoleView extends HoleView {
  /** > 0 */
  readonly diameterMm: number;
}

/** Rules are made once for each length that may be needed; longer ones on demand. */
const RULES: readonly GaussRule[] = [16, 20, 24, 28, 32, 40, 48, 64, 96].map(gaussLegendre);

function ruleFor(needed: number): GaussRule {
  return RULES.find((rule) => rule.nodes.length >= needed) ?? gaussLegendre(needed);
}

interface Numbers {
  /** k a² / f′ */
  readonly u: number;
  /** v = k a r / f: so many for each mm on the film. */
  readonly vPerMm: number;
  readonly weightShare: number;
}

function numbersOf(view: RoundHoleView): Numbers[] {
  const { diameterMm, focalLengthMm, objectDistanceMm, light } = view;
  const a = diameterMm / 2;
  return light.map(({ wavelengthNm, weightShare }) => {
    const k = (2 * Math.PI) / (wavelengthNm * MM_PER_NM);
    const u = k * a * a * (1 / focalLengthMm + 1 / objectDistanceMm);
    return { u, vPerMm: (k * a) / focalLengthMm, weightShare };
  });
}

/** |u ∫ J0(v ρ) exp(i u ρ² / 2) ρ dρ|², ρ from 0 to 1, at many v. */
function addIntensity(u: number, v: Float64Array, weightShare: number, into: Float64Array): void {
  let largest = 0;
  for (const one of v) largest = Math.max(largest, one);
  const { nodes, weights } = ruleFor(Math.ceil(14 + (largest + u) / 3.4));
  const n = nodes.length;
  const rho = new Float64Array(n);
  const re = new Float64Array(n);
  const im = new Float64Array(n);
  for (let i = 0; i < n; i++) {
    const r = 0.5 + 0.5 * (nodes[i] as number);
    const w = 0.5 * (weights[i] as number) * r * u;
    rho[i] = r;
    re[i] = w * Math.cos((u * r * r) / 2);
    im[i] = w * Math.sin((u * r * r) / 2);
  }
  for (let j = 0; j < v.length; j++) {
    let real = 0;
    let imaginary = 0;
    for (let i = 0; i < n; i++) {
      const j0 = tabulatedJ0((v[j] as number) * (rho[i] as number));
      real += j0 * (re[i] as number);
      imaginary += j0 * (im[i] as number);
    }
    into[j] = (into[j] as number) + weightShare * (real * real + imaginary * imaginary);
  }
}

/**
 * Point image of a round hole: intensity on the film at distances from its centre.
 *   I = Σ wᵢ |u ∫ J0(v ρ) exp(i u ρ² / 2) ρ dρ|²,  u = k a² / f′,  v = k a r / f
 * The number of nodes follows u and v (error below 1e-10). The image holds no frequency above d / (λ f), so many radii
 * are had from few by a polynomial whose degree is proved to suffice.
 * Valid: Fresnel regime, thin round hole, flat film, on the axis.
 * @param view all > 0; object distance may be infinite
 * @param radiiMm ≥ 0, in any order
 * @returns one value for each radius
 * @throws InputError not-positive, negative
 * @source optics-notes 2
 * @source bornwolf1999 8.8
 */
export function roundPointImage(view: RoundHoleView, radiiMm: ArrayLike<number>): Float64Array {
  requireView(view, ['diameterMm', view.diameterMm]);
  let largestMm = 0;
  for (let i = 0; i < radiiMm.length; i++) {
    const r = radiiMm[i] as number;
    requireRadius(r);
    largestMm = Math.max(largestMm, r);
  }
  const numbers = numbersOf(view);
  const turn = Math.max(...numbers.map(({ vPerMm }) => 2 * vPerMm * largestMm));
  const peak = Math.max(...numbers.map(({ u }) => Math.max(1, (u / 2) ** 2)));
  const count = chebyshevCount({ turn, bend: 0, tolerance: 1e-11 / peak });
  // the image is even in r: half the points of an odd polynomial rule are enough
  const half = Math.ceil(count / 2);
  if (half >= radiiMm.length) return intensities(numbers, Float64Array.from(radiiMm));
  const full = 2 * half;
  const points = chebyshevPoints(full);
  const at = intensities(numbers, points.subarray(0, half).map((t) => t * largestMm));
  const matrix = chebyshevMatrix(full, Float64Array.from(radiiMm, (r) => r / largestMm));
  const image = new Float64Array(radiiMm.length);
  for (let i = 0; i < image.length; i++) {
    let sum = 0;
    const row = i * full;
    for (let j = 0; j < half; j++) {
      sum += (at[j] as number) * ((matrix[row + j] as number) + (matrix[row + full - 1 - j] as number));
    }
    image[i] = sum;
  }
  return image;
}

function intensities(numbers: readonly Numbers[], radiiMm: Float64Array): Float64Array {
  const sum = new Float64Array(radiiMm.length);
  for (const { u, vPerMm, weightShare } of numbers) {
    if (weightShare > 0) addIntensity(u, radiiMm.map((r) => r * vPerMm), weightShare, sum);
  }
  return sum;
}

/** @throws InputError negative */
function requireRadius(radiusMm: number): void {
  if (!(radiusMm >= 0 && radiusMm < Infinity)) {
    throw new InputError('negative', `A radius must be 0 mm or more, but is ${radiusMm}.`, {
      path: 'radiiMm',
      got: radiusMm,
      expected: '≥ 0 mm',
    });
  }
}

/**
 * Share of all light of a point image that falls within a radius, from the OTF.
 *   E(R) = 2π R ∫ OTF(ν) J1(2π R ν) dν
 * With ν = ν_c (1 - t²) the end of the OTF, which falls as (ν_c - ν)^(3/2), is smooth, and Gauss nodes by the
 * arguments give an error below 1e-10.
 * Valid: as `roundPointImage`.
 * @param view all > 0; object distance may be infinite
 * @param radiiMm ≥ 0
 * @throws InputError not-positive, negative
 * @source optics-notes 2
 */
export function encircledShare(view: RoundHoleView, radiiMm: ArrayLike<number>): Float64Array {
  requireView(view, ['diameterMm', view.diameterMm]);
  const { diameterMm, focalLengthMm, objectDistanceMm, light } = view;
  const share = new Float64Array(radiiMm.length);
  for (let i = 0; i < radiiMm.length; i++) requireRadius(radiiMm[i] as number);
  for (const { wavelengthNm, weightShare } of light) {
    const lengthMm = Math.sqrt((wavelengthNm * MM_PER_NM) / (1 / focalLengthMm + 1 / objectDistanceMm));
    const c = diameterMm / lengthMm;
    const scaleMm = lengthMm * (1 + focalLengthMm / objectDistanceMm);
    for (let i = 0; i < share.length; i++) {
      // in q = ν m √(λ f′): R in units of m √(λ f′)
      const radius = (radiiMm[i] as number) / scaleMm;
      const { nodes, weights } = ruleFor(Math.ceil(24 + 2.2 * radius * c + c * c));
      let sum = 0;
      for (let j = 0; j < nodes.length; j++) {
        const t = 0.5 + 0.5 * (nodes[j] as number);
        const q = c * (1 - t * t);
        sum += (weights[j] as number) * overlapOtf(c, q) * besselJ(1, 2 * Math.PI * radius * q) * t;
      }
      share[i] = (share[i] as number) + weightShare * 2 * Math.PI * radius * c * sum;
    }
  }
  return share;
}

/** c and the film frequency of q = 1, for each line of the light. */
function otfNumbers(view: RoundHoleView): { c: number; perMm: number; weightShare: number }[] {
  const { diameterMm, focalLengthMm, objectDistanceMm, light } = view;
  return light.map(({ wavelengthNm, weightShare }) => {
    const lengthMm = Math.sqrt((wavelengthNm * MM_PER_NM) / (1 / focalLengthMm + 1 / objectDistanceMm));
    return { c: diameterMm / lengthMm, perMm: 1 / (lengthMm * (1 + focalLengthMm / objectDistanceMm)), weightShare };
  });
}

/**
 * Signed contrast of a round hole in the light that a film sees; negative is reversed.
 *   OTF = Σ wᵢ OTFᵢ, since every wavelength lets the same light in
 * Valid: as `roundPointImage`.
 * @param view all > 0; object distance may be infinite
 * @param frequenciesPerMm finite
 * @throws InputError not-positive, out-of-range
 * @source optics-notes 2
 * @source hopkins1955
 */
export function roundOtf(view: RoundHoleView, frequenciesPerMm: ArrayLike<number>): Float64Array {
  requireView(view, ['diameterMm', view.diameterMm]);
  const otf = new Float64Array(frequenciesPerMm.length);
  const numbers = otfNumbers(view);
  for (let i = 0; i < otf.length; i++) {
    const frequency = frequenciesPerMm[i] as number;
    requireFrequency(frequency);
    let sum = 0;
    for (const { c, perMm, weightShare } of numbers) sum += weightShare * overlapOtf(c, frequency / perMm);
    otf[i] = sum;
  }
  return otf;
}

/** @throws InputError out-of-range */
export function requireFrequency(frequencyPerMm: number): void {
  if (!Number.isFinite(frequencyPerMm)) {
    throw new InputError('out-of-range', `frequencyPerMm must be a finite number, but is ${frequencyPerMm}.`, {
      path: 'frequencyPerMm',
      got: frequencyPerMm,
      expected: 'a finite number of cycles/mm',
    });
  }
}
