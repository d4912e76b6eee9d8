/**
 * Where a ray from the sky meets the paper of a camera that looks into the sky: a flat sheet, the wall of a can with the
 * hole in it, or half a can with the hole on its axis. Sheet coordinates as everywhere: origin in the middle of the
 * paper, x right along it, y up, seen from the film side (from behind, looking at the scene); a curved paper unrolled.
 */
import { InputError, requirePositive } from '../errors.ts';

export type PaperSurface = 'flat' | 'can-wall' | 'can-axis';

export interface SunCamera {
  readonly surface: PaperSurface;
  /** Flat: hole to paper. A can: its inside diameter (hole in the wall) or twice the distance from the axis. */
  readonly distanceMm: number;
  /** Along the curve where there is one. */
  readonly paperWidthMm: number;
  readonly paperHeightMm: number;
  /** Hole above the paper's lower edge; may lie beyond its edges. */
  readonly holeHeightMm: number;
  /** From true north through east. */
  readonly azimuthRad: number;
  /** Of the axis, upward positive. A can is tilted with it. */
  readonly tiltRad: number;
}

export interface Direction {
  readonly azimuthRad: number;
  readonly altitudeRad: number;
}

/** Where a ray lands. */
export interface Landing {
  readonly xMm: number;
  readonly yMm: number;
  readonly onPaper: boolean;
  /** From the hole to the paper along the ray. */
  readonly distanceMm: number;
  /** Angle from the camera's axis. */
  readonly offAxisRad: number;
  /** Between the ray and the paper's normal: by its cosine the light is spread. */
  readonly incidenceRad: number;
}

/** From here on the hole in any real wall lets nothing through. */
const WIDEST_RAD = (85 * Math.PI) / 180;

/** @throws InputError not-positive, out-of-range, conflict */
export function requireSunCamera(camera: SunCamera): void {
  requirePositive(camera.distanceMm, camera.surface === 'flat' ? 'focal length' : 'diameter of the can', 'mm');
  requirePositive(camera.paperWidthMm, 'width of the paper', 'mm');
  requirePositive(camera.paperHeightMm, 'height of the paper', 'mm');
  if (!Number.isFinite(camera.holeHeightMm) || Math.abs(camera.holeHeightMm) > 10 * camera.paperHeightMm) {
    throw new InputError('out-of-range', `The hole stands ${camera.holeHeightMm} mm above the paper’s lower edge: that cannot be this paper.`, {
      path: 'holeHeightMm', got: camera.holeHeightMm, expected: 'near the paper',
    });
  }
  if (!(Math.abs(camera.tiltRad) <= Math.PI / 2)) {
    throw new InputError('out-of-range', 'The tilt must lie between −90° and 90°, upward positive.', {
      path: 'tilt', got: camera.tiltRad, expected: '−90°…90°',
    });
  }
  if (!Number.isFinite(camera.azimuthRad)) {
    throw new InputError('not-understood', 'Give the direction the camera looks, in degrees from true north.', { path: 'azimuth' });
  }
  const round = camera.surface === 'can-wall' ? Math.PI * camera.distanceMm : (Math.PI * camera.distanceMm) / 2;
  if (camera.surface !== 'flat' && camera.paperWidthMm > round * (1 + 1e-9)) {
    throw new InputError(
      'conflict',
      `A paper ${camera.paperWidthMm} mm wide does not fit: ${camera.surface === 'can-wall' ? 'round the inside of the can there are' : 'half a can is'} ${round.toFixed(0)} mm.`,
      { path: 'paperWidthMm', got: camera.paperWidthMm, expected: `up to ${round.toFixed(0)} mm` },
    );
  }
}

/**
 * Where the light from a direction falls.
 *   flat  x = −f·sx/sz, y = −f·sy/sz
 *   wall  x = −2R·α, y = −2R cos α·tan ε;  axis  x = −R·α, y = −R·tan ε   (α along, ε up, in the camera's own frame)
 * Valid: the sky, infinitely far; thin hole. `null`: behind the camera, or so far aside that no wall lets it through.
 * @source sun-notes 1
 */
export function landing(camera: SunCamera, from: Direction): Landing | null {
  const { azimuthRad: A, tiltRad: b } = camera;
  const turn = from.azimuthRad - A;
  const level = Math.cos(from.altitudeRad);
  // east, north, up in the camera's frame turned to its azimuth: right, ahead, up; then tilted
  const ahead = level * Math.cos(turn);
  const right = level * Math.sin(turn);
  const up = Math.sin(from.altitudeRad);
  const sz = ahead * Math.cos(b) + up * Math.sin(b);
  const sy = up * Math.cos(b) - ahead * Math.sin(b);
  const sx = right;
  const offAxisRad = Math.acos(Math.max(-1, Math.min(1, sz)));
  if (sz <= 0) return null;
  const alongRad = Math.atan2(sx, sz);
  const across = Math.hypot(sx, sz);
  const wide = camera.surface === 'flat' ? offAxisRad : Math.max(Math.abs(alongRad), Math.atan2(Math.abs(sy), across));
  if (wide > WIDEST_RAD) return null;
  const R = camera.distanceMm / 2;
  let x: number;
  let drop: number;
  let distanceMm: number;
  let incidence: number;
  if (camera.surface === 'flat') {
    x = (-camera.distanceMm * sx) / sz;
    drop = (camera.distanceMm * sy) / sz;
    distanceMm = camera.distanceMm / sz;
    incidence = sz;
  } else if (camera.surface === 'can-wall') {
    const chord = 2 * R * Math.cos(alongRad);
    x = -2 * R * alongRad;
    drop = (chord * sy) / across;
    distanceMm = chord / across;
    // the wall's normal points to the axis: the chord meets it at α again
    incidence = Math.cos(alongRad) * across;
  } else {
    x = -R * alongRad;
    drop = (R * sy) / across;
    distanceMm = R / across;
    incidence = across;
  }
  const y = camera.holeHeightMm - camera.paperHeightMm / 2 - drop;
  return {
    xMm: x,
    yMm: y,
    onPaper: Math.abs(x) <= camera.paperWidthMm / 2 && Math.abs(y) <= camera.paperHeightMm / 2,
    distanceMm,
    offAxisRad,
    incidenceRad: Math.acos(Math.max(-1, Math.min(1, incidence))),
  };
}
