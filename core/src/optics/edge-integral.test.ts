import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { tileFourier } from '../numeric/fourier.ts';
import { edgeIntegral } from './edge-integral.ts';
import { outlineShape } from './hole-shape.ts';
import { oneWavelength } from './seen-light.ts';

const radiusAt = (t: number): number => 0.2 * (1 + 0.05 * Math.cos(3 * t) + 0.02 * Math.sin(7 * t));
const outline = Array.from({ length: 720 }, (_, k) => {
  const t = (2 * Math.PI * k) / 720;
  return { xMm: radiusAt(t) * Math.cos(t), yMm: radiusAt(t) * Math.sin(t) };
});
const view = { focalLengthMm: 106, objectDistanceMm: Infinity, light: oneWavelength(550), shape: outlineShape([outline]) };

/** The other way: the hole as pixels (each its covered share), its spectrum turned by the way to the film. Fresnel kernel. */
function byFourier(size: number, windowMm: number): Float64Array {
  const pitch = windowMm / size;
  const fourier = tileFourier(size);
  const field = new Float64Array(2 * size * size);
  for (let row = 0; row < size; row++) {
    for (let column = 0; column < size; column++) {
      const x = (column - size / 2) * pitch;
      const y = (row - size / 2) * pitch;
      if (Math.hypot(x, y) > 0.23) continue;
      let inside = 0;
      for (let k = 0; k < 36; k++) {
        const u = x + (((k % 6) + 0.5) / 6 - 0.5) * pitch;
        const v = y + ((Math.floor(k / 6) + 0.5) / 6 - 0.5) * pitch;
        if (Math.hypot(u, v) < radiusAt(Math.atan2(v, u))) inside++;
      }
      field[2 * (row * size + column)] = inside / 36;
    }
  }
  fourier.forward(field);
  for (let row = 0; row < size; row++) {
    const fy = (row < size / 2 ? row : row - size) / windowMm;
    for (let column = 0; column < size; column++) {
      const fx = (column < size / 2 ? column : column - size) / windowMm;
      const phase = -Math.PI * 550e-6 * 106 * (fx * fx + fy * fy);
      const i = 2 * (row * size + column);
      const [re, im] = [field[i] as number, field[i + 1] as number];
      field[i] = re * Math.cos(phase) - im * Math.sin(phase);
      field[i + 1] = re * Math.sin(phase) + im * Math.cos(phase);
    }
  }
  fourier.inverse(field);
  return Float64Array.from({ length: size * size }, (_, i) => (field[2 * i] as number) ** 2 + (field[2 * i + 1] as number) ** 2);
}

describe('the integral along the rim', () => {
  it('agrees with the independent way by Fourier transforms, as far as that one goes', () => {
    const [size, windowMm] = [1024, 6.4];
    const usual = byFourier(size, windowMm);
    const places = Array.from({ length: 150 }, (_, i) => [size / 2 - 40 + ((i * 37 + 40) % 81), size / 2 - 40 + ((i * 91 + 40) % 81)] as const);
    const points = places.map(([column, row]) => ({ xMm: ((column - size / 2) * windowMm) / size, yMm: ((row - size / 2) * windowMm) / size }));
    const { intensity } = edgeIntegral(view, points);
    const peak = Math.max(...intensity);
    const error = Math.max(...places.map(([column, row], i) => Math.abs((usual[row * size + column] as number) - (intensity[i] as number)))) / peak;
    // raster edge and wrap-around of the transform; the integral itself is good to 1e-11
    expect(error).toBeLessThan(5e-3);
    expect(peak).toBeGreaterThan(2.5);
  });

  it('errs by no more than the bound it gives', () => {
    fc.assert(
      fc.property(fc.double({ min: -0.4, max: 0.4, noNaN: true }), fc.double({ min: -0.4, max: 0.4, noNaN: true }), fc.integer({ min: 2, max: 8 }), (xMm, yMm, digits) => {
        const coarse = edgeIntegral(view, [{ xMm, yMm }], 10 ** -digits);
        const fine = edgeIntegral(view, [{ xMm, yMm }], 1e-12);
        expect(Math.abs((coarse.intensity[0] as number) - (fine.intensity[0] as number))).toBeLessThanOrEqual(coarse.errorBoundShare + 1e-11);
      }),
      { numRuns: 40, seed: 20261125 },
    );
  });
});
