/**
 * What can go wrong, said so that a maker can act on it. Three classes, one closed set of codes:
 * a caller can tell them apart without reading the sentence, and the sentence always gives
 * what was got, what is allowed and what to do.
 */

export type ErrorCode =
  | 'not-understood'
  | 'not-positive'
  | 'negative'
  | 'out-of-range'
  | 'missing'
  | 'unknown-name'
  | 'conflict'
  | 'unsupported'
  | 'truncated'
  | 'damaged'
  | 'too-large'
  | 'no-scale'
  | 'no-hole'
  | 'cut-by-border'
  | 'too-few-pixels'
  | 'not-converged'
  | 'cancelled'
  | 'storage';

export interface ErrorDetails {
  /** Where: a field name, an option or a path into a document. */
  readonly path?: string;
  readonly got?: unknown;
  /** What is allowed, in words. */
  readonly expected?: string;
}

abstract class CamerawrightError extends Error {
  readonly code: ErrorCode;
  readonly path: string | undefined;
  readonly got: unknown;
  readonly expected: string | undefined;

  constructor(code: ErrorCode, message: string, details: ErrorDetails = {}) {
    super(message);
    this.code = code;
    this.path = details.path;
    this.got = details.got;
    this.expected = details.expected;
  }
}

/** The caller gave something that can be put right. */
export class InputError extends CamerawrightError {
  override readonly name = 'InputError';
}

/** A file or a record is not what it should be; `at` says where in it. */
export class FormatError extends CamerawrightError {
  override readonly name = 'FormatError';
  readonly at: string | undefined;

  constructor(code: ErrorCode, message: string, details: ErrorDetails & { readonly at?: string } = {}) {
    super(code, message, details);
    this.at = details.at;
  }
}

/** The question is well put, but the model has no answer to it (no hole found, not converged). */
export class ModelError extends CamerawrightError {
  override readonly name = 'ModelError';
}

/** True for every error whose message may be shown to a maker as it stands. */
export function isCamerawrightError(error: unknown): error is InputError | FormatError | ModelError {
  return error instanceof CamerawrightError;
}

/** For branches that the types rule out: reaching one is a bug, never the maker's fault. */
export function unreachable(value: never): never {
  throw new Error(`unreachable: ${JSON.stringify(value)}`);
}

const UNIT_AT_THE_END = /(PerMm|Mm2|Mm|Um|Nm|Rad|Deg|Stops|Px|S)$/;

/**
 * A field as a maker would say it, to begin a sentence: `layers[0].opening.diameterMm` is “The opening diameter of layer 1”.
 * An option (`--frame height`) stays as it was typed.
 */
export function inWords(path: string): string {
  if (!/^[a-z][\w[\].]*$/.test(path)) return path;
  let owner = '';
  const words: string[] = [];
  for (const part of path.split('.')) {
    const [, list, index] = /^(\w+?)s?\[(\d+)\]$/.exec(part) ?? [];
    if (list === undefined) words.push(part.replace(UNIT_AT_THE_END, '').replace(/[A-Z]/g, (letter) => ` ${letter.toLowerCase()}`));
    else owner = `${list} ${Number(index) + 1}`;
  }
  const name = words.join(' ');
  return name === '' ? `${owner.charAt(0).toUpperCase()}${owner.slice(1)}` : `The ${name}${owner === '' ? '' : ` of ${owner}`}`;
}

/** @throws InputError `not-positive` unless `value` is finite and > 0 */
export function requirePositive(value: number, path: string, unit: string): void {
  if (!(Number.isFinite(value) && value > 0)) {
    throw new InputError('not-positive', `${inWords(path)} must be greater than 0 ${unit}, but is ${value}.`, {
      path,
      got: value,
      expected: `> 0 ${unit}`,
    });
  }
}
