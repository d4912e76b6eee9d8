/** A scale from two ends of a known length in the picture. */
import type { ScanScale } from '#core';
import { formatLength } from '#core';
import type { Place } from './view.ts';

/** How well an end is hit, in pixels of the picture that was tapped (k = 1). Judgement, no source. */
const HIT_PX = 0.5;
/** A ruler lies a little askew or higher than the plate. Judgement, no source. */
const RULER_SHARE = 0.002;

/**
 * @param ends in pixels of the scan
 * @param lengthMm > 0, what lies between them
 * @param shrink pixels of the scan per pixel that could be seen
 */
export function rulerScale(ends: readonly [Place, Place], lengthMm: number, shrink: number): ScanScale | null {
  const [a, b] = ends;
  const lengthPx = Math.hypot(b.x - a.x, b.y - a.y);
  if (!(lengthPx >= 10 * shrink) || !(lengthMm > 0)) {
    return null;
  }
  const mmPerPx = lengthMm / lengthPx;
  return {
    xMmPerPx: mmPerPx,
    yMmPerPx: mmPerPx,
    source: 'ruler',
    detail: `two ends of ${formatLength(lengthMm, { unit: 'mm' })} in the picture, ${Math.round(lengthPx)} px apart`,
    relativeUncertainty: Math.hypot((Math.SQRT2 * HIT_PX * shrink) / lengthPx, RULER_SHARE),
  };
}
