/** `camerawright exposure plan` and `learn`: a test on one sheet, and what tests say of the film. */
import { readFile } from 'node:fs/promises';
import { basename } from 'node:path';
import {
  InputError,
  TARGET_DENSITY_PAPER,
  exposureTime,
  filmFrom,
  findFilm,
  formatNumber,
  formatTime,
  learnFilm,
  loggedTrials,
  parseLength,
  planStepTest,
  readStepSheet,
  stripsFromWedge,
} from '#core';
import type {
  Film,
  Learnt,
  LearntLaw,
  PixelWindow,
  SheetReading,
  SlideWay,
  StripReading,
  Trial,
  Verdict,
  Workshop,
} from '#core';
import { nodeImageSource, scanPatches } from '#io/node';
import type { Answer } from './answer.ts';
import { given, holeOf, lightOf, read, readSeconds } from './exposure-reading.ts';
import type { ExposureOptions } from './exposure-reading.ts';
import { csv, table } from './printing.ts';
import { readTable, readText } from './tables.ts';
import type { TableLine } from './tables.ts';

export interface PlanOptions extends ExposureOptions {
  /** The time thought right; left out: worked out from light, hole and film. */
  readonly aroundS?: string;
  readonly strips?: string;
  readonly step?: string;
  readonly length?: string;
  readonly way?: string;
}

export interface LearnOptions extends ExposureOptions {
  readonly trials?: string;
  readonly law?: string;
  readonly scan?: string;
  readonly sheetWindow?: string;
  readonly wedgeWindow?: string;
  readonly wedge?: string;
  readonly times?: string;
  readonly along?: string;
  readonly targetDensity?: string;
  readonly baseDensity?: string;
}

function wordOf<Word extends string>(text: string | undefined, words: readonly Word[], option: string): Word | undefined {
  if (text === undefined) return undefined;
  const found = words.find((word) => word === text.trim().toLowerCase());
  if (found !== undefined) return found;
  throw new InputError('not-understood', `${option} “${text}” was not understood. Give ${words.join(' or ')}.`, {
    path: option,
    got: text,
    expected: words.join(', '),
  });
}

/** The plan of a one-sheet test. */
export function planCommand(options: PlanOptions, loaded: Film | null = null, own: readonly Film[] = []): Answer {
  const around =
    options.aroundS === undefined
      ? exposureTime({
          ...holeOf(options),
          light: lightOf(options),
          film: options.film === undefined ? loaded : findFilm(options.film, own),
          ...given({
            iso: read(options.iso, '--iso'),
            filterFactor: read(options.filterFactor, '--filter-factor'),
            filterStops: read(options.filterStops, '--filter-stops'),
          }),
        })
      : null;
  if (options.length === undefined) {
    throw new InputError('missing', 'Say how long the film is along the slide’s travel: --length 120.', { path: '--length' });
  }
  const way: SlideWay = wordOf(options.way, ['push-in', 'pull-out'], '--way') ?? 'push-in';
  const plan = planStepTest({
    middleS: around?.correctedS ?? readSeconds(options.aroundS ?? '', '--around-s'),
    count: read(options.strips, '--strips') ?? 5,
    stepStops: read(options.step, '--step') ?? 1,
    lengthMm: parseLength(options.length, { defaultUnit: 'mm', path: '--length' }).mm,
    way,
    ...given({ handReactionS: read(options.handS, '--hand-s') }),
  });
  return {
    json: { ...plan, meteredS: around?.meteredS ?? null },
    text: [
      plan.sentence,
      ...(around === null ? [] : [`Metered ${formatTime(around.meteredS)} at the speed asked with: note it, the reading of the sheet needs it.`]),
      '',
      ...plan.moves.map(({ index, words }) => `${index}. ${words}`),
      '',
      table(
        ['strip', 'from, mm', 'to, mm', 'gets', 'stops'],
        plan.strips.map((strip) => [
          String(strip.index),
          formatNumber(strip.fromMm, { digits: 0 }),
          formatNumber(strip.toMm, { digits: 0 }),
          formatTime(strip.totalS),
          `${strip.differenceStops > 0 ? '+' : ''}${formatNumber(strip.differenceStops, { digits: 2 })}`,
        ]),
      ),
      '',
      ...plan.cautions,
    ].join('\n'),
    csv: csv(
      ['move', 'slide out mm', 'expose s'],
      plan.moves.map(({ index, slideOutMm, exposureS }) => [index, slideOutMm, exposureS]),
    ),
    notes: [],
  };
}

