/** From an outline in the measuring frame to the figures of a drawing: circles, widths, place, all in mm of the scan. */
import { leastSquaresCircle, maximumInscribedCircle, minimumCircumscribedCircle, minimumZoneCircles } from '../geometry/circles.ts';
import { feretWidths } from '../geometry/hull.ts';
import { polygonArea, polygonPerimeter } from '../geometry/points.ts';
import type { CircleFit, Point } from '../geometry/points.ts';
import type { Frame } from './first-rim.ts';
import type { LightWindow } from './light-window.ts';
import { radiiOf } from './outline-form.ts';
import type { Circle, EllipsePart, Lobes, PointMm } from './scan.ts';

/** How units of a measuring frame become mm of the scan, from its top left corner, x right, y down. */
export interface Placement {
  readonly mmPerUnit: number;
  readonly originXMm: number;
  readonly originYMm: number;
}

export function placementOf(window: LightWindow, frame: Frame, xMmPerPx: number, yMmPerPx: number): Placement {
  return {
    mmPerUnit: Math.sqrt(xMmPerPx * yMmPerPx) * window.binPx,
    originXMm: (window.columnPx + frame.column * window.binPx) * xMmPerPx,
    originYMm: (window.rowPx + frame.row * window.binPx) * yMmPerPx,
  };
}

export function pointMm(place: Placement, p: Point): PointMm {
  return { xMm: place.originXMm + p.x * place.mmPerUnit, yMm: place.originYMm - p.y * place.mmPerUnit };
}

export interface OutlineFigures {
  readonly equivalentDiameterMm: number;
  readonly leastSquares: Circle;
  readonly maximumInscribed: Circle;
  readonly minimumCircumscribed: Circle;
  readonly roundnessMm: number;
  readonly feretMinMm: number;
  readonly feretMaxMm: number;
  readonly feretMaxAngleRad: number;
  readonly areaMm2: number;
  readonly perimeterMm: number;
  readonly centroid: PointMm;
  readonly ellipse: EllipsePart;
  readonly lobes: readonly Lobes[];
  readonly raggednessMm: number;
  readonly outline: readonly PointMm[];
}

const POINTS = 720;

/** Points of a Fourier outline at even angles, y up. */
export function outlinePoints(radius: Float64Array, count: number): Point[] {
  return Array.from(radiiOf(radius, count), (r, i) => {
    const angle = (2 * Math.PI * i) / count;
    return { x: r * Math.cos(angle), y: r * Math.sin(angle) };
  });
}

/** Mean square radius gives the area: A = ½ ∮ r² dθ. */
export function equivalentDiameterUnits(radius: Float64Array): number {
  let square = radius[0]! ** 2;
  for (let i = 1; i < radius.length; i++) square += radius[i]! ** 2 / 2;
  return 2 * Math.sqrt(square);
}

/** Orders in which the form of a rim is told. */
const LOBE_ORDERS = { from: 2, to: 15 } as const;

/** Figures of a Fourier outline. */
export function outlineFigures(radius: Float64Array, place: Placement): OutlineFigures {
  return { ...figuresOf(outlinePoints(radius, POINTS), place), equivalentDiameterMm: equivalentDiameterUnits(radius) * place.mmPerUnit };
}

/**
 * Figures of an outline by its points.
 * @param points about 720, all around, counter-clockwise with y up, units of the frame
 */
export function figuresOf(points: readonly Point[], place: Placement): OutlineFigures {
  const mm = place.mmPerUnit;
  const circle = (fit: CircleFit): Circle => ({ center: pointMm(place, fit), diameterMm: 2 * fit.radius * mm });
  const middle = leastSquaresCircle(points);
  const zone = minimumZoneCircles(points);
  const feret = feretWidths(points);
  const moments = areaMoments(points);
  const form = formAbout(points, middle);
  return {
    equivalentDiameterMm: 2 * Math.sqrt(moments.area / Math.PI) * mm,
    leastSquares: circle(middle),
    maximumInscribed: circle(maximumInscribedCircle(points)),
    minimumCircumscribed: circle(minimumCircumscribedCircle(points)),
    roundnessMm: (zone.outerRadius - zone.innerRadius) * mm,
    feretMinMm: feret.min * mm,
    feretMaxMm: feret.max * mm,
    feretMaxAngleRad: feret.maxAngleRad,
    areaMm2: moments.area * mm * mm,
    perimeterMm: polygonPerimeter(points) * mm,
    centroid: pointMm(place, moments),
    ellipse: ellipseOf(moments, mm),
    lobes: form.lobes.map((lobe) => ({ ...lobe, amplitudeMm: lobe.amplitudeMm * mm })),
    raggednessMm: form.raggedness * mm,
    outline: points.map((p) => pointMm(place, p)),
  };
}

