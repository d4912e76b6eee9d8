/** A rule in the scan, rendered with exactly known pitch: found, and its scale right within what is stated. */
import { describe, expect, it } from 'vitest';
import { degreesToRad } from '../units/angle.ts';
import { InputError } from '../errors.ts';
import { randomRecipe } from '../../../tools/scan-renderer/families.ts';
import { renderScan } from '../../../tools/scan-renderer/render.ts';
import { renderRuler } from '../../../tools/scan-renderer/ruler.ts';
import { rasterSource } from './raster-source.ts';
import { findRuler, rulerScale } from './ruler.ts';

const LINEAR = { kind: 'linear' } as const;

function scanOf(options: { angleDeg: number; dpi: number; stretch?: number; divisionMm?: 1 | 0.5; both?: boolean; seed?: number }) {
  const x = 25.4 / options.dpi;
  const y = x * (options.stretch ?? 1);
  const [widthPx, heightPx] = [Math.round(32 / x), Math.round(32 / y)];
  const turn = degreesToRad(options.angleDeg);
  const raster = renderRuler({
    seed: options.seed ?? 7,
    widthPx,
    heightPx,
    xMmPerPx: x,
    yMmPerPx: y,
    rules: [
      { atMm: [4, 26], angleRad: turn, lengthMm: 24 },
      ...(options.both ? [{ atMm: [28, 28] as const, angleRad: turn + Math.PI / 2, lengthMm: 24 }] : []),
    ],
    divisionMm: options.divisionMm ?? 1,
    noise: 0.02,
  });
  return { raster, x, y };
}

describe('a millimetre rule', () => {
  it.each([
    { angleDeg: 0, dpi: 600 },
    { angleDeg: -3.2, dpi: 500, seed: 21 },
    { angleDeg: 31, dpi: 500 },
    { angleDeg: 0.7, dpi: 600, divisionMm: 0.5 as const },
  ])('at $angleDeg° and $dpi dpi gives the scale within what it states', async (options) => {
    const { raster, x } = scanOf(options);
    const marks = await findRuler(rasterSource(raster), LINEAR);
    expect(marks).toHaveLength(1);
    expect(marks[0]!.divisionMm).toBe(options.divisionMm ?? 1);
    const scale = rulerScale(marks);
    expect(scale.source).toBe('ruler');
    expect(Math.abs(scale.xMmPerPx / x - 1)).toBeLessThan(0.001);
    expect(Math.abs(scale.xMmPerPx / x - 1)).toBeLessThan(3 * scale.relativeUncertainty!);
    expect(scale.relativeUncertainty).toBeLessThan(0.003);
  });

  it('across and down tells x and y apart', async () => {
    const { raster, x, y } = scanOf({ angleDeg: 1.1, dpi: 500, stretch: 0.97, both: true });
    const scale = rulerScale(await findRuler(rasterSource(raster), LINEAR));
    expect(scale.xMmPerPx / x).toBeCloseTo(1, 3);
    expect(scale.yMmPerPx / y).toBeCloseTo(1, 3);
    expect(scale.relativeUncertainty).toBeLessThan(0.001);
  });

  it('in one direction takes the ratio of x and y from what is stated', async () => {
    const { raster, x, y } = scanOf({ angleDeg: 0, dpi: 500, stretch: 1.25 });
    const scale = rulerScale(await findRuler(rasterSource(raster), LINEAR), { stated: { xMmPerPx: 1, yMmPerPx: 1.25 } });
    expect(scale.xMmPerPx / x).toBeCloseTo(1, 3);
    expect(scale.yMmPerPx / y).toBeCloseTo(1, 3);
  });
});

it.each(['clean', 'reflective', 'scratch'] as const)('a plate without a rule (%s) has none', async (family) => {
  const { raster } = renderScan(randomRecipe(family, 12));
  const marks = await findRuler(rasterSource(raster), LINEAR);
  expect(marks).toEqual([]);
  expect(() => rulerScale(marks)).toThrow(InputError);
});
