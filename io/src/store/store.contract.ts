/** What every store promises, whatever keeps it. Each implementation calls this with its own way to open one. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { InputError, emptyWorkshop, moveToTrash, restoreFromTrash } from '#core';
import type { Workshop, WorkshopDraft } from '#core';
import { anyWorkshop } from '../../../tests/support/workshop-arbitrary.ts';
import type { Store } from '../ports.ts';

export const ID = (n: number): string => `01999c9e-0000-7000-8000-${n.toString(16).padStart(12, '0')}`;
export const AT = '2026-05-01T10:00:00+02:00';

/** One camera, one plate, and fields no program of today knows. */
export function smallWorkshop(): Workshop {
  return {
    ...emptyWorkshop({ id: ID(1), name: 'Bench', createdAt: AT }),
    cameras: [{ id: ID(2), name: 'Walnut', mountings: [], focalLengthMm: 135, typed: { focalLengthMm: '135' }, later: { bellowsMm: 0.1 } }],
    plates: [{ id: ID(3), name: 'WB-1', passes: [{ id: ID(4), at: AT, scan: null, outlineMm: [[0, 0], [1, 0], [0, 1]] }] }],
    future: { pairs: [[1, 2]], twins: [{ id: 'x' }, { id: 'x' }] },
  } as unknown as Workshop;
}

export interface OpenedStore {
  readonly store: Store;
  /** Lets the store's clock for merging edits run on. */
  readonly advanceMs: (ms: number) => void;
  /** Opens the same workshop again after the store is closed; `null` when it keeps nothing. */
  readonly reopen: (() => Promise<Store>) | null;
}

const camera = (draft: WorkshopDraft) => {
  const [first] = draft.cameras;
  if (first === undefined) throw new Error('the draft has no camera');
  return first;
};

/** Edits of every kind, as a maker makes them; each is possible in any workshop. */
type Edit = (draft: WorkshopDraft) => void;
const text = fc.string({ maxLength: 5 });
const lengthMm = fc.double({ min: 0.001, max: 1000, noNaN: true });
let made = 100;
const anyEdit: fc.Arbitrary<Edit> = fc.oneof(
  text.map((name): Edit => (draft) => void (draft.name = name)),
  fc.tuple(fc.nat(), lengthMm, text).map(([at, value, typed]): Edit => (draft) => {
    const record = draft.cameras[at % Math.max(1, draft.cameras.length)];
    if (record === undefined) return;
    record.focalLengthMm = value;
    record.typed = { ...record.typed, focalLengthMm: typed };
  }),
  fc.tuple(fc.nat(), fc.option(lengthMm, { nil: undefined })).map(([at, value]): Edit => (draft) => {
    const record = draft.cameras[at % Math.max(1, draft.cameras.length)];
    if (record !== undefined) record.frame = { ...record.frame, widthMm: value };
  }),
  fc.nat().map((at): Edit => (draft) => {
    const record = draft.cameras[at % Math.max(1, draft.cameras.length)];
    if (record !== undefined) delete record.frame;
  }),
  fc.tuple(fc.nat(), text).map(([at, name]): Edit => (draft) => {
    draft.cameras.splice(at % (draft.cameras.length + 1), 0, { id: ID(made++), name, mountings: [] });
  }),
  fc.nat().map((at): Edit => (draft) => {
    const record = draft.cameras[at % Math.max(1, draft.cameras.length)];
    if (record !== undefined) moveToTrash(draft, 'cameras', record.id, { id: ID(made++), trashedAt: AT });
  }),
  fc.nat().map((at): Edit => (draft) => {
    const entry = draft.trash[at % Math.max(1, draft.trash.length)];
    if (entry !== undefined) restoreFromTrash(draft, entry.id);
  }),
  fc.constant<Edit>((draft) => void draft.cameras.reverse()),
  fc.tuple(fc.nat(), fc.array(fc.tuple(lengthMm, lengthMm), { minLength: 3, maxLength: 5 })).map(([at, outlineMm]): Edit => (draft) => {
    const plate = draft.plates[at % Math.max(1, draft.plates.length)];
    plate?.passes.push({ id: ID(made++), at: AT, scan: null, outlineMm, cautions: [] });
  }),
  fc.constant<Edit>((draft) => void draft.plates.pop()),
  fc.constant<Edit>((draft) => void draft.plates.push({ id: ID(made++), name: 'new', passes: [] })),
);

const lastingSteps = (opened: OpenedStore, edits: readonly Edit[]): void => {
  for (const edit of edits) {
    opened.advanceMs(5000);
    opened.store.change('edit', edit);
  }
};

