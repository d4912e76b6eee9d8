/** `camerawright front`: what stands in the way of the view, which layer bites where, and how large each opening must be. */
import { basename, dirname } from 'node:path';
import { deflateSync } from 'node:zlib';
import {
  FormatError,
  InputError,
  MAP_CAUSES,
  askedParts,
  cutterFor,
  flatFieldTiff,
  formatNumber,
  frontOf,
  frontReport,
  mapPng,
  mapSvg,
  mapTable,
  mountedPlate,
  openingInWords,
  otherWays,
  parseAngle,
  parseFrontStack,
  parseLength,
  radToDegrees,
  readCutters,
  transmissionAt,
  withHoleMoved,
  withThickness,
} from '#core';
import type { Cutter, FrontQuestion, FrontReport, FrontStack, MapCause, MapView } from '#core';
import { nodeSaver } from '#io/node';
import type { Answer } from './answer.ts';
import type { CameraOfWorkshop } from './camera-choice.ts';
import { frontParts } from './front-parts.ts';
import type { FrontPartOptions } from './front-parts.ts';
import { csv, table } from './printing.ts';
import { readText } from './tables.ts';

/** As the maker wrote them: every value still text. */
export interface FrontOptions extends FrontPartOptions {
  readonly stack?: string;
  /** The measured outline of the hole instead of its round equivalent, from a workshop. */
  readonly outline?: boolean;
  readonly margin?: string;
  /** Names of shipped lists, or sizes of the maker's own. */
  readonly cutters?: string;
  /** The plate about the hole, instead of the one in the stack or the camera. */
  readonly edgeMm?: string;
  readonly sheetMm?: string;
  readonly slopeDeg?: string;
  readonly sharpEdge?: string;
  /** What the maps show, or `each`. */
  readonly mapCause?: string;
  /** What if: the hole moved by x,y. */
  readonly moveHole?: string;
  /** What if: `front plate=9` or `2=3/8 in`. */
  readonly thickness?: string;
  readonly mapPng?: string;
  readonly mapSvg?: string;
  readonly mapCsv?: string;
  readonly flatField?: string;
  /** Pixels across, of the PNG and the flat field. */
  readonly pixels?: string;
  readonly fromFront?: boolean;
  readonly upright?: boolean;
}

function length(text: string, path: string): number {
  return parseLength(text, { defaultUnit: 'mm', path }).mm;
}

async function readStack(file: string): Promise<FrontStack> {
  const text = await readText(file, '--stack');
  try {
    return parseFrontStack(text);
  } catch (error) {
    const named = { path: '--stack', got: file };
    if (error instanceof FormatError) throw new FormatError(error.code, `${file}: ${error.message}`, named);
    if (error instanceof InputError) throw new InputError(error.code, `${file}: ${error.message}`, named);
    throw error;
  }
}

interface ChosenStack extends FrontStack {
  readonly notes: readonly string[];
}

async function chosenStack(options: FrontOptions, given: CameraOfWorkshop | null): Promise<ChosenStack> {
  if (options.stack !== undefined) return { ...(await readStack(options.stack)), notes: [] };
  if (given === null) {
    throw new InputError('missing', 'Say which front: --stack FILE, or --workshop FILE --camera NAME.', { path: '--stack' });
  }
  const front = frontOf(given.record, given.workshop, options.outline === true ? 'outline' : 'round');
  if (front.kind === 'missing') throw new InputError('missing', front.sentence, { path: front.what });
  const plate = front.question.plate === undefined ? '' : ', its plate as thick as stated';
  return {
    question: front.question,
    points: [],
    notes: [`Reckoned with ${front.holeWords}${plate}.`, ...front.unfinished.map(({ sentence }) => `${sentence} It is left out.`)],
  };
}

function chosenCutters(text: string | undefined): readonly Cutter[] | undefined {
  if (text === undefined) return undefined;
  const { list, problem } = readCutters(text);
  if (problem !== null) throw problem;
  return list;
}

