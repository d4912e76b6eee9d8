/** A cross drawn on a rendered plate with its crossing at a known place: found there, and none found where none is. */
import { describe, expect, it } from 'vitest';
import { degreesToRad } from '../units/angle.ts';
import { randomRecipe } from '../../../tools/scan-renderer/families.ts';
import { renderScan } from '../../../tools/scan-renderer/render.ts';
import type { Cross } from '../../../tools/scan-renderer/recipe.ts';
import { drawnCross } from './drawn-cross.ts';
import { pyramidOf } from './locate.ts';
import { measureScan } from './measure.ts';
import { middleBetween, middleOf } from './plate-middle.ts';
import { rasterSource } from './raster-source.ts';
import { lightOfRaster } from './tone.ts';

interface Drawn extends Partial<Cross> {
  readonly dpi?: number;
  readonly stretch?: number;
  /** Of the hole against the crossing, px. */
  readonly holeAt?: readonly [number, number];
}

function plate({ dpi = 1200, stretch = 1, holeAt = [14, -9], ...drawn }: Drawn, seed = 100) {
  const base = randomRecipe('reflective', seed);
  const mm = 25.4 / dpi;
  const cross: Cross = {
    columnPx: 187.3, rowPx: 171.8, angleRad: degreesToRad(12), fromMm: 0, toMm: 140 * mm, widthMm: 0.12, strength: -0.45, ...drawn,
  };
  const recipe = {
    ...base, widthPx: 380, heightPx: 350, xMmPerPx: mm, yMmPerPx: mm * stretch, cross,
    sigmaXMm: Math.max(base.sigmaXMm, 0.4 * mm), sigmaYMm: Math.max(base.sigmaYMm, 0.4 * mm * stretch),
    holes: [{ columnPx: cross.columnPx + holeAt[0], rowPx: cross.rowPx + holeAt[1], diameterMm: 0.42 }],
  };
  return { recipe, cross, ...renderScan(recipe) };
}

function find({ recipe, raster }: Pick<ReturnType<typeof renderScan>, 'raster'> & { readonly recipe: ReturnType<typeof randomRecipe> }) {
  const light = lightOfRaster(raster, raster.channels >= 3 ? 1 : 0, recipe.tone);
  const [hole] = recipe.holes;
  return drawnCross(
    pyramidOf({ widthPx: raster.widthPx, heightPx: raster.heightPx, shrink: 1, light }),
    [{ column: hole!.columnPx, row: hole!.rowPx, radiusPx: hole!.diameterMm / 2 / recipe.xMmPerPx }],
    { xMmPerPx: recipe.xMmPerPx, yMmPerPx: recipe.yMmPerPx, source: 'given', detail: 'as drawn' },
  );
}

describe('a drawn cross', () => {
  it.each<[string, Drawn]>([
    ['in ink through the hole', { holeAt: [0.4, 0.3] }],
    ['scribed, shining, askew', { angleRad: degreesToRad(41), skewRad: degreesToRad(2.5), strength: 0.4, widthMm: 0.08 }],
    ['of four ticks', { fromMm: 1.1, toMm: 2.6 }],
    ['beside the hole', { holeAt: [-90, 60] }],
    ['of a broad pen, in pixels that are not square', { widthMm: 0.35, stretch: 1.3 }],
    ['at 600 px per inch', { dpi: 600, widthMm: 0.2 }],
  ])('%s is found within what it states', (_, drawn) => {
    const scan = plate(drawn);
    const found = find(scan)!;
    const offMm = Math.hypot(
      found.center.xMm - scan.cross.columnPx * scan.recipe.xMmPerPx,
      found.center.yMm - scan.cross.rowPx * scan.recipe.yMmPerPx,
    );
    // Rendered lines are straight: what is stated is mostly the hand that draws, a tenth of the line's width.
    expect(offMm).toBeLessThan(found.standardUncertaintyMm);
    expect(offMm).toBeLessThan(0.15 * scan.recipe.xMmPerPx);
    expect(found.standardUncertaintyMm).toBeLessThan(0.04);
    expect(found.lineWidthMm! / scan.cross.widthMm).toBeGreaterThan(0.6);
    expect(found.lineWidthMm! / scan.cross.widthMm).toBeLessThan(1.3);
  });

  it('is not made up from scratches, grain or one line', () => {
    for (let seed = 0; seed < 5; seed++) {
      const recipe = { ...randomRecipe((['reflective', 'white-lid', 'colour'] as const)[seed % 3]!, 700 + seed), scratches: 8 };
      expect(find({ recipe, ...renderScan(recipe) })).toBeNull();
    }
  });

  it('is not told when there are two', () => {
    const one = plate({ holeAt: [-60, -70], toMm: 1.6 });
    const other = plate({ columnPx: 290, rowPx: 270, holeAt: [-162.7, -168.2], toMm: 1.6 });
    const samples = one.raster.samples.map((value, i) => Math.min(value, other.raster.samples[i]!)) as typeof one.raster.samples;
    expect(find({ recipe: one.recipe, raster: { ...one.raster, samples } })).toBeNull();
  });

  it('tells where the hole is on the plate, before the plate’s edges', async () => {
    const { recipe, raster, holes } = plate({});
    const reading = await measureScan(rasterSource(raster), {
      scale: { xMmPerPx: recipe.xMmPerPx, yMmPerPx: recipe.yMmPerPx, source: 'given', detail: 'as drawn' },
      tone: recipe.tone, toneSource: 'given', illumination: 'reflective',
    });
    const middle = middleOf(reading)!;
    expect(middle.by).toBe('cross');
    const { center, diameterMm } = reading.holes[0]!.leastSquares;
    expect(Math.abs(center.xMm - middle.center.xMm - 14 * recipe.xMmPerPx)).toBeLessThan(3 * middle.standardUncertaintyMm);
    expect(Math.abs(center.yMm - middle.center.yMm + 9 * recipe.yMmPerPx)).toBeLessThan(3 * middle.standardUncertaintyMm);
    // What is drawn through the hole's rim costs the diameter little.
    expect(Math.abs(diameterMm / holes[0]!.leastSquaresDiameterMm - 1)).toBeLessThan(0.005);
  });
});

describe('a middle pointed at', () => {
  it('lies half-way between two places, and comes before all that is found', () => {
    const middle = middleBetween([{ columnPx: 10, rowPx: 30 }, { columnPx: 110, rowPx: 50 }], { xMmPerPx: 0.01, yMmPerPx: 0.02 }, 4);
    expect(middle.center).toEqual({ xMm: 0.6, yMm: 0.8 });
    // Each place is hit to half a pixel of the picture seen: four of the scan, the coarser way.
    expect(middle.standardUncertaintyMm).toBeCloseTo((0.5 * 4 * 0.02) / Math.SQRT2, 12);
    expect(middleOf({ middle, plate: null })?.by).toBe('points');
    expect(middleOf({ middle: null, plate: null })).toBeNull();
  });
});
