/** Contrast from the middle of the frame to its corners. */
import { frameCorners, frameEdgeMiddles } from '../camera/geometry.ts';
import type { CameraGeometry, FilmPoint } from '../camera/geometry.ts';
import type { HoleShape } from '../optics/hole-shape.ts';
import type { SeenLight } from '../optics/seen-light.ts';
import { shapeOtf } from '../optics/shape-otf.ts';
import { slantedView } from '../optics/slanted-view.ts';
import { filmRay } from './film-ray.ts';

/** A hole in a camera, with what it looks at. */
export interface FieldView {
  readonly camera: CameraGeometry;
  readonly shape: HoleShape;
  /** Of the plate at the hole, ≥ 0; default 0. */
  readonly thicknessMm?: number;
  /** To a scene plane parallel to the front; `Infinity` for a distant one. */
  readonly objectDistanceMm: number;
  readonly light: SeenLight;
}

export interface PlaceContrast {
  /** Signed contrast of detail that repeats away from the foot (lines round it); negative is reversed. */
  readonly tangential: Float64Array;
  /** Of detail that repeats round the foot (lines away from it). */
  readonly sagittal: Float64Array;
}

/**
 * Contrast at one place of the film, tangential and sagittal (at the foot: along x and along y). Of an uneven hole the
 * part in step with the object is given.
 * Valid: as `slantedView`.
 * @param view all lengths > 0; object distance may be infinite
 * @param point on the film, from the middle of the frame
 * @param frequenciesPerMm cycles/mm on the film, finite
 * @returns null where the plate’s thickness takes all light
 * @throws InputError not-positive, negative, out-of-range, missing
 * @source optics-notes 2
 */
export function contrastAt(view: FieldView, point: FilmPoint, frequenciesPerMm: ArrayLike<number>): PlaceContrast | null {
  const { camera } = view;
  const ray = filmRay(camera, point);
  const slanted = slantedView({ ...view, focalLengthMm: camera.focalLengthMm }, ray);
  if (slanted === null) return null;
  const x = point.xMm - camera.holeShift.xMm;
  const y = point.yMm - camera.holeShift.yMm;
  const outward = x === 0 && y === 0 ? 0 : Math.atan2(y, x);
  const along = (angleRad: number): Float64Array => {
    // ν across the ray = (projection transposed)⁻¹ ν on the film
    const [a, b, c, d] = ray.projection;
    const scale = 1 / (a * d - b * c);
    const u = scale * (d * Math.cos(angleRad) - c * Math.sin(angleRad));
    const v = scale * (a * Math.sin(angleRad) - b * Math.cos(angleRad));
    const stretch = Math.hypot(u, v);
    return shapeOtf(slanted, Float64Array.from(frequenciesPerMm, (nu) => nu * stretch), Math.atan2(v, u)).real;
  };
  return { tangential: along(outward), sagittal: along(outward + Math.PI / 2) };
}

export interface FieldContrast {
  readonly place: 'foot' | 'edge' | 'corner';
  readonly point: FilmPoint;
  /** Null where the plate’s thickness takes all light. */
  readonly contrast: PlaceContrast | null;
}

/** The foot (or the place of the frame nearest to it), and the farthest edge middle and corner. */
function places(camera: CameraGeometry): { place: FieldContrast['place']; point: FilmPoint }[] {
  const within = (value: number, half: number): number => Math.min(half, Math.max(-half, value));
  const foot = {
    xMm: within(camera.holeShift.xMm, camera.frame.widthMm / 2),
    yMm: within(camera.holeShift.yMm, camera.frame.heightMm / 2),
  };
  const away = ({ xMm, yMm }: FilmPoint): number => Math.hypot(xMm - camera.holeShift.xMm, yMm - camera.holeShift.yMm);
  const farthest = (points: readonly FilmPoint[]): FilmPoint => points.reduce((a, b) => (away(b) > away(a) ? b : a));
  return [
    { place: 'foot', point: foot },
    { place: 'edge', point: farthest(Object.values(frameEdgeMiddles(camera.frame))) },
    { place: 'corner', point: farthest(Object.values(frameCorners(camera.frame))) },
  ];
}

/**
 * Contrast at the foot, the farthest edge middle and the farthest corner of the frame.
 * Valid: as `slantedView`.
 * @param view all lengths > 0; object distance may be infinite
 * @param frequenciesPerMm cycles/mm on the film, finite
 * @throws InputError not-positive, negative, out-of-range, missing
 * @source optics-notes 2
 */
export function fieldContrast(view: FieldView, frequenciesPerMm: ArrayLike<number>): readonly FieldContrast[] {
  return places(view.camera).map((at) => ({ ...at, contrast: contrastAt(view, at.point, frequenciesPerMm) }));
}
