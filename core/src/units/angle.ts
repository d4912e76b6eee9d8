/** Angles at the edge: degrees as people type and read them, radians inside. */
import { InputError } from '../errors.ts';
import { fixed, withoutTrailingZeros } from './figures.ts';
import { readDecimal } from './decimal.ts';

const RAD_PER_DEG = Math.PI / 180;

/** @param angleDeg any finite angle, degrees */
export function degreesToRad(angleDeg: number): number {
  return angleDeg * RAD_PER_DEG;
}

/** @param angleRad any finite angle */
export function radToDegrees(angleRad: number): number {
  return angleRad / RAD_PER_DEG;
}

export interface ParsedAngle {
  readonly angleRad: number;
  /** Exactly what was given. */
  readonly typed: string;
}

const EXAMPLE = 'Write degrees, for example 75, 75.5° or 75° 30′.';
const DEGREES = /^(°|º|deg\.?|degs?|degrees?)?$/i;
const RADIANS = /^(rad|rads|radians?)$/i;
const SEXAGESIMAL =
  /^([+-]?\d+)\s*(?:°|º|deg\.?)\s*(\d+(?:[.,]\d+)?)\s*(?:′|'|min)\s*(?:(\d+(?:[.,]\d+)?)\s*(?:″|"|''|s))?$/i;

/**
 * Read an angle; a number without a unit is degrees.
 * @param text for instance `75`, `75,5°`, `75° 30′`, `1.3 rad`
 * @throws InputError not-understood, out-of-range (more than a full turn)
 */
export function parseAngle(text: string, options: { readonly path?: string } = {}): ParsedAngle {
  const path = options.path ?? 'angle';
  const plain = text.normalize('NFC').replace(/\u2212/g, '-').replace(/\s+/g, ' ').trim();
  const fail = (why: string): never => {
    throw new InputError('not-understood', `${why} ${EXAMPLE}`, { path, got: text, expected: 'an angle' });
  };
  if (plain === '') fail('No angle was given.');
  const angleRad = readSexagesimalRad(plain) ?? readPlainRad(plain, fail);
  if (!(Math.abs(angleRad) <= 2 * Math.PI)) {
    throw new InputError('out-of-range', `“${text}” is more than a full turn of 360°. ${EXAMPLE}`, {
      path,
      got: text,
      expected: '-360…360°',
    });
  }
  return { angleRad, typed: text };
}

function readSexagesimalRad(plain: string): number | null {
  const match = SEXAGESIMAL.exec(plain);
  if (match === null) return null;
  const [, degrees = '0', minutes = '0', seconds = '0'] = match;
  const min = Number(minutes.replace(',', '.'));
  const sec = Number(seconds.replace(',', '.'));
  if (min >= 60 || sec >= 60) return null;
  const size = Math.abs(Number(degrees)) + min / 60 + sec / 3600;
  return degreesToRad(degrees.startsWith('-') ? -size : size);
}

function readPlainRad(plain: string, fail: (why: string) => never): number {
  const match = /^([+-]?[\d.,]+)\s*(.*)$/.exec(plain);
  const number = match === null ? undefined : readDecimal(match[1] ?? '');
  if (match === null || number === undefined) return fail(`“${plain}” is not an angle.`);
  if (number.kind === 'ambiguous') {
    return fail(`“${plain}” could mean ${number.readings[0]} or ${number.readings[1]}.`);
  }
  if (number.kind === 'not-a-number') return fail(`“${plain}” is not an angle.`);
  const value = Number(`${number.mantissa}e${number.exponent}`);
  const unit = match[2] ?? '';
  if (DEGREES.test(unit)) return degreesToRad(value);
  if (RADIANS.test(unit)) return value;
  return fail(`The unit “${unit}” in “${plain}” is not known for an angle.`);
}

/**
 * An angle in degrees for people: `75.4°`.
 * @param angleRad finite
 * @param format `digits` 0…12 keeps zeros; default one decimal, zeros dropped
 * @throws InputError out-of-range
 */
export function formatAngle(angleRad: number, format: { readonly digits?: number } = {}): string {
  const angleDeg = radToDegrees(angleRad);
  const text =
    format.digits === undefined ? withoutTrailingZeros(fixed(angleDeg, 1)) : fixed(angleDeg, format.digits);
  return `${text}°`;
}
