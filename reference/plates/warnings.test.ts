/**
 * What the measuring doubts of a scan by its own pixels: made larger after it was scanned, or stated at a resolution that its
 * sharpness contradicts. The truth is the recipe's (tools/scan-renderer): its scale, and that nothing was resampled.
 */
import { describe, expect, it } from 'vitest';
import { measureScan, rasterSource } from '#core';
import type { Raster } from '#core';
import { randomRecipe } from '../../tools/scan-renderer/families.ts';
import type { Family } from '../../tools/scan-renderer/families.ts';
import { renderScan } from '../../tools/scan-renderer/render.ts';
import type { ScanRecipe } from '../../tools/scan-renderer/recipe.ts';

const ALIKE = /^Neighbouring pixels are alike/;
const TOO_SHARP = /finer than scanners see\. The resolution is probably stated too high/;
const TOO_SOFT = /more than scanners do in focus\. Either the plate stood off the glass, or the resolution is stated too low/;

/** What is said of the one hole, at so many times the true millimetres per pixel. */
async function cautionsOf(raster: Raster, recipe: ScanRecipe, scaleShare = 1, source: 'given' | 'ruler' = 'given'): Promise<readonly string[]> {
  const reading = await measureScan(rasterSource(raster), {
    scale: { xMmPerPx: scaleShare * recipe.xMmPerPx, yMmPerPx: scaleShare * recipe.yMmPerPx, source, detail: 'by the recipe' },
    tone: recipe.tone,
    toneSource: 'given',
    illumination: 'unknown',
  });
  expect(reading.holes).toHaveLength(1);
  return reading.holes[0]!.cautions;
}

/** Enlarged `factor` times as picture programs do: bilinear, pixel centres on pixel centres. */
function enlarged(raster: Raster, factor: number): Raster {
  const { widthPx, heightPx, channels, samples } = raster;
  const [wide, high] = [Math.round(widthPx * factor), Math.round(heightPx * factor)];
  const out = new (samples.constructor as Uint8ArrayConstructor)(wide * high * channels);
  const at = (column: number, row: number, channel: number): number =>
    samples[(Math.min(heightPx - 1, Math.max(0, row)) * widthPx + Math.min(widthPx - 1, Math.max(0, column))) * channels + channel]!;
  for (let row = 0; row < high; row++) {
    const y = (row + 0.5) / factor - 0.5;
    const [top, dy] = [Math.floor(y), y - Math.floor(y)];
    for (let column = 0; column < wide; column++) {
      const x = (column + 0.5) / factor - 0.5;
      const [left, dx] = [Math.floor(x), x - Math.floor(x)];
      for (let c = 0; c < channels; c++) {
        const above = (1 - dx) * at(left, top, c) + dx * at(left + 1, top, c);
        const below = (1 - dx) * at(left, top + 1, c) + dx * at(left + 1, top + 1, c);
        out[(row * wide + column) * channels + c] = Math.round((1 - dy) * above + dy * below);
      }
    }
  }
  return { ...raster, widthPx: wide, heightPx: high, samples: out };
}

const scans: readonly (readonly [Family, number])[] = [
  ['clean', 3],
  ['reflective', 5],
];

describe.each(scans)('%s %i', (family, seed) => {
  const recipe = randomRecipe(family, seed, 'snug', 30);
  const { raster } = renderScan(recipe);

  it('as scanned, at its own resolution: none of these doubts', async () => {
    const said = await cautionsOf(raster, recipe);
    for (const doubt of [ALIKE, TOO_SHARP, TOO_SOFT]) expect(said).not.toContainEqual(expect.stringMatching(doubt));
  });

  it('enlarged twice after scanning: neighbours are alike', async () => {
    const twice = enlarged(raster, 2);
    expect(await cautionsOf(twice, recipe, 0.5)).toContainEqual(expect.stringMatching(ALIKE));
    // the file still states the scanner's resolution, or a rule gives the scale: its pixels are no less alike
    expect(await cautionsOf(twice, recipe, 1)).toContainEqual(expect.stringMatching(ALIKE));
  });

  it('stated six times too fine or too coarse: contradicted by its sharpness, unless the scale is a rule’s', async () => {
    // the recipes blur by 4.5 to 11 µm: beyond what flatbeds do (2.2 to 22 µm) once the scale is six times off
    expect(await cautionsOf(raster, recipe, 1 / 6)).toContainEqual(expect.stringMatching(TOO_SHARP));
    // a blur narrower than a pixel would tell nothing of softness
    expect(Math.min(recipe.sigmaXMm / recipe.xMmPerPx, recipe.sigmaYMm / recipe.yMmPerPx)).toBeGreaterThan(1.1);
    expect(await cautionsOf(raster, recipe, 6)).toContainEqual(expect.stringMatching(TOO_SOFT));
    for (const share of [1 / 6, 6]) {
      const ruled = await cautionsOf(raster, recipe, share, 'ruler');
      expect(ruled).not.toContainEqual(expect.stringMatching(TOO_SHARP));
      expect(ruled).not.toContainEqual(expect.stringMatching(TOO_SOFT));
    }
  });
});
