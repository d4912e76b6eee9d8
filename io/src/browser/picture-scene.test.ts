import { describe, expect, it } from 'vitest';
import type { ScenePhotograph } from '#core';
import { smallScene } from './picture-scene.ts';

const stripes = (columns: number, rows: number): ScenePhotograph => ({
  columns,
  rows,
  channels: 4,
  samples: Uint8Array.from({ length: columns * rows * 4 }, (_, i) => (i % 4 === 3 || Math.floor(i / 4) % 2 === 0 ? 255 : 0)),
  angleRad: 1.2,
});

describe('a photograph made small', () => {
  it('holds the mean light, not the mean of the encoded values', () => {
    const small = smallScene(stripes(1440, 10));
    expect([small.columns, small.rows, small.channels]).toEqual([720, 5, 3]);
    for (const value of small.samples) expect(value).toBeCloseTo(0.5, 6);
    expect(small.angleRad).toBeCloseTo(1.2, 12);
  });

  it('keeps the scale when a remainder of columns is left out', () => {
    const small = smallScene(stripes(1999, 8));
    expect(small.columns).toBe(999);
    expect(small.columns / Math.tan(small.angleRad / 2)).toBeCloseTo(1999 / Math.tan(0.6) / 2, 9);
  });

  it('leaves a small one as it is', () => {
    const small = smallScene(stripes(40, 3));
    expect([small.columns, small.rows]).toEqual([40, 3]);
    expect(small.samples[0]).toBe(1);
    expect(small.samples[3]).toBe(0);
  });
});
