/** Scans of one plate combined, against Student's distribution as tabled in the GUM. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { InputError } from '../errors.ts';
import { combineScans } from './same-plate.ts';

const scan = (outlineDiameterMm: number, noiseMm = 0.0001) => ({
  outlineDiameterMm,
  clearDiameterMm: outlineDiameterMm,
  budget: [
    { name: 'scale', standardUncertaintyMm: 0.001, reason: 'scale' },
    { name: 'edge', standardUncertaintyMm: 0.003, reason: 'edge' },
    { name: 'noise', standardUncertaintyMm: noiseMm, reason: 'noise' },
  ],
});

describe('scans of one plate', () => {
  it('give the mean, and their differences in the budget: (t / 2) s / √n', () => {
    // s of 0.400, 0.403, 0.406 is 0.003; JCGM 100:2008 table G.2, 95.45 %, 2 degrees of freedom: t = 4.53.
    const mean = combineScans([scan(0.4), scan(0.403), scan(0.406)]);
    expect(mean.outlineDiameterMm).toBeCloseTo(0.403, 12);
    expect(mean.repeatabilityMm).toBeCloseTo(((4.53 / 2) * 0.003) / Math.sqrt(3), 4);
    expect(mean.spreadMm).toBeCloseTo(0.006, 12);
    expect(mean.budget.map(({ name }) => name)).toEqual(['repeatability', 'edge', 'scale', 'noise']);
    // In three poses half of the edge term is in the difference; the scale is common and does not shrink.
    expect(mean.budget[1]!.standardUncertaintyMm).toBeCloseTo(0.0015, 12);
    expect(mean.budget[2]!.standardUncertaintyMm).toBeCloseTo(0.001, 12);
    expect(mean.outlineStandardUncertaintyMm).toBeCloseTo(Math.hypot(...mean.budget.map((line) => line.standardUncertaintyMm)), 12);
  });

  it('that agree better than their noise add nothing to it', () => {
    const mean = combineScans([scan(0.4, 0.001), scan(0.4, 0.001), scan(0.4, 0.001), scan(0.4, 0.001)]);
    expect(mean.budget.find(({ name }) => name === 'repeatability')!.standardUncertaintyMm).toBe(0);
    expect(mean.budget.find(({ name }) => name === 'noise')!.standardUncertaintyMm).toBeCloseTo(0.0005, 12);
  });

  it('are never surer than their common scale, and less sure the more they differ', () => {
    fc.assert(
      fc.property(fc.array(fc.double({ min: 0.39, max: 0.41, noNaN: true }), { minLength: 2, maxLength: 8 }), (diameters) => {
        const mean = combineScans(diameters.map((d) => scan(d)));
        const wider = combineScans(diameters.map((d) => scan(0.4 + 2 * (d - 0.4))));
        expect(mean.outlineStandardUncertaintyMm).toBeGreaterThan(0.001);
        expect(wider.outlineStandardUncertaintyMm).toBeGreaterThanOrEqual(mean.outlineStandardUncertaintyMm - 1e-15);
      }),
    );
  });

  it('must be two at least', () => {
    expect(() => combineScans([scan(0.4)])).toThrow(InputError);
  });
});
