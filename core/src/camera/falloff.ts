/** How much less light the film gets away from the foot of the hole, in stops; 0 straight behind it. */
import { InputError, requirePositive } from '../errors.ts';
import { countersunkShare, requireThickness } from '../optics/thick-hole.ts';
import type { Countersink } from '../optics/thick-hole.ts';
import { formatAngle } from '../units/angle.ts';
import { formatLength } from '../units/length.ts';
import { filmAngleRad, filmSight } from './film-plane.ts';
import {
  frameCorners,
  frameEdgeMiddles,
  requireCamera,
  requirePoint,
} from './geometry.ts';
import type { CameraGeometry, CornerName, EdgeName, FilmPoint } from './geometry.ts';

/** A plate that is not infinitely thin: its wall cuts into slanting light. */
export interface ThickPlate {
  /** Of the edge itself, ≥ 0. */
  readonly thicknessMm: number;
  /** Of the hole, > 0. */
  readonly diameterMm: number;
  /** The slope of a dimple beyond the edge; left out: nothing beyond the edge stands in the light. */
  readonly countersink?: Countersink | undefined;
}

export interface FalloffAt {
  /** Stops less than straight behind the hole; null where no light arrives at all. */
  readonly falloffStops: number | null;
  /** Why there is no light; null where there is. */
  readonly reason: string | null;
}

export interface FrameFalloff {
  readonly corners: Readonly<Record<CornerName, FalloffAt>>;
  /** In the middle of each edge of the frame. */
  readonly edges: Readonly<Record<EdgeName, FalloffAt>>;
  /** The darkest corner. */
  readonly worstCorner: CornerName;
  /** There. */
  readonly worst: FalloffAt;
}

/** @throws InputError not-positive, negative */
function requirePlate(plate: ThickPlate): void {
  requireThickness(plate.thicknessMm);
  requirePositive(plate.diameterMm, 'diameterMm', 'mm');
}

/** Stops, or `Infinity` where the plate's wall takes all the light. */
function stopsAt(camera: CameraGeometry, xMm: number, yMm: number, plate: ThickPlate | undefined): number {
  const sight = filmSight(camera, { xMm, yMm });
  if (plate === undefined || (plate.thicknessMm === 0 && plate.countersink === undefined)) return sight.falloffStops;
  const angleRad = Math.atan(Math.hypot(sight.xMm, sight.yMm) / sight.depthMm);
  const share = countersunkShare({ ...plate, angleRad });
  return share > 0 ? sight.falloffStops - Math.log2(share) : Infinity;
}

function described(camera: CameraGeometry, point: FilmPoint, plate: ThickPlate | undefined): FalloffAt {
  const stops = stopsAt(camera, point.xMm, point.yMm, plate);
  if (plate === undefined || Number.isFinite(stops)) return { falloffStops: stops, reason: null };
  const angle = formatAngle(filmAngleRad(camera, point), { digits: 0 });
  const hole = formatLength(plate.diameterMm, { unit: 'mm' });
  const edge = formatLength(plate.thicknessMm, { unit: 'mm' });
  return {
    falloffStops: null,
    reason:
      `At ${angle} from the axis no light passes a hole of ${hole} in an edge ${edge} thick: `
      + 'thin the edge or make the view narrower.',
  };
}

/**
 * Falloff at one film point.
 *   −log2 of cos⁴ θ (flat), cos φ cos⁴ ψ (cylinder) or cos⁴ ψ (can), and of the thick hole's clear share when a plate is given
 * Valid: evenly lit scene.
 * @param camera frame and focal length > 0
 * @param point anywhere on the film plane
 * @param plate the edge of the hole; leave out for a thin one
 * @throws InputError not-positive, negative, out-of-range
 * @source optics-notes 2
 */
export function falloffAt(camera: CameraGeometry, point: FilmPoint, plate?: ThickPlate): FalloffAt {
  requireCamera(camera);
  requirePoint(point, 'point');
  if (plate !== undefined) requirePlate(plate);
  return described(camera, point, plate);
}

/**
 * Falloff in the corners and in the middle of the edges of the frame. Valid and formula as `falloffAt`.
 * @param camera frame and focal length > 0
 * @param plate the edge of the hole; leave out for a thin one
 * @throws InputError not-positive, negative, out-of-range
 * @source optics-notes 2
 */
export function frameFalloff(camera: CameraGeometry, plate?: ThickPlate): FrameFalloff {
  requireCamera(camera);
  if (plate !== undefined) requirePlate(plate);
  const at = frameCorners(camera.frame);
  const middles = frameEdgeMiddles(camera.frame);
  const corner = (name: CornerName): FalloffAt => described(camera, at[name], plate);
  const edge = (name: EdgeName): FalloffAt => described(camera, middles[name], plate);
  const names = Object.keys(at) as CornerName[];
  const stops = (name: CornerName): number => stopsAt(camera, at[name].xMm, at[name].yMm, plate);
  const worstCorner = names.reduce((worst, name) => (stops(name) > stops(worst) ? name : worst));
  return {
    corners: {
      'top-left': corner('top-left'),
      'top-right': corner('top-right'),
      'bottom-left': corner('bottom-left'),
      'bottom-right': corner('bottom-right'),
    },
    edges: { left: edge('left'), right: edge('right'), top: edge('top'), bottom: edge('bottom') },
    worstCorner,
    worst: corner(worstCorner),
  };
}

export interface FalloffMap {
  readonly columns: number;
  readonly rows: number;
  /**
   * columns × rows, row by row from the top of the film, each row from the left, seen from the film side; first
   * and last samples lie on the edges of the frame. `Infinity` where no light arrives.
   */
  readonly falloffStops: Float64Array;
}

/**
 * Falloff over the whole frame. Valid and formula as `falloffAt`.
 * @param camera frame and focal length > 0
 * @param size 2 to 4096 columns and rows
 * @param plate the edge of the hole; leave out for a thin one
 * @throws InputError not-positive, negative, out-of-range
 * @source optics-notes 2
 */
export function falloffMap(
  camera: CameraGeometry,
  size: { readonly columns: number; readonly rows: number },
  plate?: ThickPlate,
): FalloffMap {
  requireCamera(camera);
  if (plate !== undefined) requirePlate(plate);
  const { columns, rows } = size;
  for (const [path, count] of [['columns', columns], ['rows', rows]] as const) {
    if (!(Number.isInteger(count) && count >= 2 && count <= 4096)) {
      throw new InputError('out-of-range', `${path} must be a whole number from 2 to 4096, but is ${count}.`, {
        path,
        got: count,
        expected: '2…4096',
      });
    }
  }
  const { widthMm, heightMm } = camera.frame;
  const falloffStops = new Float64Array(columns * rows);
  for (let row = 0; row < rows; row++) {
    const yMm = heightMm * (0.5 - row / (rows - 1));
    for (let column = 0; column < columns; column++) {
      const xMm = widthMm * (column / (columns - 1) - 0.5);
      falloffStops[row * columns + column] = stopsAt(camera, xMm, yMm, plate);
    }
  }
  return { columns, rows, falloffStops };
}
