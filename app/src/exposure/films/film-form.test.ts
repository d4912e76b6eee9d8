import { describe, expect, it } from 'vitest';
import { FILMS, correctedTimeS, filmFrom, findFilm } from '#core';
import { EMPTY_FORM, filmOfForm, formOf } from './film-form.ts';

const typed = (value: number) => ({ value, typed: null });

describe('the form of an own film', () => {
  it('makes a paper with a range of exposure indices, in either order', () => {
    const paper = filmOfForm({ ...EMPTY_FORM, name: 'Old box', kind: 'paper', speed: typed(6), fastest: typed(3) }, null);
    expect(paper).toMatchObject({ iso: null, exposureIndexRange: [3, 6], law: { model: 'none' }, source: 'own figures' });
    expect(filmOfForm({ ...EMPTY_FORM, name: 'x', kind: 'paper', speed: typed(5) }, null).exposureIndexRange).toEqual([5, 5]);
  });

  it('takes every law, and says which figure is missing', () => {
    const t = (form: Partial<typeof EMPTY_FORM>): number => correctedTimeS(filmOfForm({ ...EMPTY_FORM, name: 'x', speed: typed(100), ...form }, null), 10);
    expect(t({ law: 'power', parameter: '1,31' })).toBeCloseTo(20.42, 2);
    expect(t({ law: 'covington', parameter: '0.85' })).toBeCloseTo(11 ** (1 / 0.85) - 1, 9);
    expect(t({ law: 'modified-schwarzschild', parameter: '0.1' })).toBeCloseTo(10 + 0.1 * 10 ** 1.62, 9);
    expect(t({ law: 'table', rows: '1 s; 1 s\n10 s; 50 s' })).toBeCloseTo(50, 9);
    expect(t({ law: 'like', like: 'HP5 Plus' })).toBeCloseTo(correctedTimeS(findFilm('HP5 Plus'), 10), 9);
    expect(() => t({ law: 'power', parameter: 'steep' })).toThrow(/exponent/);
    expect(() => filmOfForm(EMPTY_FORM, null)).toThrow(/name/);
  });

  it.each(FILMS)('$name comes back from the form as it went in: nothing is lost on the way', (film) => {
    expect(filmOfForm(formOf(film), film)).toEqual({ ...film, id: filmFrom({ ...film }).id });
  });

  it('changes the figures that are touched, and drops what belonged to the old ones', () => {
    const film = filmFrom({ ...findFilm('HP5 Plus'), id: 'mine', name: 'Mine', note: 'cold' });
    const changed = filmOfForm({ ...formOf(film), law: 'covington', parameter: '0.8' }, film);
    expect(changed).toMatchObject({ id: 'mine', law: { model: 'covington', p: 0.8 }, alternates: [], evidence: 'none', note: 'cold' });
    const faster = filmOfForm({ ...formOf(film), speed: typed(800) }, film);
    expect(faster).toMatchObject({ iso: 800, law: film.law, alternates: film.alternates, evidence: film.evidence });
  });
});
