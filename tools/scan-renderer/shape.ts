/** Outlines with exactly known figures. */
import { feretWidths, leastSquaresCircle, maximumInscribedCircle, minimumCircumscribedCircle, minimumZoneCircles } from '#core';
import type { HoleShape } from './recipe.ts';

/** Radius, mm, of a hole's outline at an angle. */
export function outlineRadiusMm(shape: HoleShape, angleRad: number): number {
  const ratio = shape.axisRatio ?? 1;
  const mean = shape.diameterMm / 2;
  const long = mean / Math.sqrt(ratio);
  const short = mean * Math.sqrt(ratio);
  const turned = angleRad - (shape.axisAngleRad ?? 0);
  let r = (long * short) / Math.hypot(short * Math.cos(turned), long * Math.sin(turned));
  for (const h of shape.harmonics ?? []) r += mean * h.share * Math.cos(h.order * angleRad - h.phaseRad);
  for (const b of shape.burrs ?? []) r -= bump(b.angleRad, b.heightMm, b.widthMm, angleRad, mean);
  for (const b of shape.chips ?? []) r += bump(b.angleRad, b.heightMm, b.widthMm, angleRad, mean);
  return r;
}

function bump(at: number, heightMm: number, widthMm: number, angleRad: number, radiusMm: number): number {
  const turn = Math.atan2(Math.sin(angleRad - at), Math.cos(angleRad - at));
  return heightMm * Math.exp(-0.5 * ((turn * radiusMm) / widthMm) ** 2);
}

export interface ShapeTruth {
  readonly equivalentDiameterMm: number;
  readonly leastSquaresDiameterMm: number;
  readonly maximumInscribedDiameterMm: number;
  readonly minimumCircumscribedDiameterMm: number;
  readonly roundnessMm: number;
  readonly feretMinMm: number;
  readonly feretMaxMm: number;
  /** Centre of the least-squares circle, px, corner origin. */
  readonly columnPx: number;
  readonly rowPx: number;
}

/** Figures of a shape from 3600 points of its outline; the area by the trapezium rule in angle. */
export function shapeTruth(shape: HoleShape, xMmPerPx: number, yMmPerPx: number): ShapeTruth {
  const count = 3600;
  const points = Array.from({ length: count }, (_, i) => {
    const angle = (2 * Math.PI * i) / count;
    const r = outlineRadiusMm(shape, angle);
    return { x: r * Math.cos(angle), y: r * Math.sin(angle) };
  });
  const meanSquare = points.reduce((sum, p) => sum + p.x * p.x + p.y * p.y, 0) / count;
  const circle = leastSquaresCircle(points);
  const zone = minimumZoneCircles(points);
  const feret = feretWidths(points);
  return {
    equivalentDiameterMm: 2 * Math.sqrt(meanSquare),
    leastSquaresDiameterMm: 2 * circle.radius,
    maximumInscribedDiameterMm: 2 * maximumInscribedCircle(points).radius,
    minimumCircumscribedDiameterMm: 2 * minimumCircumscribedCircle(points).radius,
    roundnessMm: zone.outerRadius - zone.innerRadius,
    feretMinMm: feret.min,
    feretMaxMm: feret.max,
    columnPx: shape.columnPx + circle.x / xMmPerPx,
    rowPx: shape.rowPx - circle.y / yMmPerPx,
  };
}
