/**
 * A workshop with its scans in one file, `.workshop.zip`: the document as `workshop.json`, each scan under the SHA-256
 * of its bytes. A zip from anywhere is looked through before anything is unpacked: what it says of itself is bounded,
 * what it holds is bounded by that, and a scan is only believed when its bytes have the name it goes by.
 */
import { strFromU8, strToU8, unzipSync, zipSync } from 'fflate';
import type { Zippable } from 'fflate';
import { FormatError } from '#core';
import type { Workshop } from '#core';
import { parseWorkshop, serialiseWorkshop } from '#core/schema';

export interface KeptScan {
  readonly sha256: string;
  /** Ending of its file name, lower case without the point: `tif`. */
  readonly ending: string;
  readonly bytes: Uint8Array;
}

export interface UnpackedWorkshop {
  readonly workshop: Workshop;
  readonly scans: readonly KeptScan[];
  /** What was left out, as sentences. */
  readonly notes: readonly string[];
}

type Sha256 = (bytes: Uint8Array) => string | Promise<string>;

const DOCUMENT = 'workshop.json';
const SCAN = /^scans\/([0-9a-f]{64})\.([a-z0-9]{1,5})$/;
const MAX_FILES = 20_000;
const MAX_DOCUMENT_BYTES = 256 * 1024 * 1024;
const MAX_ALL_BYTES = 2 * 1024 * 1024 * 1024;
/** Deflate cannot do better than 1032 : 1; scans and documents are far from it. */
const MAX_RATIO = 200;
/** Below this a high ratio does no harm: a document of spaces, a white picture. */
const HARMLESS_BYTES = 16 * 1024 * 1024;
const MEGABYTE = 1024 * 1024;

/** Whether a file begins like a zip. */
export function isZip(bytes: Uint8Array): boolean {
  return bytes[0] === 0x50 && bytes[1] === 0x4b && (bytes[2] === 3 || bytes[2] === 5);
}

/** Ending of a scan's file name as it is used in the zip. */
export function endingOf(fileName: string): string {
  return /\.([A-Za-z0-9]{1,5})$/.exec(fileName)?.[1]?.toLowerCase() ?? 'bin';
}

/** Every scan and picture that a workshop names, once. */
export function scansOf(workshop: Workshop): readonly { readonly sha256: string; readonly fileName: string }[] {
  const named = new Map<string, string>();
  for (const plate of workshop.plates) {
    for (const { scan } of plate.passes) if (scan !== null) named.set(scan.sha256, scan.fileName);
  }
  for (const { result } of workshop.exposures) {
    for (const picture of result?.pictures ?? []) named.set(picture.sha256, picture.fileName);
  }
  return [...named].map(([sha256, fileName]) => ({ sha256, fileName }));
}

/** A zip of the workshop and of those of its scans that are at hand. */
export function packWorkshop(workshop: Workshop, scans: readonly KeptScan[]): Uint8Array {
  const files: Zippable = { [DOCUMENT]: [strToU8(serialiseWorkshop(workshop)), { level: 6 }] };
  for (const { sha256, ending, bytes } of scans) {
    // TIFF is often stored as it is; PNG and JPEG are packed already.
    files[`scans/${sha256}.${ending}`] = [bytes, { level: /^tiff?$/.test(ending) ? 6 : 0 }];
  }
  return zipSync(files);
}

function refuse(code: 'unsupported' | 'too-large' | 'damaged', sentence: string, got: unknown): never {
  throw new FormatError(code, sentence, { got });
}

/** The names in a zip that would lead out of the folder it is unpacked into, whatever the system. */
function leadsOut(name: string): boolean {
  return /^[/\\]|^[a-z]:|\\|\0|(^|[/\\])\.\.([/\\]|$)/i.test(name);
}

/** Looks at one file of the zip before it is unpacked; says whether it is wanted. */
class Doorkeeper {
  readonly #names = new Set<string>();
  readonly notes: string[] = [];
  #allBytes = 0;

  wants(file: { readonly name: string; readonly size: number; readonly originalSize: number }): boolean {
    const { name, size, originalSize } = file;
    const shown = `“${name.slice(0, 80)}”`;
    if (leadsOut(name)) refuse('unsupported', `The zip holds ${shown}, a name that leads out of its folder: the whole file is refused.`, name);
    if (this.#names.has(name)) refuse('damaged', `The zip holds ${shown} twice: nobody can tell which is meant, so the file is refused.`, name);
    this.#names.add(name);
    if (this.#names.size > MAX_FILES) refuse('too-large', `The zip holds more than ${MAX_FILES} files: it is no workshop.`, this.#names.size);
    if (name.endsWith('/')) return false;
    if (name !== DOCUMENT && !SCAN.test(name)) {
      this.notes.push(`${shown} is neither the workshop nor one of its scans and was left out.`);
      return false;
    }
    if (originalSize > HARMLESS_BYTES && originalSize > MAX_RATIO * size) {
      refuse('too-large', `${shown} is ${Math.round(originalSize / MEGABYTE)} MB packed into ${Math.round(size / 1024)} KB: nothing a workshop holds packs like that, so the file is refused.`, originalSize);
    }
    if (name === DOCUMENT && originalSize > MAX_DOCUMENT_BYTES) refuse('too-large', `The workshop in the zip has ${Math.round(originalSize / MEGABYTE)} MB: that is no workshop.`, originalSize);
    this.#allBytes += originalSize;
    if (this.#allBytes > MAX_ALL_BYTES) refuse('too-large', `The files in the zip have more than ${MAX_ALL_BYTES / MEGABYTE} MB together: it is refused.`, this.#allBytes);
    return true;
  }
}

/**
 * The workshop in a zip, and the scans that came with it.
 * @throws FormatError with a sentence for the maker
 */
export async function unpackWorkshop(bytes: Uint8Array, sha256: Sha256): Promise<UnpackedWorkshop> {
  const door = new Doorkeeper();
  let files: Record<string, Uint8Array>;
  try {
    files = unzipSync(bytes, { filter: (file) => door.wants(file) });
  } catch (error) {
    if (error instanceof FormatError) throw error;
    throw new FormatError('damaged', 'The zip cannot be unpacked: it is cut off or damaged. Copy it again from where it came from.');
  }
  const document = files[DOCUMENT];
  if (document === undefined) {
    throw new FormatError('not-understood', `This zip is no workshop: it holds no ${DOCUMENT}.`, { expected: DOCUMENT });
  }
  const workshop = parseWorkshop(strFromU8(document));
  const named = new Set(scansOf(workshop).map((scan) => scan.sha256));
  const scans: KeptScan[] = [];
  const notes = [...door.notes];
  for (const [name, content] of Object.entries(files)) {
    const [, sum, ending] = SCAN.exec(name) ?? [];
    if (sum === undefined || ending === undefined) continue;
    if (!named.has(sum)) notes.push(`“${name}” belongs to no plate and no exposure of this workshop and was left out.`);
    else if ((await sha256(content)) !== sum) notes.push(`“${name}” is not the scan its name says: it is damaged and was left out.`);
    else scans.push({ sha256: sum, ending, bytes: content });
  }
  return { workshop, scans, notes };
}
