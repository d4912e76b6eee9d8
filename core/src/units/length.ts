/**
 * Lengths as makers write them, and back. Inside everything is mm; what was typed is kept beside it.
 * Factors are exact: 1 in = 25.4 mm, 1 thou = 0.0254 mm (inch of 1959).
 */
import { InputError } from '../errors.ts';
import { readDecimal } from './decimal.ts';
import { fixed, formatNumber, withoutTrailingZeros } from './figures.ts';

export type LengthUnit = 'mm' | 'cm' | 'm' | 'um' | 'in' | 'thou';

export const MM_PER_INCH = 25.4;
export const MM_PER_THOU = 0.0254;
export const UM_PER_MM = 1000;

/** Each factor to mm as a whole number times a power of ten, so that products stay exact. */
const FACTORS: Readonly<Record<LengthUnit, { readonly mantissa: bigint; readonly exponent: number }>> = {
  mm: { mantissa: 1n, exponent: 0 },
  cm: { mantissa: 1n, exponent: 1 },
  m: { mantissa: 1n, exponent: 3 },
  um: { mantissa: 1n, exponent: -3 },
  in: { mantissa: 254n, exponent: -1 },
  thou: { mantissa: 254n, exponent: -4 },
};

const SPELLINGS: readonly (readonly [LengthUnit, RegExp])[] = [
  ['mm', /^(mm|mms|millimet(re|er)s?)\.?$/i],
  ['cm', /^(cm|cms|centimet(re|er)s?)\.?$/i],
  ['m', /^(m|met(re|er)s?)\.?$/i],
  ['um', /^([µμu]m|microns?|micromet(re|er)s?)\.?$/i],
  ['in', /^(in|ins|inch|inches|"|'')\.?$/i],
  ['thou', /^(thou|thous|mils?)\.?$/i],
];

/** Unicode's ready-made fractions as typed ones. */
const VULGAR: Readonly<Record<string, string>> = {
  '½': '1/2', '⅓': '1/3', '⅔': '2/3', '¼': '1/4', '¾': '3/4', '⅕': '1/5', '⅖': '2/5', '⅗': '3/5', '⅘': '4/5',
  '⅙': '1/6', '⅚': '5/6', '⅛': '1/8', '⅜': '3/8', '⅝': '5/8', '⅞': '7/8', '⅒': '1/10', '⅐': '1/7', '⅑': '1/9',
};

const EXAMPLE = 'Write for instance 106 mm, 0,35, 430 µm, 3/16", 1 1/32 in or 16 thou.';

export interface ParsedLength {
  /** The nearest double to the exact value. */
  readonly mm: number;
  /** The unit it was written in, or the one assumed. */
  readonly unit: LengthUnit;
  /** Exactly what was given. */
  readonly typed: string;
}

export interface ParseLengthOptions {
  /** The unit of a plain number. */
  readonly defaultUnit: LengthUnit;
  /** The field's or option's name, for the error. */
  readonly path?: string;
}

/**
 * Read a length: number or fraction, then a unit.
 *
 * A number without a unit is in `defaultUnit`. A fraction without a unit is in inches where its
 * denominator stands on an inch rule (2, 4, 8 … 128), whatever the default, because nobody divides
 * a millimetre into sixteenths; other fractions without a unit need one, unless the default is inches or
 * thou. `1,000` is refused, since it may be 1 or 1000 (see `decimal.ts`). Signs are allowed: a plate may sit
 * behind the board. Whether a length may be negative is the caller's question.
 * @throws InputError not-understood, missing, out-of-range
 */
export function parseLength(text: string, options: ParseLengthOptions): ParsedLength {
  const path = options.path ?? 'length';
  const fail = (why: string): never => {
    throw new InputError('not-understood', `${why} ${EXAMPLE}`, { path, got: text, expected: 'a length' });
  };
  const plain = tidy(text);
  if (plain === '') {
    throw new InputError('missing', `No length was given. ${EXAMPLE}`, { path, got: text, expected: 'a length' });
  }
  const match = /^([+-]?)\s*([\d.,](?:[\d.,/ +-]*[\d.,])?)\s*(.*)$/.exec(plain);
  if (match === null) return fail(`“${shown(text)}” has no number in it that could be read.`);
  const [, sign = '', numberText = '', unitText = ''] = match;
  const written = unitText === '' ? null : unitNamed(unitText.trim(), text, fail);
  const negative = sign === '-';

  if (numberText.includes('/')) {
    const fraction = readFraction(numberText, text, fail);
    const unit = written ?? unitOfBareFraction(fraction.denominator, options.defaultUnit, text, fail);
    return { mm: finite(ratioMm(fraction, unit, negative), text, path), unit, typed: text };
  }
  const number = readDecimal(numberText);
  if (number.kind === 'ambiguous') {
    const [small, large] = number.readings;
    return fail(`“${shown(text)}” could mean ${small} or ${large}: write one of these.`);
  }
  if (number.kind === 'not-a-number') return fail(`“${shown(numberText)}” in “${shown(text)}” is not a number.`);
  const unit = written ?? options.defaultUnit;
  const factor = FACTORS[unit];
  const size = Number(`${number.mantissa * factor.mantissa}e${number.exponent + factor.exponent}`);
  return { mm: finite(negative && size !== 0 ? -size : size, text, path), unit, typed: text };
}

/** One spelling for the many marks of inches, fractions, minus and space. */
function tidy(text: string): string {
  return text
    .replace(/[½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞⅒⅐⅑]/g, (sign) => ` ${VULGAR[sign] ?? ''}`)
    .replace(/[\u2044\u2215]/g, '/')
    .replace(/[\u2212\u2013]/g, '-')
    .replace(/[\u2033\u201d\u201c\u201f\u02ba]/g, '"')
    .replace(/[\u2032\u2019]/g, "'")
    .replace(/\s+/g, ' ')
    .trim();
}

function shown(text: string): string {
  return text.length > 40 ? `${text.slice(0, 40)}…` : text;
}

function unitNamed(unitText: string, text: string, fail: (why: string) => never): LengthUnit {
  const found = SPELLINGS.find(([, spelling]) => spelling.test(unitText));
  if (found !== undefined) return found[0];
  if (/^('|ft|foot|feet)/i.test(unitText)) return fail(`“${shown(text)}”: feet are not read here, give inches.`);
  return fail(`The unit “${shown(unitText)}” in “${shown(text)}” is not known (mm, cm, m, µm, in, thou are).`);
}

interface Fraction {
  readonly numerator: number;
  readonly denominator: number;
}

function readFraction(numberText: string, text: string, fail: (why: string) => never): Fraction {
  const match = /^(?:(\d{1,6})\s*[ +-]\s*)?(\d{1,6})\s*\/\s*(\d{1,6})$/.exec(numberText.trim());
  if (match === null) return fail(`“${shown(numberText.trim())}” in “${shown(text)}” is not a fraction.`);
  const [, whole, top = '', bottom = ''] = match;
  const numerator = Number(top);
  const denominator = Number(bottom);
  if (denominator === 0) return fail(`“${shown(text)}” divides by 0.`);
  if (whole === undefined) return { numerator, denominator };
  if (numerator >= denominator) {
    return fail(`In “${shown(text)}” the fraction after the whole number must be smaller than 1.`);
  }
  return { numerator: Number(whole) * denominator + numerator, denominator };
}

function unitOfBareFraction(
  denominator: number,
  defaultUnit: LengthUnit,
  text: string,
  fail: (why: string) => never,
): LengthUnit {
  if (defaultUnit === 'in') return 'in';
  const onAnInchRule = denominator >= 2 && denominator <= 128 && Number.isInteger(Math.log2(denominator));
  if (onAnInchRule) return 'in';
  return fail(`The fraction “${shown(text)}” needs a unit.`);
}

/** Numerator and denominator stay whole numbers below 2^53, so the one division rounds correctly. */
function ratioMm(fraction: Fraction, unit: LengthUnit, negative: boolean): number {
  const factor = FACTORS[unit];
  const scaled = BigInt(fraction.numerator) * factor.mantissa * 10n ** BigInt(Math.max(0, factor.exponent));
  const mm = Number(scaled) / (fraction.denominator * 10 ** Math.max(0, -factor.exponent));
  return negative && mm !== 0 ? -mm : mm;
}

function finite(mm: number, text: string, path: string): number {
  if (Number.isFinite(mm) && Math.abs(mm) <= 1e9) return mm;
  throw new InputError('out-of-range', `“${shown(text)}” is longer than a thousand kilometres. ${EXAMPLE}`, {
    path,
    got: text,
    expected: 'a length of at most 1e9 mm',
  });
}

export type ShownUnit = LengthUnit | 'in-fraction';

export interface LengthFormat {
  readonly unit: ShownUnit;
  /** Digits after the decimal mark, kept even when zero. Default: what a maker can use, zeros dropped. */
  readonly digits?: number;
  /** For `in-fraction`: the finest division of the rule, a power of two up to 128. Default 64. */
  readonly denominator?: number;
}

const SYMBOLS: Readonly<Record<LengthUnit, string>> = {
  mm: 'mm', cm: 'cm', m: 'm', um: 'µm', in: 'in', thou: 'thou',
};

/** Size of the unit in mm, as a double. */
const MM_PER: Readonly<Record<LengthUnit, number>> = {
  mm: 1, cm: 10, m: 1000, um: 0.001, in: MM_PER_INCH, thou: MM_PER_THOU,
};

/** Decimals that a maker can use: about a micrometre for holes, a hundredth for wood. */
function usefulDecimals(size: number, unit: LengthUnit): number {
  switch (unit) {
    case 'um': return size < 10 ? 1 : 0;
    case 'mm': return size < 2 ? 3 : size < 1000 ? 2 : 1;
    case 'thou': return size < 100 ? 1 : 0;
    case 'in': return size < 0.1 ? 4 : 3;
    case 'cm': return 2;
    case 'm': return size < 10 ? 3 : 2;
  }
}

/**
 * A length for people, with its unit: `0.429 mm`, `429 µm`, `16.9 thou`, `4 11/64 in`.
 * An `in-fraction` is the nearest mark of the rule.
 * @param lengthMm finite
 * @throws InputError out-of-range
 */
export function formatLength(lengthMm: number, format: LengthFormat): string {
  if (format.unit === 'in-fraction') return `${inchFraction(lengthMm, format.denominator ?? 64)} in`;
  const value = format.unit === 'um' ? lengthMm * UM_PER_MM : lengthMm / MM_PER[format.unit];
  const text =
    format.digits === undefined
      ? withoutTrailingZeros(fixed(value, usefulDecimals(Math.abs(value), format.unit)))
      : fixed(value, format.digits);
  return `${text} ${SYMBOLS[format.unit]}`;
}

function requireRule(denominator: number): void {
  if (Number.isInteger(Math.log2(denominator)) && denominator >= 1 && denominator <= 128) return;
  throw new InputError('out-of-range', `An inch rule is divided into 1, 2, 4 … 128, not into ${denominator}.`, {
    path: 'denominator',
    got: denominator,
    expected: 'a power of two up to 128',
  });
}

/** The nearest mark in 1/denominator inch, reduced, without the unit. */
function inchFraction(mm: number, denominator: number): string {
  requireRule(denominator);
  const parts = Math.round((Math.abs(mm) / MM_PER_INCH) * denominator);
  if (!Number.isSafeInteger(parts)) fixed(mm, 0);
  let top = parts % denominator;
  let bottom = denominator;
  while (top !== 0 && top % 2 === 0) {
    top /= 2;
    bottom /= 2;
  }
  const whole = Math.floor(parts / denominator);
  const sign = mm < 0 && parts !== 0 ? '-' : '';
  if (top === 0) return `${sign}${whole}`;
  return `${sign}${whole === 0 ? '' : `${whole} `}${top}/${bottom}`;
}

/** Below this a maker thinks of a hole or a shim, in thou, not in parts of an inch. */
const SMALL_MM = 2;
/** A fraction this near is as good as the length itself. */
const SAME_MM = 0.0005;

/**
 * The companion text of a length shown in another system: beside mm and cm stands the inch (decimal and
 * the nearest 1/64, or the fraction alone where it is exact), beside small ones and µm the thou,
 * beside every inch unit the mm.
 * @param lengthMm finite
 * @throws InputError out-of-range
 */
export function otherUnit(lengthMm: number, shownUnit: ShownUnit): string {
  switch (shownUnit) {
    case 'in':
    case 'in-fraction':
    case 'thou':
      return formatLength(lengthMm, { unit: 'mm' });
    case 'um':
      return formatLength(lengthMm, { unit: 'thou' });
    case 'mm':
    case 'cm':
      return inchCompanion(lengthMm);
    // What is told in metres needs no parts of an inch.
    case 'm':
      return `${formatNumber(lengthMm / MM_PER_INCH, { significant: 3 })} in`;
  }
}

function inchCompanion(mm: number): string {
  const parts = Math.round((mm / MM_PER_INCH) * 64);
  const exact = parts !== 0 && Math.abs((parts * MM_PER_INCH) / 64 - mm) < SAME_MM;
  if (exact) return `${inchFraction(mm, 64)} in`;
  if (Math.abs(mm) < SMALL_MM) return formatLength(mm, { unit: 'thou' });
  return `${formatLength(mm, { unit: 'in' })}, about ${inchFraction(mm, 64)}`;
}
