/**
 * The four reference circles of a profile (ISO 12181-1): least squares, minimum circumscribed,
 * maximum inscribed and minimum zone. The last three end on an exact set of touching points, not
 * on a step that became small.
 */
import { InputError, ModelError } from '../errors.ts';
import type { CircleFit, Point, ZoneFit } from './points.ts';

/**
 * Circle with the least sum of squared radial distances, by Gauss–Newton from the centroid.
 *   min Σ (|pᵢ − c| − R)²
 * Valid: points all around, or at least on an arc of a quarter turn. Points count equally: sample
 * them evenly in angle, as roundness instruments do.
 * @throws InputError missing with fewer than three points
 * @throws ModelError not-converged for points on a line
 * @source chernov2010
 */
export function leastSquaresCircle(points: readonly Point[]): CircleFit {
  requirePoints(points, 3);
  const n = points.length;
  let { x, y } = algebraicCentre(points);
  let radius = 0;
  for (let step = 0; step < 100; step++) {
    let sr = 0;
    let su = 0;
    let sv = 0;
    let suu = 0;
    let suv = 0;
    let svv = 0;
    let sur = 0;
    let svr = 0;
    for (const p of points) {
      const dx = p.x - x;
      const dy = p.y - y;
      const r = Math.hypot(dx, dy);
      const u = r > 0 ? dx / r : 0;
      const v = r > 0 ? dy / r : 0;
      sr += r;
      su += u;
      sv += v;
      suu += u * u;
      suv += u * v;
      svv += v * v;
      sur += u * r;
      svr += v * r;
    }
    radius = sr / n;
    // Normal equations of the centre's step after the radius is eliminated.
    const a = suu - (su * su) / n;
    const b = suv - (su * sv) / n;
    const c = svv - (sv * sv) / n;
    const gx = sur - (su * sr) / n;
    const gy = svr - (sv * sr) / n;
    const det = a * c - b * b;
    if (!(det > 1e-14 * n * n)) break;
    const stepX = (c * gx - b * gy) / det;
    const stepY = (a * gy - b * gx) / det;
    x += stepX;
    y += stepY;
    if (Math.hypot(stepX, stepY) < 1e-14 * radius) return { x, y, radius: meanRadius(points, x, y) };
  }
  const fitted = meanRadius(points, x, y);
  if (!Number.isFinite(fitted)) {
    throw new ModelError('not-converged', 'No circle fits these points: they lie on a line or on one spot.');
  }
  return { x, y, radius: fitted };
}

/**
 * Smallest circle that holds all points; unique. Welzl's scheme with the points in a fixed
 * scattered order, expected time linear in their number.
 * @throws InputError missing without points
 * @source welzl1991
 */
export function minimumCircumscribedCircle(points: readonly Point[]): CircleFit {
  requirePoints(points, 1);
  const list = scattered(points);
  const outside = (c: CircleFit, p: Point): boolean => Math.hypot(p.x - c.x, p.y - c.y) > c.radius * (1 + 1e-14);
  let circle: CircleFit = { x: list[0]!.x, y: list[0]!.y, radius: 0 };
  for (let i = 1; i < list.length; i++) {
    if (!outside(circle, list[i]!)) continue;
    circle = { x: list[i]!.x, y: list[i]!.y, radius: 0 };
    for (let j = 0; j < i; j++) {
      if (!outside(circle, list[j]!)) continue;
      circle = circleOnDiameter(list[i]!, list[j]!);
      for (let k = 0; k < j; k++) {
        if (!outside(circle, list[k]!)) continue;
        circle = circumscribed(list[i]!, list[j]!, list[k]!) ?? circle;
      }
    }
  }
  return circle;
}

/**
 * Largest circle with no point of the profile inside it, centre within 0.4 of the mean radius of the
 * least-squares centre: the largest pin that enters. Exact: the best circle for a few points is found
 * by trying every three of them; the point that lies deepest inside it joins, until none does.
 * @param points all around the profile, at least 12
 * @throws InputError missing with fewer than three points
 */
