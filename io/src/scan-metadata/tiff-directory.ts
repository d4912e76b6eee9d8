/**
 * Directories of tagged values as TIFF and EXIF keep them (classic and BigTIFF, both byte orders).
 * @source tiff6-1992 section 2
 */
import { FormatError } from '#core';
import { ByteView } from './byte-view.ts';

const TYPE_BYTES: Readonly<Record<number, number>> = {
  1: 1,
  2: 1,
  3: 2,
  4: 4,
  5: 8,
  6: 1,
  7: 1,
  8: 2,
  9: 4,
  10: 8,
  11: 4,
  12: 8,
  13: 4,
  16: 8,
  17: 8,
  18: 8,
};
const MOST_ENTRIES = 4096;
const MOST_DIRECTORIES = 1000;
/** No list in a scan of a plate is longer; asking for more is a damaged or hostile file. */
const MOST_VALUES = 4e6;

export interface TiffHeader {
  readonly view: ByteView;
  readonly bigTiff: boolean;
  readonly firstDirectoryAt: number;
}

interface Entry {
  readonly type: number;
  readonly count: number;
  readonly at: number;
}

/**
 * @param bytes from the byte-order mark on
 * @returns null when the bytes do not begin like a TIFF
 * @throws FormatError truncated
 */
export function readTiffHeader(bytes: Uint8Array, what: string): TiffHeader | null {
  const [a, b] = bytes;
  const littleEndian = a === 0x49 && b === 0x49;
  if (!littleEndian && !(a === 0x4d && b === 0x4d)) return null;
  const view = new ByteView(bytes, what, littleEndian);
  const version = view.u16(2);
  if (version === 42) return { view, bigTiff: false, firstDirectoryAt: view.u32(4) };
  if (version === 43 && view.u16(4) === 8) return { view, bigTiff: true, firstDirectoryAt: view.u64(8) };
  return null;
}

export class TiffDirectory {
  readonly nextAt: number;
  readonly #view: ByteView;
  readonly #entries = new Map<number, Entry>();

  /** @throws FormatError truncated, damaged */
  constructor({ view, bigTiff }: TiffHeader, at: number) {
    this.#view = view;
    const count = bigTiff ? view.u64(at) : view.u16(at);
    if (count > MOST_ENTRIES) {
      throw new FormatError('damaged', `The file is damaged: its directory claims ${count} entries. Scan again.`, {
        at: `byte ${at}`,
      });
    }
    const entryBytes = bigTiff ? 20 : 12;
    const first = at + (bigTiff ? 8 : 2);
    for (let i = 0; i < count; i++) {
      const entryAt = first + i * entryBytes;
      const tag = view.u16(entryAt);
      const type = view.u16(entryAt + 2);
      const values = bigTiff ? view.u64(entryAt + 4) : view.u32(entryAt + 4);
      const valueAt = entryAt + (bigTiff ? 12 : 8);
      const inline = (TYPE_BYTES[type] ?? 1) * values <= (bigTiff ? 8 : 4);
      const place = inline ? valueAt : bigTiff ? view.u64(valueAt) : view.u32(valueAt);
      // The first of two entries with one tag wins, as in common readers.
      if (!this.#entries.has(tag)) this.#entries.set(tag, { type, count: values, at: place });
    }
    const nextAt = first + count * entryBytes;
    const linkBytes = bigTiff ? 8 : 4;
    // Some writers end the file without the closing link; that loses nothing.
    this.nextAt = !view.holds(nextAt, linkBytes) ? 0 : bigTiff ? view.u64(nextAt) : view.u32(nextAt);
  }

  has(tag: number): boolean {
    return this.#entries.has(tag);
  }

  /** All values of a tag as numbers; null when it is absent. @throws FormatError truncated, damaged */
  numbers(tag: number): number[] | null {
    const entry = this.#entries.get(tag);
    if (!entry) return null;
    const size = TYPE_BYTES[entry.type];
    if (size === undefined || entry.type === 2 || entry.count > MOST_VALUES) {
      throw new FormatError('damaged', `The file is damaged: tag ${tag} holds no numbers. Scan again.`, {
        at: `tag ${tag}`,
      });
    }
    // One check for the whole list, so that a false count fails before the list is made.
    this.#view.slice(entry.at, size * entry.count);
    return Array.from({ length: entry.count }, (_, i) => this.#value(entry.type, entry.at + i * size));
  }

  /** The first value, or `fallback` when the tag is absent or empty. */
  number(tag: number, fallback: number): number {
    return this.numbers(tag)?.[0] ?? fallback;
  }

  /** The raw bytes of a tag, or null when it is absent or reaches outside the file. */
  bytes(tag: number): Uint8Array | null {
    const entry = this.#entries.get(tag);
    if (!entry) return null;
    const length = (TYPE_BYTES[entry.type] ?? 1) * entry.count;
    return this.#view.holds(entry.at, length) ? this.#view.slice(entry.at, length) : null;
  }

  #value(type: number, at: number): number {
    const view = this.#view;
    switch (type) {
      case 1:
      case 7:
        return view.u8(at);
      case 3:
        return view.u16(at);
      case 4:
      case 13:
        return view.u32(at);
      case 5:
        return view.u32(at) / view.u32(at + 4);
      case 6:
        return (view.u8(at) << 24) >> 24;
      case 8:
        return (view.u16(at) << 16) >> 16;
      case 9:
        return view.i32(at);
      case 10:
        return view.i32(at) / view.i32(at + 4);
      case 11:
        return view.f32(at);
      case 12:
        return view.f64(at);
      default:
        return view.u64(at);
    }
  }
}

/**
 * How many pictures the file holds. A directory that leads back to an earlier one sends careless decoders
 * round for ever, so it is refused here.
 * @throws FormatError damaged, truncated
 */
export function countDirectories(header: TiffHeader, first: TiffDirectory): number {
  const seen = new Set([header.firstDirectoryAt]);
  let directory = first;
  while (directory.nextAt !== 0) {
    if (seen.has(directory.nextAt) || seen.size >= MOST_DIRECTORIES) {
      throw new FormatError('damaged', 'The file is damaged: its directories run in a circle. Scan again.', {
        at: `byte ${directory.nextAt}`,
      });
    }
    seen.add(directory.nextAt);
    directory = new TiffDirectory(header, directory.nextAt);
  }
  return seen.size;
}
