import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { InputError } from '../errors.ts';
import type { HoleReading, PointMm, ScanReading } from '../plate/scan.ts';
import { parseWorkshop, serialiseWorkshop } from './file.ts';
import { passFromReading, plateFrame } from './pass.ts';
import type { ScanPose } from './pass.ts';
import { emptyWorkshop } from './workshop.ts';
import type { PassRecord } from './workshop.ts';

const ID = '01999c9e-0000-7000-8000-000000000001';
const AT = '2026-05-01T10:00:00+02:00';

/** A reading of a hole with this outline in the picture: figures are made up, places and angles are what is tested. */
function readingOf(picture: { outline: readonly PointMm[]; center: PointMm; burrRad: number; speck: PointMm }): ScanReading {
  const circle = { center: picture.center, diameterMm: 0.4 };
  const hole: HoleReading = {
    outlineDiameterMm: 0.4,
    outlineStandardUncertaintyMm: 0.002,
    clearDiameterMm: 0.39,
    clearStandardUncertaintyMm: 0.002,
    imageStandardUncertaintyMm: 0.0003,
    budget: [{ name: 'edge', standardUncertaintyMm: 0.0015, reason: 'backlit' }],
    leastSquares: circle,
    maximumInscribed: { center: picture.speck, diameterMm: 0.38 },
    minimumCircumscribed: { center: picture.center, diameterMm: 0.42 },
    roundnessMm: 0.01,
    feretMinMm: 0.39,
    feretMaxMm: 0.42,
    feretMaxAngleRad: picture.burrRad,
    areaMm2: 0.125,
    perimeterMm: 1.26,
    centroid: picture.speck,
    ellipse: { longMm: 0.42, shortMm: 0.38, angleRad: picture.burrRad },
    lobes: [{ order: 3, amplitudeMm: 0.004, phaseRad: 3 * picture.burrRad }],
    raggednessMm: 0.0005,
    burrs: [{ angleRad: picture.burrRad, heightMm: 0.02, widthMm: 0.03 }],
    chips: [],
    debris: [{ areaMm2: 0.001, center: picture.speck, kind: 'island', outline: picture.outline }],
    blurSigmaMm: 0.006,
    acrossPx: 80,
    contrastToNoise: 60,
    outline: picture.outline,
    cautions: ['of the hole'],
  };
  return {
    scale: { xMmPerPx: 0.005, yMmPerPx: 0.0051, source: 'file', detail: 'tags' },
    tone: { kind: 'gamma', gamma: 1.8 },
    toneSource: 'given',
    illumination: 'backlit',
    polarity: 'bright-hole',
    plate: null,
    holes: [hole],
    cautions: ['of the scan'],
  };
}

/** The plate as it is, seen from the film side, mark up, from the middle of the hole: a lopsided outline. */
const PLATE: readonly (readonly [number, number])[] = [
  [0.2, 0],
  [0.1, 0.25],
  [-0.21, 0.05],
  [-0.15, -0.14],
  [0.05, -0.2],
];
const SPECK: readonly [number, number] = [0.07, 0.03];
const BURR_RAD = 0.4;

interface Lying {
  readonly scannedFace: 'film' | 'scene';
  readonly mirrored: boolean;
  /** How far the plate was turned on the glass, counter-clockwise as seen by the scanner. */
  readonly turnRad: number;
  readonly center: PointMm;
}

/** What a scanner shows of the plate: written from the scanner's side, not with the code under test. */
function pictureOf(lying: Lying) {
  // Looking at the scene side, left and right are exchanged; the scanner's software may exchange them once more.
  const facing = lying.scannedFace === 'scene' ? -1 : 1;
  const written = lying.mirrored ? -1 : 1;
  const place = ([x, y]: readonly [number, number]): PointMm => {
    const seen = facing * x;
    const [turnedX, turnedY] = [
      Math.cos(lying.turnRad) * seen - Math.sin(lying.turnRad) * y,
      Math.sin(lying.turnRad) * seen + Math.cos(lying.turnRad) * y,
    ];
    return { xMm: lying.center.xMm + written * turnedX, yMm: lying.center.yMm - turnedY };
  };
  const angle = (angleRad: number): number => {
    const { xMm, yMm } = place([Math.cos(angleRad), Math.sin(angleRad)]);
    return Math.atan2(lying.center.yMm - yMm, xMm - lying.center.xMm);
  };
  return {
    reading: readingOf({ outline: PLATE.map(place), center: lying.center, burrRad: angle(BURR_RAD), speck: place(SPECK) }),
    markAngleRad: angle(Math.PI / 2),
  };
}

