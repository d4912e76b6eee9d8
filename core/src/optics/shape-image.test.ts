import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { generator, randomOutline } from '../../../bench/support/outlines.ts';
import { edgeIntegral } from './edge-integral.ts';
import { ellipseShape, outlineShape, rectangleShape, roundShape, shapeAreaMm2, turnedShape } from './hole-shape.ts';
import { oneWavelength } from './seen-light.ts';
import { shapeImage } from './shape-image.ts';

const daylight = [430, 520, 620].map((wavelengthNm) => ({ wavelengthNm, weightShare: 1 / 3 }));
const base = { focalLengthMm: 106, objectDistanceMm: Infinity, light: daylight };

describe('fast point image', () => {
  it('keeps the tolerance asked for, on burrs, islands and stray holes, against the line integral', () => {
    const random = generator(7);
    for (let index = 0; index < 24; index++) {
      const shape = randomOutline(random);
      const view = { ...base, shape, focalLengthMm: 50 + 120 * random(), objectDistanceMm: index % 3 === 0 ? 600 : Infinity };
      const grid = { columns: 97, rows: 64, pitchMm: 0.016 };
      const places = Array.from({ length: 12 }, (_, k) => (k === 0 ? 0 : Math.floor(97 * 64 * random())));
      const points = places.map((at) => ({ xMm: ((at % 97) - 48) * 0.016, yMm: (31.5 - Math.floor(at / 97)) * 0.016 }));
      const exact = edgeIntegral(view, points).intensity;
      for (const tolerance of [1e-4, 1e-6]) {
        const { intensity } = shapeImage(view, grid, tolerance);
        const peak = Math.max(...intensity);
        places.forEach((at, k) => expect(Math.abs((intensity[at] as number) - (exact[k] as number))).toBeLessThan(tolerance * peak));
      }
    }
  });

  it('keeps nearly all energy in a wide window, the area of the hole (Parseval)', () => {
    // what is missing lies beyond the window: about λ f P / (2π² A R), P the rim; under 2 % here
    const shape = rectangleShape({ widthMm: 0.4, heightMm: 0.3, angleRad: 0.5 });
    const grid = { columns: 400, rows: 400, pitchMm: 0.02 };
    const { intensity } = shapeImage({ ...base, shape }, grid);
    const sum = intensity.reduce((total, one) => total + one, 0) * grid.pitchMm ** 2;
    expect(sum / shapeAreaMm2(shape)).toBeGreaterThan(0.98);
    expect(sum / shapeAreaMm2(shape)).toBeLessThan(1);
  });

  it('depends on a²/(λ f′) and α x a alone: scaled camera, same image', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.4, max: 3, noNaN: true }), fc.double({ min: 0.15, max: 0.6, noNaN: true }), (scale, width) => {
        const grid = { columns: 24, rows: 16, pitchMm: 0.03 };
        const light = oneWavelength(550);
        const one = shapeImage({ ...base, light, shape: ellipseShape({ widthMm: width, heightMm: 0.3 }) }, grid);
        const other = shapeImage(
          { ...base, light, focalLengthMm: 106 * scale * scale, shape: ellipseShape({ widthMm: width * scale, heightMm: 0.3 * scale }) },
          { ...grid, pitchMm: grid.pitchMm * scale },
        );
        one.intensity.forEach((value, i) => expect(other.intensity[i]).toBeCloseTo(value, 8));
      }),
      { numRuns: 20 },
    );
  });

  it('turns with the hole', () => {
    const random = generator(3);
    const shape = randomOutline(random);
    const grid = { columns: 33, rows: 33, pitchMm: 0.04 };
    const straight = shapeImage({ ...base, shape }, grid, 1e-8).intensity;
    const quarter = shapeImage({ ...base, shape: turnedShape(shape, Math.PI / 2) }, grid, 1e-8).intensity;
    // a quarter turn counter-clockwise takes (column, row) to (row, 32 - column)
    for (let row = 0; row < 33; row++) {
      for (let column = 0; column < 33; column++) {
        expect(quarter[(32 - column) * 33 + row]).toBeCloseTo(straight[row * 33 + column] as number, 7);
      }
    }
  });

  it('is symmetric where the hole is', () => {
    const grid = { columns: 32, rows: 21, pitchMm: 0.05 };
    const { intensity } = shapeImage({ ...base, shape: roundShape(0.43) }, grid, 1e-9);
    for (let i = 0; i < intensity.length; i++) expect(intensity[intensity.length - 1 - i]).toBeCloseTo(intensity[i] as number, 9);
  });

  it('refuses an outline that leaves nothing open', () => {
    const square = [[0, 0], [0, 1], [1, 1], [1, 0]].map(([xMm, yMm]) => ({ xMm: xMm as number, yMm: yMm as number }));
    expect(() => outlineShape([square])).toThrow(/nothing open/);
    expect(() => outlineShape([square.slice(0, 2)])).toThrow(/three/);
  });
});