export function maximumInscribedCircle(points: readonly Point[]): CircleFit {
  const start = leastSquaresCircle(points);
  const reach = 0.4 * start.radius;
  const active = spread(points, 12);
  for (let round = 0; round < 400; round++) {
    const best = bestInscribed(active, start, reach);
    const nearest = extreme(points, best.x, best.y, -1);
    const distance = Math.hypot(nearest.x - best.x, nearest.y - best.y);
    if (distance >= best.radius * (1 - 1e-13)) return { ...best, radius: distance };
    if (active.includes(nearest)) return { ...best, radius: distance };
    active.push(nearest);
    if (active.length > 24) dropSlack(active, best);
  }
  throw new ModelError('not-converged', 'The largest circle inside this outline was not found.');
}

/**
 * Two concentric circles of the smallest distance that hold the profile between them, centre within
 * 0.4 of the mean radius of the least-squares centre. At the optimum two points touch the outer and
 * two the inner circle, so every pair of pairs of a few points is tried; then the points that stick
 * out furthest join, until none does.
 * @param points all around the profile, at least 4
 * @throws InputError missing with fewer than four points
 */
export function minimumZoneCircles(points: readonly Point[]): ZoneFit {
  requirePoints(points, 4);
  const start = leastSquaresCircle(points);
  const reach = 0.4 * start.radius;
  const active = spread(points, 8);
  let best = zoneAt(points, start.x, start.y);
  for (let round = 0; round < 400; round++) {
    const trial = bestZone(active, start, reach);
    const zone = zoneAt(points, trial.x, trial.y);
    if (zone.outerRadius - zone.innerRadius < best.outerRadius - best.innerRadius) best = zone;
    const far = extreme(points, trial.x, trial.y, 1);
    const near = extreme(points, trial.x, trial.y, -1);
    const fresh = [far, near].filter((p) => !active.includes(p));
    if (fresh.length === 0) return best;
    active.push(...fresh);
    if (active.length > 14) dropFromZone(active, trial);
  }
  return best;
}

/** Width of the zone about a given centre. */
export function zoneAt(points: readonly Point[], x: number, y: number): ZoneFit {
  let inner = Infinity;
  let outer = 0;
  for (const p of points) {
    const r2 = squareTo(p, x, y);
    if (r2 < inner) inner = r2;
    if (r2 > outer) outer = r2;
  }
  return { x, y, innerRadius: Math.sqrt(inner), outerRadius: Math.sqrt(outer) };
}

function squareTo(p: Point, x: number, y: number): number {
  const dx = p.x - x;
  const dy = p.y - y;
  return dx * dx + dy * dy;
}

function bestInscribed(active: readonly Point[], start: CircleFit, reach: number): CircleFit {
  let best: CircleFit = { ...start, radius: clearance(active, start.x, start.y) };
  for (let i = 2; i < active.length; i++) {
    for (let j = 1; j < i; j++) {
      for (let k = 0; k < j; k++) {
        const c = circumscribed(active[i]!, active[j]!, active[k]!);
        if (!c || c.radius <= best.radius || squareTo(c, start.x, start.y) > reach * reach) continue;
        const radius = clearance(active, c.x, c.y);
        if (radius > best.radius) best = { x: c.x, y: c.y, radius };
      }
    }
  }
  return best;
}

function bestZone(active: readonly Point[], start: CircleFit, reach: number): Point {
  let best: Point = start;
  let width = Infinity;
  const pairs: [Point, Point][] = [];
  for (let i = 1; i < active.length; i++) for (let j = 0; j < i; j++) pairs.push([active[i]!, active[j]!]);
  for (let a = 1; a < pairs.length; a++) {
    for (let b = 0; b < a; b++) {
      const c = equidistant(pairs[a]!, pairs[b]!);
      if (!c || squareTo(c, start.x, start.y) > reach * reach) continue;
      const zone = zoneAt(active, c.x, c.y);
      const trial = zone.outerRadius - zone.innerRadius;
      if (trial < width) {
        width = trial;
        best = c;
      }
    }
  }
  return best;
}

/** The centre that is equally far from the points of each pair. */
function equidistant([a, b]: [Point, Point], [c, d]: [Point, Point]): Point | null {
  const ux = b.x - a.x;
  const uy = b.y - a.y;
  const vx = d.x - c.x;
  const vy = d.y - c.y;
  const det = ux * vy - uy * vx;
  if (det * det <= 1e-24 * (ux * ux + uy * uy) * (vx * vx + vy * vy)) return null;
  const p = (ux * (a.x + b.x) + uy * (a.y + b.y)) / 2;
  const q = (vx * (c.x + d.x) + vy * (c.y + d.y)) / 2;
  return { x: (p * vy - q * uy) / det, y: (q * ux - p * vx) / det };
}

