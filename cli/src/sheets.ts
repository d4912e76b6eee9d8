/** `camerawright sheets`: paper for the bench and outlines for the cutter, at true size, with every length told. */
import { join } from 'node:path';
import {
  counted,
  CENTRED,
  DEFAULT_CRITERION,
  InputError,
  findFilm,
  formatById,
  isCamerawrightError,
  lightOfFilm,
  lightOfWavelength,
  parseLength,
} from '#core';
import {
  JOINTS,
  PAPERS,
  SHEETS,
  SHEET_NAMES,
  SHUTTERS,
  UNCORRECTED,
  drawnLengths,
  parseBoards,
  planOf,
  printFactors,
  printerStretch,
  sheetCamera,
  sheetChoices,
  sheetNamed,
  sheetPages,
  svgOf,
  wishedHole,
} from '#core/sheets';
import type { BuildChoices, DrawnLength, Page, PaperName, PrintFactors, SheetCamera, SheetName } from '#core/sheets';
import type { Saver } from '#io/ports';
import type { Answer } from './answer.ts';
import { chosenFilmPlane, parseFrame, parseHole, parseNumber } from './camera-choice.ts';
import type { CameraOfWorkshop, CameraOptions } from './camera-choice.ts';
import { table } from './printing.ts';

/** As the maker wrote them. */
export interface SheetsOptions extends CameraOptions {
  readonly filmFormat?: string;
  readonly diameterUm?: string;
  readonly shift?: string;
  readonly film?: string;
  readonly iso?: string;
  readonly wood?: string;
  readonly holderDepth?: string;
  readonly filmThickness?: string;
  readonly seat?: string;
  readonly out?: string;
  /** pdf, svg or dxf. */
  readonly format?: string;
  readonly paper?: string;
  readonly inches?: boolean;
  /** Name of a printer of the workshop. */
  readonly printer?: string;
  readonly barMm?: string;
  readonly date?: string;
  readonly filmPlane?: string;
  readonly joint?: string;
  readonly shutter?: string;
  readonly back?: string;
  readonly kerf?: string;
  readonly sawKerf?: string;
  readonly boards?: string;
  readonly holderWidth?: string;
  readonly plate?: string;
  readonly tripod?: string;
  readonly spoolCore?: string;
  readonly rollThickness?: string;
  readonly contact?: string;
  readonly from?: string;
  readonly to?: string;
  readonly list?: boolean;
}

/** What comes from outside: the present, the version, where files go. */
export interface SheetsTools {
  readonly now: string;
  readonly version: string;
  readonly saverFor: (folder: string) => Saver;
  /** Keeps a correction with a printer of the workshop file; makes the printer where there is none of that name. */
  readonly keepCorrection: (correction: KeptCorrection) => Promise<void>;
}

export interface KeptCorrection {
  readonly workshop: string;
  readonly printer: string;
  readonly paper: string;
  readonly stretch: PrintFactors;
  readonly printedWith: PrintFactors;
  readonly measuredMm: readonly [across: number, up: number];
}

type OutputFormat = 'pdf' | 'svg' | 'dxf';
const FORMATS: readonly OutputFormat[] = ['pdf', 'svg', 'dxf'];

function oneOf<Word extends string>(text: string | undefined, words: readonly Word[], option: string): Word | undefined {
  if (text === undefined) return undefined;
  const wanted = text.trim().toLowerCase();
  const found = words.find((word) => word === wanted);
  if (found !== undefined) return found;
  throw new InputError('not-understood', `${option} “${text}” is none of ${words.join(', ')}.`, {
    path: option, got: text, expected: words.join(', '),
  });
}

function lengthOf(text: string | undefined, option: string): number | undefined {
  return text === undefined ? undefined : parseLength(text, { defaultUnit: 'mm', path: option }).mm;
}

function given<Fields extends object>(fields: Fields): { [Key in keyof Fields]?: Exclude<Fields[Key], undefined> } {
  return Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== undefined)) as {
    [Key in keyof Fields]?: Exclude<Fields[Key], undefined>;
  };
}

