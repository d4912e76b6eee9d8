import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  fNumberOfMark,
  fNumberUncertaintyStops,
  holeStop,
  meterConversions,
  nearestStop,
  stopsBetween,
} from './f-number.ts';

const length = fc.double({ min: 0.05, max: 2000, noNaN: true });

describe('f-number of a hole', () => {
  test('f over d, with its doubt in stops', () => {
    const stop = holeStop({ focalLengthMm: 106, diameterMm: 0.43, diameterStandardUncertaintyMm: 0.0043 });
    expect(stop.fNumber).toBeCloseTo(246.51, 2);
    expect(stop.fNumberStandardUncertainty / stop.fNumber).toBeCloseTo(0.01, 12);
    expect(stop.standardUncertaintyStops).toBeCloseTo(0.02 / Math.LN2, 12);
    expect(stop.nearestThirdStop.name).toBe('f/256');
    expect(stop.nearestFullStop.name).toBe('f/256');
    expect(stop.nearestFullStop.differenceStops).toBeCloseTo(2 * Math.log2(246.51 / 256), 3);
  });

  test('10 % in diameter is 0.28 stop', () => {
    const full = holeStop({ focalLengthMm: 100, diameterMm: 0.4 }).fNumber;
    const wide = holeStop({ focalLengthMm: 100, diameterMm: 0.44 }).fNumber;
    expect(stopsBetween({ fromFNumber: full, toFNumber: wide })).toBeCloseTo(-0.275, 3);
  });

  test('1 mm in depth at 75 mm is 0.04 stop', () => {
    const stop = holeStop({ focalLengthMm: 75, diameterMm: 0.3, focalLengthStandardUncertaintyMm: 1 });
    expect(stop.standardUncertaintyStops).toBeCloseTo(0.038, 3);
  });

  test('doubts add as squares and the formula is the derivative', () => {
    fc.assert(
      fc.property(
        length,
        length,
        fc.double({ min: 0, max: 0.05, noNaN: true }),
        fc.double({ min: 0, max: 0.05, noNaN: true }),
        (f, d, rf, rd) => {
          const stop = holeStop({
            focalLengthMm: f,
            diameterMm: d,
            focalLengthStandardUncertaintyMm: f * rf,
            diameterStandardUncertaintyMm: d * rd,
          });
          expect(stop.fNumberStandardUncertainty).toBeCloseTo(stop.fNumber * Math.sqrt(rf * rf + rd * rd), 6);
          expect(stop.standardUncertaintyStops).toBeCloseTo(fNumberUncertaintyStops(stop), 12);
        },
      ),
    );
  });

  test('scale makes no difference: the same box in inches', () => {
    fc.assert(
      fc.property(length, length, (f, d) => {
        const mm = holeStop({ focalLengthMm: f, diameterMm: d }).fNumber;
        expect(holeStop({ focalLengthMm: f / 25.4, diameterMm: d / 25.4 }).fNumber / mm).toBeCloseTo(1, 12);
      }),
    );
  });

  test.each([
    [{ focalLengthMm: 0, diameterMm: 0.3 }, /focal length/],
    [{ focalLengthMm: 100, diameterMm: -0.3 }, /hole diameter/],
    [{ focalLengthMm: 100, diameterMm: 0.3, diameterStandardUncertaintyMm: -1 }, /uncertainty of the hole diameter/],
    [{ focalLengthMm: 100, diameterMm: 0.3, focalLengthStandardUncertaintyMm: NaN }, /uncertainty of the focal length/],
  ])('refuses %j', (hole, message) => {
    expect(() => holeStop(hole)).toThrow(message);
  });
});

describe('stops and marks', () => {
  test('nearest stop is within half a step, and is a mark of its own scale', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 1000, noNaN: true }),
        fc.constantFrom('full' as const, 'third' as const),
        (n, step) => {
          const near = nearestStop(n, step);
          expect(Math.abs(near.differenceStops)).toBeLessThanOrEqual((step === 'full' ? 0.5 : 1 / 6) + 1e-12);
          expect(near.fNumber * 2 ** (near.differenceStops / 2)).toBeCloseTo(n, 9);
          if (n < 1000) expect(fNumberOfMark(Number(near.name.slice(2)))).toBeCloseTo(near.fNumber, 9);
        },
      ),
    );
  });

  test('no two marks share a name', () => {
    const names = Array.from({ length: 61 }, (_, thirds) => nearestStop(2 ** (thirds / 6), 'third').name);
    expect(new Set(names).size).toBe(61);
  });

  test('from the marks of a meter to f/240', () => {
    const rows = meterConversions(240);
    expect(rows.map((row) => row.markFNumber)).toEqual([8, 11, 16, 22]);
    expect(rows.map((row) => Number(row.factor.toFixed(1)))).toEqual([900, 450, 225, 112.5]);
    expect(rows.map((row) => Number(row.differenceStops.toFixed(2)))).toEqual([9.81, 8.81, 7.81, 6.81]);
    for (const row of rows) expect(row.factor).toBeCloseTo(2 ** row.differenceStops, 9);
  });

  test('refuses what is no mark', () => {
    expect(() => fNumberOfMark(17)).toThrow(/f\/17 is not a mark/);
    expect(() => meterConversions(0)).toThrow(/greater than 0/);
    expect(() => nearestStop(NaN, 'full')).toThrow(/greater than 0/);
  });
});
