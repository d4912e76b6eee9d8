import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { InputError, ModelError } from '../errors.ts';
import { degreesToRad, radToDegrees } from '../units/angle.ts';
import { boxDepth, focalLengthFromInsideDepthMm, focalLengthFromOutsideDepthMm, insideDepthMm } from './box.ts';
import { falloffAt, falloffMap, frameFalloff } from './falloff.ts';
import { centredCamera, fieldOfView, sceneAreaAt } from './field-of-view.ts';
import { formatById, holderFor } from './formats.ts';
import type { CameraGeometry } from './geometry.ts';
import { focalLengthForAngleMm, focalLengthForObjectMm, objectDistanceToFillMm } from './solve.ts';

const length = fc.double({ min: 10, max: 500, noNaN: true });
// whole thousandths: doubles about 0 are drawn so tiny that the hole would stay in the middle
const shift = fc.integer({ min: -900, max: 900 }).map((thousandths) => thousandths / 1000);
/** Cameras with the foot anywhere inside the frame. */
const anyCamera: fc.Arbitrary<CameraGeometry> = fc
  .tuple(length, length, length, shift, shift)
  .map(([widthMm, heightMm, focalLengthMm, x, y]) => ({
    frame: { widthMm, heightMm },
    focalLengthMm,
    holeShift: { xMm: (x * widthMm) / 2, yMm: (y * heightMm) / 2 },
  }));

const sheet = { widthMm: 120, heightMm: 95 };

