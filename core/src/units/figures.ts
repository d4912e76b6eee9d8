/**
 * Numbers as people write them: as many digits as the value carries, never more. The decimal mark is
 * always a point here; a face that wants a comma exchanges it at its edge.
 */
import { InputError } from '../errors.ts';

export interface NumberFormat {
  /** Digits after the decimal mark, 0…12; zeros at the end are kept. */
  readonly digits?: number;
  /** Significant digits, 1…15; zeros at the end are dropped. Used when `digits` is absent. Default 3. */
  readonly significant?: number;
}

function requireFinite(value: number, path: string): void {
  if (!Number.isFinite(value)) {
    throw new InputError('out-of-range', `${path} must be a finite number, but is ${value}.`, {
      path,
      got: value,
      expected: 'a finite number',
    });
  }
}

function requireWhole(value: number, path: string, lo: number, hi: number): void {
  if (!(Number.isInteger(value) && value >= lo && value <= hi)) {
    throw new InputError('out-of-range', `${path} must be a whole number from ${lo} to ${hi}, but is ${value}.`, {
      path,
      got: value,
      expected: `${lo}…${hi}`,
    });
  }
}

/** `toFixed` without a minus sign before zero. */
export function fixed(value: number, digits: number): string {
  requireFinite(value, 'value');
  requireWhole(digits, 'digits', 0, 12);
  const text = value.toFixed(digits);
  return /^-0(\.0*)?$/.test(text) ? text.slice(1) : text;
}

/** `1 scan`, `3 scans`. */
export function counted(count: number, one: string, many = `${one}s`): string {
  return `${count} ${count === 1 ? one : many}`;
}

/** Zeros (and the mark) at the end of a decimal number taken away: `101.10` → `101.1`, `106.00` → `106`. */
export function withoutTrailingZeros(text: string): string {
  return text.includes('.') ? text.replace(/\.?0+$/, '') : text;
}

/**
 * Places after the decimal mark that show `significant` digits of `value`; 0 when all of them
 * stand before it.
 */
function decimalsForSignificant(value: number, significant: number): number {
  if (value === 0) return 0;
  const rounded = Number(Math.abs(value).toPrecision(significant));
  const exponent = Math.floor(Math.log10(rounded));
  // log10 of a power of ten may land a hair below the whole number
  const leading = 10 ** (exponent + 1) <= rounded ? exponent + 1 : exponent;
  return Math.min(12, Math.max(0, significant - 1 - leading));
}

/**
 * A plain number for people. Digits before the decimal mark are never rounded away into zeros:
 * 1234.6 to three significant digits is `1235`.
 * @param value finite
 * @throws InputError out-of-range
 */
export function formatNumber(value: number, format: NumberFormat = {}): string {
  requireFinite(value, 'value');
  if (format.digits !== undefined) return fixed(value, format.digits);
  const significant = format.significant ?? 3;
  requireWhole(significant, 'significant', 1, 15);
  return withoutTrailingZeros(fixed(value, decimalsForSignificant(value, significant)));
}

export interface UncertaintyFormat {
  /** Written after the numbers, for instance `mm`; empty for a bare number. */
  readonly unit?: string;
  /** Multiplies the standard uncertainty; 2 covers about 95 %. */
  readonly coverageFactor?: number;
}

/**
 * A measured value with its expanded uncertainty: `0.431 ± 0.004 mm (k = 2)`.
 *   U = k u, shown with two digits when it starts with 1 or 2, else with one, so that rounding never
 *   changes it by more than a quarter; the value ends at the same place.
 * @param value finite
 * @param standardUncertainty > 0, in the unit of the value
 * @throws InputError out-of-range, not-positive
 * @source jcgm100 7.2.6
 */
export function formatWithUncertainty(
  value: number,
  standardUncertainty: number,
  format: UncertaintyFormat = {},
): string {
  const k = format.coverageFactor ?? 2;
  requireFinite(value, 'value');
  for (const [path, got] of [
    ['standardUncertainty', standardUncertainty],
    ['coverageFactor', k],
  ] as const) {
    if (!(Number.isFinite(got) && got > 0)) {
      throw new InputError('not-positive', `${path} must be greater than 0, but is ${got}.`, {
        path,
        got,
        expected: '> 0',
      });
    }
  }
  const expanded = k * standardUncertainty;
  const twoDigits = expanded.toExponential(1);
  const kept = /^[12]/.test(twoDigits) ? 1 : 0;
  const exponent = Number(expanded.toExponential(kept).split('e')[1]);
  const digits = Math.min(12, Math.max(0, kept - exponent));
  const unit = format.unit === undefined || format.unit === '' ? '' : ` ${format.unit}`;
  return `${fixed(value, digits)} ± ${fixed(expanded, digits)}${unit} (k = ${formatNumber(k)})`;
}
