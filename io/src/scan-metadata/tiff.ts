import { FormatError } from '#core';
import { editorResolution, exifSaysSrgb, resolutionOf } from './embedded.ts';
import { requireSensiblePacking, requireSensibleSize } from './limits.ts';
import { luma } from './luma.ts';
import type { Statements, StoredPicture, TiffCompression, TiffLayout } from './metadata.ts';
import { TiffDirectory, countDirectories } from './tiff-directory.ts';
import type { TiffHeader } from './tiff-directory.ts';
import { profileTone, transferFunctionTone } from './tone.ts';

const SAVE_AGAIN = 'Save it again as an 8 or 16 bit gray or RGB TIFF, uncompressed or with LZW, ZIP or PackBits.';

const COMPRESSIONS: Readonly<Record<number, TiffCompression>> = {
  1: 'none',
  5: 'lzw',
  8: 'deflate',
  32946: 'deflate',
  32773: 'packbits',
};

/**
 * Reads the first picture of a TIFF: how it is stored, checked against the size of the file, and what it states.
 * @source tiff6-1992 sections 3-8, 14, 15, 19, 20
 * @throws FormatError truncated, damaged, unsupported, too-large
 */
export function readTiff(header: TiffHeader, fileName: string): { stored: StoredPicture; statements: Statements } {
  const directory = new TiffDirectory(header, header.firstDirectoryAt);
  const pages = countDirectories(header, directory);
  const sizes = readSizes(directory, fileName);
  const layout = readLayout(directory, header, sizes, pages, fileName);
  const stored: StoredPicture = {
    format: 'tiff',
    ...sizes,
    compressedBytes: layout.byteCounts.reduce((sum, count) => sum + count, 0),
    interlaced: false,
    tiff: layout,
  };
  requireSensiblePacking(stored, fileName);
  return { stored, statements: readStatements(directory, header, pages) };
}

type Sizes = Pick<StoredPicture, 'widthPx' | 'heightPx' | 'storedBits' | 'storedChannels' | 'colour'>;

function readSizes(directory: TiffDirectory, fileName: string): Sizes {
  const refuse = (what: string): never => {
    throw new FormatError('unsupported', `${fileName} ${what}, which cannot be measured. ${SAVE_AGAIN}`);
  };
  const storedChannels = directory.number(277, 1);
  const bits = directory.numbers(258) ?? [1];
  const storedBits = bits[0] ?? 1;
  if (storedChannels < 1 || storedChannels > 8) refuse(`has ${storedChannels} channels`);
  if (bits.slice(0, storedChannels).some((value) => value !== storedBits)) refuse('has channels of different depth');
  const formats = directory.numbers(339) ?? [1];
  if (formats.some((value) => value !== 1 && value !== 4)) refuse('holds floating-point or signed samples');
  if (!(storedBits === 8 || storedBits === 16 || (storedBits === 1 && storedChannels === 1))) {
    refuse(`has ${storedBits} bits per sample`);
  }
  const colour = readColour(directory.number(262, NaN), storedChannels, storedBits, refuse);
  const sizes: Sizes = {
    widthPx: directory.number(256, 0),
    heightPx: directory.number(257, 0),
    storedBits,
    storedChannels,
    colour,
  };
  requireSensibleSize({ ...sizes, format: 'tiff', interlaced: false, tiff: null }, fileName);
  return sizes;
}

function readColour(
  photometric: number,
  storedChannels: number,
  storedBits: number,
  refuse: (what: string) => never,
): StoredPicture['colour'] {
  if (Number.isNaN(photometric)) return refuse('does not say whether it is gray or colour (tag 262)');
  if (photometric === 0 || photometric === 1) {
    return storedChannels <= 2 ? 'gray' : refuse(`says it is gray but has ${storedChannels} channels`);
  }
  if (photometric === 2) {
    return storedChannels === 3 || storedChannels === 4
      ? 'rgb'
      : refuse(`says it is RGB but has ${storedChannels} channels`);
  }
  if (photometric === 3) {
    return storedChannels === 1 && storedBits === 8 ? 'palette' : refuse('has a colour table of an unusual kind');
  }
  const names: Readonly<Record<number, string>> = {
    4: 'a mask',
    5: 'CMYK',
    6: 'YCbCr',
    8: 'Lab colour',
    9: 'Lab colour',
  };
  return refuse(`is stored as ${names[photometric] ?? `colour kind ${photometric}`}`);
}