/** The plate as said on the line, over the one that is known. */
function withPlate(question: FrontQuestion, options: FrontOptions): FrontQuestion {
  const { edgeMm, sheetMm, slopeDeg, sharpEdge } = options;
  if ([edgeMm, sheetMm, slopeDeg, sharpEdge].every((one) => one === undefined)) return question;
  const { plate } = question;
  if (sharpEdge !== undefined && sharpEdge !== 'film' && sharpEdge !== 'scene') {
    throw new InputError('unknown-name', `--sharp-edge "${sharpEdge}" is not known. Give film or scene.`, { path: '--sharp-edge', got: sharpEdge });
  }
  const sheetThicknessMm = sheetMm === undefined ? plate?.sheetThicknessMm : length(sheetMm, '--sheet-mm');
  // of a plate not thinned the sheet is the edge: the worst case
  const edgeThicknessMm = edgeMm === undefined ? (plate?.edgeThicknessMm ?? sheetThicknessMm) : length(edgeMm, '--edge-mm');
  if (edgeThicknessMm === undefined) {
    throw new InputError('missing', 'Say how thick the plate is at the hole: --edge-mm, or --sheet-mm where it is not thinned.', { path: '--edge-mm' });
  }
  const slopeRad = slopeDeg === undefined ? plate?.slopeRad : parseAngle(slopeDeg, { path: '--slope-deg' }).angleRad;
  return {
    ...question,
    plate: {
      edgeThicknessMm,
      sharpEdge: sharpEdge ?? plate?.sharpEdge ?? 'film',
      ...(sheetThicknessMm === undefined ? {} : { sheetThicknessMm }),
      ...(slopeRad === undefined ? {} : { slopeRad }),
    },
  };
}

function whatIf(question: FrontQuestion, options: FrontOptions): { readonly question: FrontQuestion; readonly notes: string[] } {
  const notes: string[] = [];
  let changed = question;
  if (options.moveHole !== undefined) {
    const [x, y, ...more] = options.moveHole.split(/\s*,\s*/);
    if (x === undefined || y === undefined || more.length > 0) {
      throw new InputError('not-understood', `--move-hole "${options.moveHole}" was not understood. Give x,y in mm, seen from the film side, like -1,0.`, {
        path: '--move-hole',
        got: options.moveHole,
      });
    }
    const by = { xMm: length(x, '--move-hole'), yMm: length(y, '--move-hole') };
    changed = withHoleMoved(changed, by);
    notes.push(`With the hole moved by ${by.xMm}, ${by.yMm} mm (right, up, seen from the film side); film and layers stay.`);
  }
  if (options.thickness !== undefined) {
    const [name, value] = options.thickness.split('=');
    const wanted = name?.trim().toLowerCase();
    const index = changed.layers.findIndex((layer, i) => layer.name.toLowerCase() === wanted || String(i + 1) === wanted);
    if (index < 0 || value === undefined) {
      const names = changed.layers.map((layer) => layer.name).join(', ');
      throw new InputError('unknown-name', `--thickness wants LAYER=THICKNESS, like "front plate=9". The layers are: ${names}.`, {
        path: '--thickness',
        got: options.thickness,
        expected: names,
      });
    }
    changed = withThickness(changed, index, length(value, '--thickness'));
    notes.push(`With ${changed.layers[index]?.name ?? ''} ${value.trim()} thick; what lies beyond it moves along.`);
  }
  return { question: changed, notes };
}

const VIEW_COLUMNS = 61;
const VIEW_ROWS = 41;

async function save(file: string, mediaType: string, bytes: Uint8Array): Promise<void> {
  await nodeSaver(dirname(file)).save(basename(file), mediaType, bytes);
}

