/**
 * A front stack written down as plain JSON, as the command line reads it: frame, focal length, hole, layers, and the film
 * points asked for. Degrees and pairs at this edge, the core's own shapes inside.
 */
import { FormatError, InputError } from '../errors.ts';
import { degreesToRad } from '../units/angle.ts';
import { parseLength } from '../units/length.ts';
import { FILM_PLANES } from '../camera/geometry.ts';
import type { CameraGeometry, FilmPlane, FilmPoint } from '../camera/geometry.ts';
import type { FrontHole } from './hole.ts';
import type { Bevel, Layer, LayerTolerance, Opening } from './layer.ts';
import type { FrontQuestion, PlateEdge } from './transmission.ts';

export interface FrontStack {
  readonly question: FrontQuestion;
  /** In the order given; empty when none are asked for. */
  readonly points: readonly FilmPoint[];
}

const LARGEST_MM = 1e6;
const MOST_LAYERS = 200;
const MOST_POINTS = 200_000;

type Fields = Readonly<Record<string, unknown>>;

function fail(path: string, got: unknown, expected: string): never {
  const shown = JSON.stringify(got) ?? 'nothing';
  const short = shown.length > 60 ? `${shown.slice(0, 60)}…` : shown;
  throw new FormatError('not-understood', `${path}: ${expected} is needed here, but it is ${short}.`, { at: path, path, got, expected });
}

function fields(value: unknown, path: string): Fields {
  if (typeof value === 'object' && value !== null && !Array.isArray(value)) return value as Fields;
  return fail(path, value, 'an object { … }');
}

function list(value: unknown, path: string, most: number): readonly unknown[] {
  if (!Array.isArray(value)) return fail(path, value, 'a list [ … ]');
  if (value.length > most) return fail(path, value.length, `a list of at most ${most} entries`);
  return value;
}

function number(value: unknown, path: string): number {
  if (typeof value === 'number' && Number.isFinite(value) && Math.abs(value) <= LARGEST_MM) return value;
  return fail(path, value, `a number from −${LARGEST_MM} to ${LARGEST_MM}`);
}

/** A length in mm as a number, or as the maker wrote it: "3/8 in". */
function length(value: unknown, path: string): number {
  if (typeof value !== 'string') return number(value, path);
  try {
    return number(parseLength(value, { defaultUnit: 'mm', path }).mm, path);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    return fail(path, value, 'a length in mm, or text like "3/8 in",');
  }
}

function optional<T>(value: unknown, read: (value: unknown) => T): T | undefined {
  return value === undefined || value === null ? undefined : read(value);
}

function pair(value: unknown, path: string): readonly [number, number] {
  const two = list(value, path, 2);
  if (two.length !== 2) return fail(path, value, 'a pair [x, y] in mm');
  return [length(two[0], `${path}[0]`), length(two[1], `${path}[1]`)];
}

function point(value: unknown, path: string): FilmPoint {
  const [xMm, yMm] = pair(value, path);
  return { xMm, yMm };
}

function points(value: unknown, path: string, most: number): FilmPoint[] {
  return list(value, path, most).map((one, i) => point(one, `${path}[${i}]`));
}

function word<T extends string>(value: unknown, path: string, words: readonly T[]): T {
  const found = words.find((one) => one === value);
  return found ?? fail(path, value, words.map((one) => `"${one}"`).join(' or '));
}

function holeOf(value: unknown): FrontHole {
  const hole = fields(value, 'hole');
  if (hole['diameterMm'] !== undefined) return { diameterMm: length(hole['diameterMm'], 'hole.diameterMm') };
  const outline = list(hole['outlineMm'], 'hole.outlineMm', 100_000);
  // one loop of pairs, or several loops
  const nested = Array.isArray(outline[0]) && Array.isArray((outline[0] as unknown[])[0]);
  return {
    loopsMm: nested
      ? outline.map((loop, i) => points(loop, `hole.outlineMm[${i}]`, 100_000))
      : [points(outline, 'hole.outlineMm', 100_000)],
  };
}

function openingOf(value: unknown, path: string): Opening {
  const opening = fields(value, path);
  const side = (name: string): number => length(opening[name], `${path}.${name}`);
  const shape = word(opening['shape'], `${path}.shape`, ['circle', 'rectangle', 'slot', 'polygon']);
  switch (shape) {
    case 'circle':
      return { shape, diameterMm: side('diameterMm') };
    case 'rectangle':
      return {
        shape,
        widthMm: side('widthMm'),
        heightMm: side('heightMm'),
        cornerRadiusMm: optional(opening['cornerRadiusMm'], () => side('cornerRadiusMm')) ?? 0,
      };
    case 'slot':
      return { shape, lengthMm: side('lengthMm'), widthMm: side('widthMm') };
    case 'polygon':
      return { shape, pointsMm: points(opening['pointsMm'], `${path}.pointsMm`, 10_000) };
  }
}

