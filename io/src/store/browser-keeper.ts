/**
 * Keeps a document in IndexedDB, update by update, and shares it with other windows.
 *
 * The update is said to be saved when its transaction is complete, not when it was handed over. One that could
 * not be written waits and is written together with the next, so that the stored chain never has a gap; until
 * then the last state that was kept stays as it is. News from other windows are stored too: a later edit here may
 * stand on them, and the window they come from may be gone before it has written them.
 */
import type { DBSchema, IDBPDatabase } from 'idb';
import * as Y from 'yjs';
import { InputError } from '#core';
import type { Clock, StoreStatus } from '../ports.ts';
import type { Keeper, KeeperHost } from './document-store.ts';

export interface ShelfSchema extends DBSchema {
  updates: { key: number; value: { workshop: string; update: Uint8Array }; indexes: { workshop: string } };
  workshops: { key: string; value: StoredEntry };
  settings: { key: string; value: string };
}

export interface StoredEntry {
  /** Under which its updates are stored: the workshop's id when it came onto the shelf. */
  readonly key: string;
  readonly id: string;
  readonly name: string;
  readonly openedAt: string;
}

export type ShelfDatabase = IDBPDatabase<ShelfSchema>;

const RETRY_AFTER_MS = 5000;
const COMPACT_AFTER = 200;

type Message =
  | { readonly kind: 'update'; readonly update: Uint8Array }
  /** A window that came (back) asks for what it missed; `answer`: it is not to be asked in turn. */
  | { readonly kind: 'hello'; readonly vector: Uint8Array; readonly answer: boolean };

/** Origin of what another window did. */
const NEWS = Symbol('news');

/** What a storage error means to a maker. */
export function storageSentence(error: unknown): string {
  const name = error instanceof Error || error instanceof DOMException ? error.name : '';
  const what =
    name === 'QuotaExceededError'
      ? 'the browser’s storage is full'
      : name === 'InvalidStateError' || name === 'AbortError'
        ? 'the browser has closed its storage'
        : 'the browser did not write it';
  return (
    `Not saved: ${what}. Everything up to the last saved change is kept, what came after is only in this window. ` +
    'Save the workshop as a file now, then free some space and try again.'
  );
}

export interface BrowserKeeperOptions {
  readonly db: ShelfDatabase;
  readonly key: string;
  readonly host: KeeperHost;
  readonly clock: Clock;
  /** Of the database, so that workshops of two databases never hear each other. */
  readonly channelName: string;
  /** Content that is not stored yet. */
  readonly unsaved: Uint8Array | null;
  readonly storedUpdates: number;
}

export class BrowserKeeper implements Keeper {
  readonly #options: BrowserKeeperOptions;
  readonly #channel: BroadcastChannel | null;
  #status: StoreStatus = { kind: 'saved' };
  #waiting: Uint8Array[] = [];
  #writing: Promise<void> | null = null;
  #storedUpdates: number;
  #retry: ReturnType<typeof setTimeout> | null = null;
  #closed = false;

