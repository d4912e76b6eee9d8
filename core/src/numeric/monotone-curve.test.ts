import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { monotoneCurve } from './monotone-curve.ts';

/** Rising x, y that rises or rests. */
const anyKnots = fc
  .array(fc.tuple(fc.double({ min: 0.05, max: 5, noNaN: true }), fc.double({ min: 0, max: 3, noNaN: true })), {
    minLength: 2,
    maxLength: 9,
  })
  .map((steps) => {
    let x = 0;
    let y = 0;
    return steps.map(([dx, dy]) => ({ x: (x += dx), y: (y += dy) }));
  });

describe('monotone curve', () => {
  test('meets its knots, rises with them, stays between neighbours', () => {
    fc.assert(
      fc.property(anyKnots, (knots) => {
        for (const [i, knot] of knots.entries()) {
          expect(monotoneCurve(knots, knot.x)).toBeCloseTo(knot.y, 10);
          const next = knots[i + 1];
          if (next === undefined) continue;
          let before = knot.y;
          for (let share = 0.02; share < 1; share += 0.02) {
            const y = monotoneCurve(knots, knot.x + share * (next.x - knot.x));
            expect(y).toBeGreaterThanOrEqual(before - 1e-12);
            expect(y).toBeLessThanOrEqual(next.y + 1e-12);
            before = y;
          }
        }
      }),
    );
  });

  test('a straight line stays one, and goes on', () => {
    const line = [0, 1, 3, 4].map((x) => ({ x, y: 2 * x }));
    for (const x of [0.3, 2, 3.5, 4, 7]) expect(monotoneCurve(line, x)).toBeCloseTo(2 * x, 12);
    expect(monotoneCurve(line, -1)).toBe(0);
  });

  // scipy 1.17.1: PchipInterpolator([0, 1, 3, 4, 6], [0, 1, 1.5, 4, 4.5]) inside the middle intervals, whose slopes
  // do not depend on the ends: x = 1.5, 2, 2.75, 3.5
  test('agrees with an independent implementation where ends do not matter', () => {
    const knots = [0, 1, 3, 4, 6].map((x, i) => ({ x, y: [0, 1, 1.5, 4, 4.5][i] ?? NaN }));
    const expected = [1.1517857142857142, 1.2321428571428572, 1.39453125, 2.75];
    [1.5, 2, 2.75, 3.5].forEach((x, i) => expect(monotoneCurve(knots, x)).toBeCloseTo(expected[i] ?? NaN, 12));
  });

  test('one knot or none', () => {
    expect(monotoneCurve([{ x: 1, y: 2 }], 5)).toBe(2);
    expect(monotoneCurve([], 5)).toBe(0);
  });
});
