/** Figures of outlines whose figures are known in closed form. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { figuresOf, outlineFigures } from './figures.ts';

const HERE = { mmPerUnit: 0.005, originXMm: 1.2, originYMm: 0.8 };
const POINTS = 720;

/** Points of r(θ) about a centre, y up, units. */
function rim(r: (angleRad: number) => number, x = 0, y = 0): { x: number; y: number }[] {
  return Array.from({ length: POINTS }, (_, i) => {
    const angle = (2 * Math.PI * i) / POINTS;
    return { x: x + r(angle) * Math.cos(angle), y: y + r(angle) * Math.sin(angle) };
  });
}

describe('an ellipse', () => {
  it('has its own axes, direction, area and centroid', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.6, max: 0.97, noNaN: true }),
        fc.double({ min: 0, max: Math.PI - 1e-6, noNaN: true }),
        fc.double({ min: -3, max: 3, noNaN: true }),
        (ratio, turn, x) => {
          const [long, short] = [50, 50 * ratio];
          const figures = figuresOf(
            rim((angle) => (long * short) / Math.hypot(short * Math.cos(angle - turn), long * Math.sin(angle - turn)), x, 1),
            HERE,
          );
          // 720 straight sides lose about (2π/720)²/6 of the area, 1.3e-5, and half of that in length.
          expect(figures.ellipse.longMm / 0.5 - 1).toBeCloseTo(0, 4);
          expect(figures.ellipse.shortMm / (0.5 * ratio) - 1).toBeCloseTo(0, 4);
          expect(Math.abs(Math.sin(figures.ellipse.angleRad - turn))).toBeLessThan(1e-3);
          expect(figures.areaMm2 / ((Math.PI / 4) * 0.25 * ratio) - 1).toBeCloseTo(0, 4);
          expect(figures.centroid.xMm).toBeCloseTo(1.2 + 0.005 * x, 6);
          expect(figures.centroid.yMm).toBeCloseTo(0.8 - 0.005, 6);
        },
      ),
      { numRuns: 15 },
    );
  });
});

describe('lobes', () => {
  it.each([2, 3, 5, 9, 15])('of order %i are found with their size and place, and leave no raggedness', (order) => {
    const figures = figuresOf(rim((angle) => 40 + 0.6 * Math.cos(order * angle - 0.7)), HERE);
    for (const lobe of figures.lobes) {
      expect(lobe.amplitudeMm).toBeCloseTo(lobe.order === order ? 0.003 : 0, 4);
      if (lobe.order === order) expect(lobe.phaseRad).toBeCloseTo(0.7, 2);
    }
    expect(figures.lobes.map(({ order: k }) => k)).toEqual(Array.from({ length: 14 }, (_, i) => i + 2));
    expect(figures.raggednessMm).toBeLessThan(2e-5);
  });

  it('of a higher order than 15 are raggedness: amplitude over the root of two', () => {
    const figures = figuresOf(rim((angle) => 40 + 0.6 * Math.cos(24 * angle)), HERE);
    expect(figures.raggednessMm).toBeCloseTo(0.003 / Math.SQRT2, 5);
  });

  it('do not depend on where the outline lies in its frame', () => {
    const [at, away] = [rim((angle) => 40 + 0.6 * Math.cos(3 * angle)), rim((angle) => 40 + 0.6 * Math.cos(3 * angle), 2, -1)];
    const [a, b] = [figuresOf(at, HERE), figuresOf(away, HERE)];
    for (const [i, lobe] of a.lobes.entries()) expect(b.lobes[i]!.amplitudeMm).toBeCloseTo(lobe.amplitudeMm, 5);
  });
});

it('a circle’s perimeter and area are those of its diameter', () => {
  const figures = outlineFigures(Float64Array.of(40), HERE);
  expect(figures.equivalentDiameterMm).toBeCloseTo(0.4, 12);
  expect(figures.perimeterMm).toBeCloseTo(Math.PI * 0.4, 4);
  expect(figures.lobes.every(({ amplitudeMm }) => amplitudeMm < 1e-9)).toBe(true);
});