interface AreaMoments extends Point {
  readonly area: number;
  /** Second moments about the centroid over the area, units². */
  readonly xx: number;
  readonly xy: number;
  readonly yy: number;
}

/** Moments of the area inside a polygon, from sums over its sides (Green's theorem). */
function areaMoments(points: readonly Point[]): AreaMoments {
  const area = polygonArea(points);
  let sx = 0;
  let sy = 0;
  let sxx = 0;
  let sxy = 0;
  let syy = 0;
  for (let i = 0, j = points.length - 1; i < points.length; j = i++) {
    const p = points[j]!;
    const q = points[i]!;
    const c = p.x * q.y - q.x * p.y;
    sx += (p.x + q.x) * c;
    sy += (p.y + q.y) * c;
    sxx += (p.x * p.x + p.x * q.x + q.x * q.x) * c;
    syy += (p.y * p.y + p.y * q.y + q.y * q.y) * c;
    sxy += (2 * p.x * p.y + p.x * q.y + q.x * p.y + 2 * q.x * q.y) * c;
  }
  const x = sx / (6 * area);
  const y = sy / (6 * area);
  return {
    area: Math.abs(area),
    x,
    y,
    xx: sxx / (12 * area) - x * x,
    yy: syy / (12 * area) - y * y,
    xy: sxy / (24 * area) - x * y,
  };
}

/** Half axes of an ellipse are twice the roots of its principal second moments. */
function ellipseOf({ xx, xy, yy }: AreaMoments, mmPerUnit: number): EllipsePart {
  const mean = (xx + yy) / 2;
  const spread = Math.hypot((xx - yy) / 2, xy);
  const angle = Math.atan2(2 * xy, xx - yy) / 2;
  return {
    longMm: 4 * Math.sqrt(mean + spread) * mmPerUnit,
    shortMm: 4 * Math.sqrt(Math.max(0, mean - spread)) * mmPerUnit,
    angleRad: angle < 0 ? angle + Math.PI : angle,
  };
}

/** Waves of the radius about a centre, and what is left beyond them; lengths in units. */
function formAbout(points: readonly Point[], middle: Point): { readonly lobes: Lobes[]; readonly raggedness: number } {
  const n = points.length;
  const about = points
    .map((p) => ({ angle: Math.atan2(p.y - middle.y, p.x - middle.x), r: Math.hypot(p.x - middle.x, p.y - middle.y) }))
    .sort((a, b) => a.angle - b.angle);
  // Radius at even angles about the new centre, straight lines between points.
  const even = new Float64Array(n);
  let k = 0;
  for (let i = 0; i < n; i++) {
    const angle = -Math.PI + (2 * Math.PI * i) / n;
    while (k < n && about[k]!.angle < angle) k++;
    const after = about[k % n]!;
    const before = about[(k + n - 1) % n]!;
    const span = wrappedTurn(after.angle - before.angle);
    even[i] = span > 1e-12 ? before.r + (after.r - before.r) * (wrappedTurn(angle - before.angle) / span) : after.r;
  }
  let square = even.reduce((sum, r) => sum + r * r, 0) / n - (even.reduce((sum, r) => sum + r, 0) / n) ** 2;
  const lobes: Lobes[] = [];
  for (let order = 1; order <= LOBE_ORDERS.to; order++) {
    let c = 0;
    let s = 0;
    for (let i = 0; i < n; i++) {
      const angle = -Math.PI + (2 * Math.PI * i) / n;
      c += even[i]! * Math.cos(order * angle);
      s += even[i]! * Math.sin(order * angle);
    }
    const amplitude = (2 * Math.hypot(c, s)) / n;
    square -= amplitude ** 2 / 2;
    if (order >= LOBE_ORDERS.from) lobes.push({ order, amplitudeMm: amplitude, phaseRad: Math.atan2(s, c) });
  }
  return { lobes, raggedness: Math.sqrt(Math.max(0, square)) };
}

function wrappedTurn(angle: number): number {
  return angle < 0 ? angle + 2 * Math.PI : angle;
}
