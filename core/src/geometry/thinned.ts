/** A closed line with fewer corners. */
import { polygonArea } from './points.ts';
import type { Point } from './points.ts';

/**
 * The same outline by as few of its own points as keep every one left out within a distance of the line drawn instead, then
 * grown about its middle to the area it had. Narrow spikes stay: what is not near a chord cannot be left out.
 * @param points in order, three or more, the last joins the first
 * @param within > 0, in the unit of the points
 */
export function thinned(points: readonly Point[], within: number): Point[] {
  const kept: Point[] = [];
  let from = 0;
  while (from < points.length) {
    kept.push(points[from]!);
    let to = from + 1;
    while (to < points.length && allNear(points, from, to + 1, within)) to++;
    from = to;
  }
  if (kept.length < 3) return [...points];
  const x = kept.reduce((sum, point) => sum + point.x, 0) / kept.length;
  const y = kept.reduce((sum, point) => sum + point.y, 0) / kept.length;
  const grow = Math.sqrt(polygonArea(points) / polygonArea(kept));
  return Number.isFinite(grow) ? kept.map((point) => ({ x: x + grow * (point.x - x), y: y + grow * (point.y - y) })) : [...points];
}

/** Whether every point between two lies within a distance of the line from one to the other. */
function allNear(points: readonly Point[], from: number, to: number, within: number): boolean {
  const a = points[from]!;
  const b = points[to % points.length]!;
  const length = Math.hypot(b.x - a.x, b.y - a.y);
  for (let i = from + 1; i < to; i++) {
    const { x, y } = points[i]!;
    const along = length === 0 ? 0 : ((x - a.x) * (b.x - a.x) + (y - a.y) * (b.y - a.y)) / (length * length);
    const t = Math.min(1, Math.max(0, along));
    if (Math.hypot(x - a.x - t * (b.x - a.x), y - a.y - t * (b.y - a.y)) > within) return false;
  }
  return true;
}
