import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { polygonArea } from '#core';
import { UNCORRECTED, drawnLengths, planOf, sheetPages } from '#core/sheets';
import type { BuildPlan, SheetCamera, SheetName } from '#core/sheets';
import { inkOf } from '../../../tests/support/page-ink.ts';
import { bareFrame, bentBox, teaTin } from '../../../tests/support/sheet-cameras.ts';
import { boxLayout, formerArc, holeOnFront, kerfOutline } from './box.ts';
import { canWall } from './can-sheets.ts';
import { cameraText } from './word-sheets.ts';

const date = '2026-04-19T12:00:00+02:00';

function pagesOf(name: SheetName, plan: BuildPlan, tiled = true) {
  const head = { camera: plan.camera.name, date: date.slice(0, 10), version: '0.2.0', lengths: 'mm', printer: null } as const;
  return sheetPages(name, { plan, lengths: 'mm', date }, { paper: 'a4', tiled, ...UNCORRECTED }, head);
}

const textsOf = (name: SheetName, plan: BuildPlan): string => pagesOf(name, plan).flatMap((page) => inkOf(page).texts.map(({ text }) => text)).join(' ');

/** A place on bent film, written out: about the hole, or along the wall of a can with the hole in it. */
function filmPlace({ filmPlane, focalLengthMm: f, holeShift }: SheetCamera, alongMm: number, upMm: number): readonly [number, number, number] {
  const angle = (alongMm - holeShift.xMm) / f;
  const reach = filmPlane === 'can' ? f * Math.cos(angle) : f;
  return [reach * Math.sin(angle), upMm - holeShift.yMm, -reach * Math.cos(angle)];
}

describe('the openings of a camera with bent film', () => {
  it('let every ray pass that is less than 80° off the axis', () => {
    const share = fc.double({ min: -0.5, max: 0.5, noNaN: true });
    const camera = fc.record({
      filmPlane: fc.constantFrom('cylinder', 'can'), f: fc.double({ min: 40, max: 200, noNaN: true }),
      wide: fc.double({ min: 0.3, max: 2.6, noNaN: true }), high: fc.double({ min: 20, max: 150, noNaN: true }),
      x: fc.double({ min: -8, max: 8, noNaN: true }), y: fc.double({ min: -20, max: 20, noNaN: true }),
      d: fc.double({ min: 0.1, max: 0.8, noNaN: true }),
    });
    fc.assert(
      fc.property(camera, share, share, fc.double({ min: 0, max: 6.3, noNaN: true }), ({ filmPlane, f, wide, high, x, y, d }, u, v, at) => {
        const one: SheetCamera = {
          ...bareFrame, filmPlane, focalLengthMm: f, frame: { widthMm: wide * f, heightMm: high }, holeShift: { xMm: x, yMm: y },
          hole: { ...bareFrame.hole, diameterMm: d },
        };
        const [fx, fy, fz] = filmPlace(one, u * wide * f, v * high);
        fc.pre(Math.hypot(fx, fy) / -fz < Math.tan((79.9 * Math.PI) / 180));
        const { stack, clearanceMm } = planOf(one, {});
        const [hx, hy] = [(d / 2) * Math.cos(at), (d / 2) * Math.sin(at)];
        for (const { openingMm, nearMm, farMm, name } of stack) {
          for (const z of [nearMm, farMm]) {
            // from the film through the rim of the hole at z = 0, on to the layer or met by it before
            const far = Math.hypot(hx + ((hx - fx) * z) / -fz, hy + ((hy - fy) * z) / -fz);
            expect(far, name).toBeLessThanOrEqual(openingMm / 2 - clearanceMm + 1e-9);
          }
        }
      }),
      { numRuns: 400 },
    );
  });

  it('are no larger than the farthest corner asks, and wider than flat film of the same size would need', () => {
    const plan = planOf(bentBox, {});
    const flat = planOf({ ...bentBox, filmPlane: 'flat', frame: { ...bentBox.frame, widthMm: 100 } }, {});
    const corners = [-80, 80].flatMap((along) => [-30, 30].map((up) => filmPlace(bentBox, along, up)));
    const steepest = Math.max(...corners.map(([x, y, z]) => (Math.hypot(x, y) + 0.175) / -z));
    const front = plan.stack.at(-1)!;
    expect(front.openingMm).toBeCloseTo(2 * (0.175 + front.farMm * steepest + plan.clearanceMm), 9);
    expect(front.openingMm).toBeGreaterThan(flat.stack.at(-1)!.openingMm);
  });

  it('what comes flatter than any plate lets through is told, not hidden', () => {
    const told = (camera: SheetCamera): boolean => planOf(camera, {}).assumed.some((sentence) => sentence.includes('89° off the axis'));
    expect(told(teaTin)).toBe(true);
    expect(planOf(bentBox, {}).assumed.join(' ')).not.toContain('off the axis');
  });
});

