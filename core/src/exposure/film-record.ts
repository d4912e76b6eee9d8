/**
 * The way in for films: an open record (a data file, a maker's own film) to a checked `Film`. What is left
 * out becomes `null`; what cannot be right is refused with the field and the remedy.
 */
import { InputError } from '../errors.ts';
import type { AlternateFigures, Evidence, Film, FilmKind, ReciprocityLaw, ReciprocityRow } from './film.ts';
import { LIMITS } from './limits.ts';

const EVIDENCE: readonly Evidence[] = ['published', 'second-hand', 'memory', 'tested', 'none'];
const KINDS: readonly FilmKind[] = [
  'bw-negative',
  'colour-negative',
  'colour-reversal',
  'colour-reversal-tungsten',
  'paper',
  'direct-positive-paper',
  'plate',
  'x-ray',
  'instant',
  'emulsion',
  'unspecified',
];

/** Common practice, no source: where nothing is stated, no correction up to one second. */
export const PRACTICE_LIMIT_S = 1;
/** Rounded tables may seem to need a hair less correction for a longer time; more than this is a slip. */
const ROUNDING_STOPS = 1e-9;

type Fields = Readonly<Record<string, unknown>>;

function refuse(path: string, got: unknown, expected: string, remedy: string): never {
  const shown = typeof got === 'object' && got !== null ? 'something else' : (JSON.stringify(got) ?? 'nothing');
  throw new InputError(
    got === undefined ? 'missing' : 'out-of-range',
    `${path} must be ${expected}, but is ${shown}. ${remedy}`,
    {
      path,
      got,
      expected,
    },
  );
}

function fieldsOf(value: unknown, path: string): Fields {
  if (typeof value === 'object' && value !== null && !Array.isArray(value)) return value as Fields;
  return refuse(path, value, 'a record with named fields', 'See the film data file for an example.');
}

function listOf(value: unknown, path: string): readonly unknown[] {
  if (value === undefined || value === null) return [];
  return Array.isArray(value) ? value : refuse(path, value, 'a list', 'Leave it out if there is none.');
}

function textOf(value: unknown, path: string): string {
  if (typeof value === 'string' && value.trim() !== '') return value;
  return refuse(path, value, 'a text', 'Write it out; it is what the answer names.');
}

function textOrNull(value: unknown, path: string): string | null {
  return value === undefined || value === null ? null : textOf(value, path);
}

function wordOf<Word extends string>(value: unknown, words: readonly Word[], path: string): Word {
  const word = words.find((allowed) => allowed === value);
  return word ?? refuse(path, value, `one of ${words.join(', ')}`, 'Choose the nearest.');
}

interface Span {
  readonly min: number;
  readonly max: number;
  readonly what: string;
}

function numberOf(value: unknown, span: Span, path: string): number {
  if (typeof value === 'number' && Number.isFinite(value) && value >= span.min && value <= span.max) return value;
  return refuse(path, value, `${span.what}, ${span.min}…${span.max}`, 'Check the figure and its unit.');
}

function numberOrNull(value: unknown, span: Span, path: string): number | null {
  return value === undefined || value === null ? null : numberOf(value, span, path);
}

const SECONDS: Span = { min: 1e-6, max: 1e8, what: 'a time in seconds' };
const STOPS: Span = { min: 0, max: 20, what: 'a correction in stops' };
const SPEED: Span = { min: LIMITS.iso.min, max: LIMITS.iso.max, what: 'a speed' };
const POWER: Span = { min: 1, max: 3, what: 'an exponent' };

/** Corrected time of a row: the document's own column where it has one, else its stops turned to time. */
export function rowTimeS(row: ReciprocityRow): number {
  return row.correctedS ?? row.meteredS * 2 ** (row.correctionStops ?? 0);
}

