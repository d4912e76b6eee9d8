import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { polygonArea } from '#core';
import { planOf } from '#core/sheets';
import type { BuildChoices, SheetCamera } from '#core/sheets';
import { bareFrame, builds, halfPlate } from '../../../tests/support/sheet-cameras.ts';
import { nested } from './boards.ts';
import { boxLayout, cutTotals, fingerCount, kerfOutline } from './box.ts';
import type { BoxPart } from './box.ts';
import type { Place } from './drawing.ts';

const layoutOf = (camera: SheetCamera, choices: BuildChoices) => boxLayout(planOf(camera, choices));
const area = (outline: readonly Place[]): number => Math.abs(polygonArea(outline.map(([x, y]) => ({ x, y }))));
const partNamed = (parts: readonly BoxPart[], name: string): BoxPart => parts.find((part) => part.name === name)!;

/** Point in a polygon by the even-odd rule. */
function inside(outline: readonly Place[], x: number, y: number): boolean {
  let odd = false;
  outline.forEach(([ax, ay], i) => {
    const [bx, by] = outline[(i + 1) % outline.length]!;
    if (ay > y !== by > y && x < ax + ((y - ay) / (by - ay)) * (bx - ax)) odd = !odd;
  });
  return odd;
}

describe('the box', () => {
  it('of the half-plate camera follows from its numbers by hand', () => {
    // inside depth = 135 − 6 + 0.25 − 11 = 118.25; seat board 18: walls 100.25 deep. Rise 6 and 5 of air a side:
    // 159 + 2 · 11 = 181 wide; holder 120.65 + 20 = 140.65 and 10 a side less two walls = 124.65 < 114 + 22 = 136 high.
    const { inside: room, outside, wallDepthMm, parts } = layoutOf(halfPlate, {});
    expect(wallDepthMm).toBeCloseTo(100.25, 9);
    expect([room.widthMm, room.heightMm, outside.widthMm, outside.heightMm]).toEqual([181, 136, 217, 172]);
    const front = partNamed(parts, 'front board');
    expect(front.holes[0]?.centre).toEqual([108.5, 92]);
    expect([partNamed(parts, 'side, left').widthMm, partNamed(parts, 'side, left').heightMm]).toEqual([100.25, 136]);
  });

  it('in every joint the wood of the walls is what the box over all is less its room', () => {
    for (const joint of ['butt', 'rebate', 'finger'] as const) {
      const plan = planOf(halfPlate, { joint });
      const { parts, inside: room, outside, wallDepthMm } = boxLayout(plan);
      const t = plan.boardMm;
      const volume = ['front board', 'top', 'bottom', 'side, left', 'side, right']
        .map((name) => partNamed(parts, name))
        .reduce((sum, part) => sum + area(part.outline) * part.thicknessMm, 0);
      const whole = outside.widthMm * outside.heightMm * (wallDepthMm + t) - room.widthMm * room.heightMm * wallDepthMm;
      // A rebate takes t · t/2 from each board along every edge where another sits.
      const rebates = joint === 'rebate' ? (t * t) / 2 * (2 * outside.widthMm + 2 * room.heightMm + 4 * (wallDepthMm + t)) : 0;
      expect(volume - rebates).toBeGreaterThan(whole * 0.985);
      expect(volume - rebates).toBeLessThan(whole * 1.015);
      if (joint !== 'rebate') expect(volume).toBeCloseTo(whole, 6);
    }
  });

  it('finger joints close: at every place of the walls there is exactly one board', () => {
    fc.assert(
      fc.property(fc.double({ min: 3, max: 19, noNaN: true }), fc.double({ min: 60, max: 250, noNaN: true }), (boardMm, focalLengthMm) => {
        const plan = planOf({ ...bareFrame, boardThicknessMm: boardMm, plateSeatMm: boardMm, focalLengthMm }, { joint: 'finger' });
        const { parts, outside: { widthMm: w, heightMm: h }, wallDepthMm } = boxLayout(plan);
        const t = boardMm;
        const deep = wallDepthMm + t;
        const [front, top, side] = ['front board', 'top', 'side, left'].map((name) => partNamed(parts, name).outline);
        for (let i = 0; i < 400; i += 1) {
          // A low-discrepancy walk through the shell of walls; x, y over the front, z backwards from its face.
          const at = (base: number): number => { let [f, r, n] = [1, 0, i + 1]; while (n > 0) { f /= base; r += f * (n % base); n = Math.floor(n / base); } return r; };
          const [x, y, z] = [at(2) * w, at(3) * h, at(5) * deep];
          const wall = z < t || x < t || x > w - t || y < t || y > h - t;
          if (!wall) continue;
          const owners = [
            z < t && inside(front!, x, y),
            y > h - t && inside(top!, x, z),
            y < t && inside(top!, x, z),
            x < t && inside(side!, z, y),
            x > w - t && inside(side!, z, y),
          ].filter(Boolean).length;
          expect(owners, `at ${x}, ${y}, ${z} of ${w}, ${h}, ${deep}, board ${t}`).toBe(1);
        }
      }),
      { numRuns: 25, seed: 4 },
    );
  });

  it('an odd number of fingers, none narrower than wished unless the edge is short', () => {
    fc.assert(fc.property(fc.double({ min: 30, max: 400, noNaN: true }), fc.double({ min: 3, max: 10, noNaN: true }), (length, wish) => {
      const count = fingerCount(length, wish);
      expect(count % 2).toBe(1);
      if (count > 3) expect(length / count).toBeGreaterThanOrEqual(wish - 1e-9);
    }));
  });

  it('the kerf makes outlines larger by half of it on each side, and openings smaller', () => {
    const square: readonly Place[] = [[0, 0], [10, 0], [10, 20], [0, 20]];
    expect(kerfOutline(square, 0.2)).toEqual([[-0.1, -0.1], [10.1, -0.1], [10.1, 20.1], [-0.1, 20.1]]);
    expect(area(kerfOutline([...square].reverse(), 0.2))).toBeCloseTo(9.8 * 19.8, 9);
    const front = partNamed(layoutOf(bareFrame, { joint: 'finger' }).parts, 'front board');
    const perimeter = front.outline.reduce((sum, [x, y], i) => {
      const [a, b] = front.outline[(i + 1) % front.outline.length]!;
      return sum + Math.hypot(a - x, b - y);
    }, 0);
    // Of an outline with right angles only: area + perimeter k/2 + 4 (k/2)²
    expect(area(kerfOutline(front.outline, 0.3))).toBeCloseTo(area(front.outline) + perimeter * 0.15 + 4 * 0.15 ** 2, 6);
  });
});

