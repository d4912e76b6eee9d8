import type { OpenedScan } from '../ports.ts';
import { readScanMetadata } from '../scan-metadata/index.ts';
import type { Inflate, StoredPicture } from '../scan-metadata/index.ts';
import type { JobWatch } from '../ports.ts';
import type { RowDecoder } from './row-decoder.ts';
import { scanSource } from './scan-source.ts';
import { tiffDecoder } from './tiff-decoder.ts';

/** What differs between browser and Node. */
export interface DecodingRuntime {
  readonly inflate: Inflate;
  sha256(bytes: Uint8Array): Promise<string>;
  /** For PNG and JPEG; TIFF is read by ourselves. */
  decoder(bytes: Uint8Array, stored: StoredPicture): Promise<RowDecoder>;
  readonly keepAtMostBytes?: number;
}

/** The one way in for every runtime: check the file, choose the decoder, state what the file says. */
export async function openScan(
  bytes: Uint8Array,
  fileName: string,
  runtime: DecodingRuntime,
  watch: JobWatch = {},
): Promise<OpenedScan> {
  const metadata = await readScanMetadata(bytes, fileName, runtime.inflate);
  const { stored, scale, scaleNote, tone, toneNote, warnings } = metadata;
  const decoder = stored.tiff
    ? tiffDecoder(bytes, { ...stored, tiff: stored.tiff }, runtime.inflate, runtime.keepAtMostBytes)
    : await runtime.decoder(bytes, stored);
  const options =
    runtime.keepAtMostBytes === undefined ? watch : { ...watch, keepAtMostBytes: runtime.keepAtMostBytes };
  return {
    pixels: scanSource(decoder, options),
    scale,
    scaleNote,
    tone,
    toneNote,
    warnings,
    format: stored.format,
    sha256: await runtime.sha256(bytes),
    close: () => decoder.close(),
  };
}
