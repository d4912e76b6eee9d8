import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { InputError, densitiesFromWedge, learnFilm, filmFrom, planStepTest, readStepSheet, stripsFromWedge } from '#core';

describe('the plan of a step test', () => {
  test('the sums are right, the steps equal, the positions fill the sheet, both ways', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 4, max: 4000, noNaN: true }),
        fc.integer({ min: 3, max: 12 }),
        fc.constantFrom(0.5, 1, 2),
        fc.constantFrom('push-in' as const, 'pull-out' as const),
        (middleS, count, stepStops, way) => {
          const plan = planStepTest({ middleS, count, stepStops, lengthMm: 120, way });
          // every strip: the sum of the exposures made while the slide's tip was past it
          for (const strip of plan.strips) {
            const sum = plan.moves.filter((move) => move.slideOutMm > strip.fromMm + 1e-9).reduce((total, move) => total + move.exposureS, 0);
            expect(Math.abs(sum / strip.totalS - 1)).toBeLessThan(1e-12);
          }
          const given = plan.moves.reduce((total, move) => total + move.exposureS, 0);
          expect(Math.abs(given / plan.totalS - 1)).toBeLessThan(1e-12);
          const widths = plan.strips.map(({ fromMm, toMm }) => toMm - fromMm);
          for (const width of widths) expect(width).toBeCloseTo(120 / count, 9);
          expect(Math.max(...plan.strips.map(({ toMm }) => toMm))).toBeCloseTo(120, 9);
          const out = plan.moves.map(({ slideOutMm }) => slideOutMm);
          expect(out).toEqual([...out].sort((a, b) => (way === 'push-in' ? b - a : a - b)));
          if ((plan.strips[0]?.totalS ?? 0) >= 2) {
            expect(plan.roundingStops).toBeLessThan(0.16);
          }
        },
      ),
      { numRuns: 120 },
    );
  });

  // worked by hand: 4 strips a stop apart about 40 s·√½…: 15, 30, 60, 120 s → exposures 15, 15, 30, 60
  test('a plan worked by hand', () => {
    const plan = planStepTest({ middleS: 60 / Math.SQRT2, count: 4, stepStops: 1, lengthMm: 100, way: 'push-in' });
    expect(plan.strips.map(({ totalS }) => totalS)).toEqual([15, 30, 60, 120]);
    expect(plan.moves.map(({ exposureS }) => exposureS)).toEqual([15, 15, 30, 60]);
    expect(plan.moves.map(({ slideOutMm }) => slideOutMm)).toEqual([100, 75, 50, 25]);
    expect(plan.moves[1]?.words).toBe('Slide 75 mm out, expose 15 s.');
    expect(plan.strips[0]).toMatchObject({ fromMm: 75, toMm: 100 });
    const pulled = planStepTest({ middleS: 60 / Math.SQRT2, count: 4, stepStops: 1, lengthMm: 100, way: 'pull-out' });
    expect(pulled.moves.map(({ exposureS }) => exposureS)).toEqual([60, 30, 15, 15]);
    expect(pulled.moves.map(({ slideOutMm }) => slideOutMm)).toEqual([25, 50, 75, 100]);
  });

  test('too short for a hand, strips too narrow, and what cannot be', () => {
    expect(planStepTest({ middleS: 2, count: 5, stepStops: 1, lengthMm: 120, way: 'push-in' }).cautions[0]).toContain('too short for a hand');
    expect(planStepTest({ middleS: 100, count: 12, stepStops: 0.5, lengthMm: 60, way: 'push-in' }).cautions.join()).toContain('5.0 mm wide');
    for (const wrong of [{ count: 2 }, { count: 13 }, { stepStops: 0.1 }, { middleS: 0 }, { lengthMm: -1 }]) {
      expect(() => planStepTest({ middleS: 60, count: 5, stepStops: 1, lengthMm: 100, way: 'push-in', ...wrong })).toThrow(InputError);
    }
  });
});