function rowFrom(value: unknown, path: string): ReciprocityRow {
  const fields = fieldsOf(value, path);
  const row: ReciprocityRow = {
    meteredS: numberOf(fields['meteredS'], SECONDS, `${path}.meteredS`),
    correctedS: numberOrNull(fields['correctedS'], { ...SECONDS, max: 1e10 }, `${path}.correctedS`),
    correctionStops: numberOrNull(fields['correctionStops'], STOPS, `${path}.correctionStops`),
    developmentChange: textOrNull(fields['developmentChange'], `${path}.developmentChange`),
    colourFilter: textOrNull(fields['colourFilter'], `${path}.colourFilter`),
  };
  if (row.correctedS === null && row.correctionStops === null) {
    return refuse(path, undefined, 'a corrected time or a correction in stops', 'Give correctedS or correctionStops.');
  }
  if (rowTimeS(row) < row.meteredS) {
    return refuse(
      `${path}.correctedS`,
      row.correctedS,
      `${row.meteredS} s or more`,
      'No film needs less time for having waited.',
    );
  }
  return row;
}

function tableFrom(fields: Fields, limitS: number, path: string): ReciprocityLaw {
  const rows = listOf(fields['rows'], `${path}.rows`).map((row, i) => rowFrom(row, `${path}.rows[${i}]`));
  if (rows.length === 0)
    refuse(`${path}.rows`, undefined, 'at least one row', 'Use the model “none” for a film without figures.');
  let meteredS = 0;
  let stops = 0;
  for (const [i, row] of rows.entries()) {
    const rowStops = Math.log2(rowTimeS(row) / row.meteredS);
    if (row.meteredS <= meteredS) {
      refuse(
        `${path}.rows[${i}].meteredS`,
        row.meteredS,
        `more than ${meteredS} s`,
        'Order the rows by metered time, each time once.',
      );
    }
    if (rowStops < stops - ROUNDING_STOPS) {
      refuse(
        `${path}.rows[${i}]`,
        row.correctedS ?? row.correctionStops,
        `a correction of ${stops.toFixed(2)} stops or more`,
        'A longer time never needs a smaller correction; look for a slip in the rows.',
      );
    }
    meteredS = row.meteredS;
    stops = rowStops;
  }
  const firstS = rows[0]?.meteredS ?? 0;
  if (limitS > firstS) {
    refuse(
      `${path}.rows[0].meteredS`,
      firstS,
      `${limitS} s or more`,
      'The first row lies below the limit of no correction.',
    );
  }
  return { model: 'table', rows };
}

function lawFrom(value: unknown, limitS: number, path: string): ReciprocityLaw {
  if (value === undefined || value === null) return { model: 'none' };
  const fields = fieldsOf(value, path);
  const model = wordOf(
    fields['model'],
    ['table', 'power', 'covington', 'modified-schwarzschild', 'none'] as const,
    `${path}.model`,
  );
  const validToS = numberOrNull(fields['validToS'], SECONDS, `${path}.validToS`);
  switch (model) {
    case 'none':
      return { model };
    case 'table':
      return tableFrom(fields, limitS, path);
    case 'power': {
      const validFromS = numberOf(fields['validFromS'] ?? PRACTICE_LIMIT_S, SECONDS, `${path}.validFromS`);
      return { model, exponent: numberOf(fields['exponent'], POWER, `${path}.exponent`), validFromS, validToS };
    }
    case 'covington':
      return {
        model,
        p: numberOf(fields['p'], { min: 0.4, max: 1, what: 'a Schwarzschild exponent p' }, `${path}.p`),
        validToS,
      };
    case 'modified-schwarzschild':
      return {
        model,
        coefficient: numberOf(
          fields['coefficient'],
          { min: 0, max: 100, what: 'a coefficient' },
          `${path}.coefficient`,
        ),
        exponent: numberOf(fields['exponent'], POWER, `${path}.exponent`),
        validToS,
      };
  }
}

function alternateFrom(value: unknown, path: string): AlternateFigures {
  const fields = fieldsOf(value, path);
  return {
    name: textOf(fields['name'], `${path}.name`),
    law: lawFrom(fields['law'], 0, `${path}.law`),
    source: textOf(fields['source'], `${path}.source`),
    evidence: wordOf(fields['evidence'], EVIDENCE, `${path}.evidence`),
    note: textOrNull(fields['note'], `${path}.note`),
  };
}

