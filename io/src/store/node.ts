/** The workshop as one JSON file on disk: the same file that the browser saves and opens. */
import { readFile, readdir, realpath, stat, unlink } from 'node:fs/promises';
import { basename, dirname, join, resolve } from 'node:path';
import * as Y from 'yjs';
import { FormatError, InputError } from '#core';
import type { Workshop } from '#core';
import { checkedWorkshop, parseWorkshop, serialiseWorkshop } from '#core/schema';
import type { Store, StoreStatus } from '../ports.ts';
import { DocumentStore, fillDocument } from './document-store.ts';
import type { Keeper, KeeperHost } from './document-store.ts';
import { lockFile } from './node-lock.ts';
import type { FileLock } from './node-lock.ts';
import { copyWhole, writeWhole } from './node-write.ts';
import { isZip, unpackWorkshop } from '../archive/workshop-zip.ts';
import { sha256Hex } from '../node/image-source.ts';

export interface WorkshopFileOptions {
  /** Written anew even when nothing changes: an older file becomes one of today. */
  readonly anew?: boolean;
  /** Written when there is no such file yet. Without it, a missing file is an error. */
  readonly create?: Workshop;
  readonly nowMs?: () => number;
}

const MAX_BYTES = 512 * 1024 * 1024;

/** What went wrong with a file, to a maker. */
function fileSentence(path: string, doing: string, error: unknown): string {
  const code = (error as NodeJS.ErrnoException | null)?.code;
  const reasons: Readonly<Record<string, string>> = {
    ENOSPC: 'the disk is full',
    EDQUOT: 'your share of the disk is full',
    EACCES: 'this is not allowed to you there',
    EPERM: 'this is not allowed to you there',
    EROFS: 'the disk is write-protected',
    ENOENT: 'the folder is not there',
    EISDIR: 'it is a folder',
  };
  return `${path} cannot be ${doing}: ${reasons[code ?? ''] ?? (error instanceof Error ? error.message : 'unknown reason')}.`;
}

/**
 * Reads a workshop file without opening it for changes.
 * @throws InputError `missing` or `storage` when there is no such file or it cannot be read, FormatError when it is no workshop
 */
export async function readWorkshopFile(path: string): Promise<Workshop> {
  let bytes: Uint8Array;
  try {
    const { size } = await stat(path);
    if (size > MAX_BYTES) {
      throw new FormatError('too-large', `${path} has ${size} bytes: this is no workshop file.`, { path, got: size });
    }
    bytes = await readFile(path);
  } catch (error) {
    if (error instanceof FormatError) throw error;
    const missing = (error as NodeJS.ErrnoException).code === 'ENOENT';
    throw new InputError(
      missing ? 'missing' : 'storage',
      missing ? `There is no file ${path}.` : fileSentence(path, 'read', error),
      { path, expected: 'a workshop file' },
    );
  }
  try {
    return isZip(bytes) ? (await unpackWorkshop(bytes, sha256Hex)).workshop : parseWorkshop(new TextDecoder().decode(bytes));
  } catch (error) {
    if (!(error instanceof FormatError)) throw error;
    throw new FormatError(error.code, `${path}: ${error.message}`, { path, ...(error.at === undefined ? {} : { at: error.at }), got: error.got });
  }
}

/** What a crash in the middle of a write has left beside the file. Called by the holder of the lock only. */
async function sweep(path: string): Promise<void> {
  const folder = dirname(path);
  const left = /^(\.bak|\.lock)?\.[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}(\.tmp)?$/;
  const name = basename(path);
  const names = await readdir(folder);
  await Promise.all(
    names
      .filter((other) => other.startsWith(name) && left.test(other.slice(name.length)))
      .map((other) => unlink(join(folder, other)).catch(() => undefined)),
  );
}

/** Facts by which a change from outside is noticed. */
async function trace(path: string): Promise<string | null> {
  try {
    const { mtimeNs, size, ino } = await stat(path, { bigint: true });
    return `${mtimeNs} ${size} ${ino}`;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return null;
    throw error;
  }
}