describe('field of view', () => {
  test('rise looks up, a hole moved right looks right', () => {
    const rise = fieldOfView({ frame: sheet, focalLengthMm: 100, holeShift: { xMm: 10, yMm: 15 } });
    expect(rise.upRad).toBeCloseTo(Math.atan(62.5 / 100), 14);
    expect(rise.downRad).toBeCloseTo(Math.atan(32.5 / 100), 14);
    expect(rise.rightRad).toBeCloseTo(Math.atan(70 / 100), 14);
    expect(rise.leftRad).toBeCloseTo(Math.atan(50 / 100), 14);
    expect(rise.imageCircleMm).toBeCloseTo(2 * Math.hypot(70, 62.5), 12);
    const far = rise.corners.reduce((a, b) => (a.angleRad > b.angleRad ? a : b));
    expect(far.name).toBe('bottom-left');
    expect(far.angleRad).toBeCloseTo(Math.atan(Math.hypot(70, 62.5) / 100), 14);
  });

  test('a hole outside the frame looks past the axis', () => {
    const view = fieldOfView({ frame: sheet, focalLengthMm: 100, holeShift: { xMm: 0, yMm: 60 } });
    expect(view.downRad).toBeLessThan(0);
    expect(view.verticalRad).toBeCloseTo(view.upRad + view.downRad, 14);
    expect(view.verticalRad).toBeGreaterThan(0);
  });

  test('a mirrored camera sees the mirrored view', () => {
    fc.assert(
      fc.property(anyCamera, (camera) => {
        const view = fieldOfView(camera);
        const holeShift = { ...camera.holeShift, xMm: -camera.holeShift.xMm };
        const mirrored = fieldOfView({ ...camera, holeShift });
        expect(mirrored.leftRad).toBe(view.rightRad);
        expect(mirrored.rightRad).toBe(view.leftRad);
        expect(mirrored.upRad).toBe(view.upRad);
        expect(mirrored.diagonalRad).toBeCloseTo(view.diagonalRad, 13);
        expect(mirrored.imageCircleMm).toBeCloseTo(view.imageCircleMm, 11);
      }),
    );
  });

  test('a camera built larger in every measure sees the same', () => {
    fc.assert(
      fc.property(anyCamera, fc.double({ min: 0.1, max: 10, noNaN: true }), (camera, k) => {
        const view = fieldOfView(camera);
        const large = fieldOfView({
          frame: { widthMm: camera.frame.widthMm * k, heightMm: camera.frame.heightMm * k },
          focalLengthMm: camera.focalLengthMm * k,
          holeShift: { xMm: camera.holeShift.xMm * k, yMm: camera.holeShift.yMm * k },
        });
        for (const key of ['horizontalRad', 'verticalRad', 'diagonalRad', 'equivalentByDiagonalMm'] as const) {
          expect(large[key] / view[key]).toBeCloseTo(1, 12);
        }
        expect(large.imageCircleMm / view.imageCircleMm).toBeCloseTo(k, 11);
      }),
    );
  });

  test('sides add up, and centred diagonals are 2 atan(half diagonal / f)', () => {
    fc.assert(
      fc.property(anyCamera, (camera) => {
        const view = fieldOfView(camera);
        const { frame, focalLengthMm: f, holeShift } = camera;
        expect(Math.tan(view.leftRad) + Math.tan(view.rightRad)).toBeCloseTo(frame.widthMm / f, 9);
        expect(Math.tan(view.upRad) - Math.tan(view.downRad)).toBeCloseTo((2 * holeShift.yMm) / f, 9);
        const centred = fieldOfView(centredCamera(frame, f));
        const half = Math.hypot(frame.widthMm, frame.heightMm) / 2;
        expect(centred.diagonalRad).toBeCloseTo(2 * Math.atan(half / f), 13);
        expect(centred.diagonalsRad[0]).toBeCloseTo(centred.diagonalsRad[1], 13);
        // an angle at the hole over a fixed base is widest from straight in front
        expect(view.diagonalRad).toBeLessThanOrEqual(centred.diagonalRad + 1e-12);
        expect(view.equivalentByDiagonalMm).toBe(centred.equivalentByDiagonalMm);
      }),
    );
  });

  test('the diagonal of an off-centre hole is what the law of cosines says', () => {
    fc.assert(
      fc.property(anyCamera, (camera) => {
        const { frame, focalLengthMm: f, holeShift: s } = camera;
        const ray = (x: number, y: number): number => Math.hypot(x - s.xMm, y - s.yMm, f);
        const w = frame.widthMm / 2;
        const h = frame.heightMm / 2;
        const base = 2 * Math.hypot(w, h);
        const seen = (one: number, other: number): number =>
          Math.acos((one * one + other * other - base * base) / (2 * one * other));
        const both = [seen(ray(-w, h), ray(w, -h)), seen(ray(w, h), ray(-w, -h))];
        const view = fieldOfView(camera);
        expect(view.diagonalsRad[0]).toBeCloseTo(both[0] as number, 7);
        expect(view.diagonalsRad[1]).toBeCloseTo(both[1] as number, 7);
        expect(view.diagonalRad).toBeCloseTo(Math.max(...both), 7);
      }),
    );
  });

  test('portrait frames compare with 24×36 held upright', () => {
    expect(fieldOfView(centredCamera({ widthMm: 24, heightMm: 36 }, 50)).equivalentByWidthMm).toBe(50);
    expect(fieldOfView(centredCamera({ widthMm: 36, heightMm: 24 }, 50)).equivalentByWidthMm).toBe(50);
  });

  test('what cannot be is refused in words', () => {
    expect(() => fieldOfView(centredCamera({ widthMm: 0, heightMm: 5 }, 50))).toThrow(/The frame width/);
    expect(() => fieldOfView(centredCamera(sheet, -1))).toThrow(/The focal length must be greater than 0 mm/);
    expect(() => fieldOfView({ frame: sheet, focalLengthMm: 1, holeShift: { xMm: NaN, yMm: 0 } })).toThrow(InputError);
  });
});

