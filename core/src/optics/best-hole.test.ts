import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { InputError } from '../errors.ts';
import { DEFAULT_LOSS_SHARE, bandCost, bestHole, suitedFocalLength } from './best-hole.ts';
import { CRITERIA, CRITERION_IDS, criterionFacts, parseCriterion } from './criteria.ts';
import type { Criterion } from './criteria.ts';
import { limitingFrequencyPerMm } from './round-hole.ts';

const wide = { focalLengthMm: 106, objectDistanceMm: Infinity, wavelengthNm: 550 };
const criterion = fc.constantFrom(...CRITERION_IDS);
const focalLengthMm = fc.double({ min: 5, max: 2000, noNaN: true });
const objectDistanceMm = fc.oneof(fc.constant(Infinity), fc.double({ min: 50, max: 1e6, noNaN: true }));
const wavelengthNm = fc.double({ min: 380, max: 760, noNaN: true });
const anyLossShare = fc.double({ min: 0.002, max: 0.4, noNaN: true });

describe('criteria', () => {
  test('stand in the table once each, in order, with words and a source', () => {
    expect(CRITERIA.map(({ id }) => id)).toEqual([...CRITERION_IDS]);
    for (const facts of CRITERIA) {
      expect(facts.title).not.toBe('');
      expect(facts.meaning).toMatch(/\.$/);
      expect(facts.sourceKey).toMatch(/^[a-z0-9-]+$/);
    }
  });

  test('are found by name, and an unknown one is answered with the known', () => {
    expect(parseCriterion(' Detail-10 ')).toBe('detail-10');
    expect(() => parseCriterion('sharpest')).toThrow(/contrast-50, detail-20, detail-10/);
    expect(() => criterionFacts('sharpest' as Criterion)).toThrow(InputError);
  });
});

describe('the best hole', () => {
  // worked out beforehand by other code; edges rounded inwards to 0.01 mm
  test.each<[Criterion, number, number]>([
    ['contrast-50', 0.28, 0.39],
    ['detail-20', 0.33, 0.4],
    ['detail-10', 0.39, 0.45],
  ])('%s at 106 mm and 550 nm keeps within 5 % from %d to %d mm', (id, low, high) => {
    const { bandMm } = bestHole({ criterion: id, ...wide });
    expect(Math.ceil(bandMm[0] * 100) / 100).toBe(low);
    expect(Math.floor(bandMm[1] * 100) / 100).toBe(high);
  });

  test('is d = c √(λ f′)', () => {
    fc.assert(
      fc.property(criterion, focalLengthMm, objectDistanceMm, wavelengthNm, (id, focal, object, wavelength) => {
        const light = { objectDistanceMm: object, wavelengthNm: wavelength };
        const best = bestHole({ criterion: id, focalLengthMm: focal, ...light });
        const shortened = 1 / (1 / focal + 1 / object);
        expect(best.diameterMm / (best.constant * Math.sqrt(wavelength * 1e-6 * shortened))).toBeCloseTo(1, 12);
        expect(best.constant).toBe(criterionFacts(id).constant);
        expect(best.sourceKey).toBe(criterionFacts(id).sourceKey);
      }),
    );
  });

  test('has its band around it, and the ends of the band cost exactly the loss', () => {
    fc.assert(
      fc.property(criterion, anyLossShare, objectDistanceMm, (id, loss, object) => {
        const question = { criterion: id, ...wide, objectDistanceMm: object, lossShare: loss };
        const { diameterMm, bandMm } = bestHole(question);
        expect(bandMm[0]).toBeLessThan(diameterMm);
        expect(bandMm[1]).toBeGreaterThan(diameterMm);
        for (const [edge, inwards] of [[bandMm[0], 1], [bandMm[1], -1]] as const) {
          const inside = bandCost({ ...question, diameterMm: edge * (1 + inwards * 1e-6) });
          expect(inside.place).toBe('within');
          expect(inside.lossShare).toBeLessThanOrEqual(loss);
          // below a cliff the loss may be less at the very edge, so only outside is it surely more
          const outside = bandCost({ ...question, diameterMm: edge * (1 - inwards * 1e-6) });
          expect(outside.place).not.toBe('within');
          expect(outside.lossShare).toBeGreaterThan(loss * (1 - 1e-9));
        }
      }),
      { numRuns: 60 },
    );
  });

  test('no hole in the band loses more, no hole anywhere is better', () => {
    for (const id of CRITERION_IDS) {
      const { bandMm, diameterMm } = bestHole({ criterion: id, ...wide });
      for (let k = 0; k <= 40; k++) {
        const inBand = bandMm[0] + ((bandMm[1] - bandMm[0]) * (k + 0.01)) / 40.02;
        const { lossShare } = bandCost({ criterion: id, ...wide, diameterMm: inBand });
        expect(lossShare).toBeLessThanOrEqual(DEFAULT_LOSS_SHARE);
        const anywhere = diameterMm * (0.4 + (k / 40) * 2);
        expect(bandCost({ criterion: id, ...wide, diameterMm: anywhere }).lossShare).toBeGreaterThanOrEqual(0);
      }
      expect(bandCost({ criterion: id, ...wide, diameterMm }).lossShare).toBeLessThan(1e-12);
    }
  });

  test('the band of a limiting frequency is what the frequency itself says', () => {
    for (const [id, contrast] of [['contrast-50', 0.5], ['detail-20', 0.2], ['detail-10', 0.1]] as const) {
      const { bandMm, diameterMm } = bestHole({ criterion: id, ...wide });
      const top = limitingFrequencyPerMm({ ...wide, diameterMm }, contrast);
      for (const edge of bandMm) {
        expect(limitingFrequencyPerMm({ ...wide, diameterMm: edge }, contrast) / top).toBeCloseTo(0.95, 8);
      }
    }
  });

  test('traditional constants say that their band is the sum of two blurs', () => {
    for (const id of ['petzval', 'rayleigh', 'airy'] as const) {
      const best = bestHole({ criterion: id, ...wide });
      expect(best.bandMeaning).toMatch(/sum of the classical blurs/);
      const blur = (d: number): number => d + (best.constant ** 2 * 550e-6 * 106) / d;
      for (const edge of best.bandMm) expect(blur(edge) / blur(best.diameterMm)).toBeCloseTo(1.05, 10);
    }
    expect(bestHole({ criterion: 'detail-10', ...wide }).bandMeaning).toBe(
      'the finest detail that keeps 10 % contrast stays within 5 % of the best',
    );
  });

  test('light is counted in stops against the best', () => {
    const { diameterMm } = bestHole({ criterion: 'detail-10', ...wide });
    expect(bandCost({ criterion: 'detail-10', ...wide, diameterMm: 2 * diameterMm }).lightStops).toBeCloseTo(2, 12);
    expect(bandCost({ criterion: 'detail-10', ...wide, diameterMm: diameterMm / 2 }).place).toBe('below');
  });
});

