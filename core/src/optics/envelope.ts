/**
 * The most that any round hole can do at one frequency, over all diameters: the envelope of the OTF curves.
 * In c and q, see `conjugates.ts`.
 */
import { ModelError } from '../errors.ts';
import { brentRoot } from '../numeric/roots.ts';
import { overlapOtf, overlapOtfSlope, requireContrast } from './round-hole.ts';

export interface SharpestHole {
  /** c of the best hole. */
  readonly constant: number;
  /** q, frequency in units of 1 / (m √(λ f′)). */
  readonly q: number;
  /** OTF there. */
  readonly contrast: number;
}

/** Steps of the search in c: the best hole sits on a hump about as wide as 1. */
const STEP = 1 / 8;

/** Beyond every best c: for small q the best c follows (0.52 / q)^(1/3), for large q it stays a little above q. */
function largestUsefulHole(q: number): number {
  return Math.max(2, q) + 1.2 * Math.cbrt(0.52 / q);
}

/**
 * The hole that shows frequency q with the most contrast.
 *   ∂OTF/∂c = 0
 * Valid: 0.002 ≤ q ≤ 3 (below, the best hole is larger than c = 8; above, contrast is under 1 %).
 * @param q from 0.002 to 3
 * @throws ModelError not-converged outside the valid range
 * @source optics-notes 1
 */
export function sharpestHoleAt(q: number): SharpestHole {
  if (!(q >= 0.002 && q <= 3)) {
    throw new ModelError('not-converged', `No best hole is known for q = ${q}; 0.002 to 3 is the range.`, {
      got: q,
      expected: '0.002…3',
    });
  }
  let best = { c: q, otf: 0 };
  const largest = largestUsefulHole(q);
  for (let c = q + STEP; c < largest; c += STEP) {
    const otf = overlapOtf(c, q);
    if (otf > best.otf) best = { c, otf };
  }
  const slope = (c: number): number => overlapOtfSlope(c, q);
  const constant = brentRoot(slope, Math.max(best.c - STEP, q + 1e-9), best.c + STEP);
  return { constant, q, contrast: overlapOtf(constant, q) };
}

/**
 * The highest frequency that any hole can show with a given contrast, and that hole.
 * Valid: contrast from 0.02 to 0.99.
 * @param contrast 0 < contrast < 1
 * @throws InputError out-of-range
 * @throws ModelError not-converged outside the valid range
 * @source optics-notes 1
 */
export function highestFrequencyAt(contrast: number): SharpestHole {
  requireContrast(contrast);
  const spare = (q: number): number => sharpestHoleAt(q).contrast - contrast;
  // the envelope falls steadily, near to exp(-q / 0.58): begin there and widen until the root is between
  const guess = Math.min(Math.max(-0.58 * Math.log(contrast), 0.002), 2.9);
  let low = guess;
  while (spare(low) < 0) low *= 0.9;
  let high = guess;
  while (spare(high) > 0) high *= 1.1;
  const highestQ = brentRoot(spare, low, high);
  return { ...sharpestHoleAt(highestQ), contrast };
}
