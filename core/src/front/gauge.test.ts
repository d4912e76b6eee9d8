import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { clearHalfWidthMm, clippingOfLiftMm, flatWedgeAlarmMm, gauge, openSpareMm, smallestRoundOpeningMm, transmissionAt, viewLimits } from '#core';
import { pivotLever, plateSeat, slidingShutter, swingingFlap } from '#core';

describe('the gauge', () => {
  const question = { focalLengthMm: 75, holeDiameterMm: 0.3, farthestFilmMm: 76.53, heightMm: 18 };

  test('its angle is 2 atan((D + d)/2f), and its flanks stand on the true cone', () => {
    const made = gauge(question);
    expect(made.angleRad).toBeCloseTo(2 * Math.atan((2 * 76.53 + 0.3) / 150), 14);
    expect(made.topWidthMm / 2).toBeCloseTo(0.15 + (18 * (76.53 + 0.15)) / 75, 12);
    for (const { xMm, zMm } of made.outline) {
      expect(Math.abs(xMm)).toBeLessThanOrEqual(clearHalfWidthMm({ ...question, zMm }) + 1e-9 + (zMm < made.tipHeightMm ? 9 : 0));
      // nothing over the rim of the hole but the cut tip
      if (zMm === 0) expect(Math.abs(xMm)).toBeGreaterThan(0.15);
    }
  });

  test('the cone is the smallest round opening at every height', () => {
    for (const zMm of [0.5, 3, 9, 18]) {
      expect(2 * clearHalfWidthMm({ ...question, zMm })).toBeCloseTo(smallestRoundOpeningMm({ ...question, zMm }), 12);
    }
  });

  test('lifted by 1 mm, the rim stands one slope in the view: the cone is so much narrower 1 mm down', () => {
    const made = gauge(question);
    const narrower = clearHalfWidthMm({ ...question, zMm: 9 }) - clearHalfWidthMm({ ...question, zMm: 8 });
    expect(clippingOfLiftMm({ liftMm: 1, slopeShare: made.slopeShare })).toBeCloseTo(narrower, 12);
  });

  test('a flat tip w wide alarms (w − d)/2 a side too early at the plate, and at every height by the difference to the cone', () => {
    expect(flatWedgeAlarmMm({ ...question, tipWidthMm: 3, zMm: 0 })).toBeCloseTo(1.35, 12);
    const plain = 1.5 + (9 * 76.53) / 75;
    expect(flatWedgeAlarmMm({ ...question, tipWidthMm: 3, zMm: 9 })).toBeCloseTo(plain - clearHalfWidthMm({ ...question, zMm: 9 }), 12);
  });

  // common practice, no source: a wedge cut to the angle of view that touches the plate and clears the rim means no clipping
  test('a wedge at the bare angle of view proves a point hole clear; a real hole needs (d/2)(1 + z/f) more a side', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.1, max: 20, noNaN: true }), fc.double({ min: 0.05, max: 0.6, noNaN: true }), (zMm, diameterMm) => {
        const wedge = (zMm * 60) / 75;
        const ask = (radiusMm: number, holeMm: number) =>
          transmissionAt(
            {
              camera: { frame: { widthMm: 120, heightMm: 1e-9 }, focalLengthMm: 75, holeShift: { xMm: 0, yMm: 0 } },
              hole: { diameterMm: holeMm },
              layers: [{ name: 'rim', nearMm: zMm, farMm: zMm, opening: { shape: 'circle', diameterMm: 2 * radiusMm } }],
            },
            [{ xMm: 60, yMm: 0 }],
          )[0]!.transmissionShare;
        expect(ask(wedge * (1 + 1e-6) + 1e-6, 1e-9)).toBe(1);
        expect(ask(wedge * (1 - 1e-6) - 1e-6, 1e-9)).toBe(0);
        const more = (diameterMm / 2) * (1 + zMm / 75);
        expect(ask(wedge + more * (1 + 1e-9), diameterMm)).toBe(1);
        expect(ask(wedge + more * 0.98, diameterMm)).toBeLessThan(1);
      }),
      { numRuns: 50 },
    );
  });

  test('behind bent film the gauge still stands on the cone: what clears it clears every corner', () => {
    for (const filmPlane of ['flat', 'cylinder', 'can'] as const) {
      const camera = { frame: { widthMm: 120, heightMm: 80 }, focalLengthMm: 75, holeShift: { xMm: 4, yMm: -3 }, filmPlane };
      const limits = viewLimits(camera, 0.3);
      const diagonal = limits.find(({ plane }) => plane === 'diagonal')!;
      const half = clearHalfWidthMm({ zMm: 7, holeDiameterMm: 0.3, ...diagonal });
      const corners = [-60, 60].flatMap((xMm) => [-40, 40].map((yMm) => ({ xMm, yMm })));
      const least = (radiusMm: number): number =>
        Math.min(...transmissionAt({ camera, hole: { diameterMm: 0.3 }, layers: [{ name: 'rim', nearMm: 7, farMm: 7, opening: { shape: 'circle', diameterMm: 2 * radiusMm } }] }, corners).map((one) => one.transmissionShare));
      expect(least(half + 1e-9)).toBe(1);
      expect(least(half - 0.01)).toBeLessThan(1);
      // by hand, level: arc 64 mm from the foot of a cylinder of 75 mm is seen at 64/75 rad, on a can's wall too
      const level = limits.find(({ plane }) => plane === 'horizontal')!;
      expect(level.farthestFilmMm / level.focalLengthMm).toBeCloseTo(filmPlane === 'flat' ? 64 / 75 : Math.tan(64 / 75), 12);
    }
  });

  test('feet that do not fit under the flanks are refused', () => {
    expect(() => gauge({ ...question, footWidthMm: 5 })).toThrow(/Cut the tip higher/);
    expect(() => gauge({ ...question, footFromMiddleMm: 0.1 })).toThrow(/stand on the hole/);
  });
});

