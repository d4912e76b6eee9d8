import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { InputError } from '../errors.ts';
import { formatNumber, formatWithUncertainty } from './figures.ts';

describe('numbers for people', () => {
  test.each<[number, Parameters<typeof formatNumber>[1], string]>([
    [246.8, {}, '247'],
    [1234.6, {}, '1235'],
    [0.012345, {}, '0.0123'],
    [9.999, {}, '10'],
    [99.96, {}, '100'],
    [0.09996, {}, '0.1'],
    [0, {}, '0'],
    [-0.00001, { digits: 2 }, '0.00'],
    [2, { digits: 1 }, '2.0'],
    [1.5, { significant: 1 }, '2'],
    [1e-20, {}, '0'],
  ])('%d with %j is %s', (value, format, expected) => {
    expect(formatNumber(value, format)).toBe(expected);
  });

  test('refuses what is no number', () => {
    expect(() => formatNumber(NaN)).toThrow(InputError);
    expect(() => formatNumber(1, { significant: 0 })).toThrow(InputError);
  });

  test('is within half a unit of the last significant digit', () => {
    fc.assert(
      fc.property(fc.double({ min: 1e-6, max: 1e6, noNaN: true }), fc.nat(5), (value, more) => {
        const significant = 1 + more;
        const shown = Number(formatNumber(value, { significant }));
        expect(Math.abs(shown - value) / value).toBeLessThanOrEqual(0.5 * 10 ** (1 - significant) * (1 + 1e-9));
      }),
    );
  });
});

describe('numbers with their uncertainty', () => {
  test.each<[number, number, Parameters<typeof formatWithUncertainty>[2], string]>([
    [0.4312, 0.0019, { unit: 'mm' }, '0.431 ± 0.004 mm (k = 2)'],
    [431.2, 1.9, { unit: 'µm' }, '431 ± 4 µm (k = 2)'],
    [0.43128, 0.0009, { unit: 'mm' }, '0.4313 ± 0.0018 mm (k = 2)'],
    [431.2, 6.3, {}, '431 ± 13 (k = 2)'],
    [0.4, 0.00121, {}, '0.4000 ± 0.0024 (k = 2)'],
    [0.4, 0.0016, {}, '0.400 ± 0.003 (k = 2)'],
    [12.3, 0.48, { coverageFactor: 1 }, '12.3 ± 0.5 (k = 1)'],
    [1, 0.0048, {}, '1.00 ± 0.01 (k = 2)'],
    [1, 0.00499, {}, '1.000 ± 0.010 (k = 2)'],
    [250, 3.24, { coverageFactor: 2.5 }, '250 ± 8 (k = 2.5)'],
  ])('%d with u = %d, %j', (value, u, format, expected) => {
    expect(formatWithUncertainty(value, u, format)).toBe(expected);
  });

  test('rounding changes the uncertainty by at most a quarter, and the value by less than half of it', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: -1e9, max: 1e9 }).map((whole) => whole / 1e5),
        fc.double({ min: 1e-5, max: 1e3, noNaN: true }),
        (value, u) => {
          const [shown = NaN, expanded = NaN] = formatWithUncertainty(value, u)
            .replace(/ \(.*/, '')
            .split(' ± ')
            .map(Number);
          expect(Math.abs(expanded / (2 * u) - 1)).toBeLessThanOrEqual(0.25);
          // 0.0096 is shown as 0.01, and the value to that place.
          expect(Math.abs(shown - value)).toBeLessThanOrEqual(Math.max(2 * u, expanded) * 0.5 + 1e-9);
        },
      ),
    );
  });

  test('needs an uncertainty', () => {
    expect(() => formatWithUncertainty(1, 0)).toThrow(/greater than 0/);
    expect(() => formatWithUncertainty(NaN, 1)).toThrow(InputError);
  });
});
