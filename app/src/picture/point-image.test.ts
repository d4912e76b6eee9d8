import { describe, expect, it } from 'vitest';
import { filmRay, oneWavelength, roundShape, shapeImage } from '#core';
import { acrossRay, diameterHolding, filmTransform, inkOf, inked, intensityAt } from './point-image.ts';

const camera = { frame: { widthMm: 120, heightMm: 95 }, focalLengthMm: 106, holeShift: { xMm: 0, yMm: 0 } };
const foot = filmRay(camera, { xMm: 0, yMm: 0 });
const corner = filmRay(camera, { xMm: 60, yMm: -47.5 });
const view = { shape: roundShape(0.43), focalLengthMm: 106, objectDistanceMm: Infinity, light: oneWavelength(550) };
const image = shapeImage(view, { columns: 161, rows: 161, pitchMm: 0.006 });

describe('the point image on the film', () => {
  it('lies on the screen where the projection says, x right and y up', () => {
    for (const ray of [foot, corner]) {
      for (const film of [{ xMm: 0.1, yMm: 0.02 }, { xMm: -0.03, yMm: 0.2 }]) {
        const across = acrossRay(ray, film);
        const [a, b, c, d] = filmTransform(ray, 1);
        expect(a * across.xMm + c * -across.yMm).toBeCloseTo(film.xMm, 12);
        expect(b * across.xMm + d * -across.yMm).toBeCloseTo(-film.yMm, 12);
      }
    }
  });

  it('reads samples as they are and nothing outside', () => {
    expect(intensityAt(image, foot, { xMm: 0, yMm: 0 })).toBeCloseTo(Number(image.intensity[80 * 161 + 80]), 12);
    expect(intensityAt(image, foot, { xMm: 0.012, yMm: 0.03 })).toBeCloseTo(Number(image.intensity[75 * 161 + 82]), 12);
    expect(intensityAt(image, foot, { xMm: 0.6, yMm: 0 })).toBeNull();
  });

  it('finds the circle that holds half of the light, as the mean of rings does', () => {
    const total = (Math.PI * 0.43 ** 2) / 4;
    const half = diameterHolding(image, total, 0.5);
    expect(half).toBeGreaterThan(0.1);
    expect(half).toBeLessThan(0.43);
    const inside = image.intensity.reduce((sum, value, i) => {
      const r = Math.hypot((i % 161) - 80, Math.floor(i / 161) - 80) * 0.006;
      return sum + (r <= Number(half) / 2 ? value : 0);
    }, 0);
    expect((inside * 0.006 ** 2) / total).toBeCloseTo(0.5, 1);
    expect(diameterHolding(image, total, 0.999)).toBeNull();
  });

  it('inks the peak fully, and in log a thousandth by a quarter', () => {
    expect(inkOf(1, 'linear')).toBe(1);
    expect(inkOf(0.001, 'log')).toBeCloseTo(0.25, 12);
    expect(inkOf(0, 'log')).toBe(0);
    const bytes = inked(image, 'linear', { ground: [255, 255, 255], ink: [0, 0, 0] });
    expect(Math.min(...bytes.filter((_, i) => i % 4 === 0))).toBe(0);
  });
});
