/**
 * What a round hole does to contrast, on the axis: its incoherent optical transfer function (OTF),
 * by the overlap of the hole with its own shifted copy, in c and q (see `conjugates.ts`), and the limits that
 * follow from it in millimetres. Contrast in a film's own light is in `round-point-image.ts`.
 */
import { InputError, requirePositive } from '../errors.ts';
import { gaussLegendre } from '../numeric/quadrature.ts';
import type { GaussRule } from '../numeric/quadrature.ts';
import { brentMinimum, brentRoot } from '../numeric/roots.ts';
import { diffractionLengthMm } from './conjugates.ts';
import type { Conjugates } from './conjugates.ts';

const RULES: readonly GaussRule[] = [12, 16, 20, 24, 32, 48, 64].map(gaussLegendre);

/**
 * The smallest rule that integrates a phase turning by `turnRad` over the half lens to about 1e-14. Gauss
 * converges at once when its points are denser than the turns; the margin is measured in the test.
 */
function ruleFor(turnRad: number): { readonly rule: GaussRule; readonly panels: number } {
  const needed = 13 + turnRad / 2;
  for (const rule of RULES) if (rule.nodes.length >= needed) return { rule, panels: 1 };
  const panels = Math.ceil(turnRad / 60);
  return { rule: RULES[RULES.length - 1] as GaussRule, panels };
}

/**
 * Signed OTF of a round hole; negative is reversed contrast.
 *   OTF(c, q) = (4/π) ∫ cos(2π q (c sin t - q) / 2) cos² t dt,  t from asin(q/c) to π/2;  0 for q ≥ c
 * Valid: Fresnel regime, thin round hole, incoherent light, on the axis.
 * @param c d / √(λ f′), > 0
 * @param q ν m √(λ f′), any sign
 * @source hopkins1955, optics-notes 2
 */
export function overlapOtf(c: number, q: number): number {
  if (q < 0) return overlapOtf(c, -q);
  if (q >= c) return 0;
  if (q === 0) return 1;
  const t0 = Math.asin(q / c);
  const { rule, panels } = ruleFor(Math.PI * q * (c - q));
  const half = (Math.PI / 2 - t0) / (2 * panels);
  let sum = 0;
  for (let panel = 0; panel < panels; panel++) {
    const middle = t0 + (2 * panel + 1) * half;
    for (let i = 0; i < rule.nodes.length; i++) {
      const t = middle + half * (rule.nodes[i] as number);
      const cosT = Math.cos(t);
      sum += (rule.weights[i] as number) * Math.cos(Math.PI * q * (c * Math.sin(t) - q)) * cosT * cosT;
    }
  }
  return (4 / Math.PI) * half * sum;
}

/**
 * ∂OTF/∂c at a fixed q: zero for the hole that shows this frequency best.
 * @param c > q
 * @param q > 0
 * @source optics-notes 2
 */
export function overlapOtfSlope(c: number, q: number): number {
  if (!(q < c)) return 0;
  const t0 = Math.asin(q / c);
  const { rule, panels } = ruleFor(Math.PI * q * (c - q));
  const half = (Math.PI / 2 - t0) / (2 * panels);
  let sum = 0;
  for (let panel = 0; panel < panels; panel++) {
    const middle = t0 + (2 * panel + 1) * half;
    for (let i = 0; i < rule.nodes.length; i++) {
      const t = middle + half * (rule.nodes[i] as number);
      const sinT = Math.sin(t);
      const cosT = Math.cos(t);
      const turn = Math.PI * q * sinT;
      sum -= (rule.weights[i] as number) * turn * Math.sin(Math.PI * q * (c * sinT - q)) * cosT * cosT;
    }
  }
  // the lens itself grows with c: - cos² t0 · dt0/dc = cos t0 · q / c²
  return (4 / Math.PI) * (half * sum + (Math.cos(t0) * q) / (c * c));
}

/**
 * The lowest contrast that a hole shows anywhere from frequency 0 up to `highestQ`.
 * @param c > 0
 * @param highestQ > 0
 */
