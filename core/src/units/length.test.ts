import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { InputError } from '../errors.ts';
import { formatLength, otherUnit, parseLength } from './length.ts';
import type { LengthUnit } from './length.ts';

const mm = (text: string, defaultUnit: LengthUnit = 'mm'): number => parseLength(text, { defaultUnit }).mm;

function refusal(text: string, defaultUnit: LengthUnit = 'mm'): InputError {
  try {
    parseLength(text, { defaultUnit });
  } catch (error) {
    if (error instanceof InputError) return error;
    throw error;
  }
  throw new Error(`“${text}” was read as a length`);
}

describe('lengths as makers write them', () => {
  test.each<[string, number, LengthUnit]>([
    ['106', 106, 'mm'],
    ['106 mm', 106, 'mm'],
    ['106.', 106, 'mm'],
    ['10,6 cm', 106, 'cm'],
    ['0.106m', 106, 'm'],
    ['1.5 metres', 1500, 'm'],
    ['0,35', 0.35, 'mm'],
    ['.35 mm', 0.35, 'mm'],
    ['430 µm', 0.43, 'um'],
    ['430 μm', 0.43, 'um'],
    ['430um', 0.43, 'um'],
    ['430 microns', 0.43, 'um'],
    ['3/16"', 4.7625, 'in'],
    ['3/16', 4.7625, 'in'],
    ['3⁄16 in', 4.7625, 'in'],
    ['1 1/32"', 26.19375, 'in'],
    ['1-1/32 in', 26.19375, 'in'],
    ['1+1/32 in', 26.19375, 'in'],
    ['1 1/32 inches', 26.19375, 'in'],
    ['.016"', 0.4064, 'in'],
    ['.016″', 0.4064, 'in'],
    ["4''", 101.6, 'in'],
    ['4”', 101.6, 'in'],
    ['½', 12.7, 'in'],
    ['1½"', 38.1, 'in'],
    ['1 ½ in', 38.1, 'in'],
    ['½ mm', 0.5, 'mm'],
    ['16 thou', 0.4064, 'thou'],
    ['16 mil', 0.4064, 'thou'],
    ['1.000"', 25.4, 'in'],
    ['1 000 mm', 1000, 'mm'],
    ['1,234.5 mm', 1234.5, 'mm'],
    ['1.234,5 mm', 1234.5, 'mm'],
    ['1,234,567 mm', 1234567, 'mm'],
    ['0,350', 0.35, 'mm'],
    ['-3', -3, 'mm'],
    ['− 3 mm', -3, 'mm'],
    ['-1/2"', -12.7, 'in'],
    ['+7', 7, 'mm'],
    ['  106\u00a0mm ', 106, 'mm'],
  ])('%s is %d mm', (text, expected, unit) => {
    expect(parseLength(text, { defaultUnit: 'mm' })).toEqual({ mm: expected, unit, typed: text });
  });

  test('a plain number takes the unit of its field', () => {
    expect(mm('430', 'um')).toBe(0.43);
    expect(mm('17', 'thou')).toBe(0.4318);
    expect(mm('1.25', 'in')).toBe(31.75);
    expect(mm('2/3', 'in')).toBe(50.8 / 3);
    expect(mm('3/16', 'um')).toBe(4.7625);
  });

  test('the factors are exact: no rounding of 25.4 times a tenth', () => {
    expect(mm('0.1 in')).toBe(2.54);
    expect(mm('0.7 in')).toBe(17.78);
    expect(mm('0.3 thou')).toBe(0.00762);
    expect(mm('123.456 in')).toBe(3135.7824);
  });

  test.each([
    ['1,000', /1\.000 or 1000/],
    ['12,125 in', /12\.125 or 12125/],
    ['3/0', /divides by 0/],
    ['2/3', /needs a unit/],
    ['3/1', /needs a unit/],
    ['1 5/4', /smaller than 1/],
    ['1 4/4 in', /smaller than 1/],
    ['5 ft', /feet/],
    ["3'", /feet/],
    ['3 furlongs', /“furlongs”/],
    ['wide', /no number/],
    ['1..2', /not a number/],
    ['1-2', /not a number/],
    ['1/2/3', /not a fraction/],
    ['1e3', /“e3”/],
    ['--3', /not a number|no number/],
    ['', /No length was given/],
    ['   ', /No length was given/],
    ['99999999999 m', /thousand kilometres/],
    ['1'.repeat(500), /not a number/],
  ])('%s is refused with a reason and an example', (text, reason) => {
    const error = refusal(text);
    expect(error.message).toMatch(reason);
    expect(error.message).toMatch(/Write for instance 106 mm/);
    expect(error.message.length).toBeLessThan(300);
  });

  test('the error names the field', () => {
    expect(() => parseLength('?', { defaultUnit: 'mm', path: 'wood' })).toThrow(
      expect.objectContaining({ path: 'wood', got: '?' }),
    );
  });

  test('junk never fails with anything but an InputError', () => {
    const pieces = fc.constantFrom(
      ...['1', '0', '25', '.', ',', '/', '-', '+', ' ', '"', "'", 'mm', 'in', 'µm', 'thou', '½', '⁄', '″', 'e', 'x'],
    );
    // lone surrogates and control characters too
    const anything = fc.array(fc.nat(0xffff), { maxLength: 8 }).map((codes) => String.fromCharCode(...codes));
    const junk = fc.oneof(anything, fc.array(pieces, { maxLength: 9 }).map((parts) => parts.join('')));
    fc.assert(
      fc.property(junk, fc.constantFrom<LengthUnit>('mm', 'um', 'in', 'thou', 'm', 'cm'), (text, defaultUnit) => {
        try {
          const read = parseLength(text, { defaultUnit });
          expect(Number.isFinite(read.mm)).toBe(true);
          expect(Object.is(read.mm, -0)).toBe(false);
          expect(read.typed).toBe(text);
        } catch (error) {
          expect(error).toBeInstanceOf(InputError);
        }
      }),
      { numRuns: 2000 },
    );
  });

  test('any decimal in any unit is the nearest double to the exact product', () => {
    const factors = { mm: [1n, 0], cm: [10n, 0], m: [1000n, 0], um: [1n, 3], in: [254n, 1], thou: [254n, 4] } as const;
    fc.assert(
      fc.property(
        fc.constantFrom<LengthUnit>('mm', 'cm', 'm', 'um', 'in', 'thou'),
        fc.bigInt({ min: -999999999n, max: 999999999n }),
        fc.integer({ min: 3, max: 9 }),
        (unit, mantissa, places) => {
          const size = (mantissa < 0n ? -mantissa : mantissa).toString().padStart(places + 1, '0');
          const sign = mantissa < 0n ? '-' : '';
          const text = `${sign}${size.slice(0, -places)}.${size.slice(-places)}`;
          const [factor, exponent] = factors[unit];
          const exact = Number(`${mantissa * factor}e${-places - exponent}`);
          expect(mm(`${text} ${unit}`) === exact).toBe(true);
        },
      ),
    );
  });

  test('fractions add up: a + b/c in is a in and b/c in together', () => {
    fc.assert(
      fc.property(fc.nat(99), fc.integer({ min: 0, max: 7 }), fc.nat(), (whole, power, seed) => {
        const bottom = 2 ** power;
        const top = seed % bottom;
        const together = mm(`${whole} ${top}/${bottom} in`);
        // a dyadic part of 25.4 has few enough digits to be exact in both ways of writing it
        expect(together).toBe(mm(`${whole + top / bottom} in`));
        expect(mm(`${whole * bottom + top}/${bottom}"`)).toBe(together);
      }),
    );
  });
});

