import { FormatError } from '#core';
import { ByteView } from './byte-view.ts';
import { crc32 } from './crc32.ts';
import { readExif } from './embedded.ts';
import { requireSensiblePacking, requireSensibleSize } from './limits.ts';
import type { ResolutionStatement, Statements, StoredPicture } from './metadata.ts';
import { gammaChunkTone, profileTone } from './tone.ts';

const SIGNATURE = [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a];
const MM_PER_INCH = 25.4;

/** Unpacks a deflated colour profile; at most `limit` bytes are wanted. Handed in: it differs by runtime. */
export type Inflate = (packed: Uint8Array, limit: number) => Promise<Uint8Array>;

const MOST_PROFILE_BYTES = 4 * 1024 * 1024;

export function looksLikePng(bytes: Uint8Array): boolean {
  return SIGNATURE.every((value, i) => bytes[i] === value);
}

interface Chunk {
  readonly type: string;
  readonly data: Uint8Array;
}

/**
 * Reads a PNG: every chunk's check sum, the end chunk, and what it states.
 * @source png2003
 * @throws FormatError truncated, damaged, unsupported, too-large
 */
export async function readPng(
  bytes: Uint8Array,
  fileName: string,
  inflate: Inflate,
): Promise<{ stored: StoredPicture; statements: Statements }> {
  const chunks = readChunks(bytes, fileName);
  const header = chunks[0];
  if (!header || header.type !== 'IHDR' || header.data.length !== 13) {
    throw new FormatError('damaged', `${fileName} is damaged: a PNG must begin with its size. Scan or copy it again.`, {
      at: 'IHDR',
    });
  }
  const shape = readHeader(header.data, fileName);
  const compressedBytes = chunks.reduce((sum, { type, data }) => sum + (type === 'IDAT' ? data.length : 0), 0);
  if (compressedBytes === 0) {
    throw new FormatError('damaged', `${fileName} is damaged: there is no picture in it. Scan or copy it again.`, {
      at: 'IDAT',
    });
  }
  const stored: StoredPicture = { ...shape, compressedBytes };
  requireSensiblePacking(stored, fileName);
  return { stored, statements: await readStatements(chunks, inflate) };
}

function readChunks(bytes: Uint8Array, fileName: string): Chunk[] {
  const view = new ByteView(bytes, 'last part');
  const chunks: Chunk[] = [];
  let at = SIGNATURE.length;
  for (;;) {
    if (!view.holds(at, 12) || !view.holds(at + 12, view.u32(at))) {
      throw new FormatError(
        'truncated',
        `${fileName} is cut short: the picture goes on after its last byte. Copy it again from the scanner, ` +
          'or scan again.',
        { at: `byte ${at}`, got: bytes.length },
      );
    }
    const length = view.u32(at);
    const type = view.text(at + 4, 4);
    if (crc32(view.slice(at + 4, 4 + length)) !== view.u32(at + 8 + length)) {
      throw new FormatError(
        'damaged',
        `${fileName} is damaged: the check sum of its part ${printable(type)} is wrong. ` +
          'Copy it again from the scanner, or scan again.',
        { at: `byte ${at}` },
      );
    }
    chunks.push({ type, data: view.slice(at + 8, length) });
    if (type === 'IEND') return chunks;
    at += 12 + length;
  }
}

function printable(type: string): string {
  return /^[A-Za-z]{4}$/.test(type) ? type : '(unnamed)';
}

const CHANNELS: Readonly<Record<number, number>> = { 0: 1, 2: 3, 3: 1, 4: 2, 6: 4 };
const DEPTHS: Readonly<Record<number, readonly number[]>> = {
  0: [1, 2, 4, 8, 16],
  2: [8, 16],
  3: [1, 2, 4, 8],
  4: [8, 16],
  6: [8, 16],
};

function readHeader(data: Uint8Array, fileName: string): Omit<StoredPicture, 'compressedBytes'> {
  const view = new ByteView(data, 'header');
  const kind = view.u8(9);
  const storedBits = view.u8(8);
  const storedChannels = CHANNELS[kind];
  if (storedChannels === undefined || !DEPTHS[kind]!.includes(storedBits) || view.u8(12) > 1) {
    throw new FormatError('damaged', `${fileName} is damaged: its header makes no sense. Scan or copy it again.`, {
      at: 'IHDR',
    });
  }
  const shape: Omit<StoredPicture, 'compressedBytes'> = {
    format: 'png',
    widthPx: view.u32(0),
    heightPx: view.u32(4),
    storedBits,
    storedChannels,
    colour: kind === 3 ? 'palette' : storedChannels <= 2 ? 'gray' : 'rgb',
    interlaced: view.u8(12) === 1,
    tiff: null,
  };
  requireSensibleSize(shape, fileName);
  return shape;
}

