import { falloffAt, filmSight, insideDepthMm } from '#core';
import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { contourLevels, radiusAtStops, stopsAtRadius } from './falloff-lines.ts';
import { toPx } from '../shell/drawing/frame.ts';
import { rayEnd, sectionExtent, sectionOf } from './section.ts';
import type { Cut, SectionInput } from './section.ts';
import { sheetLayout } from './sheet-layout.ts';

const size = fc.double({ min: 10, max: 400, noNaN: true });
const input = fc.record<SectionInput>({
  frameWidthMm: size,
  frameHeightMm: size,
  focalLengthMm: fc.double({ min: 30, max: 800, noNaN: true }),
  holeShiftXMm: fc.double({ min: -30, max: 30, noNaN: true }),
  holeShiftYMm: fc.double({ min: -30, max: 30, noNaN: true }),
  woodThicknessMm: fc.option(fc.double({ min: 1, max: 30, noNaN: true })),
  holderDepthMm: fc.option(fc.double({ min: 0, max: 8, noNaN: true })),
  filmThicknessMm: fc.double({ min: 0, max: 0.4, noNaN: true }),
  plateSeatMm: fc.double({ min: -5, max: 12, noNaN: true }),
  sheetWidthMm: size,
  sheetHeightMm: size,
});
const cut = fc.constantFrom<Cut>('vertical', 'horizontal', 'diagonal');

describe('the section', () => {
  it('has the inside depth that the core works out', () => {
    fc.assert(
      fc.property(input, cut, (of, which) => {
        const section = sectionOf(of, which);
        fc.pre(of.holderDepthMm !== null && of.holderDepthMm > of.filmThicknessMm);
        const depth = insideDepthMm({ ...of, holderDepthMm: of.holderDepthMm ?? 0 });
        expect(section.innerFace - (section.seat ?? NaN)).toBeCloseTo(depth, 9);
      }),
    );
  });

  it('draws rays that start at the ends of the film and pass the hole', () => {
    fc.assert(
      fc.property(input, cut, (of, which) => {
        const section = sectionOf(of, which);
        const extent = sectionExtent(section, of.woodThicknessMm);
        for (const end of [0, 1] as const) {
          const [z, v] = rayEnd(section, end, extent);
          // lower ray on the scene side comes from the upper end of the film
          const from = section.film[end === 0 ? 1 : 0];
          const atHole = from + ((v - from) * (0 - section.filmPlane)) / (z - section.filmPlane);
          expect(atHole).toBeCloseTo(section.hole, 6);
          expect(z).toBeGreaterThanOrEqual(section.outerFace ?? 0);
        }
      }),
    );
  });

  it('never lets the front board stand in the light', () => {
    fc.assert(
      fc.property(input, cut, (of, which) => {
        const section = sectionOf(of, which);
        for (const [side, half] of section.frontBoard.entries()) {
          for (const [z, v] of half) {
            const back = section.film[side === 0 ? 1 : 0];
            const edge =
              z >= 0
                ? section.hole + z * section.slopes[side === 0 ? 1 : 0]
                : section.hole + (back - section.hole) * (z / section.filmPlane);
            // Only where the light itself leaves the box at the top or bottom may they meet.
            const beyondBox = Math.abs(edge) >= section.walls[1] + (of.woodThicknessMm ?? 0);
            expect(beyondBox || (side === 0 ? v > edge : v < edge)).toBe(true);
          }
        }
      }),
    );
  });

  // by hand: on a cylinder of radius f a point s along the film stands at f (sin s/f, 1 − cos s/f); on the wall of a can of
  // diameter f it stands at the chord f cos(s/f) under the angle s/f
  it('draws bent film bent, true to scale, with the rays to its ends', () => {
    const of: SectionInput = {
      frameWidthMm: 120, frameHeightMm: 95, focalLengthMm: 75, holeShiftXMm: 6, holeShiftYMm: 0, woodThicknessMm: 9,
      holderDepthMm: 5, filmThicknessMm: 0.18, plateSeatMm: 0, sheetWidthMm: 125, sheetHeightMm: 100,
    };
    for (const filmPlane of ['cylinder', 'can'] as const) {
      const section = sectionOf({ ...of, filmPlane }, 'horizontal');
      // from above +x points down: the low end is the film's right one, 54 mm along from the foot
      for (const [end, along] of [[0, -54], [-1, 66]] as const) {
        const phi = along / 75;
        const reach = filmPlane === 'can' ? 75 * Math.cos(phi) : 75;
        const [z, v] = section.filmLine.at(end) ?? [NaN, NaN];
        expect(z).toBeCloseTo(-reach * Math.cos(phi), 9);
        expect(v - section.hole).toBeCloseTo(reach * Math.sin(phi), 9);
      }
      expect(section.slopes[1]).toBeCloseTo(Math.tan(54 / 75), 9);
      expect(section.slopes[0]).toBeCloseTo(-Math.tan(66 / 75), 9);
      for (const [z, v] of section.filmLine) {
        const [middle, radius] = filmPlane === 'can' ? [-37.5, 37.5] : [0, 75];
        expect(Math.hypot(z - middle, v - section.hole)).toBeCloseTo(radius, 9);
      }
      expect(section.can === null).toBe(filmPlane === 'cylinder');
      if (filmPlane === 'can') expect([section.sideWalls, section.frontBoard, section.holder]).toEqual([[], [], null]);
      // straight up and down the film stays straight
      expect(sectionOf({ ...of, filmPlane }, 'vertical').filmLine).toEqual([[-75, -47.5], [-75, 47.5]]);
      // corner to corner: the drawn end is the corner, at its own angle and depth
      const corner = filmSight({ frame: { widthMm: 120, heightMm: 95 }, focalLengthMm: 75, holeShift: { xMm: 6, yMm: 0 }, filmPlane }, { xMm: -60, yMm: 47.5 });
      const diagonal = sectionOf({ ...of, filmPlane }, 'diagonal');
      const reached = Math.max(...[diagonal.filmLine[0], diagonal.filmLine.at(-1)].map((end) => Math.abs(((end?.[1] ?? NaN) - diagonal.hole) / (end?.[0] ?? NaN))));
      expect(reached).toBeCloseTo(Math.hypot(corner.xMm, corner.yMm) / corner.depthMm, 6);
    }
  });

  it('puts a rise up in the upright section and a shift to the right down in the one from above', () => {
    const of: SectionInput = {
      frameWidthMm: 120, frameHeightMm: 95, focalLengthMm: 100, holeShiftXMm: 4, holeShiftYMm: 7, woodThicknessMm: 9,
      holderDepthMm: 5, filmThicknessMm: 0.18, plateSeatMm: 0, sheetWidthMm: 125, sheetHeightMm: 100,
    };
    expect(sectionOf(of, 'vertical').hole).toBe(7);
    expect(sectionOf(of, 'horizontal').hole).toBe(-4);
  });
});