describe('lengths as makers read them', () => {
  test.each<[number, Parameters<typeof formatLength>[1], string]>([
    [106, { unit: 'mm' }, '106 mm'],
    [101.18, { unit: 'mm' }, '101.18 mm'],
    [0.42941, { unit: 'mm' }, '0.429 mm'],
    [0.42941, { unit: 'um' }, '429 µm'],
    [0.42941, { unit: 'thou' }, '16.9 thou'],
    [0.4, { unit: 'mm', digits: 2 }, '0.40 mm'],
    [106, { unit: 'in' }, '4.173 in'],
    [106, { unit: 'in-fraction' }, '4 11/64 in'],
    [106, { unit: 'in-fraction', denominator: 32 }, '4 3/16 in'],
    [106, { unit: 'in-fraction', denominator: 1 }, '4 in'],
    [25.3, { unit: 'in-fraction', denominator: 16 }, '1 in'],
    [-3, { unit: 'in-fraction' }, '-1/8 in'],
    [0.01, { unit: 'in-fraction' }, '0 in'],
    [-0.0001, { unit: 'mm' }, '0 mm'],
    [2500, { unit: 'm' }, '2.5 m'],
    [12.34, { unit: 'cm' }, '1.23 cm'],
  ])('%d mm as %j is %s', (lengthMm, format, expected) => {
    expect(formatLength(lengthMm, format)).toBe(expected);
  });

  test('what cannot be written is refused', () => {
    expect(() => formatLength(NaN, { unit: 'mm' })).toThrow(InputError);
    expect(() => formatLength(Infinity, { unit: 'in-fraction' })).toThrow(InputError);
    expect(() => formatLength(1, { unit: 'mm', digits: 13 })).toThrow(InputError);
    expect(() => formatLength(1, { unit: 'in-fraction', denominator: 12 })).toThrow(/1, 2, 4 … 128/);
  });

  test('the other unit stands beside', () => {
    expect(otherUnit(4.7625, 'mm')).toBe('3/16 in');
    expect(otherUnit(106, 'mm')).toBe('4.173 in, about 4 11/64');
    expect(otherUnit(0.43, 'mm')).toBe('16.9 thou');
    expect(otherUnit(0.43, 'um')).toBe('16.9 thou');
    expect(otherUnit(4.7625, 'in-fraction')).toBe('4.76 mm');
    expect(otherUnit(0.4064, 'thou')).toBe('0.406 mm');
    expect(otherUnit(0, 'mm')).toBe('0 thou');
  });

  test('reading back what was written gives the length to half of the last digit', () => {
    const units = { mm: 1, cm: 10, m: 1000, um: 0.001, in: 25.4, thou: 0.0254 } as const;
    fc.assert(
      fc.property(
        fc.integer({ min: -5e8, max: 5e8 }).map((whole) => whole / 1e5),
        fc.constantFrom<LengthUnit>('mm', 'cm', 'm', 'um', 'in', 'thou'),
        fc.integer({ min: 0, max: 9 }),
        (lengthMm, unit, digits) => {
          const read = parseLength(formatLength(lengthMm, { unit, digits }), { defaultUnit: 'm' });
          expect(read.unit).toBe(unit);
          const half = units[unit] * 0.5 * 10 ** -digits;
          expect(Math.abs(read.mm - lengthMm)).toBeLessThanOrEqual(half * (1 + 1e-6) + 1e-11);
        },
      ),
    );
  });

  test('the marks of an inch rule come back exactly', () => {
    fc.assert(
      fc.property(fc.integer({ min: -5000, max: 5000 }), fc.constantFrom(2, 4, 8, 16, 32, 64, 128), (parts, rule) => {
        const denominator = rule;
        const lengthMm = (parts * 25.4) / denominator;
        const read = mm(formatLength(lengthMm, { unit: 'in-fraction', denominator }));
        expect(Math.abs(read - lengthMm)).toBeLessThan(1e-12 * Math.max(1, Math.abs(lengthMm)));
      }),
    );
  });
});
