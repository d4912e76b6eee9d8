/** Which light a hole is reckoned for: a wavelength, a film, a kind of film, or what a camera of a workshop says. */
import {
  FILM_RESPONSES,
  filmOf,
  filmResponse,
  findFilm,
  likelyResponse,
  lightOfCamera,
  lightOfResponse,
  lightOfWavelength,
  ownFilms,
} from '#core';
import type { CameraLight, CameraRecord, FilmResponse, Workshop } from '#core';
import { parseWavelengthNm } from './camera-choice.ts';

/** As the maker wrote them. */
export interface LightOptions {
  readonly wavelengthNm?: string;
  readonly film?: string;
}

export interface ChosenLight {
  readonly light: CameraLight;
  /** What the reader should know beside it. */
  readonly notes: readonly string[];
}

/** The colour response of a film of the workshop or of the list, or of a kind of film, with the film's own name. */
export function namedResponse(name: string, workshop: Workshop | null): { readonly response: FilmResponse; readonly name: string } {
  const wanted = name.trim().toLowerCase();
  if (FILM_RESPONSES.some(({ id }) => id === wanted)) {
    const response = filmResponse(wanted);
    return { response, name: response.title };
  }
  const own = workshop === null ? [] : ownFilms(workshop).map(({ film }) => film);
  const film = own.find((each) => each.name.trim().toLowerCase() === wanted) ?? findFilm(name);
  return { response: likelyResponse(film), name: film.name };
}

/**
 * The word of the call counts before that of the workshop, and a wavelength before a film.
 * @throws InputError when an option is not understood or no such film is known
 */
export function chosenCameraLight(options: LightOptions, record: CameraRecord | null, workshop: Workshop | null): ChosenLight {
  if (options.wavelengthNm !== undefined) {
    const wavelengthNm = parseWavelengthNm(options.wavelengthNm, '--wavelength-nm');
    const film = options.film;
    const light = lightOfWavelength(wavelengthNm);
    return {
      light,
      notes: film === undefined ? [] : [`--wavelength-nm counts: ${light.words}. Leave it out for the colours that ${film} sees.`],
    };
  }
  if (options.film !== undefined) {
    const { response, name } = namedResponse(options.film, workshop);
    return withNote(lightOfResponse(response, name));
  }
  if (record === null || workshop === null) return withNote(record?.wavelengthNm === undefined ? lightOfWavelength() : lightOfWavelength(record.wavelengthNm));
  const chosen = withNote(lightOfCamera(record, workshop));
  const loaded = record.wavelengthNm === undefined ? null : filmOf(record, workshop)?.film.name;
  if (loaded !== null && loaded !== undefined) {
    return { ...chosen, notes: [`${record.name} states ${chosen.light.words}; with --film "${loaded}" the colours that the film sees count.`] };
  }
  if (record.filmName !== undefined && chosen.light.filmName === null && record.wavelengthNm === undefined) {
    return { ...chosen, notes: [`${record.filmName} is in no list, so its colours are not known: ${chosen.light.words} is taken.`] };
  }
  return chosen;
}

function withNote(light: CameraLight): ChosenLight {
  return { light, notes: light.note === null ? [] : [light.note] };
}
