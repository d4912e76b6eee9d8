/** Rendered scans on which a fit once went astray. */
import { expect, it } from 'vitest';
import { randomRecipe } from '../../../tools/scan-renderer/families.ts';
import { renderScan } from '../../../tools/scan-renderer/render.ts';
import { measureScan } from './measure.ts';
import { rasterSource } from './raster-source.ts';

it('a hole clipped to black beside a lid’s shadow lets no sharpened fit run away from the rim', async () => {
  const recipe = randomRecipe('front-lit-trouble', 60_099, 'snug', 45);
  const { raster, holes } = renderScan(recipe);
  const { xMmPerPx, yMmPerPx } = recipe;
  const { holes: read } = await measureScan(rasterSource(raster), {
    scale: { xMmPerPx, yMmPerPx, source: 'given', detail: 'as drawn' }, tone: recipe.tone, toneSource: 'given', illumination: 'reflective',
  });
  // It ended at 28 px across instead of 36.
  expect(Math.abs(read[0]!.outlineDiameterMm - holes[0]!.equivalentDiameterMm)).toBeLessThan(1 * xMmPerPx);
});