describe('seat and shutter', () => {
  test('plate 0.1 mm in a board with a 10 mm hole', () => {
    const seat = plateSeat({ boardOpeningMm: 10, plateThicknessMm: 0.1, boardThicknessMm: 9 });
    expect(seat.blankMm).toBe(18);
    expect(seat.recessMm).toBe(19);
    expect(seat.recessDepthMm).toBeCloseTo(0.7, 12);
    expect(seat.boardLeftMm).toBeCloseTo(8.3, 12);
    // a square blank in a recess with that corner radius just touches the arc on the diagonal
    const { recessCornerRadiusMm: r } = seat;
    expect(Math.hypot(9.5 - r, 9.5 - r) + r).toBeGreaterThan(0);
    expect((9.5 - r) * Math.SQRT2 + r).toBeCloseTo(9 * Math.SQRT2, 12);
    expect(() => plateSeat({ boardOpeningMm: 10, plateThicknessMm: 0.1, boardThicknessMm: 0.5 })).toThrow(/goes through/);
  });

  test('a slide covers with its overlap on every side when shut, and clears the view when short of its stop', () => {
    const slide = slidingShutter({
      openingAlongMm: 10, openingAcrossMm: 10, clearAlongMm: 6, clearAcrossMm: 5, slideThicknessMm: 2, notHomeMm: 1,
    });
    expect(slide.slotDepthMm).toBe(2.5);
    expect(slide.windowAlongMm).toBe(8);
    // shut: the window's near edge is the overlap beyond the opening's edge
    expect(slide.travelMm - slide.windowAlongMm / 2).toBeCloseTo(10 / 2 + 5, 12);
    // and the closed part reaches as far beyond the other edge
    expect(slide.closedPartMm - (slide.travelMm - slide.windowAlongMm / 2)).toBeCloseTo(10 / 2 + 5, 12);
    expect(slide.spareNotHomeMm).toBeCloseTo(0, 12);
  });

  test('“fully open”: a window short of its stop spares the view so much less, and clips when it is farther off', () => {
    const clear = (shortOfStopMm: number): number => {
      // a window of 8 mm and a view of 6 mm about the axis, the window's edges counted out
      const [low, high] = [shortOfStopMm - 4, shortOfStopMm + 4];
      return Math.min(high - 3, -3 - low);
    };
    for (const shortOfStopMm of [0, 0.4, -0.4, 1, 1.5, -2]) {
      expect(openSpareMm({ windowMm: 8, clearMm: 6, shortOfStopMm })).toBeCloseTo(clear(shortOfStopMm), 12);
    }
    expect(openSpareMm({ windowMm: 8, clearMm: 6, shortOfStopMm: 1.5 })).toBeLessThan(0);
  });

  test('a flap and a lever swept by their angle just leave the view', () => {
    const of = { openingMm: 10, clearMm: 12, pivotDistanceMm: 30 };
    const flap = swingingFlap(of);
    const gone = Math.hypot(30 * Math.sin(flap.sweepRad), 30 * (1 - Math.cos(flap.sweepRad)));
    expect(gone).toBeCloseTo((flap.flapDiameterMm + 12) / 2, 12);
    const lever = pivotLever(of);
    expect(30 * Math.sin(lever.sweepRad)).toBeCloseTo((lever.leverWidthMm + 12) / 2, 12);
    expect(() => pivotLever({ ...of, pivotDistanceMm: 10 })).toThrow(/never leaves the view/);
  });
});
