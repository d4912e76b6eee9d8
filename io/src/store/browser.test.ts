import 'fake-indexeddb/auto';
import { openDB } from 'idb';
import * as Y from 'yjs';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { InputError } from '#core';
import type { Workshop } from '#core';
import type { Clock, Store } from '../ports.ts';
import { openShelf } from './browser.ts';
import type { WorkshopShelf } from './browser.ts';
import { ID, smallWorkshop, storeContract } from './store.contract.ts';

let databases = 0;
const freshName = (): string => `shelf-${++databases}`;

/** A clock that tells every call a second later, whatever the machine thinks. */
function steppingClock(start = Date.parse('2026-05-01T10:00:00Z'), stepMs = 1000): Clock {
  let nowMs = start;
  return {
    now: () => new Date((nowMs += stepMs)).toISOString(),
    zone: () => 'Europe/Berlin',
  };
}

const shelves: WorkshopShelf[] = [];
async function shelf(databaseName: string, clock = steppingClock()): Promise<WorkshopShelf> {
  const opened = await openShelf({ clock, databaseName });
  shelves.push(opened);
  return opened;
}

afterEach(async () => {
  vi.restoreAllMocks();
  vi.unstubAllGlobals();
  await Promise.all(shelves.splice(0).map((opened) => opened.close()));
});

/** Resolves once the condition holds; channels between windows take a few turns of the loop. */
async function until(condition: () => boolean): Promise<void> {
  await vi.waitFor(() => {
    expect(condition()).toBe(true);
  }, { timeout: 5000, interval: 1 });
}

const rename = (store: Store, name: string): void => store.change('name', (draft) => void (draft.name = name));

describe('the store in the browser', () => {
  storeContract(async (workshop) => {
    const databaseName = freshName();
    let nowMs = 0;
    const opened = await openShelf({ clock: steppingClock(), databaseName, nowMs: () => nowMs });
    const store = await opened.add(workshop);
    return {
      store,
      advanceMs: (ms) => void (nowMs += ms),
      reopen: async () => {
        const again = await (await shelf(databaseName)).openLast();
        if (again === null) throw new Error('nothing was open last');
        return again;
      },
    };
  }, 20);
});

