/** Where a plane through the axis of the hole meets the film, for drawings in section. */
import { filmSight } from './film-plane.ts';
import { frameCorners } from './geometry.ts';
import type { CameraGeometry } from './geometry.ts';

export type CutAlong = 'horizontal' | 'vertical' | 'diagonal';

/** A place in the cut: along the axis, positive to the scene, and across it from the axis of the hole. */
export interface CutPoint {
  readonly zMm: number;
  readonly acrossMm: number;
}

/** Square to the axis, of length 1, seen from the film side. */
export interface CutDirection {
  readonly xShare: number;
  readonly yShare: number;
}

/**
 * Which way is across: horizontal runs to the left, so that a cut seen from above has the scene's left on top; diagonal to
 * the corner that the hole sees farthest aside, upwards in the drawing whichever corner it is.
 */
export function cutDirection(camera: CameraGeometry, along: CutAlong): CutDirection {
  if (along === 'horizontal') return { xShare: -1, yShare: 0 };
  if (along === 'vertical') return { xShare: 0, yShare: 1 };
  const [far] = Object.values(frameCorners(camera.frame))
    .map((corner) => filmSight(camera, corner))
    .map(({ xMm, yMm, depthMm }) => ({ xMm, yMm, slope: Math.hypot(xMm, yMm) / depthMm }))
    .sort((a, b) => b.slope - a.slope);
  const { xMm, yMm } = far!;
  const length = Math.hypot(xMm, yMm);
  const sign = yMm >= 0 ? 1 : -1;
  return { xShare: (sign * xMm) / length, yShare: (sign * yMm) / length };
}

const STEPS = 48;

/**
 * The film in the cut from its low end to its high one: two points where it is straight, else a line of many.
 * @throws InputError out-of-range where a bent film would pass beside the hole
 */
export function filmCut(camera: CameraGeometry, direction: CutDirection): CutPoint[] {
  const { frame, holeShift } = camera;
  const top = frame.heightMm / 2 - holeShift.yMm;
  const foot = -frame.heightMm / 2 - holeShift.yMm;
  const ends = [frame.widthMm / 2 - holeShift.xMm, -frame.widthMm / 2 - holeShift.xMm];
  const upright = Math.abs(direction.xShare) < 1e-12;
  // film straight up from the foot, whichever way it is bent
  if (upright) return [foot, top].map((y) => ({ zMm: -camera.focalLengthMm, acrossMm: y * direction.yShare })).sort((a, b) => a.acrossMm - b.acrossMm);
  const rise = direction.yShare / direction.xShare;
  const at = (along: number): { readonly point: CutPoint; readonly inside: boolean } => {
    const { xMm, depthMm } = filmSight(camera, { xMm: holeShift.xMm + along, yMm: holeShift.yMm });
    const y = xMm * rise;
    return { point: { zMm: -depthMm, acrossMm: xMm / direction.xShare }, inside: y <= top + 1e-9 && y >= foot - 1e-9 };
  };
  const straight = camera.filmPlane === undefined || camera.filmPlane === 'flat';
  /** Where the film ends on one side: at the frame's upright edge, or before it at its top or foot. */
  const endOf = (end: number): number => {
    if (at(end).inside) return end;
    let inside = 0;
    let outside = end;
    for (let i = 0; i < 60; i++) {
      const middle = (inside + outside) / 2;
      if (at(middle).inside) inside = middle;
      else outside = middle;
    }
    return inside;
  };
  const [high, low] = ends.map(endOf).sort((a, b) => b / direction.xShare - a / direction.xShare) as [number, number];
  const steps = straight ? 1 : STEPS;
  return Array.from({ length: steps + 1 }, (_, i) => at(low + ((high - low) * i) / steps).point);
}
