import { FormatError, isCamerawrightError } from '#core';
import type { PixelWindow } from '#core';
import type { Inflate, StoredPicture, TiffLayout } from '../scan-metadata/index.ts';
import { emptySamples } from './row-decoder.ts';
import type { RowDecoder, Samples } from './row-decoder.ts';
import { unpackBits, unpackLzw } from './tiff-codecs.ts';

/** A block larger than this would have to be unpacked whole to reach any window in it. */
const MOST_BLOCK_BYTES = 700e6;
/**
 * Unpacked strips and tiles kept: those of 100 gray megapixels with room to spare, because finding a hole may take
 * more than one pass through the scan.
 */
const BLOCK_CACHE_BYTES = 256e6;

/**
 * Rows of a TIFF straight from its strips or tiles: any window at random, in the file's own memory when it is not
 * packed. Gray, RGB, 1 bit and colour tables; 8 and 16 bit; both byte orders; side by side or planar.
 * @param inflate the runtime's own unpacking of deflate
 * @param keepAtMostBytes of unpacked strips and tiles
 */
export function tiffDecoder(
  bytes: Uint8Array,
  stored: StoredPicture & { readonly tiff: TiffLayout },
  inflate: Inflate,
  keepAtMostBytes = BLOCK_CACHE_BYTES,
): RowDecoder {
  const blocks = new TiffBlocks(bytes, stored, inflate, Math.min(keepAtMostBytes, BLOCK_CACHE_BYTES));
  const { tiff, widthPx, heightPx } = stored;
  const channels = stored.colour === 'rgb' ? 3 : 1;
  const bitsPerSample = stored.storedBits === 16 ? 16 : 8;

  return {
    widthPx,
    heightPx,
    channels,
    bitsPerSample,
    sequential: false,
    async rows(window, take) {
      const row = emptySamples(bitsPerSample, window.widthPx * channels);
      const lastRow = window.rowPx + window.heightPx;
      for (let top = window.rowPx; top < lastRow;) {
        const band = Math.floor(top / tiff.blockHeightPx);
        const bottom = Math.min((band + 1) * tiff.blockHeightPx, lastRow);
        const pieces = await bandPieces(blocks, stored, window, band, channels, { top, bottom });
        for (let rowPx = top; rowPx < bottom; rowPx++) {
          for (const piece of pieces) piece(row, rowPx);
          if (!take(row, rowPx)) return;
        }
        top = bottom;
      }
    },
    close() {
      blocks.clear();
    },
  };
}

/** Fills its part of a row. */
type Piece = (row: Samples, rowPx: number) => void;

async function bandPieces(
  blocks: TiffBlocks,
  stored: StoredPicture & { readonly tiff: TiffLayout },
  window: PixelWindow,
  band: number,
  channels: number,
  rows: { readonly top: number; readonly bottom: number },
): Promise<Piece[]> {
  const { tiff } = stored;
  const across = Math.ceil(stored.widthPx / tiff.blockWidthPx);
  const down = Math.ceil(stored.heightPx / tiff.blockHeightPx);
  const pieces: Piece[] = [];
  const first = Math.floor(window.columnPx / tiff.blockWidthPx);
  const last = Math.floor((window.columnPx + window.widthPx - 1) / tiff.blockWidthPx);
  for (let column = first; column <= last; column++) {
    const left = Math.max(window.columnPx, column * tiff.blockWidthPx);
    const right = Math.min(window.columnPx + window.widthPx, (column + 1) * tiff.blockWidthPx);
    const planes = tiff.planar ? channels : 1;
    for (let plane = 0; plane < planes; plane++) {
      const block = await blocks.block((plane * down + band) * across + column, band, rows);
      const step = tiff.planar ? 1 : stored.storedChannels;
      pieces.push((row, rowPx) => {
        const from = (rowPx - block.firstRowPx) * block.rowSamples + (left - column * tiff.blockWidthPx) * step;
        const to = (left - window.columnPx) * channels;
        copySamples(block.samples, from, step, row, to, { count: right - left, channels, plane, planar: tiff.planar });
      });
    }
  }
  return pieces;
}

