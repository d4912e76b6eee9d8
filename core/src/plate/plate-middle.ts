/** The middle of the plate by its edges, where they are all in the scan: what to shift so that the hole sits on the axis. */
import { convexHull } from '../geometry/hull.ts';
import type { Point } from '../geometry/points.ts';
import { polygonArea } from '../geometry/points.ts';
import type { Overview } from './locate.ts';
import { requirePositive } from '../errors.ts';
import type { MarkedMiddle, PlateMiddle, PointMm, ScanReading, ScanScale } from './scan.ts';
import type { PlacePx } from './two-ends.ts';

/** A plate fills its rectangle or disc to this share, or it has another shape and no middle is told. */
const FULL = 0.97;
const QUARTER_TURN = Math.PI / 2;

export interface HoleInOverview {
  /** Centre and radius in pixels of the scan. */
  readonly column: number;
  readonly row: number;
  readonly radiusPx: number;
  readonly holeLight: number;
  readonly plateLight: number;
}

/**
 * Middle of a rectangular or round plate.
 * Valid: what lies beyond the plate looks more like the hole than like the plate (light through both, or a dark lid).
 * @returns null when an edge is not in the picture, or the plate is neither a rectangle nor a disc
 */
export function plateMiddle(overview: Overview, hole: HoleInOverview, scale: ScanScale): PlateMiddle | null {
  const { widthPx: w, heightPx: h, light, shrink } = overview;
  const half = (hole.holeLight + hole.plateLight) / 2;
  const isPlate = (i: number): boolean => light[i]! < half === hole.plateLight < half;
  const seen = new Uint8Array(w * h);
  const waiting: number[] = [];
  const visit = (x: number, y: number): void => {
    const i = y * w + x;
    if (x < 0 || y < 0 || x >= w || y >= h || seen[i] === 1 || !isPlate(i)) return;
    seen[i] = 1;
    waiting.push(i);
  };
  for (let k = 0; k < 16; k++) {
    const reach = (1.6 * hole.radiusPx) / shrink + 2;
    visit(
      Math.round(hole.column / shrink + reach * Math.cos((k * Math.PI) / 8)),
      Math.round(hole.row / shrink + reach * Math.sin((k * Math.PI) / 8)),
    );
  }
  const xMm = scale.xMmPerPx * shrink;
  const yMm = scale.yMmPerPx * shrink;
  // Only the ends of each row can be corners of the hull.
  const left = new Int32Array(h).fill(w);
  const right = new Int32Array(h).fill(-1);
  // The latest first: where the plate runs out of the picture, the way there is straight and short.
  for (let i = waiting.pop(); i !== undefined; i = waiting.pop()) {
    const x = i % w;
    const y = (i - x) / w;
    if (x === 0 || y === 0 || x === w - 1 || y === h - 1) return null;
    left[y] = Math.min(left[y]!, x);
    right[y] = Math.max(right[y]!, x);
    visit(x + 1, y);
    visit(x - 1, y);
    visit(x, y + 1);
    visit(x, y - 1);
  }
  const points: Point[] = [];
  let areaMm2 = 0;
  for (let y = 0; y < h; y++) {
    if (right[y]! < 0) continue;
    areaMm2 += (right[y]! + 1 - left[y]!) * xMm * yMm;
    for (const x of [left[y]!, right[y]! + 1]) points.push({ x: x * xMm, y: y * yMm }, { x: x * xMm, y: (y + 1) * yMm });
  }
  if (points.length < 40) return null;
  const hull = convexHull(points);
  const found = rectangleOf(hull, areaMm2) ?? discOf(hull, areaMm2);
  // Each edge is told to a pixel of the overview; the middle lies half-way between two.
  return found === null ? null : { ...found, standardUncertaintyMm: Math.max(xMm, yMm) / Math.sqrt(24) };
}

/** How well a place is hit, in pixels of the picture that was pointed at (k = 1). @source engineering-judgement */
const HIT_PX = 0.5;

/**
 * The middle half-way between two places pointed at: opposite corners, opposite ticks, the two ends of a line, or twice
 * the crossing itself.
 * @param shrink pixels of the scan per pixel of the picture that was pointed at
 */