/** The smooth laws begin at 0 s: a limit below which nothing is corrected would break them in two. */
function limitFrom(fields: Fields, path: string): number | null {
  const limitS = numberOrNull(fields['noCorrectionUpToS'], SECONDS, `${path}.noCorrectionUpToS`);
  const law = fields['law'] as Fields | null | undefined;
  const model = law?.['model'];
  if ((model === 'covington' || model === 'modified-schwarzschild') && limitS !== null) {
    refuse(
      `${path}.noCorrectionUpToS`,
      limitS,
      'left out',
      `The ${model} law runs smoothly from 0 s and needs no limit.`,
    );
  }
  if (model === 'power') {
    const fromS = law?.['validFromS'] ?? PRACTICE_LIMIT_S;
    if (limitS !== null && limitS !== fromS) {
      refuse(
        `${path}.noCorrectionUpToS`,
        limitS,
        `${JSON.stringify(fromS)} s, where the power law begins`,
        'Give both alike.',
      );
    }
    return numberOrNull(fromS, SECONDS, `${path}.law.validFromS`);
  }
  if (model !== 'table' || limitS !== null) return limitS;
  const [first] = listOf(law?.['rows'], `${path}.law.rows`);
  const firstS = (first as Fields | undefined)?.['meteredS'];
  if (typeof firstS === 'number' && firstS > PRACTICE_LIMIT_S) return PRACTICE_LIMIT_S;
  return refuse(
    `${path}.noCorrectionUpToS`,
    undefined,
    'given, in seconds',
    'Say up to which metered time the film needs no correction.',
  );
}

function speedRangeFrom(value: unknown, path: string): readonly [number, number] | null {
  if (value === undefined || value === null) return null;
  const [lo, hi] = listOf(value, path).map((speed, i) => numberOf(speed, SPEED, `${path}[${i}]`));
  if (lo === undefined || hi === undefined || lo > hi)
    return refuse(path, value, 'two speeds, lowest first', 'For example [3, 6].');
  return [lo, hi];
}

/** Lower case letters and digits with hyphens, from a name. */
function idOf(name: string): string {
  return (
    name
      .toLowerCase()
      .match(/[a-z0-9]+/g)
      ?.join('-') ?? 'film'
  );
}

/**
 * A checked film from an open record. Required: `name`. Left out: kind `unspecified`, no speed, law `none`,
 * source “the maker's own figures”, evidence `none`. A table without `noCorrectionUpToS` whose first row lies past
 * 1 s begins at 1 s (common practice, no source).
 * @param record fields as in `Film`
 * @param path how to name the record in messages
 * @throws InputError missing, out-of-range: the field, what it must be, what to do
 */
export function filmFrom(record: unknown, path = 'film'): Film {
  const fields = fieldsOf(record, path);
  const name = textOf(fields['name'], `${path}.name`);
  const limitS = limitFrom(fields, path);
  return {
    id: textOrNull(fields['id'], `${path}.id`) ?? idOf(name),
    name,
    alsoNamed: listOf(fields['alsoNamed'], `${path}.alsoNamed`).map((other, i) =>
      textOf(other, `${path}.alsoNamed[${i}]`),
    ),
    maker: textOrNull(fields['maker'], `${path}.maker`),
    kind: wordOf(fields['kind'] ?? 'unspecified', KINDS, `${path}.kind`),
    iso: numberOrNull(fields['iso'], SPEED, `${path}.iso`),
    exposureIndexRange: speedRangeFrom(fields['exposureIndexRange'], `${path}.exposureIndexRange`),
    law: lawFrom(fields['law'], limitS ?? 0, `${path}.law`),
    noCorrectionUpToS: limitS,
    notRecommendedFromS: numberOrNull(fields['notRecommendedFromS'], SECONDS, `${path}.notRecommendedFromS`),
    source: textOrNull(fields['source'], `${path}.source`) ?? 'own figures',
    evidence: wordOf(fields['evidence'] ?? 'none', EVIDENCE, `${path}.evidence`),
    status: textOrNull(fields['status'], `${path}.status`),
    development: textOrNull(fields['development'], `${path}.development`),
    note: textOrNull(fields['note'], `${path}.note`),
    alternates: listOf(fields['alternates'], `${path}.alternates`).map((other, i) =>
      alternateFrom(other, `${path}.alternates[${i}]`),
    ),
  };
}
