/**
 * The four small interfaces through which the faces meet the world. Each has one suite of tests
 * that every implementation (browser, Node, memory) must pass.
 */
import type { PixelSource, ScanScale, ToneCurve } from '#core';

/** What the file itself says about the scan; absent statements are `null`, with the reason in words. */
export interface OpenedScan {
  readonly pixels: PixelSource;
  /** `null` when the file gives no usable resolution: none, no unit, or a default nobody measured (72, 96). */
  readonly scale: ScanScale | null;
  /** Sentence for the maker: where the scale came from, or why there is none and how to give it. */
  readonly scaleNote: string;
  /** `null` when the file does not state its tone curve. */
  readonly tone: ToneCurve | null;
  readonly toneNote: string;
  readonly format: 'tiff' | 'png' | 'jpeg';
  /** SHA-256 of the file's bytes, lower-case hex: the scan's name in the workshop. */
  readonly sha256: string;
  close(): void;
}

/** Opens scans, strictly: a truncated, damaged or absurd file is a FormatError with a sentence for the maker. */
export interface ImageSource {
  open(bytes: Uint8Array, fileName: string): Promise<OpenedScan>;
}

/** The present, told only here: the core gets times as arguments. */
export interface Clock {
  /** Now as ISO 8601 with offset. */
  now(): string;
  /** IANA name of the local zone. */
  zone(): string;
}

/** Hands a file to the person: a download in the browser, a path on disk at the command line. */
export interface Saver {
  save(fileName: string, mediaType: string, bytes: Uint8Array): Promise<void>;
}
