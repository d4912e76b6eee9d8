import type { PixelWindow } from '#core';

/** Samples of one row or more, channels interleaved. */
export type Samples = Uint8Array | Uint16Array;

/**
 * What a decoder has to give: the rows of a window, from the top, each only lent for the length of the call.
 * Keeping, averaging and counting are done once for all formats (scan-source.ts).
 */
export interface RowDecoder {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly channels: 1 | 3;
  readonly bitsPerSample: 8 | 16;
  /** True when a window costs as much as everything above it, so that decoded rows are worth keeping. */
  readonly sequential: boolean;
  /**
   * @param take gets each row of the window; returning false ends the decoding early
   * @throws FormatError damaged, truncated
   */
  rows(window: PixelWindow, take: (row: Samples, rowPx: number) => boolean): Promise<void>;
  close(): void;
}

export function emptySamples(bitsPerSample: 8 | 16, length: number): Samples {
  return bitsPerSample === 8 ? new Uint8Array(length) : new Uint16Array(length);
}

export function fullScale(bitsPerSample: 8 | 16): number {
  return bitsPerSample === 8 ? 255 : 65535;
}
