/** Which workshop file is meant, and working on it. */
import { readdir } from 'node:fs/promises';
import { InputError } from '#core';
import type { Store } from '#io/ports';
import { openWorkshopFile } from '#io/node';

/** The file named, or the only workshop in the current folder. */
export async function workshopFile(named: string | undefined): Promise<string> {
  if (named !== undefined) return named;
  const names = (await readdir('.')).filter((name) => /\.workshop\.(json|zip)$/.test(name));
  const [only] = names;
  if (only !== undefined && names.length === 1) return only;
  throw new InputError(
    'missing',
    names.length === 0
      ? 'Say which workshop: --workshop FILE. There is none in this folder.'
      : `Say which workshop: --workshop FILE. In this folder are ${names.join(', ')}.`,
    { path: '--workshop', expected: 'a workshop file' },
  );
}

/** Opens a workshop, does one piece of work on it, and closes it once that is on the disk. */
export async function inWorkshop<T>(path: string, work: (store: Store) => T): Promise<T> {
  const store = await openWorkshopFile(path);
  try {
    const result = work(store);
    await store.flush();
    return result;
  } finally {
    await store.close();
  }
}

/** The record of a list that is meant by a name, an id or the beginning of one. */
export function recordNamed<R extends { readonly id: string }>(
  records: readonly R[],
  wanted: string,
  kind: string,
  nameOf: (record: R) => string,
): R {
  const text = wanted.trim().toLowerCase();
  const exact = records.filter((record) => record.id === text || nameOf(record).toLowerCase() === text);
  const found = exact.length > 0 ? exact : text.length < 6 ? [] : records.filter(({ id }) => id.startsWith(text) || id.endsWith(text));
  const [record] = found;
  if (record !== undefined && found.length === 1) return record;
  if (found.length > 1) {
    throw new InputError('conflict', `“${wanted}” could be any of ${found.length} ${kind}s: ${found.slice(0, 5).map(({ id }) => id).join(', ')}. Give the whole id.`, {
      path: kind,
      got: wanted,
    });
  }
  const names = records.slice(0, 12).map(nameOf).join(', ');
  throw new InputError('unknown-name', `There is no ${kind} “${wanted}” in this workshop. ${records.length === 0 ? 'It holds none.' : `It holds: ${names}${records.length > 12 ? ' …' : ''}.`}`, {
    path: kind,
    got: wanted,
  });
}