function choicesOf(options: SheetsOptions): BuildChoices {
  return given({
    joint: oneOf(options.joint, JOINTS, '--joint'),
    shutter: oneOf(options.shutter, SHUTTERS, '--shutter'),
    back: oneOf(options.back, ['holder', 'roll-film'] as const, '--back'),
    tripodThread: oneOf(options.tripod, ['1/4', '3/8'] as const, '--tripod'),
    kerfMm: lengthOf(options.kerf, '--kerf'),
    sawKerfMm: lengthOf(options.sawKerf, '--saw-kerf'),
    holderWidthMm: lengthOf(options.holderWidth, '--holder-width'),
    plateBlankMm: lengthOf(options.plate, '--plate'),
    spoolCoreMm: lengthOf(options.spoolCore, '--spool-core'),
    rollThicknessMm: lengthOf(options.rollThickness, '--roll-thickness'),
    boards: options.boards === undefined ? undefined : parseBoards(options.boards, '--boards'),
    contact: options.contact,
    from: options.from,
    to: options.to,
  });
}

function shiftOf(text: string | undefined): SheetCamera['holeShift'] | undefined {
  if (text === undefined) return undefined;
  const [x, y, ...more] = text.split(/[,;]\s*/);
  if (x === undefined || y === undefined || more.length > 0) {
    throw new InputError('not-understood', `--shift “${text}” was not understood. Give x,y in mm, like 0,6.`, {
      path: '--shift', got: text, expected: 'x,y',
    });
  }
  return { xMm: parseNumber(x, '--shift'), yMm: parseNumber(y, '--shift') };
}

/** The camera of the workshop or of the call, with what the call says over it. */
function cameraOf(options: SheetsOptions, chosen: CameraOfWorkshop | null): SheetCamera {
  const base = chosen === null ? bareCamera(options) : sheetCamera(chosen.record, chosen.workshop);
  const film = options.film === undefined ? undefined : findFilm(options.film);
  const diameterMm = options.diameterUm === undefined
    ? undefined
    : parseHole(options.diameterUm, '--diameter-um');
  return {
    ...base,
    ...given({
      frame: options.frame === undefined ? undefined : parseFrame(options.frame),
      focalLengthMm: lengthOf(options.focalMm, '--focal-mm'),
      holeShift: shiftOf(options.shift),
      filmPlane: chosenFilmPlane(options.filmPlane, chosen?.record ?? null),
      boardThicknessMm: lengthOf(options.wood, '--wood'),
      holderDepthMm: lengthOf(options.holderDepth, '--holder-depth'),
      filmThicknessMm: lengthOf(options.filmThickness, '--film-thickness'),
      plateSeatMm: lengthOf(options.seat, '--seat'),
      film,
      exposureIndex: options.iso === undefined ? undefined : parseNumber(options.iso, '--iso'),
      hole: diameterMm === undefined
        ? undefined
        : { diameterMm, standardUncertaintyMm: null, measured: true, plateName: null, mountedAt: null },
    }),
  };
}

function bareCamera(options: SheetsOptions): SheetCamera {
  const format = options.filmFormat === undefined ? null : formatById(options.filmFormat);
  const frame = options.frame === undefined ? format?.imageArea : parseFrame(options.frame);
  const focalLengthMm = lengthOf(options.focalMm, '--focal-mm');
  if (frame === undefined || focalLengthMm === undefined) {
    throw new InputError('missing', 'Say which camera: --workshop FILE --camera NAME, or --frame WxH --focal-mm F.', {
      path: frame === undefined ? '--frame' : '--focal-mm', expected: 'a camera',
    });
  }
  const light = options.film === undefined ? lightOfWavelength() : lightOfFilm(findFilm(options.film));
  return {
    name: `Camera ${frame.widthMm} × ${frame.heightMm} mm, f ${focalLengthMm} mm`,
    frame,
    focalLengthMm,
    holeShift: CENTRED,
    hole: wishedHole({ focalLengthMm, objectDistanceMm: Infinity, criterion: DEFAULT_CRITERION, light }),
    light,
    formatName: format?.name ?? null,
    formatId: format?.id ?? null,
    cutSize: format?.cutSize ?? null,
    film: null,
    exposureIndex: null,
    wood: null,
    boardThicknessMm: null,
    holderDepthMm: null,
    filmThicknessMm: null,
    plateSeatMm: null,
  };
}