describe('the box for film bent about the hole', () => {
  const plan = planOf(bentBox, {});
  const layout = boxLayout(plan);

  it('holds it at the focal length all along: formers, lid and hole as they stand in the box', () => {
    const former = layout.parts.find(({ name }) => name === 'former')!;
    // the lid's inner face is y = 0 of the former; the hole stands so far before it, in the middle between the walls
    const holeMm = plan.insideDepthMm + plan.seatMm;
    const arc = former.outline.filter(([x, y]) => y > 0 && Math.abs(x - former.widthMm / 2) <= formerArc(plan).halfWidthMm + 1e-9 && y < former.heightMm - 1e-6);
    expect(arc.length).toBeGreaterThan(50);
    for (const [x, y] of arc) expect(Math.hypot(x - former.widthMm / 2, y - holeMm)).toBeCloseTo(bentBox.focalLengthMm + plan.filmThicknessMm, 9);
    expect(former.count).toBe(2);
    expect(former.widthMm).toBeLessThanOrEqual(layout.inside.widthMm);
    expect(former.heightMm).toBeLessThan(plan.insideDepthMm);
    expect(holeOnFront(plan, layout.outside)[0]).toBeCloseTo(layout.outside.widthMm / 2, 9);
    expect(layout.inside.heightMm).toBeCloseTo(bentBox.frame.heightMm + 2 * plan.boardMm, 9);
    // the arc is as long as the picture and five millimetres more on each side, and for the shift
    expect(2 * formerArc(plan).halfAngleRad * bentBox.focalLengthMm).toBeCloseTo(160 + 2 * (4 + 5), 9);
    expect(layout.parts.some(({ name }) => name === 'seat board' || name === 'holder guide')).toBe(false);
  });

  it('a laser keeps the curve: the outline grows by half the kerf all round', () => {
    const { outline } = layout.parts.find(({ name }) => name === 'former')!;
    const area = (places: readonly (readonly [number, number])[]): number => Math.abs(polygonArea(places.map(([x, y]) => ({ x, y }))));
    const round = outline.reduce((sum, [x, y], i) => sum + Math.hypot(x - outline[(i + 1) % outline.length]![0], y - outline[(i + 1) % outline.length]![1]), 0);
    expect(area(kerfOutline(outline, 0.2)) - area(outline)).toBeCloseTo(0.1 * round, 0);
  });

  it('shows on the sheets what a bent view is', () => {
    expect(textsOf('box', plan)).toContain('2 × former');
    expect(textsOf('camera', plan)).toContain('bent about the hole with a radius of 75 mm');
    expect(textsOf('camera', plan)).toContain('Section, level');
    expect(cameraText(plan, date)).toContain('film: bent about the hole, radius = focal length');
    // the wire's edges bow: higher at the ends by 1/cos of the farther half angle
    const wire = pagesOf('view', plan).flatMap((page) => drawnLengths(page)).find(({ name }) => name === 'wire finder, height')!;
    const eye = 110 / (Math.tan(84 / 75) + Math.tan(76 / 75));
    expect(wire.lengthMm).toBeCloseTo((eye * 60) / 75 / Math.cos(84 / 75), 6);
  });
});

describe('film bent so far', () => {
  it('that its ends would meet the front board is refused with what to do', () => {
    // 35 mm · cos(1 rad) = 18.9 mm behind the hole, the board's inner face 19 mm
    const refused = () => planOf({ ...bentBox, focalLengthMm: 35, frame: { widthMm: 70, heightMm: 24 }, holeShift: { xMm: 0, yMm: 0 }, boardThicknessMm: 19, plateSeatMm: 19 }, {});
    expect(refused).toThrow('come to 18.9 mm behind the hole, but the inner face of the front board is 19 mm behind it: take thinner boards');
  });
});

describe('a can', () => {
  const plan = planOf(teaTin, {});

  // worked by hand: 72 mm inside, wall 0.25 mm, paper 200 × 160, hole 65 mm over the paper's middle
  it('is marked by a strip that meets at the back and bears the hole in the gap of the paper', () => {
    const wall = canWall(plan);
    expect(wall.insideRoundMm).toBeCloseTo(226.195, 3);
    expect(wall.outsideRoundMm).toBeCloseTo(227.765, 3);
    expect(wall.gapMm).toBeCloseTo(26.195, 3);
    expect(wall.gapOutsideMm).toBeCloseTo(26.376, 2);
    expect(wall.holeHeightMm).toBe(145);
    const lengths = new Map(pagesOf('template', plan, false).flatMap((page) => drawnLengths(page)).map(({ name, lengthMm }) => [name, lengthMm]));
    expect(lengths.get('can, round the outside')).toBeCloseTo(227.765, 3);
    expect(lengths.get('can, hole over the lower edge')).toBeCloseTo(145, 9);
  });

  it('with the hole off the middle of the paper turns the paper, not the hole', () => {
    // 10 mm along the paper: the gap's middle stands 10 mm of the inside, 10.069 of the outside, beside the hole
    expect(canWall(planOf({ ...teaTin, holeShift: { xMm: 10, yMm: 65 } }, {})).holeAsideMm).toBeCloseTo(10 * (72.5 / 72), 9);
  });

  it('needs no boards, no rails and no holder', () => {
    const words = (['template', 'shutter', 'box'] as const).map((name) => textsOf(name, plan)).join(' ');
    for (const wood of ['board', 'rail', 'seat', 'holder', 'screw']) expect(words, wood).not.toContain(wood);
    expect(words).toContain('Strip round the can');
    expect(words).toContain('Flap of black tape');
    expect(words).toContain('disc of black paper');
    expect(textsOf('camera', plan)).toContain('along the wall of a can 72 mm wide inside');
  });
});