class FileKeeper implements Keeper {
  readonly #path: string;
  readonly #host: KeeperHost;
  readonly #lock: FileLock;
  #trace: string | null;
  #backedUp = false;
  #status: StoreStatus = { kind: 'saved' };
  #written: Workshop | null;
  #writing: Promise<void> | null = null;

  constructor(path: string, host: KeeperHost, lock: FileLock, found: { readonly trace: string | null; readonly written: Workshop | null }) {
    this.#path = path;
    this.#host = host;
    this.#lock = lock;
    this.#trace = found.trace;
    this.#written = found.written === null ? null : host.read();
  }

  get status(): StoreStatus {
    return this.#status;
  }

  changed(): void {
    if (this.#status.kind === 'saved') this.#status = { kind: 'saving' };
    this.#writing ??= this.#write();
  }

  async flush(): Promise<void> {
    while (this.#writing !== null || this.#written !== this.#host.read()) {
      this.#writing ??= this.#write();
      await this.#writing;
      if (this.#status.kind === 'failed') throw new InputError('storage', this.#status.message, { path: this.#path });
    }
  }

  async close(): Promise<void> {
    try {
      await this.flush();
    } finally {
      await this.#lock.release();
    }
  }

  async #write(): Promise<void> {
    // Changes made in the same turn go into the same write.
    await Promise.resolve();
    while (this.#written !== this.#host.read()) {
      const workshop = this.#host.read();
      try {
        await this.#replaceFile(serialiseWorkshop(workshop));
      } catch (error) {
        const message = error instanceof InputError ? error.message : fileSentence(this.#path, 'written', error);
        this.#settle({ kind: 'failed', message: `Not saved: ${message} The last saved state is still in the file.` });
        return;
      }
      this.#written = workshop;
    }
    this.#settle({ kind: 'saved' });
  }

  async #replaceFile(content: string): Promise<void> {
    const there = await trace(this.#path);
    if (there !== this.#trace) {
      throw new InputError(
        'conflict',
        `${this.#path} was changed by another program since it was opened here. Open it again to go on from there.`,
        { path: this.#path },
      );
    }
    if (there !== null && !this.#backedUp) await copyWhole(this.#path, `${this.#path}.bak`);
    this.#backedUp = true;
    await writeWhole(this.#path, content);
    this.#trace = await trace(this.#path);
  }

  #settle(status: StoreStatus): void {
    this.#writing = null;
    this.#status = status;
    this.#host.announce();
  }
}

/**
 * Opens a workshop file for work. Each change is written at once, the whole file anew beside the old one and then in
 * its place; `flush` waits until it is there. The file as it was when first changed stays beside it, ending in `.bak`.
 * @throws InputError `missing`, `conflict` (open elsewhere) or `storage`, FormatError when it is no workshop
 */
export async function openWorkshopFile(path: string, options: WorkshopFileOptions = {}): Promise<Store> {
  const named = resolve(path);
  // A link stays a link: the file it leads to is written.
  const full = await realpath(named).catch(() => named);
  if (full.toLowerCase().endsWith('.zip')) {
    throw new InputError('unsupported', `${path} holds scans beside the workshop and is not written to. Unpack it first: camerawright log import ${path}`, { path });
  }
  const create = options.create === undefined ? null : checkedWorkshop(options.create);
  let lock: FileLock;
  try {
    lock = await lockFile(full);
  } catch (error) {
    if (error instanceof InputError) throw error;
    throw new InputError('storage', fileSentence(full, 'opened for changes', error), { path: full });
  }
  try {
    await sweep(full);
    const before = await trace(full);
    const found = before === null && create !== null ? null : await readWorkshopFile(full);
    const doc = new Y.Doc();
    const workshop = found ?? create;
    if (workshop !== null) fillDocument(doc, workshop);
    const store = new DocumentStore({
      doc,
      keeper: (host) => new FileKeeper(full, host, lock, { trace: before, written: options.anew === true ? null : found }),
      ...(options.nowMs !== undefined && { nowMs: options.nowMs }),
    });
    if (found === null || options.anew === true) await store.flush();
    return store;
  } catch (error) {
    await lock.release();
    throw error;
  }
}
