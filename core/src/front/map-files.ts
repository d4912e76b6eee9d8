/** The map of a front as files: a drawing, a table, a picture, and a flat field that undoes the falloff in an editor. */
import { formatNumber } from '../units/figures.ts';
import type { Frame } from '../camera/geometry.ts';
import { contourLines } from './contours.ts';
import type { TransmissionMap } from './transmission.ts';

/** What takes light from the film: distance and slant, the plate's thickness, the layers; or all of it. */
export type MapCause = 'all' | 'falloff' | 'plate' | 'layers';

export const MAP_CAUSES: readonly MapCause[] = ['all', 'falloff', 'plate', 'layers'];

/** The cause after “stops lost”. */
export const CAUSE_WORDS: Readonly<Record<MapCause, string>> = {
  all: 'for all causes',
  falloff: 'to distance and slant',
  plate: 'to the plate’s thickness',
  layers: 'to the layers',
};

/** Which way the map is looked at, and what of it. */
export interface MapView {
  /** Default `film`. From the front left and right change places. */
  readonly side?: 'film' | 'front';
  /** Turned upside down, as the picture is held up: the film's image is upside down. */
  readonly upright?: boolean;
  /** Default `all`. */
  readonly cause?: MapCause;
}

/** Stops lost at each sample, all causes, or the layers alone; `Infinity` where nothing arrives. */
export function lostStops(map: TransmissionMap, cause: MapCause = 'all'): Float64Array {
  const clear = { all: map.clearShare, layers: map.transmissionShare, plate: map.plateShare, falloff: null }[cause];
  return map.falloffStops.map((stops, i) => {
    const share = clear === null ? 1 : (clear[i] as number);
    const base = cause === 'all' || cause === 'falloff' ? stops : 0;
    return share > 0 ? base - Math.log2(share) : Infinity;
  });
}

/** The samples in the order in which they are looked at. */
export function turnedSamples(map: { readonly columns: number; readonly rows: number }, values: ArrayLike<number>, view: MapView): Float64Array {
  const { columns, rows } = map;
  const mirrored = view.side === 'front';
  const out = new Float64Array(columns * rows);
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      // turning by half a turn exchanges both; the view from the front exchanges left and right
      const fromRow = view.upright ? rows - 1 - row : row;
      const fromColumn = mirrored !== Boolean(view.upright) ? columns - 1 - column : column;
      out[row * columns + column] = values[fromRow * columns + fromColumn] as number;
    }
  }
  return out;
}

function viewWords(view: MapView): string {
  return `${view.side === 'front' ? 'seen from the front' : 'seen from the film side'}${view.upright ? ', turned as the picture is held' : ''}`;
}

/** One row a sample: place on the film, shares and stops apart, and the layer that takes most. */
export function mapTable(map: TransmissionMap, frame: Frame, layers: readonly { readonly name: string }[]): {
  readonly header: readonly string[];
  readonly rows: readonly (readonly (string | number | null)[])[];
} {
  const total = lostStops(map);
  const rows: (string | number | null)[][] = [];
  for (let row = 0; row < map.rows; row++) {
    for (let column = 0; column < map.columns; column++) {
      const i = row * map.columns + column;
      rows.push([
        frame.widthMm * (column / (map.columns - 1) - 0.5),
        frame.heightMm * (0.5 - row / (map.rows - 1)),
        map.transmissionShare[i] as number,
        map.plateShare[i] as number,
        map.falloffStops[i] as number,
        Number.isFinite(total[i]) ? (total[i] as number) : null,
        layers[map.clippingIndex[i] as number]?.name ?? null,
      ]);
    }
  }
  return { header: ['xMm', 'yMm', 'transmission', 'plateShare', 'falloffStops', 'totalStops', 'clippingLayer'], rows };
}

/** Step between contours, and every how many of them one is drawn strong and named. */
const CONTOUR_STEPS: readonly (readonly [number, number])[] = [[0.05, 2], [0.1, 5], [0.25, 2], [0.5, 2]];
const MOST_CONTOURS = 12;

/** Contours for a map: at most a dozen, every half stop where much is lost and finer where little is, up to 6 stops. */
export function contourStops(lost: ArrayLike<number>): readonly { readonly stops: number; readonly strong: boolean }[] {
  let most = 0;
  for (let i = 0; i < lost.length; i++) most = Math.max(most, lost[i] as number);
  const [step, every] = CONTOUR_STEPS.find(([candidate]) => most / candidate <= MOST_CONTOURS) ?? [0.5, 2];
  const count = Math.min(MOST_CONTOURS, Math.floor(most / step + 1e-9));
  return Array.from({ length: count }, (_, i) => ({ stops: Number(((i + 1) * step).toFixed(2)), strong: (i + 1) % every === 0 }));
}

