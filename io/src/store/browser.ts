/**
 * The shelf of workshops in this browser: which there are, which was open last, and each as a store.
 */
import { openDB } from 'idb';
import * as Y from 'yjs';
import { InputError } from '#core';
import type { Workshop } from '#core';
import { checkedWorkshop } from '#core/schema';
import type { Clock, Store } from '../ports.ts';
import { BrowserKeeper, compact } from './browser-keeper.ts';
import type { ShelfDatabase, ShelfSchema, StoredEntry } from './browser-keeper.ts';
import { DocumentStore, LOAD, editsOf, fillDocument, rootOf } from './document-store.ts';
import type { Keeper } from './document-store.ts';
import { newId } from './id.ts';
import { PlainView, mapDifferences } from './tree.ts';
import type { Json } from './tree.ts';

/** Whether the browser has promised not to throw the workshops away when space runs short. */
export type Persistence = 'granted' | 'not granted' | 'not offered';

export interface ShelfEntry {
  readonly id: string;
  readonly name: string;
  /** Last opened or changed, ISO 8601. */
  readonly openedAt: string;
}

export interface WorkshopShelf {
  /** The workshops kept here, the last used first. */
  list(): Promise<readonly ShelfEntry[]>;
  /** The workshop that was open last; `null` on the first visit. */
  openLast(): Promise<Store | null>;
  /** @throws InputError `missing` when there is no such workshop here; FormatError when it cannot be read */
  open(id: string): Promise<Store>;
  /**
   * Takes a workshop onto the shelf and opens it. If one with this id is there already, that one is opened and gets
   * this content as a step that can be undone.
   */
  add(workshop: Workshop): Promise<Store>;
  /** Every workshop kept here as JSON text, to look up what they name; one that cannot be read is left as `null`. */
  texts(): Promise<readonly (string | null)[]>;
  /** How the browser stands to keeping the workshops, without asking it for anything. */
  persistence(): Promise<Persistence>;
  /** Asks the browser to keep the workshops for good; some browsers ask the person. */
  askPersistence(): Promise<Persistence>;
  close(): Promise<void>;
}

export interface ShelfOptions {
  readonly clock: Clock;
  /** Other than the default only where two shelves must not meet, as in tests. */
  readonly databaseName?: string;
  readonly nowMs?: () => number;
}

const DATABASE = 'camerawright';
const COMPACT_ON_OPENING = 50;

function openDatabase(name: string): Promise<ShelfDatabase> {
  return openDB<ShelfSchema>(name, 1, {
    upgrade(db) {
      db.createObjectStore('updates', { autoIncrement: true }).createIndex('workshop', 'workshop');
      db.createObjectStore('workshops', { keyPath: 'key' });
      db.createObjectStore('settings');
    },
    // A newer version of the program in another window needs the database. What is open here can be kept no more,
    // and the next write says so.
    blocking: (_old, _new, event) => (event.target as IDBDatabase).close(),
  });
}

async function persistence(ask: boolean): Promise<Persistence> {
  const storage = globalThis.navigator?.storage;
  if (typeof storage?.persisted !== 'function') return 'not offered';
  const granted = (await storage.persisted()) || (ask && (await storage.persist()));
  return granted ? 'granted' : 'not granted';
}

/**
 * Opens the shelf. Where the browser gives no storage (private windows, blocked site data) it still works, with
 * stores that say that nothing is kept.
 */
export async function openShelf(options: ShelfOptions): Promise<WorkshopShelf> {
  const name = options.databaseName ?? DATABASE;
  try {
    const db = await openDatabase(name);
    return new BrowserShelf(db, name, options);
  } catch {
    return new EmptyShelf(options);
  }
}

class BrowserShelf implements WorkshopShelf {
  readonly #db: ShelfDatabase;
  readonly #name: string;
  readonly #options: ShelfOptions;

  constructor(db: ShelfDatabase, name: string, options: ShelfOptions) {
    this.#db = db;
    this.#name = name;
    this.#options = options;
  }

