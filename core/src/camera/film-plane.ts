/**
 * How the film lies behind the hole, and where a point of it is in space.
 *
 * Points of a bent film are measured along the film, as on the flat sheet: x from the middle of the frame to the right,
 * seen from the film side.
 */
import { InputError } from '../errors.ts';
import type { CameraGeometry, FilmPoint } from './geometry.ts';

/** A film point as the hole sees it. */
export interface FilmSight {
  /** From the hole's axis, x right, y up, seen from the film side. */
  readonly xMm: number;
  readonly yMm: number;
  /** Behind the hole, along the axis, > 0. */
  readonly depthMm: number;
  /** How far the film is turned here from square to the axis, its free ends towards the hole: the sign of the way along it. */
  readonly bendRad: number;
  /** Light lost against the foot, stops ≥ 0: the hole narrowed, the film slanting, the distance; thin plate, no layers. */
  readonly falloffStops: number;
}

/**
 * Where a film point is, and what the way to it costs.
 *   flat:     cos⁴ θ
 *   cylinder: cos φ cos⁴ ψ, φ = x/f along the film, ψ up
 *   can:      cos⁴ ψ, with φ = x/f at the hole: the hole narrowed by cos φ and the film slanting by cos φ are made up for
 *             exactly by the shorter way f cos φ
 * Valid: evenly lit scene.
 * @param camera frame and focal length > 0
 * @param point on the film, x along it
 * @throws InputError out-of-range where a bent film would pass beside the hole
 * @source optics-notes 2
 */
export function filmSight(camera: CameraGeometry, point: FilmPoint): FilmSight {
  const f = camera.focalLengthMm;
  const along = point.xMm - camera.holeShift.xMm;
  const yMm = point.yMm - camera.holeShift.yMm;
  const plane = camera.filmPlane ?? 'flat';
  if (plane === 'flat') {
    const tan2 = (along * along + yMm * yMm) / (f * f);
    return { xMm: along, yMm, depthMm: f, bendRad: 0, falloffStops: 2 * Math.log2(1 + tan2) };
  }
  const phiRad = along / f;
  if (!(Math.abs(phiRad) < Math.PI / 2)) {
    const mm = (length: number): string => `${length.toFixed(1)} mm`;
    const most = (f * Math.PI) / 2;
    throw new InputError(
      'out-of-range',
      `The film reaches ${mm(Math.abs(along))} along ${plane === 'can' ? 'the wall of a can' : 'a cylinder'}, counted from the point `
        + `behind the hole, but at a focal length of ${mm(f)} it would pass the hole after ${mm(most)}: less film, a longer focal length, `
        + 'or film that lies another way.',
      { path: 'point', got: along, expected: `within ±${mm(most)}` },
    );
  }
  const cosPhi = Math.cos(phiRad);
  const sinPhi = Math.sin(phiRad);
  // in the plane square to the cylinder the hole is this far away
  const reachMm = plane === 'can' ? f * cosPhi : f;
  const tan2 = (yMm / reachMm) ** 2;
  return {
    xMm: reachMm * sinPhi,
    yMm,
    depthMm: reachMm * cosPhi,
    // on the wall of a can the arc from the foot is seen from its middle at twice the angle
    bendRad: plane === 'can' ? 2 * phiRad : phiRad,
    falloffStops: 2 * Math.log2(1 + tan2) - (plane === 'can' ? 0 : Math.log2(cosPhi)),
  };
}

/** Angle from the axis at which light reaches a film point. */
export function filmAngleRad(camera: CameraGeometry, point: FilmPoint): number {
  const { xMm, yMm, depthMm } = filmSight(camera, point);
  return Math.atan(Math.hypot(xMm, yMm) / depthMm);
}
