import { describe, expect, it } from 'vitest';
import { generator, randomOutline } from '../../../bench/support/outlines.ts';
import { overlapShape } from './clear-shape.ts';
import { ellipseShape, outlineShape, polygonShape, rectangleShape, roundShape, shapeAreaMm2, turnedShape } from './hole-shape.ts';
import { roundOtf } from './round-point-image.ts';
import { oneWavelength } from './seen-light.ts';
import { shapeImage } from './shape-image.ts';
import { shapeOtf } from './shape-otf.ts';
import { thickHoleShare } from './thick-hole.ts';

const base = { focalLengthMm: 106, objectDistanceMm: 700, light: oneWavelength(520) };
const frequencies = [0, 0.5, 1, 2, 3, 4.5, 6, 7, 20];

describe('contrast of any shape', () => {
  it('is the round hole’s for a circle, and for an ellipse along its axis that of a circle as wide', () => {
    const round = roundOtf({ ...base, diameterMm: 0.43 }, frequencies);
    const circle = shapeOtf({ ...base, shape: roundShape(0.43) }, frequencies, 0.7);
    const ellipse = shapeOtf({ ...base, shape: turnedShape(ellipseShape({ widthMm: 0.43, heightMm: 0.3 }), 0.4) }, frequencies, 0.4);
    const polygon = shapeOtf({ ...base, shape: polygonShape(roundShape(0.43)) }, frequencies, 0.7);
    round.forEach((value, i) => {
      expect(circle.real[i]).toBeCloseTo(value, 10);
      expect(ellipse.real[i]).toBeCloseTo(value, 10);
      // 360 corners for a circle
      expect(polygon.real[i]).toBeCloseTo(value, 4);
      expect(circle.imaginary[i]).toBeCloseTo(0, 12);
    });
  });

  it('of a rectangle is the closed form: 1 - s/w, and a sinc of what is left', () => {
    const of = shapeOtf({ ...base, shape: rectangleShape({ widthMm: 0.4, heightMm: 0.2 }) }, frequencies, 0);
    frequencies.forEach((frequency, i) => {
      const left = 0.4 - 520e-6 * 106 * frequency;
      const turn = Math.PI * (1 + 106 / 700) * frequency * left;
      const expected = left <= 0 ? 0 : (left / 0.4) * (turn === 0 ? 1 : Math.sin(turn) / turn);
      expect(of.real[i]).toBeCloseTo(expected, 12);
    });
  });

  it('of a square does not mind how it is turned: corners that only rounding sets apart make no row', () => {
    const diamond = outlineShape([[[0.1, 0], [0, 0.1], [-0.1, 0], [0, -0.1]].map(([xMm, yMm]) => ({ xMm: xMm!, yMm: yMm! }))]);
    const upright = rectangleShape({ widthMm: 0.1 * Math.SQRT2, heightMm: 0.1 * Math.SQRT2 });
    for (let turn = 0; turn < 8; turn++) {
      const angle = (turn * Math.PI) / 8;
      const of = shapeOtf({ ...base, shape: diamond }, frequencies, angle).real;
      shapeOtf({ ...base, shape: upright }, frequencies, angle + Math.PI / 4).real.forEach((value, i) => expect(of[i]).toBeCloseTo(value, 6));
    }
  });

  it('is the Fourier transform of the point image, uneven outlines too', () => {
    const random = generator(5);
    for (let k = 0; k < 3; k++) {
      const shape = randomOutline(random);
      const view = { ...base, objectDistanceMm: Infinity, shape };
      const grid = { columns: 256, rows: 256, pitchMm: 0.03 };
      const { intensity } = shapeImage(view, grid, 1e-6);
      const area = shapeAreaMm2(shape);
      for (const frequency of [1, 2.5]) {
        let re = 0;
        let im = 0;
        intensity.forEach((value, i) => {
          const x = ((i % 256) - 127.5) * grid.pitchMm;
          re += value * Math.cos(2 * Math.PI * frequency * x);
          im -= value * Math.sin(2 * Math.PI * frequency * x);
        });
        const scale = grid.pitchMm ** 2 / area;
        const otf = shapeOtf(view, [frequency], 0);
        // what lies beyond the window of 7.7 mm
        expect(Math.abs((otf.real[0] as number) - re * scale)).toBeLessThan(2e-3);
        expect(Math.abs((otf.imaginary[0] as number) - im * scale)).toBeLessThan(2e-3);
      }
    }
  });
});

describe('what a thick hole leaves open', () => {
  it('round: the lens of two discs', () => {
    for (const share of [0.1, 0.4, 0.9]) {
      const clear = overlapShape(roundShape(0.4), { xMm: share * 0.4, yMm: 0 });
      const expected = thickHoleShare({ diameterMm: 0.4, thicknessMm: share * 0.4, angleRad: Math.PI / 4 });
      expect(shapeAreaMm2(clear ?? roundShape(1)) / shapeAreaMm2(roundShape(0.4))).toBeCloseTo(expected, 4);
    }
    expect(overlapShape(roundShape(0.4), { xMm: 0.41, yMm: 0 })).toBeNull();
  });

  it('square shifted along its own side, and with an island', () => {
    const clear = overlapShape(rectangleShape({ widthMm: 0.4, heightMm: 0.4 }), { xMm: 0.1, yMm: 0 });
    expect(shapeAreaMm2(clear ?? roundShape(9))).toBeCloseTo(0.3 * 0.4, 7);
    const outer = [[-1, -1], [1, -1], [1, 1], [-1, 1]].map(([xMm, yMm]) => ({ xMm: xMm as number, yMm: yMm as number }));
    const island = outer.map(({ xMm, yMm }) => ({ xMm: xMm * 0.2, yMm: yMm * 0.2 })).reverse();
    const ring = overlapShape(outlineShape([outer, island]), { xMm: 0.1, yMm: 0 });
    // 1.9 × 2 less the union of two islands 0.4 × 0.4, 0.1 apart
    expect(shapeAreaMm2(ring ?? roundShape(9))).toBeCloseTo(3.8 - 0.5 * 0.4, 6);
  });
});
