import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { polygonArea } from './points.ts';
import type { Point } from './points.ts';
import { thinned } from './thinned.ts';

const far = ({ x, y }: Point, line: readonly Point[]): number =>
  Math.min(...line.map((a, i) => {
    const b = line[(i + 1) % line.length]!;
    const square = (b.x - a.x) ** 2 + (b.y - a.y) ** 2;
    const t = Math.min(1, Math.max(0, ((x - a.x) * (b.x - a.x) + (y - a.y) * (b.y - a.y)) / square));
    return Math.hypot(x - a.x - t * (b.x - a.x), y - a.y - t * (b.y - a.y));
  }));

/** A rim of 720 points with lobes and one burr of so many points. */
const rim = (lobe: number, burr: number, at: number): Point[] => Array.from({ length: 720 }, (_, i) => {
  const angle = (i * Math.PI) / 360;
  const r = 1 + lobe * Math.cos(5 * angle) - (Math.abs(i - at) < burr ? 0.08 : 0);
  return { x: r * Math.cos(angle), y: r * Math.sin(angle) };
});

describe('an outline thinned', () => {
  test('stays near every point, keeps its area and its burr, and has far fewer corners', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 0.05, noNaN: true }), fc.integer({ min: 0, max: 12 }), fc.integer({ min: 20, max: 700 }), (lobe, burr, at) => {
        const points = rim(lobe, burr, at);
        const fewer = thinned(points, 0.001);
        expect(fewer.length).toBeLessThan(170);
        expect(polygonArea(fewer)).toBeCloseTo(polygonArea(points), 12);
        // what it was grown by is less than the chords are off
        for (const point of points) expect(far(point, fewer)).toBeLessThan(0.0021);
        if (burr > 0) expect(Math.min(...fewer.map(({ x, y }) => Math.hypot(x, y)))).toBeLessThan(1 + lobe - 0.07);
      }),
      { numRuns: 60 },
    );
  });

  test('leaves a triangle, and a line without area, as they are', () => {
    const triangle = [{ x: 0, y: 0 }, { x: 1, y: 0 }, { x: 0, y: 1 }];
    expect(thinned(triangle, 0.001)).toEqual(triangle);
    const line = [{ x: 0, y: 0 }, { x: 1, y: 0 }, { x: 2, y: 0 }, { x: 1, y: 0 }];
    expect(thinned(line, 0.001)).toEqual(line);
  });
});
