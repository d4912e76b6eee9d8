/** The plate room run in place: in Node, in tests, and inside the browser's worker. */
import { FormatError, InputError, ModelError } from '#core';
import type { ErrorCode } from '#core';
import type { ImageSource, JobWatch, OpenedScan, PlainError, PlateRoom } from './ports.ts';
import { scanPatches } from './scan-patches.ts';
import { lookAtScan, lookForRule, measureOpenedScan, rememberingOverviews } from './scan-measuring.ts';

/** Reading the scan is the first part of measuring it; the rest of the way is told by the measurement. */
const READING_SHARE = 0.35;

/**
 * A plate room that works in this thread, one scan after the other. The scan last opened is kept, so that looking
 * and then measuring, or measuring again with another scale, decodes it once.
 */
export function directPlateRoom(source: ImageSource): PlateRoom {
  let last: { readonly bytes: Uint8Array; readonly opened: OpenedScan } | null = null;
  let turn: Promise<unknown> = Promise.resolve();
  /** Counts the calls of `cancel`: a job belongs to the count at its start. */
  let cancels = 0;
  let watching: JobWatch = {};

  const opened = async (bytes: Uint8Array, fileName: string): Promise<OpenedScan> => {
    if (last && sameBytes(last.bytes, bytes)) return last.opened;
    last?.opened.close();
    last = null;
    // The scan outlives the job that opened it: it must speak to whoever watches now.
    const relay: JobWatch = {
      progress: (share, word) => watching.progress?.(READING_SHARE * share, word),
      cancelled: () => watching.cancelled?.() ?? false,
    };
    last = { bytes, opened: rememberingOverviews(await source.open(bytes, fileName, relay)) };
    return last.opened;
  };

  const inTurn = <T>(watch: JobWatch, job: () => Promise<T>): Promise<T> => {
    const started = cancels;
    const cancelled = (): boolean => cancels !== started;
    const result = turn.then(() => {
      if (cancelled()) throw new ModelError('cancelled', 'Measuring was stopped.');
      watching = { ...onlyForward(watch), cancelled };
      return job();
    });
    turn = result.catch(() => {});
    return result;
  };

  return {
    measure(bytes, fileName, request, onProgress) {
      const watch = onProgress ? { progress: onProgress } : {};
      return inTurn(watch, async () => {
        const scan = await opened(await asBytes(bytes), fileName);
        return measureOpenedScan(scan, fileName, request, watching);
      });
    },
    look(bytes, fileName) {
      return inTurn({}, async () => lookAtScan(await opened(await asBytes(bytes), fileName), fileName));
    },
    rule(bytes, fileName) {
      return inTurn({}, async () => lookForRule(await opened(await asBytes(bytes), fileName), fileName));
    },
    patches(bytes, fileName, areas) {
      return inTurn({}, async () => scanPatches((await opened(await asBytes(bytes), fileName)).pixels, areas));
    },
    cancel() {
      cancels += 1;
    },
    close() {
      cancels += 1;
      last?.opened.close();
      last = null;
    },
  };
}

/** A scan may be read through more than once; a bar that runs back would look like a fault. */
function onlyForward({ progress }: JobWatch): JobWatch {
  if (!progress) return {};
  let most = 0;
  return {
    progress(share, word) {
      most = Math.max(most, share);
      progress(most, word);
    },
  };
}

async function asBytes(bytes: Uint8Array | Blob): Promise<Uint8Array> {
  return bytes instanceof Uint8Array ? bytes : new Uint8Array(await bytes.arrayBuffer());
}

/** Compared, not hashed: two scans of one plate may have one name and one size, and hashing costs more. */
function sameBytes(a: Uint8Array, b: Uint8Array): boolean {
  if (a === b) return true;
  if (a.length !== b.length) return false;
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return false;
  return true;
}

/** An error as plain data, to cross between threads. */
export function plainError(error: unknown): PlainError {
  if (error instanceof Error) {
    const code: unknown = (error as { code?: unknown }).code;
    return { name: error.name, code: typeof code === 'string' ? code : null, message: error.message };
  }
  return { name: 'Error', code: null, message: String(error) };
}

/** The reverse of `plainError`: the caller can tell the classes apart again. */
export function errorFrom({ name, code, message }: PlainError): Error {
  if (code !== null && name === 'InputError') return new InputError(code as ErrorCode, message);
  if (code !== null && name === 'FormatError') return new FormatError(code as ErrorCode, message);
  if (code !== null && name === 'ModelError') return new ModelError(code as ErrorCode, message);
  return new Error(message);
}
