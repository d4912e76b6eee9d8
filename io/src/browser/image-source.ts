import { FormatError } from '#core';
import { openScan } from '../decoding/open-scan.ts';
import type { DecodingRuntime } from '../decoding/open-scan.ts';
import type { RowDecoder } from '../decoding/row-decoder.ts';
import { VIPS_START, readyVips, vipsDecoder } from '../decoding/vips-decoder.ts';
import type { VipsLibrary } from '../decoding/vips-decoder.ts';
import { pngDecoder } from '../decoding/whole-decoder.ts';
import type { ImageSource } from '../ports.ts';
import type { Inflate, StoredPicture } from '../scan-metadata/index.ts';
import { jpegDecoder } from './jpeg-decoder.ts';
import { sha256Hex } from './sha256.ts';

export interface BrowserImageOptions {
  /**
   * Starts the big decoder (WebAssembly with threads); null where the page is not isolated: it would wait for ever.
   * Without it, or when it fails to start, PNG is unpacked in script and JPEG by the browser.
   */
  readonly startVips: ((start: typeof VIPS_START) => Promise<VipsLibrary>) | null;
  readonly keepAtMostBytes?: number;
}

/** Opens scans in a browser's worker. */
export function browserImageSource({ startVips, keepAtMostBytes }: BrowserImageOptions): ImageSource {
  let loading: Promise<VipsLibrary | null> | null = null;
  const vips = (): Promise<VipsLibrary | null> => {
    loading ??= startVips === null ? Promise.resolve(null) : startVips(VIPS_START).then(readyVips, () => null);
    return loading;
  };
  const runtime: DecodingRuntime = {
    inflate: browserInflate,
    sha256: sha256Hex,
    decoder: async (bytes, stored) => {
      const library = await vips();
      return library ? vipsDecoder(library, bytes, stored) : plainDecoder(bytes, stored);
    },
    ...(keepAtMostBytes === undefined ? {} : { keepAtMostBytes }),
  };
  return { open: (bytes, fileName, watch) => openScan(bytes, fileName, runtime, watch) };
}

function plainDecoder(bytes: Uint8Array, stored: StoredPicture): RowDecoder {
  return stored.format === 'png' ? pngDecoder(bytes, stored) : jpegDecoder(bytes, stored);
}

/** Deflate by the browser itself (also in Node). Never makes more than `limit` bytes. */
export const browserInflate: Inflate = async (packed, limit) => {
  const stream = new Blob([packed as Uint8Array<ArrayBuffer>]).stream().pipeThrough(new DecompressionStream('deflate'));
  const reader = stream.getReader();
  const out = new Uint8Array(limit);
  let filled = 0;
  for (;;) {
    const { done, value } = await reader.read();
    if (done) return out.subarray(0, filled);
    if (filled + value.length > limit) {
      await reader.cancel();
      throw new FormatError(
        'damaged',
        'The picture is damaged: a strip is longer than its pixels. Scan or copy it again.',
      );
    }
    out.set(value, filled);
    filled += value.length;
  }
};
