/**
 * Scans and pictures of measured holes, kept in this browser: so that the pixels are there again after a reload and a
 * scan can be read in another way without looking for its file. They are a convenience beside the workshop: outline
 * and figures are in the workshop itself, the scan is with the maker. What fails here is therefore only absent, and the
 * maker is told where something can be done about it.
 */
import { openDB } from 'idb';
import type { DBSchema, IDBPDatabase } from 'idb';
import type { ScanPicture } from '../ports.ts';

/** The picture of a hole with the scale that places it in its scan. */
export interface HolePicture {
  readonly picture: ScanPicture;
  readonly xMmPerPx: number;
  readonly yMmPerPx: number;
}

/** What became of a scan that was to be kept. */
export type Keeping = 'kept' | 'too large' | 'full' | 'no storage';

/** What a scan that was not kept means to a maker; `null` when it was. */
export function notKeptSentence(fileName: string, keeping: Keeping): string | null {
  const why = {
    'too large': 'it is too large for this browser to keep',
    full: 'this browser’s storage is full',
    'no storage': 'this browser gives no storage',
  };
  return keeping === 'kept'
    ? null
    : `“${fileName}” is used but not kept here: ${why[keeping]}. Its name and all figures are in the workshop; keep the file itself.`;
}

export interface ScanShelf {
  /** `null` when it is not here (never kept, cleared by the browser, no storage). */
  picture(passId: string): Promise<HolePicture | null>;
  keepPicture(passId: string, picture: HolePicture): Promise<void>;
  /** The bytes of a scan by their SHA-256, lower-case hex. */
  scan(sha256: string): Promise<Blob | null>;
  keepScan(sha256: string, bytes: Blob): Promise<Keeping>;
  /** What lies here, with its size. */
  list(): Promise<{ readonly scans: readonly ShelfItem[]; readonly pictures: readonly ShelfItem[] }>;
  removeScan(sha256: string): Promise<void>;
  removePicture(passId: string): Promise<void>;
}

export interface ShelfItem {
  /** SHA-256 of a scan, id of the pass of a picture. */
  readonly key: string;
  readonly byteCount: number;
}

export interface ScanShelfOptions {
  /** Other than the default only where two shelves must not meet, as in tests. */
  readonly databaseName?: string;
  /** Larger scans are not kept; all together take up to four times as much, the oldest go first. */
  readonly largestScanBytes?: number;
}

interface Kept<T> {
  readonly key: string;
  /** Rises with every entry: the order in which they go. */
  readonly turn: number;
  readonly bytes: number;
  readonly value: T;
}

interface ScanSchema extends DBSchema {
  pictures: { key: string; value: Kept<HolePicture>; indexes: { turn: number } };
  scans: { key: string; value: Kept<Blob>; indexes: { turn: number } };
}

const DATABASE = 'camerawright-scans';
const LARGEST_SCAN_BYTES = 64 * 1024 * 1024;
const ALL_PICTURES_BYTES = 128 * 1024 * 1024;

export function openScanShelf(options: ScanShelfOptions = {}): ScanShelf {
  const largest = options.largestScanBytes ?? LARGEST_SCAN_BYTES;
  const opened = openDatabase(options.databaseName ?? DATABASE);
  // Handled here once; every later use awaits the same promise and answers that nothing is kept.
  opened.catch(() => undefined);
  return {
    picture: (passId) => attempt(async () => (await (await opened).get('pictures', passId))?.value ?? null, null),
    keepPicture: (passId, picture) =>
      attempt(
        async () => {
          const bytes = picture.picture.picture.samples.byteLength;
          await keep(await opened, 'pictures', { key: passId, bytes, value: picture }, ALL_PICTURES_BYTES);
        },
        undefined,
      ),
    scan: (sha256) => attempt(async () => (await (await opened).get('scans', sha256))?.value ?? null, null),
    keepScan: async (sha256, bytes) => {
      if (bytes.size > largest) return 'too large';
      try {
        await keep(await opened, 'scans', { key: sha256, bytes: bytes.size, value: bytes }, 4 * largest);
        return 'kept';
      } catch (error) {
        return error instanceof DOMException && error.name === 'QuotaExceededError' ? 'full' : 'no storage';
      }
    },
    list: () =>
      attempt(
        async () => {
          const db = await opened;
          return { scans: await itemsOf(db, 'scans'), pictures: await itemsOf(db, 'pictures') };
        },
        { scans: [], pictures: [] },
      ),
    removeScan: (sha256) => attempt(async () => (await opened).delete('scans', sha256), undefined),
    removePicture: (passId) => attempt(async () => (await opened).delete('pictures', passId), undefined),
  };
}

// async, so that a browser that refuses at once and one that refuses later look the same
async function openDatabase(name: string): Promise<IDBPDatabase<ScanSchema>> {
  return openDB<ScanSchema>(name, 1, {
    upgrade(db) {
      db.createObjectStore('pictures', { keyPath: 'key' }).createIndex('turn', 'turn');
      db.createObjectStore('scans', { keyPath: 'key' }).createIndex('turn', 'turn');
    },
    blocking: (_old, _new, event) => (event.target as IDBDatabase).close(),
  });
}

async function attempt<T>(work: () => Promise<T>, otherwise: T): Promise<T> {
  try {
    return await work();
  } catch {
    return otherwise;
  }
}

/** One by one, so that no more than one scan is in memory at a time. */
async function itemsOf(db: IDBPDatabase<ScanSchema>, name: 'pictures' | 'scans'): Promise<ShelfItem[]> {
  const items: ShelfItem[] = [];
  for (let cursor = await db.transaction(name).store.openCursor(); cursor !== null; cursor = await cursor.continue()) {
    items.push({ key: cursor.value.key, byteCount: cursor.value.bytes });
  }
  return items;
}

/** Puts an entry in and lets the oldest go until all fit. */
async function keep<S extends 'pictures' | 'scans'>(
  db: IDBPDatabase<ScanSchema>,
  name: S,
  entry: Omit<ScanSchema[S]['value'], 'turn'>,
  mostBytes: number,
): Promise<void> {
  const tx = db.transaction(name, 'readwrite');
  // a request that fails is reported by itself; its transaction fails with it
  tx.done.catch(() => undefined);
  const newest = await tx.store.index('turn').openCursor(null, 'prev');
  const kept = { ...entry, turn: (newest?.value.turn ?? 0) + 1 } as ScanSchema[S]['value'];
  await tx.store.put(kept);
  let total = 0;
  const newestFirst = await tx.store.index('turn').openCursor(null, 'prev');
  for (let cursor = newestFirst; cursor !== null; cursor = await cursor.continue()) {
    total += cursor.value.bytes;
    if (total > mostBytes && cursor.value.key !== entry.key) {
      await cursor.delete();
    }
  }
  await tx.done;
}
