/**
 * Decimal numbers with either decimal mark, read exactly: mantissa and power of ten, no rounding yet.
 *
 * Which mark is which: a point is a decimal mark. A comma is a decimal mark unless exactly three digits
 * follow one to three that do not start with 0: `1,000` may be 1 or 1000 and is refused. Where both
 * marks stand, or one stands twice, only one reading is left (`1,234.5`, `1.234.567`). Spaces between
 * full groups of three digits are grouping.
 */

export type DecimalReading =
  | { readonly kind: 'number'; readonly mantissa: bigint; readonly exponent: number }
  | { readonly kind: 'ambiguous'; readonly readings: readonly [string, string] }
  | { readonly kind: 'not-a-number' };

const NOT_A_NUMBER: DecimalReading = { kind: 'not-a-number' };
/** Longer than any length anybody types; keeps the exact integers small. */
const MOST_DIGITS = 40;

function decimalFrom(sign: string, whole: string, fraction: string): DecimalReading {
  const digits = whole + fraction;
  if (digits === '' || digits.length > MOST_DIGITS) return NOT_A_NUMBER;
  const size = BigInt(digits);
  return { kind: 'number', mantissa: sign === '-' ? -size : size, exponent: -fraction.length };
}

/** @param text sign, digits, points, commas and single spaces only; anything else is not a number */
export function readDecimal(text: string): DecimalReading {
  const match = /^([+-]?)([\d.,  ]+)$/.exec(text);
  if (match === null) return NOT_A_NUMBER;
  const sign = match[1] ?? '';
  const body = match[2] ?? '';

  const spaced = /^(\d{1,3}(?: \d{3})+)(?:[.,](\d+))?$/.exec(body);
  if (spaced !== null) return decimalFrom(sign, (spaced[1] ?? '').replaceAll(' ', ''), spaced[2] ?? '');

  const grouped = /^([1-9]\d{0,2}(?:,\d{3})+)\.(\d+)$|^([1-9]\d{0,2}(?:\.\d{3})+),(\d+)$/.exec(body);
  if (grouped !== null) {
    const whole = (grouped[1] ?? grouped[3] ?? '').replace(/[.,]/g, '');
    return decimalFrom(sign, whole, grouped[2] ?? grouped[4] ?? '');
  }

  const repeated = /^[1-9]\d{0,2}(?:(?:,\d{3}){2,}|(?:\.\d{3}){2,})$/.test(body);
  if (repeated) return decimalFrom(sign, body.replace(/[.,]/g, ''), '');

  const simple = /^(\d*)(?:([.,])(\d*))?$/.exec(body);
  if (simple === null) return NOT_A_NUMBER;
  const [, whole = '', mark, fraction = ''] = simple;
  if (mark === ',' && fraction.length === 3 && /^[1-9]\d{0,2}$/.test(whole)) {
    return { kind: 'ambiguous', readings: [`${sign}${whole}.${fraction}`, `${sign}${whole}${fraction}`] };
  }
  return decimalFrom(sign, whole, fraction);
}