export function middleBetween(
  [a, b]: readonly [PlacePx, PlacePx],
  scale: Pick<ScanScale, 'xMmPerPx' | 'yMmPerPx'>,
  shrink = 1,
): MarkedMiddle {
  requirePositive(shrink, 'shrink', 'px');
  return {
    by: 'points',
    center: { xMm: (scale.xMmPerPx * (a.columnPx + b.columnPx)) / 2, yMm: (scale.yMmPerPx * (a.rowPx + b.rowPx)) / 2 },
    standardUncertaintyMm: (HIT_PX * shrink * Math.max(scale.xMmPerPx, scale.yMmPerPx)) / Math.SQRT2,
  };
}

export interface KnownMiddle {
  readonly by: MarkedMiddle['by'] | 'edges';
  readonly center: PointMm;
  readonly standardUncertaintyMm: number;
}

/** The middle to mount the plate by: as its maker marked it, else by the plate's edges. */
export function middleOf({ middle, plate }: Pick<ScanReading, 'middle' | 'plate'>): KnownMiddle | null {
  if (middle) return { by: middle.by, center: middle.center, standardUncertaintyMm: middle.standardUncertaintyMm };
  return plate === null ? null : { by: 'edges', center: plate.center, standardUncertaintyMm: plate.standardUncertaintyMm };
}

/** The least rectangle about a hull has a side along one of its sides. */
type PlateShape = Omit<PlateMiddle, 'standardUncertaintyMm'>;

function rectangleOf(hull: readonly Point[], areaMm2: number): PlateShape | null {
  let best: (PlateShape & { readonly area: number }) | null = null;
  for (let i = 0; i < hull.length; i++) {
    const a = hull[i]!;
    const b = hull[(i + 1) % hull.length]!;
    const angle = Math.atan2(b.y - a.y, b.x - a.x);
    const c = Math.cos(angle);
    const s = Math.sin(angle);
    let [u0, u1, v0, v1] = [Infinity, -Infinity, Infinity, -Infinity];
    for (const p of hull) {
      const u = p.x * c + p.y * s;
      const v = p.y * c - p.x * s;
      [u0, u1, v0, v1] = [Math.min(u0, u), Math.max(u1, u), Math.min(v0, v), Math.max(v1, v)];
    }
    const area = (u1 - u0) * (v1 - v0);
    if (best !== null && area >= best.area) continue;
    const [u, v] = [(u0 + u1) / 2, (v0 + v1) / 2];
    const turn = ((-angle % QUARTER_TURN) + QUARTER_TURN) % QUARTER_TURN;
    best = { shape: 'rectangle', center: { xMm: u * c - v * s, yMm: u * s + v * c }, widthMm: u1 - u0, heightMm: v1 - v0, angleRad: turn, area };
  }
  if (best === null || areaMm2 < FULL * best.area) return null;
  const { area, ...plate } = best;
  void area;
  return plate;
}

function discOf(hull: readonly Point[], areaMm2: number): PlateShape | null {
  const hullArea = Math.abs(polygonArea(hull));
  const mean = hull.reduce((sum, p) => ({ x: sum.x + p.x / hull.length, y: sum.y + p.y / hull.length }), { x: 0, y: 0 });
  // Centroid of the hull, by its triangles about the mean of its corners.
  let sx = 0;
  let sy = 0;
  let sum = 0;
  for (let i = 0; i < hull.length; i++) {
    const a = hull[i]!;
    const b = hull[(i + 1) % hull.length]!;
    const piece = (a.x - mean.x) * (b.y - mean.y) - (b.x - mean.x) * (a.y - mean.y);
    sx += (piece * (a.x + b.x + mean.x)) / 3;
    sy += (piece * (a.y + b.y + mean.y)) / 3;
    sum += piece;
  }
  const center: PointMm = { xMm: sx / sum, yMm: sy / sum };
  const radii = hull.map((p) => Math.hypot(p.x - center.xMm, p.y - center.yMm));
  const [least, most] = [Math.min(...radii), Math.max(...radii)];
  if (least < FULL * most || areaMm2 < FULL * hullArea) return null;
  const diameterMm = 2 * Math.sqrt(hullArea / Math.PI);
  return { shape: 'disc', center, widthMm: diameterMm, heightMm: diameterMm, angleRad: 0 };
}
