/** The component tree against its own definition: at every level the picture is cut and its pieces are gathered, one by one. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { brightRegions, type Region } from './component-tree.ts';

interface Piece {
  readonly pixels: ReadonlySet<number>;
  readonly level: number;
}

/** Connected pieces (four neighbours) of what is at least as bright as `level`. */
function piecesAt(levels: Uint8Array, w: number, h: number, level: number): Piece[] {
  const seen = new Set<number>();
  const pieces: Piece[] = [];
  for (let start = 0; start < levels.length; start++) {
    if (levels[start]! < level || seen.has(start)) continue;
    const pixels = new Set([start]);
    for (const p of pixels) {
      const x = p % w;
      const y = (p - x) / w;
      for (const [u, v] of [[x - 1, y], [x + 1, y], [x, y - 1], [x, y + 1]] as const) {
        if (u >= 0 && v >= 0 && u < w && v < h && levels[v * w + u]! >= level) pixels.add(v * w + u);
      }
    }
    for (const p of pixels) seen.add(p);
    pieces.push({ pixels, level: Math.min(...Array.from(pixels, (p) => levels[p]!)) });
  }
  return pieces;
}

/** Every piece once, under the level of its darkest pixel. */
function allPieces(levels: Uint8Array, w: number, h: number): Piece[] {
  const found = new Map<string, Piece>();
  for (const level of new Set(levels)) {
    for (const piece of piecesAt(levels, w, h, level)) found.set(`${Math.min(...piece.pixels)} ${piece.pixels.size}`, piece);
  }
  return [...found.values()];
}

function byDefinition(levels: Uint8Array, w: number, h: number, leastAreaPx: number, leastPersistence: number): Region[] {
  const pieces = allPieces(levels, w, h);
  return pieces.flatMap(({ pixels, level }) => {
    const area = pixels.size;
    const [one] = pixels;
    const above = pieces.filter((p) => p.pixels.has(one!) && p.pixels.size > area).sort((a, b) => a.pixels.size - b.pixels.size);
    const grown = above.find((p) => p.pixels.size > 1.7 * area) ?? above.at(-1);
    const persistence = level - (grown?.level ?? level);
    if (area < leastAreaPx || area > 0.7 * (w * h) || persistence < leastPersistence) return [];
    const at = Array.from(pixels, (p) => ({ x: (p % w) + 0.5, y: Math.floor(p / w) + 0.5 }));
    const mean = (f: (p: { x: number; y: number }) => number): number => at.reduce((sum, p) => sum + f(p), 0) / area;
    const column = mean(({ x }) => x);
    const row = mean(({ y }) => y);
    return [{
      areaPx: area,
      column,
      row,
      // A pixel is a square, not a point: 1/12 more along each side.
      varColumn: mean(({ x }) => (x - column) ** 2) + 1 / 12,
      varRow: mean(({ y }) => (y - row) ** 2) + 1 / 12,
      covariance: mean(({ x, y }) => (x - column) * (y - row)),
      touchesBorder: at.some(({ x, y }) => x < 1 || y < 1 || x > w - 1 || y > h - 1),
      level,
      persistence,
    }];
  });
}

const inOrder = (regions: readonly Region[]): Region[] =>
  [...regions].sort((a, b) => a.areaPx - b.areaPx || a.level - b.level || a.column - b.column || a.row - b.row);

const picture = fc
  .record({ w: fc.integer({ min: 1, max: 12 }), h: fc.integer({ min: 1, max: 12 }), steps: fc.constantFrom(2, 4, 16, 256) })
  .chain(({ w, h, steps }) =>
    fc.record({
      w: fc.constant(w),
      h: fc.constant(h),
      levels: fc
        .array(fc.integer({ min: 0, max: steps - 1 }), { minLength: w * h, maxLength: w * h })
        .map((values) => Uint8Array.from(values, (v) => Math.floor((v * 255) / (steps - 1)))),
    }),
  );

describe('the regions of a picture at all levels', () => {
  it('are those of the definition, with their figures', () => {
    fc.assert(
      fc.property(picture, fc.integer({ min: 1, max: 5 }), fc.integer({ min: 0, max: 40 }), ({ w, h, levels }, area, persistence) => {
        const got = inOrder(brightRegions(levels, w, h, area, persistence));
        const expected = inOrder(byDefinition(levels, w, h, area, persistence));
        expect(got.length).toBe(expected.length);
        for (const [i, region] of got.entries()) {
          for (const key of Object.keys(region) as (keyof Region)[]) {
            const value = region[key];
            if (typeof value === 'number') expect(value, key).toBeCloseTo(expected[i]![key] as number, 9);
            else expect(value, key).toBe(expected[i]![key]);
          }
        }
      }),
      { numRuns: 60 },
    );
  });

  it('a bright disc is one region that lasts from its light to that of its surroundings', () => {
    const w = 60;
    const levels = Uint8Array.from({ length: w * w }, (_, i) => (Math.hypot((i % w) - 30, Math.floor(i / w) - 25) < 9 ? 200 : 40));
    const [disc, ...others] = brightRegions(levels, w, w, 6, 10);
    expect(others).toEqual([]);
    expect(disc).toMatchObject({ level: 200, persistence: 160, touchesBorder: false });
    // Whole pixels: within 3 % of π r².
    expect(Math.abs(disc!.areaPx / (Math.PI * 81) - 1)).toBeLessThan(0.03);
    // A disc of radius r has the variance r² / 4 about its middle.
    expect(disc!.varColumn).toBeCloseTo(81 / 4, 0);
  });
});
