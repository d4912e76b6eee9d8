import type { Raster } from '#core';
import { describe, expect, it } from 'vitest';
import { tonedPixels } from './toned-picture.ts';

const gray: Raster = { widthPx: 3, heightPx: 1, channels: 1, samples: Uint8Array.of(0, 128, 255), fullScale: 255 };
const colour: Raster = { widthPx: 1, heightPx: 1, channels: 3, samples: Uint8Array.of(10, 200, 60), fullScale: 255 };

describe('toned picture', () => {
  it('has only red in the darkroom, gray or colour', () => {
    for (const raster of [gray, colour]) {
      const out = tonedPixels(raster, 'darkroom');
      for (let i = 0; i < out.length; i += 4) expect([out[i + 1], out[i + 2], out[i + 3]]).toEqual([0, 0, 255]);
    }
  });

  it.each(['paper', 'night', 'darkroom'] as const)('keeps the order of grays (%s)', (theme) => {
    const out = tonedPixels(gray, theme);
    expect(out[0]).toBeLessThan(out[4] ?? 0);
    expect(out[4]).toBeLessThan(out[8] ?? 0);
  });
});
