/** Rendered scans that once came out wrong, or were refused. */
import { expect, it } from 'vitest';
import { randomRecipe, type Family } from '../../../tools/scan-renderer/families.ts';
import { renderScan } from '../../../tools/scan-renderer/render.ts';
import { measureScan } from './measure.ts';
import { rasterSource } from './raster-source.ts';
import type { ScanFacts } from './scan.ts';

it.each<[string, Family, number, ScanFacts['illumination'], number]>([
  ['a hole whose scratches run out of the picture is whole, and measured', 'scratch', 60_029, 'backlit', 0.1],
  // It ended at 28 px across instead of 36.
  ['a hole clipped to black beside a lid’s shadow lets no sharpened fit run away from the rim', 'front-lit-trouble', 60_099, 'reflective', 1],
])('%s', async (_, family, seed, illumination, withinPx) => {
  const recipe = randomRecipe(family, seed, 'snug', 45);
  const { raster, holes } = renderScan(recipe);
  const { xMmPerPx, yMmPerPx } = recipe;
  const { holes: read } = await measureScan(rasterSource(raster), {
    scale: { xMmPerPx, yMmPerPx, source: 'given', detail: 'as drawn' }, tone: recipe.tone, toneSource: 'given', illumination,
  });
  expect(Math.abs(read[0]!.outlineDiameterMm - holes[0]!.equivalentDiameterMm)).toBeLessThan(withinPx * xMmPerPx);
});