const VERDICTS: readonly Verdict[] = ['too light', 'right', 'too dark'];

function numberIn(line: TableLine, column: string): number | undefined {
  const text = line.cells.get(column);
  return text === undefined ? undefined : readSeconds(text, `line ${line.line}, ${column}`);
}

function required(value: number | undefined, line: TableLine, column: string): number {
  if (value !== undefined) return value;
  throw new InputError('missing', `Line ${line.line} has no ${column}.`, { path: `line ${line.line}, ${column}` });
}

function sheetOptions(options: LearnOptions, film: Film) {
  const usual = film.kind === 'paper' ? TARGET_DENSITY_PAPER : undefined;
  return {
    positive: film.kind === 'direct-positive-paper' || film.kind.startsWith('colour-reversal'),
    ...given({
      targetDensity: read(options.targetDensity, '--target-density') ?? usual,
      baseDensity: read(options.baseDensity, '--base-density'),
    }),
  };
}

/** Lines of one sheet belong together; a line without a sheet stands for itself. */
function trialsOf(text: string, options: LearnOptions, film: Film): { readonly trials: Trial[]; readonly sheets: SheetReading[] } {
  const trials: Trial[] = [];
  const bySheet = new Map<string, { meteredS: number; strips: StripReading[] }>();
  for (const line of readTable(text, 'The list of tests')) {
    const meteredS = required(numberIn(line, 'metered_s'), line, 'metered_s');
    const verdict = wordOf(line.cells.get('verdict'), VERDICTS, `line ${line.line}, verdict`);
    const density = numberIn(line, 'density');
    const rightS = numberIn(line, 'right_s');
    const sheet = line.cells.get('sheet');
    if (rightS !== undefined) {
      trials.push({ kind: 'match', meteredS, rightS, standardUncertaintyStops: numberIn(line, 'uncertainty_stops') ?? 0.15 });
      continue;
    }
    const givenS = required(numberIn(line, 'given_s'), line, 'given_s');
    if (density !== undefined || sheet !== undefined) {
      const key = `${sheet ?? ''} ${meteredS}`;
      const group = bySheet.get(key) ?? { meteredS, strips: [] };
      group.strips.push({ totalS: givenS, ...given({ density, verdict }) });
      bySheet.set(key, group);
    } else if (verdict !== undefined) {
      trials.push({ kind: 'verdict', meteredS, givenS, verdict });
    } else {
      throw new InputError('missing', `Line ${line.line} has neither a verdict, a density nor right_s.`, { path: `line ${line.line}` });
    }
  }
  const sheets = [...bySheet.values()].map((sheet) => readStepSheet({ ...sheet, ...sheetOptions(options, film) }));
  return { trials: [...trials, ...sheets.flatMap((sheet) => sheet.trials)], sheets };
}

function windowOf(text: string | undefined, option: string): PixelWindow {
  const sides = (text ?? '').split(/[,;x×\s]+/).filter((part) => part !== '').map((part) => read(part, option));
  const [columnPx, rowPx, widthPx, heightPx] = sides;
  if (sides.length !== 4 || columnPx === undefined || rowPx === undefined || widthPx === undefined || heightPx === undefined) {
    throw new InputError('missing', `Give ${option} as column,row,width,height in pixels of the scan.`, { path: option, got: text });
  }
  return { columnPx, rowPx, widthPx, heightPx };
}

function numbers(text: string | undefined, option: string): number[] {
  return (text ?? '').split(/[;,\s]+/).filter((part) => part !== '').map((part) => readSeconds(part, option));
}