describe('the shelf', () => {
  it('is empty on the first visit', async () => {
    const opened = await shelf(freshName());
    expect(await opened.list()).toEqual([]);
    expect(await opened.openLast()).toBeNull();
    await expect(opened.open(ID(1))).rejects.toThrow(/not kept in this browser/);
  });

  it('lists its workshops, the last used first, and opens the last one again', async () => {
    const name = freshName();
    const opened = await shelf(name);
    const first = await opened.add(smallWorkshop());
    const second = await opened.add({ ...smallWorkshop(), id: ID(50), name: 'Second' });
    expect((await opened.list()).map((entry) => entry.name)).toEqual(['Second', 'Bench']);
    rename(first, 'First');
    await first.flush();
    expect((await opened.list()).map((entry) => entry.name)).toEqual(['First', 'Second']);
    await Promise.all([first.close(), second.close()]);
    expect((await (await shelf(name)).openLast())?.read().name).toBe('Second');
    expect((await (await shelf(name)).open(ID(1))).read().name).toBe('First');
  });

  it('opens a file of a workshop it knows over it, as a step to undo', async () => {
    const opened = await shelf(freshName());
    const before = await opened.add(smallWorkshop());
    rename(before, 'Worked on');
    await before.close();
    const store = await opened.add({ ...smallWorkshop(), name: 'From the file' });
    expect(store.read().name).toBe('From the file');
    expect(store.undo()).toBe('open file');
    expect(store.read().name).toBe('Worked on');
    expect(await opened.list()).toHaveLength(1);
    await store.close();
  });

  it('keeps apart a workshop whose content was replaced and the file it came from', async () => {
    const opened = await shelf(freshName());
    const store = await opened.add(smallWorkshop());
    store.replace('open file', { ...smallWorkshop(), id: ID(77), name: 'Other' });
    await store.flush();
    const original = await opened.add(smallWorkshop());
    expect(original.read().name).toBe('Bench');
    expect(store.read().name).toBe('Other');
    expect((await opened.list()).map((entry) => entry.id).sort()).toEqual([ID(1), ID(77)]);
    await Promise.all([store.close(), original.close()]);
  });

  it('tells what all its workshops name, without opening them', async () => {
    const opened = await shelf(freshName());
    await (await opened.add(smallWorkshop())).close();
    await (await opened.add({ ...smallWorkshop(), id: ID(50), name: 'Second' })).close();
    expect((await opened.texts()).map((text) => (JSON.parse(text ?? '{}') as Workshop).name).sort()).toEqual(['Bench', 'Second']);
  });

  it('keeps going when the clock goes backwards', async () => {
    const name = freshName();
    const opened = await shelf(name, steppingClock(Date.parse('2026-05-01T10:00:00Z'), -60_000));
    const store = await opened.add(smallWorkshop());
    for (const [index, label] of ['a', 'b', 'c'].entries()) rename(store, `${label}${index}`);
    await store.close();
    const again = await (await shelf(name)).openLast();
    expect(again?.read().name).toBe('c2');
    await again?.close();
  });

  it('says whether the browser will keep it', async () => {
    const opened = await shelf(freshName());
    vi.stubGlobal('navigator', {});
    expect(await opened.persistence()).toBe('not offered');
    const persist = vi.fn(() => Promise.resolve(true));
    vi.stubGlobal('navigator', { storage: { persisted: () => Promise.resolve(false), persist } });
    expect(await opened.persistence()).toBe('not granted');
    expect(persist).not.toHaveBeenCalled();
    expect(await opened.askPersistence()).toBe('granted');
    vi.stubGlobal('navigator', { storage: { persisted: () => Promise.resolve(false), persist: () => Promise.resolve(false) } });
    expect(await opened.askPersistence()).toBe('not granted');
  });

  it('works without any storage, and says that nothing is kept', async () => {
    vi.stubGlobal('indexedDB', { open: () => { throw new DOMException('no', 'SecurityError'); } });
    const opened = await shelf(freshName());
    const store = await opened.add(smallWorkshop());
    rename(store, 'Shed');
    expect(store.read().name).toBe('Shed');
    expect(store.status).toMatchObject({ kind: 'failed', message: expect.stringMatching(/^Nothing is saved: /) as string });
    await expect(store.flush()).rejects.toThrow(InputError);
    await store.close();
  });

  it('refuses what was stored by a newer program, and leaves it alone', async () => {
    const name = freshName();
    const opened = await shelf(name);
    const store = await opened.add(smallWorkshop());
    await store.close();
    const doc = new Y.Doc();
    doc.getMap('workshop').set('format', 'camerawright-workshop');
    doc.getMap('workshop').set('version', 2);
    const db = await openDB(name, 1);
    await db.clear('updates');
    await db.add('updates', { workshop: ID(1), update: Y.encodeStateAsUpdate(doc) });
    await expect(opened.openLast()).rejects.toThrow(/newer version/);
    expect(await db.count('updates')).toBe(1);
    db.close();
  });
});

