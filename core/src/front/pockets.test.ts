/** Thick openings with corners that point inwards, against rays followed through the wood step by step. */
import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { transmissionAt } from '#core';
import type { FilmPoint, FrontQuestion } from '#core';
import { layerBody } from './layer.ts';

const FOCAL_MM = 60;
const HOLE_MM = 4;

function inside(outline: readonly FilmPoint[], x: number, y: number): boolean {
  let odd = false;
  outline.forEach((a, i) => {
    const b = outline[(i + 1) % outline.length]!;
    if (a.yMm > y !== b.yMm > y && x < a.xMm + ((y - a.yMm) / (b.yMm - a.yMm)) * (b.xMm - a.xMm)) odd = !odd;
  });
  return odd;
}

/** Share of rays from all over the hole that reach a film point, each looked at in 41 planes of the layer. */
function followed(outline: readonly FilmPoint[], nearMm: number, farMm: number, film: FilmPoint): number {
  let all = 0;
  let through = 0;
  for (let i = 0; i < 60; i++) {
    for (let j = 0; j < 60; j++) {
      const [hx, hy] = [((i + 0.5) / 30 - 1) * (HOLE_MM / 2), ((j + 0.5) / 30 - 1) * (HOLE_MM / 2)];
      if (Math.hypot(hx, hy) > HOLE_MM / 2) continue;
      all++;
      let clear = true;
      for (let k = 0; k <= 40 && clear; k++) {
        const z = nearMm + ((farMm - nearMm) * k) / 40;
        clear = inside(outline, hx + ((hx - film.xMm) * z) / FOCAL_MM, hy + ((hy - film.yMm) * z) / FOCAL_MM);
      }
      if (clear) through++;
    }
  }
  return through / all;
}

const question = (outline: readonly FilmPoint[], nearMm: number, farMm: number): FrontQuestion => ({
  camera: { frame: { widthMm: 60, heightMm: 60 }, focalLengthMm: FOCAL_MM, holeShift: { xMm: 0, yMm: 0 } },
  hole: { diameterMm: HOLE_MM },
  layers: [{ name: 'notched', nearMm, farMm, opening: { shape: 'polygon', pointsMm: outline } }],
});

describe('an opening with spikes of wood', () => {
  // A thin spike from the right reaches to the middle: rays that pass beside it at both faces cross it in between.
  const spiked: FilmPoint[] = [
    [-9, -9], [9, -9], [9, -0.05], [0, -0.05], [0, 0.05], [9, 0.05], [9, 9], [-9, 9],
  ].map(([xMm, yMm]) => ({ xMm: xMm!, yMm: yMm! }));

  test('takes what crosses the spike between its faces, though both faces let it by', () => {
    const film = { xMm: -20, yMm: 25 };
    const [seen] = transmissionAt(question(spiked, 2, 10), [film]);
    const rays = followed(spiked, 2, 10, film);
    const faces = followed(spiked, 2, 2, film) + followed(spiked, 10, 10, film) - 1;
    expect(faces - rays).toBeGreaterThan(0.2);
    expect(Math.abs(seen!.transmissionShare - rays)).toBeLessThan(0.01);
  });

  test('however it is cut', () => {
    const number = (min: number, max: number) => fc.double({ min, max, noNaN: true });
    const star = fc.array(fc.record({ out: number(5, 9), in: number(1.5, 6) }), { minLength: 3, maxLength: 6 });
    fc.assert(
      fc.property(star, number(0, 3), number(0.5, 8), number(-25, 25), number(-25, 25), (points, nearMm, thick, xMm, yMm) => {
        const outline = points.flatMap((point, i) => [point.out, point.in].map((r, half): FilmPoint => {
          const angle = (Math.PI * (2 * i + half)) / points.length;
          return { xMm: r * Math.cos(angle), yMm: r * Math.sin(angle) };
        }));
        const [seen] = transmissionAt(question(outline, nearMm, nearMm + thick), [{ xMm, yMm }]);
        expect(Math.abs(seen!.transmissionShare - followed(outline, nearMm, nearMm + thick, { xMm, yMm }))).toBeLessThan(0.012);
      }),
      { numRuns: 60 },
    );
  });

  test('asks only for the walls of its pockets', () => {
    expect(layerBody({ name: 'spiked', nearMm: 0, farMm: 5, opening: { shape: 'polygon', pointsMm: spiked } }).pockets).toEqual([[1, 2, 3, 4, 5]]);
  });
});
