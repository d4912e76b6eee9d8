import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { FILMS, InputError, correctedTimeS, effectiveTimeS, filmFrom, findFilm, learnFilm } from '#core';
import type { LearntLaw, Trial } from '#core';

const hp5 = findFilm('HP5 Plus');
const paper = filmFrom({ name: 'a paper', kind: 'paper', exposureIndexRange: [3, 6] });

/** A small generator, so that every run is the same. */
function noise(seed: number): () => number {
  let state = seed >>> 0;
  const uniform = (): number => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return (state + 0.5) / 2 ** 32;
  };
  return () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
}

/** A maker whose film is at `trueIndex` and tires with t^P. */
function matches(trueIndex: number, power: number, meteredS: readonly number[], u: number, seed: number): Trial[] {
  const film = filmFrom({ name: 'x', noCorrectionUpToS: 1, law: { model: 'power', exponent: power } });
  const next = noise(seed);
  return meteredS.map((t) => ({
    kind: 'match',
    meteredS: t,
    rightS: correctedTimeS(film, (t * 100) / trueIndex) * 2 ** (Math.hypot(u, 0.12) * next()),
    standardUncertaintyStops: u,
  }));
}

describe('the metered time an exposure is worth', () => {
  test('is the inverse of the correction, on every film', () => {
    fc.assert(
      fc.property(fc.constantFrom(...FILMS), fc.double({ min: -6, max: 14, noNaN: true }), (film, log2S) => {
        const t = 2 ** log2S;
        const back = effectiveTimeS(film, correctedTimeS(film, t));
        // where a document prints a step, or a flat piece, the foot of it; never more than was metered
        expect(back).toBeLessThanOrEqual(t * (1 + 1e-9));
        expect(correctedTimeS(film, back)).toBeLessThanOrEqual(correctedTimeS(film, t) * (1 + 1e-9));
        if (film.law.model === 'power') expect(back / t).toBeCloseTo(1, 9);
      }),
      { numRuns: 200 },
    );
    expect(effectiveTimeS(null, 7)).toBe(7);
    expect(() => effectiveTimeS(hp5, 0)).toThrow(InputError);
  });
});