describe('falloff', () => {
  test('corners, edges and map agree with the point', () => {
    fc.assert(
      fc.property(anyCamera, fc.option(fc.nat(400).map((um) => um / 1000)), (camera, thicknessMm) => {
        const plate = thicknessMm === null ? undefined : { thicknessMm, diameterMm: 0.4 };
        const all = frameFalloff(camera, plate);
        const { falloffStops: map } = falloffMap(camera, { columns: 5, rows: 3 }, plate);
        expect(map[0]).toBe(all.corners['top-left'].falloffStops ?? Infinity);
        expect(map[4]).toBe(all.corners['top-right'].falloffStops ?? Infinity);
        expect(map[10]).toBe(all.corners['bottom-left'].falloffStops ?? Infinity);
        expect(map[14]).toBe(all.corners['bottom-right'].falloffStops ?? Infinity);
        expect(map[2]).toBe(all.edges.top.falloffStops ?? Infinity);
        expect(map[5]).toBe(all.edges.left.falloffStops ?? Infinity);
        expect(map[9]).toBe(all.edges.right.falloffStops ?? Infinity);
        expect(map[12]).toBe(all.edges.bottom.falloffStops ?? Infinity);
        const worst = Math.max(...Object.values(all.corners).map((corner) => corner.falloffStops ?? Infinity));
        expect(all.worst.falloffStops ?? Infinity).toBe(worst);
        expect([...map].every((stops) => stops >= 0)).toBe(true);
      }),
    );
  });

  test('is nothing behind the hole and grows with thickness', () => {
    fc.assert(
      fc.property(anyCamera, (camera) => {
        expect(falloffAt(camera, camera.holeShift, { thicknessMm: 1, diameterMm: 0.1 }).falloffStops).toBe(0);
        let before = 0;
        for (const thicknessMm of [0, 0.02, 0.05, 0.1, 0.5, 5]) {
          const { worst } = frameFalloff(camera, { thicknessMm, diameterMm: 0.4 });
          const stops = worst.falloffStops ?? Infinity;
          expect(stops).toBeGreaterThanOrEqual(before);
          before = stops;
        }
      }),
    );
  });

  test('100° through a hole of 0.30 mm: what shim and can cost beside cos⁴', () => {
    // worked out by hand from the overlap of the two rims: 0.19, 0.42, 0.98 and 3.2 stops; cos⁴ 50° = 2.55
    const camera = centredCamera({ widthMm: 2 * Math.tan(degreesToRad(50)) * 100, heightMm: 1 }, 100);
    const edge = { xMm: camera.frame.widthMm / 2, yMm: 0 };
    const stops = (thicknessMm: number): number =>
      falloffAt(camera, edge, { thicknessMm, diameterMm: 0.3 }).falloffStops ?? NaN;
    expect(stops(0)).toBeCloseTo(2.55, 2);
    expect(stops(0.025) - stops(0)).toBeCloseTo(0.19, 2);
    expect(stops(0.05) - stops(0)).toBeCloseTo(0.42, 1);
    expect(stops(0.1) - stops(0)).toBeCloseTo(0.98, 2);
    expect(stops(0.2) - stops(0)).toBeCloseTo(3.2, 1);
  });

  test('no light is null with a reason, infinity in the map', () => {
    const camera = centredCamera(sheet, 20);
    const { worst } = frameFalloff(camera, { thicknessMm: 0.2, diameterMm: 0.3 });
    expect(worst.falloffStops).toBeNull();
    expect(worst.reason).toMatch(/At 75° from the axis no light passes a hole of 0\.3 mm in an edge 0\.2 mm thick/);
    const map = falloffMap(camera, { columns: 3, rows: 3 }, { thicknessMm: 0.2, diameterMm: 0.3 });
    expect(map.falloffStops[0]).toBe(Infinity);
  });

  test('refuses nonsense', () => {
    const camera = centredCamera(sheet, 100);
    expect(() => frameFalloff(camera, { thicknessMm: -0.1, diameterMm: 0.3 })).toThrow(/0 mm or more/);
    expect(() => frameFalloff(camera, { thicknessMm: 0.1, diameterMm: 0 })).toThrow(InputError);
    expect(() => falloffMap(camera, { columns: 1, rows: 3 })).toThrow(/columns/);
    expect(() => falloffAt(camera, { xMm: Infinity, yMm: 0 })).toThrow(InputError);
  });
});