function copySamples(
  samples: Samples,
  from: number,
  step: number,
  row: Samples,
  to: number,
  how: { readonly count: number; readonly channels: number; readonly plane: number; readonly planar: boolean },
): void {
  const { count, channels } = how;
  if (how.planar) {
    for (let i = 0; i < count; i++) row[to + i * channels + how.plane] = samples[from + i]!;
  } else if (step === channels) {
    row.set(samples.subarray(from, from + count * channels), to);
  } else {
    // Alpha and other extras are left behind.
    for (let i = 0; i < count; i++) {
      for (let k = 0; k < channels; k++) row[to + i * channels + k] = samples[from + i * step + k]!;
    }
  }
}

interface Block {
  readonly samples: Samples;
  readonly firstRowPx: number;
  /** From one row to the next. */
  readonly rowSamples: number;
}

class TiffBlocks {
  readonly #bytes: Uint8Array;
  readonly #stored: StoredPicture & { readonly tiff: TiffLayout };
  readonly #inflate: Inflate;
  readonly #cacheBytes: number;
  /** Least recently used first. */
  readonly #cache = new Map<number, Block>();
  #cachedBytes = 0;

  constructor(
    bytes: Uint8Array,
    stored: StoredPicture & { readonly tiff: TiffLayout },
    inflate: Inflate,
    cacheBytes: number,
  ) {
    this.#cacheBytes = cacheBytes;
    this.#bytes = bytes;
    this.#stored = stored;
    this.#inflate = inflate;
  }

  clear(): void {
    this.#cache.clear();
    this.#cachedBytes = 0;
  }

  /** Block `index` in the order of the file, of which only `rows` will be asked. */
  async block(index: number, band: number, rows: { readonly top: number; readonly bottom: number }): Promise<Block> {
    const { tiff } = this.#stored;
    const start = tiff.offsets[index]!;
    if (tiff.compression === 'none') {
      // No need to touch rows that nobody wants: a strip may be the whole picture.
      const skip = (rows.top - band * tiff.blockHeightPx) * this.#rowBytes();
      const length = (rows.bottom - rows.top) * this.#rowBytes();
      const raw = this.#bytes.subarray(start + skip, start + skip + length);
      return this.#toBlock(raw, rows.top);
    }
    const cached = this.#cache.get(index);
    if (cached) {
      this.#cache.delete(index);
      this.#cache.set(index, cached);
      return cached;
    }
    const raw = await this.#unpacked(index, band);
    const block = this.#toBlock(raw, band * tiff.blockHeightPx);
    this.#remember(index, block);
    return block;
  }

