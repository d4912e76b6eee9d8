/** What can be read off a scan without decoding it. */
import type { ScanScale, ToneCurve } from '#core';

export type ScanFormat = 'tiff' | 'png' | 'jpeg';

/** How the samples lie in the file, before anything is converted. */
export interface StoredPicture {
  readonly format: ScanFormat;
  readonly widthPx: number;
  readonly heightPx: number;
  /** Of each sample in the file: 1, 2, 4, 8 or 16. */
  readonly storedBits: number;
  /** In the file, alpha and other extras included. */
  readonly storedChannels: number;
  readonly colour: 'gray' | 'rgb' | 'palette';
  /** Size of the picture's own data in the file, bytes. */
  readonly compressedBytes: number;
  readonly interlaced: boolean;
  /** Only for TIFF. */
  readonly tiff: TiffLayout | null;
}

/** Where a TIFF keeps its strips or tiles. */
export interface TiffLayout {
  readonly littleEndian: boolean;
  readonly bigTiff: boolean;
  readonly compression: TiffCompression;
  /** Whether 0 means white. */
  readonly whiteIsZero: boolean;
  /** Samples of a pixel side by side, or each channel apart. */
  readonly planar: boolean;
  readonly predictor: boolean;
  /** 1 bit only: the leftmost pixel is in the lowest bit. */
  readonly fillsFromLowBit: boolean;
  /** Gray of each entry of a colour table, or null. */
  readonly palette: Uint8Array | null;
  /** Width of a tile, or of the picture for strips. */
  readonly blockWidthPx: number;
  readonly blockHeightPx: number;
  readonly tiled: boolean;
  readonly offsets: readonly number[];
  readonly byteCounts: readonly number[];
  readonly pages: number;
}

export type TiffCompression = 'none' | 'lzw' | 'deflate' | 'packbits';

/** One statement of resolution found in a file. */
export interface ResolutionStatement {
  readonly xPerInch: number;
  readonly yPerInch: number;
  /** Where: `TIFF tags 282/283, inch`. */
  readonly where: string;
}

/** All statements of a file on size and tone, before they are weighed. */
export interface Statements {
  /** The format's own statement, `null` when absent or without a unit. */
  readonly resolution: ResolutionStatement | null;
  /** Why `resolution` is null, as the middle of a sentence. */
  readonly resolutionAbsence: string;
  /** Further statements that ought to agree. */
  readonly others: readonly ResolutionStatement[];
  readonly tone: ToneCurve | null;
  readonly toneNote: string;
  readonly warnings: readonly string[];
}

export interface ScanMetadata {
  readonly stored: StoredPicture;
  /** After conversion: 1 (gray, palette, 1 bit) or 3. */
  readonly channels: 1 | 3;
  readonly bitsPerSample: 8 | 16;
  readonly scale: ScanScale | null;
  readonly scaleNote: string;
  readonly tone: ToneCurve | null;
  readonly toneNote: string;
  readonly warnings: readonly string[];
}