describe('depth of the box', () => {
  test('there and back again, from inside and from outside', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 40, max: 500, noNaN: true }),
        fc.nat(100).map((tenths) => tenths / 10),
        fc.nat(40).map((hundredths) => hundredths / 100),
        fc.integer({ min: -500, max: 2000 }).map((hundredths) => hundredths / 100),
        fc.double({ min: 3, max: 30, noNaN: true }),
        (focalLengthMm, depth, filmThicknessMm, plateSeatMm, boardThicknessMm) => {
          const seat = { holderDepthMm: depth + 0.5, filmThicknessMm, plateSeatMm };
          const inside = insideDepthMm({ ...seat, focalLengthMm });
          expect(focalLengthFromInsideDepthMm({ ...seat, insideDepthMm: inside })).toBeCloseTo(focalLengthMm, 10);
          const box = boxDepth({ ...seat, focalLengthMm, boardThicknessMm });
          expect(box.insideDepthMm).toBe(inside);
          expect(box.outsideDepthMm).toBe(inside + boardThicknessMm);
          const back = focalLengthFromOutsideDepthMm({ ...seat, outsideDepthMm: box.outsideDepthMm, boardThicknessMm });
          expect(back).toBeCloseTo(focalLengthMm, 10);
        },
      ),
    );
  });

  test('a hole further forward makes the box shallower, thicker film deeper', () => {
    const of = { focalLengthMm: 106, holderDepthMm: 5, filmThicknessMm: 0.18, plateSeatMm: 0 };
    expect(insideDepthMm({ ...of, plateSeatMm: 7 })).toBeCloseTo(insideDepthMm(of) - 7, 12);
    expect(insideDepthMm({ ...of, plateSeatMm: -1 })).toBeCloseTo(insideDepthMm(of) + 1, 12);
    expect(insideDepthMm({ ...of, filmThicknessMm: 0.28 })).toBeCloseTo(insideDepthMm(of) + 0.1, 12);
  });

  test('says what is unlikely and refuses what is impossible', () => {
    const of = { focalLengthMm: 106, holderDepthMm: 5, filmThicknessMm: 0.18, plateSeatMm: 7, boardThicknessMm: 18 };
    expect(boxDepth(of).notes).toEqual([]);
    expect(boxDepth({ ...of, plateSeatMm: 20 }).notes[0]).toMatch(/2 mm in front of the outer face/);
    expect(boxDepth({ ...of, plateSeatMm: -9 }).notes[0]).toMatch(/sign/);
    expect(boxDepth({ ...of, filmThicknessMm: 1.5 }).notes[0]).toMatch(/unusual/);
    expect(boxDepth({ ...of, holderDepthMm: 15 }).notes[0]).toMatch(/sheet film holders/);
    expect(() => insideDepthMm({ ...of, focalLengthMm: 10 })).toThrow(/no room for the box/);
    expect(() => insideDepthMm({ ...of, holderDepthMm: -5 })).toThrow(/The holder depth/);
    expect(() => insideDepthMm({ ...of, filmThicknessMm: 5 })).toThrow(/as thick as the holder is deep/);
    expect(() => insideDepthMm({ ...of, plateSeatMm: NaN })).toThrow(InputError);
    expect(() => focalLengthFromInsideDepthMm({ ...of, insideDepthMm: 5, plateSeatMm: -20 })).toThrow(/touch the film/);
    expect(() => focalLengthFromOutsideDepthMm({ ...of, outsideDepthMm: 12 })).toThrow(/no inside/);
  });

  test('paper lying on the box itself needs no holder', () => {
    expect(insideDepthMm({ focalLengthMm: 100, holderDepthMm: 0, filmThicknessMm: 0.3, plateSeatMm: 0 })).toBe(100.3);
  });
});

