import type Vips from 'wasm-vips';
import { FormatError } from '#core';
import type { PixelWindow } from '#core';
import { luma } from '../scan-metadata/index.ts';
import type { StoredPicture } from '../scan-metadata/index.ts';
import type { RowDecoder, Samples } from './row-decoder.ts';

export type VipsLibrary = typeof Vips;

/** How wasm-vips is to be started: no parts that we do not use, and no chatter on standard error. */
export const VIPS_START = {
  dynamicLibraries: [] as string[],
  print: () => {},
  printErr: () => {},
  preRun: (module: { ENV?: Record<string, string> }) => {
    if (module.ENV) module.ENV['VIPS_WARNING'] = '0';
  },
};

/**
 * Keeps its operation cache empty: scans are opened once, and a cached one would hold its file in memory. One thread
 * is as fast as several here, because PNG and JPEG unpack in one.
 */
export function readyVips(vips: VipsLibrary): VipsLibrary {
  vips.Cache.max(0);
  vips.concurrency(1);
  return vips;
}

/**
 * Rows asked of the library at once. It reads ahead in blocks of 8 (JPEG) or 16 rows (PNG) and cannot go back, so
 * every band but the first must begin on a multiple of both. Row by row would cost two to three times as much.
 */
const BAND_ROWS = 128;

/**
 * Rows of a PNG or JPEG from the top through wasm-vips, which never holds the whole.
 * @param bytes checked before by `readScanMetadata`
 */
export function vipsDecoder(vips: VipsLibrary, bytes: Uint8Array, stored: StoredPicture): RowDecoder {
  const channels = stored.colour === 'rgb' ? 3 : 1;
  return {
    widthPx: stored.widthPx,
    heightPx: stored.heightPx,
    channels,
    bitsPerSample: stored.storedBits === 16 ? 16 : 8,
    sequential: true,
    async rows(window, take) {
      const held: { delete(): void }[] = [];
      const keep = <T extends { delete(): void }>(thing: T): T => {
        held.push(thing);
        return thing;
      };
      try {
        const image = keep(opened(vips, keep(bytesSource(vips, bytes)), stored));
        const bandsWanted = stored.colour === 'palette' ? (image.bands >= 3 ? 3 : 1) : channels;
        const picture = image.bands > bandsWanted ? keep(image.extractBand(0, { n: bandsWanted })) : image;
        const lastRow = window.rowPx + window.heightPx;
        for (let top = window.rowPx; top < lastRow;) {
          const bottom = Math.min(lastRow, (Math.floor(top / BAND_ROWS) + 1) * BAND_ROWS);
          const band = bandSamples(picture, window, top, bottom);
          const gray = bandsWanted > channels ? grayOf(band) : band;
          const rowSamples = window.widthPx * channels;
          for (let row = top; row < bottom; row++) {
            if (!take(gray.subarray((row - top) * rowSamples, (row - top + 1) * rowSamples), row)) return;
          }
          top = bottom;
          // Whoever wants to stop the reading must get a turn to say so.
          await Promise.resolve();
        }
      } finally {
        for (const thing of held.reverse()) thing.delete();
      }
    },
    close() {},
  };
}

type Picture = InstanceType<VipsLibrary['Image']>;

function opened(vips: VipsLibrary, source: InstanceType<VipsLibrary['SourceCustom']>, stored: StoredPicture): Picture {
  try {
    const image = vips.Image.newFromSource(source, '', {
      access: 'sequential',
      // JPEG reports broken data as a mere warning and goes on with gray; that must not be measured.
      fail_on: stored.format === 'jpeg' ? 'warning' : 'error',
    });
    requireExpected(image, stored);
    return image;
  } catch (error) {
    throw decodingError(error);
  }
}

function bandSamples(picture: Picture, window: PixelWindow, top: number, bottom: number): Samples {
  try {
    const band = picture.crop(window.columnPx, top, window.widthPx, bottom - top);
    try {
      return band.writeToMemory() as Samples;
    } finally {
      band.delete();
    }
  } catch (error) {
    throw decodingError(error);
  }
}

/** Colour tables come as RGB and leave as gray. */
function grayOf(rgb: Samples): Samples {
  const gray = new Uint8Array(rgb.length / 3);
  for (let i = 0; i < gray.length; i++) gray[i] = luma(rgb[3 * i]!, rgb[3 * i + 1]!, rgb[3 * i + 2]!);
  return gray;
}

/** The library asks for pieces; it never gets a copy of the whole. */
function bytesSource(vips: VipsLibrary, bytes: Uint8Array): InstanceType<VipsLibrary['SourceCustom']> {
  const source = new vips.SourceCustom();
  let at = 0;
  source.onRead = (length: number) => {
    const piece = bytes.subarray(at, Math.min(at + length, bytes.length));
    at += piece.length;
    return piece;
  };
  source.onSeek = (offset: number, whence: number) => {
    const base = whence === 0 ? 0 : whence === 1 ? at : bytes.length;
    at = Math.max(0, Math.min(base + offset, bytes.length));
    return at;
  };
  return source;
}

function requireExpected(image: Picture, stored: StoredPicture): void {
  const format = stored.storedBits === 16 ? 'ushort' : 'uchar';
  const bands = stored.colour === 'rgb' ? 3 : 1;
  if (
    image.width !== stored.widthPx ||
    image.height !== stored.heightPx ||
    image.format !== format ||
    image.bands < bands
  ) {
    throw new FormatError('damaged', 'The picture is not what its header says. Scan or save it again.', {
      at: 'header',
    });
  }
}

function decodingError(error: unknown): Error {
  if (error instanceof FormatError) return error;
  const words = libraryWords(error);
  if (/out of memory|allocat/i.test(words)) {
    return new FormatError('too-large', 'The picture is too large to decode here. Crop the scan to the plate.');
  }
  return new FormatError('damaged', `The picture is damaged and cannot be read${words}. Scan or save it again.`);
}

/** Last line of what the library says, when it says anything: it names the broken part. */
function libraryWords(error: unknown): string {
  const message: unknown = (error as { message?: unknown } | null)?.message;
  const text = Array.isArray(message) ? String(message.at(-1)) : typeof message === 'string' ? message : '';
  const lines = text
    .split('\n')
    .map((line) => line.trim())
    .filter((line) => line !== '' && !/^unable to (call|write|load)/.test(line));
  return lines.length > 0 ? ` (${lines[0]!.slice(0, 120)})` : '';
}
