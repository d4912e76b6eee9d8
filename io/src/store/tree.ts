/**
 * Plain data in the document engine and out of it. Objects become maps and lists of records (objects with ids)
 * become arrays of maps, so that edits to different fields from different windows merge; every other array
 * (an outline, a range, a list of words) is one value. The fields of records that are appended and hardly ever
 * touched again are one value each, whatever is in them: ten thousand exposures open several times as fast.
 * Reading gives frozen plain data, and what did not change is the same object as before.
 */
import * as Y from 'yjs';

export type Json = string | number | boolean | null | readonly Json[] | { readonly [key: string]: Json | undefined };
type JsonObject = { readonly [key: string]: Json | undefined };
type RecordObject = JsonObject & { readonly id: string };

/** One difference to be written, and where: `cameras/ID/frame/widthMm`. */
export interface Difference {
  readonly place: string;
  readonly write: () => void;
}

const isObject = (value: Json | undefined): value is JsonObject =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

/** Objects with ids, each id once: a list that knows its records apart. An empty list is open to become one. */
function isRecordList(value: Json | undefined): value is readonly RecordObject[] {
  if (!Array.isArray(value)) return false;
  const ids = new Set<Json | undefined>();
  for (const item of value as readonly Json[]) {
    if (!isObject(item) || typeof item['id'] !== 'string' || ids.has(item['id'])) return false;
    ids.add(item['id']);
  }
  return true;
}

function deepFreeze<T extends Json>(value: T): T {
  if (typeof value === 'object' && value !== null && !Object.isFrozen(value)) {
    Object.values(value).forEach((item) => deepFreeze(item as Json));
    Object.freeze(value);
  }
  return value;
}

function sameJson(a: Json | undefined, b: Json | undefined): boolean {
  if (Object.is(a, b)) return true;
  if (Array.isArray(a) && Array.isArray(b)) return a.length === b.length && a.every((item: Json, i) => sameJson(item, b[i] as Json));
  if (!isObject(a) || !isObject(b)) return false;
  const keys = new Set([...Object.keys(a), ...Object.keys(b)]);
  return [...keys].every((key) => sameJson(a[key], b[key]));
}

/** Lists of records whose fields are one value each. */
const APPENDED: ReadonlySet<string> = new Set(['exposures', 'passes']);

/** A plain copy without undefined fields, for values that the engine holds in one piece. */
function pieceOf(value: Json): Json {
  if (Array.isArray(value)) return value.map(pieceOf);
  if (!isObject(value)) return value;
  return Object.fromEntries(
    Object.entries(value).flatMap(([key, item]) => (item === undefined ? [] : [[key, pieceOf(item)]])),
  );
}

/** The engine's form of a value that stands under this key of an object. */
export function sharedOf(value: Json, key: string): unknown {
  if (isRecordList(value)) {
    const list = new Y.Array<unknown>();
    list.push(value.map((record) => sharedRecord(record, APPENDED.has(key))));
    return list;
  }
  return isObject(value) ? sharedRecord(value, false) : deepFreeze(pieceOf(value));
}

function sharedRecord(record: JsonObject, inPieces: boolean): Y.Map<unknown> {
  const map = new Y.Map<unknown>();
  for (const [key, item] of Object.entries(record)) {
    if (item !== undefined) map.set(key, inPieces ? deepFreeze(pieceOf(item)) : sharedOf(item, key));
  }
  return map;
}

/** Reads the engine's types as plain data, remembering what it made until it is told that a type changed. */
export class PlainView {
  readonly #made = new WeakMap<object, Json>();

  /** To be called with every type that changed, and every type that holds one. */
  forget(type: object): void {
    this.#made.delete(type);
  }

  plain(shared: unknown): Json {
    if (!(shared instanceof Y.Map || shared instanceof Y.Array)) return deepFreeze(shared as Json);
    const made = this.#made.get(shared);
    if (made !== undefined) return made;
    const result = shared instanceof Y.Map ? this.#object(shared) : this.#list(shared);
    Object.freeze(result);
    this.#made.set(shared, result);
    return result;
  }

