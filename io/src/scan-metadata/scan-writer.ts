/** Puts PNG and JPEG files, EXIF blocks and colour profiles together, piece by piece. For tests only. */
import { deflateSync } from 'node:zlib';
import { crc32 } from './crc32.ts';

export interface PngChunk {
  readonly type: string;
  readonly data: Uint8Array;
}

export function u16(...values: number[]): number[] {
  return values.flatMap((value) => [(value >>> 8) & 255, value & 255]);
}

export function u32(...values: number[]): number[] {
  return values.flatMap((value) => [(value >>> 24) & 255, (value >>> 16) & 255, (value >>> 8) & 255, value & 255]);
}

export function ascii(text: string): number[] {
  return [...text].map((letter) => letter.charCodeAt(0));
}

export function chunk(type: string, data: readonly number[] | Uint8Array = []): PngChunk {
  return { type, data: Uint8Array.from(data) };
}

/** Signature, the chunks, each with its check sum. */
export function joinPng(chunks: readonly PngChunk[]): Uint8Array {
  const parts = [Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a)];
  for (const { type, data } of chunks) {
    const body = Uint8Array.of(...ascii(type), ...data);
    parts.push(Uint8Array.from(u32(data.length)), body, Uint8Array.from(u32(crc32(body))));
  }
  return Uint8Array.from(Buffer.concat(parts));
}

/** A gray 8-bit picture, 3 × 2, with further chunks before its data. */
export function smallPng(further: readonly PngChunk[] = []): Uint8Array {
  return joinPng([
    chunk('IHDR', [...u32(3, 2), 8, 0, 0, 0, 0]),
    ...further,
    chunk('IDAT', deflateSync(Uint8Array.of(0, 10, 20, 30, 0, 40, 50, 60))),
    chunk('IEND'),
  ]);
}

/** Puts segments behind the start marker of a JPEG. */
export function withSegments(
  jpeg: Uint8Array,
  segments: readonly { readonly marker: number; readonly data: readonly number[] }[],
): Uint8Array {
  const inserted = segments.flatMap(({ marker, data }) => [0xff, marker, ...u16(data.length + 2), ...data]);
  return Uint8Array.from([0xff, 0xd8, ...inserted, ...jpeg.subarray(2)]);
}

/** Drops all application segments of a JPEG. */
export function bareJpeg(jpeg: Uint8Array): Uint8Array {
  const out = [0xff, 0xd8];
  let at = 2;
  while (jpeg[at] === 0xff && jpeg[at + 1] !== 0xda) {
    const length = 2 + jpeg[at + 2]! * 256 + jpeg[at + 3]!;
    const marker = jpeg[at + 1]!;
    if (marker < 0xe0 || marker > 0xef) out.push(...jpeg.subarray(at, at + length));
    at += length;
  }
  return Uint8Array.from([...out, ...jpeg.subarray(at)]);
}

export const jfif = (unit: number, x: number, y: number) => ({
  marker: 0xe0,
  data: [...ascii('JFIF\0'), 1, 1, unit, ...u16(x, y), 0, 0],
});

/** EXIF with resolution (whole numbers), unit, and ColorSpace where given. */
export function exifBlock(options: {
  readonly x?: number;
  readonly y?: number;
  readonly unit?: number;
  readonly colorSpace?: number;
  readonly orientation?: number;
}): number[] {
  const entry = (tag: number, type: number, count: number, value: readonly number[]) => [
    ...u16(tag, type),
    ...u32(count),
    ...value,
  ];
  const entries: number[][] = [];
  const short = (tag: number, value: number) => entries.push(entry(tag, 3, 1, [...u16(value), 0, 0]));
  if (options.orientation !== undefined) short(274, options.orientation);
  // Places depend on the number of entries: resolution values stand at 200, the inner directory at 300.
  if (options.x !== undefined) entries.push(entry(282, 5, 1, u32(200)));
  if (options.y !== undefined) entries.push(entry(283, 5, 1, u32(208)));
  if (options.unit !== undefined) short(296, options.unit);
  if (options.colorSpace !== undefined) entries.push(entry(34665, 4, 1, u32(300)));
  const block = [...ascii('MM'), ...u16(42), ...u32(8), ...u16(entries.length), ...entries.flat(), ...u32(0)];
  while (block.length < 200) block.push(0);
  block.push(...u32(options.x ?? 0, 1, options.y ?? 0, 1));
  while (block.length < 300) block.push(0);
  block.push(...u16(1), ...entry(40961, 3, 1, [...u16(options.colorSpace ?? 0), 0, 0]), ...u32(0));
  return block;
}

/** List of resources of an image editor with one resolution, 16.16 fixed point. */
export function editorResources(xPerInch: number, yPerInch: number): number[] {
  const body = [...u32(xPerInch * 65536), ...u16(1, 1), ...u32(yPerInch * 65536), ...u16(1, 1)];
  return [
    ...ascii('8BIM'),
    ...u16(0x0404),
    0,
    0,
    ...u32(3),
    1,
    2,
    3,
    0,
    ...ascii('8BIM'),
    ...u16(0x03ed),
    0,
    0,
    ...u32(16),
    ...body,
  ];
}

/** A gray profile whose curve is given as the body of its kTRC tag (type signature included). */
export function grayProfile(curve: readonly number[] | null, description = ''): Uint8Array {
  const text = [...ascii('desc'), ...u32(0), ...u32(description.length + 1), ...ascii(description), 0];
  const tags: [string, readonly number[]][] = [['desc', text]];
  if (curve) tags.push(['kTRC', curve]);
  let at = 132 + 12 * tags.length;
  const table: number[] = [];
  const bodies: number[] = [];
  for (const [name, body] of tags) {
    table.push(...ascii(name), ...u32(at, body.length));
    bodies.push(...body);
    at += body.length;
  }
  const header = Array.from({ length: 128 }, () => 0);
  header.splice(36, 4, ...ascii('acsp'));
  return Uint8Array.from([...header, ...u32(tags.length), ...table, ...bodies]);
}

export const curve = {
  linear: [...ascii('curv'), ...u32(0, 0)],
  gamma: (gamma: number) => [...ascii('curv'), ...u32(0, 1), ...u16(Math.round(gamma * 256))],
  table: (light: readonly number[]) => [
    ...ascii('curv'),
    ...u32(0, light.length),
    ...u16(...light.map((v) => Math.round(v * 65535))),
  ],
  parametric: (kind: number, ...values: number[]) => [
    ...ascii('para'),
    ...u32(0),
    ...u16(kind, 0),
    ...u32(...values.map((v) => Math.round(v * 65536))),
  ],
};