function readLayout(
  directory: TiffDirectory,
  header: TiffHeader,
  sizes: Sizes,
  pages: number,
  fileName: string,
): TiffLayout {
  const code = directory.number(259, 1);
  const compression = COMPRESSIONS[code];
  if (!compression) {
    const names: Readonly<Record<number, string>> = {
      2: 'fax',
      3: 'fax',
      4: 'fax',
      6: 'JPEG',
      7: 'JPEG',
      50000: 'Zstandard',
    };
    throw new FormatError(
      'unsupported',
      `${fileName} is compressed by ${names[code] ?? `method ${code}`}, which cannot be read in a TIFF. ${SAVE_AGAIN}`,
      { at: 'tag 259', got: code },
    );
  }
  const predictor = directory.number(317, 1);
  if (predictor !== 1 && predictor !== 2) {
    throw new FormatError(
      'unsupported',
      `${fileName} uses predictor ${predictor}, which cannot be read. ${SAVE_AGAIN}`,
      {
        at: 'tag 317',
        got: predictor,
      },
    );
  }
  const tiled = directory.has(322) || directory.has(324);
  const planar = directory.number(284, 1) === 2 && sizes.storedChannels > 1;
  const blockWidthPx = tiled ? directory.number(322, 0) : sizes.widthPx;
  const blockHeightPx = tiled
    ? directory.number(323, 0)
    : Math.min(directory.number(278, sizes.heightPx), sizes.heightPx);
  const damaged = (what: string): FormatError =>
    new FormatError('damaged', `${fileName} is damaged: ${what}. Scan or copy it again.`, { at: 'strips' });
  if (!(blockWidthPx >= 1 && blockHeightPx >= 1)) throw damaged('its strips or tiles have no size');
  const expected =
    Math.ceil(sizes.widthPx / blockWidthPx) *
    Math.ceil(sizes.heightPx / blockHeightPx) *
    (planar ? sizes.storedChannels : 1);
  const offsets = directory.numbers(tiled ? 324 : 273);
  if (!offsets || offsets.length < expected)
    throw damaged(`it should list ${expected} strips or tiles, but lists ${offsets?.length ?? 0}`);
  const layout = {
    littleEndian: header.view.littleEndian,
    bigTiff: header.bigTiff,
    compression,
    whiteIsZero: directory.number(262, 1) === 0,
    planar,
    predictor: predictor === 2 && compression !== 'none' && compression !== 'packbits',
    fillsFromLowBit: directory.number(266, 1) === 2,
    palette: sizes.colour === 'palette' ? readPalette(directory, fileName) : null,
    blockWidthPx,
    blockHeightPx,
    tiled,
    offsets: offsets.slice(0, expected),
    pages,
  };
  const byteCounts = readByteCounts(directory, layout, sizes, expected, damaged);
  requireInside(layout.offsets, byteCounts, header.view.length, fileName);
  return { ...layout, byteCounts };
}

/** Gray of the 256 colours; tables that hold 8-bit values in spite of the standard are taken as they are meant. */
function readPalette(directory: TiffDirectory, fileName: string): Uint8Array {
  const table = directory.numbers(320);
  if (!table || table.length !== 768) {
    throw new FormatError('damaged', `${fileName} is damaged: its colour table is missing. Scan or save it again.`, {
      at: 'tag 320',
    });
  }
  const shift = table.every((value) => value < 256) ? 0 : 8;
  return Uint8Array.from({ length: 256 }, (_, i) =>
    luma(table[i]! >> shift, table[256 + i]! >> shift, table[512 + i]! >> shift),
  );
}

