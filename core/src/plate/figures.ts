/** From an outline in the measuring frame to the figures of a drawing: circles, widths, place, all in mm of the scan. */
import { leastSquaresCircle, maximumInscribedCircle, minimumCircumscribedCircle, minimumZoneCircles } from '../geometry/circles.ts';
import { feretWidths } from '../geometry/hull.ts';
import type { CircleFit, Point } from '../geometry/points.ts';
import { radiusAt, type Frame } from './first-rim.ts';
import type { LightWindow } from './light-window.ts';
import type { Circle, PointMm } from './scan.ts';

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
  readonly outline: readonly PointMm[];
}

const POINTS = 720;

/** Points of a Fourier outline at even angles, y up. */
export function outlinePoints(radius: Float64Array, count: number): Point[] {
  return Array.from({ length: count }, (_, i) => {
    const angle = (2 * Math.PI * i) / count;
    const r = radiusAt(radius, angle);
    return { x: r * Math.cos(angle), y: r * Math.sin(angle) };
  });
}

/** Mean square radius gives the area: A = ½ ∮ r² dθ. */
export function equivalentDiameterUnits(radius: Float64Array): number {
  let square = radius[0]! ** 2;
  for (let i = 1; i < radius.length; i++) square += radius[i]! ** 2 / 2;
  return 2 * Math.sqrt(square);
}

export function outlineFigures(radius: Float64Array, place: Placement): OutlineFigures {
  const points = outlinePoints(radius, POINTS);
  const circle = (fit: CircleFit): Circle => ({ center: pointMm(place, fit), diameterMm: 2 * fit.radius * place.mmPerUnit });
  const zone = minimumZoneCircles(points);
  const feret = feretWidths(points);
  return {
    equivalentDiameterMm: equivalentDiameterUnits(radius) * place.mmPerUnit,
    leastSquares: circle(leastSquaresCircle(points)),
    maximumInscribed: circle(maximumInscribedCircle(points)),
    minimumCircumscribed: circle(minimumCircumscribedCircle(points)),
    roundnessMm: (zone.outerRadius - zone.innerRadius) * place.mmPerUnit,
    feretMinMm: feret.min * place.mmPerUnit,
    feretMaxMm: feret.max * place.mmPerUnit,
    feretMaxAngleRad: feret.maxAngleRad,
    outline: points.map((p) => pointMm(place, p)),
  };
}
