import { describe, expect, it } from 'vitest';
import { FILMS, answeredExposure, emptyWorkshop, exposureTime, filmFrom, filmOf, findFilm, giveAsPlanned, ownFilmRecord, ownFilms, revisedFilmRecord, roundedTimeS, thawed } from '#core';
import type { FilmRecord, Workshop } from '#core';
import { parseWorkshop, serialiseWorkshop } from '../schema.ts';

const ID = '0193a000-0000-7000-8000-000000000001';

function withFilm(record: FilmRecord): Workshop {
  const head = { id: '0193a000-0000-7000-8000-0000000000aa', name: 'W', createdAt: '2026-01-02T03:04:05Z' };
  return parseWorkshop(serialiseWorkshop({ ...emptyWorkshop(head), films: [record] } as Workshop));
}

describe('a film kept in the workshop', () => {
  it.each(FILMS)('$name goes through the file and comes back as it was', (film) => {
    const workshop = withFilm(ownFilmRecord(film, { id: ID, name: 'my copy' }));
    const [back] = ownFilms(workshop);
    expect(back?.film).toEqual({ ...film, id: ID, name: 'my copy', alsoNamed: [] });
    expect(back?.exposureIndex).toBeNull();
  });

  it('keeps a learnt speed, and that it was learnt in a pinhole camera', () => {
    const film = filmFrom({ name: 'x', iso: 100, law: { model: 'power', exponent: 1.3 }, source: 'own tests', evidence: 'tested' });
    const workshop = withFilm(ownFilmRecord(film, { id: ID, name: 'Mine', exposureIndex: 64, learntInPinhole: true }));
    const camera = { id: '0193a000-0000-7000-8000-000000000002', name: 'C', filmId: ID, mountings: [] };
    expect(filmOf(camera, workshop)).toMatchObject({ exposureIndex: 64, learntInPinhole: true, film: { name: 'Mine', evidence: 'tested' } });
    // a speed set for the camera may come from anywhere
    expect(filmOf({ ...camera, exposureIndex: 80 }, workshop)).toMatchObject({ exposureIndex: 80, learntInPinhole: false });
  });
});

describe('a film that is changed', () => {
  it('keeps its id, its learnt index and what others wrote into it, and says the rest anew', () => {
    const film = filmFrom({ name: 'Mine', iso: 100, law: { model: 'power', exponent: 1.3 }, source: 'own tests', evidence: 'tested', note: 'old' });
    const before = { ...ownFilmRecord(film, { id: ID, name: 'Mine', exposureIndex: 64, learntInPinhole: true }), shelf: 'left' } as FilmRecord;
    const after = revisedFilmRecord(before, filmFrom({ ...film, name: 'Mine, 2nd box', iso: 80, note: null }), 64);
    expect(after).toMatchObject({ id: ID, name: 'Mine, 2nd box', iso: 80, exposureIndex: 64, learntInPinhole: true, shelf: 'left', law: film.law });
    expect('notes' in after).toBe(false);
    const [back] = ownFilms(withFilm(after));
    expect(back?.film).toMatchObject({ name: 'Mine, 2nd box', iso: 80, note: null });
    const reset = revisedFilmRecord(before, film, 50);
    expect(reset).toMatchObject({ exposureIndex: 50 });
    expect('learntInPinhole' in reset).toBe(false);
    expect('exposureIndex' in revisedFilmRecord(before, film, null)).toBe(false);
    expect(() => revisedFilmRecord(before, { ...film, iso: -1 }, null)).toThrow();
  });
});

describe('an exposure that was given', () => {
  it('keeps planned and given apart, and goes through the file', () => {
    const question = { fNumber: 250, light: { kind: 'ev', ev100Ev: 12 }, film: findFilm('HP5 Plus'), filterStops: 3 } as const;
    const answer = exposureTime(question);
    const record = answeredExposure({ id: ID, at: '2026-06-21T14:05:00+02:00', camera: null, workshop: null, question, answer, givenS: 90, sheet: '4 A' });
    expect(record).toMatchObject({ filterFactor: 8, filmName: 'HP5 Plus', exposureIndex: 400, given: { timeS: 90 }, planned: { correctedS: answer.correctedS } });
    const workshop = withFilm(ownFilmRecord(question.film, { id: ID, name: 'f' }));
    const back = parseWorkshop(serialiseWorkshop({ ...workshop, exposures: [record] }));
    expect(back.exposures[0]).toEqual(record);
    expect(thawed(back.exposures)).toHaveLength(1);
  });
});

describe('an answer that is planned', () => {
  it('carries camera, plate, pass, film and light of the answer, is not given yet, and is given as planned afterwards', () => {
    const at = '2026-06-21T14:05:00+02:00';
    const id = (n: number): string => `0193a000-0000-7000-8000-00000000001${n}`;
    const pass = { id: id(1), at, scan: null, figures: { outlineDiameterMm: 0.4, outlineStandardUncertaintyMm: 0.002 } };
    const plate = { id: id(2), name: 'P-1', createdAt: at, passes: [pass] };
    const camera = { id: id(3), name: 'C', focalLengthMm: 100, filmId: ID, mountings: [{ id: id(4), plateId: plate.id, mountedAt: at }] };
    const kept = ownFilmRecord(findFilm('HP5 Plus'), { id: ID, name: 'Box of March' });
    const workshop = parseWorkshop(serialiseWorkshop({ ...withFilm(kept), cameras: [camera], plates: [plate] } as Workshop));
    const question = { fNumber: 250, light: { kind: 'ev', ev100Ev: 12 }, film: ownFilms(workshop)[0]?.film ?? null } as const;
    const answer = exposureTime(question);
    const record = answeredExposure({ id: id(5), at, camera, workshop, question, answer });
    expect(record).toMatchObject({
      cameraId: id(3), plateId: id(2), passId: id(1), filmId: ID, filmName: 'Box of March', fNumber: 250,
      light: { kind: 'ev', ev100Ev: 12 }, planned: { correctedS: answer.correctedS },
    });
    expect('given' in record).toBe(false);
    const draft = thawed(parseWorkshop(serialiseWorkshop({ ...workshop, exposures: [record] })));
    giveAsPlanned(draft, id(5), '2026-06-21T14:09:00+02:00');
    expect(draft.exposures[0]).toMatchObject({ ...record, given: { timeS: roundedTimeS(answer.correctedS) } });
    // a hole that was typed is of no pass
    expect(answeredExposure({ id: id(5), at, camera: { ...camera, mountings: [] }, workshop, question, answer })).not.toHaveProperty('passId');
  });
});