function bevelOf(value: unknown, path: string): Bevel {
  const bevel = fields(value, path);
  return {
    face: word(bevel['face'], `${path}.face`, ['near', 'far']),
    angleRad: degreesToRad(number(bevel['angleDeg'], `${path}.angleDeg`)),
    depthMm: length(bevel['depthMm'], `${path}.depthMm`),
  };
}

/** One bevel, or a list of one for each face. */
function bevelsOf(value: unknown, path: string): Bevel[] {
  if (value === undefined || value === null) return [];
  return Array.isArray(value) ? value.map((one, i) => bevelOf(one, `${path}[${i}]`)) : [bevelOf(value, path)];
}

function toleranceOf(value: unknown, path: string): LayerTolerance {
  const given = fields(value, path);
  const found: Record<string, number> = {};
  for (const name of ['openingMm', 'shiftMm', 'placeMm', 'thicknessMm']) {
    const limit = optional(given[name], (one) => length(one, `${path}.${name}`));
    if (limit !== undefined) found[name] = limit;
  }
  return found;
}

function layerOf(value: unknown, i: number): Layer {
  const path = `layers[${i}]`;
  const layer = fields(value, path);
  const [nearMm, farMm] = pair(layer['zMm'], `${path}.zMm`);
  const name = layer['name'];
  const shift = optional(layer['shiftMm'], (one) => point(one, `${path}.shiftMm`));
  const rotationDeg = optional(layer['rotationDeg'], (one) => number(one, `${path}.rotationDeg`));
  const tolerance = optional(layer['toleranceMm'], (one) => toleranceOf(one, `${path}.toleranceMm`));
  return {
    name: typeof name === 'string' && name !== '' ? name.slice(0, 300) : `layer ${i + 1}`,
    nearMm,
    farMm,
    opening: openingOf(layer['opening'], `${path}.opening`),
    bevels: bevelsOf(layer['bevel'], `${path}.bevel`),
    ...(shift === undefined ? {} : { shift }),
    ...(rotationDeg === undefined ? {} : { rotationRad: degreesToRad(rotationDeg) }),
    ...(tolerance === undefined ? {} : { tolerance }),
  };
}

function plateOf(value: unknown): PlateEdge {
  const plate = fields(value, 'plate');
  const sheet = optional(plate['sheetThicknessMm'], (one) => length(one, 'plate.sheetThicknessMm'));
  const slope = optional(plate['slopeDeg'], (one) => number(one, 'plate.slopeDeg'));
  return {
    edgeThicknessMm: length(plate['edgeThicknessMm'], 'plate.edgeThicknessMm'),
    sharpEdge: optional(plate['sharpEdge'], (one) => word(one, 'plate.sharpEdge', ['film', 'scene'])) ?? 'film',
    ...(sheet === undefined ? {} : { sheetThicknessMm: sheet }),
    ...(slope === undefined ? {} : { slopeRad: degreesToRad(slope) }),
  };
}

/**
 * Reads a stack.
 * @param text JSON: `frameMm`, `focalLengthMm`, `holeShiftMm`, `hole`, `layers`, `pointsMm`; further `filmPlane`
 *   (flat, cylinder, can), `plate` (`edgeThicknessMm`, `sheetThicknessMm`, `slopeDeg`, `sharpEdge`) and, in a layer,
 *   `toleranceMm`; a length is mm, or text with its unit: "3/8 in"
 * @throws FormatError where the text is no such stack; says where
 * @throws InputError missing
 */
export function parseFrontStack(text: string): FrontStack {
  let value: unknown;
  try {
    value = JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch (error) {
    throw new FormatError('not-understood', `This is no JSON: ${(error as Error).message}.`, { at: 'the text' });
  }
  const stack = fields(value, 'the stack');
  for (const path of ['frameMm', 'focalLengthMm', 'hole']) {
    if (stack[path] !== undefined) continue;
    throw new InputError('missing', `The stack needs "${path}".`, { path });
  }
  const [widthMm, heightMm] = pair(stack['frameMm'], 'frameMm');
  const plane = optional(stack['filmPlane'], (one): FilmPlane => word(one, 'filmPlane', FILM_PLANES));
  const camera: CameraGeometry = {
    frame: { widthMm, heightMm },
    focalLengthMm: length(stack['focalLengthMm'], 'focalLengthMm'),
    holeShift: optional(stack['holeShiftMm'], (one) => point(one, 'holeShiftMm')) ?? { xMm: 0, yMm: 0 },
    ...(plane === undefined ? {} : { filmPlane: plane }),
  };
  const plate = optional(stack['plate'], plateOf);
  return {
    question: {
      camera,
      hole: holeOf(stack['hole']),
      layers: (optional(stack['layers'], (one) => list(one, 'layers', MOST_LAYERS)) ?? []).map(layerOf),
      ...(plate === undefined ? {} : { plate }),
    },
    points: optional(stack['pointsMm'], (one) => points(one, 'pointsMm', MOST_POINTS)) ?? [],
  };
}