/** A drawing of the frame at true size, contours in stops, the side said. */
export function mapSvg(map: TransmissionMap, frame: Frame, view: MapView = {}): string {
  const lost = turnedSamples(map, lostStops(map, view.cause), view);
  const { widthMm, heightMm } = frame;
  const x = (column: number): string => ((column / (map.columns - 1)) * widthMm).toFixed(4);
  const y = (row: number): string => ((row / (map.rows - 1)) * heightMm).toFixed(4);
  const parts: string[] = [];
  for (const { stops, strong } of contourStops(lost)) {
    const lines = contourLines(map, lost, { value: stops });
    if (lines.length === 0) continue;
    const path = lines.map(({ from, to }) => `M${x(from.column)} ${y(from.row)}L${x(to.column)} ${y(to.row)}`).join('');
    parts.push(`<path d="${path}" stroke-width="${strong ? 0.35 : 0.18}"/>`);
    const middle = lines[Math.floor(lines.length / 2)]!;
    if (strong) parts.push(`<text x="${x(middle.from.column)}" y="${y(middle.from.row)}" fill="#222" stroke="none">${stops}</text>`);
  }
  return (
    `<svg xmlns="http://www.w3.org/2000/svg" width="${widthMm + 10}mm" height="${heightMm + 16}mm" `
    + `viewBox="-5 -5 ${widthMm + 10} ${heightMm + 16}" font-family="sans-serif" font-size="4" text-anchor="middle">`
    + `<title>Stops lost ${CAUSE_WORDS[view.cause ?? 'all']}, ${viewWords(view)}</title>`
    + `<rect width="${widthMm}" height="${heightMm}" fill="none" stroke="#222" stroke-width="0.5"/>`
    + `<g fill="none" stroke="#222">${parts.join('')}</g>`
    + `<text x="${widthMm / 2}" y="${heightMm + 7}">Stops lost ${CAUSE_WORDS[view.cause ?? 'all']}, ${viewWords(view)}; frame ${formatNumber(widthMm, { significant: 5 })} × `
    + `${formatNumber(heightMm, { significant: 5 })} mm</text></svg>\n`
  );
}

/** Bilinear in the samples. */
function sampled(map: { readonly columns: number; readonly rows: number }, values: ArrayLike<number>, u: number, v: number): number {
  const x = u * (map.columns - 1);
  const y = v * (map.rows - 1);
  const column = Math.min(map.columns - 2, Math.floor(x));
  const row = Math.min(map.rows - 2, Math.floor(y));
  const fx = x - column;
  const fy = y - row;
  const at = (c: number, r: number): number => values[(row + r) * map.columns + column + c] as number;
  return (at(0, 0) * (1 - fx) + at(1, 0) * fx) * (1 - fy) + (at(0, 1) * (1 - fx) + at(1, 1) * fx) * fy;
}

/** Light at each pixel against the lightest one, 0…1, row by row from the top of the view. */
function lightPixels(map: TransmissionMap, size: { readonly columns: number; readonly rows: number }, view: MapView): Float32Array {
  const light = turnedSamples(map, lostStops(map, view.cause).map((stops) => 2 ** -stops), view);
  const brightest = light.reduce((most, value) => Math.max(most, value), 0) || 1;
  const pixels = new Float32Array(size.columns * size.rows);
  for (let row = 0; row < size.rows; row++) {
    for (let column = 0; column < size.columns; column++) {
      const value = sampled(map, light, (column + 0.5) / size.columns, (row + 0.5) / size.rows);
      pixels[row * size.columns + column] = value / brightest;
    }
  }
  return pixels;
}

/**
 * Flat field as an uncompressed 32-bit float TIFF, one channel, linear light, 1 where the film gets most: divide the linear
 * scan by it. 0 where nothing arrives.
 * @source tiff6-1992
 */
