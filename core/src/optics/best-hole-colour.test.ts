import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { bandCostInLight, bestHoleInLight, finestDetailPerMm, sharpestDiameter, suitedFocalLengthInLight } from './best-hole-colour.ts';
import { bandCost, bestHole, suitedFocalLength } from './best-hole.ts';
import { CRITERION_IDS } from './criteria.ts';
import { filmLight, filmResponse } from './film-light.ts';
import { limitingFrequencyPerMm } from './round-hole.ts';
import { roundOtf } from './round-point-image.ts';
import { oneWavelength } from './seen-light.ts';

const pan = filmLight({ source: 'daylight', response: filmResponse('panchromatic') });
const at = { focalLengthMm: 106, objectDistanceMm: Infinity };

describe('best hole in the light a film sees', () => {
  it.each(CRITERION_IDS)('%s: one wavelength gives the closed form', (criterion) => {
    const question = { ...at, criterion };
    const plain = bestHole({ ...question, wavelengthNm: 480 });
    const light = bestHoleInLight({ ...question, light: oneWavelength(480) });
    expect(light.diameterMm).toBeCloseTo(plain.diameterMm, 7);
    expect(light.bandMm[0]).toBeCloseTo(plain.bandMm[0], 6);
    expect(light.bandMm[1]).toBeCloseTo(plain.bandMm[1], 6);
    const cost = { diameterMm: 0.5, ...question };
    expect(bandCostInLight({ ...cost, light: oneWavelength(480) }).lossShare).toBeCloseTo(bandCost({ ...cost, wavelengthNm: 480 }).lossShare, 6);
    expect(suitedFocalLengthInLight({ ...cost, light: oneWavelength(480) }).focalLengthMm).toBeCloseTo(
      suitedFocalLength({ ...cost, wavelengthNm: 480 }).focalLengthMm as number,
      3,
    );
  });

  it('is better than its neighbours, and the suited focal length is its inverse', () => {
    for (const criterion of ['contrast-50', 'detail-20', 'peak-energy', 'brightest'] as const) {
      const question = { ...at, criterion, light: pan };
      const best = bestHoleInLight(question);
      for (const factor of [0.97, 1.03]) {
        expect(bandCostInLight({ ...question, diameterMm: factor * best.diameterMm }).lossShare).toBeGreaterThan(1e-5);
      }
      expect(suitedFocalLengthInLight({ ...question, diameterMm: best.diameterMm }).focalLengthMm).toBeCloseTo(106, 6);
    }
  });

  it('scales as √f, so that the constant belongs to the light alone', () => {
    fc.assert(
      fc.property(fc.double({ min: 20, max: 500, noNaN: true }), (focalLengthMm) => {
        const one = bestHoleInLight({ ...at, criterion: 'detail-10', light: pan });
        const other = bestHoleInLight({ ...at, focalLengthMm, criterion: 'detail-10', light: pan });
        expect(other.diameterMm / one.diameterMm).toBeCloseTo(Math.sqrt(focalLengthMm / 106), 8);
      }),
      { numRuns: 5 },
    );
  });

  it('the finest detail is where the OTF falls to the contrast', () => {
    const view = { ...at, diameterMm: 0.4, light: pan };
    const frequency = finestDetailPerMm(view, 0.2);
    expect(roundOtf(view, [frequency])[0]).toBeCloseTo(0.2, 10);
    const single = { ...at, diameterMm: 0.4 };
    expect(finestDetailPerMm({ ...single, light: oneWavelength(550) }, 0.1)).toBeCloseTo(
      limitingFrequencyPerMm({ ...single, wavelengthNm: 550 }, 0.1),
      9,
    );
  });

  it('the sharpest hole for a frequency beats the others', () => {
    const { diameterMm, contrast } = sharpestDiameter({ ...at, light: pan }, 3);
    for (const factor of [0.8, 0.95, 1.05, 1.3]) {
      expect(roundOtf({ ...at, light: pan, diameterMm: factor * diameterMm }, [3])[0]).toBeLessThan(contrast);
    }
  });
});