function chosenCauses(word: string | undefined): readonly MapCause[] {
  const wanted = (word ?? 'all').trim().toLowerCase();
  if (wanted === 'each') return MAP_CAUSES;
  const found = MAP_CAUSES.find((cause) => cause === wanted);
  if (found !== undefined) return [found];
  const names = [...MAP_CAUSES, 'each'].join(', ');
  throw new InputError('unknown-name', `--map-cause "${word}" is not known. Give one of ${names}.`, { path: '--map-cause', got: word, expected: names });
}

async function writeMaps(question: FrontQuestion, report: FrontReport, options: FrontOptions): Promise<string[]> {
  const { frame } = question.camera;
  const view: MapView = { side: options.fromFront === true ? 'front' : 'film', upright: options.upright === true };
  const causes = chosenCauses(options.mapCause);
  const columns = options.pixels === undefined ? 1200 : Number(options.pixels);
  if (!(Number.isInteger(columns) && columns >= 2 && columns <= 20_000)) {
    throw new InputError('out-of-range', `--pixels must be a whole number from 2 to 20000, but is "${options.pixels ?? ''}".`, {
      path: '--pixels',
      got: options.pixels,
    });
  }
  const size = { columns, rows: Math.max(2, Math.round((columns * frame.heightMm) / frame.widthMm)) };
  const utf8 = new TextEncoder();
  const written: string[] = [];
  const write = async (file: string | undefined, mediaType: string, make: () => Uint8Array): Promise<void> => {
    if (file === undefined) return;
    await save(file, mediaType, make());
    written.push(file);
  };
  // pictures are drawn out from a finer grid than the table's
  const fine =
    options.mapPng === undefined && options.mapSvg === undefined && options.flatField === undefined
      ? report.map
      : frontReport(question, { columns: 241, rows: 191 }).map;
  for (const cause of causes) {
    const of = { ...view, cause };
    // one file for each cause has the cause before its ending
    const named = (file: string | undefined): string | undefined => (causes.length === 1 || file === undefined ? file : file.replace(/(\.[^./\\]*)?$/, `-${cause}$1`));
    await write(named(options.mapPng), 'image/png', () => mapPng(fine, size, deflateSync, of));
    await write(named(options.mapSvg), 'image/svg+xml', () => utf8.encode(mapSvg(fine, frame, of)));
    await write(named(options.flatField), 'image/tiff', () => flatFieldTiff(fine, { ...size, frame }, of));
  }
  await write(options.mapCsv, 'text/csv', () => {
    const { header, rows } = mapTable(report.map, frame, question.layers);
    return utf8.encode(csv(header, rows));
  });
  return written;
}

function two(value: number): string {
  return formatNumber(value, { digits: 2 });
}

function layerTable(question: FrontQuestion, report: FrontReport, marginMm: number, cutters: readonly Cutter[] | undefined): string {
  return table(
    ['layer', 'from', 'to', 'to spare, mm', 'needs', 'or thickness up to', 'or bevel'],
    report.needs.map((need, i) => {
      const layer = question.layers[i]!;
      const { thickestMm, bevel } = otherWays(question, { layerIndex: i, marginMm, spareMm: need.spareMm });
      return [
        need.layer,
        two(layer.nearMm),
        two(layer.farMm),
        two(need.spareMm),
        openingInWords(need, marginMm, cutters),
        thickestMm === null ? 'none' : Number.isFinite(thickestMm) ? `${two(thickestMm)} mm` : 'any',
        bevel?.angleRad ? `${formatNumber(radToDegrees(bevel.angleRad), { digits: 1 })}°` : '',
      ];
    }),
  );
}

function pointTable(seen: readonly ReturnType<typeof transmissionAt>[number][]): string {
  return table(
    ['x mm', 'y mm', 'clear', 'falloff, stops', 'clipped by'],
    seen.map((one) => [
      two(one.point.xMm),
      two(one.point.yMm),
      `${formatNumber(100 * one.transmissionShare, { digits: 1 })} %`,
      two(one.falloffStops),
      one.clippingLayer ?? '',
    ]),
  );
}