async function readStatements(chunks: readonly Chunk[], inflate: Inflate): Promise<Statements> {
  const find = (type: string) => chunks.find((chunk) => chunk.type === type)?.data ?? null;
  const warnings: string[] = [];
  const physical = find('pHYs');
  const exif = find('eXIf');
  const stated = exif ? readExif(exif) : null;
  if (stated && stated.orientation !== 1) {
    warnings.push('The file asks to be shown turned or mirrored; it is measured as it is stored.');
  }
  if (find('acTL')) warnings.push('The file is an animation; its first picture is measured.');
  return {
    resolution: physical ? physicalResolution(physical) : null,
    resolutionAbsence: physical
      ? 'the resolution in the file has no unit (PNG pHYs)'
      : 'the file states no resolution (no PNG pHYs)',
    others: stated?.resolution ? [stated.resolution] : [],
    ...(await readTone(find, inflate, stated?.saysSrgb ?? false)),
    warnings,
  };
}

/** Pixels per metre; unit 0 gives only the shape of a pixel. @source png2003 11.3.5.3 */
function physicalResolution(data: Uint8Array): ResolutionStatement | null {
  if (data.length !== 9 || data[8] !== 1) return null;
  const view = new ByteView(data, 'pHYs');
  return {
    xPerInch: (view.u32(0) * MM_PER_INCH) / 1000,
    yPerInch: (view.u32(4) * MM_PER_INCH) / 1000,
    where: 'PNG pHYs, metre',
  };
}

/** The order in which the standard lets statements win: cICP, iCCP, sRGB, gAMA; then EXIF. */
async function readTone(
  find: (type: string) => Uint8Array | null,
  inflate: Inflate,
  exifSrgb: boolean,
): Promise<Pick<Statements, 'tone' | 'toneNote'>> {
  const points = find('cICP');
  // Transfer characteristics of ITU-T H.273: 8 linear, 13 sRGB, 4 gamma 2.2, 5 gamma 2.8.
  if (points && points[1] === 8) return { tone: { kind: 'linear' }, toneNote: 'linear, from the cICP chunk.' };
  if (points && points[1] === 13) return { tone: { kind: 'srgb' }, toneNote: 'sRGB, from the cICP chunk.' };
  if (points && (points[1] === 4 || points[1] === 5)) {
    const gamma = points[1] === 4 ? 2.2 : 2.8;
    return { tone: { kind: 'gamma', gamma }, toneNote: `gamma ${gamma}, from the cICP chunk.` };
  }
  const packed = find('iCCP');
  if (packed) {
    const name = packed.indexOf(0);
    const profile = name >= 0 ? await unpack(packed.subarray(name + 2), inflate) : null;
    if (!profile) return { tone: null, toneNote: 'The colour profile of the file (iCCP) is damaged and was not used.' };
    const { tone, note } = profileTone(profile, 'PNG iCCP');
    return { tone, toneNote: note };
  }
  if (find('sRGB')) return { tone: { kind: 'srgb' }, toneNote: 'sRGB, from the sRGB chunk.' };
  const gamma = find('gAMA');
  if (gamma?.length === 4) {
    const { tone, note } = gammaChunkTone(new ByteView(gamma, 'gAMA').u32(0));
    return { tone, toneNote: note };
  }
  if (exifSrgb) return { tone: { kind: 'srgb' }, toneNote: 'sRGB, from EXIF (tag 40961).' };
  return { tone: null, toneNote: 'The file does not state its tone curve (no sRGB, gAMA or iCCP chunk).' };
}

async function unpack(packed: Uint8Array, inflate: Inflate): Promise<Uint8Array | null> {
  try {
    return await inflate(packed, MOST_PROFILE_BYTES);
  } catch {
    // A profile is an extra: without it the tone is merely unknown, and that is said.
    return null;
  }
}
