/**
 * Circles, widths and areas against general libraries (source, versions and recipe: data.json, make.py beside this file),
 * and circles of small sets against trying everything.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  leastSquaresCircle,
  maximumInscribedCircle,
  minimumCircumscribedCircle,
  minimumZoneCircles,
} from '../../core/src/geometry/circles.ts';
import { feretWidths } from '../../core/src/geometry/hull.ts';
import { polygonArea, polygonPerimeter } from '../../core/src/geometry/points.ts';
import type { Point } from '../../core/src/geometry/points.ts';
import data from './data.json' with { type: 'json' };

describe.each(data.rows)('$name', (row) => {
  const points = row.points.map(([x, y]) => ({ x: x!, y: y! }));
  // Single precision of the library's contour functions: a few 1e-7 of the coordinates, summed over 720 sides.
  const single = 2e-5;

  it('has the area and perimeter of contourArea and arcLength', () => {
    expect(Math.abs(polygonArea(points) / row.area - 1)).toBeLessThan(single);
    expect(Math.abs(polygonPerimeter(points) / row.perimeter - 1)).toBeLessThan(single);
  });

  it('has the circle of minEnclosingCircle, which is given 1e-4 px of air by that library', () => {
    expect(Math.abs(2 * minimumCircumscribedCircle(points).radius - row.circumscribedDiameter)).toBeLessThan(5e-4);
  });

  it('has the least-squares circle of a general minimiser', () => {
    const fit = leastSquaresCircle(points);
    expect(fit.x).toBeCloseTo(row.leastSquares.x, 6);
    expect(fit.y).toBeCloseTo(row.leastSquares.y, 6);
    expect(2 * fit.radius).toBeCloseTo(row.leastSquares.diameter, 8);
  });

  it('has the widths of the hull turned in steps of 0.005°', () => {
    const { min, max } = feretWidths(points);
    expect(min).toBeLessThanOrEqual(row.feretMin + 1e-5);
    expect(min).toBeGreaterThan(row.feretMin - 2e-3);
    expect(Math.abs(max - row.feretMaxByWidths)).toBeLessThan(1e-4);
  });

  it('agrees with the mask within its pixel (1/16 px, border pixels filled)', () => {
    expect(Math.abs(2 * Math.sqrt(polygonArea(points) / Math.PI) - row.mask.equivalentDiameter)).toBeLessThan(0.08);
    expect(Math.abs(feretWidths(points).max - row.mask.feretMax)).toBeLessThan(0.22);
    expect(Math.abs(2 * maximumInscribedCircle(points).radius - row.mask.inscribedDiameter)).toBeLessThan(0.08);
  });
});

it('drops no outline', () => {
  expect(data.rows).toHaveLength(8);
});

/** Points about a circle of radius 10, at uneven angles all round. */
const rim = fc
  .array(fc.double({ min: -1, max: 1, noNaN: true }), { minLength: 12, maxLength: 14 })
  .map((offsets) =>
    offsets.map((offset, i): Point => {
      const angle = (2 * Math.PI * (i + 0.3 * offset)) / offsets.length;
      return { x: (10 + offset) * Math.cos(angle), y: (10 + offset) * Math.sin(angle) };
    }),
  );

const distance = (p: Point, c: Point): number => Math.hypot(p.x - c.x, p.y - c.y);

/** Centre of the circle through three points; null when they lie on a line. */
function through(a: Point, b: Point, c: Point): Point | null {
  const [bx, by, cx, cy] = [b.x - a.x, b.y - a.y, c.x - a.x, c.y - a.y];
  const d = 2 * (bx * cy - by * cx);
  if (Math.abs(d) < 1e-9) return null;
  const [b2, c2] = [bx * bx + by * by, cx * cx + cy * cy];
  return { x: a.x + (cy * b2 - by * c2) / d, y: a.y + (bx * c2 - cx * b2) / d };
}