/** Densities of the strips by the wedge that lies beside them in the scan. */
async function sheetFromScan(path: string, options: LearnOptions, film: Film): Promise<SheetReading> {
  const times = numbers(options.times, '--times');
  const wedge = numbers(options.wedge, '--wedge');
  if (times.length < 2 || wedge.length < 2) {
    throw new InputError('missing', 'A scan needs --times with the seconds of each strip and --wedge with the densities of each step, in the order in which they lie.', {
      path: '--times',
    });
  }
  const along = wordOf(options.along, ['columns', 'rows'], '--along') ?? 'columns';
  const bytes = await readFile(path).catch(() => {
    throw new InputError('missing', `--scan: ${path} could not be read. Check the name and the folder.`, { path: '--scan' });
  });
  const scan = await nodeImageSource().open(new Uint8Array(bytes), basename(path));
  try {
    const [steps = [], values = []] = await scanPatches(scan.pixels, [
      { window: windowOf(options.wedgeWindow, '--wedge-window'), count: wedge.length, along },
      { window: windowOf(options.sheetWindow, '--sheet-window'), count: times.length, along },
    ]);
    const { strips } = stripsFromWedge({ timesS: times, values, wedge: wedge.map((density, i) => ({ density, value: steps[i] ?? 0 })) });
    if (options.meteredS === undefined) {
      throw new InputError('missing', 'Say the metered time at the speed tested with: --metered-s T.', { path: '--metered-s' });
    }
    return readStepSheet({
      meteredS: readSeconds(options.meteredS, '--metered-s'),
      strips,
      ...sheetOptions(options, film),
    });
  } finally {
    scan.close();
  }
}

function percent(learnt: Learnt): string[] {
  return learnt.times.map(({ meteredS, givenS, rangeS }) => `${formatTime(meteredS)} metered: give ${formatTime(givenS)} (95 %: ${formatTime(rangeS[0])} to ${formatTime(rangeS[1])})`);
}

/** Speed in use before the tests. */
function nominalOf(film: Film, options: LearnOptions): number {
  const asked = read(options.iso, '--iso');
  if (asked !== undefined) return asked;
  if (film.iso !== null) return film.iso;
  if (film.exposureIndexRange !== null) return Math.sqrt(film.exposureIndexRange[0] * film.exposureIndexRange[1]);
  throw new InputError('missing', `“${film.name}” has no speed: give the one the times were metered at with --iso.`, { path: '--iso' });
}

/**
 * What tests say of a film.
 * @param own films and papers of the workshop's own
 * @param workshop whose log is learnt from where no other tests are given
 */
export async function learnCommand(
  options: LearnOptions,
  own: readonly Film[] = [],
  workshop: Workshop | null = null,
): Promise<Answer & { readonly learnt: Learnt }> {
  const film = options.film === undefined ? filmFrom({ name: 'this film' }) : findFilm(options.film, own);
  const exposureIndex = nominalOf(film, options);
  const read1 = options.trials === undefined ? { trials: [], sheets: [] } : trialsOf(await readText(options.trials, '--trials'), options, film);
  const scanned = options.scan === undefined ? [] : [await sheetFromScan(options.scan, options, film)];
  const logged = options.trials === undefined && options.scan === undefined && workshop !== null ? loggedTrials(workshop, film, exposureIndex) : [];
  const trials = [...read1.trials, ...scanned.flatMap((sheet) => sheet.trials), ...logged];
  if (trials.length === 0) {
    throw new InputError('missing', 'There is no test to learn from: give --trials FILE, --scan FILE, or --workshop FILE with judged exposures of this film.', {
      path: '--trials',
    });
  }
  const law: LearntLaw | undefined = wordOf(options.law, ['power', 'covington', 'modified-schwarzschild'], '--law');
  const learnt = learnFilm({ film, exposureIndex, trials, ...given({ law }) });
  const sheets = [...read1.sheets, ...scanned];
  return {
    learnt,
    json: { ...learnt, trials, sheets },
    text: [learnt.sentence, ...sheets.map(({ sentence }) => sentence), '', ...percent(learnt), '', ...learnt.cautions, ...sheets.flatMap(({ cautions }) => cautions)].join('\n'),
    csv: csv(
      ['metered s', 'give s', 'from s', 'to s'],
      learnt.times.map(({ meteredS, givenS, rangeS }) => [meteredS, givenS, ...rangeS]),
    ),
    notes: [],
  };
}