  #object(map: Y.Map<unknown>): JsonObject {
    const result: Record<string, Json> = {};
    map.forEach((item, key) => {
      result[key] = this.plain(item);
    });
    return result;
  }

  /** Two windows may restore the same record at once: it is there twice then, and shown once. */
  #list(list: Y.Array<unknown>): Json[] {
    const ids = new Set<string>();
    return list
      .toArray()
      .map((item) => this.plain(item))
      .filter((item) => {
        const id = isObject(item) ? item['id'] : undefined;
        if (typeof id !== 'string') return true;
        const isNew = !ids.has(id);
        ids.add(id);
        return isNew;
      });
  }
}

/** What must be written so that the map becomes `next`. Nothing is written yet. */
export function mapDifferences(
  map: Y.Map<unknown>,
  next: JsonObject,
  view: PlainView,
  at: { readonly place: string; readonly inPieces: boolean } = { place: '', inPieces: false },
): Difference[] {
  const now = view.plain(map) as JsonObject;
  if (now === next) return [];
  const result: Difference[] = [];
  for (const key of new Set([...Object.keys(now), ...Object.keys(next)])) {
    const before = now[key];
    const after = next[key];
    if (before === after) continue;
    const here = `${at.place}/${key}`;
    const shared = map.get(key);
    if (after === undefined) {
      if (before !== undefined) result.push({ place: here, write: () => map.delete(key) });
    } else if (shared instanceof Y.Map && isObject(after)) {
      result.push(...mapDifferences(shared, after, view, { place: here, inPieces: false }));
    } else if (shared instanceof Y.Array && isRecordList(after)) {
      result.push(...listDifferences(shared, after, view, { place: here, inPieces: APPENDED.has(key) }));
    } else if (!sameJson(before, after)) {
      const write = (): void => void map.set(key, at.inPieces ? deepFreeze(pieceOf(after)) : sharedOf(after, key));
      result.push({ place: here, write });
    }
  }
  return result;
}

/**
 * Records are known by their ids: what is gone is taken out, what is new is put in at its place, what stays is
 * compared field by field. A record that changed its place is taken out and put in again.
 */
function listDifferences(
  list: Y.Array<unknown>,
  next: readonly RecordObject[],
  view: PlainView,
  { place, inPieces }: { readonly place: string; readonly inPieces: boolean },
): Difference[] {
  if (view.plain(list) === next) return [];
  const items = list.toArray().map((shared) => {
    const record = view.plain(shared);
    return { shared, id: isObject(record) ? record['id'] : undefined };
  });
  const result: Difference[] = [];
  const step = (id: Json | undefined, write: () => void): void => {
    result.push({ place: `${place}/${String(id)}`, write });
  };
  const wanted = new Set<Json | undefined>(next.map((record) => record.id));
  const kept = new Map<Json | undefined, number>();
  items.forEach(({ id }, i) => {
    if (wanted.has(id) && !kept.has(id)) kept.set(id, i);
  });
  for (let i = items.length - 1; i >= 0; i--) {
    const item = items[i];
    if (kept.get(item?.id) !== i) {
      step(item?.id, () => list.delete(i, 1));
      items.splice(i, 1);
    }
  }
  next.forEach((record, index) => {
    const item = items[index];
    if (item?.id === record.id) {
      if (item.shared instanceof Y.Map) {
        result.push(...mapDifferences(item.shared, record, view, { place: `${place}/${record.id}`, inPieces }));
      }
      return;
    }
    const from = kept.has(record.id) ? items.findIndex((other, i) => i > index && other.id === record.id) : -1;
    if (from >= 0) {
      step(record.id, () => list.delete(from, 1));
      items.splice(from, 1);
    }
    step(record.id, () => list.insert(index, [sharedRecord(record, inPieces)]));
    items.splice(index, 0, { shared: null, id: record.id });
  });
  return result;
}
