/**
 * One writer at a time: a lock file beside the workshop says which process has it. A lock whose process is gone
 * is taken over; one of another machine, when nobody has touched it for a while.
 */
import { readFileSync } from 'node:fs';
import { link, readFile, rename, stat, unlink, utimes, writeFile } from 'node:fs/promises';
import { hostname } from 'node:os';
import { InputError } from '#core';
import { newId } from './id.ts';

interface Holder {
  readonly pid: number;
  readonly host: string;
  /** When the process began, in the machine's own count: tells it from a later one with the same number. */
  readonly born: string | null;
  readonly token: string;
}

export interface FileLock {
  release(): Promise<void>;
}

const TOUCH_EVERY_MS = 30_000;
const FORGOTTEN_AFTER_MS = 5 * 60_000;

/** Start of a process in clock ticks since the machine started (Linux); `null` where it cannot be told. */
function birthOf(pid: number): string | null {
  try {
    const fields = readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1]?.split(' ');
    return fields?.[19] ?? null;
  } catch {
    return null;
  }
}

function isAlive({ pid, born }: Holder): boolean {
  try {
    process.kill(pid, 0);
  } catch (error) {
    // Not ours to signal means alive.
    return (error as NodeJS.ErrnoException).code === 'EPERM';
  }
  const bornNow = birthOf(pid);
  return born === null || bornNow === null || born === bornNow;
}

function holderOf(text: string): Holder | null {
  try {
    const value = JSON.parse(text) as Partial<Holder>;
    return typeof value.pid === 'number' && typeof value.host === 'string' && typeof value.token === 'string' ? (value as Holder) : null;
  } catch {
    return null;
  }
}

/** Whether the lock's owner is gone. `text` is the lock as read, `touchedMs` when it was last touched. */
function isStale(text: string, touchedMs: number): boolean {
  const holder = holderOf(text);
  // A lock without a readable owner is one that is just being written, or was cut off by a crash.
  if (holder === null || holder.host !== hostname()) return Date.now() - touchedMs > (holder === null ? 5000 : FORGOTTEN_AFTER_MS);
  return !isAlive(holder);
}

async function ifThere<T>(action: Promise<T>): Promise<T | null> {
  try {
    return await action;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return null;
    throw error;
  }
}

/**
 * Takes the stale lock away. Only the lock that was looked at: if another process has taken it over in between,
 * its new lock is put back.
 */
async function removeStale(path: string, text: string): Promise<void> {
  const aside = `${path}.${newId()}`;
  if ((await ifThere(rename(path, aside).then(() => true))) === null) return;
  const moved = await ifThere(readFile(aside, 'utf8'));
  if (moved !== null && moved !== text) await link(aside, path).catch(() => undefined);
  await ifThere(unlink(aside));
}

/** Creates the lock with its content in one step; false when there is one already. */
async function created(path: string, own: string): Promise<boolean> {
  const beside = `${path}.${newId()}.tmp`;
  await writeFile(beside, own, { flag: 'wx' });
  try {
    await link(beside, path);
    return true;
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    // Swept away by the process that got the lock.
    if (code === 'EEXIST' || code === 'ENOENT') return false;
    if (code !== 'EPERM' && code !== 'ENOTSUP' && code !== 'EOPNOTSUPP' && code !== 'ENOSYS') throw error;
  } finally {
    await ifThere(unlink(beside));
  }
  // Disks without links (memory sticks): for an instant the lock is there without its content.
  try {
    await writeFile(path, own, { flag: 'wx' });
    return true;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'EEXIST') return false;
    throw error;
  }
}

/**
 * @throws InputError `conflict` when another process has the file open
 */
export async function lockFile(file: string): Promise<FileLock> {
  const path = `${file}.lock`;
  const holder: Holder = { pid: process.pid, host: hostname(), born: birthOf(process.pid), token: newId() };
  const own = JSON.stringify(holder);
  for (let attempt = 0; attempt < 10; attempt++) {
    if (await created(path, own)) return held(path, own);
    const [text, facts] = await Promise.all([ifThere(readFile(path, 'utf8')), ifThere(stat(path))]);
    if (text === null || facts === null) continue;
    if (!isStale(text, facts.mtimeMs)) {
      const owner = holderOf(text);
      const who = owner === null ? 'another program' : `process ${owner.pid}${owner.host === hostname() ? '' : ` on ${owner.host}`}`;
      throw new InputError(
        'conflict',
        `The workshop ${file} is open in ${who}. Close it there first; if nothing has it open, delete ${path}.`,
        { path: file, got: owner?.pid },
      );
    }
    await removeStale(path, text);
  }
  throw new InputError('conflict', `The workshop ${file} is being opened by several programs at once. Try again.`, { path: file });
}

function held(path: string, own: string): FileLock {
  const touch = setInterval(() => {
    const now = new Date();
    utimes(path, now, now).catch(() => undefined);
  }, TOUCH_EVERY_MS);
  touch.unref();
  return {
    async release() {
      clearInterval(touch);
      // Never somebody else's: a lock forgotten on a sleeping machine may have been taken over.
      if ((await ifThere(readFile(path, 'utf8'))) === own) await ifThere(unlink(path));
    },
  };
}