describe('the focal length a hole suits', () => {
  test('is the way back from the best hole, and its range from the band', () => {
    fc.assert(
      fc.property(criterion, focalLengthMm, objectDistanceMm, wavelengthNm, (id, focal, object, wavelength) => {
        const light = { criterion: id, objectDistanceMm: object, wavelengthNm: wavelength };
        const { diameterMm } = bestHole({ ...light, focalLengthMm: focal });
        const suited = suitedFocalLength({ ...light, diameterMm });
        // with a near object f′ hardly grows with f: the way back loses digits by f / f′
        const shortened = 1 / (1 / focal + 1 / object);
        expect(Math.abs((suited.focalLengthMm ?? NaN) / focal - 1)).toBeLessThan((1e-13 * focal) / shortened);
        const [shortest = NaN, longest = NaN] = suited.rangeMm ?? [];
        expect(shortest).toBeLessThan(focal);
        expect(longest).toBeGreaterThan(focal);
        for (const edge of [shortest, longest]) {
          if (!Number.isFinite(edge)) continue;
          const { bandMm } = bestHole({ ...light, focalLengthMm: edge });
          const nearest = Math.min(...bandMm.map((end) => Math.abs(end / diameterMm - 1)));
          expect(nearest).toBeLessThan(1e-9);
        }
      }),
    );
  });

  test('does not exist for a hole too large for a near object, and the reason is given', () => {
    const hole = { criterion: 'detail-10', diameterMm: 0.43, wavelengthNm: 550 } as const;
    const near = suitedFocalLength({ ...hole, objectDistanceMm: 50 });
    expect(near).toEqual({ focalLengthMm: null, rangeMm: null, reason: expect.stringMatching(/50 mm/) });
    const border = suitedFocalLength({ ...hole, objectDistanceMm: 100 });
    expect(border.focalLengthMm).toBeNull();
    expect(border.rangeMm?.[1]).toBe(Infinity);
  });

  test('refuses nonsense', () => {
    const question = { criterion: 'detail-10', objectDistanceMm: Infinity, wavelengthNm: 550 } as const;
    expect(() => suitedFocalLength({ ...question, diameterMm: -1 })).toThrow(InputError);
    expect(() => bestHole({ ...question, focalLengthMm: 100, lossShare: 0 })).toThrow(/lossShare/);
    expect(() => bestHole({ ...question, focalLengthMm: 100, lossShare: 0.6 })).toThrow(InputError);
    expect(() => bestHole({ ...question, focalLengthMm: NaN })).toThrow(InputError);
  });
});
