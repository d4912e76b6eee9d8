import { FormatError } from '#core';
import { ByteView } from './byte-view.ts';
import { editorResolution, readExif } from './embedded.ts';
import type { ExifStatements } from './embedded.ts';
import { requireSensiblePacking, requireSensibleSize } from './limits.ts';
import type { ResolutionStatement, Statements, StoredPicture } from './metadata.ts';
import { profileTone } from './tone.ts';

const CM_PER_INCH = 2.54;
const SAVE_AGAIN = 'Save it again as an ordinary gray or RGB JPEG, or better as TIFF or PNG.';

export function looksLikeJpeg(bytes: Uint8Array): boolean {
  return bytes[0] === 0xff && bytes[1] === 0xd8 && bytes[2] === 0xff;
}

interface Segments {
  readonly frame: { readonly marker: number; readonly data: Uint8Array };
  /** Application segments by number (0 JFIF, 1 EXIF, 2 profile, 13 resources), in order. */
  readonly application: readonly { readonly number: number; readonly data: Uint8Array }[];
  readonly scanBytes: number;
}

/**
 * Reads a JPEG from start to end marker, and what it states.
 * @source jpeg1992 annex B, jfif1992, exif2010
 * @throws FormatError truncated, damaged, unsupported, too-large
 */
export function readJpeg(bytes: Uint8Array, fileName: string): { stored: StoredPicture; statements: Statements } {
  const segments = readSegments(bytes, fileName);
  const shape = readFrame(segments.frame, fileName);
  const stored: StoredPicture = { ...shape, compressedBytes: segments.scanBytes };
  requireSensiblePacking(stored, fileName);
  return { stored, statements: readStatements(segments.application) };
}

function cutShort(fileName: string, bytes: Uint8Array): FormatError {
  return new FormatError(
    'truncated',
    `${fileName} is cut short: the picture goes on after its last byte. Copy it again from the scanner, or scan again.`,
    { at: 'end', got: bytes.length },
  );
}

function readSegments(bytes: Uint8Array, fileName: string): Segments {
  const view = new ByteView(bytes, 'last part');
  const damaged = (why: string, at: number): FormatError =>
    new FormatError('damaged', `${fileName} is damaged: ${why}. Scan or copy it again.`, { at: `byte ${at}` });
  const application: { number: number; data: Uint8Array }[] = [];
  let frame: Segments['frame'] | null = null;
  let scanBytes = 0;
  let at = 2;
  for (;;) {
    if (!view.holds(at, 2)) throw cutShort(fileName, bytes);
    if (bytes[at] !== 0xff) throw damaged('a part begins in the wrong place', at);
    const marker = bytes[at + 1]!;
    if (marker === 0xff) {
      at += 1;
      continue;
    }
    if (marker === 0xd9) break;
    if (!view.holds(at, 4)) throw cutShort(fileName, bytes);
    const length = view.u16(at + 2);
    if (length < 2) throw damaged('a part has no length', at);
    if (!view.holds(at + 2, length)) throw cutShort(fileName, bytes);
    const data = view.slice(at + 4, length - 2);
    if (isFrame(marker)) {
      if (frame) throw damaged('it states its size twice', at);
      frame = { marker, data };
    } else if (marker >= 0xe0 && marker <= 0xef) {
      application.push({ number: marker - 0xe0, data });
    }
    at += 2 + length;
    if (marker === 0xda) {
      const end = endOfScan(bytes, at);
      if (end < 0) throw cutShort(fileName, bytes);
      scanBytes += end - at;
      at = end;
    }
  }
  if (!frame || scanBytes === 0) throw damaged('there is no picture in it', at);
  return { frame, application, scanBytes };
}

function isFrame(marker: number): boolean {
  return marker >= 0xc0 && marker <= 0xcf && marker !== 0xc4 && marker !== 0xc8 && marker !== 0xcc;
}

/** The next marker after entropy-coded data (FF 00 is a value, FF D0…D7 are restarts), or -1. */
function endOfScan(bytes: Uint8Array, from: number): number {
  let at = bytes.indexOf(0xff, from);
  while (at >= 0 && at + 1 < bytes.length) {
    const next = bytes[at + 1]!;
    if (next !== 0 && next !== 0xff && !(next >= 0xd0 && next <= 0xd7)) return at;
    at = bytes.indexOf(0xff, next === 0xff ? at + 1 : at + 2);
  }
  return -1;
}

