import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { bestBevel, isCamerawrightError, openingNeeds, parseFrontStack, thickestLayerMm, transmissionAt } from '#core';
import type { FrontQuestion, Layer } from '#core';

const camera = { frame: { widthMm: 120, heightMm: 95 }, focalLengthMm: 75, holeShift: { xMm: 0, yMm: 0 } };
const hole = { diameterMm: 0.3 };
const corners = [-1, 1].flatMap((sx) => [-1, 1].map((sy) => ({ xMm: 60 * sx, yMm: 47.5 * sy })));

function plate(nearMm: number, thicknessMm: number, diameterMm: number, bevels: Layer['bevels'] = []): FrontQuestion {
  const layer: Layer = { name: 'front plate', nearMm, farMm: nearMm + thicknessMm, opening: { shape: 'circle', diameterMm }, ...(bevels === undefined ? {} : { bevels }) };
  return { camera, hole, layers: [layer] };
}

/** The least clear share of the four corners. */
const least = (question: FrontQuestion): number => Math.min(...transmissionAt(question, corners).map(({ transmissionShare }) => transmissionShare));

describe('clearing the view with the opening left as it is', () => {
  test('the thickest layer clears, a little more of it clips, and a margin leaves that much to spare', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.2, max: 6, noNaN: true }), fc.double({ min: 1.2, max: 3, noNaN: true }), fc.double({ min: 0, max: 0.2, noNaN: true }), (nearMm, times, marginMm) => {
        const [need] = openingNeeds(plate(nearMm, 0, 30));
        const diameterMm = times * (need?.roundMm ?? NaN);
        const thickest = thickestLayerMm(plate(nearMm, 1, diameterMm), { layerIndex: 0 }) ?? NaN;
        expect(least(plate(nearMm, thickest - 1e-6, diameterMm))).toBe(1);
        expect(least(plate(nearMm, thickest + 0.05, diameterMm))).toBeLessThan(1);
        const withMargin = thickestLayerMm(plate(nearMm, 1, diameterMm), { layerIndex: 0, marginMm });
        if (withMargin !== null) expect(openingNeeds(plate(nearMm, withMargin, diameterMm))[0]?.spareMm).toBeCloseTo(marginMm, 6);
      }),
      { numRuns: 60 },
    );
    expect(thickestLayerMm(plate(3, 1, 2), { layerIndex: 0 })).toBeNull();
  });

  test('by hand: a round opening D clears out to z = f (D − d) / (D_f + d), D_f the frame’s diagonal', () => {
    // Similar triangles: the widest sight line leaves the hole's rim at d/2 and runs outwards with slope (D_f/2 + d/2)/f.
    const diagonalMm = Math.hypot(120, 95);
    const outMm = (75 * (10 - 0.3)) / (diagonalMm + 0.3);
    expect(thickestLayerMm(plate(2, 1, 10), { layerIndex: 0 })).toBeCloseTo(outMm - 2, 9);
  });

  test('the best bevel clears, and a flatter one clips', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.5, max: 4, noNaN: true }), fc.double({ min: 2, max: 8, noNaN: true }), (nearMm, thicknessMm) => {
        const [need] = openingNeeds(plate(nearMm, 0, 30));
        const diameterMm = 1.05 * (need?.roundMm ?? NaN);
        const question = plate(nearMm, thicknessMm, diameterMm);
        const { angleRad } = bestBevel(question, { layerIndex: 0, depthMm: thicknessMm });
        const cut = (by: number): FrontQuestion => plate(nearMm, thicknessMm, diameterMm, [{ face: 'far', angleRad: (angleRad ?? NaN) + by, depthMm: thicknessMm }]);
        expect(least(cut(1e-6))).toBe(1);
        expect(least(cut(-0.02))).toBeLessThan(1);
      }),
      { numRuns: 60 },
    );
  });

  test('a bevel that leaves too much straight wall is refused with a sentence', () => {
    expect(bestBevel(plate(2, 8, 8), { layerIndex: 0, depthMm: 1 })).toMatchObject({ angleRad: null, reason: expect.stringContaining('cut deeper or open it') as string });
  });
});

describe('a stack file', () => {
  const good = {
    frameMm: [120, 95], focalLengthMm: 75, holeShiftMm: [0, 5], hole: { diameterMm: 0.3 },
    layers: [{ name: 'front plate', zMm: [3, 7], opening: { shape: 'rectangle', widthMm: 20, heightMm: 18, cornerRadiusMm: 1 }, bevel: { face: 'far', angleDeg: 45, depthMm: 2 }, shiftMm: [0, 0], rotationDeg: 3 }],
    pointsMm: [[0, 0]],
  };

  /** Any place in the file replaced by any value. */
  function broken(value: unknown, at: readonly number[], by: unknown): unknown {
    const [first, ...rest] = at;
    if (first === undefined || typeof value !== 'object' || value === null) return by;
    const keys = Object.keys(value);
    const key = keys[first % keys.length];
    if (key === undefined) return by;
    const inner = (value as Record<string, unknown>)[key];
    if (Array.isArray(value)) return value.map((one, i) => (String(i) === key ? broken(inner, rest, by) : (one as unknown)));
    return { ...value, [key]: broken(inner, rest, by) };
  }

  test('that is damaged anywhere is read or refused with a sentence, never with a crash', () => {
    fc.assert(
      fc.property(fc.array(fc.nat(20), { minLength: 1, maxLength: 5 }), fc.oneof(fc.jsonValue(), fc.constantFrom(1e308, -1, '__proto__', [], {})), (at, by) => {
        try {
          const { question, points } = parseFrontStack(JSON.stringify(broken(good, at, by)));
          transmissionAt(question, points);
        } catch (error) {
          expect(isCamerawrightError(error), String(error)).toBe(true);
        }
      }),
      { numRuns: 1000 },
    );
  });

  test('takes lengths as they were measured, in inches too', () => {
    const inches = { ...good, focalLengthMm: '3 in', layers: [{ ...good.layers[0], zMm: ['1/8 in', '5/16 in'], opening: { shape: 'circle', diameterMm: '3/4 in' } }] };
    const { question } = parseFrontStack(JSON.stringify(inches));
    expect(question.camera.focalLengthMm).toBeCloseTo(76.2, 12);
    expect(question.layers[0]).toMatchObject({ nearMm: 3.175, farMm: 7.9375, opening: { diameterMm: 19.05 } });
    expect(() => parseFrontStack(JSON.stringify({ ...good, focalLengthMm: 'long' }))).toThrow(/focalLengthMm: a length in mm/);
  });

  test('that is no JSON says so', () => {
    fc.assert(
      fc.property(fc.string(), (text) => {
        try {
          parseFrontStack(text);
        } catch (error) {
          expect(isCamerawrightError(error), String(error)).toBe(true);
        }
      }),
      { numRuns: 300 },
    );
  });
});
