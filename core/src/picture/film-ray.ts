/** The ray from the hole to a place on the film, flat or bent. */
import { filmSight } from '../camera/film-plane.ts';
import { requireCamera, requirePoint } from '../camera/geometry.ts';
import type { CameraGeometry, FilmPoint } from '../camera/geometry.ts';
import type { Slant } from '../optics/slanted-view.ts';

export interface FilmRay extends Slant {
  /** From film offsets (x, y) to offsets across the ray (away from the axis, across): row by row. */
  readonly projection: readonly [number, number, number, number];
  /** Light against the foot, 1 there: the hole narrowed, the film slanting, the distance; without the plate's thickness. */
  readonly lightShare: number;
  /** Where the ray comes from: slopes against the axis, to the right and up in the scene as seen from the film side. */
  readonly sceneSlope: readonly [number, number];
}

/**
 * The ray to a film point; place and light as `filmSight` has them.
 * Valid: evenly lit scene, thin plate; bent film less than a right angle to either side of the hole.
 * @param camera frame and focal length > 0
 * @param point on the film, x along it, from the middle of the frame
 * @throws InputError not-positive, out-of-range
 * @source optics-notes 2
 */
export function filmRay(camera: CameraGeometry, point: FilmPoint): FilmRay {
  requireCamera(camera);
  requirePoint(point, 'point');
  const { xMm: x, yMm: y, depthMm: depth, bendRad, falloffStops } = filmSight(camera, point);
  const cosBend = Math.cos(bendRad);
  const sinBend = Math.sin(bendRad);
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
  return {
    azimuthRad,
    slantRad: Math.atan2(across, depth),
    distanceMm,
    projection,
    lightShare: 2 ** -falloffStops,
    // what lies to the right on the film comes from the left
    sceneSlope: [-x / depth, -y / depth],
  };
}
