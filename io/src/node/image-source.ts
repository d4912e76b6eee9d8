import { createHash } from 'node:crypto';
import { inflateSync } from 'node:zlib';
import { openScan } from '../decoding/open-scan.ts';
import type { DecodingRuntime } from '../decoding/open-scan.ts';
import { VIPS_START, readyVips, vipsDecoder } from '../decoding/vips-decoder.ts';
import type { VipsLibrary } from '../decoding/vips-decoder.ts';
import type { ImageSource } from '../ports.ts';
import type { Inflate } from '../scan-metadata/index.ts';

/** SHA-256 of a file's bytes, lower-case hex. */
export function sha256Hex(bytes: Uint8Array): string {
  return createHash('sha256').update(bytes).digest('hex');
}

export const nodeInflate: Inflate = (packed, limit) =>
  // A promise, so that a broken strip is a rejection like everywhere else.
  new Promise((resolve) => {
    resolve(inflateSync(packed, { maxOutputLength: Math.max(1, limit) }));
  });

/** One for the process: the library keeps its names in its module and cannot be started twice. */
let library: Promise<VipsLibrary> | null = null;

/**
 * The library of this process.
 * @param parts `drawings`: with the part that reads SVG; only what is said at the first call counts
 */
export function vipsLibrary(parts: { readonly drawings?: boolean } = {}): Promise<VipsLibrary> {
  const dynamicLibraries = parts.drawings === true ? ['vips-resvg.wasm'] : [];
  library ??= import('wasm-vips').then(async ({ default: start }) => readyVips(await start({ ...VIPS_START, dynamicLibraries })));
  return library;
}

/**
 * Opens scans in Node. The decoder for PNG and JPEG (WebAssembly with threads) is loaded when the first one comes
 * and then kept; it does not keep the process alive.
 * @param options.keepAtMostBytes of decoded PNG or JPEG, so that further windows are free
 */
export function nodeImageSource(options: { readonly keepAtMostBytes?: number } = {}): ImageSource {
  const runtime: DecodingRuntime = {
    inflate: nodeInflate,
    sha256: (bytes) => Promise.resolve(sha256Hex(bytes)),
    decoder: async (bytes, stored) => vipsDecoder(await vipsLibrary(), bytes, stored),
    ...options,
  };
  return { open: (bytes, fileName, watch) => openScan(bytes, fileName, runtime, watch) };
}
