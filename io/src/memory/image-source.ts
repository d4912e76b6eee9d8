import { FormatError, rasterSource } from '#core';
import type { Raster, ScanScale, ToneCurve } from '#core';
import type { ImageSource } from '../ports.ts';

export interface MemoryScan {
  readonly raster: Raster;
  readonly scale?: ScanScale;
  readonly tone?: ToneCurve;
}

/**
 * Opens scans that were put in before, by their file name: for tests of what lies above decoding.
 * @throws FormatError unsupported for names that are not known
 */
export function memoryImageSource(scans: Readonly<Record<string, MemoryScan>>): ImageSource {
  return {
    async open(bytes, fileName) {
      const scan = Object.hasOwn(scans, fileName) ? scans[fileName] : undefined;
      if (!scan) throw new FormatError('unsupported', `${fileName} is not a TIFF, PNG or JPEG picture.`);
      const digest = await crypto.subtle.digest('SHA-256', bytes as Uint8Array<ArrayBuffer>);
      return {
        pixels: rasterSource(scan.raster),
        scale: scan.scale ?? null,
        scaleNote: scan.scale ? scan.scale.detail : 'No scale: it was not given.',
        tone: scan.tone ?? null,
        toneNote: scan.tone ? 'Given.' : 'The file does not state its tone curve.',
        warnings: [],
        format: 'tiff',
        sha256: Array.from(new Uint8Array(digest), (byte) => byte.toString(16).padStart(2, '0')).join(''),
        close() {},
      };
    },
  };
}