function dropSlack(active: Point[], circle: CircleFit): void {
  active.sort((p, q) => Math.hypot(p.x - circle.x, p.y - circle.y) - Math.hypot(q.x - circle.x, q.y - circle.y));
  active.length = 16;
}

function dropFromZone(active: Point[], centre: Point): void {
  const zone = zoneAt(active, centre.x, centre.y);
  const slack = (p: Point): number => {
    const r = Math.hypot(p.x - centre.x, p.y - centre.y);
    return Math.min(zone.outerRadius - r, r - zone.innerRadius);
  };
  active.sort((p, q) => slack(p) - slack(q));
  active.length = 10;
}

function clearance(points: readonly Point[], x: number, y: number): number {
  let least = Infinity;
  for (const p of points) least = Math.min(least, squareTo(p, x, y));
  return Math.sqrt(least);
}

function extreme(points: readonly Point[], x: number, y: number, sign: 1 | -1): Point {
  let found = points[0]!;
  let value = -Infinity;
  for (const p of points) {
    const r2 = sign * squareTo(p, x, y);
    if (r2 > value) {
      value = r2;
      found = p;
    }
  }
  return found;
}

function spread(points: readonly Point[], count: number): Point[] {
  if (points.length <= count) return [...points];
  return Array.from({ length: count }, (_, i) => points[Math.floor((i * points.length) / count)]!);
}

/** A fixed scattering of the order: Welzl's bound needs an order that is not the one round the rim. */
function scattered(points: readonly Point[]): Point[] {
  const list = [...points];
  let state = 12345;
  for (let i = list.length - 1; i > 0; i--) {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    const j = state % (i + 1);
    [list[i], list[j]] = [list[j]!, list[i]!];
  }
  return list;
}

function circleOnDiameter(a: Point, b: Point): CircleFit {
  const x = (a.x + b.x) / 2;
  const y = (a.y + b.y) / 2;
  return { x, y, radius: Math.max(Math.hypot(a.x - x, a.y - y), Math.hypot(b.x - x, b.y - y)) };
}

function circumscribed(a: Point, b: Point, c: Point): CircleFit | null {
  const bx = b.x - a.x;
  const by = b.y - a.y;
  const cx = c.x - a.x;
  const cy = c.y - a.y;
  const det = 2 * (bx * cy - by * cx);
  if (det === 0) return null;
  const bb = bx * bx + by * by;
  const cc = cx * cx + cy * cy;
  const ux = (cy * bb - by * cc) / det;
  const uy = (bx * cc - cx * bb) / det;
  const x = a.x + ux;
  const y = a.y + uy;
  const radius = Math.max(Math.hypot(ux, uy), Math.hypot(b.x - x, b.y - y), Math.hypot(c.x - x, c.y - y));
  return { x, y, radius };
}

function algebraicCentre(points: readonly Point[]): Point {
  const n = points.length;
  const mx = points.reduce((sum, p) => sum + p.x, 0) / n;
  const my = points.reduce((sum, p) => sum + p.y, 0) / n;
  let uu = 0;
  let uv = 0;
  let vv = 0;
  let uz = 0;
  let vz = 0;
  for (const p of points) {
    const u = p.x - mx;
    const v = p.y - my;
    const z = u * u + v * v;
    uu += u * u;
    uv += u * v;
    vv += v * v;
    uz += u * z;
    vz += v * z;
  }
  const det = uu * vv - uv * uv;
  if (!(det > 1e-20 * (uu + vv) ** 2)) {
    throw new ModelError('not-converged', 'No circle fits these points: they lie on a line or on one spot.');
  }
  return { x: mx + (vv * uz - uv * vz) / (2 * det), y: my + (uu * vz - uv * uz) / (2 * det) };
}

function meanRadius(points: readonly Point[], x: number, y: number): number {
  return points.reduce((sum, p) => sum + Math.hypot(p.x - x, p.y - y), 0) / points.length;
}

function requirePoints(points: readonly Point[], least: number): void {
  if (points.length < least) {
    throw new InputError('missing', `A circle needs at least ${least} points, but there are ${points.length}.`, {
      got: points.length,
      expected: `at least ${least}`,
    });
  }
}