export function lowestContrastUpTo(c: number, highestQ: number): number {
  const otf = (q: number): number => overlapOtf(c, q);
  const count = Math.max(8, Math.ceil(highestQ / scanStep(c)));
  const step = highestQ / count;
  let lowest = otf(highestQ);
  let before = 1;
  let here = otf(step);
  for (let k = 1; k < count; k++) {
    const after = otf((k + 1) * step);
    if (here <= before && here <= after) {
      lowest = Math.min(lowest, brentMinimum(otf, (k - 1) * step, (k + 1) * step, 1e-8).value);
    }
    before = here;
    here = after;
  }
  // a curve that rises at the end has its last valley in the last step
  const rises = otf(highestQ) > otf(highestQ - 1e-5 * step);
  return rises ? Math.min(lowest, brentMinimum(otf, highestQ - step, highestQ, 1e-8).value) : lowest;
}

/** Fine enough that the OTF has at most one valley within two steps: its ripples are about 1/c wide. */
function scanStep(c: number): number {
  return Math.min(c, 1 / c) / 8;
}

/**
 * The frequency q at which the contrast falls to `contrast` for the first time, going up from 0.
 * @param c > 0
 * @param contrast 0 < contrast < 1
 */
export function firstCrossing(c: number, contrast: number): number {
  const excess = (q: number): number => overlapOtf(c, q) - contrast;
  const step = scanStep(c);
  let before = 1 - contrast;
  let here = excess(step);
  let low = 0;
  for (let k = 1; here > 0; k++) {
    const after = excess((k + 1) * step);
    if (here <= before && here <= after) {
      // a dip between the samples may touch the contrast although both sides stay above it
      const dip = brentMinimum(excess, (k - 1) * step, (k + 1) * step, 1e-9);
      if (dip.value <= 0) return brentRoot(excess, (k - 1) * step, dip.at);
    }
    low = k * step;
    before = here;
    here = after;
  }
  return brentRoot(excess, low, low + step);
}

export interface RoundHole extends Conjugates {
  /** > 0 */
  readonly diameterMm: number;
}

/** @throws InputError not-positive */
function holeAndScale(hole: RoundHole): { readonly c: number; readonly perMm: number } {
  requirePositive(hole.diameterMm, 'diameterMm', 'mm');
  const lengthMm = diffractionLengthMm(hole);
  return { c: hole.diameterMm / lengthMm, perMm: 1 / (lengthMm * (1 + hole.focalLengthMm / hole.objectDistanceMm)) };
}

/**
 * Frequency above which a round hole shows nothing, cycles/mm on the film.
 *   ν_c = d / (λ f)
 * Valid: Fresnel regime, thin hole, incoherent light of one wavelength, on the axis.
 * @param hole all > 0; object distance may be infinite
 * @throws InputError not-positive
 * @source optics-notes 2
 */
export function cutoffFrequencyPerMm(hole: RoundHole): number {
  const { c, perMm } = holeAndScale(hole);
  return c * perMm;
}

/**
 * The finest detail that a round hole still shows with a given contrast, cycles/mm on the film:
 * the first frequency, going up, at which the OTF falls to it.
 * Valid: as `cutoffFrequencyPerMm`.
 * @param hole all > 0; object distance may be infinite
 * @param contrast 0 < contrast < 1
 * @throws InputError not-positive, out-of-range
 * @source optics-notes 2
 */
export function limitingFrequencyPerMm(hole: RoundHole, contrast: number): number {
  const { c, perMm } = holeAndScale(hole);
  requireContrast(contrast);
  return firstCrossing(c, contrast) * perMm;
}

/** @throws InputError out-of-range */
export function requireContrast(contrast: number): void {
  if (!(contrast > 0 && contrast < 1)) {
    throw new InputError('out-of-range', `contrast must lie between 0 and 1, but is ${contrast}.`, {
      path: 'contrast',
      got: contrast,
      expected: '0 < contrast < 1',
    });
  }
}
