import { describe, expect, test } from 'vitest';
import {
  CRITERION_IDS,
  FORMATS,
  HOLDERS,
  bestHole,
  centredCamera,
  criterionFacts,
  degreesToRad,
  falloffAt,
  fieldOfView,
  focalLengthForAngleMm,
  focalLengthFromInsideDepthMm,
  insideDepthMm,
  radToDegrees,
} from '#core';
import data from './data.json';

/** Figures compared; a dropped row fails the last test. */
const compared: Record<string, number> = {};
const count = (set: string): void => {
  compared[set] = (compared[set] ?? 0) + 1;
};

describe('angles of view on 24×36 mm (published table)', () => {
  const { rows, toleranceDeg } = data.angleOfView24x36;
  const frame = { widthMm: 36, heightMm: 24 };
  test.each(rows)('$focalLengthMm mm', ({ focalLengthMm, horizontalDeg, verticalDeg, diagonalDeg }) => {
    const view = fieldOfView(centredCamera(frame, focalLengthMm));
    // rounding of the table to 0.001°, and a hair for the sums of doubles
    expect(Math.abs(radToDegrees(view.horizontalRad) - horizontalDeg)).toBeLessThanOrEqual(toleranceDeg + 1e-9);
    expect(Math.abs(radToDegrees(view.verticalRad) - verticalDeg)).toBeLessThanOrEqual(toleranceDeg + 1e-9);
    expect(Math.abs(radToDegrees(view.diagonalRad) - diagonalDeg)).toBeLessThanOrEqual(toleranceDeg + 1e-9);
    expect(view.equivalentByDiagonalMm).toBeCloseTo(focalLengthMm, 12);
    const back = focalLengthForAngleMm({ frame, along: 'diagonal', angleRad: degreesToRad(diagonalDeg) });
    expect(back / focalLengthMm).toBeCloseTo(1, 3);
    count('angleOfView24x36');
  });
});

describe('equivalents by the diagonal (published table)', () => {
  test.each(data.equivalents.rows)('$format', ({ widthMm, heightMm, fromMm, toMm, toleranceMm }) => {
    const view = fieldOfView(centredCamera({ widthMm, heightMm }, toMm));
    const computedMm = (fromMm * toMm) / view.equivalentByDiagonalMm;
    expect(Math.abs(computedMm - toMm)).toBeLessThanOrEqual(toleranceMm);
    count('equivalents');
  });
});

describe('light loss', () => {
  test.each(data.lightLoss.rows)('$angleDeg°', ({ angleDeg, share, stops }) => {
    const camera = centredCamera({ widthMm: 100, heightMm: 100 }, 100);
    const at = falloffAt(camera, { xMm: 100 * Math.tan(degreesToRad(angleDeg)), yMm: 0 });
    expect(2 ** -(at.falloffStops ?? NaN)).toBeCloseTo(share, 12);
    expect(at.falloffStops).toBeCloseTo(stops, 2);
    count('lightLoss');
  });
});

describe('inside depth of the box (worked example)', () => {
  test.each(data.insideDepth.rows)('plate seat $plateSeatMm mm', ({ insideDepthMm: expected, ...of }) => {
    expect(insideDepthMm(of)).toBeCloseTo(expected, 12);
    expect(focalLengthFromInsideDepthMm({ ...of, insideDepthMm: expected })).toBeCloseTo(of.focalLengthMm, 12);
    count('insideDepth');
  });
});

describe('common practice, no source', () => {
  test.each(data.commonPractice.rows)('$what', ({ widthMm, heightMm, focalLengthMm, diagonalDeg, equivalentMm }) => {
    const view = fieldOfView(centredCamera({ widthMm, heightMm }, focalLengthMm));
    expect(Math.round(radToDegrees(view.diagonalRad))).toBe(diagonalDeg);
    expect(Math.round(view.equivalentByDiagonalMm)).toBe(equivalentMm);
    count('commonPractice');
  });

  test('the traditional constants spread widely there, and 0.429 mm is the optimum at 10 % contrast', () => {
    const { smallestConstantMm, largestConstantMm, detail10Mm, ...given } = data.commonPractice.bestHole;
    const camera = { ...given, objectDistanceMm: Infinity };
    const diameters = (['petzval', 'airy', 'rayleigh', 'brightest'] as const).map(
      (criterion) => bestHole({ criterion, ...camera }).diameterMm,
    );
    expect(Math.min(...diameters)).toBeCloseTo(smallestConstantMm, 3);
    expect(Math.max(...diameters)).toBeCloseTo(largestConstantMm, 3);
    const best = bestHole({ criterion: 'detail-10', ...camera });
    expect(best.diameterMm).toBeCloseTo(detail10Mm, 3);
    expect(CRITERION_IDS.map((id) => criterionFacts(id).constant)).toHaveLength(8);
  });
});

describe('formats', () => {
  test('each says where it is from, and its image lies within its sheet', () => {
    expect(new Set(FORMATS.map(({ id }) => id)).size).toBe(FORMATS.length);
    for (const { id, name, imageArea, cutSize, areaBound, evidence, note } of FORMATS) {
      expect(id).toMatch(/^[a-z0-9.-]+$/);
      expect(name).not.toBe('');
      expect(imageArea.widthMm).toBeGreaterThanOrEqual(imageArea.heightMm);
      expect(['found', 'memory']).toContain(evidence);
      expect(cutSize === null).toBe(areaBound === 'frame-mask');
      if (cutSize !== null) {
        const rail = areaBound === 'holder-rails' ? 1 : 0;
        expect(cutSize.widthMm - imageArea.widthMm).toBeGreaterThanOrEqual(rail);
        expect(cutSize.heightMm - imageArea.heightMm).toBeGreaterThanOrEqual(rail);
        expect(cutSize.widthMm - imageArea.widthMm).toBeLessThan(10);
      }
      if (areaBound !== 'frame-mask') expect(note).toMatch(/rails/);
    }
  });

  test('holders: inches are exact', () => {
    expect(HOLDERS.map(({ holderDepthMm }) => Number(holderDepthMm.toFixed(2)))).toEqual([5, 5.79, 6.6, 8.13]);
    expect(HOLDERS.map(({ toleranceMm }) => Number(toleranceMm.toFixed(2)))).toEqual([0.18, 0.25, 0.41, 0.41]);
  });
});

test('no row was dropped', () => {
  expect(compared).toEqual({
    angleOfView24x36: 18,
    equivalents: 5,
    lightLoss: 3,
    insideDepth: 2,
    commonPractice: 2,
  });
  expect(FORMATS).toHaveLength(39);
});
