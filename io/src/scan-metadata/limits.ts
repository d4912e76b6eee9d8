import { FormatError } from '#core';
import type { StoredPicture } from './metadata.ts';

/** 1.2 gigapixels: a whole A4 sheet at 3600 per inch, or 70 × 70 mm at 12800. */
const MOST_PIXELS = 1.2e9;
/** Pictures that unpack to this many times their size hold no scan: noise alone keeps a real one under 50. */
const MOST_PACKED = 250;
/** Below this size even an empty picture costs nothing worth refusing. */
const SMALL_PIXELS = 30e6;

/**
 * Refuses pictures that would cost more memory and time than they can be worth, before anything is allocated.
 * @throws FormatError too-large, damaged
 */
export function requireSensibleSize(stored: Omit<StoredPicture, 'compressedBytes'>, fileName: string): void {
  const { widthPx, heightPx } = stored;
  if (!(widthPx >= 1 && heightPx >= 1)) {
    throw new FormatError('damaged', `${fileName} says it is ${widthPx} × ${heightPx} px: there is no picture in it.`, {
      at: 'size',
      got: [widthPx, heightPx],
    });
  }
  if (widthPx * heightPx > MOST_PIXELS) {
    throw new FormatError(
      'too-large',
      `${fileName} says it is ${widthPx} × ${heightPx} px; up to ${MOST_PIXELS / 1e6} megapixels can be measured. ` +
        'Scan only the plate, not the whole glass, or crop the scan without changing its resolution.',
      { at: 'size', got: [widthPx, heightPx], expected: `at most ${MOST_PIXELS} px in all` },
    );
  }
}

/**
 * Refuses a large picture squeezed into next to nothing: it is one even tone, or made to exhaust memory.
 * @throws FormatError too-large
 */
export function requireSensiblePacking(stored: StoredPicture, fileName: string): void {
  const pixels = stored.widthPx * stored.heightPx;
  const unpacked = (pixels * stored.storedBits * stored.storedChannels) / 8;
  if (pixels > SMALL_PIXELS && unpacked > MOST_PACKED * stored.compressedBytes) {
    throw new FormatError(
      'too-large',
      `${fileName} says it is ${stored.widthPx} × ${stored.heightPx} px, but holds only ` +
        `${Math.ceil(stored.compressedBytes / 1024)} KB of picture: it is empty, or not a scan. ` +
        'Scan the plate again and keep only the part with the plate.',
      { at: 'size', got: stored.compressedBytes, expected: `at least ${Math.ceil(unpacked / MOST_PACKED)} bytes` },
    );
  }
}