describe('lines of equal falloff', () => {
  it('agree with the core and with each other', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.1, max: 500, noNaN: true }), fc.double({ min: 10, max: 600, noNaN: true }), (radiusMm, focalLengthMm) => {
        const camera = { frame: { widthMm: 100, heightMm: 100 }, focalLengthMm, holeShift: { xMm: 0, yMm: 0 } };
        const { falloffStops } = falloffAt(camera, { xMm: radiusMm, yMm: 0 });
        expect(stopsAtRadius(radiusMm, camera)).toBeCloseTo(falloffStops ?? NaN, 12);
        expect(radiusAtStops(stopsAtRadius(radiusMm, camera), camera)).toBeCloseTo(radiusMm, 6);
      }),
    );
  });

  it('are closer together where the plate is thick, and end where its wall takes all the light', () => {
    const camera = { frame: { widthMm: 100, heightMm: 100 }, focalLengthMm: 80, holeShift: { xMm: 3, yMm: -2 } };
    const plate = { thicknessMm: 0.1, diameterMm: 0.3 };
    fc.assert(
      fc.property(fc.double({ min: 0.1, max: 200, noNaN: true }), (radiusMm) => {
        const stops = stopsAtRadius(radiusMm, camera, plate);
        expect(stops).toBeGreaterThan(stopsAtRadius(radiusMm, camera));
        expect(radiusAtStops(stops, camera, plate)).toBeCloseTo(radiusMm, 6);
      }),
    );
    // t tan θ = d: nothing passes beyond 240 mm
    expect(stopsAtRadius(241, camera, plate)).toBe(Infinity);
    expect(contourLevels(Infinity).length).toBeLessThan(8);
  });

  it('lose two stops at 45°, by cos⁴', () => {
    const camera = { frame: { widthMm: 100, heightMm: 100 }, focalLengthMm: 80, holeShift: { xMm: 0, yMm: 0 } };
    expect(stopsAtRadius(80, camera)).toBeCloseTo(2, 12);
  });

  it('are few, inside the frame, and at round values', () => {
    expect(contourLevels(1.9)).toEqual([0.5, 1, 1.5]);
    expect(contourLevels(0.9)).toEqual([0.25, 0.5, 0.75]);
    expect(contourLevels(5.2)).toEqual([1, 2, 3, 4, 5]);
    expect(contourLevels(0.2)).toEqual([]);
    expect(contourLevels(11)).toEqual([2, 4, 6, 8, 10]);
  });
});

describe('the sheet', () => {
  it('holds frame and section at one scale, inside its width, without the one covering the other', () => {
    fc.assert(
      fc.property(input, cut, fc.integer({ min: 300, max: 1600 }), fc.boolean(), (of, which, widthPx, mirrored) => {
        const section = sectionOf(of, which);
        const extent = sectionExtent(section, of.woodThicknessMm);
        const layout = sheetLayout({
          widthPx, roomPx: 600, frameWidthMm: of.sheetWidthMm, frameHeightMm: of.sheetHeightMm, cut: which, extent, mirrored,
        });
        const scale = layout.section;
        if (scale === null) throw new Error('The section has no place.');
        expect(scale.pxPerMm).toBe(layout.frame.pxPerMm);
        const ends = [extent.back, extent.front].map((z) => toPx(scale, z, 0).x);
        const frame = [-of.sheetWidthMm / 2, of.sheetWidthMm / 2].map((xMm) => toPx(layout.frame, xMm, 0).x);
        for (const x of [...ends, ...frame]) {
          expect(x).toBeGreaterThanOrEqual(-1e-6);
          expect(x).toBeLessThanOrEqual(widthPx + 1e-6);
        }
        const beside = Math.max(...frame) < Math.min(...ends) || Math.max(...ends) < Math.min(...frame);
        const above =
          toPx(scale, 0, -extent.half).y < toPx(layout.frame, 0, of.sheetHeightMm / 2).y;
        expect(beside || above).toBe(true);
      }),
    );
  });
});
