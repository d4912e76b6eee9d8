import { describe, expect, it } from 'vitest';
import { bestHole } from '../optics/best-hole.ts';
import { judgeHole } from './verdict.ts';

const camera = { focalLengthMm: 106, objectDistanceMm: Infinity, wavelengthNm: 550, criterion: 'detail-10' } as const;
const best = bestHole(camera);

function judged(diameterMm: number, standardUncertaintyMm = 0.002) {
  return judgeHole({ diameterMm, standardUncertaintyMm, best, focalLengthMm: camera.focalLengthMm });
}

describe('judgeHole', () => {
  // Common practice, no source: behind 106 mm a maker calls about 0.43 mm the best hole.
  it('calls 0.43 mm good behind 106 mm', () => {
    expect(judged(0.43).word).toBe('good');
    expect(judged(0.43).suitedFocalLengthMm).toBeCloseTo(106 * (0.43 / best.diameterMm) ** 2, 6);
  });

  it('names work on below and large above the band, with the cost', () => {
    const small = judged(0.36);
    expect(small.word).toBe('work on');
    expect(small.lightStops).toBeCloseTo(2 * Math.log2(0.36 / best.diameterMm), 12);
    expect(small.detailLossShare).toBeGreaterThan(0.05);
    expect(small.sentence).toMatch(/^0\.360 mm, short of the best 0\.429 /);
    expect(judged(0.5).word).toBe('large');
  });

  it('says when the uncertainty reaches over an edge of the band', () => {
    const edge = best.bandMm[0];
    expect(judged(edge + 0.003).straddlesBandEdge).toBe(true);
    expect(judged(edge + 0.005).straddlesBandEdge).toBe(false);
  });

  it('keeps a near object in mind', () => {
    const near = { ...camera, objectDistanceMm: 300 };
    const verdict = judgeHole({
      diameterMm: bestHole(near).diameterMm,
      standardUncertaintyMm: 0,
      best: bestHole(near),
      focalLengthMm: 106,
      objectDistanceMm: 300,
    });
    expect(verdict.suitedFocalLengthMm).toBeCloseTo(106, 6);
    expect(verdict.detailLossShare).toBeLessThan(1e-9);
  });

  it('refuses what is not a size', () => {
    expect(() => judged(0)).toThrow(/The diameter must be greater than 0/);
    expect(() => judged(0.4, -1)).toThrow(/negative/);
  });
});
