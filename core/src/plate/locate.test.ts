/** Holes of a few pixels in scans of two million are found as well as large ones, alone and beside them. */
import { describe, expect, it } from 'vitest';
import { drawnScan } from '../../../tools/scan-renderer/drawn.ts';
import { candidates, pyramidOf } from './locate.ts';
import { lightOfRaster } from './tone.ts';

const SIZE = { widthPx: 1600, heightPx: 1250, blurSigmaPx: 0.8, noiseShare: 0.01 } as const;
const LIT = {
  'from behind': { holeLight: 0.85, plateLight: 0.01, streakShare: 0.06 },
  'from the front': { holeLight: 0.02, plateLight: 0.5, streakShare: 0.06 },
} as const;

const PLACES = [
  { columnPx: 411.3, rowPx: 290.8 },
  { columnPx: 1207.6, rowPx: 911.1 },
] as const;

function found(holes: readonly { columnPx: number; rowPx: number; diameterPx: number }[], lit: keyof typeof LIT) {
  const raster = drawnScan({ ...SIZE, ...LIT[lit], holes });
  const light = lightOfRaster(raster, 0, { kind: 'srgb' });
  const all = candidates(pyramidOf({ widthPx: raster.widthPx, heightPx: raster.heightPx, shrink: 1, light }), 1, 160);
  const best = all[0]!.score;
  // What measuring looks at: no fainter than an eighth of the best.
  const looked = all.filter(({ score }) => score >= 0.12 * best);
  return holes.map(({ columnPx, rowPx, diameterPx }) =>
    looked.some(({ column, row, radiusPx }) => Math.hypot(column - columnPx, row - rowPx) < diameterPx / 2 && radiusPx < diameterPx && radiusPx > diameterPx / 4),
  );
}

describe.each(['from behind', 'from the front'] as const)('lit %s', (lit) => {
  it.each([7, 9, 15, 40, 500])('a hole of %d px is found', (diameterPx) => {
    expect(found([{ ...PLACES[0], diameterPx }], lit)).toEqual([true]);
  });

  it.each([
    [15, 400],
    [30, 600],
  ])('a hole of %d px beside one of %d px is found, and so is that', (small, large) => {
    expect(found([{ ...PLACES[0], diameterPx: large }, { ...PLACES[1], diameterPx: small }], lit)).toEqual([true, true]);
  });
});
