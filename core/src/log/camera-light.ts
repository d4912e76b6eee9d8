/** The light a camera of the workshop is reckoned for. */
import { lightOfFilm, lightOfWavelength } from '../camera/camera-light.ts';
import type { CameraLight } from '../camera/camera-light.ts';
import { filmOf } from './lookup.ts';
import type { CameraRecord, Workshop } from './workshop.ts';

/**
 * What a camera's best hole is for: the wavelength that its maker stated, else what the film in it sees by day, else
 * 550 nm.
 * @param camera null: no camera yet
 * @throws InputError when a film of the workshop's own has figures that cannot be right
 */
export function lightOfCamera(camera: CameraRecord | null, workshop: Pick<Workshop, 'films'>): CameraLight {
  if (camera?.wavelengthNm !== undefined) return lightOfWavelength(camera.wavelengthNm);
  const film = camera === null ? null : filmOf(camera, workshop)?.film;
  return film === null || film === undefined ? lightOfWavelength() : lightOfFilm(film);
}
