/** How much of the world a camera takes in, side by side and corner by corner. */
import { requirePositive } from '../errors.ts';
import { filmAngleRad, filmSight } from './film-plane.ts';
import { CENTRED, distanceFromFootMm, frameCorners, requireCamera } from './geometry.ts';
import type { CameraGeometry, CornerName, FilmPoint, Frame } from './geometry.ts';

/** The frame that angles of view are compared with, 24 × 36 mm. */
export const SMALL_FRAME: Frame = { widthMm: 36, heightMm: 24 };

export interface CornerView {
  readonly name: CornerName;
  /** On the film. */
  readonly point: FilmPoint;
  readonly distanceFromFootMm: number;
  /** From the axis. */
  readonly angleRad: number;
}

export interface FieldOfView {
  /**
   * How far the camera sees to each side of the axis, from behind the camera. One of a pair is negative
   * when the hole stands outside the frame: then the axis itself is not in the picture.
   */
  readonly leftRad: number;
  readonly rightRad: number;
  readonly upRad: number;
  readonly downRad: number;
  /** left + right, in the plane through the hole that stands upright on the film. */
  readonly horizontalRad: number;
  /** up + down, likewise. */
  readonly verticalRad: number;
  /** Angle at the hole between the rays to opposite corners; the wider of the two. */
  readonly diagonalRad: number;
  /** Both: top left to bottom right of the film, and top right to bottom left. Equal for a centred hole. */
  readonly diagonalsRad: readonly [number, number];
  readonly corners: readonly CornerView[];
  /**
   * Focal length that draws the scene equally large in proportion to the diagonal of 24 × 36 mm. Moving the hole
   * does not change it, as with a shifted lens. Bent film draws at no one scale: there it is the focal length with which
   * flat 24 × 36 mm sees as wide an angle.
   */
  readonly equivalentByDiagonalMm: number;
  /** The same in proportion to the width, 24 × 36 mm held the same way round as the frame. */
  readonly equivalentByWidthMm: number;
  /** Diameter of the circle about the foot that holds the whole frame. */
  readonly imageCircleMm: number;
}

/**
 * Field of view of a flat-film camera, the hole in the middle or not.
 *   side = atan((half width ± shift) / f);  diagonal = angle between the rays to opposite corners
 * Valid: flat film, a hole far smaller than the frame.
 * @param camera frame and focal length > 0; any shift
 * @throws InputError not-positive, out-of-range
 * @source camera-notes
 */
export function fieldOfView(camera: CameraGeometry): FieldOfView {
  requireCamera(camera);
  const { frame, focalLengthMm: f, holeShift } = camera;
  // the film left of the foot draws what is to the right
  const edge = (xMm: number, yMm: number, axis: 'xMm' | 'yMm'): number => {
    const sight = filmSight(camera, { xMm, yMm });
    return Math.atan(sight[axis] / sight.depthMm);
  };
  const rightRad = -edge(-frame.widthMm / 2, holeShift.yMm, 'xMm');
  const leftRad = edge(frame.widthMm / 2, holeShift.yMm, 'xMm');
  const upRad = -edge(holeShift.xMm, -frame.heightMm / 2, 'yMm');
  const downRad = edge(holeShift.xMm, frame.heightMm / 2, 'yMm');
  const at = frameCorners(frame);
  const corners = (Object.keys(at) as CornerName[]).map((name) => ({
    name,
    point: at[name],
    distanceFromFootMm: distanceFromFootMm(camera, at[name]),
    angleRad: filmAngleRad(camera, at[name]),
  }));
  const diagonalsRad = [
    angleBetweenRad(camera, at['top-left'], at['bottom-right']),
    angleBetweenRad(camera, at['top-right'], at['bottom-left']),
  ] as const;
  const diagonalRad = Math.max(...diagonalsRad);
  const horizontalRad = leftRad + rightRad;
  const smallWidthMm = frame.widthMm >= frame.heightMm ? SMALL_FRAME.widthMm : SMALL_FRAME.heightMm;
  const flat = camera.filmPlane === undefined || camera.filmPlane === 'flat';
  const seeing = (acrossMm: number, angleRad: number): number => acrossMm / 2 / Math.tan(angleRad / 2);
  return {
    leftRad,
    rightRad,
    upRad,
    downRad,
    horizontalRad,
    verticalRad: upRad + downRad,
    diagonalRad,
    diagonalsRad,
    corners,
    equivalentByDiagonalMm: flat ? (f * diagonalMm(SMALL_FRAME)) / diagonalMm(frame) : seeing(diagonalMm(SMALL_FRAME), diagonalRad),
    equivalentByWidthMm: flat ? (f * smallWidthMm) / frame.widthMm : seeing(smallWidthMm, horizontalRad),
    imageCircleMm: 2 * Math.max(...corners.map((corner) => corner.distanceFromFootMm)),
  };
}

/** Diagonal of a frame. */
export function diagonalMm(frame: Frame): number {
  return Math.hypot(frame.widthMm, frame.heightMm);
}

/** Angle at the hole between the rays to two film points; atan2 keeps its digits for narrow ones too. */
function angleBetweenRad(camera: CameraGeometry, one: FilmPoint, other: FilmPoint): number {
  const a = filmSight(camera, one);
  const b = filmSight(camera, other);
  // at one depth the differences keep their digits
  const level = a.depthMm === b.depthMm;
  const crossX = level ? a.depthMm * (a.yMm - b.yMm) : a.yMm * b.depthMm - a.depthMm * b.yMm;
  const crossY = level ? a.depthMm * (b.xMm - a.xMm) : a.depthMm * b.xMm - a.xMm * b.depthMm;
  const cross = Math.hypot(crossX, crossY, a.xMm * b.yMm - a.yMm * b.xMm);
  return Math.atan2(cross, a.xMm * b.xMm + a.yMm * b.yMm + a.depthMm * b.depthMm);
}

/** Width and height of the part of a flat scene that fills the frame, at a distance from the hole. */
export interface SceneArea {
  readonly widthMm: number;
  readonly heightMm: number;
}

/**
 * What fills the frame at a distance.
 *   size of the scene = size on the film · u / f
 * Valid: a flat scene parallel to the film.
 * @param camera frame and focal length > 0
 * @param objectDistanceMm > 0, finite, from the hole
 * @throws InputError not-positive, out-of-range
 */
export function sceneAreaAt(camera: CameraGeometry, objectDistanceMm: number): SceneArea {
  requireCamera(camera);
  requirePositive(objectDistanceMm, 'objectDistanceMm', 'mm');
  const scale = objectDistanceMm / camera.focalLengthMm;
  return { widthMm: camera.frame.widthMm * scale, heightMm: camera.frame.heightMm * scale };
}

/** A camera with the hole in the middle. */
export function centredCamera(frame: Frame, focalLengthMm: number): CameraGeometry {
  return { frame, focalLengthMm, holeShift: CENTRED };
}