  #rowBytes(): number {
    const { tiff, storedChannels, storedBits } = this.#stored;
    return Math.ceil((tiff.blockWidthPx * (tiff.planar ? 1 : storedChannels) * storedBits) / 8);
  }

  async #unpacked(index: number, band: number): Promise<Uint8Array> {
    const { tiff, heightPx } = this.#stored;
    const rowsInBlock = tiff.tiled
      ? tiff.blockHeightPx
      : Math.min(tiff.blockHeightPx, heightPx - band * tiff.blockHeightPx);
    const needed = this.#rowBytes() * rowsInBlock;
    if (needed > MOST_BLOCK_BYTES) {
      throw new FormatError(
        'too-large',
        `The scan is packed in pieces of ${Math.round(needed / 1e6)} MB, too large to unpack. ` +
          'Save it again uncompressed, or crop it to the plate.',
      );
    }
    const start = tiff.offsets[index]!;
    const packed = this.#bytes.subarray(start, start + tiff.byteCounts[index]!);
    if (tiff.compression === 'packbits') return unpackBits(packed, needed);
    if (tiff.compression === 'lzw') return unpackLzw(packed, needed);
    const raw = await this.#inflated(packed, this.#rowBytes() * tiff.blockHeightPx, needed);
    return raw;
  }

  /** Some writers fill up the last strip: more than its pixels may come, less may not. */
  async #inflated(packed: Uint8Array, most: number, needed: number): Promise<Uint8Array> {
    let raw: Uint8Array;
    try {
      raw = await this.#inflate(packed, Math.max(most, needed));
    } catch (error) {
      if (isCamerawrightError(error)) throw error;
      throw new FormatError('damaged', 'The picture is damaged: a strip cannot be unpacked. Scan or copy it again.');
    }
    if (raw.length < needed) {
      throw new FormatError(
        'damaged',
        'The picture is damaged: a strip ends before its pixels do. Scan or copy it again.',
      );
    }
    return raw.subarray(0, needed);
  }

  #toBlock(raw: Uint8Array, firstRowPx: number): Block {
    const { tiff, storedBits, storedChannels, colour } = this.#stored;
    const step = tiff.planar ? 1 : storedChannels;
    const rowSamples = tiff.blockWidthPx * step;
    let samples: Samples;
    if (storedBits === 1) samples = fromBits(raw, tiff.blockWidthPx, this.#rowBytes(), tiff.fillsFromLowBit);
    else if (storedBits === 16) samples = fromPairs(raw, tiff.littleEndian);
    else samples = raw;
    if (tiff.predictor) samples = undoDifferences(samples, rowSamples, step);
    if (colour === 'palette') samples = throughTable(samples, tiff.palette!);
    else if (tiff.whiteIsZero) samples = inverted(samples, storedBits === 16 ? 65535 : 255);
    return { samples, firstRowPx, rowSamples };
  }

  #remember(index: number, block: Block): void {
    this.#cache.set(index, block);
    this.#cachedBytes += block.samples.byteLength;
    for (const [oldest, { samples }] of this.#cache) {
      if (this.#cachedBytes <= this.#cacheBytes || oldest === index) break;
      this.#cache.delete(oldest);
      this.#cachedBytes -= samples.byteLength;
    }
  }
}

/** 1 bit per pixel to 0 and 255; each row begins on a byte. */
function fromBits(raw: Uint8Array, widthPx: number, rowBytes: number, fromLowBit: boolean): Uint8Array {
  const rows = Math.floor(raw.length / rowBytes);
  const out = new Uint8Array(rows * widthPx);
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < widthPx; column++) {
      const byte = raw[row * rowBytes + (column >> 3)]!;
      const bit = fromLowBit ? byte >> (column & 7) : byte >> (7 - (column & 7));
      out[row * widthPx + column] = bit & 1 ? 255 : 0;
    }
  }
  return out;
}

/** Every runtime that we run on is little-endian, but a view needs an even start. */
function fromPairs(raw: Uint8Array, littleEndian: boolean): Uint16Array {
  const count = raw.length >> 1;
  if (littleEndian && raw.byteOffset % 2 === 0) return new Uint16Array(raw.buffer, raw.byteOffset, count);
  const out = new Uint16Array(count);
  if (littleEndian) {
    new Uint8Array(out.buffer).set(raw.subarray(0, count * 2));
  } else {
    for (let i = 0; i < count; i++) out[i] = (raw[2 * i]! << 8) | raw[2 * i + 1]!;
  }
  return out;
}

/** Samples were stored as differences to their left neighbours; in place, the block is ours. @source tiff6-1992 */
function undoDifferences(out: Samples, rowSamples: number, step: number): Samples {
  for (let start = 0; start + rowSamples <= out.length; start += rowSamples) {
    for (let i = start + step; i < start + rowSamples; i++) out[i] = out[i]! + out[i - step]!;
  }
  return out;
}

function throughTable(samples: Samples, table: Uint8Array): Uint8Array {
  const out = new Uint8Array(samples.length);
  for (let i = 0; i < samples.length; i++) out[i] = table[samples[i]!]!;
  return out;
}

function inverted(samples: Samples, white: number): Samples {
  const out = samples instanceof Uint8Array ? new Uint8Array(samples.length) : new Uint16Array(samples.length);
  for (let i = 0; i < samples.length; i++) out[i] = white - samples[i]!;
  return out;
}
