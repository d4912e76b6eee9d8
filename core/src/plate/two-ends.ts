/** The scale of a scan by two ends of something of known length that lies in it: a rule, a coin, a feeler gauge. */
import { InputError, requirePositive } from '../errors.ts';
import { formatLength } from '../units/length.ts';
import { RATIO_DOUBT } from './ruler.ts';
import type { ScanScale } from './scan.ts';

/** How well an end is hit, in pixels of the picture that was pointed at (k = 1). @source engineering-judgement */
const HIT_PX = 0.5;
/** A rule lies a little askew or higher than the plate. @source engineering-judgement */
const LENGTH_SHARE = 0.002;
/** Nearer ends than this tell no scale. */
const LEAST_APART_PX = 10;

/** A place in the scan: pixel 0,0 covers 0…1, right and down. */
export interface PlacePx {
  readonly columnPx: number;
  readonly rowPx: number;
}

export interface TwoEnds {
  readonly ends: readonly [PlacePx, PlacePx];
  /** What lies between them. */
  readonly lengthMm: number;
  /** Pixels of the scan per pixel of the picture that was pointed at; 1 unless said. */
  readonly shrink?: number;
  /** What file or maker say of the scale: only its ratio of x to y is taken, square pixels without it. */
  readonly stated?: Pick<ScanScale, 'xMmPerPx' | 'yMmPerPx'> | null;
}

/**
 * L² = (s_x Δx)² + (s_y Δy)², with the ratio of s_x to s_y as stated.
 * @throws InputError not-positive; out-of-range for ends that lie too near to each other
 */
export function scaleOfEnds({ ends: [a, b], lengthMm, shrink = 1, stated = null }: TwoEnds): ScanScale {
  requirePositive(lengthMm, 'The length between the ends', 'mm');
  const ratio = stated === null ? 1 : stated.xMmPerPx / stated.yMmPerPx;
  const [acrossPx, downPx] = [b.columnPx - a.columnPx, b.rowPx - a.rowPx];
  const lengthPx = Math.hypot(acrossPx, downPx);
  if (!(lengthPx >= LEAST_APART_PX * shrink)) {
    throw new InputError(
      'out-of-range',
      `The two ends are only ${lengthPx.toFixed(1)} px apart: too near to tell a scale. Take ends that are far apart.`,
      { path: 'ends', got: lengthPx, expected: `at least ${LEAST_APART_PX * shrink} px` },
    );
  }
  const yMmPerPx = lengthMm / Math.hypot(ratio * acrossPx, downPx);
  return {
    xMmPerPx: ratio * yMmPerPx,
    yMmPerPx,
    source: 'ruler',
    detail: `two ends of ${formatLength(lengthMm, { unit: 'mm' })} in the picture, ${Math.round(lengthPx)} px apart`,
    // The diameter goes with the root of both scales: half of the ratio's doubt.
    relativeUncertainty: Math.hypot((Math.SQRT2 * HIT_PX * shrink) / lengthPx, LENGTH_SHARE, RATIO_DOUBT / 2),
  };
}
