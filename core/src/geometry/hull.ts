/** Convex hull and the widths measured on it (Feret diameters). */
import { InputError } from '../errors.ts';
import type { Point } from './points.ts';

export interface FeretWidths {
  readonly min: number;
  readonly max: number;
  /** Direction of the longest width, 0 ≤ angle < π, in the axes of the points. */
  readonly maxAngleRad: number;
  /** Direction across which the hull is narrowest, 0 ≤ angle < π. */
  readonly minAngleRad: number;
}

/**
 * Convex hull, counter-clockwise (y up), without points on its straight sides (monotone chain).
 * @source andrew1979
 */
export function convexHull(points: readonly Point[]): Point[] {
  const sorted = [...points].sort((a, b) => a.x - b.x || a.y - b.y);
  const half = (list: readonly Point[]): Point[] => {
    const chain: Point[] = [];
    for (const p of list) {
      while (chain.length >= 2 && cross(chain[chain.length - 2]!, chain[chain.length - 1]!, p) <= 0) chain.pop();
      chain.push(p);
    }
    chain.pop();
    return chain;
  };
  if (sorted.length < 3) return sorted;
  return [...half(sorted), ...half(sorted.reverse())];
}

/**
 * Longest and narrowest width of a set of points, exact: the longest is reached between two corners
 * of the hull, the narrowest square to one of its sides.
 * @throws InputError missing with fewer than three points not on a line
 */
export function feretWidths(points: readonly Point[]): FeretWidths {
  const hull = convexHull(points);
  const n = hull.length;
  if (n < 3) {
    throw new InputError('missing', 'Widths need at least three points that are not on one line.', { got: points.length });
  }
  let max = 0;
  let maxAngleRad = 0;
  let min = Infinity;
  let minAngleRad = 0;
  let far = 1;
  for (let i = 0; i < n; i++) {
    const a = hull[i]!;
    const b = hull[(i + 1) % n]!;
    const side = Math.hypot(b.x - a.x, b.y - a.y);
    while (cross(a, b, hull[(far + 1) % n]!) > cross(a, b, hull[far]!)) far = (far + 1) % n;
    const width = cross(a, b, hull[far]!) / side;
    if (width < min) {
      min = width;
      minAngleRad = Math.atan2(b.x - a.x, -(b.y - a.y));
    }
    // Both ends of the side against the far corner and its successor cover every antipodal pair.
    for (const p of [a, b]) {
      for (const q of [hull[far]!, hull[(far + 1) % n]!]) {
        const length = Math.hypot(q.x - p.x, q.y - p.y);
        if (length > max) {
          max = length;
          maxAngleRad = Math.atan2(q.y - p.y, q.x - p.x);
        }
      }
    }
  }
  return { min, max, maxAngleRad: halfTurn(maxAngleRad), minAngleRad: halfTurn(minAngleRad) };
}

function halfTurn(angleRad: number): number {
  const turned = angleRad % Math.PI;
  const positive = turned < 0 ? turned + Math.PI : turned;
  return positive >= Math.PI ? 0 : positive;
}

function cross(o: Point, a: Point, b: Point): number {
  return (a.x - o.x) * (b.y - o.y) - (a.y - o.y) * (b.x - o.x);
}
