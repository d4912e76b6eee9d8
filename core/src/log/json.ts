/**
 * JSON as a careful reader and writer: a file from anywhere is looked through before it is believed,
 * and what is written is the same text for the same workshop, to be read and compared by people.
 */
import { FormatError } from '../errors.ts';

const MAX_CHARACTERS = 128 * 1024 * 1024;
const MAX_DEPTH = 32;
const MAX_VALUES = 20_000_000;
const MAX_KEY = 200;
/** Names through which a document could reach into the machinery of the program that reads it. */
const FORBIDDEN_KEYS = new Set(['__proto__', 'constructor', 'prototype']);

const QUOTE = 34;
const BACKSLASH = 92;

/** Depth of brackets and whether the text ends inside one, without building anything. */
function bracketsOf(text: string): { readonly deepest: number; readonly open: boolean } {
  let depth = 0;
  let deepest = 0;
  let inString = false;
  for (let i = 0; i < text.length; i++) {
    const code = text.charCodeAt(i);
    if (inString) {
      if (code === BACKSLASH) i++;
      else if (code === QUOTE) inString = false;
    } else if (code === QUOTE) inString = true;
    else if (code === 123 || code === 91) deepest = Math.max(deepest, ++depth);
    else if (code === 125 || code === 93) depth--;
  }
  return { deepest, open: inString || depth > 0 };
}

/** Line and column of a syntax error, as far as the machine's own message tells. */
function placeOf(error: unknown, text: string): string | null {
  const message = error instanceof Error ? error.message : '';
  const position = /position (\d+)/.exec(message)?.[1];
  if (position !== undefined) {
    const before = text.slice(0, Number(position)).split('\n');
    return `line ${before.length}, column ${(before.at(-1)?.length ?? 0) + 1}`;
  }
  const lines = /line (\d+) column (\d+)/.exec(message);
  return lines === null ? null : `line ${lines[1]}, column ${lines[2]}`;
}

/** A place in a document as a maker can find it: `cameras[0].frame.widthMm`. */
export function placeText(path: readonly PropertyKey[]): string {
  return path
    .map((key, index) => (typeof key === 'number' ? `[${key}]` : index === 0 ? String(key) : `.${String(key)}`))
    .join('');
}

interface Step {
  readonly value: object;
  readonly key: string | number | null;
  readonly parent: Step | null;
}

function placeOfStep(step: Step, key: string | number): string {
  const path: (string | number)[] = [key];
  for (let at: Step | null = step; at !== null && at.key !== null; at = at.parent) path.unshift(at.key);
  return placeText(path);
}

/** @throws FormatError for keys, numbers and amounts that no workshop has */
function requireHarmless(document: unknown): void {
  if (typeof document !== 'object' || document === null) return;
  const waiting: Step[] = [{ value: document, key: null, parent: null }];
  let seen = 0;
  for (let step = waiting.pop(); step !== undefined; step = waiting.pop()) {
    const isList = Array.isArray(step.value);
    const keys = Object.keys(step.value);
    seen += keys.length;
    if (seen > MAX_VALUES) {
      throw new FormatError('too-large', `The file holds more than ${MAX_VALUES} values: this is no workshop file.`);
    }
    for (const name of keys) {
      const key = isList ? Number(name) : name;
      if (FORBIDDEN_KEYS.has(name)) {
        const at = placeOfStep(step, key);
        throw new FormatError('unsupported', `The file has a field named “${name}”, which no workshop has: it is refused.`, {
          path: at,
          at,
          got: name,
        });
      }
      if (name.length > MAX_KEY) {
        throw new FormatError('too-large', `The file has a field with a name of ${name.length} characters: it is refused.`, {
          got: name.slice(0, 40),
          expected: `at most ${MAX_KEY} characters`,
        });
      }
      const value = (step.value as Readonly<Record<string, unknown>>)[name];
      if (typeof value === 'number' && !Number.isFinite(value)) {
        const at = placeOfStep(step, key);
        throw new FormatError('out-of-range', `The number at ${at} is too large to be kept. Correct it in the file.`, {
          path: at,
          at,
          got: value,
          expected: 'a number up to 1.7e308',
        });
      }
      if (typeof value === 'object' && value !== null) waiting.push({ value, key, parent: step });
    }
  }
}