function passOf(reading: ScanReading, pose: ScanPose): PassRecord {
  const [hole] = reading.holes;
  if (hole === undefined) throw new Error('no hole');
  return passFromReading({
    id: ID,
    at: AT,
    reading,
    hole,
    scan: {
      sha256: 'ab'.repeat(32),
      fileName: 'wb-1.png',
      scannedFace: pose.scannedFace,
      mirrored: pose.mirrored,
      ...(pose.markAngleRad !== undefined && { markAngleRad: pose.markAngleRad }),
    },
  });
}

const anyLying: fc.Arbitrary<Lying> = fc.record({
  scannedFace: fc.constantFrom('film', 'scene'),
  mirrored: fc.boolean(),
  turnRad: fc.double({ min: -Math.PI, max: Math.PI, noNaN: true }),
  center: fc.record({
    xMm: fc.double({ min: 0, max: 300, noNaN: true }),
    yMm: fc.double({ min: 0, max: 300, noNaN: true }),
  }),
});

/** Distance of angles on the circle of the given turn. */
const apartRad = (a: number, b: number, turnRad = 2 * Math.PI): number => {
  const d = Math.abs(a - b) % turnRad;
  return Math.min(d, turnRad - d);
};

describe('a pass from a reading', () => {
  it('is the same plate however it lay on the glass', () => {
    fc.assert(
      fc.property(anyLying, (lying) => {
        const { reading, markAngleRad } = pictureOf(lying);
        const pass = passOf(reading, { ...lying, markAngleRad });
        expect(pass.outlineMm).toHaveLength(PLATE.length);
        for (const [x, y] of PLATE) {
          const nearest = Math.min(...(pass.outlineMm ?? []).map(([px, py]) => Math.hypot(px - x, py - y)));
          expect(nearest).toBeLessThan(1e-12);
        }
        expect(apartRad(pass.figures?.burrs?.[0]?.angleRad ?? 9, BURR_RAD)).toBeLessThan(1e-12);
        expect(apartRad(pass.figures?.feretMaxAngleRad ?? 9, BURR_RAD, Math.PI)).toBeLessThan(1e-12);
        expect(apartRad(pass.figures?.lobes?.[0]?.phaseRad ?? 9, 3 * BURR_RAD)).toBeLessThan(1e-9);
        expect(apartRad(pass.figures?.ellipse?.angleRad ?? 9, BURR_RAD, Math.PI)).toBeLessThan(1e-12);
        expect(pass.figures?.debris?.[0]?.outlineMm).toEqual(pass.outlineMm);
        const speck = pass.figures?.debris?.[0]?.center;
        expect(Math.hypot((speck?.xMm ?? 9) - SPECK[0], (speck?.yMm ?? 9) - SPECK[1])).toBeLessThan(1e-12);
      }),
    );
  });

  it('goes round counter-clockwise whatever way the reading went', () => {
    fc.assert(
      fc.property(anyLying, fc.boolean(), (lying, backwards) => {
        const { reading } = pictureOf(lying);
        const [hole] = reading.holes;
        if (hole === undefined) throw new Error('no hole');
        const turned: ScanReading = backwards ? { ...reading, holes: [{ ...hole, outline: [...hole.outline].reverse() }] } : reading;
        const outline = passOf(turned, lying).outlineMm ?? [];
        let twiceAreaMm2 = 0;
        for (const [i, [x, y]] of outline.entries()) {
          const [nextX, nextY] = outline[(i + 1) % outline.length] ?? [0, 0];
          twiceAreaMm2 += x * nextY - nextX * y;
        }
        expect(twiceAreaMm2).toBeGreaterThan(0);
      }),
    );
  });

  it('without a mark stands as the picture stood, turned over only where it must be', () => {
    const center = { xMm: 12, yMm: 8 };
    const corner = [
      { xMm: 12.2, yMm: 8 },
      { xMm: 12, yMm: 7.75 },
      { xMm: 11.9, yMm: 8.25 },
    ];
    const reading = readingOf({ outline: corner, center, burrRad: Math.PI / 6, speck: { xMm: 12.1, yMm: 7.9 } });
    const film = passOf(reading, { scannedFace: 'film', mirrored: false });
    expect(film.outlineMm?.[1]).toEqual([0, 0.25]);
    expect(film.figures?.burrs?.[0]?.angleRad).toBeCloseTo(Math.PI / 6, 14);
    const scene = passOf(reading, { scannedFace: 'scene', mirrored: false });
    expect(scene.outlineMm?.map(([x]) => x).some((x) => Math.abs(x + 0.2) < 1e-12)).toBe(true);
    expect(scene.figures?.burrs?.[0]?.angleRad).toBeCloseTo((5 * Math.PI) / 6, 14);
    expect(passOf(reading, { scannedFace: 'scene', mirrored: true }).outlineMm).toEqual(film.outlineMm);
    expect(passOf(reading, { scannedFace: 'film', mirrored: true }).outlineMm).toEqual(scene.outlineMm);
    expect(film.figures?.scanCenter).toEqual(center);
  });

  it('finds its way back to the picture', () => {
    fc.assert(
      fc.property(anyLying, fc.double({ min: 0, max: 300, noNaN: true }), (lying, xMm) => {
        const frame = plateFrame({ ...lying, markAngleRad: lying.turnRad }, lying.center);
        const back = frame.picturePoint(frame.point({ xMm, yMm: 7 }));
        expect(Math.hypot(back.xMm - xMm, back.yMm - 7)).toBeLessThan(1e-9);
      }),
    );
  });

  it('keeps all that was read, and goes into the file and out again', () => {
    const { reading, markAngleRad } = pictureOf({ scannedFace: 'scene', mirrored: false, turnRad: 1, center: { xMm: 1, yMm: 2 } });
    const pass = passOf(reading, { scannedFace: 'scene', mirrored: false, markAngleRad });
    expect(pass).toMatchObject({
      scale: reading.scale,
      tone: { kind: 'gamma', gamma: 1.8, source: 'given' },
      polarity: 'bright-hole',
      illumination: 'backlit',
      cautions: ['of the scan', 'of the hole'],
      figures: { outlineDiameterMm: 0.4, clearDiameterMm: 0.39, budget: reading.holes[0]?.budget },
    });
    const workshop = {
      ...emptyWorkshop({ id: ID, name: 'Bench', createdAt: AT }),
      plates: [{ id: ID, name: 'WB-1', passes: [pass] }],
    };
    expect(parseWorkshop(serialiseWorkshop(workshop))).toEqual(workshop);
  });

  it('keeps stray holes beside the hole that is nearest to them, and no other plate’s hole', () => {
    const around = (xMm: number, yMm: number, rMm: number): PointMm[] =>
      [0, 1, 2, 3].map((k) => ({ xMm: xMm + rMm * Math.cos((k * Math.PI) / 2), yMm: yMm + rMm * Math.sin((k * Math.PI) / 2) }));
    const at = (xMm: number, yMm: number, diameterMm: number): HoleReading => {
      const center = { xMm, yMm };
      const [hole] = readingOf({ outline: around(xMm, yMm, diameterMm / 2), center, burrRad: 0, speck: center }).holes;
      return { ...(hole as HoleReading), outlineDiameterMm: diameterMm };
    };
    const [left, right, stray] = [at(5, 5, 0.4), at(20, 5, 0.38), at(6, 5, 0.1)] as const;
    const reading: ScanReading = { ...readingOf({ outline: left.outline, center: { xMm: 5, yMm: 5 }, burrRad: 0, speck: { xMm: 5, yMm: 5 } }), holes: [left, right, stray] };
    const passOf = (hole: HoleReading): PassRecord =>
      passFromReading({ id: ID, at: AT, reading, hole, scan: { sha256: 'a'.repeat(64), fileName: 'x', scannedFace: 'film', mirrored: false } });
    const kept = passOf(left).strayHoles ?? [];
    expect(kept).toHaveLength(1);
    const xs = kept[0]?.outlineMm.map(([xMm]) => xMm) ?? [];
    expect(Math.min(...xs)).toBeCloseTo(0.95, 12);
    expect(Math.max(...xs)).toBeCloseTo(1.05, 12);
    expect(passOf(right).strayHoles).toBeUndefined();
    expect(passOf(stray).strayHoles).toBeUndefined();
  });

  it('takes only a hole of its own reading', () => {
    const { reading } = pictureOf({ scannedFace: 'film', mirrored: false, turnRad: 0, center: { xMm: 1, yMm: 2 } });
    const [hole] = reading.holes;
    if (hole === undefined) throw new Error('no hole');
    const scan = { sha256: 'ab'.repeat(32), fileName: 'x', scannedFace: 'film', mirrored: false } as const;
    expect(() => passFromReading({ id: ID, at: AT, reading, hole: { ...hole }, scan })).toThrow(InputError);
  });
});
