/** The light that a camera's best hole is reckoned for: what its film sees by day, or one wavelength. */
import { holesInLight } from '../optics/best-hole-colour.ts';
import type { HolesInLight } from '../optics/best-hole-colour.ts';
import { filmLight, likelyResponse } from '../optics/film-light.ts';
import type { FilmResponse } from '../optics/film-light.ts';
import { oneWavelength } from '../optics/seen-light.ts';
import type { SeenLight } from '../optics/seen-light.ts';
import { formatNumber } from '../units/figures.ts';

/** Middle of the visible spectrum, for want of a film. */
export const DEFAULT_WAVELENGTH_NM = 550;

export interface CameraLight {
  readonly light: SeenLight;
  /** Best holes in this light; keep the object, so that what it has solved serves again. */
  readonly holes: HolesInLight;
  /** What the best hole is for, to follow "in": `light of 550 nm`. */
  readonly words: string;
  /** The film's, where a film says it. */
  readonly response: FilmResponse | null;
  readonly filmName: string | null;
  /** How sure that is; null where nothing is to be said. */
  readonly note: string | null;
}

/**
 * Light of one wavelength.
 * @param wavelengthNm > 0; default 550
 * @throws InputError not-positive
 */
export function lightOfWavelength(wavelengthNm = DEFAULT_WAVELENGTH_NM): CameraLight {
  const light = oneWavelength(wavelengthNm);
  return {
    light,
    holes: holesInLight(light),
    words: `light of ${formatNumber(wavelengthNm)} nm`,
    response: null,
    filmName: null,
    note: null,
  };
}

/**
 * What a film or paper sees of daylight, without a filter.
 * Valid: a generic curve of its kind, see `likelyResponse`.
 * @param film its kind as films are listed, and its name
 */
export function lightOfFilm(film: { readonly kind: string; readonly name: string }): CameraLight {
  return lightOfResponse(likelyResponse(film), film.name);
}

/**
 * What a colour response sees of daylight, without a filter.
 * @param response generic, or the maker's own
 * @param filmName whose it is; default the response's own title
 * @throws InputError missing, where it sees nothing by day
 * @source cie-illuminants
 */
export function lightOfResponse(response: FilmResponse, filmName: string = response.title): CameraLight {
  const light = filmLight({ source: 'daylight', response });
  const holes = holesInLight(light);
  const mean = formatNumber(holes.meanWavelengthNm, { digits: 0 });
  return {
    light,
    holes,
    words: `the daylight that ${filmName} sees, about ${mean} nm`,
    response,
    filmName,
    note: response.generic
      ? `The colours that ${filmName} sees follow the generic curve of ${response.title}, good to about ±15 nm in its mean.`
      : null,
  };
}