describe('from a wish to a focal length', () => {
  test('the wanted angle comes out, along all three, hole anywhere in the frame', () => {
    fc.assert(
      fc.property(
        anyCamera,
        fc.constantFrom('horizontal' as const, 'vertical' as const, 'diagonal' as const),
        (camera, along) => {
          const angleRad = fieldOfView(camera)[`${along}Rad`];
          const focal = focalLengthForAngleMm({ frame: camera.frame, holeShift: camera.holeShift, along, angleRad });
          expect(focal / camera.focalLengthMm).toBeCloseTo(1, 8);
          expect(fieldOfView({ ...camera, focalLengthMm: focal })[`${along}Rad`]).toBeCloseTo(angleRad, 10);
        },
      ),
    );
  });

  test('any angle below 180° across has a focal length, and a wider one a shorter', () => {
    fc.assert(
      fc.property(anyCamera, fc.double({ min: 1, max: 178, noNaN: true }), ({ frame, holeShift }, degrees) => {
        const seeing = (angleDeg: number): number =>
          focalLengthForAngleMm({ frame, holeShift, along: 'horizontal', angleRad: degreesToRad(angleDeg) });
        const focal = seeing(degrees);
        const wider = seeing(degrees + 1);
        expect(wider).toBeLessThan(focal);
        const view = fieldOfView({ frame, focalLengthMm: focal, holeShift });
        expect(radToDegrees(view.horizontalRad)).toBeCloseTo(degrees, 8);
      }),
    );
  });

  test('keeps its digits for the narrowest and the widest angles', () => {
    for (const degrees of [0.001, 0.1, 89.999, 90, 90.001, 179.9, 179.999]) {
      const focal = focalLengthForAngleMm({ frame: sheet, along: 'horizontal', angleRad: degreesToRad(degrees) });
      expect(focal * Math.tan(degreesToRad(degrees) / 2) / 60).toBeCloseTo(1, 9);
    }
  });

  test('75° on the diagonal of 127 × 102 mm is 106 mm', () => {
    const frame = { widthMm: 127, heightMm: 102 };
    expect(focalLengthForAngleMm({ frame, along: 'diagonal', angleRad: degreesToRad(75) })).toBeCloseTo(106.14, 2);
  });

  test('a hole outside the frame allows only so much, and the longer camera is given', () => {
    const question = { frame: sheet, holeShift: { xMm: 0, yMm: 100 }, along: 'vertical' } as const;
    const focal = focalLengthForAngleMm({ ...question, angleRad: degreesToRad(15) });
    const view = (f: number): number => fieldOfView({ ...question, focalLengthMm: f }).verticalRad;
    expect(radToDegrees(view(focal))).toBeCloseTo(15, 8);
    expect(view(focal * 1.2)).toBeLessThan(view(focal));
    expect(() => focalLengthForAngleMm({ ...question, angleRad: degreesToRad(60) })).toThrow(ModelError);
    expect(() => focalLengthForAngleMm({ ...question, angleRad: degreesToRad(60) })).toThrow(/vertically/);
  });

  test('180° is out of reach of a flat film', () => {
    const question = { frame: sheet, along: 'diagonal' } as const;
    expect(() => focalLengthForAngleMm({ ...question, angleRad: Math.PI })).toThrow(/less than 180°/);
    expect(() => focalLengthForAngleMm({ ...question, angleRad: 0 })).toThrow(InputError);
  });

  test('what fills the frame', () => {
    fc.assert(
      fc.property(anyCamera, fc.double({ min: 100, max: 1e6, noNaN: true }), (camera, objectDistanceMm) => {
        const { widthMm } = sceneAreaAt(camera, objectDistanceMm);
        const film = camera.frame.widthMm;
        const fills = { filmSizeMm: film, objectSizeMm: widthMm };
        expect(focalLengthForObjectMm({ ...fills, objectDistanceMm })).toBeCloseTo(camera.focalLengthMm, 8);
        const distance = objectDistanceToFillMm({ ...fills, focalLengthMm: camera.focalLengthMm });
        expect(distance / objectDistanceMm).toBeCloseTo(1, 12);
      }),
    );
    expect(() => focalLengthForObjectMm({ filmSizeMm: 120, objectSizeMm: 0, objectDistanceMm: 1 })).toThrow(InputError);
  });
});

describe('formats', () => {
  test('are found by id, and an unknown one is answered with the known', () => {
    expect(formatById('Sheet-4x5').imageArea).toEqual({ widthMm: 120.5, heightMm: 95.5 });
    expect(holderFor('sheet-4x5')?.holderDepthMm).toBeCloseTo(5, 2);
    expect(holderFor('120-6x6')).toBeNull();
    expect(() => formatById('4x5')).toThrow(/sheet-4x5/);
  });
});