/** What the two 100 mm bars measured, across and up. */
function barsOf(text: string): readonly [number, number] {
  const [across, up, ...more] = text.split(/[,;]\s*/);
  if (across === undefined || up === undefined || more.length > 0) {
    throw new InputError('not-understood', `--bar-mm “${text}” was not understood. Give what the 100 mm bars measure across and up, like 97,98.`, {
      path: '--bar-mm', got: text, expected: 'across,up',
    });
  }
  return [parseNumber(across, '--bar-mm'), parseNumber(up, '--bar-mm')];
}

const sameWord = (a: string, b: string): boolean => a.trim().toLowerCase() === b.trim().toLowerCase();

/**
 * How the pages are stretched: as the printer of the workshop needs it, or as bars just measured say. A page printed for
 * that printer was stretched already, which the new correction goes on from.
 */
async function stretchOf(options: SheetsOptions, chosen: CameraOfWorkshop | null, paper: PaperName, tools: SheetsTools): Promise<PrintFactors> {
  const { printer, barMm, workshop } = options;
  if (printer !== undefined && (chosen === null || workshop === undefined)) {
    throw new InputError('missing', '--printer NAME needs --workshop FILE, in which the printer stands.', { path: '--printer' });
  }
  const known = printer === undefined ? null : (chosen?.workshop.printers.find(({ name }) => sameWord(name, printer)) ?? null);
  if (barMm === undefined) {
    if (printer === undefined || known !== null) return printerStretch(known);
    const names = chosen?.workshop.printers.map(({ name }) => name) ?? [];
    throw new InputError(
      'unknown-name',
      `There is no printer “${printer}” in ${workshop ?? ''}. ${names.length === 0 ? 'It holds none yet' : `It holds: ${names.join(', ')}`}; `
        + 'give what its bars measure with --bar-mm X,Y to keep it.',
      { path: '--printer', got: printer, expected: names.join(', ') },
    );
  }
  const [acrossMm, upMm] = barsOf(barMm);
  const printedWith = printerStretch(known);
  const stretch = printFactors({ acrossMm, upMm, printedWith });
  if (printer !== undefined && workshop !== undefined) {
    await tools.keepCorrection({ workshop, printer, paper: PAPERS[paper].name, stretch, printedWith, measuredMm: [acrossMm, upMm] });
  }
  return stretch;
}

function plainName(name: string): string {
  const plain = name.normalize('NFKD').replace(/[^\p{L}\p{N}]+/gu, '-').replace(/^-+|-+$/g, '').toLowerCase();
  return plain === '' ? 'camera' : plain.slice(0, 60);
}

interface DrawnSheet {
  readonly name: SheetName;
  readonly pages: readonly Page[];
}

interface WrittenFile {
  readonly fileName: string;
  readonly mediaType: string;
  readonly bytes: Uint8Array;
  readonly pages: readonly Page[];
}

async function filesOf(as: OutputFormat, stem: string, which: string, sheets: readonly DrawnSheet[], head: { readonly title: string; readonly date: string; readonly version: string }): Promise<readonly WrittenFile[]> {
  const encoder = new TextEncoder();
  if (as === 'pdf') {
    const { pdfOf } = await import('#core/pdf');
    const pages = sheets.flatMap((sheet) => sheet.pages);
    return [{ fileName: `${stem}-${which}.pdf`, mediaType: 'application/pdf', bytes: await pdfOf(pages, head), pages }];
  }
  const write = as === 'svg' ? (page: Page) => svgOf(page) : (await import('#core/pdf')).dxfOf;
  return sheets.flatMap(({ name, pages }) => pages.map((page, i) => ({
    fileName: `${stem}-${name}-${i + 1}.${as}`,
    mediaType: as === 'svg' ? 'image/svg+xml' : 'image/vnd.dxf',
    bytes: encoder.encode(write(page)),
    pages: [page],
  })));
}

