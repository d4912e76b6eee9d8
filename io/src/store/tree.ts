/**
 * Plain data in the document engine and out of it. Objects become maps and lists of records (objects with ids)
 * become arrays of maps, so that edits to different fields from different windows merge; every other array
 * (an outline, a range, a list of words) is one value. Records that are appended and hardly ever touched again are
 * one value as a whole, and what is changed in them later lies beside them, field by field, so that edits of different
 * fields merge here too: ten thousand exposures open ten times as fast as with a map for each.
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
  for (const key in a) if (!sameJson(a[key], b[key])) return false;
  for (const key in b) if (b[key] !== undefined && a[key] === undefined) return false;
  return true;
}

/** Lists whose records are one value each. Documents of older programs hold maps in them, which stay maps. */
const APPENDED: ReadonlySet<string> = new Set(['exposures', 'passes']);

/** What was changed in a record that is one value: `ID/field` to the new value, or to nothing where it was taken out. */
export type Edits = Y.Map<{ readonly value?: Json }>;

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
    list.push(value.map((record) => sharedItem(record, APPENDED.has(key))));
    return list;
  }
  return isObject(value) ? sharedRecord(value) : deepFreeze(pieceOf(value));
}

function sharedRecord(record: JsonObject): Y.Map<unknown> {
  const map = new Y.Map<unknown>();
  for (const [key, item] of Object.entries(record)) {
    if (item !== undefined) map.set(key, sharedOf(item, key));
  }
  return map;
}

function sharedItem(record: JsonObject, asOne: boolean): unknown {
  return asOne ? deepFreeze(pieceOf(record)) : sharedRecord(record);
}

/** Reads the engine's types as plain data, remembering what it made until it is told that a type changed. */
export class PlainView {
  readonly edits: Edits;
  readonly #made = new WeakMap<object, Json>();
  /** Edits by record and field. */
  readonly #edited = new Map<string, Map<string, { readonly value?: Json }>>();
  /** The list in which a record that is one value was seen last. */
  readonly #homes = new Map<string, Y.Array<unknown>>();

  constructor(edits: Edits) {
    this.edits = edits;
    this.hearEdits(edits.keys());
  }

  /** To be called with every type that changed, and every type that holds one. */
  forget(type: object): void {
    this.#made.delete(type);
  }

  /** To be called with the keys of edits that changed. */
  hearEdits(keys: Iterable<string>): void {
    for (const key of keys) {
      const slash = key.indexOf('/');
      const [id, field] = [key.slice(0, slash), key.slice(slash + 1)];
      const fields = this.#edited.get(id) ?? new Map<string, { readonly value?: Json }>();
      const edit = this.edits.get(key);
      if (edit === undefined) fields.delete(field);
      else fields.set(field, edit);
      if (fields.size === 0) this.#edited.delete(id);
      else this.#edited.set(id, fields);
      for (let type = (this.#homes.get(id) ?? null) as Y.AbstractType<unknown> | null; type !== null; type = type.parent) this.forget(type);
    }
  }

  /** Keys of the edits of a record. */
  editsOf(id: string): string[] {
    return [...(this.#edited.get(id)?.keys() ?? [])].map((field) => `${id}/${field}`);
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

  /** A record of a list: a map, or one value with the edits that lie beside it. */
  item(shared: unknown): Json {
    if (shared instanceof Y.Map || !isObject(shared as Json) || typeof (shared as RecordObject).id !== 'string') return this.plain(shared);
    const record = shared as RecordObject;
    const edits = this.#edited.get(record.id);
    if (edits === undefined) return deepFreeze(record);
    const last = this.#withEdits.get(record);
    const result: Record<string, Json> = { ...(record as Record<string, Json>) };
    for (const [field, { value }] of edits) {
      if (value === undefined) delete result[field];
      else result[field] = value;
    }
    // The same object as before unless something differs, as everywhere.
    if (last !== undefined && sameJson(last, result)) return last;
    const made = deepFreeze(result) as RecordObject;
    this.#withEdits.set(record, made);
    return made;
  }

  readonly #withEdits = new WeakMap<object, RecordObject>();

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
    const result: Json[] = [];
    for (const shared of list.toArray()) {
      const item = this.item(shared);
      const id = isObject(item) ? item['id'] : undefined;
      if (typeof id === 'string') {
        if (ids.has(id)) continue;
        ids.add(id);
        if (!(shared instanceof Y.Map)) this.#homes.set(id, list);
      }
      result.push(item);
    }
    return result;
  }
}

/** What must be written so that the map becomes `next`. Nothing is written yet. */
export function mapDifferences(
  map: Y.Map<unknown>,
  next: JsonObject,
  view: PlainView,
  place = '',
): Difference[] {
  const now = view.plain(map) as JsonObject;
  if (now === next) return [];
  const result: Difference[] = [];
  for (const key of new Set([...Object.keys(now), ...Object.keys(next)])) {
    const before = now[key];
    const after = next[key];
    if (before === after) continue;
    const here = `${place}/${key}`;
    const shared = map.get(key);
    if (after === undefined) {
      if (before !== undefined) result.push({ place: here, write: () => map.delete(key) });
    } else if (shared instanceof Y.Map && isObject(after)) {
      result.push(...mapDifferences(shared, after, view, here));
    } else if (shared instanceof Y.Array && isRecordList(after)) {
      result.push(...listDifferences(shared, after, view, { place: here, asOne: APPENDED.has(key) }));
    } else if (!sameJson(before, after)) {
      result.push({ place: here, write: () => void map.set(key, sharedOf(after, key)) });
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
  { place, asOne }: { readonly place: string; readonly asOne: boolean },
): Difference[] {
  if (view.plain(list) === next) return [];
  const items = list.toArray().map((shared) => {
    const record = view.item(shared);
    return { shared, record, id: isObject(record) ? record['id'] : undefined };
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
      if (item.record === record) return;
      if (item.shared instanceof Y.Map) {
        result.push(...mapDifferences(item.shared, record, view, `${place}/${record.id}`));
      } else if (isObject(item.record)) {
        result.push(...editDifferences(item.record, record, view, `${place}/${record.id}`));
      }
      return;
    }
    const from = kept.has(record.id) ? items.findIndex((other, i) => i > index && other.id === record.id) : -1;
    if (from >= 0) {
      step(record.id, () => list.delete(from, 1));
      items.splice(from, 1);
    }
    step(record.id, () => {
      // What was edited in an earlier record of this id is in the new one, or is not wanted any more.
      for (const key of view.editsOf(record.id)) view.edits.delete(key);
      list.insert(index, [sharedItem(record, asOne)]);
    });
    items.splice(index, 0, { shared: null, record, id: record.id });
  });
  return result;
}

/** What is to be laid beside a record that is one value, field by field. */
function editDifferences(now: JsonObject, next: RecordObject, view: PlainView, place: string): Difference[] {
  const result: Difference[] = [];
  for (const field of new Set([...Object.keys(now), ...Object.keys(next)])) {
    const after = next[field];
    if (now[field] === after || sameJson(now[field], after)) continue;
    const edit = after === undefined ? {} : { value: deepFreeze(pieceOf(after)) };
    result.push({ place: `${place}/${field}`, write: () => void view.edits.set(`${next.id}/${field}`, edit) });
  }
  return result;
}
