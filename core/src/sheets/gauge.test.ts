import * as fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fieldOfView, gauge, radToDegrees } from '#core';
import { planOf } from '#core/sheets';
import { bareFrame, halfPlate } from '../../../tests/support/sheet-cameras.ts';
import { spoolTurns, windingTable } from './field-sheets.ts';
import { shutterSizes } from './front-sheet.ts';
import { coneShape, conesOf, gaugeAngleRad, halfWidthAtMm, wedgeShape } from './gauge.ts';
import { cameraText } from './word-sheets.ts';

const cones = fc.record({
  diameterMm: fc.double({ min: 0.1, max: 1, noNaN: true }),
  halfFrameMm: fc.double({ min: 15, max: 200, noNaN: true }),
  focalLengthMm: fc.double({ min: 20, max: 400, noNaN: true }),
});

describe('the gauge', () => {
  it('of the bare frame by hand: D 127, d 0.42, f 106', () => {
    const { across } = conesOf(planOf(bareFrame, {}));
    // 2 atan((127 + 0.42) / 212) = 62.0149°
    expect(radToDegrees(gaugeAngleRad(across))).toBeCloseTo(62.0149, 3);
    expect(halfWidthAtMm(across, 40)).toBeCloseTo(0.21 + (40 * 63.71) / 106, 12);
  });

  it('for a hole that is a point is the angle of view', () => {
    const plan = planOf({ ...halfPlate, holeShift: { xMm: 0, yMm: 0 }, hole: { ...halfPlate.hole, diameterMm: 1e-9 } }, {});
    const view = fieldOfView(plan.geometry);
    const { across, up, corner } = conesOf(plan);
    expect(gaugeAngleRad(across)).toBeCloseTo(view.horizontalRad, 9);
    expect(gaugeAngleRad(up)).toBeCloseTo(view.verticalRad, 9);
    expect(gaugeAngleRad(corner)).toBeCloseTo(view.diagonalRad, 9);
  });

  it('a wedge has flanks on the cone, stands clear of the hole, and its feet stay inside its own width', () => {
    fc.assert(fc.property(cones, (cone) => {
      const shape = wedgeShape(cone, 40);
      expect(shape.bottomHalfMm).toBeCloseTo(halfWidthAtMm(cone, shape.footHeightMm), 9);
      expect(shape.topHalfMm).toBeCloseTo(halfWidthAtMm(cone, shape.heightMm), 9);
      expect(shape.gapHalfMm).toBeGreaterThan(cone.diameterMm / 2 + 0.9);
      expect(shape.bottomHalfMm - shape.gapHalfMm).toBeGreaterThan(1.4);
      // Nothing of it lies in the clear cone above its tip but the wedge itself: its outline never goes beyond the cone there.
      for (const [x, z] of shape.outline) if (z > shape.footHeightMm) expect(Math.abs(x)).toBeCloseTo(halfWidthAtMm(cone, z), 9);
    }));
  });

  it('the cone rolled up from its sector has the radii asked for', () => {
    fc.assert(fc.property(cones, (cone) => {
      const shape = coneShape(cone, 40);
      // A sector of angle φ and radius R closes to a rim of circumference φ R.
      expect((shape.sectorRad * shape.innerRadiusMm) / (2 * Math.PI)).toBeCloseTo(halfWidthAtMm(cone, shape.standHeightMm), 9);
      expect((shape.sectorRad * shape.outerRadiusMm) / (2 * Math.PI)).toBeCloseTo(halfWidthAtMm(cone, shape.heightMm), 9);
      const slant = Math.hypot(shape.heightMm - shape.standHeightMm, halfWidthAtMm(cone, shape.heightMm) - halfWidthAtMm(cone, shape.standHeightMm));
      expect(shape.outerRadiusMm - shape.innerRadiusMm).toBeCloseTo(slant, 9);
      expect(shape.ringLengthMm).toBeCloseTo(2 * Math.PI * halfWidthAtMm(cone, shape.standHeightMm), 9);
    }));
  });
});

describe('the front room’s own gauge', () => {
  it('has the same angle and the same flanks', () => {
    fc.assert(fc.property(cones, (cone) => {
      const shape = wedgeShape(cone, 40);
      const other = gauge({
        focalLengthMm: cone.focalLengthMm, holeDiameterMm: cone.diameterMm, farthestFilmMm: cone.halfFrameMm,
        heightMm: shape.heightMm, tipHeightMm: shape.footHeightMm, footFromMiddleMm: shape.gapHalfMm,
      });
      expect(gaugeAngleRad(cone)).toBeCloseTo(other.angleRad, 12);
      expect(2 * shape.topHalfMm).toBeCloseTo(other.topWidthMm, 9);
      expect(2 * shape.bottomHalfMm).toBeCloseTo(other.tipWidthMm, 9);
    }));
  });
});

describe('openings and shutter', () => {
  it('the flap leaves the cone of view, the lever and the slide leave the opening', () => {
    const plan = planOf(bareFrame, {});
    const size = shutterSizes(plan);
    const slope = (plan.limits.diagonal.farthestFilmMm + 0.21) / 106;
    const z0 = Math.max(...plan.stack.map(({ farMm }) => farMm));
    const tip = { y: size.flapMm / 2 - size.flapMm * Math.cos(size.flapAngleRad), z: z0 + size.flapMm * Math.sin(size.flapAngleRad) };
    expect(tip.y).toBeCloseTo(0.21 + slope * tip.z, 9);
    const chord = 2 * size.leverArmMm * Math.sin(size.leverAngleRad / 2);
    expect(chord).toBeCloseTo(size.leverDiscMm / 2 + size.frontOpeningMm / 2, 9);
    // The slide's edge goes from overlap beyond the opening to the opening's other edge.
    expect(-size.bladeHeightMm / 2 + size.travelMm).toBeCloseTo(plan.stack.find(({ name }) => name.startsWith('shutter'))!.openingMm / 2, 9);
  });
});

describe('winding', () => {
  it('n turns hold what the layers add up to, layer by layer', () => {
    // Ten whole turns of rings, each at its middle: Σ π (D + (2k − 1) τ) = π n (D + τ n)
    const [coreMm, layerMm] = [11.5, 0.21];
    let lengthMm = 0;
    for (let k = 1; k <= 10; k += 1) lengthMm += Math.PI * (coreMm + (2 * k - 1) * layerMm);
    expect(spoolTurns({ lengthMm, coreMm, layerMm })).toBeCloseTo(10, 9);
  });

  it('needs fewer turns for every further picture of the same width', () => {
    const rows = windingTable(planOf(bareFrame, { back: 'roll-film' }));
    expect(rows.length).toBeGreaterThan(3);
    for (let i = 2; i < rows.length; i += 1) expect(rows[i]!.turns).toBeLessThan(rows[i - 1]!.turns);
  });
});

describe('the camera as text', () => {
  it('holds the numbers, one fact a line, and stays small enough for a label', () => {
    const text = cameraText(planOf(halfPlate, {}), '2026-04-19T12:00:00+02:00');
    for (const line of ['focal length mm: 135', 'hole um: 431 +- 2 (k=1)', 'plate: WB-3, in since 2026-04-11', 'frame mm: 159 x 114', 'date: 2026-04-19']) {
      expect(text.split('\n')).toContain(line);
    }
    expect(text.length).toBeLessThan(500);
  });
});
