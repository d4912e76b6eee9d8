/** `camerawright exposure card` and `board`: what hangs on the camera's back and on the classroom's wall. */
import {
  FormatError,
  InputError,
  cameraCard,
  cellWords,
  classBoard,
  filmOf,
  findFilm,
  formatNumber,
  numbersOf,
  ownFilms,
  parseLength,
} from '#core';
import type { BoardPlace, CardMaterial, ClassBoard, Film, Workshop } from '#core';
import { readWorkshopFile } from '#io/node';
import type { Answer } from './answer.ts';
import { falloffOf, given, holeOf, lightOf, read } from './exposure-reading.ts';
import type { ExposureOptions } from './exposure-reading.ts';
import { csv, table } from './printing.ts';
import { readTable, readText } from './tables.ts';
import type { TableLine } from './tables.ts';

export interface CardOptions extends ExposureOptions {
  /** Scenes for the lines, separated by semicolons. */
  readonly scenes?: string;
}

export interface BoardOptions extends ExposureOptions {
  readonly workshop?: string;
  readonly places?: string;
}

function listOf(text: string | undefined, mark: RegExp): string[] {
  return (text ?? '')
    .split(mark)
    .map((part) => part.trim())
    .filter((part) => part !== '');
}

/** `HP5 Plus`, or `HP5 Plus@200` for a speed of the maker's own. */
function materialOf(text: string, own: readonly Film[]): CardMaterial {
  const [, name, speed] = /^(.*?)(?:@([^@]*))?$/.exec(text) ?? [];
  return {
    film: findFilm((name ?? text).trim(), own),
    ...given({ exposureIndex: read(speed, '--film … @') }),
  };
}

function materialsOf(options: CardOptions, loaded: Film | null, own: readonly Film[]): CardMaterial[] {
  const films = listOf(options.film, /;/).map((text) => materialOf(text, own));
  const speeds = listOf(options.iso, /[;,\s]+/).map((text) => read(text, '--iso') ?? 0);
  if (films.length > 0 && speeds.length > 0) {
    throw new InputError('conflict', 'Give films with --film, each with its own speed as name@speed, or speeds alone with --iso.', {
      path: '--iso',
    });
  }
  if (films.length > 0) return films;
  if (loaded !== null) return [{ film: loaded, ...given({ exposureIndex: speeds[0] }) }];
  if (speeds.length > 0) return speeds.map((exposureIndex) => ({ film: null, exposureIndex }));
  throw new InputError('missing', 'Say what the camera is loaded with: --film "name; name", or --iso 100,400.', {
    path: '--film',
    expected: 'films or speeds',
  });
}

/** Most lines a card may have. */
const MAX_LINES = 60;

/** `4..16` or `4,8,12`, brightest first. */
function evLines(text: string): number[] {
  const range = /^\s*(\S+?)\s*(?:\.\.|…)\s*(\S+)\s*$/.exec(text);
  if (range === null) {
    return listOf(text, /[;,\s]+/)
      .map((part) => read(part, '--ev') ?? 0)
      .sort((a, b) => b - a);
  }
  const [a, b] = [read(range[1], '--ev') ?? 0, read(range[2], '--ev') ?? 0];
  const top = Math.max(a, b);
  const count = Math.floor(top - Math.min(a, b)) + 1;
  if (count > MAX_LINES) {
    throw new InputError('out-of-range', `--ev “${text}” gives ${count} lines; a card has ${MAX_LINES} at most.`, {
      path: '--ev',
      got: text,
    });
  }
  return Array.from({ length: count }, (_, i) => top - i);
}

function linesOf(options: CardOptions): (string | number)[] | undefined {
  if (options.ev !== undefined && options.scenes !== undefined) {
    throw new InputError('conflict', 'The lines of a card are scenes or EV: give one of --scenes and --ev.', { path: '--ev' });
  }
  if (options.ev !== undefined) return evLines(options.ev);
  return options.scenes === undefined ? undefined : listOf(options.scenes, /;/);
}

function rulesOf(options: ExposureOptions) {
  const stops = read(options.filterStops, '--filter-stops');
  return given({
    filterFactor: read(options.filterFactor, '--filter-factor') ?? (stops === undefined ? undefined : 2 ** stops),
    falloffStops: falloffOf(options),
    bareHole: options.bareHole,
    handReactionS: read(options.handS, '--hand-s'),
  });
}

