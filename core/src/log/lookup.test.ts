import { describe, expect, it } from 'vitest';
import { cameraOf, filmOf, lastMounting, latestMeasuredPass, latestPass, mountedPlate, numbersOf } from './lookup.ts';
import { moveToTrash, restoreFromTrash } from './trash.ts';
import { emptyWorkshop, thawed } from './workshop.ts';
import type { CameraRecord, PassRecord, PlateRecord, Workshop } from './workshop.ts';

const pass = (id: string, diameterMm?: number): PassRecord => ({
  id,
  at: '2026-05-01T10:00:00+02:00',
  scan: null,
  ...(diameterMm !== undefined && { figures: { outlineDiameterMm: diameterMm } }),
});
const plate = (id: string, ...passes: PassRecord[]): PlateRecord => ({ id, name: id.toUpperCase(), passes });
const camera = (...mountings: [string | null, string][]): CameraRecord => ({
  id: 'camera',
  name: 'Walnut',
  focalLengthMm: 135,
  mountings: mountings.map(([plateId, mountedAt], i) => ({ id: `m${i}`, plateId, mountedAt })),
});
const workshop = (cameras: CameraRecord[], ...plates: PlateRecord[]): Workshop => ({
  ...emptyWorkshop({ id: 'w', name: 'Bench', createdAt: '2026-01-01T00:00:00Z' }),
  cameras,
  plates,
});

describe('the plate in a camera', () => {
  it('is the one mounted last by its date, whatever the offset and the order', () => {
    const box = camera(['b', '2026-05-01T10:00:00+02:00'], ['a', '2026-05-01T09:30:00Z'], ['c', '2026-04-30T23:00:00Z']);
    expect(mountedPlate(box, workshop([box], plate('a'), plate('b')))?.id).toBe('a');
  });

  it('is the one added later when two were mounted at the same instant', () => {
    const box = camera(['a', '2026-05-01T10:00:00+02:00'], ['b', '2026-05-01T08:00:00Z']);
    expect(lastMounting(box)?.plateId).toBe('b');
  });

  it('is none when nothing was mounted, when it was taken out, or when it is in the trash', () => {
    const at = '2026-05-01T10:00:00Z';
    expect(mountedPlate(camera(), workshop([]))).toBeNull();
    expect(mountedPlate(camera(['a', at], [null, at]), workshop([], plate('a')))).toBeNull();
    expect(mountedPlate(camera(['a', at]), workshop([]))).toBeNull();
  });

  it('knows its camera', () => {
    const box = camera(['a', '2026-05-01T10:00:00Z'], ['b', '2026-05-02T10:00:00Z']);
    const all = workshop([box], plate('a'), plate('b'));
    expect(cameraOf(plate('b'), all)).toBe(box);
    expect(cameraOf(plate('a'), all)).toBeNull();
  });
});

describe('the numbers of a camera', () => {
  const at = '2026-05-01T10:00:00Z';

  it('come from the last measured pass', () => {
    const a = plate('a', pass('1', 0.4), pass('2', 0.43), pass('3'));
    expect(latestPass(a)?.id).toBe('3');
    expect(latestMeasuredPass(a)?.id).toBe('2');
    const box = camera(['a', at]);
    expect(numbersOf(box, workshop([box], a))).toEqual({
      kind: 'measured',
      plateId: 'a',
      passId: '2',
      focalLengthMm: 135,
      diameterMm: 0.43,
      standardUncertaintyMm: null,
      clearDiameterMm: null,
    });
  });

  it('say what is missing first', () => {
    const unfinished: CameraRecord = { id: 'camera', name: 'Walnut', mountings: [] };
    expect(numbersOf(unfinished, workshop([]))).toMatchObject({ kind: 'missing', what: 'focal length' });
    expect(numbersOf(camera(), workshop([]))).toMatchObject({ what: 'plate' });
    expect(numbersOf(camera(['a', at]), workshop([], plate('a')))).toMatchObject({
      what: 'pass',
      sentence: 'Plate A is not measured yet: scan it and measure the hole.',
    });
    expect(latestPass(plate('a'))).toBeNull();
  });
});

describe('the film of a camera', () => {
  const paper = {
    id: 'paper',
    name: 'Paper',
    kind: 'paper',
    exposureIndex: 4,
    exposureIndexRange: [3, 6],
    notes: 'blue-sensitive',
    typed: { exposureIndex: '4' },
  } as const;
  const withFilms = (...films: Workshop['films']): Workshop => ({ ...workshop([]), films });

  it('is one of the list by its name', () => {
    expect(filmOf({ ...camera(), filmName: 'hp5 plus' }, withFilms())).toMatchObject({ film: { name: 'HP5 Plus', iso: 400 }, exposureIndex: null });
  });

  it('is one of the workshop’s own by its id, with the index set for it or for this camera', () => {
    const box = { ...camera(), filmId: 'paper', filmName: 'HP5 Plus' };
    expect(filmOf(box, withFilms(paper))).toMatchObject({
      film: { name: 'Paper', exposureIndexRange: [3, 6], note: 'blue-sensitive', law: { model: 'none' } },
      exposureIndex: 4,
    });
    expect(filmOf({ ...box, exposureIndex: 6 }, withFilms(paper))?.exposureIndex).toBe(6);
  });

  it('takes the figures of a listed film that it follows, and its own where it has some', () => {
    const box = { ...camera(), filmId: 'own' };
    const film = filmOf(box, withFilms({ id: 'own', name: 'From the freezer', listName: 'HP5 Plus', iso: 320 }))?.film;
    expect(film).toMatchObject({ id: 'own', name: 'From the freezer', iso: 320, law: { model: 'power', exponent: 1.31 } });
  });

  it('is none when nothing is said or nothing is known by that name', () => {
    expect(filmOf(camera(), withFilms())).toBeNull();
    expect(filmOf({ ...camera(), filmName: 'Moonlight 3' }, withFilms())).toBeNull();
    expect(filmOf({ ...camera(), filmId: 'gone' }, withFilms())).toBeNull();
  });
});

describe('the trash', () => {
  const entry = { id: 't', trashedAt: '2026-05-01T10:00:00Z' };

  it('keeps a record as it was and gives it back', () => {
    const a = { ...plate('a', pass('1', 0.4)), unknown: [1] } as PlateRecord;
    const draft = thawed(workshop([], a));
    moveToTrash(draft, 'plates', 'a', entry);
    expect(draft.plates).toEqual([]);
    expect(draft.trash).toEqual([{ ...entry, list: 'plates', record: a }]);
    restoreFromTrash(draft, 't');
    expect(draft.plates).toEqual([a]);
    expect(draft.trash).toEqual([]);
  });

  it('says when there is nothing to move, nothing to restore, or no room for it', () => {
    const draft = thawed(workshop([], plate('a')));
    expect(() => moveToTrash(draft, 'plates', 'b', entry)).toThrow(/not in the workshop any more/);
    expect(() => restoreFromTrash(draft, 't')).toThrow(/not in the trash any more/);
    moveToTrash(draft, 'plates', 'a', entry);
    draft.plates.push(thawed(plate('a')));
    expect(() => restoreFromTrash(draft, 't')).toThrow(/already has this record/);
  });
});
