import { describe, expect, it } from 'vitest';
import { plateGrowth } from './growth.ts';
import type { PassRecord, PlateRecord } from './workshop.ts';

const ID = (n: number): string => `01999c9e-0000-7000-8000-${n.toString(16).padStart(12, '0')}`;

interface Given {
  readonly um: number;
  readonly uUm?: number;
  readonly imageUm?: number;
  readonly sha?: string;
  readonly scaleMmPerPx?: number;
  readonly burrsUm?: readonly number[];
}

const pass = (n: number, { um, uUm, imageUm, sha, scaleMmPerPx, burrsUm }: Given): PassRecord => ({
  id: ID(n),
  at: `2026-05-${String(n).padStart(2, '0')}T10:00:00Z`,
  scan: sha === undefined ? null : { sha256: sha.repeat(64), fileName: 'a.tif', scannedFace: 'film', mirrored: false },
  illumination: 'backlit',
  polarity: 'bright-hole',
  ...(scaleMmPerPx !== undefined && { scale: { xMmPerPx: scaleMmPerPx, yMmPerPx: scaleMmPerPx, source: 'file' as const } }),
  figures: {
    outlineDiameterMm: um / 1000,
    ...(uUm !== undefined && { outlineStandardUncertaintyMm: uUm / 1000 }),
    ...(imageUm !== undefined && { imageStandardUncertaintyMm: imageUm / 1000 }),
    ...(burrsUm !== undefined && { burrs: burrsUm.map((h) => ({ angleRad: 0, heightMm: h / 1000 })) }),
    roundnessMm: 0.002,
  },
});

const plate = (...passes: readonly PassRecord[]): PlateRecord => ({ id: ID(99), name: 'WB-1', passes });

describe('growth over the passes', () => {
  it('is the difference of measured passes, whatever lies between', () => {
    const unmeasured: PassRecord = { id: ID(2), at: '2026-05-02T10:00:00Z', scan: null, work: 'tapped' };
    const growth = plateGrowth(plate(pass(1, { um: 380 }), unmeasured, pass(3, { um: 431 })));
    expect(growth.steps.map(({ index, grownMm }) => [index, grownMm])).toEqual([[1, null], [3, expect.closeTo(0.051, 12)]]);
    expect(growth.totalMm).toBeCloseTo(0.051, 12);
    expect(growth.totalStandardUncertaintyMm).toBeNull();
    expect(growth.steps[1]?.isSure).toBeNull();
  });

  it('of scans made alike leaves out what they share: JCGM 100, 5.2.2, note 1, r = 1: u is the difference of the two', () => {
    // Scale 1 % of 400 and 440 µm: 4.0 and 4.4 µm, shared; picture 0.3 µm each, not shared.
    const [a, b] = [400, 440].map((um) => ({ um, uUm: Math.hypot(um / 100, 0.3), imageUm: 0.3, scaleMmPerPx: 0.005 }));
    const alike = plateGrowth(plate(pass(1, a as Given), pass(2, b as Given)));
    expect(alike.totalStandardUncertaintyMm).toBeCloseTo(Math.hypot(0.3, 0.3, 0.4) / 1000, 12);
    // From the file once and from another resolution then: nothing is known to be shared.
    const apart = plateGrowth(plate(pass(1, a as Given), pass(2, { ...(b as Given), scaleMmPerPx: 0.0025 })));
    expect(apart.totalStandardUncertaintyMm).toBeCloseTo(Math.hypot(4, 4.4, 0.3, 0.3) / 1000, 12);
  });

  it('is only called growth when it stands out of twice its doubt', () => {
    const grown = (um: number): boolean | null | undefined =>
      plateGrowth(plate(pass(1, { um: 400, uUm: 1 }), pass(2, { um, uUm: 1 }))).steps[1]?.isSure;
    expect([grown(402.7), grown(402.9), grown(397)]).toEqual([false, true, true]);
    expect(plateGrowth(plate(pass(1, { um: 400, uUm: 1 }), pass(2, { um: 401, uUm: 1 }))).sentence).toBe(
      'From 400 to 401 µm in 2 measured passes; the last pass changed nothing that could be measured (1 ± 3 µm).',
    );
    expect(plateGrowth(plate(pass(1, { um: 400, uUm: 1 }), pass(2, { um: 390, uUm: 1 }))).sentence).toMatch(/A hole does not shrink by working/);
  });

  it('counts one scan once, by its last reading', () => {
    const growth = plateGrowth(plate(pass(1, { um: 380, sha: 'a' }), pass(2, { um: 384, sha: 'a' }), pass(3, { um: 400, sha: 'b' })));
    expect(growth.steps.map(({ index, diameterMm }) => [index, diameterMm])).toEqual([[1, 0.384], [2, 0.4]]);
    expect(growth.perPassMm).toBeCloseTo(0.016, 12);
  });

  it('tells burr and roundness of each pass', () => {
    const { steps } = plateGrowth(plate(pass(1, { um: 380, burrsUm: [4, 9.5] }), pass(2, { um: 390, burrsUm: [] }), pass(3, { um: 391 })));
    expect(steps.map(({ burrMm }) => burrMm)).toEqual([0.0095, 0, null]);
    expect(steps.map(({ roundnessMm }) => roundnessMm)).toEqual([0.002, 0.002, 0.002]);
  });

  it('has a sentence for a plate without passes and with one', () => {
    expect(plateGrowth(plate()).sentence).toBe('No pass of this plate is measured yet.');
    expect(plateGrowth(plate(pass(1, { um: 380 }))).sentence).toMatch(/^One pass is measured: 380 µm\./);
  });
});
