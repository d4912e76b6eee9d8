/**
 * What a scan says of itself, read from its bytes without decoding the picture: shared by browser and Node.
 */
import { FormatError } from '#core';
import { looksLikeJpeg, readJpeg } from './jpeg.ts';
import type { ScanMetadata, Statements, StoredPicture } from './metadata.ts';
import { looksLikePng, readPng } from './png.ts';
import type { Inflate } from './png.ts';
import { weighResolution } from './resolution.ts';
import { readTiffHeader } from './tiff-directory.ts';
import { readTiff } from './tiff.ts';

export { luma } from './luma.ts';
export type { ScanMetadata, StoredPicture, TiffLayout } from './metadata.ts';
export type { Inflate } from './png.ts';

/**
 * @param bytes the whole file
 * @param inflate unpacks the colour profile of a PNG
 * @throws FormatError truncated, damaged, unsupported, too-large: always with a sentence for the maker
 */
export async function readScanMetadata(bytes: Uint8Array, fileName: string, inflate: Inflate): Promise<ScanMetadata> {
  const { stored, statements } = await readFormat(bytes, fileName, inflate);
  const { scale, scaleNote, warnings } = weighResolution(statements);
  return {
    stored,
    channels: stored.colour === 'rgb' ? 3 : 1,
    bitsPerSample: stored.storedBits === 16 ? 16 : 8,
    scale,
    scaleNote,
    tone: statements.tone,
    toneNote: statements.toneNote,
    warnings: [...statements.warnings, ...warnings],
  };
}

async function readFormat(
  bytes: Uint8Array,
  fileName: string,
  inflate: Inflate,
): Promise<{ stored: StoredPicture; statements: Statements }> {
  if (bytes.length === 0) {
    throw new FormatError('truncated', `${fileName} is empty. Copy it again from the scanner, or scan again.`, {
      at: 'byte 0',
    });
  }
  if (looksLikePng(bytes)) return readPng(bytes, fileName, inflate);
  if (looksLikeJpeg(bytes)) return readJpeg(bytes, fileName);
  const tiff = readTiffHeader(bytes, 'header');
  if (tiff) return readTiff(tiff, fileName);
  throw new FormatError(
    'unsupported',
    `${fileName} is not a TIFF, PNG or JPEG picture, whatever its name says${beginning(bytes)}. ` +
      'Give a scan saved as TIFF (best), PNG or JPEG.',
    { at: 'byte 0', expected: 'TIFF, PNG or JPEG' },
  );
}

/** The first letters, when the file is text: they often tell the maker what it really is. */
function beginning(bytes: Uint8Array): string {
  const head = [...bytes.subarray(0, 24)];
  if (head.some((code) => code < 9 || (code > 13 && code < 32) || code > 126)) return '';
  const text = String.fromCharCode(...head)
    .trim()
    .replace(/\s+/g, ' ');
  return text === '' ? '' : ` (it begins “${text}”)`;
}
