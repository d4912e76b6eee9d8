/**
 * A camera as geometry: a flat frame, a hole in front of it, nothing else.
 *
 * Film coordinates: origin in the middle of the frame, x right, y up, seen from the film side (from behind
 * the camera, looking at the scene). The foot is the point straight behind the hole. What lies to the
 * right of the foot on the film shows the scene to the left of the axis, and above shows below; so a
 * hole moved up (rise) sees more of what is above.
 */
import { InputError, requirePositive } from '../errors.ts';

export interface Frame {
  /** Of the image area, > 0. */
  readonly widthMm: number;
  /** Of the image area, > 0. */
  readonly heightMm: number;
}

export interface FilmPoint {
  readonly xMm: number;
  readonly yMm: number;
}

/**
 * `flat`; `cylinder`: bent about an upright axis through the hole, radius = focal length; `can`: lining the wall of a
 * can with the hole in the wall opposite, inside diameter = focal length.
 */
export type FilmPlane = 'flat' | 'cylinder' | 'can';

export const FILM_PLANES: readonly FilmPlane[] = ['flat', 'cylinder', 'can'];

export interface CameraGeometry {
  readonly frame: Frame;
  /** From the hole's sharp edge to the film, > 0. */
  readonly focalLengthMm: number;
  /** Of the foot from the middle of the frame, in film coordinates. */
  readonly holeShift: FilmPoint;
  /** Default flat. */
  readonly filmPlane?: FilmPlane;
}

export type CornerName = 'top-left' | 'top-right' | 'bottom-left' | 'bottom-right';
export type EdgeName = 'left' | 'right' | 'top' | 'bottom';

export const CENTRED: FilmPoint = { xMm: 0, yMm: 0 };

/** @throws InputError not-positive */
export function requireFrame(frame: Frame): void {
  requirePositive(frame.widthMm, 'frame.widthMm', 'mm');
  requirePositive(frame.heightMm, 'frame.heightMm', 'mm');
}

/** @throws InputError not-positive, out-of-range */
export function requireCamera(camera: CameraGeometry): void {
  requireFrame(camera.frame);
  requirePositive(camera.focalLengthMm, 'focalLengthMm', 'mm');
  requirePoint(camera.holeShift, 'holeShift');
}

/** @throws InputError out-of-range */
export function requirePoint(point: FilmPoint, path: string): void {
  if (Number.isFinite(point.xMm) && Number.isFinite(point.yMm)) return;
  throw new InputError('out-of-range', `${path} must be two finite lengths, but is ${point.xMm}, ${point.yMm} mm.`, {
    path,
    got: point,
    expected: 'finite xMm and yMm',
  });
}

/** The corners of the frame on the film, named as seen from the film side. */
export function frameCorners(frame: Frame): Readonly<Record<CornerName, FilmPoint>> {
  const x = frame.widthMm / 2;
  const y = frame.heightMm / 2;
  return {
    'top-left': { xMm: -x, yMm: y },
    'top-right': { xMm: x, yMm: y },
    'bottom-left': { xMm: -x, yMm: -y },
    'bottom-right': { xMm: x, yMm: -y },
  };
}

/** The middles of the frame's edges on the film, named as seen from the film side. */
export function frameEdgeMiddles(frame: Frame): Readonly<Record<EdgeName, FilmPoint>> {
  const x = frame.widthMm / 2;
  const y = frame.heightMm / 2;
  return {
    left: { xMm: -x, yMm: 0 },
    right: { xMm: x, yMm: 0 },
    top: { xMm: 0, yMm: y },
    bottom: { xMm: 0, yMm: -y },
  };
}

/** Distance of a film point from the foot, along the film. */
export function distanceFromFootMm(camera: CameraGeometry, point: FilmPoint): number {
  return Math.hypot(point.xMm - camera.holeShift.xMm, point.yMm - camera.holeShift.yMm);
}