/**
 * Writes one sheet, or all of them, and tells every length drawn.
 * @throws InputError for everything that cannot be right in the call
 */
export async function sheetsCommand(which: string | undefined, options: SheetsOptions, chosen: CameraOfWorkshop | null, tools: SheetsTools): Promise<Answer> {
  if (options.list === true) return listOfSheets();
  if (which === undefined) {
    throw new InputError('missing', `Say which sheet: ${SHEET_NAMES.join(', ')}, or all.`, { path: 'sheet', expected: SHEET_NAMES.join(', ') });
  }
  const names = which.trim().toLowerCase() === 'all' ? SHEET_NAMES : [sheetNamed(which)];
  const as = oneOf(options.format, FORMATS, '--format') ?? 'pdf';
  const paper = oneOf(options.paper, Object.keys(PAPERS) as PaperName[], '--paper') ?? 'a4';
  const stretch = await stretchOf(options, chosen, paper, tools);
  // Only paper is stretched: a cutter takes the numbers as they are.
  const factors = as === 'pdf' ? stretch : UNCORRECTED;
  const camera = cameraOf(options, chosen);
  const plan = planOf(camera, { ...(chosen === null ? {} : sheetChoices(chosen.workshop)), ...choicesOf(options) });
  const lengths = options.inches === true ? 'in' : 'mm';
  const date = options.date ?? tools.now;
  const setup = { paper, tiled: as === 'pdf', ...factors };
  const head = { camera: camera.name, date: date.slice(0, 10), version: tools.version, lengths, printer: options.printer ?? null } as const;
  const problems: string[] = [];
  const sheets: DrawnSheet[] = [];
  for (const name of names) {
    try {
      sheets.push({ name, pages: sheetPages(name, { plan, lengths, date }, setup, head) });
    } catch (error) {
      if (!isCamerawrightError(error) || names.length === 1) throw error;
      problems.push(`${name}: ${error.message}`);
    }
  }
  const folder = options.out ?? '.';
  const saver = tools.saverFor(folder);
  const title = names.length === 1 ? (sheets[0]?.pages[0]?.title ?? '') : 'All sheets';
  const files = await filesOf(as, plainName(camera.name), names.length === 1 ? names[0] ?? '' : 'all', sheets, {
    title: `${camera.name}: ${title}`, date, version: tools.version,
  });
  const dimensions: ({ readonly file: string; readonly page: number } & DrawnLength)[] = [];
  for (const { fileName, mediaType, bytes, pages } of files) {
    await saver.save(fileName, mediaType, bytes);
    const file = join(folder, fileName);
    pages.forEach((page, i) => dimensions.push(...drawnLengths(page).map((length) => ({ file, page: i + 1, ...length }))));
  }
  const written = files.map(({ fileName }) => join(folder, fileName));
  return {
    json: {
      files: written,
      dimensions,
      paper,
      correction: factors,
      pages: files.flatMap(({ fileName, pages }) => pages.map((page, i) => ({
        file: join(folder, fileName), page: i + 1, title: page.title, name: page.name, widthMm: page.widthMm, heightMm: page.heightMm,
      }))),
      assumed: plan.assumed,
      problems,
    },
    text: [
      `${files.length === 1 ? written[0] : `${files.length} files in ${folder}`}: ${counted(files.reduce((sum, { pages }) => sum + pages.length, 0), 'page')}, `
        + `${counted(dimensions.length, 'length')} drawn${as === 'pdf' ? ` on ${PAPERS[paper].name}. Print at 100 % and measure the check bars.` : '.'}`,
      ...(files.length > 1 ? written : []),
    ].join('\n'),
    notes: [
      ...plan.assumed,
      ...problems,
      ...(as !== 'pdf' && (options.barMm !== undefined || options.printer !== undefined)
        ? ['A printer\'s correction belongs to paper; SVG and DXF keep the true numbers.']
        : []),
    ],
    someFailed: problems.length > 0,
  };
}

function listOfSheets(): Answer {
  return {
    json: SHEETS,
    text: table(['sheet', 'what it is for'], SHEETS.map(({ name, purpose }) => [name, purpose])),
    notes: [],
  };
}
