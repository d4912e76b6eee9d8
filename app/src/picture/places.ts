/** Centre, edge and corner of a frame: the places the curves are for. */
import type { FilmPoint, CameraGeometry } from '#core';
import { fieldContrast, oneWavelength, roundShape } from '#core';

export type PlaceName = 'centre' | 'edge' | 'corner';

const CONTRAST_NAME = { centre: 'foot', edge: 'edge', corner: 'corner' } as const;

/** The same places as `fieldContrast` takes. */
export function placeOf(camera: CameraGeometry, name: PlaceName): FilmPoint {
  const any = { camera, shape: roundShape(0.1), objectDistanceMm: Infinity, light: oneWavelength(550) };
  return fieldContrast(any, [0]).find(({ place }) => place === CONTRAST_NAME[name])?.point ?? { xMm: 0, yMm: 0 };
}
