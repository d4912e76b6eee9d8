import { describe, expect, test } from 'vitest';
import { InputError } from '../errors.ts';
import { filmFrom } from './film-record.ts';
import { FILMS, filmById, findFilm } from './films.ts';
import { findScene, SCENES } from './scenes.ts';

describe('a film by its name', () => {
  test('case and spacing do not matter, the rest does', () => {
    expect(findFilm('  hp5   PLUS ').id).toBe('hp5-plus');
    expect(findFilm('vision3 250d/500t Motion-Picture negative').id).toBe('vision3-250d-500t');
    expect(findFilm('Harman Direct Positive paper').name).toBe('Harman Direct Positive FB');
    for (const film of FILMS) expect(findFilm(film.name.toLowerCase())).toBe(film);
  });

  test.each([
    ['HP5', 'HP5 Plus'],
    ['HP5+', 'HP5 Plus'],
    ['tri-x', 'Tri-X 400 / Tri-X 320'],
    ['Acros', 'Neopan 100 Acros / Acros II'],
    ['delta100', 'Delta 100'],
    ['Fomapan', 'Fomapan 100'],
    ['Provia', 'Provia 100F'],
    ['Portra 16', 'Portra 160'],
    ['Ilford FP4', 'FP4 Plus'],
    ['multigrade', 'Ilford Multigrade RC/FB papers'],
  ])('%s is not a full name; %s is offered', (typed, wanted) => {
    let error: unknown;
    try {
      findFilm(typed);
    } catch (thrown) {
      error = thrown;
    }
    expect(error).toBeInstanceOf(InputError);
    expect((error as InputError).code).toBe('unknown-name');
    expect((error as InputError).message).toContain(`“${wanted}”`);
  });

  test('own films come first, by name and by id', () => {
    const own = filmFrom({ id: 'mine', name: 'HP5 Plus', iso: 200 });
    expect(findFilm('hp5 plus', [own])).toBe(own);
    expect(filmById('mine', [own])).toBe(own);
    expect(filmById('mine')).toBeNull();
    expect(filmById('tri-x')?.iso).toBe(400);
  });
});

describe('a scene by its words', () => {
  test('id, words, or words that fit one scene only', () => {
    for (const scene of SCENES) {
      expect(findScene(scene.id)).toBe(scene);
      expect(findScene(scene.words.toUpperCase())).toBe(scene);
    }
    expect(findScene('overcast').id).toBe('heavy-overcast');
    expect(findScene('aurora').ev100Ev).toEqual([-4, -3]);
  });

  test('words that fit several are answered with those', () => {
    expect(() => findScene('sun')).toThrow(/fits several scenes.*hazy sun, soft shadows/);
    expect(() => findScene('')).toThrow(/There is no scene/);
  });
});