export function flatFieldTiff(
  map: TransmissionMap,
  size: { readonly columns: number; readonly rows: number; readonly frame: Frame },
  view: MapView = {},
): Uint8Array {
  const pixels = lightPixels(map, size, view);
  const entries: readonly (readonly [number, number, number, number])[] = [
    [256, 4, 1, size.columns],
    [257, 4, 1, size.rows],
    [258, 3, 1, 32],
    [259, 3, 1, 1],
    [262, 3, 1, 1],
    [273, 4, 1, 0],
    [277, 3, 1, 1],
    [278, 4, 1, size.rows],
    [279, 4, 1, pixels.length * 4],
    [282, 5, 1, 0],
    [283, 5, 1, 0],
    [296, 3, 1, 3],
    [339, 3, 1, 3],
  ];
  const rationalsAt = 8 + 2 + 12 * entries.length + 4;
  const pixelsAt = rationalsAt + 16;
  const bytes = new Uint8Array(pixelsAt + 4 * pixels.length);
  const data = new DataView(bytes.buffer);
  bytes.set([0x49, 0x49]);
  data.setUint16(2, 42, true);
  data.setUint32(4, 8, true);
  data.setUint16(8, entries.length, true);
  for (const [i, [tag, type, count, value]] of entries.entries()) {
    const at = 10 + 12 * i;
    data.setUint16(at, tag, true);
    data.setUint16(at + 2, type, true);
    data.setUint32(at + 4, count, true);
    const shown = tag === 273 ? pixelsAt : tag === 282 ? rationalsAt : tag === 283 ? rationalsAt + 8 : value;
    if (type === 3) data.setUint16(at + 8, shown, true);
    else data.setUint32(at + 8, shown, true);
  }
  // pixels per centimetre, so that the field has the frame's size
  const perCm = [(10 * size.columns) / size.frame.widthMm, (10 * size.rows) / size.frame.heightMm];
  for (const [i, value] of perCm.entries()) {
    data.setUint32(rationalsAt + 8 * i, Math.round(value * 10_000), true);
    data.setUint32(rationalsAt + 8 * i + 4, 10_000, true);
  }
  for (const [i, value] of pixels.entries()) data.setFloat32(pixelsAt + 4 * i, value, true);
  return bytes;
}

function crc32(bytes: Uint8Array): number {
  let crc = 0xffffffff;
  for (const byte of bytes) {
    crc ^= byte;
    for (let k = 0; k < 8; k++) crc = crc & 1 ? (crc >>> 1) ^ 0xedb88320 : crc >>> 1;
  }
  return (crc ^ 0xffffffff) >>> 0;
}

function chunk(name: string, body: Uint8Array): Uint8Array {
  const bytes = new Uint8Array(12 + body.length);
  const view = new DataView(bytes.buffer);
  view.setUint32(0, body.length);
  for (let i = 0; i < 4; i++) bytes[4 + i] = name.charCodeAt(i);
  bytes.set(body, 8);
  view.setUint32(8 + body.length, crc32(bytes.subarray(4, 8 + body.length)));
  return bytes;
}

/** Darkest tone of the picture. */
const BLACK_STOPS = 6;

/**
 * The map as a grey PNG of 8 bits: white where the film gets most, a step darker every half stop, black from 6 stops on.
 * @param pack bytes to a zlib stream (RFC 1950), which the faces have at hand
 * @source png2003
 */
export function mapPng(
  map: TransmissionMap,
  size: { readonly columns: number; readonly rows: number },
  pack: (bytes: Uint8Array) => Uint8Array,
  view: MapView = {},
): Uint8Array {
  const pixels = lightPixels(map, size, view);
  const raw = new Uint8Array((size.columns + 1) * size.rows);
  for (let row = 0; row < size.rows; row++) {
    for (let column = 0; column < size.columns; column++) {
      const light = pixels[row * size.columns + column] as number;
      const step = light > 0 ? Math.floor(-2 * Math.log2(light) + 1e-6) / 2 : BLACK_STOPS;
      raw[row * (size.columns + 1) + 1 + column] = Math.round(255 * (1 - Math.min(step, BLACK_STOPS) / BLACK_STOPS));
    }
  }
  const head = new Uint8Array(13);
  const view2 = new DataView(head.buffer);
  view2.setUint32(0, size.columns);
  view2.setUint32(4, size.rows);
  head.set([8, 0, 0, 0, 0], 8);
  const parts = [
    Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a),
    chunk('IHDR', head),
    chunk('IDAT', pack(raw)),
    chunk('IEND', new Uint8Array(0)),
  ];
  const bytes = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    bytes.set(part, at);
    at += part.length;
  }
  return bytes;
}
