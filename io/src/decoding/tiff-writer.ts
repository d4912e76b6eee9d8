/** Writes small TIFFs of every kind that the decoder must read. For tests and benches only. */
import { deflateSync } from 'node:zlib';
import { packBits, packLzw } from './tiff-packers.ts';

export interface TiffRecipe {
  readonly widthPx: number;
  readonly heightPx: number;
  /** Interleaved, `channels` per pixel; for 1 bit: 0 or 1. */
  readonly samples: ArrayLike<number>;
  readonly channels: number;
  readonly bits: 1 | 8 | 16;
  readonly bigEndian?: boolean;
  readonly bigTiff?: boolean;
  readonly compression?: 'none' | 'lzw' | 'deflate' | 'packbits';
  readonly predictor?: boolean;
  readonly planar?: boolean;
  readonly rowsPerStrip?: number;
  readonly tile?: { readonly widthPx: number; readonly heightPx: number };
  /** Default by channels: 1 black is zero, 2 RGB. */
  readonly photometric?: number;
  readonly resolution?: {
    readonly x: readonly [number, number];
    readonly y: readonly [number, number];
    readonly unit?: 1 | 2 | 3;
  };
  /** Further entries: tag, type, values (numbers, or bytes for type 7). */
  readonly extra?: readonly {
    readonly tag: number;
    readonly type: 1 | 3 | 4 | 7;
    readonly values: readonly number[];
  }[];
}

const COMPRESSION = { none: 1, lzw: 5, deflate: 8, packbits: 32773 };
const TYPE_BYTES: Readonly<Record<number, number>> = { 1: 1, 3: 2, 4: 4, 5: 8, 7: 1, 16: 8 };

export function writeTiff(recipe: TiffRecipe): Uint8Array {
  const little = !recipe.bigEndian;
  const big = recipe.bigTiff ?? false;
  const compression = recipe.compression ?? 'none';
  const blocks = cutBlocks(recipe).map((block) => pack(block, recipe, compression));
  const entries: { tag: number; type: number; values: readonly number[] }[] = [
    { tag: 256, type: 4, values: [recipe.widthPx] },
    { tag: 257, type: 4, values: [recipe.heightPx] },
    { tag: 258, type: 3, values: Array.from({ length: recipe.channels }, () => recipe.bits) },
    { tag: 259, type: 3, values: [COMPRESSION[compression]] },
    { tag: 262, type: 3, values: [recipe.photometric ?? (recipe.channels >= 3 ? 2 : 1)] },
    { tag: 277, type: 3, values: [recipe.channels] },
    { tag: 284, type: 3, values: [recipe.planar ? 2 : 1] },
  ];
  const headerBytes = big ? 16 : 8;
  const offsets: number[] = [];
  let at = headerBytes;
  for (const block of blocks) {
    offsets.push(at);
    at += block.length;
  }
  if (recipe.tile) {
    entries.push(
      { tag: 322, type: 3, values: [recipe.tile.widthPx] },
      { tag: 323, type: 3, values: [recipe.tile.heightPx] },
    );
    entries.push({ tag: 324, type: 4, values: offsets }, { tag: 325, type: 4, values: blocks.map((b) => b.length) });
  } else {
    entries.push({ tag: 273, type: 4, values: offsets }, { tag: 279, type: 4, values: blocks.map((b) => b.length) });
    entries.push({ tag: 278, type: 3, values: [recipe.rowsPerStrip ?? recipe.heightPx] });
  }
  if (recipe.predictor) entries.push({ tag: 317, type: 3, values: [2] });
  if (recipe.channels === 2 || recipe.channels === 4) entries.push({ tag: 338, type: 3, values: [2] });
  if (recipe.resolution) {
    entries.push(
      { tag: 282, type: 5, values: recipe.resolution.x },
      { tag: 283, type: 5, values: recipe.resolution.y },
    );
    if (recipe.resolution.unit) entries.push({ tag: 296, type: 3, values: [recipe.resolution.unit] });
  }
  entries.push(...(recipe.extra ?? []));
  entries.sort((a, b) => a.tag - b.tag);
  return assemble(blocks, entries, at + (at & 1), little, big);
}

