/** Films and papers as a list to choose from, the same on every page. */
import type { Film, Workshop } from '#core';
import { FILMS } from '#core';

export interface FilmOption {
  readonly value: string;
  readonly label: string;
  readonly group: string;
}

/** What a camera or a question keeps of its film. */
interface FilmHolder {
  readonly filmName?: string | undefined;
  readonly filmId?: string | undefined;
}

const order = ['', 'Of this workshop', 'Papers', 'Black and white films', 'Colour films', 'Plates and others'];

function groupOf({ kind }: Film): string {
  if (kind === 'paper' || kind === 'direct-positive-paper') {
    return 'Papers';
  }
  return kind === 'bw-negative' ? 'Black and white films' : kind.startsWith('colour') ? 'Colour films' : 'Plates and others';
}

function speedOf({ iso, exposureIndexRange }: Film): string {
  if (exposureIndexRange !== null) {
    const [lo, hi] = exposureIndexRange;
    return lo === hi ? `, index ${lo}` : `, index ${lo} to ${hi}`;
  }
  return iso === null ? '' : `, ISO ${iso}`;
}

/** @param none what is said of no film at all */
export function filmOptions(workshop: Workshop, none: string): FilmOption[] {
  return [
    { value: 'none', label: none, group: '' },
    ...workshop.films.map(({ id, name }) => ({ value: `own:${id}`, label: name, group: 'Of this workshop' })),
    ...[...FILMS]
      .sort((a, b) => a.name.localeCompare(b.name))
      .map((each) => ({ value: `list:${each.name}`, label: `${each.name}${speedOf(each)}`, group: groupOf(each) }))
      .sort((a, b) => order.indexOf(a.group) - order.indexOf(b.group)),
  ];
}

/** The value of the film that stands; `film` is what the core made of it. */
export function filmValue(holder: FilmHolder, film: Film | null, workshop: Workshop): string {
  if (film === null) {
    return 'none';
  }
  return workshop.films.some(({ id }) => id === holder.filmId) ? `own:${holder.filmId}` : `list:${film.name}`;
}

export function chosenFilm(value: string): { readonly name?: string; readonly id?: string } {
  return value.startsWith('own:') ? { id: value.slice(4) } : value.startsWith('list:') ? { name: value.slice(5) } : {};
}