  async list(): Promise<readonly ShelfEntry[]> {
    const entries = await this.#db.getAll('workshops');
    return entries
      .map(({ id, name, openedAt }) => ({ id, name, openedAt }))
      .sort((a, b) => Date.parse(b.openedAt) - Date.parse(a.openedAt));
  }

  async openLast(): Promise<Store | null> {
    const key = await this.#db.get('settings', 'last');
    const entry = key === undefined ? undefined : await this.#db.get('workshops', key);
    return entry === undefined ? null : this.#open(entry);
  }

  async open(id: string): Promise<Store> {
    const entry = await this.#find(id);
    if (entry === null) {
      throw new InputError('missing', 'This workshop is not kept in this browser: open its file.', { path: 'id', got: id });
    }
    return this.#open(entry);
  }

  async add(workshop: Workshop): Promise<Store> {
    const checked = checkedWorkshop(workshop);
    const there = await this.#find(checked.id);
    if (there !== null) {
      const store = await this.#open(there);
      store.replace('open file', checked);
      return store;
    }
    const doc = new Y.Doc();
    fillDocument(doc, checked);
    const update = Y.encodeStateAsUpdate(doc);
    const outcome = await this.#putFirst(checked, update);
    if (outcome.kind === 'there') return this.add(checked);
    const store = this.#store(doc, outcome.key, outcome.kind === 'put' ? null : update, outcome.kind === 'put' ? 1 : 0);
    // A full disk shows in the store's status; the workshop can be worked on and saved as a file all the same.
    await Promise.allSettled([store.flush(), this.#db.put('settings', outcome.key, 'last')]);
    return store;
  }

  /**
   * The first content of a workshop, put in in one step: of two windows that open the same file at once, only one
   * begins its document, and the other goes on with it.
   */
  async #putFirst(
    workshop: Workshop,
    update: Uint8Array,
  ): Promise<{ readonly kind: 'put' | 'not put'; readonly key: string } | { readonly kind: 'there' }> {
    const { id, name } = workshop;
    let key: string = id;
    try {
      const tx = this.#db.transaction(['updates', 'workshops'], 'readwrite', { durability: 'strict' });
      // What fails while it completes is told by `done`, below.
      tx.done.catch(() => undefined);
      const entries = await tx.objectStore('workshops').getAll();
      if (entries.some((entry) => entry.id === id)) return { kind: 'there' };
      if (entries.some((entry) => entry.key === id)) key = newId();
      await tx.objectStore('updates').add({ workshop: key, update });
      await tx.objectStore('workshops').put({ key, id, name, openedAt: this.#options.clock.now() });
      await tx.done;
      return { kind: 'put', key };
    } catch {
      return { kind: 'not put', key };
    }
  }

  persistence(): Promise<Persistence> {
    return persistence(false);
  }

  askPersistence(): Promise<Persistence> {
    return persistence(true);
  }

  close(): Promise<void> {
    this.#db.close();
    return Promise.resolve();
  }

  async texts(): Promise<readonly (string | null)[]> {
    const entries = await this.#db.getAll('workshops');
    return Promise.all(
      entries.map(async ({ key }) => {
        try {
          const doc = new Y.Doc();
          for (const { update } of await this.#db.getAllFromIndex('updates', 'workshop', key)) Y.applyUpdate(doc, update);
          return JSON.stringify(new PlainView(editsOf(doc)).plain(rootOf(doc)));
        } catch {
          return null;
        }
      }),
    );
  }

  async #find(id: string): Promise<StoredEntry | null> {
    return (await this.#db.getAll('workshops')).find((entry) => entry.id === id) ?? null;
  }

  async #open(entry: StoredEntry): Promise<Store> {
    const { key } = entry;
    const rows = await this.#db.getAllFromIndex('updates', 'workshop', key);
    const doc = new Y.Doc();
    doc.transact(() => {
      for (const { update } of rows) Y.applyUpdate(doc, update);
    }, LOAD);
    const unsaved = broughtUp(doc);
    const store = this.#store(doc, key, unsaved, rows.length);
    if (rows.length > COMPACT_ON_OPENING) await compact(this.#db, key).catch(() => undefined);
    await Promise.allSettled([
      this.#db.put('settings', key, 'last'),
      this.#db.put('workshops', { ...entry, openedAt: this.#options.clock.now() }),
    ]);
    return store;
  }

  #store(doc: Y.Doc, key: string, unsaved: Uint8Array | null, storedUpdates: number): Store {
    const { clock, nowMs } = this.#options;
    return new DocumentStore({
      doc,
      ...(nowMs !== undefined && { nowMs }),
      keeper: (host) =>
        new BrowserKeeper({
          db: this.#db,
          key,
          host,
          clock,
          channelName: `${this.#name}/${key}`,
          unsaved,
          storedUpdates,
        }),
    });
  }
}

/** Below any number the engine draws for a window by chance, but for one case in a hundred million. */
const SEED_CLIENT = 16;

/**
 * Puts in a list that an older version of the program did not have, by the same update in every window. If each
 * window made a list of its own, only one of them would be kept, and what was put into the others would be lost.
 */
function withList(doc: Y.Doc, list: string): void {
  const seed = new Y.Doc();
  seed.clientID = SEED_CLIENT + [...list].reduce((sum, letter) => (sum * 31 + letter.charCodeAt(0)) % 1000, 0);
  rootOf(seed).set(list, new Y.Array());
  Y.applyUpdate(doc, Y.encodeStateAsUpdate(seed), LOAD);
  seed.destroy();
}

/**
 * Checks what was stored, maybe by an older version of the program, and brings it up to today's.
 * @returns the update that did it; `null` when nothing was to be done
 * @throws FormatError when it cannot be read; what is stored stays as it is
 */
function broughtUp(doc: Y.Doc): Uint8Array | null {
  const root = rootOf(doc);
  const view = new PlainView(editsOf(doc));
  const before = Y.encodeStateVector(doc);
  const stored = view.plain(root);
  const checked = checkedWorkshop(stored);
  let seeded = false;
  for (const [key, value] of Object.entries(checked)) {
    if (Array.isArray(value) && value.length === 0 && !root.has(key)) {
      withList(doc, key);
      seeded = true;
    }
  }
  view.forget(root);
  const differences = mapDifferences(root, checked as unknown as { readonly [key: string]: Json }, view);
  if (differences.length === 0 && !seeded) return null;
  doc.transact(() => {
    for (const { write } of differences) write();
  }, LOAD);
  return Y.encodeStateAsUpdate(doc, before);
}

const UNKEPT =
  'Nothing is saved: this browser window gives the page no storage. What you do here is gone when it is closed. ' +
  'Save the workshop as a file, or open the page in an ordinary window.';

/** Where nothing can be kept. */
class EmptyShelf implements WorkshopShelf {
  readonly #options: ShelfOptions;

  constructor(options: ShelfOptions) {
    this.#options = options;
  }

  list(): Promise<readonly ShelfEntry[]> {
    return Promise.resolve([]);
  }

  openLast(): Promise<null> {
    return Promise.resolve(null);
  }

  open(id: string): Promise<Store> {
    return Promise.reject(
      new InputError('missing', 'This browser window keeps no workshops: open the workshop’s file.', { path: 'id', got: id }),
    );
  }

  add(workshop: Workshop): Promise<Store> {
    const doc = new Y.Doc();
    fillDocument(doc, checkedWorkshop(workshop));
    const { nowMs } = this.#options;
    const keeper: Keeper = {
      status: { kind: 'failed', message: UNKEPT },
      changed: () => undefined,
      flush: () => Promise.reject(new InputError('storage', UNKEPT)),
      close: () => Promise.resolve(),
    };
    return Promise.resolve(new DocumentStore({ doc, keeper: () => keeper, ...(nowMs !== undefined && { nowMs }) }));
  }

  texts(): Promise<readonly []> {
    return Promise.resolve([]);
  }

  persistence(): Promise<Persistence> {
    return Promise.resolve('not offered');
  }

  askPersistence(): Promise<Persistence> {
    return Promise.resolve('not offered');
  }

  close(): Promise<void> {
    return Promise.resolve();
  }
}