/**
 * Answers for a stack, and writes the maps asked for.
 * @param given a camera of a workshop, where no file is named
 * @throws InputError, FormatError for everything that cannot be right in call or stack
 */
export async function frontCommand(options: FrontOptions, given: CameraOfWorkshop | null = null): Promise<Answer> {
  const stack = await chosenStack(options, given);
  const { question, notes } = whatIf(withPlate(stack.question, options), options);
  const front = options.stack === undefined ? given?.record.front : undefined;
  const marginMm = options.margin === undefined ? (front?.marginMm ?? 0) : length(options.margin, '--margin');
  const cutters = chosenCutters(options.cutters ?? front?.cutters);
  const report = frontReport(question, {
    marginMm,
    columns: VIEW_COLUMNS,
    rows: VIEW_ROWS,
    ...(cutters === undefined ? {} : { cutters }),
  });
  const seen = transmissionAt(question, stack.points);
  const usual = askedParts(question, report, front?.parts, {
    boardMm: given?.record.woodThicknessMm,
    sheetMm: given === null ? undefined : mountedPlate(given.record, given.workshop)?.sheetThicknessMm,
  });
  if (options.holes?.trim().toLowerCase() === 'kept' && front?.parts?.holes?.places === undefined) {
    throw new InputError('missing', 'No places of holes are kept with this camera. Give them: --holes "-40,0; 40,0".', { path: '--holes' });
  }
  const parts = frontParts(question, options, usual, report.clearCircleMm);
  const files = await writeMaps(question, report, options);
  return {
    json: {
      pointsMm: seen.map(({ point }) => [point.xMm, point.yMm]),
      transmission: seen.map((one) => one.transmissionShare),
      clippingLayer: seen.map((one) => one.clippingLayer),
      falloffStops: seen.map((one) => one.falloffStops),
      plateShare: seen.map((one) => one.plateShare),
      clear: seen.map((one) => one.clearShare),
      openings: report.needs.map((need) => {
        const { own } = need;
        return {
          layer: need.layer,
          minimumMm: need.roundMm,
          minimumWidthMm: own.kind === 'rectangle' ? own.widthMm : null,
          minimumHeightMm: own.kind === 'rectangle' ? own.heightMm : null,
          minimumScale: own.kind === 'scale' && Number.isFinite(own.factor) ? own.factor : null,
          spareMm: need.spareMm,
          corner: need.corner,
          cutter: cutters === undefined ? null : (cutterFor(need.roundMm + 2 * marginMm, cutters)?.name ?? null),
        };
      }),
      corners: report.corners.map((corner) => ({
        corner: corner.name,
        transmission: corner.transmissionShare,
        plateShare: corner.plateShare,
        clear: corner.clearShare,
        falloffStops: corner.falloffStops,
        clippingLayer: corner.clippingLayer,
      })),
      holeDiameterMm: 'diameterMm' in question.hole ? question.hole.diameterMm : null,
      dimmedShare: report.dimmedShare,
      imageCircleMm: report.clearCircleMm,
      ...Object.fromEntries(parts.map((part) => [part.name, part.json])),
      files,
    },
    text: [
      ...report.sentences,
      ...(report.needs.length === 0 ? [] : ['', layerTable(question, report, marginMm, cutters)]),
      ...(seen.length === 0 ? [] : ['', pointTable(seen)]),
      ...parts.flatMap((part) => ['', part.text]),
    ].join('\n'),
    csv: csv(
      ['xMm', 'yMm', 'transmission', 'plateShare', 'falloffStops', 'clippingLayer'],
      seen.map((one) => [one.point.xMm, one.point.yMm, one.transmissionShare, one.plateShare, one.falloffStops, one.clippingLayer]),
    ),
    notes: [...stack.notes, ...notes, ...files.map((file) => `Written: ${file}`)],
  };
}
