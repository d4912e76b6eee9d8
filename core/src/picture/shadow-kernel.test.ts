import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { outlineShape, roundShape, shapeAreaMm2 } from '../optics/hole-shape.ts';
import { roundOtf } from '../optics/round-point-image.ts';
import { oneWavelength } from '../optics/seen-light.ts';
import { shapeOtf } from '../optics/shape-otf.ts';
import { besselJ } from '../numeric/bessel.ts';
import { filmRay } from './film-ray.ts';
import { photograph } from './photograph.ts';
import { pointKernel } from './point-kernel.ts';
import { drawnByGeometry, geometricContrastError, pointImage, shapeFresnelNumber } from './shadow-kernel.ts';

const light = oneWavelength(550);
const camera = { frame: { widthMm: 120, heightMm: 95 }, focalLengthMm: 106, holeShift: { xMm: 0, yMm: 0 } };
const view = (diameterMm: number) => ({ camera, shape: roundShape(diameterMm), focalLengthMm: 106, objectDistanceMm: Infinity, light });
const pixels = { pitchMm: 0.05, radiusPx: 60, geometric: true };

describe('a hole so large that geometry draws it', () => {
  it('errs by no more than its bound, up to the detail that it turns grey', () => {
    for (const diameterMm of [1.6, 2.5, 5, 12]) {
      expect(drawnByGeometry(view(diameterMm))).toBe(true);
      const bound = geometricContrastError(view(diameterMm));
      // 4/π · 1.22 λ f / d², see the head of the file
      expect(bound).toBeCloseTo(((4 / Math.PI) * 1.22 * 550e-6 * 106) / diameterMm ** 2, 12);
      for (let share = 0.02; share <= 1; share += 0.07) {
        const nu = (share * 1.22) / diameterMm;
        const z = Math.PI * diameterMm * nu;
        const exact = roundOtf({ ...view(diameterMm), diameterMm }, [nu])[0] as number;
        expect(Math.abs(exact - (2 * besselJ(1, z)) / z)).toBeLessThan(bound);
      }
    }
    expect(drawnByGeometry(view(0.43))).toBe(false);
    expect(shapeFresnelNumber(view(0.43))).toBeCloseTo(0.215 ** 2 / (550e-6 * 106), 12);
  });

  it('covers each pixel by its share: area and middle are those of the shape, upright as in the print', () => {
    fc.assert(
      fc.property(fc.array(fc.double({ min: 0.3, max: 1.2, noNaN: true }), { minLength: 5, maxLength: 12 }), (radii) => {
        const points = radii.map((r, i) => {
          const t = (2 * Math.PI * i) / radii.length;
          return { xMm: r * Math.cos(t), yMm: r * Math.sin(t) };
        });
        const kernel = pointKernel({ ...view(1), shape: outlineShape([points]) }, { xMm: 0, yMm: 0 }, pixels);
        const at = (i: number) => ({ x: ((i % 121) - 60) * 0.05, y: (Math.floor(i / 121) - 60) * 0.05 });
        const mean = (part: 'x' | 'y'): number => kernel.reduce((sum, value, i) => sum + value * at(i)[part], 0);
        let [area, x, y] = [0, 0, 0];
        points.forEach((p, i) => {
          const q = points[(i + 1) % points.length] as typeof p;
          const cross = p.xMm * q.yMm - q.xMm * p.yMm;
          area += cross / 2;
          x += (cross * (p.xMm + q.xMm)) / 6;
          y += (cross * (p.yMm + q.yMm)) / 6;
        });
        expect(kernel.every((value) => value >= -1e-12)).toBe(true);
        expect(kernel.reduce((sum, value) => sum + value, 0)).toBeCloseTo(1, 12);
        // what is right on the film, seen from behind, is left in the print; up is down
        // the middle of a pixel stands for the part of it that is covered
        expect(mean('x')).toBeCloseTo(-x / area, 2);
        expect(mean('y')).toBeCloseTo(y / area, 2);
        expect(Math.max(...kernel) * area).toBeCloseTo(0.05 ** 2, 9);
      }),
      { numRuns: 30, seed: 20261125 },
    );
  });

  it('on a flat film the shadow of a distant point is the hole itself, wherever it falls', () => {
    const middle = pointKernel(view(2), { xMm: 0, yMm: 0 }, pixels);
    const corner = pointKernel(view(2), { xMm: 50, yMm: -40 }, pixels);
    corner.forEach((value, i) => expect(Math.abs(value - (middle[i] as number))).toBeLessThan(2e-6));
    expect(filmRay(camera, { xMm: 50, yMm: -40 }).slantRad).toBeGreaterThan(0.5);
  });

  it('draws a photograph through any hole, however large, and says by how much it may err', () => {
    const scene = { columns: 40, rows: 30, channels: 1 as const, samples: new Float32Array(1200).fill(0.5), angleRad: 2 };
    const ask = { scene, channelShares: [0.3, 0.4, 0.3] as const, columns: 64 };
    for (const diameterMm of [0.43, 2, 20, 90]) {
      const { light: grey, rows, geometricErrorShare } = photograph({ ...ask, view: view(diameterMm) });
      // a hole nearly as wide as the frame gathers what its far sides see darker
      const even = (grey[32 + 64 * Math.floor(rows / 2)] as number) / 0.5;
      expect(Math.abs(even - 1)).toBeLessThan(diameterMm < 30 ? 0.02 : 0.2);
      if (diameterMm < 1) expect(geometricErrorShare).toBeNull();
      else expect(geometricErrorShare).toBeCloseTo(geometricContrastError(view(diameterMm)), 12);
    }
  });

  it('the image of a point turns into its shadow where nobody could draw the fringes', () => {
    const grid = { columns: 121, rows: 121, pitchMm: 0.1 };
    const image = pointImage(view(8), grid);
    expect(image.shadow).toBe(true);
    const sum = image.intensity.reduce((total, value) => total + value, 0) * 0.01;
    expect(sum).toBeCloseTo(shapeAreaMm2(roundShape(8)), 6);
    expect(pointImage(view(0.43), grid).shadow).toBe(false);
  });

  it('contrast of large ellipses keeps its digits', () => {
    for (const diameterMm of [2, 6]) {
      const frequencies = [0.3, 2, 9, 25].filter((nu) => nu < diameterMm / (550e-6 * 106));
      const exact = roundOtf({ ...view(diameterMm), diameterMm }, frequencies);
      shapeOtf(view(diameterMm), frequencies, 0.4).real.forEach((value, i) => expect(Math.abs(value - (exact[i] as number))).toBeLessThan(1e-9));
    }
  });
});