function assemble(
  blocks: readonly Uint8Array[],
  entries: readonly { tag: number; type: number; values: readonly number[] }[],
  directoryAt: number,
  little: boolean,
  big: boolean,
): Uint8Array {
  const inlineBytes = big ? 8 : 4;
  const bytesOf = (entry: { type: number; values: readonly number[] }) =>
    entry.type === 5 ? 4 * entry.values.length : TYPE_BYTES[entry.type]! * entry.values.length;
  let valuesAt = directoryAt + (big ? 8 + 20 * entries.length + 8 : 2 + 12 * entries.length + 4);
  const total =
    valuesAt + entries.reduce((sum, e) => sum + (bytesOf(e) > inlineBytes ? bytesOf(e) + (bytesOf(e) & 1) : 0), 0);
  const out = new Uint8Array(total);
  const view = new DataView(out.buffer);
  out.set(little ? [0x49, 0x49] : [0x4d, 0x4d]);
  view.setUint16(2, big ? 43 : 42, little);
  if (big) {
    view.setUint16(4, 8, little);
    view.setBigUint64(8, BigInt(directoryAt), little);
  } else view.setUint32(4, directoryAt, little);
  let at = big ? 16 : 8;
  for (const block of blocks) {
    out.set(block, at);
    at += block.length;
  }
  if (big) view.setBigUint64(directoryAt, BigInt(entries.length), little);
  else view.setUint16(directoryAt, entries.length, little);
  entries.forEach((entry, i) => {
    const entryAt = directoryAt + (big ? 8 + 20 * i : 2 + 12 * i);
    view.setUint16(entryAt, entry.tag, little);
    view.setUint16(entryAt + 2, entry.type, little);
    const count = entry.type === 5 ? entry.values.length / 2 : entry.values.length;
    if (big) view.setBigUint64(entryAt + 4, BigInt(count), little);
    else view.setUint32(entryAt + 4, count, little);
    const fieldAt = entryAt + (big ? 12 : 8);
    let valueAt = fieldAt;
    if (bytesOf(entry) > inlineBytes) {
      valueAt = valuesAt;
      if (big) view.setBigUint64(fieldAt, BigInt(valuesAt), little);
      else view.setUint32(fieldAt, valuesAt, little);
      valuesAt += bytesOf(entry) + (bytesOf(entry) & 1);
    }
    const step = entry.type === 5 ? 4 : TYPE_BYTES[entry.type]!;
    entry.values.forEach((value, k) => {
      const place = valueAt + k * step;
      if (step === 1) view.setUint8(place, value);
      else if (step === 2) view.setUint16(place, value, little);
      else view.setUint32(place, value, little);
    });
  });
  return out;
}

/** Samples of each strip or tile, rows filled up to the tile's width; planes after one another when planar. */
function cutBlocks(recipe: TiffRecipe): { samples: number[]; rowSamples: number; step: number }[] {
  const { widthPx, heightPx, channels } = recipe;
  const blockWidth = recipe.tile?.widthPx ?? widthPx;
  const blockHeight = recipe.tile?.heightPx ?? recipe.rowsPerStrip ?? heightPx;
  const planes = recipe.planar ? channels : 1;
  const step = recipe.planar ? 1 : channels;
  const blocks: { samples: number[]; rowSamples: number; step: number }[] = [];
  for (let plane = 0; plane < planes; plane++) {
    for (let top = 0; top < heightPx; top += blockHeight) {
      const rows = recipe.tile ? blockHeight : Math.min(blockHeight, heightPx - top);
      for (let left = 0; left < widthPx; left += blockWidth) {
        const samples: number[] = [];
        for (let y = top; y < top + rows; y++) {
          for (let x = left; x < left + blockWidth; x++) {
            for (let k = 0; k < step; k++) {
              const inside = x < widthPx && y < heightPx;
              samples.push(inside ? recipe.samples[(y * widthPx + x) * channels + (recipe.planar ? plane : k)]! : 0);
            }
          }
        }
        blocks.push({ samples, rowSamples: blockWidth * step, step });
      }
    }
  }
  return blocks;
}

function pack(
  block: { samples: number[]; rowSamples: number; step: number },
  recipe: TiffRecipe,
  compression: NonNullable<TiffRecipe['compression']>,
): Uint8Array {
  const { samples, rowSamples, step } = block;
  if (recipe.predictor) {
    for (let start = 0; start < samples.length; start += rowSamples) {
      for (let i = start + rowSamples - 1; i >= start + step; i--) samples[i] = samples[i]! - samples[i - step]!;
    }
  }
  const raw = toBytes(samples, rowSamples, recipe);
  if (compression === 'deflate') return deflateSync(raw);
  if (compression === 'lzw') return packLzw(raw);
  if (compression === 'packbits') {
    const rowBytes = raw.length / (samples.length / rowSamples);
    return packBits(raw, rowBytes);
  }
  return raw;
}

function toBytes(samples: readonly number[], rowSamples: number, recipe: TiffRecipe): Uint8Array {
  if (recipe.bits === 8) return Uint8Array.from(samples);
  if (recipe.bits === 16) {
    const out = new Uint8Array(samples.length * 2);
    const view = new DataView(out.buffer);
    samples.forEach((value, i) => view.setUint16(i * 2, value & 0xffff, !recipe.bigEndian));
    return out;
  }
  const rowBytes = Math.ceil(rowSamples / 8);
  const out = new Uint8Array(rowBytes * (samples.length / rowSamples));
  samples.forEach((value, i) => {
    const row = Math.floor(i / rowSamples);
    const column = i % rowSamples;
    if (value) out[row * rowBytes + (column >> 3)]! |= 128 >> (column & 7);
  });
  return out;
}
