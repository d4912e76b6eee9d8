/** The ray from the hole to a place on the film, flat or bent to a cylinder about the hole. */
import { requireCamera, requirePoint } from '../camera/geometry.ts';
import type { CameraGeometry, FilmPoint } from '../camera/geometry.ts';
import { InputError } from '../errors.ts';
import type { Slant } from '../optics/slanted-view.ts';

/** `cylinder`: bent about an upright axis through the hole, radius = focal length; x is then measured along the film. */
export type FilmSurface = 'flat' | 'cylinder';

export interface PictureCamera extends CameraGeometry {
  /** Default flat. */
  readonly filmSurface?: FilmSurface;
}

export interface FilmRay extends Slant {
  /** From film offsets (x, y) to offsets across the ray (away from the axis, across): row by row. */
  readonly projection: readonly [number, number, number, number];
  /** Light against the foot, 1 there: the hole narrowed, the film slanting, the distance; without the plate's thickness. */
  readonly lightShare: number;
  /** Where the ray comes from: slopes against the axis, to the right and up in the scene as seen from the film side. */
  readonly sceneSlope: readonly [number, number];
}

/**
 * The ray to a film point.
 *   flat: light cos⁴ θ; cylinder: cos φ cos⁴ ψ, φ along the film, ψ up
 * Valid: evenly lit scene, thin plate; on a cylinder less than a right angle to either side.
 * @param camera frame and focal length > 0
 * @param point on the film, x along it, from the middle of the frame
 * @throws InputError not-positive, out-of-range
 * @source optics-notes 2
 */
export function filmRay(camera: PictureCamera, point: FilmPoint): FilmRay {
  requireCamera(camera);
  requirePoint(point, 'point');
  const f = camera.focalLengthMm;
  const along = point.xMm - camera.holeShift.xMm;
  const y = point.yMm - camera.holeShift.yMm;
  const bend = camera.filmSurface === 'cylinder' ? along / f : 0;
  if (!(Math.abs(bend) < Math.PI / 2)) {
    throw new InputError('out-of-range', `No ray reaches the film ${along} mm along a cylinder of radius ${f} mm: it lies behind the hole.`, {
      path: 'point',
      got: along,
      expected: `within ${(f * Math.PI) / 2} mm`,
    });
  }
  const cosBend = Math.cos(bend);
  const sinBend = Math.sin(bend);
  const curved = camera.filmSurface === 'cylinder';
  const x = curved ? f * sinBend : along;
  const depth = curved ? f * cosBend : f;
  const across = Math.hypot(x, y);
  const distanceMm = Math.hypot(across, depth);
  const azimuthRad = across === 0 ? 0 : Math.atan2(y, x);
  const cosAzimuth = Math.cos(azimuthRad);
  const sinAzimuth = Math.sin(azimuthRad);
  const cos = depth / distanceMm;
  const sin = across / distanceMm;
  // e1 = (cos θ cos φ, cos θ sin φ, -sin θ), e2 = (-sin φ, cos φ, 0); film tangents (cos b, 0, -sin b) and (0, 1, 0)
  const projection = [
    cos * cosAzimuth * cosBend + sin * sinBend,
    cos * sinAzimuth,
    -sinAzimuth * cosBend,
    cosAzimuth,
  ] as const;
  const facing = (x * sinBend + depth * cosBend) / distanceMm;
  return {
    azimuthRad,
    slantRad: Math.atan2(across, depth),
    distanceMm,
    projection,
    lightShare: cos * facing * (f / distanceMm) ** 2,
    // what lies to the right on the film comes from the left
    sceneSlope: [-x / depth, -y / depth],
  };
}