describe('two windows', () => {
  async function twoWindows(workshop: Workshop): Promise<{ a: Store; b: Store; name: string }> {
    const name = freshName();
    const a = await (await shelf(name)).add(workshop);
    const b = await (await shelf(name)).openLast();
    if (b === null) throw new Error('the second window found nothing');
    return { a, b, name };
  }

  it('see each other’s edits and keep both', async () => {
    const { a, b, name } = await twoWindows(smallWorkshop());
    rename(a, 'Shed');
    b.change('focal length', (draft) => {
      for (const camera of draft.cameras) camera.focalLengthMm = 106;
    });
    a.change('wood', (draft) => {
      for (const camera of draft.cameras) camera.wood = 'walnut';
    });
    await until(() => b.read().cameras[0]?.wood === 'walnut' && a.read().cameras[0]?.focalLengthMm === 106);
    expect(a.read()).toEqual(b.read());
    await Promise.all([a.close(), b.close()]);
    const again = await (await shelf(name)).openLast();
    expect(again?.read().name).toBe('Shed');
    expect(again?.read().cameras[0]).toMatchObject({ focalLengthMm: 106, wood: 'walnut' });
    await again?.close();
  });

  it('take back only what was done in them', async () => {
    const { a, b } = await twoWindows(smallWorkshop());
    rename(a, 'Shed');
    await until(() => b.read().name === 'Shed');
    expect(b.undoLabel).toBeNull();
    b.change('notes', (draft) => void (draft.notes = 'from b'));
    await until(() => a.read().notes === 'from b');
    expect(a.undo()).toBe('name');
    await until(() => b.read().name === 'Bench');
    expect(b.read().notes).toBe('from b');
    await Promise.all([a.close(), b.close()]);
  });

  it('keep what both append at once, and what both typed in other fields', async () => {
    const { a, b } = await twoWindows(smallWorkshop());
    const append = (store: Store, n: number): void =>
      store.change('pass', (draft) => {
        draft.plates[0]?.passes.push({ id: ID(n), at: '2026-05-01T10:00:00Z', scan: null });
        draft.exposures.push({ id: ID(n + 1), at: '2026-05-01T10:00:00Z', light: { kind: 'ev', ev100Ev: n / 10 } });
      });
    append(a, 80);
    append(b, 90);
    a.change('wood', (draft) => {
      const [camera] = draft.cameras;
      if (camera?.typed !== undefined) Object.assign(camera.typed, { woodThicknessMm: '3/4"' });
    });
    b.change('holder', (draft) => {
      const [camera] = draft.cameras;
      if (camera?.typed !== undefined) Object.assign(camera.typed, { holderDepthMm: '5.00' });
    });
    await until(() => [a, b].every((store) => store.read().exposures.length === 2 && Object.keys(store.read().cameras[0]?.typed ?? {}).length === 3));
    expect(a.read()).toEqual(b.read());
    expect(new Set(a.read().plates[0]?.passes.map((pass) => pass.id))).toEqual(new Set([ID(4), ID(80), ID(90)]));
    await Promise.all([a.close(), b.close()]);
  });

  it('keep what both write of one exposure, in other fields, and take back only their own', async () => {
    const exposures = [{ id: ID(80), at: '2026-05-01T10:00:00Z', planned: { correctedS: 4 } }];
    const { a, b, name } = await twoWindows({ ...smallWorkshop(), exposures });
    const edit = (store: Store, change: (exposure: { given?: unknown; notes?: string | undefined }) => void): void =>
      store.change('exposure', (draft) => draft.exposures.forEach((exposure) => change(exposure)));
    edit(a, (exposure) => void (exposure.given = { timeS: 4 }));
    edit(b, (exposure) => void (exposure.notes = 'wind'));
    await until(() => [a, b].every((store) => store.read().exposures[0]?.given?.timeS === 4 && store.read().exposures[0]?.notes === 'wind'));
    expect(a.read()).toEqual(b.read());
    a.undo();
    await until(() => b.read().exposures[0]?.given === undefined);
    expect(b.read().exposures[0]).toEqual({ ...exposures[0], notes: 'wind' });
    a.redo();
    edit(b, (exposure) => delete exposure.notes);
    await until(() => [a, b].every((store) => store.read().exposures[0]?.given?.timeS === 4 && !('notes' in (store.read().exposures[0] ?? {}))));
    // Away and back: what was edited before is in the record, and nothing of it comes up again later.
    const { moveToTrash, restoreFromTrash } = await import('#core');
    a.change('away', (draft) => moveToTrash(draft, 'exposures', ID(80), { id: ID(81), trashedAt: '2026-05-01T10:00:00Z' }));
    a.change('back', (draft) => restoreFromTrash(draft, ID(81)));
    a.change('time', (draft) => draft.exposures.forEach((exposure) => void (exposure.given = { timeS: 9 })));
    const last = { ...exposures[0], given: { timeS: 9 } };
    await until(() => b.read().exposures[0]?.given?.timeS === 9);
    expect([a.read().exposures, b.read().exposures]).toEqual([[last], [last]]);
    a.replace('open file', { ...smallWorkshop(), exposures: [{ ...last, given: { timeS: 4 } }] as never });
    await Promise.all([a.close(), b.close()]);
    const again = await (await shelf(name)).openLast();
    expect(again?.read().exposures).toEqual([{ ...last, given: { timeS: 4 } }]);
    await again?.close();
  });

  it('keep what both put into a list that an older program did not have', async () => {
    const name = freshName();
    const opened = await shelf(name);
    const store = await opened.add(smallWorkshop());
    await store.close();
    // As a program left it that knew no holders.
    const db = await openDB(name, 1);
    const [row] = (await db.getAll('updates')) as { update: Uint8Array }[];
    const doc = new Y.Doc();
    Y.applyUpdate(doc, row?.update ?? new Uint8Array());
    doc.getMap('workshop').delete('filmHolders');
    const old = new Y.Doc();
    for (const [key, value] of doc.getMap<Y.Map<unknown>>('workshop')) old.getMap('workshop').set(key, value instanceof Y.AbstractType ? value.clone() : value);
    await db.clear('updates');
    await db.add('updates', { workshop: ID(1), update: Y.encodeStateAsUpdate(old) });
    db.close();
    // Two windows that come back together after an update of the program: each brings the document up by itself.
    const post = vi.spyOn(BroadcastChannel.prototype, 'postMessage').mockImplementation(() => undefined);
    const [a, b] = await Promise.all([(await shelf(name)).openLast(), (await shelf(name)).openLast()]);
    if (a === null || b === null) throw new Error('a window found nothing');
    expect([a.read().filmHolders, b.read().filmHolders]).toEqual([[], []]);
    a.change('holder', (draft) => void draft.filmHolders.push({ id: ID(61), name: 'A', depths: [] }));
    b.change('holder', (draft) => void draft.filmHolders.push({ id: ID(62), name: 'B', depths: [] }));
    await Promise.all([a.flush(), b.flush()]);
    post.mockRestore();
    await Promise.all([a.close(), b.close()]);
    const again = await (await shelf(name)).openLast();
    expect(again?.read().filmHolders.map((holder) => holder.name).sort()).toEqual(['A', 'B']);
    await again?.close();
  });

  it('that open the same file at once work on one document', async () => {
    const name = freshName();
    const shelves = [await shelf(name), await shelf(name)] as const;
    const [a, b] = await Promise.all([shelves[0].add(smallWorkshop()), shelves[1].add(smallWorkshop())]);
    const append = (store: Store, n: number): void => store.change('plate', (draft) => void draft.plates.push({ id: ID(n), name: `P${n}`, passes: [] }));
    append(a, 70);
    append(b, 71);
    await Promise.all([a.close(), b.close()]);
    const again = await (await shelf(name)).openLast();
    expect(again?.read().plates.map((plate) => plate.name).sort()).toEqual(['P70', 'P71', 'WB-1']);
    expect(await shelves[0].list()).toHaveLength(1);
    await again?.close();
  });

  it('show a record once that both took out of the trash', async () => {
    const trashed: Workshop = {
      ...smallWorkshop(),
      cameras: [],
      trash: [{ id: ID(60), list: 'cameras', trashedAt: '2026-05-01T10:00:00Z', record: { id: ID(2), name: 'Walnut', mountings: [] } as never }],
    };
    const { restoreFromTrash } = await import('#core');
    const { a, b } = await twoWindows(trashed);
    a.change('restore', (draft) => restoreFromTrash(draft, ID(60)));
    b.change('restore', (draft) => restoreFromTrash(draft, ID(60)));
    rename(a, 'both');
    await until(() => b.read().name === 'both');
    rename(b, 'back');
    await until(() => a.read().name === 'back');
    expect(a.read().cameras.map((camera) => camera.id)).toEqual([ID(2)]);
    expect(a.read()).toEqual(b.read());
    a.change('wood', (draft) => {
      for (const camera of draft.cameras) camera.wood = 'pear';
    });
    await until(() => b.read().cameras[0]?.wood === 'pear');
    await Promise.all([a.close(), b.close()]);
  });

  it('catch up with what was missed while one could not listen', async () => {
    const { a, b, name } = await twoWindows(smallWorkshop());
    const post = vi.spyOn(BroadcastChannel.prototype, 'postMessage').mockImplementation(() => undefined);
    rename(a, 'unheard');
    await a.flush();
    post.mockRestore();
    const third = await (await shelf(name)).openLast();
    await until(() => b.read().name === 'unheard');
    await Promise.all([a.close(), b.close(), third?.close()]);
  });

  it('lose nothing of one that stands on the unwritten work of the other', async () => {
    const name = freshName();
    const dying = await shelf(name);
    const a = await dying.add(smallWorkshop());
    const b = await (await shelf(name)).openLast();
    if (b === null) throw new Error('the second window found nothing');
    await dying.close();
    a.change('plate', (draft) => void draft.plates.push({ id: ID(70), name: 'unwritten', passes: [] }));
    await expect(a.flush()).rejects.toThrow(/closed its storage/);
    await until(() => b.read().plates.length === 2);
    await expect(a.close()).rejects.toThrow(InputError);
    b.change('plate', (draft) => void draft.plates.push({ id: ID(71), name: 'after it', passes: [] }));
    await b.close();
    const again = await (await shelf(name)).openLast();
    expect(again?.read().plates.map((plate) => plate.name)).toEqual(['WB-1', 'unwritten', 'after it']);
    await again?.close();
  });
});

