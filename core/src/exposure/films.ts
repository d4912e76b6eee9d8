/** The films, papers and plates that come with the bench, and how one is found by name. */
import { InputError } from '../errors.ts';
import type { Evidence, Film } from './film.ts';
import { filmFrom } from './film-record.ts';
import filmData from './films.json';
import materialData from './materials.json';
import { nearestNames, sameWords } from './names.ts';

/** Films with figures or a stated limit first, then papers and materials without any. */
export const FILMS: readonly Film[] = [
  ...filmData.films.map((record) => filmFrom(record, record.name)),
  ...materialData.materials.map((record) => filmFrom(record, record.name)),
];

/** A law of the long exposure as the literature writes it, for the page that explains. */
export interface ReciprocityLawNote {
  readonly id: string;
  readonly form: string;
  readonly validity: string;
  readonly source: string;
  readonly evidence: Evidence;
}

export const RECIPROCITY_LAWS: readonly ReciprocityLawNote[] = filmData.laws as readonly ReciprocityLawNote[];

/**
 * A film by its full name, case and spacing ignored.
 * @param ownFilms the maker's own, looked through first
 * @throws InputError unknown-name, with the nearest names
 */
export function findFilm(name: string, ownFilms: readonly Film[] = []): Film {
  const all = [...ownFilms, ...FILMS];
  const found = all.find((film) => [film.name, ...film.alsoNamed].some((known) => sameWords(known, name)));
  if (found !== undefined) return found;
  const near = nearestNames(
    name,
    all.map((film) => film.name),
  );
  throw new InputError(
    'unknown-name',
    `There is no film “${name}”. The nearest names are: ${near.map((other) => `“${other}”`).join(', ')}.`,
    { path: 'film', got: name, expected: 'the full name of a film in the list' },
  );
}

/** A film by its id, as saved records hold it; `null` when there is none. */
export function filmById(id: string, ownFilms: readonly Film[] = []): Film | null {
  return [...ownFilms, ...FILMS].find((film) => film.id === id) ?? null;
}
