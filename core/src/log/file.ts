/**
 * The workshop file: text in, a checked workshop out, and back. Whatever is refused is refused with a
 * sentence that says where, what was found and what is allowed.
 */
import type * as z from 'zod';
import { FormatError, InputError } from '../errors.ts';
import { jsonText, placeText, readJson, sortedCopy } from './json.ts';
import { migrated } from './migration.ts';
import type { JsonObject } from './migration.ts';
import { FORMAT, workshopSchema } from './records.ts';
import { LIST_NAMES } from './workshop.ts';
import type { Workshop } from './workshop.ts';

type Issue = z.core.$ZodIssue;
type Path = readonly PropertyKey[];

const KINDS: Readonly<Record<string, string>> = {
  string: 'a text in quotation marks',
  number: 'a number',
  boolean: 'true or false',
  array: 'a list in square brackets',
  object: 'an object in braces',
  record: 'an object in braces',
  tuple: 'a list in square brackets',
};

const FORMATS: Readonly<Record<string, string>> = {
  uuid: 'an id such as 01890a5d-ac96-774b-bcce-b302099a8057',
  datetime: 'a time with its offset, such as 2026-05-01T14:30:00+02:00',
  regex: '64 hexadecimal digits in lower case (the SHA-256 of the scan)',
};

/** What would have been right, in words. */
function expectation(issue: Issue): string {
  switch (issue.code) {
    case 'invalid_type':
      return KINDS[issue.expected] ?? issue.expected;
    case 'too_small':
    case 'too_big': {
      const low = issue.code === 'too_small';
      const limit = low ? issue.minimum : issue.maximum;
      if (issue.origin === 'number') {
        const relation = low ? (issue.inclusive ? 'at least' : 'greater than') : issue.inclusive ? 'at most' : 'less than';
        return `a number ${relation} ${limit}`;
      }
      const things = issue.origin === 'string' ? 'characters' : 'entries';
      return `${low ? 'at least' : 'at most'} ${limit} ${things}`;
    }
    case 'invalid_format':
      return FORMATS[issue.format] ?? issue.format;
    case 'invalid_value':
      return issue.values.length === 1
        ? JSON.stringify(issue.values[0])
        : `one of ${issue.values.map((value) => JSON.stringify(value)).join(', ')}`;
    case 'invalid_union':
      return 'one of the kinds this program knows';
    default:
      return issue.message;
  }
}

function valueAt(document: unknown, path: Path): unknown {
  let value = document;
  for (const key of path) {
    if (typeof value !== 'object' || value === null) return undefined;
    value = (value as Readonly<Record<PropertyKey, unknown>>)[key];
  }
  return value;
}

/** Name of the innermost record with a name on the way, so that a maker finds it without counting. */
function recordName(document: unknown, path: Path): string {
  for (let length = path.length - 1; length > 0; length--) {
    const record = valueAt(document, path.slice(0, length));
    const name = typeof record === 'object' && record !== null ? (record as { name?: unknown }).name : undefined;
    if (typeof name === 'string' && name !== '') return ` (in “${name}”)`;
  }
  return '';
}

function shown(value: unknown): string {
  const text = typeof value === 'object' && value !== null ? (Array.isArray(value) ? 'a list' : 'an object') : JSON.stringify(value);
  return text.length > 60 ? `${text.slice(0, 57)}…` : text;
}

interface Refusal {
  readonly code: 'missing' | 'out-of-range' | 'not-understood';
  readonly message: string;
  readonly details: { readonly path: string; readonly at: string; readonly got: unknown; readonly expected: string };
}

function refusal(document: unknown, issue: Issue, before: Path = []): Refusal {
  const path = [...before, ...issue.path];
  const got = valueAt(document, path);
  const at = path.length === 0 ? 'the document' : placeText(path);
  const expected = expectation(issue);
  const state = got === undefined ? 'is missing' : `is ${shown(got)}`;
  const bounds = issue.code === 'too_small' || issue.code === 'too_big';
  return {
    code: got === undefined ? 'missing' : bounds ? 'out-of-range' : 'not-understood',
    message: `${at}${recordName(document, path)} ${state}; it must be ${expected}.`,
    details: { path: placeText(path), at, got, expected },
  };
}

const LISTS = [...LIST_NAMES, 'trash'] as const;
const headSchema = workshopSchema.omit(Object.fromEntries(LISTS.map((list) => [list, true])) as Record<(typeof LISTS)[number], true>);

/** Lists that the first files of this version did not have: written only when something is in them, so that such a file comes back as it was. */
const LATER_LISTS = ['printers', 'filmHolders', 'filmSheets'] as const;

/** The first id that stands twice in a list (the passes of one plate, say), or `null`. */
function doubledId(records: readonly { readonly id: string }[]): { readonly id: string; readonly indices: [number, number] } | null {
  const first = new Map<string, number>();
  for (const [index, { id }] of records.entries()) {
    const earlier = first.get(id);
    if (earlier !== undefined) return { id, indices: [earlier, index] };
    first.set(id, index);
  }
  return null;
}