export function storeContract(open: (workshop: Workshop) => Promise<OpenedStore>, runs: number): void {
  const withStore = async (workshop: Workshop, use: (opened: OpenedStore) => void | Promise<void>): Promise<void> => {
    const opened = await open(workshop);
    try {
      await use(opened);
    } finally {
      await opened.store.close();
    }
  };

  describe('reading', () => {
    it('gives the workshop it was opened with, frozen to the last field', () =>
      withStore(smallWorkshop(), ({ store }) => {
        expect(store.read()).toEqual(smallWorkshop());
        const frozen = (value: unknown): boolean =>
          typeof value !== 'object' || value === null || (Object.isFrozen(value) && Object.values(value).every(frozen));
        expect(frozen(store.read())).toBe(true);
      }));

    it('gives any workshop exactly, now and when opened again', () =>
      fc.assert(
        fc.asyncProperty(anyWorkshop, async (workshop) => {
          const opened = await open(workshop);
          expect(opened.store.read()).toEqual(workshop);
          await opened.store.close();
          if (opened.reopen === null) return;
          const again = await opened.reopen();
          expect(again.read()).toEqual(workshop);
          await again.close();
        }),
        { numRuns: runs },
      ));

    it('keeps what did not change as the same object', () =>
      withStore(smallWorkshop(), ({ store }) => {
        const before = store.read();
        store.change('focal length', (draft) => void (camera(draft).focalLengthMm = 106));
        const after = store.read();
        expect(after).not.toBe(before);
        expect(after.cameras).not.toBe(before.cameras);
        expect(after.plates).toBe(before.plates);
        expect(after.cameras[0]?.typed).toBe(before.cameras[0]?.typed);
        expect(store.read()).toBe(after);
      }));
  });

  describe('changing', () => {
    it('tells its listeners once a change is there, until they leave', () =>
      withStore(smallWorkshop(), ({ store }) => {
        const names: string[] = [];
        const leave = store.subscribe(() => names.push(store.read().name));
        store.change('name', (draft) => void (draft.name = 'Shed'));
        expect(names.at(-1)).toBe('Shed');
        leave();
        const heard = names.length;
        store.change('name', (draft) => void (draft.name = 'Attic'));
        expect(names).toHaveLength(heard);
      }));

    it('keeps unknown fields of what it changes', () =>
      withStore(smallWorkshop(), ({ store }) => {
        store.change('focal length', (draft) => void (camera(draft).focalLengthMm = 1 / 3));
        expect(store.read()).toEqual({
          ...smallWorkshop(),
          cameras: [{ ...smallWorkshop().cameras[0], focalLengthMm: 1 / 3 }],
        });
      }));

    it('refuses what is not valid and changes nothing', () =>
      withStore(smallWorkshop(), ({ store }) => {
        const before = store.read();
        const bad = (): void => store.change('focal length', (draft) => void (camera(draft).focalLengthMm = -1));
        expect(bad).toThrow(InputError);
        expect(bad).toThrow(/focalLengthMm .*is -1; it must be a number greater than 0/);
        const broken = (): void =>
          store.change('name', (draft) => {
            draft.name = 'half done';
            throw new RangeError('slip');
          });
        expect(broken).toThrow(RangeError);
        expect(store.read()).toBe(before);
        expect(store.undoLabel).toBeNull();
      }));

    it('empties a field that is set to undefined', () =>
      withStore(smallWorkshop(), ({ store }) => {
        store.change('focal length', (draft) => void (camera(draft).focalLengthMm = undefined));
        expect(Object.keys(store.read().cameras[0] ?? {})).not.toContain('focalLengthMm');
      }));

    it('makes no step of a change that changes nothing', () =>
      withStore(smallWorkshop(), ({ store }) => {
        store.change('focal length', (draft) => void (camera(draft).focalLengthMm = 135));
        store.change('nothing', () => undefined);
        expect(store.undoLabel).toBeNull();
      }));
  });

  describe('undo and redo', () => {
    it('name the step they take', () =>
      withStore(smallWorkshop(), ({ store, advanceMs }) => {
        store.change('focal length', (draft) => void (camera(draft).focalLengthMm = 106));
        advanceMs(5000);
        store.change('name', (draft) => void (draft.name = 'Shed'));
        expect([store.undoLabel, store.redoLabel]).toEqual(['name', null]);
        expect(store.undo()).toBe('name');
        expect([store.undoLabel, store.redoLabel]).toEqual(['focal length', 'name']);
        expect(store.undo()).toBe('focal length');
        expect(store.read()).toEqual(smallWorkshop());
        expect([store.undo(), store.undoLabel]).toEqual([null, null]);
        expect(store.redo()).toBe('focal length');
        expect(store.read().cameras[0]?.focalLengthMm).toBe(106);
        expect([store.undoLabel, store.redoLabel]).toEqual(['focal length', 'name']);
        expect(store.redo()).toBe('name');
        expect(store.redo()).toBeNull();
        expect(store.read().name).toBe('Shed');
      }));

    it('take a burst of edits of one field as one step', () =>
      withStore(smallWorkshop(), ({ store, advanceMs }) => {
        for (const focalLengthMm of [136, 137, 138]) {
          store.change('focal length', (draft) => {
            camera(draft).focalLengthMm = focalLengthMm;
            camera(draft).typed = { focalLengthMm: `${focalLengthMm}` };
          });
          advanceMs(300);
        }
        expect(store.undo()).toBe('focal length');
        expect(store.read()).toEqual(smallWorkshop());
        expect(store.redo()).toBe('focal length');
        expect(store.read().cameras[0]?.focalLengthMm).toBe(138);
      }));

    it('keep apart edits that are of other fields, later, or after an undo', () =>
      withStore(smallWorkshop(), ({ store, advanceMs }) => {
        const setFocalLength = (mm: number): void => store.change('focal length', (draft) => void (camera(draft).focalLengthMm = mm));
        setFocalLength(1);
        advanceMs(1500);
        setFocalLength(2);
        store.change('focal length', (draft) => void (camera(draft).woodThicknessMm = 18));
        setFocalLength(3);
        store.undo();
        expect(store.read().cameras[0]).toMatchObject({ focalLengthMm: 2, woodThicknessMm: 18 });
        setFocalLength(4);
        setFocalLength(5);
        store.undo();
        expect(store.read().cameras[0]).toMatchObject({ focalLengthMm: 2, woodThicknessMm: 18 });
        store.undo();
        store.undo();
        expect(store.read().cameras[0]?.focalLengthMm).toBe(1);
        store.undo();
        expect(store.read()).toEqual(smallWorkshop());
      }));

    it('keep apart an edit and the step redone just before it', () =>
      withStore(smallWorkshop(), ({ store }) => {
        const rename = (name: string): void => store.change('name', (draft) => void (draft.name = name));
        rename('a');
        store.undo();
        store.redo();
        rename('b');
        store.undo();
        expect(store.read().name).toBe('a');
      }));

    it('are the maker’s own: what the program enters by itself is kept, and neither undone nor in the way', () =>
      withStore(smallWorkshop(), ({ store }) => {
        store.change('focal length', (draft) => void (camera(draft).focalLengthMm = 106));
        store.enter((draft) => void (draft.notes = 'measured'));
        expect(store.read().notes).toBe('measured');
        expect(store.undoLabel).toBe('focal length');
        expect(store.undo()).toBe('focal length');
        expect(store.read()).toEqual({ ...smallWorkshop(), notes: 'measured' });
        store.enter((draft) => void (draft.notes = 'measured again'));
        expect(store.redo()).toBe('focal length');
        expect(store.read()).toMatchObject({ notes: 'measured again', cameras: [{ focalLengthMm: 106 }] });
      }));

    it('forget what was undone once something new is done', () =>
      withStore(smallWorkshop(), ({ store }) => {
        store.change('name', (draft) => void (draft.name = 'Shed'));
        store.undo();
        store.change('notes', (draft) => void (draft.notes = 'new'));
        expect(store.redoLabel).toBeNull();
        expect(store.redo()).toBeNull();
      }));

    it('go all the way back to the start and all the way on to the end', () =>
      fc.assert(
        fc.asyncProperty(fc.array(anyEdit, { minLength: 1, maxLength: 12 }), (edits) =>
          withStore(smallWorkshop(), (opened) => {
            const { store } = opened;
            const states = [store.read()];
            for (const edit of edits) {
              const count = store.read();
              lastingSteps(opened, [edit]);
              if (store.read() !== count) states.push(store.read());
            }
            const end = store.read();
            for (const state of states.slice(0, -1).reverse()) {
              store.undo();
              expect(store.read()).toEqual(state);
            }
            expect(store.undo()).toBeNull();
            for (const state of states.slice(1)) {
              store.redo();
              expect(store.read()).toEqual(state);
            }
            expect(store.redo()).toBeNull();
            expect(store.read()).toEqual(end);
          }),
        ),
        { numRuns: runs },
      ));
  });

  describe('opening another file over this one', () => {
    it('is one step, and can be undone', () =>
      fc.assert(
        fc.asyncProperty(anyWorkshop, (other) =>
          withStore(smallWorkshop(), ({ store }) => {
            store.replace('open file', other);
            expect(store.read()).toEqual(other);
            expect(store.undo()).toBe('open file');
            expect(store.read()).toEqual(smallWorkshop());
            store.redo();
            expect(store.read()).toEqual(other);
          }),
        ),
        { numRuns: runs },
      ));

    it('refuses what is no workshop', () =>
      withStore(smallWorkshop(), ({ store }) => {
        expect(() => store.replace('open file', { ...smallWorkshop(), version: 2 } as never)).toThrow(/newer version/);
        expect(store.read()).toEqual(smallWorkshop());
      }));
  });

  describe('keeping', () => {
    it('has everything after a flush, and says so', () =>
      withStore(smallWorkshop(), async ({ store }) => {
        store.change('name', (draft) => void (draft.name = 'Shed'));
        await store.flush();
        expect(store.status).toEqual({ kind: 'saved' });
      }));

    it('opens again as it was closed, without a flush', async () => {
      const opened = await open(smallWorkshop());
      lastingSteps(opened, [
        (draft) => void (draft.name = 'Shed'),
        (draft) => void (camera(draft).focalLengthMm = 0.1 + 0.2),
        (draft) => void draft.plates.pop(),
      ]);
      opened.store.undo();
      const last = opened.store.read();
      await opened.store.close();
      if (opened.reopen === null) return;
      const again = await opened.reopen();
      expect(again.read()).toEqual(last);
      expect(again.undoLabel).toBeNull();
      await again.close();
    });
  });
}