describe('the reading of a sheet', () => {
  /** A film with a straight line of gradient 0.65 per decade: D = 0.65·log10(t/10) + 0.7, and a toe at 0. */
  const density = (totalS: number): number => Math.max(0, 0.65 * Math.log10(totalS / 10) + 0.7);
  const strips = [1.25, 2.5, 5, 10, 20, 40].map((totalS) => ({ totalS, density: density(totalS) }));

  test('the time of the wanted density, with its doubt', () => {
    const reading = readStepSheet({ meteredS: 10, strips });
    expect(Math.log2((reading.rightS ?? NaN) / 10)).toBeCloseTo(0, 2);
    // 0.02 over 0.65·log10(2) = 0.196 per stop is 0.10 stop, with 0.08 for the strip: 0.15 at most with the gap
    expect(reading.standardUncertaintyStops).toBeGreaterThan(0.1);
    expect(reading.standardUncertaintyStops).toBeLessThan(0.2);
    const above = readStepSheet({ meteredS: 10, strips: strips.map((strip) => ({ ...strip, density: strip.density + 0.12 })), baseDensity: 0.12 });
    expect(above.rightS).toBeCloseTo(reading.rightS ?? NaN, 6);
  });

  test('a positive runs the other way', () => {
    const positive = strips.map(({ totalS, density: d }) => ({ totalS, density: 1.5 - d }));
    const reading = readStepSheet({ meteredS: 10, strips: positive, positive: true, targetDensity: 0.8 });
    expect(Math.log2((reading.rightS ?? NaN) / 10)).toBeCloseTo(0, 2);
    const dark = readStepSheet({ meteredS: 10, strips: positive.slice(0, 3), positive: true, targetDensity: 0.2 });
    expect(dark.trials.map((trial) => trial.kind === 'verdict' && trial.verdict)).toEqual(['too dark', 'too dark', 'too dark']);
    expect(dark.sentence).toContain('too little light');
  });

  test('outside the sheet: verdicts instead of a match, and where to go', () => {
    const all = readStepSheet({ meteredS: 10, strips, targetDensity: 1.6 });
    expect(all.trials.length).toBe(6);
    expect(all.trials.every((trial) => trial.kind === 'verdict' && trial.verdict === 'too light')).toBe(true);
    expect(all.cautions[0]).toContain('longer');
  });

  test('verdicts by eye; none at all; densities that turn back', () => {
    const eye = readStepSheet({ meteredS: 10, strips: [{ totalS: 5, verdict: 'too light' }, { totalS: 10, verdict: 'right' }, { totalS: 20 }] });
    expect(eye.trials.length).toBe(2);
    expect(eye.sentence).toBe('Right: 10 s.');
    expect(() => readStepSheet({ meteredS: 10, strips: [{ totalS: 5 }] })).toThrow(/No strip has/);
    expect(() => readStepSheet({ meteredS: 10, strips: [{ totalS: 5, density: 1 }] })).toThrow(/One density alone/);
    expect(() => readStepSheet({ meteredS: 10, strips: [{ totalS: 5, density: 1 }, { totalS: 10, density: 0.4 }] })).toThrow(/turns back/);
  });

  test('a match goes on into the fit', () => {
    const film = filmFrom({ name: 'x', kind: 'bw-negative', iso: 100, law: { model: 'none' } });
    const learnt = learnFilm({ film, exposureIndex: 100, trials: readStepSheet({ meteredS: 0.5, strips: strips.map((strip) => ({ ...strip, totalS: strip.totalS / 20 })) }).trials });
    expect(learnt.telling).toBe('index');
    expect(Math.log2(learnt.exposureIndex / 100)).toBeCloseTo(0, 1);
  });
});

describe('densities by a wedge in the scan', () => {
  // the scan's tone is anything monotone: here value = 255·10^(−D/2.2)
  const value = (density: number): number => 255 * 10 ** (-density / 2.2);
  const wedge = [0.05, 0.2, 0.35, 0.5, 0.65, 0.8, 0.95, 1.1, 1.4, 1.7].map((density) => ({ density, value: value(density) }));

  test('gives back the densities between its steps, and nothing outside', () => {
    const wanted = [0.1, 0.3, 0.42, 0.72, 1.0, 1.55];
    const found = densitiesFromWedge({ wedge, values: wanted.map(value) });
    // an exponential between knots up to 0.3 apart: what a cubic leaves is below 0.01
    found.forEach((density, i) => expect(Math.abs((density ?? NaN) - (wanted[i] ?? NaN))).toBeLessThan(0.01));
    expect(densitiesFromWedge({ wedge, values: [255, 1] })).toEqual([null, null]);
    for (const step of wedge) expect(densitiesFromWedge({ wedge, values: [step.value] })[0]).toBeCloseTo(step.density, 9);
  });

  test('names each strip with its density, and those that the wedge does not reach', () => {
    const reading = stripsFromWedge({ timesS: [4, 8, 16], values: [value(0.3), value(0.6), 1], wedge });
    expect(reading.strips.map(({ totalS }) => totalS)).toEqual([4, 8]);
    expect(reading.densities[2]).toBeNull();
    expect(reading.sentence).toMatch(/^Read 0\.3\d? at 4 s, 0\.60 at 8 s\. Lighter or darker than the wedge: 16 s\.$/);
    expect(stripsFromWedge({ timesS: [4], values: [1], wedge }).sentence).toContain('check where');
  });

  test('steps in the wrong order, or one alone', () => {
    expect(() => densitiesFromWedge({ wedge: wedge.slice(0, 1), values: [1] })).toThrow(InputError);
    expect(() => densitiesFromWedge({ wedge: [{ density: 0.1, value: 200 }, { density: 0.9, value: 150 }, { density: 0.5, value: 100 }], values: [1] })).toThrow(/order of the steps/);
  });
});