describe('what matched sheets tell', () => {
  const spread = [0.5, 2, 8, 30, 120, 500];

  test('exact tests give the index and the exponent they were made with', () => {
    const trials = matches(64, 1.31, spread, 0, 1).map((trial) => ({ ...trial, rightS: trial.kind === 'match' ? correctedTimeS(hp5, (trial.meteredS * 100) / 64) : 0 })) as Trial[];
    const learnt = learnFilm({ film: hp5, exposureIndex: 100, trials });
    expect(learnt.telling).toBe('index and reciprocity');
    expect(Math.log2(learnt.exposureIndex / 64)).toBeCloseTo(0, 1);
    expect(learnt.lawParameter?.value).toBeCloseTo(1.31, 1);
    expect(Math.max(...learnt.residualStops.map(Math.abs))).toBeLessThan(0.05);
    expect(learnt.film.law).toMatchObject({ model: 'power' });
    expect(learnt.film.evidence).toBe('tested');
    // metered at the nominal 100, a film of 64 needs log2(100/64) stops more
    const at60 = learnt.times.find(({ meteredS }) => meteredS === 60);
    expect(Math.log2((at60?.givenS ?? NaN) / correctedTimeS(hp5, 60 / 0.64))).toBeCloseTo(0, 1);
  });

  // Outside check: all tests above 1 s, so log2 T = P·(log2 t − a) is a straight line, and weighted least squares
  // (GUM H.3: intercept, slope, their covariance) must give the same centre and spread.
  test('agrees with straight-line least squares where the law is a straight line', () => {
    const trials = matches(100, 1.35, [3, 8, 20, 60, 200, 800], 0.1, 7);
    const learnt = learnFilm({ film: hp5, exposureIndex: 100, trials });
    const points = trials.map((trial) => ({ x: Math.log2(trial.meteredS), y: Math.log2(trial.kind === 'match' ? trial.rightS : 1) }));
    const n = points.length;
    const mx = points.reduce((sum, { x }) => sum + x, 0) / n;
    const my = points.reduce((sum, { y }) => sum + y, 0) / n;
    const sxx = points.reduce((sum, { x }) => sum + (x - mx) ** 2, 0);
    const slope = points.reduce((sum, { x, y }) => sum + (x - mx) * (y - my), 0) / sxx;
    const uY = Math.hypot(0.1, 0.12) * slope; // the doubt stands in stops of light: P times as much in time
    expect(learnt.lawParameter?.value).toBeCloseTo(slope, 1);
    const uSlope = uY / Math.sqrt(sxx);
    expect((learnt.lawParameter?.standardUncertainty ?? NaN) / uSlope).toBeGreaterThan(0.7);
    expect((learnt.lawParameter?.standardUncertainty ?? NaN) / uSlope).toBeLessThan(1.4);
    expect(learnt.correlationShare).toBeGreaterThan(0.5);
  });

  test('95 % of fifty makers find their true index and exponent inside the range', () => {
    let index = 0;
    let law = 0;
    const runs = 50;
    for (let seed = 1; seed <= runs; seed++) {
      const trueIndex = 100 * 2 ** (((seed * 7) % 9) / 4 - 1);
      const power = 1.1 + ((seed * 5) % 7) * 0.07;
      const learnt = learnFilm({ film: hp5, exposureIndex: 100, trials: matches(trueIndex, power, spread, 0.1, seed) });
      const [lo, hi] = learnt.exposureIndexRangeIso;
      if (trueIndex >= lo && trueIndex <= hi) index++;
      if (learnt.lawParameter !== null && power >= learnt.lawParameter.low && power <= learnt.lawParameter.high) law++;
    }
    // binomial: of 50 at 95 %, fewer than 44 happens once in 80
    expect(index).toBeGreaterThanOrEqual(44);
    expect(law).toBeGreaterThanOrEqual(44);
  });

  test.each(['covington', 'modified-schwarzschild'] as const)('the other laws: %s', (law: LearntLaw) => {
    const source = filmFrom({
      name: 'x',
      law: law === 'covington' ? { model: 'covington', p: 0.8 } : { model: 'modified-schwarzschild', coefficient: 0.1, exponent: 1.62 },
    });
    const trials = [1, 5, 25, 125, 600].map(
      (meteredS): Trial => ({ kind: 'match', meteredS, rightS: correctedTimeS(source, meteredS), standardUncertaintyStops: 0.05 }),
    );
    const learnt = learnFilm({ film: hp5, exposureIndex: 400, trials, law });
    expect(learnt.telling).toBe('index and reciprocity');
    expect(learnt.lawParameter?.value).toBeCloseTo(law === 'covington' ? 0.8 : 0.1, 1);
    expect(Math.log2(learnt.exposureIndex / 400)).toBeCloseTo(0, 0);
  });
});