function requireDistinctIds(workshop: Workshop): void {
  const lists: [string, readonly { readonly id: string }[]][] = LISTS.map((list) => [list, workshop[list]]);
  workshop.cameras.forEach((camera, i) => lists.push([`cameras[${i}].mountings`, camera.mountings]));
  workshop.plates.forEach((plate, i) => lists.push([`plates[${i}].passes`, plate.passes]));
  for (const list of ['scanners', 'printers'] as const) {
    workshop[list].forEach((machine, i) => lists.push([`${list}[${i}].calibrations`, machine.calibrations]));
  }
  workshop.filmHolders.forEach((holder, i) => lists.push([`filmHolders[${i}].depths`, holder.depths]));
  for (const [place, records] of lists) {
    const doubled = doubledId(records);
    if (doubled === null) continue;
    const [a, b] = doubled.indices;
    throw new FormatError(
      'conflict',
      `${place}[${a}] and ${place}[${b}] have the same id ${doubled.id}; every id must stand only once. ` +
        'If one is a copy made by hand, give it an id of its own or take it out.',
      { path: `${place}[${b}].id`, at: `${place}[${b}].id`, got: doubled.id, expected: 'an id used only once' },
    );
  }
}

/**
 * A workshop from plain data of any released version: brought up to today's and checked.
 * Fields this program does not know are kept.
 * @throws FormatError with a sentence for the maker
 */
export function checkedWorkshop(document: unknown): Workshop {
  if (typeof document !== 'object' || document === null || Array.isArray(document)) {
    throw new FormatError('not-understood', `This is not a workshop file: it holds ${shown(document)} and not a workshop.`, { got: document });
  }
  const { format } = document as JsonObject;
  if (format !== FORMAT) {
    throw new FormatError(
      'not-understood',
      `This is not a workshop file: its format is ${format === undefined ? 'not stated' : shown(format)}, not "${FORMAT}".`,
      { path: 'format', at: 'format', got: format, expected: FORMAT },
    );
  }
  const outcome = migrated(document as JsonObject);
  if (outcome.kind === 'newer') {
    throw new FormatError(
      'unsupported',
      `This workshop file was made by a newer version of this program (file version ${outcome.version}). ` +
        'Open it there, or update this program.',
      { path: 'version', at: 'version', got: outcome.version },
    );
  }
  if (outcome.kind === 'no-version') {
    throw new FormatError('not-understood', `The file's version is ${shown(outcome.got ?? null)}; it must be a whole number from 1.`, {
      path: 'version',
      at: 'version',
      got: outcome.got,
    });
  }
  const result = workshopSchema.safeParse(outcome.document);
  if (!result.success) {
    const [issue] = result.error.issues;
    if (issue !== undefined) {
      const { code, message, details } = refusal(outcome.document, issue);
      throw new FormatError(code, `The workshop file cannot be read: ${message}`, details);
    }
  }
  const workshop = result.data as Workshop;
  requireDistinctIds(workshop);
  return workshop;
}

/**
 * A workshop from the text of its file.
 * @throws FormatError with a sentence for the maker
 */
export function parseWorkshop(text: string): Workshop {
  return checkedWorkshop(readJson(text));
}

/**
 * The text of a workshop's file: fields in the order of the schema, unknown ones after them by name, so that
 * the same workshop is always the same text.
 * @throws FormatError when it is not a valid workshop: nothing unreadable is ever written
 */
export function serialiseWorkshop(workshop: Workshop): string {
  const sorted = sortedCopy(workshop);
  const result = workshopSchema.safeParse(sorted);
  if (!result.success) {
    const [issue] = result.error.issues;
    if (issue !== undefined) {
      const { code, message, details } = refusal(sorted, issue);
      throw new FormatError(code, `The workshop cannot be written: ${message}`, details);
    }
  }
  requireDistinctIds(result.data as Workshop);
  const written: Record<string, unknown> = { ...result.data };
  for (const list of LATER_LISTS) if (result.data?.[list].length === 0) delete written[list];
  return `${jsonText(written)}\n`;
}

/**
 * Checks a changed workshop against the one it came from. Records that are the same objects as before are
 * taken as they are, so that a keystroke costs one record and not the whole workshop.
 * @throws InputError with a sentence for the maker
 */
export function checkedChange(next: Workshop, previous: Workshop): Workshop {
  const fail = (issue: Issue, before: Path): never => {
    const { code, message, details } = refusal(next, issue, before);
    throw new InputError(code, message, details);
  };
  const head = headSchema.safeParse(next);
  const [headIssue] = head.error?.issues ?? [];
  if (headIssue !== undefined) fail(headIssue, []);
  const result: Record<string, unknown> = { ...head.data };
  for (const list of LISTS) {
    const records: readonly unknown[] = next[list];
    if (records === previous[list]) continue;
    if (!Array.isArray(records)) {
      throw new InputError('not-understood', `${list} must be a list.`, { path: list, got: records });
    }
    const known = new Set<unknown>(previous[list]);
    const schema = workshopSchema.shape[list].unwrap().element;
    result[list] = records.map((record, index) => {
      if (known.has(record)) return record;
      const checked = schema.safeParse(record);
      const [issue] = checked.error?.issues ?? [];
      if (issue !== undefined) fail(issue, [list, index]);
      return checked.data;
    });
  }
  try {
    requireDistinctIds(result as unknown as Workshop);
  } catch (error) {
    if (error instanceof FormatError) {
      throw new InputError('conflict', error.message, { got: error.got, ...(error.path !== undefined && { path: error.path }) });
    }
    throw error;
  }
  return result as unknown as Workshop;
}