  constructor(options: BrowserKeeperOptions) {
    this.#options = options;
    this.#storedUpdates = options.storedUpdates;
    this.#channel = typeof BroadcastChannel === 'undefined' ? null : new BroadcastChannel(options.channelName);
    if (this.#channel !== null) {
      this.#channel.onmessage = (event: MessageEvent<Message>) => this.#hear(event.data);
    }
    globalThis.addEventListener?.('pageshow', this.#hello);
    globalThis.document?.addEventListener('visibilitychange', this.#hello);
    if (options.unsaved !== null) this.#enqueue(options.unsaved);
    this.#hello();
  }

  get status(): StoreStatus {
    return this.#status;
  }

  changed(update: Uint8Array, origin: unknown): void {
    if (origin !== NEWS) this.#say({ kind: 'update', update });
    this.#enqueue(update);
  }

  async flush(): Promise<void> {
    while (this.#waiting.length > 0 || this.#writing !== null) {
      this.#writing ??= this.#write();
      await this.#writing;
      if (this.#status.kind === 'failed') {
        throw new InputError('storage', this.#status.message, { got: this.#options.key });
      }
    }
  }

  /** What could not be written by now is lost with the window; the status has said so before. */
  async close(): Promise<void> {
    try {
      await this.flush();
    } finally {
      this.#closed = true;
      if (this.#retry !== null) clearTimeout(this.#retry);
      this.#channel?.close();
      globalThis.removeEventListener?.('pageshow', this.#hello);
      globalThis.document?.removeEventListener('visibilitychange', this.#hello);
    }
  }

  #enqueue(update: Uint8Array): void {
    this.#waiting.push(update);
    if (this.#status.kind === 'saved') this.#status = { kind: 'saving' };
    this.#writing ??= this.#write();
  }

  async #write(): Promise<void> {
    // Whatever else happens in this turn is written in the same transaction.
    await Promise.resolve();
    while (this.#waiting.length > 0) {
      const batch = this.#waiting;
      this.#waiting = [];
      const update = batch.length === 1 && batch[0] !== undefined ? batch[0] : Y.mergeUpdates(batch);
      try {
        await this.#store(update);
      } catch (error) {
        this.#waiting.unshift(update);
        this.#settle({ kind: 'failed', message: storageSentence(error) });
        return;
      }
    }
    this.#settle({ kind: 'saved' });
    if (this.#storedUpdates >= COMPACT_AFTER) {
      // The updates are safe either way: a compaction that fails is tried again with the next write.
      await compact(this.#options.db, this.#options.key).then(
        () => void (this.#storedUpdates = 1),
        () => undefined,
      );
    }
  }

  async #store(update: Uint8Array): Promise<void> {
    const { db, key, host, clock } = this.#options;
    const { id, name } = host.read();
    const tx = db.transaction(['updates', 'workshops'], 'readwrite', { durability: 'strict' });
    const done = tx.done;
    try {
      await Promise.all([
        tx.objectStore('updates').add({ workshop: key, update }),
        tx.objectStore('workshops').put({ key, id, name, openedAt: clock.now() }),
        done,
      ]);
    } catch (error) {
      await done.catch(() => undefined);
      throw error;
    }
    this.#storedUpdates++;
  }

  #settle(status: StoreStatus): void {
    this.#writing = null;
    this.#status = status;
    if (this.#retry !== null) clearTimeout(this.#retry);
    this.#retry = null;
    if (this.#closed) return;
    if (status.kind === 'failed') {
      this.#retry = setTimeout(() => {
        this.#writing ??= this.#write();
      }, RETRY_AFTER_MS);
    }
    this.#options.host.announce();
  }

  #say(message: Message): void {
    this.#channel?.postMessage(message);
  }

  readonly #hello = (): void => {
    this.#say({ kind: 'hello', vector: Y.encodeStateVector(this.#options.host.doc), answer: false });
  };

  #hear(message: Message): void {
    const { doc } = this.#options.host;
    if (message.kind === 'update') {
      Y.applyUpdate(doc, message.update, NEWS);
      return;
    }
    this.#say({ kind: 'update', update: Y.encodeStateAsUpdate(doc, message.vector) });
    if (!message.answer) this.#say({ kind: 'hello', vector: Y.encodeStateVector(doc), answer: true });
  }
}

/** All stored updates of a workshop in one, in one transaction: either the old ones are there or the new one. */
export async function compact(db: ShelfDatabase, key: string): Promise<void> {
  const tx = db.transaction('updates', 'readwrite', { durability: 'strict' });
  const index = tx.store.index('workshop');
  const [keys, rows] = await Promise.all([index.getAllKeys(key), index.getAll(key)]);
  if (keys.length > 1) {
    const doc = new Y.Doc();
    for (const { update } of rows) Y.applyUpdate(doc, update);
    const update = Y.encodeStateAsUpdate(doc);
    doc.destroy();
    await Promise.all([...keys.map((rowKey) => tx.store.delete(rowKey)), tx.store.add({ workshop: key, update })]);
  }
  await tx.done;
}