/** The table for the back of a camera. */
export function cardCommand(options: CardOptions, loaded: Film | null = null, own: readonly Film[] = []): Answer {
  const lines = linesOf(options);
  const card = cameraCard({
    ...holeOf(options),
    ...rulesOf(options),
    materials: materialsOf(options, loaded, own),
    ...(lines === undefined ? {} : { lines }),
  });
  const heads = card.columns.map(({ title, iso }) =>
    title.startsWith('ISO ') ? title : `${title}, ${formatNumber(iso, { significant: 3 })}`,
  );
  return {
    json: card,
    text: [
      `Seconds for f/${formatNumber(card.fNumber, { significant: 4 })}, reciprocity included.`,
      '',
      table(['light', 'EV', ...heads], card.lines.map((line) => [line.words, formatNumber(line.ev100Ev), ...line.cells.map(cellWords)])),
      '',
      ...card.notes,
      ...card.columns.map(({ title, source }) => `${title}: ${source}.`),
    ].join('\n'),
    csv: csv(
      ['light', 'ev100', ...card.columns.flatMap(({ title }) => [`${title} s`, `${title} from s`, `${title} to s`, `${title} note`])],
      card.lines.map((line) => [
        line.words,
        line.ev100Ev,
        ...line.cells.flatMap(({ correctedS, rangeS, marks }) => [correctedS, ...rangeS, marks.join(', ')]),
      ]),
    ),
    notes: [],
  };
}

/** A cell as a number, or a FormatError that names the line. */
function numberAt(line: TableLine, column: string): number | undefined {
  const text = line.cells.get(column);
  try {
    return read(text, column);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    throw new FormatError('not-understood', `Line ${line.line}: ${error.message}`, { at: `line ${line.line}`, got: text });
  }
}

/** The places of a list, in its order. */
export function placesOf(text: string, own: readonly Film[] = []): BoardPlace[] {
  return readTable(text, 'The list of places').map((line) => {
    const um = line.cells.get('diameter_um');
    const film = line.cells.get('film');
    const speed = numberAt(line, 'speed');
    const material: CardMaterial | undefined =
      film === undefined && speed === undefined
        ? undefined
        : { film: film === undefined ? null : findFilm(film, own), ...given({ exposureIndex: speed }) };
    return {
      name: line.cells.get('name') ?? `line ${line.line}`,
      ...given({
        camera: line.cells.get('camera'),
        fNumber: numberAt(line, 'f_number'),
        diameterMm: um === undefined ? undefined : parseLength(um, { defaultUnit: 'um', path: `line ${line.line}, diameter_um` }).mm,
        focalLengthMm: numberAt(line, 'focal_mm'),
        material,
      }),
    };
  });
}

/** Every camera of a workshop as a place; its film and speed where it has them. */
function placesOfWorkshop(workshop: Workshop): BoardPlace[] {
  return workshop.cameras.map((record) => {
    const numbers = numbersOf(record, workshop);
    const loaded = filmOf(record, workshop);
    return {
      name: record.name,
      ...(numbers.kind === 'measured'
        ? { diameterMm: numbers.diameterMm, focalLengthMm: numbers.focalLengthMm }
        : given({ fNumber: record.fNumber })),
      ...(loaded === null
        ? {}
        : { material: { film: loaded.film, ...(loaded.exposureIndex === null ? {} : { exposureIndex: loaded.exposureIndex }) } }),
    };
  });
}

function boardAnswer(board: ClassBoard): Answer {
  const failed = board.lines.filter(({ error }) => error !== null);
  return {
    json: board,
    text: [
      `In this light (${board.light}):`,
      '',
      table(
        ['name', 'camera', 'loaded with', 'f-number', 'time'],
        board.lines.map(({ name, camera, material, fNumber, cell }) => [
          name,
          camera,
          material,
          fNumber === null ? '' : `f/${formatNumber(fNumber, { digits: 0 })}`,
          cell === null ? 'not known' : cellWords(cell),
        ]),
      ),
      '',
      ...board.notes,
    ].join('\n'),
    csv: csv(
      ['name', 'camera', 'loaded with', 'f-number', 'time s', 'from s', 'to s', 'note'],
      board.lines.map(({ name, camera, material, fNumber, cell, error }) => [
        name,
        camera,
        material,
        fNumber,
        cell?.correctedS ?? null,
        ...(cell?.rangeS ?? [null, null]),
        error ?? cell?.marks.join(', ') ?? '',
      ]),
    ),
    notes: failed.map(({ name, error }) => `${name}: ${error ?? ''}`),
    someFailed: failed.length > 0,
  };
}

/** The board of a class, from a list of places or from the cameras of a workshop. */
export async function boardCommand(options: BoardOptions): Promise<Answer> {
  const workshop = options.workshop === undefined ? null : await readWorkshopFile(options.workshop);
  const own = workshop === null ? [] : ownFilms(workshop).map(({ film }) => film);
  const places =
    options.places !== undefined
      ? placesOf(await readText(options.places, '--places'), own)
      : workshop !== null
        ? placesOfWorkshop(workshop)
        : null;
  if (places === null) {
    throw new InputError('missing', 'Say which cameras: --places FILE with a list, or --workshop FILE.', { path: '--places' });
  }
  const film = options.film === undefined ? null : findFilm(options.film, own);
  return boardAnswer(
    classBoard({
      ...rulesOf(options),
      light: lightOf(options),
      material: { film, ...given({ exposureIndex: read(options.iso, '--iso') }) },
      places,
    }),
  );
}