/** Where two bisectors meet: the centre as far from a as from b, and as far from c as from d. */
function betweenPairs(a: Point, b: Point, c: Point, d: Point): Point | null {
  const [ux, uy, vx, vy] = [b.x - a.x, b.y - a.y, d.x - c.x, d.y - c.y];
  const determinant = ux * vy - uy * vx;
  if (Math.abs(determinant) < 1e-9) return null;
  const s = (b.x * b.x + b.y * b.y - a.x * a.x - a.y * a.y) / 2;
  const t = (d.x * d.x + d.y * d.y - c.x * c.x - c.y * c.y) / 2;
  return { x: (s * vy - t * uy) / determinant, y: (ux * t - vx * s) / determinant };
}

function* triples(points: readonly Point[]): Generator<[Point, Point, Point]> {
  for (let i = 0; i < points.length; i++)
    for (let j = i + 1; j < points.length; j++)
      for (let k = j + 1; k < points.length; k++) yield [points[i]!, points[j]!, points[k]!];
}

describe('small sets, against trying everything', () => {
  it('have the minimum circumscribed circle', () => {
    fc.assert(
      fc.property(rim, (points) => {
        let best = Infinity;
        const consider = (center: Point): void => {
          best = Math.min(best, Math.max(...points.map((p) => distance(p, center))));
        };
        for (const three of triples(points)) {
          const center = through(...three);
          if (center) consider(center);
        }
        points.forEach((a, i) => points.slice(i + 1).forEach((b) => consider({ x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 })));
        expect(minimumCircumscribedCircle(points).radius).toBeCloseTo(best, 9);
      }),
      { numRuns: 60 },
    );
  });

  it('have the maximum inscribed circle', () => {
    fc.assert(
      fc.property(rim, (points) => {
        const start = leastSquaresCircle(points);
        let best = 0;
        for (const three of triples(points)) {
          const center = through(...three);
          if (center && distance(center, start) < 0.4 * start.radius) {
            best = Math.max(best, Math.min(...points.map((p) => distance(p, center))));
          }
        }
        expect(maximumInscribedCircle(points).radius).toBeCloseTo(best, 9);
      }),
      { numRuns: 60 },
    );
  });

  it('have the minimum zone (two points outside and two inside, or three and one)', () => {
    fc.assert(
      fc.property(rim, (points) => {
        const start = leastSquaresCircle(points);
        const width = (center: Point): number => {
          const all = points.map((p) => distance(p, center));
          return Math.max(...all) - Math.min(...all);
        };
        let best = Infinity;
        const consider = (center: Point | null): void => {
          if (center && distance(center, start) < 0.4 * start.radius) best = Math.min(best, width(center));
        };
        for (const three of triples(points)) consider(through(...three));
        for (let i = 0; i < points.length; i++)
          for (let j = i + 1; j < points.length; j++)
            for (let k = i; k < points.length; k++)
              for (let l = k + 1; l < points.length; l++) consider(betweenPairs(points[i]!, points[j]!, points[k]!, points[l]!));
        const zone = minimumZoneCircles(points);
        expect(zone.outerRadius - zone.innerRadius).toBeCloseTo(best, 8);
      }),
      { numRuns: 40 },
    );
  });

  it('are exact on exact circles', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -50, max: 50, noNaN: true }),
        fc.double({ min: -50, max: 50, noNaN: true }),
        fc.double({ min: 0.5, max: 500, noNaN: true }),
        (x, y, radius) => {
          const points = Array.from({ length: 90 }, (_, i) => ({
            x: x + radius * Math.cos((i * Math.PI) / 45),
            y: y + radius * Math.sin((i * Math.PI) / 45),
          }));
          const fit = leastSquaresCircle(points);
          expect(Math.abs(fit.x - x) + Math.abs(fit.y - y) + Math.abs(fit.radius - radius)).toBeLessThan(1e-9 * (radius + 100));
          const zone = minimumZoneCircles(points);
          expect(zone.outerRadius - zone.innerRadius).toBeLessThan(1e-9 * (radius + 100));
        },
      ),
      { numRuns: 60 },
    );
  });
});