/**
 * A text as plain data, or a sentence why not.
 * @throws FormatError `too-large`, `truncated`, `damaged`, `unsupported`, `out-of-range`
 */
export function readJson(text: string): unknown {
  if (text.length > MAX_CHARACTERS) {
    throw new FormatError('too-large', `The file is larger than ${MAX_CHARACTERS / 1024 / 1024} MB: this is no workshop file.`, {
      got: text.length,
      expected: `at most ${MAX_CHARACTERS} characters`,
    });
  }
  const body = text.startsWith('\uFEFF') ? text.slice(1) : text;
  if (body.trim() === '') {
    throw new FormatError('truncated', 'The file is empty. If there is a copy ending in .bak beside it, open that one.');
  }
  const { deepest, open } = bracketsOf(body);
  if (deepest > MAX_DEPTH) {
    throw new FormatError('too-large', `The file is nested ${deepest} levels deep, a workshop at most ${MAX_DEPTH}: it is refused.`, {
      got: deepest,
      expected: `at most ${MAX_DEPTH}`,
    });
  }
  let document: unknown;
  try {
    document = JSON.parse(body);
  } catch (error) {
    if (!/^\s*[{[]/.test(body)) {
      throw new FormatError('damaged', 'This is not a workshop file: one is text that begins with {. Look whether another file was meant.');
    }
    if (open) {
      throw new FormatError('truncated', 'The file ends too early: its last part is missing. Open the copy ending in .bak, if there is one.');
    }
    const at = placeOf(error, body);
    throw new FormatError(
      'damaged',
      `This is not a workshop file: the text is not valid JSON${at === null ? '' : ` at ${at}`}. ` +
        'If it was changed by hand, look for a missing comma or quotation mark there.',
      at === null ? {} : { at },
    );
  }
  requireHarmless(document);
  return document;
}

/** The same data with the names of every object in alphabetical order, and without undefined fields. */
export function sortedCopy(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(sortedCopy);
  if (typeof value !== 'object' || value === null) return value;
  const record = value as Readonly<Record<string, unknown>>;
  const result: Record<string, unknown> = {};
  for (const key of Object.keys(record).sort()) {
    if (record[key] !== undefined) result[key] = sortedCopy(record[key]);
  }
  return result;
}

function scalarText(value: unknown): string {
  if (typeof value === 'number') {
    if (!Number.isFinite(value)) {
      throw new FormatError('out-of-range', `A workshop cannot hold the number ${value}.`, { got: value, expected: 'a finite number' });
    }
    return Object.is(value, -0) ? '-0' : JSON.stringify(value);
  }
  if (value === null || typeof value === 'string' || typeof value === 'boolean') return JSON.stringify(value);
  throw new FormatError('unsupported', `A workshop cannot hold a value of the kind ${typeof value}.`, { got: value });
}

const isNested = (value: unknown): boolean => typeof value === 'object' && value !== null;

/**
 * Text of plain data: two spaces a level, a point or a range on one line, numbers with every digit they need
 * to come back the same.
 */
export function jsonText(value: unknown, indent = ''): string {
  if (!isNested(value)) return scalarText(value);
  const inner = `${indent}  `;
  if (Array.isArray(value)) {
    if (value.length === 0) return '[]';
    if (!value.some(isNested)) return `[${value.map(scalarText).join(', ')}]`;
    return `[\n${value.map((item) => inner + jsonText(item, inner)).join(',\n')}\n${indent}]`;
  }
  const entries = Object.entries(value as object).filter(([, item]) => item !== undefined);
  if (entries.length === 0) return '{}';
  const lines = entries.map(([key, item]) => `${inner}${JSON.stringify(key)}: ${jsonText(item, inner)}`);
  return `{\n${lines.join(',\n')}\n${indent}}`;
}