describe('the cut list', () => {
  it('adds up, and the boards hold every piece once, apart by the saw cut and inside the board', () => {
    for (const [camera, choices] of builds) {
      const { parts } = layoutOf(camera, choices);
      const totals = cutTotals(parts);
      expect(totals.reduce((sum, { count }) => sum + count, 0)).toBe(parts.reduce((sum, { count }) => sum + count, 0));
      const { boards, left } = nested(parts, choices.boards ?? [], 3);
      const laid = boards.flatMap((board) => board.parts);
      expect(laid.length + left.length).toBe(parts.reduce((sum, { count }) => sum + count, 0));
      for (const { board, parts: on } of boards) {
        on.forEach((a, i) => {
          expect(a.xMm + a.widthMm).toBeLessThanOrEqual(board.lengthMm + 1e-9);
          expect(a.yMm + a.heightMm).toBeLessThanOrEqual(board.widthMm + 1e-9);
          for (const b of on.slice(i + 1)) {
            const apart = Math.max(b.xMm - a.xMm - a.widthMm, a.xMm - b.xMm - b.widthMm, b.yMm - a.yMm - a.heightMm, a.yMm - b.yMm - b.heightMm);
            expect(apart).toBeGreaterThanOrEqual(3 - 1e-9);
          }
        });
      }
    }
  });

  it('says what no board holds', () => {
    const { parts } = layoutOf(halfPlate, {});
    const small = [{ name: 'off-cut', lengthMm: 230, widthMm: 180, thicknessMm: 18, count: 1 }];
    const { boards, left } = nested(parts, small, 3);
    expect(boards.length).toBe(1);
    expect(left).toContain('seat board');
    expect(left).toContain('light trap at the stop');
  });
});
