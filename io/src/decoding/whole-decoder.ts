/** Decoders that unpack a picture in one go and then hand out its rows: the way without isolation. */
import { FormatError } from '#core';
import { luma } from '../scan-metadata/index.ts';
import type { StoredPicture } from '../scan-metadata/index.ts';
import { emptySamples } from './row-decoder.ts';
import type { RowDecoder, Samples } from './row-decoder.ts';

/** 100 megapixels of 8-bit colour. */
const MOST_WHOLE_BYTES = 320e6;

/** @throws FormatError too-large */
export function requireWhole(stored: StoredPicture): void {
  const channels = Math.max(stored.storedChannels, stored.colour === 'palette' ? 3 : 1);
  const bytes = stored.widthPx * stored.heightPx * channels * (stored.storedBits === 16 ? 2 : 1);
  if (bytes > MOST_WHOLE_BYTES) {
    throw new FormatError(
      'too-large',
      `A ${stored.format.toUpperCase()} of ${stored.widthPx} × ${stored.heightPx} px is too large for this browser. ` +
        'Save it as TIFF, crop it to the plate, or measure it at the command line.',
      { at: 'size' },
    );
  }
}

/** @param unpack gives all samples, `channels` interleaved; called once, when the first row is wanted */
export function wholeDecoder(stored: StoredPicture, unpack: () => Promise<Samples>): RowDecoder {
  const { widthPx, heightPx } = stored;
  const channels = stored.colour === 'rgb' ? 3 : 1;
  let unpacked: Promise<Samples> | null = null;
  return {
    widthPx,
    heightPx,
    channels,
    bitsPerSample: stored.storedBits === 16 ? 16 : 8,
    sequential: false,
    async rows(window, take) {
      unpacked ??= unpack();
      const samples = await unpacked;
      for (let rowPx = window.rowPx; rowPx < window.rowPx + window.heightPx; rowPx++) {
        const start = (rowPx * widthPx + window.columnPx) * channels;
        if (!take(samples.subarray(start, start + window.widthPx * channels), rowPx)) return;
      }
    },
    close() {
      unpacked = null;
    },
  };
}

/** PNG through fast-png, loaded when first needed. */
export function pngDecoder(bytes: Uint8Array, stored: StoredPicture): RowDecoder {
  requireWhole(stored);
  return wholeDecoder(stored, async () => {
    const { decode } = await import('fast-png');
    try {
      const { data, channels, depth, palette } = decode(bytes);
      const count = stored.widthPx * stored.heightPx;
      if (stored.colour === 'palette') return fromTable(data as Uint8Array, palette ?? [], depth, stored);
      if (depth < 8) return spread(data as Uint8Array, depth, stored);
      if (data.length !== count * channels) throw new RangeError('size');
      return withoutExtras(data, channels, stored.colour === 'rgb' ? 3 : 1, depth === 16 ? 16 : 8);
    } catch {
      throw new FormatError('damaged', 'The picture is damaged and cannot be unpacked. Scan or save it again.');
    }
  });
}

/** Values of 1, 2 or 4 bits, packed into bytes row by row. */
function unpackedBits(data: Uint8Array, depth: number, { widthPx, heightPx }: StoredPicture): Uint8Array {
  const rowBytes = Math.ceil((widthPx * depth) / 8);
  if (data.length < rowBytes * heightPx) throw new RangeError('size');
  const perByte = 8 / depth;
  const mask = (1 << depth) - 1;
  const out = new Uint8Array(widthPx * heightPx);
  for (let row = 0; row < heightPx; row++) {
    for (let column = 0; column < widthPx; column++) {
      const byte = data[row * rowBytes + Math.floor(column / perByte)]!;
      out[row * widthPx + column] = (byte >> (8 - depth - (column % perByte) * depth)) & mask;
    }
  }
  return out;
}

function spread(data: Uint8Array, depth: number, stored: StoredPicture): Uint8Array {
  const factor = 255 / ((1 << depth) - 1);
  return unpackedBits(data, depth, stored).map((value) => value * factor);
}

function fromTable(
  data: Uint8Array,
  palette: readonly (readonly number[])[],
  depth: number,
  stored: StoredPicture,
): Uint8Array {
  const gray = Uint8Array.from({ length: 256 }, (_, i) =>
    luma(palette[i]?.[0] ?? 0, palette[i]?.[1] ?? 0, palette[i]?.[2] ?? 0),
  );
  const indices = depth === 8 ? data : unpackedBits(data, depth, stored);
  if (indices.length !== stored.widthPx * stored.heightPx) throw new RangeError('size');
  return indices.map((index) => gray[index]!);
}

/** Drops alpha. */
export function withoutExtras(
  data: Uint8Array | Uint8ClampedArray | Uint16Array,
  from: number,
  to: number,
  bitsPerSample: 8 | 16,
): Samples {
  if (from === to)
    return data instanceof Uint8ClampedArray ? new Uint8Array(data.buffer, data.byteOffset, data.length) : data;
  const count = data.length / from;
  const out = emptySamples(bitsPerSample, count * to);
  for (let i = 0; i < count; i++) for (let k = 0; k < to; k++) out[i * to + k] = data[i * from + k]!;
  return out;
}