function readFrame({ marker, data }: Segments['frame'], fileName: string): Omit<StoredPicture, 'compressedBytes'> {
  const refuse = (what: string): never => {
    throw new FormatError('unsupported', `${fileName} ${what}, which cannot be measured. ${SAVE_AGAIN}`, {
      at: 'frame',
    });
  };
  const view = new ByteView(data, 'size');
  const storedBits = view.u8(0);
  const storedChannels = view.u8(5);
  if (marker > 0xc2) refuse('is a lossless or arithmetic JPEG');
  if (storedBits !== 8) refuse(`has ${storedBits} bits per sample`);
  if (storedChannels === 4) refuse('is stored as CMYK');
  if (storedChannels !== 1 && storedChannels !== 3) refuse(`has ${storedChannels} channels`);
  const shape: Omit<StoredPicture, 'compressedBytes'> = {
    format: 'jpeg',
    widthPx: view.u16(3),
    heightPx: view.u16(1),
    storedBits,
    storedChannels,
    colour: storedChannels === 1 ? 'gray' : 'rgb',
    interlaced: marker === 0xc2,
    tiff: null,
  };
  requireSensibleSize(shape, fileName);
  return shape;
}

function readStatements(application: Segments['application']): Statements {
  const starting = (number: number, text: string) =>
    application
      .filter(({ number: n, data }) => n === number && [...text].every((c, i) => data[i] === c.charCodeAt(0)))
      .map(({ data }) => data.subarray(text.length));
  const jfif = starting(0, 'JFIF\0')[0] ?? null;
  const exifBlock = starting(1, 'Exif\0\0')[0];
  const exif = exifBlock ? readExif(exifBlock) : null;
  // Segments of image editors: a name that ends with a zero byte, then their resources. The name does not matter.
  const resources = joined(
    application.filter(({ number }) => number === 13).map(({ data }) => data.subarray(data.indexOf(0) + 1)),
  );
  const second = resources ? editorResolution(resources) : null;
  const warnings: string[] = [];
  if (exif && exif.orientation !== 1) {
    warnings.push('The file asks to be shown turned or mirrored; it is measured as it is stored.');
  }
  const density = jfif ? jfifDensity(jfif) : null;
  return {
    resolution: density,
    resolutionAbsence:
      jfif && !density
        ? 'the resolution in the file has no unit (JFIF density)'
        : 'the file states no resolution (no JFIF density, no EXIF resolution)',
    others: [exif?.resolution ?? null, second].filter((statement) => statement !== null),
    ...readTone(starting(2, 'ICC_PROFILE\0'), exif),
    warnings,
  };
}

/** JFIF density: units 1 per inch, 2 per centimetre, 0 the shape of a pixel only. @source jfif1992 */
function jfifDensity(data: Uint8Array): ResolutionStatement | null {
  if (data.length < 7) return null;
  const view = new ByteView(data, 'JFIF part');
  const unit = view.u8(2);
  if (unit !== 1 && unit !== 2) return null;
  const factor = unit === 2 ? CM_PER_INCH : 1;
  return {
    xPerInch: view.u16(3) * factor,
    yPerInch: view.u16(5) * factor,
    where: `JFIF density, ${unit === 2 ? 'centimetre' : 'inch'}`,
  };
}

function readTone(
  profileParts: readonly Uint8Array[],
  exif: ExifStatements | null,
): Pick<Statements, 'tone' | 'toneNote'> {
  if (profileParts.length > 0) {
    // Each part: its number, how many there are, then its bytes; writers may store them out of order.
    const ordered = [...profileParts].sort((a, b) => (a[0] ?? 0) - (b[0] ?? 0)).map((part) => part.subarray(2));
    const { tone, note } = profileTone(joined(ordered) ?? new Uint8Array(), 'JPEG ICC profile');
    return { tone, toneNote: note };
  }
  if (exif?.saysSrgb) return { tone: { kind: 'srgb' }, toneNote: 'sRGB, from EXIF (tag 40961).' };
  return { tone: null, toneNote: 'The file does not state its tone curve (no profile, no EXIF colour space).' };
}

function joined(parts: readonly Uint8Array[]): Uint8Array | null {
  if (parts.length === 0) return null;
  const out = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    out.set(part, at);
    at += part.length;
  }
  return out;
}
