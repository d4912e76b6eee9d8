/**
 * Exposures as a table for a spreadsheet, and back. One line for each, units in the heads, numbers with every digit,
 * names instead of ids. A line comes back as the exposure it was when it still has its id.
 */
import { FormatError } from '../errors.ts';
import { exposureLines } from './exposure-lines.ts';
import type { Draft, ExposureRecord, Workshop } from './workshop.ts';

const HEADS = [
  'id',
  'at',
  'camera',
  'plate',
  'film',
  'exposureIndex',
  'ev100Ev',
  'fNumber',
  'filterFactor',
  'plannedS',
  'givenS',
  'verdict',
  'offStops',
  'sheet',
  'weather',
  'place',
  'notes',
] as const;
type Head = (typeof HEADS)[number];

const MAX_CHARACTERS = 64 * 1024 * 1024;
const MAX_LINES = 200_000;

/** A spreadsheet takes a text that begins like a formula for one: it gets a mark before it, which comes off again. */
const FORMULA = /^[=+\-@\t\r']/;
const guarded = (text: string): string => (FORMULA.test(text) ? `'${text}` : text);
const unguarded = (text: string): string => (text.startsWith("'") && FORMULA.test(text.slice(1)) ? text.slice(1) : text);

const quoted = (text: string): string => (/[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text);

/** RFC 4180, with a head; the newest exposure last. */
export function exposuresCsv(workshop: Workshop): string {
  const rows = exposureLines(workshop).reverse().map(({ record, camera, plate, film, sheet }) => {
    const value: Record<Head, string | number | null | undefined> = {
      id: record.id,
      at: record.at,
      camera,
      plate,
      film,
      exposureIndex: record.exposureIndex,
      ev100Ev: record.light?.kind === 'ev' ? record.light.ev100Ev : null,
      fNumber: record.fNumber,
      filterFactor: record.filterFactor,
      plannedS: record.planned?.correctedS,
      givenS: record.given?.timeS,
      verdict: record.result?.verdict,
      offStops: record.result?.offStops,
      sheet,
      weather: record.weather,
      place: record.place,
      notes: record.notes,
    };
    return HEADS.map((head) => {
      const cell = value[head];
      return cell === null || cell === undefined ? '' : quoted(typeof cell === 'string' ? guarded(cell) : String(cell));
    });
  });
  return [[...HEADS], ...rows].map((cells) => cells.join(',')).join('\r\n') + '\r\n';
}

/** The cells of a table, line by line. A semicolon is taken where the head has no comma. */
function cellsOf(text: string): string[][] {
  if (text.length > MAX_CHARACTERS) {
    throw new FormatError('too-large', `The table has ${Math.round(text.length / 1e6)} million characters: that is no list of exposures.`);
  }
  const body = text.startsWith('\uFEFF') ? text.slice(1) : text;
  const head = body.slice(0, body.search(/[\r\n]|$/));
  const mark = head.includes(',') ? ',' : head.includes(';') ? ';' : head.includes('\t') ? '\t' : ',';
  const lines: string[][] = [[]];
  let cell = '';
  let inQuotes = false;
  const endCell = (): void => {
    lines.at(-1)?.push(cell);
    cell = '';
  };
  for (let i = 0; i < body.length; i++) {
    const letter = body[i];
    if (inQuotes) {
      if (letter !== '"') cell += letter;
      else if (body[i + 1] === '"') {
        cell += '"';
        i++;
      } else inQuotes = false;
    } else if (letter === '"' && cell === '') inQuotes = true;
    else if (letter === mark) endCell();
    else if (letter === '\n' || letter === '\r') {
      if (letter === '\r' && body[i + 1] === '\n') i++;
      endCell();
      lines.push([]);
      if (lines.length > MAX_LINES) throw new FormatError('too-large', `The table has more than ${MAX_LINES} lines: that is no list of exposures.`);
    } else cell += letter;
  }
  if (inQuotes) throw new FormatError('truncated', 'The table ends inside quotation marks: its last part is missing.');
  endCell();
  return lines.filter((cells) => cells.some((text_) => text_.trim() !== ''));
}

export interface CsvImport {
  /** Exposures to add, in the order of the table. */
  readonly exposures: readonly ExposureRecord[];
  /** Ids of lines that the workshop has already. */
  readonly known: readonly string[];
  /** What could not be taken, each with its line. */
  readonly problems: readonly string[];
}

export interface CsvImportOptions {
  /** A new id for each exposure that has none. */
  readonly newId: () => string;
  /** For times without one: `+02:00`. */
  readonly offset: string;
}

const ID = /^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/i;
const TIME = /^(\d{4}-\d{2}-\d{2})(?:[T ](\d{2}:\d{2})(:\d{2}(?:\.\d+)?)?)?\s*(Z|[+-]\d{2}:\d{2})?$/;
const VERDICTS = ['too light', 'right', 'too dark', 'lost'] as const;

function timeOf(text: string, offset: string): string | null {
  const parts = TIME.exec(text.trim());
  if (parts === null) return null;
  const time = `${parts[1] ?? ''}T${parts[2] ?? '12:00'}${parts[3] ?? ':00'}${parts[4] ?? offset}`;
  return Number.isNaN(Date.parse(time)) ? null : time;
}

/**
 * Reads a table of exposures. Heads are those of the written table, in any order and capitals; others are left out.
 * @throws FormatError when it is no such table
 */
export function exposuresFromCsv(text: string, workshop: Workshop, options: CsvImportOptions): CsvImport {
  const [headCells, ...lines] = cellsOf(text);
  const places = new Map<Head, number>();
  headCells?.forEach((cell, i) => {
    const head = HEADS.find((name) => name.toLowerCase() === cell.trim().toLowerCase());
    if (head !== undefined) places.set(head, i);
  });
  if (!places.has('at')) {
    throw new FormatError(
      'not-understood',
      `This is no table of exposures: its first line must name the columns, with at least “at” for the date. Known are ${HEADS.join(', ')}.`,
      { at: 'line 1', got: headCells?.join(',').slice(0, 60), expected: 'a column named at' },
    );
  }
  const known = new Set(workshop.exposures.map(({ id }) => id));
  const result = { exposures: [] as ExposureRecord[], known: [] as string[], problems: [] as string[] };
  lines.forEach((cells, i) => {
    const read = (head: Head): string => unguarded((cells[places.get(head) ?? -1] ?? '').trim());
    const id = read('id').toLowerCase();
    if (ID.test(id) && known.has(id)) {
      result.known.push(id);
      return;
    }
    const outcome = exposureOf(read, workshop, { id: ID.test(id) ? id : options.newId(), offset: options.offset });
    if (typeof outcome === 'string') result.problems.push(`Line ${i + 2}: ${outcome}`);
    else {
      known.add(outcome.id);
      result.exposures.push(outcome);
    }
  });
  return result;
}

function exposureOf(read: (head: Head) => string, workshop: Workshop, made: { readonly id: string; readonly offset: string }): ExposureRecord | string {
  const at = timeOf(read('at'), made.offset);
  if (at === null) return `“${read('at')}” is no date. Write it like 2026-05-01 14:30.`;
  const exposure: Draft<ExposureRecord> = { id: made.id, at };
  for (const [head, list, key] of [['camera', workshop.cameras, 'cameraId'], ['plate', workshop.plates, 'plateId']] as const) {
    const name = read(head);
    if (name === '') continue;
    const record = list.find((candidate) => candidate.name.toLowerCase() === name.toLowerCase());
    if (record === undefined) return `there is no ${head} named “${name}” in this workshop.`;
    exposure[key] = record.id;
  }
  const film = read('film');
  const own = workshop.films.find((candidate) => candidate.name.toLowerCase() === film.toLowerCase());
  if (own !== undefined) exposure.filmId = own.id;
  else if (film !== '') exposure.filmName = film;
  for (const head of ['exposureIndex', 'fNumber', 'filterFactor', 'ev100Ev', 'plannedS', 'givenS', 'offStops'] as const) {
    const cell = read(head);
    if (cell === '') continue;
    const value = Number(cell.replace(',', '.'));
    const positive = head !== 'ev100Ev' && head !== 'offStops';
    if (!Number.isFinite(value) || (positive && value <= 0)) return `${head} “${cell}” is ${Number.isFinite(value) ? 'not greater than 0' : 'no number'}.`;
    if (head === 'ev100Ev') exposure.light = { kind: 'ev', ev100Ev: value };
    else if (head === 'plannedS') exposure.planned = { correctedS: value };
    else if (head === 'givenS') exposure.given = { timeS: value };
    else if (head === 'offStops') exposure.result = { offStops: value };
    else exposure[head] = value;
  }
  const word = read('verdict').toLowerCase();
  const verdict = VERDICTS.find((candidate) => candidate === word);
  if (word !== '' && verdict === undefined) return `verdict “${word}” is none of ${VERDICTS.join(', ')}.`;
  if (verdict !== undefined) exposure.result = { ...exposure.result, verdict };
  const sheet = read('sheet');
  const numbered = workshop.filmSheets.find(({ number }) => number === sheet);
  if (numbered !== undefined) exposure.sheetId = numbered.id;
  else if (sheet !== '') exposure.sheet = sheet;
  for (const head of ['weather', 'place', 'notes'] as const) {
    if (read(head) !== '') exposure[head] = read(head);
  }
  return exposure as ExposureRecord;
}