describe('a full disk', () => {
  it('is said, keeps the last good state, and is over once there is room again', async () => {
    const name = freshName();
    const store = await (await shelf(name)).add(smallWorkshop());
    rename(store, 'good');
    await store.flush();
    const failing = vi.spyOn(IDBObjectStore.prototype, 'add').mockImplementation(() => {
      throw new DOMException('full', 'QuotaExceededError');
    });
    rename(store, 'too much');
    await expect(store.flush()).rejects.toMatchObject({ code: 'storage' });
    expect(store.status).toMatchObject({ kind: 'failed', message: expect.stringMatching(/storage is full.*Save the workshop as a file/) as string });
    expect(store.read().name).toBe('too much');

    const meanwhile = await openShelf({ clock: steppingClock(), databaseName: name });
    vi.stubGlobal('BroadcastChannel', undefined);
    const kept = await meanwhile.openLast();
    vi.unstubAllGlobals();
    expect(kept?.read().name).toBe('good');
    await kept?.close();
    await meanwhile.close();

    failing.mockRestore();
    store.change('notes', (draft) => void (draft.notes = 'after'));
    await store.flush();
    expect(store.status).toEqual({ kind: 'saved' });
    await store.close();
    const again = await (await shelf(name)).openLast();
    expect(again?.read()).toMatchObject({ name: 'too much', notes: 'after' });
    await again?.close();
  });

  it('ends in a failed status also when it strikes while the transaction is completing', async () => {
    const store = await (await shelf(freshName())).add(smallWorkshop());
    const put = IDBObjectStore.prototype.put;
    vi.spyOn(IDBObjectStore.prototype, 'put').mockImplementation(function (this: IDBObjectStore, ...values) {
      const request = put.apply(this, values);
      request.addEventListener('success', () => this.transaction.abort());
      return request;
    });
    rename(store, 'lost');
    await expect(store.flush()).rejects.toMatchObject({ code: 'storage' });
    expect(store.status.kind).toBe('failed');
    vi.restoreAllMocks();
    await store.flush();
    expect(store.status.kind).toBe('saved');
    await store.close();
  });
});

describe('many edits', () => {
  it('are drawn together, with nothing lost', async () => {
    const name = freshName();
    const store = await (await shelf(name)).add(smallWorkshop());
    for (let i = 0; i < 260; i++) {
      rename(store, `name ${i}`);
      await store.flush();
    }
    const db = await openDB(name, 1);
    await until(() => store.status.kind === 'saved');
    expect(await db.count('updates')).toBeLessThan(110);
    db.close();
    await store.close();
    const again = await (await shelf(name)).openLast();
    expect(again?.read()).toEqual({ ...smallWorkshop(), name: 'name 259' });
    await again?.close();
  });
});