describe('what verdicts tell, and when they tell nothing', () => {
  const verdicts = (meteredS: number, list: readonly [number, 'too light' | 'right' | 'too dark'][]): Trial[] =>
    list.map(([givenS, verdict]) => ({ kind: 'verdict', meteredS, givenS, verdict }));

  test('a bracketed sheet gives the index; reciprocity stays the maker’s and the answer says so', () => {
    const trials = verdicts(0.5, [[0.125, 'too light'], [0.25, 'too light'], [0.5, 'right'], [1, 'too dark'], [2, 'too dark']]);
    const learnt = learnFilm({ film: paper, exposureIndex: 6, trials });
    expect(learnt.telling).toBe('index');
    expect(learnt.exposureIndexRangeIso[0]).toBeLessThan(6);
    expect(learnt.exposureIndexRangeIso[1]).toBeGreaterThan(6);
    expect(learnt.lawParameter).toBeNull();
    expect(learnt.cautions.join(' ')).toContain('do not tell how it tires');
    expect(learnt.cautions.join(' ')).toContain('All tests lie below 1 s');
    const listed = learnFilm({ film: hp5, exposureIndex: 400, trials });
    expect(listed.film.law).toEqual(hp5.law);
    expect(listed.film.evidence).toBe(hp5.evidence);
  });

  test('one long sheet on a paper without figures: the index at those times, not one guessed from a law', () => {
    const trials = verdicts(480, [[240, 'too light'], [480, 'right'], [960, 'too dark']]);
    const learnt = learnFilm({ film: paper, exposureIndex: 6, trials });
    expect(learnt.telling).toBe('index');
    expect(Math.abs(Math.log2(learnt.exposureIndex / 6))).toBeLessThan(0.3);
    expect(learnt.cautions.join(' ')).toContain('for times like those tested');
    expect(learnt.cautions.join(' ')).toContain('One more sheet near 30 s');
  });

  test('all too dark: a bound only, and which way to go', () => {
    const learnt = learnFilm({ film: paper, exposureIndex: 6, trials: verdicts(10, [[10, 'too dark'], [20, 'too dark']]) });
    expect(['bound', 'nothing']).toContain(learnt.telling);
    expect(learnt.cautions.join(' ')).toContain('go shorter');
    expect(learnt.film).toBe(paper);
    // a direct positive turns dark for want of light
    const positive = filmFrom({ name: 'p', kind: 'direct-positive-paper', exposureIndexRange: [1, 3] });
    const other = learnFilm({ film: positive, exposureIndex: 2, trials: verdicts(10, [[10, 'too dark'], [5, 'too dark']]) });
    expect(other.cautions.join(' ')).toContain('go longer');
  });

  test('one right verdict on film: the latitude is wide, and the index is not told to a third of a stop', () => {
    const learnt = learnFilm({ film: hp5, exposureIndex: 400, trials: verdicts(0.5, [[0.5, 'right']]) });
    const [lo, hi] = learnt.exposureIndexRangeIso;
    expect(Math.log2(hi / lo)).toBeGreaterThan(2);
  });

  test('one slip among many does not carry the index away', () => {
    const list: [number, 'too light' | 'right' | 'too dark'][] = [[0.12, 'too light'], [0.25, 'too light'], [0.5, 'right'], [0.5, 'right'], [1, 'too dark'], [2, 'too dark']];
    const clean = learnFilm({ film: paper, exposureIndex: 6, trials: verdicts(0.5, list) });
    const slip = learnFilm({ film: paper, exposureIndex: 6, trials: verdicts(0.5, [...list, [4, 'too light']]) });
    expect(Math.abs(Math.log2(slip.exposureIndex / clean.exposureIndex))).toBeLessThan(0.5);
  });

  test('more tests never leave much more possible', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 1e6 }), (seed) => {
        const trials = matches(100, 1.3, [0.5, 3, 20, 90, 400, 1500], 0.15, seed);
        const few = learnFilm({ film: hp5, exposureIndex: 100, trials: trials.slice(0, 3) });
        const many = learnFilm({ film: hp5, exposureIndex: 100, trials });
        expect(many.indexStandardUncertaintyStops).toBeLessThan(few.indexStandardUncertaintyStops + 0.3);
      }),
      { numRuns: 10 },
    );
  });

  test('nothing, zero, or a speed that cannot be', () => {
    expect(() => learnFilm({ film: hp5, exposureIndex: 400, trials: [] })).toThrow(/no test/);
    expect(() => learnFilm({ film: hp5, exposureIndex: 0, trials: verdicts(1, [[1, 'right']]) })).toThrow(InputError);
    expect(() => learnFilm({ film: hp5, exposureIndex: 400, trials: verdicts(0, [[1, 'right']]) })).toThrow(InputError);
  });
});
