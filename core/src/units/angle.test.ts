import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { InputError } from '../errors.ts';
import { degreesToRad, formatAngle, parseAngle, radToDegrees } from './angle.ts';

describe('angles at the edge', () => {
  test.each<[string, number]>([
    ['75', 75],
    ['75°', 75],
    ['75,5 °', 75.5],
    ['75.5 deg', 75.5],
    ['75 degrees', 75],
    ["75° 30'", 75.5],
    ['75°30′36″', 75.51],
    ["-10° 30'", -10.5],
    ['−10', -10],
  ])('%s is %d degrees', (text, degrees) => {
    const read = parseAngle(text);
    expect(radToDegrees(read.angleRad)).toBeCloseTo(degrees, 12);
    expect(read.typed).toBe(text);
  });

  test('radians by name', () => {
    expect(parseAngle('1.25 rad').angleRad).toBe(1.25);
  });

  test.each(['', 'wide', '75 mm', '1,000', "75° 61'", '400', '1..5'])('%s is refused with an example', (text) => {
    expect(() => parseAngle(text)).toThrow(/75\.5°/);
    expect(() => parseAngle(text)).toThrow(InputError);
  });

  test('junk never fails with anything but an InputError', () => {
    const pieces = fc.constantFrom('1', '75', '.', ',', '°', "'", '″', 'rad', 'deg', '-', ' ');
    fc.assert(
      fc.property(fc.oneof(fc.string(), fc.array(pieces, { maxLength: 7 }).map((parts) => parts.join(''))), (text) => {
        try {
          expect(Number.isFinite(parseAngle(text).angleRad)).toBe(true);
        } catch (error) {
          expect(error).toBeInstanceOf(InputError);
        }
      }),
      { numRuns: 1000 },
    );
  });

  test('written and read back', () => {
    expect(formatAngle(degreesToRad(75.09))).toBe('75.1°');
    expect(formatAngle(degreesToRad(90))).toBe('90°');
    expect(formatAngle(degreesToRad(90), { digits: 1 })).toBe('90.0°');
    fc.assert(
      fc.property(fc.integer({ min: -180e6, max: 180e6 }), fc.nat(9), (microdegrees, digits) => {
        const degrees = microdegrees / 1e6;
        const back = radToDegrees(parseAngle(formatAngle(degreesToRad(degrees), { digits })).angleRad);
        expect(Math.abs(back - degrees)).toBeLessThanOrEqual(0.5 * 10 ** -digits + 1e-12);
      }),
    );
  });
});
