import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { InputError, patchValues } from '#core';
import type { Raster } from '#core';

/** Six strips along the columns from column 10, dust and a slanting border between them. */
function sheet(values: readonly number[], channels: number): Raster {
  const widthPx = 20 + 30 * values.length;
  const heightPx = 50;
  const samples = new Uint8Array(widthPx * heightPx * channels);
  for (let row = 0; row < heightPx; row++) {
    for (let column = 0; column < widthPx; column++) {
      const strip = Math.floor((column - 10 + (row - 25) / 12) / 30);
      const dust = (row * 7 + column * 13) % 97 === 0;
      for (let channel = 0; channel < channels; channel++) {
        samples[(row * widthPx + column) * channels + channel] = dust ? 255 : (values[strip] ?? 0);
      }
    }
  }
  return { widthPx, heightPx, channels, samples, fullScale: 255 };
}

describe('patches of a scan', () => {
  test('the value of each strip, dust and slanting borders left out, grey or colour', () => {
    const values = [200, 170, 140, 90, 60, 30];
    for (const channels of [1, 3]) {
      const window = { columnPx: 10, rowPx: 0, widthPx: 180, heightPx: 50 };
      expect(patchValues(sheet(values, channels), { window, count: 6, along: 'columns' })).toEqual(values);
    }
  });

  test('along the rows as along the columns', () => {
    const raster = sheet([10, 250], 1);
    const turned = new Uint8Array(raster.samples.length);
    for (let row = 0; row < raster.heightPx; row++) {
      for (let column = 0; column < raster.widthPx; column++) {
        turned[column * raster.heightPx + row] = raster.samples[row * raster.widthPx + column] ?? 0;
      }
    }
    const down: Raster = { ...raster, widthPx: raster.heightPx, heightPx: raster.widthPx, samples: turned };
    expect(patchValues(down, { window: { columnPx: 0, rowPx: 10, widthPx: 50, heightPx: 60 }, count: 2, along: 'rows' })).toEqual([10, 250]);
  });

  test('windows that do not fit are refused', () => {
    const raster = sheet([1, 2, 3], 1);
    fc.assert(
      fc.property(fc.integer({ min: -50, max: 200 }), fc.integer({ min: -50, max: 200 }), fc.integer({ min: 0, max: 200 }), fc.integer({ min: 0, max: 120 }), (columnPx, widthPx, rowPx, count) => {
        try {
          const found = patchValues(raster, { window: { columnPx, rowPx, widthPx, heightPx: 30 }, count, along: 'columns' });
          expect(found.length).toBe(count);
        } catch (error) {
          expect(error).toBeInstanceOf(InputError);
        }
      }),
    );
  });
});