/** Bytes of each strip or tile; uncompressed ones must be as long as their pixels need. */
function readByteCounts(
  directory: TiffDirectory,
  layout: Omit<TiffLayout, 'byteCounts'>,
  sizes: Sizes,
  expected: number,
  damaged: (what: string) => FormatError,
): number[] {
  const stated = directory.numbers(layout.tiled ? 325 : 279)?.slice(0, expected);
  if (stated && stated.length < expected) throw damaged('the lengths of some strips or tiles are missing');
  if (layout.compression !== 'none') {
    if (!stated) throw damaged('the lengths of its strips or tiles are missing');
    if (stated.some((count) => count === 0)) throw damaged('a strip or tile is empty');
    return stated;
  }
  const rowBytes = Math.ceil((layout.blockWidthPx * (layout.planar ? 1 : sizes.storedChannels) * sizes.storedBits) / 8);
  const blocksDown = Math.ceil(sizes.heightPx / layout.blockHeightPx);
  const blocksAcross = Math.ceil(sizes.widthPx / layout.blockWidthPx);
  return Array.from({ length: expected }, (_, i) => {
    const row = Math.floor(i / blocksAcross) % blocksDown;
    const rows = layout.tiled
      ? layout.blockHeightPx
      : Math.min(layout.blockHeightPx, sizes.heightPx - row * layout.blockHeightPx);
    const needed = rowBytes * rows;
    if (stated && stated[i]! < needed) throw damaged(`strip or tile ${i + 1} holds ${stated[i]} of ${needed} bytes`);
    return needed;
  });
}

function requireInside(
  offsets: readonly number[],
  byteCounts: readonly number[],
  length: number,
  fileName: string,
): void {
  for (let i = 0; i < offsets.length; i++) {
    const end = offsets[i]! + byteCounts[i]!;
    if (end > length) {
      throw new FormatError(
        'truncated',
        `${fileName} is cut short: its picture reaches to byte ${end}, but the file has only ${length}. ` +
          'Copy it again from the scanner, or scan again.',
        { at: `strip ${i + 1}`, got: length, expected: `at least ${end} bytes` },
      );
    }
  }
}

function readStatements(directory: TiffDirectory, header: TiffHeader, pages: number): Statements {
  const warnings: string[] = [];
  if (pages > 1) warnings.push(`The file holds ${pages} pictures; the first one is measured.`);
  if (directory.number(274, 1) !== 1) {
    warnings.push('The file asks to be shown turned or mirrored; it is measured as it is stored.');
  }
  const resources = directory.bytes(34377);
  const second = resources && editorResolution(resources);
  return {
    resolution: resolutionOf(directory, 'TIFF'),
    resolutionAbsence:
      directory.has(282) && directory.number(296, 2) === 1
        ? 'the resolution in the file has no unit (TIFF tag 296 says none)'
        : 'the file states no resolution (TIFF tags 282/283 are absent or incomplete)',
    others: second ? [second] : [],
    ...readTone(directory, header),
    warnings,
  };
}

function readTone(directory: TiffDirectory, header: TiffHeader): Pick<Statements, 'tone' | 'toneNote'> {
  const profile = directory.bytes(34675);
  if (profile) {
    const { tone, note } = profileTone(profile, 'TIFF tag 34675');
    return { tone, toneNote: note };
  }
  const table = directory.has(301) ? directory.numbers(301) : null;
  if (table) {
    // One curve, or three of equal length of which the green one is taken, as everywhere.
    const length = table.length > 65536 ? table.length / 3 : table.length % 3 === 0 ? table.length / 3 : table.length;
    const curve = table.length > length ? table.slice(length, 2 * length) : table;
    const { tone, note } = transferFunctionTone(curve);
    return { tone, toneNote: note };
  }
  if (exifSaysSrgb(directory, header)) return { tone: { kind: 'srgb' }, toneNote: 'sRGB, from EXIF (tag 40961).' };
  return { tone: null, toneNote: 'The file does not state its tone curve (no profile, no transfer function).' };
}
