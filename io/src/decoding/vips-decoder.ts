import type Vips from 'wasm-vips';
import { FormatError } from '#core';
import { luma } from '../scan-metadata/index.ts';
import type { StoredPicture } from '../scan-metadata/index.ts';
import { emptySamples } from './row-decoder.ts';
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
 * Keeps its operation cache empty: scans are opened once, and a cached one would hold its file in memory.
 */
export function readyVips(vips: VipsLibrary): VipsLibrary {
  vips.Cache.max(0);
  return vips;
}

/**
 * Rows of a PNG or JPEG, streamed from the top through wasm-vips and never held by it.
 * @param bytes checked before by `readScanMetadata`
 */
export function vipsDecoder(vips: VipsLibrary, bytes: Uint8Array, stored: StoredPicture): RowDecoder {
  const channels = stored.colour === 'rgb' ? 3 : 1;
  const bitsPerSample = stored.storedBits === 16 ? 16 : 8;
  return {
    widthPx: stored.widthPx,
    heightPx: stored.heightPx,
    channels,
    bitsPerSample,
    sequential: true,
    rows(window, take) {
      const held: { delete(): void }[] = [];
      const keep = <T extends { delete(): void }>(thing: T): T => {
        held.push(thing);
        return thing;
      };
      const row = emptySamples(bitsPerSample, window.widthPx * channels);
      const stream: Stream = { stopped: false, failure: null };
      try {
        const image = keep(
          vips.Image.newFromSource(keep(bytesSource(vips, bytes)), '', {
            access: 'sequential',
            // JPEG reports broken data as a mere warning and goes on with gray; that must not be measured.
            fail_on: stored.format === 'jpeg' ? 'warning' : 'error',
          }),
        );
        requireExpected(image, stored);
        const bandsWanted = stored.colour === 'palette' ? (image.bands >= 3 ? 3 : 1) : channels;
        const bandsOnly = image.bands > bandsWanted ? keep(image.extractBand(0, { n: bandsWanted })) : image;
        const cropped = keep(bandsOnly.crop(window.columnPx, window.rowPx, window.widthPx, window.heightPx));
        const target = keep(new vips.TargetCustom());
        const tableRow = bandsWanted > channels ? new Uint8Array(window.widthPx * bandsWanted) : null;
        target.onWrite = rowAssembler(row, tableRow, window.rowPx, stream, take);
        cropped.rawsaveTarget(target);
      } catch (error) {
        if (!stream.stopped) return Promise.reject(decodingError(error));
        if (stream.failure) return Promise.reject(stream.failure.error as Error);
      } finally {
        for (const thing of held.reverse()) thing.delete();
      }
      return Promise.resolve();
    },
    close() {},
  };
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

function requireExpected(image: InstanceType<VipsLibrary['Image']>, stored: StoredPicture): void {
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

interface Stream {
  stopped: boolean;
  failure: { readonly error: unknown } | null;
}

/**
 * Makes rows of a stream of bytes that is cut anywhere. Returning -1 makes the library stop.
 * @param tableRow room for one row of RGB, when colours of a table are to become gray
 */
function rowAssembler(
  row: Samples,
  tableRow: Uint8Array | null,
  firstRowPx: number,
  stream: Stream,
  take: (row: Samples, rowPx: number) => boolean,
): (data: Uint8Array) => number {
  const buffer = tableRow ?? new Uint8Array(row.buffer);
  let filled = 0;
  let rowPx = firstRowPx;
  return (data) => {
    for (let at = 0; at < data.length;) {
      const count = Math.min(buffer.length - filled, data.length - at);
      buffer.set(data.subarray(at, at + count), filled);
      filled += count;
      at += count;
      if (filled < buffer.length) break;
      filled = 0;
      if (tableRow) {
        for (let i = 0; i < row.length; i++)
          row[i] = luma(tableRow[3 * i]!, tableRow[3 * i + 1]!, tableRow[3 * i + 2]!);
      }
      // An exception must not pass through the library: it would leave its threads locked.
      try {
        stream.stopped = !take(row, rowPx++);
      } catch (error) {
        stream.stopped = true;
        stream.failure = { error };
      }
      if (stream.stopped) return -1;
    }
    return data.length;
  };
}

function decodingError(error: unknown): Error {
  if (error instanceof FormatError) return error;
  const words = libraryWords(error);
  if (/memory|out of|allocate/i.test(words)) {
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
    .filter((line) => line !== '' && !/^unable to call/.test(line));
  return lines.length > 0 ? ` (${lines[0]!.slice(0, 120)})` : '';
}
