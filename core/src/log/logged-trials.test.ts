/** Verdicts, stops by eye and densities of the log, as the fit of a film reads them. */
import { describe, expect, it } from 'vitest';
import { filmFrom } from '../exposure/film-record.ts';
import { learnFilm } from '../exposure/learning.ts';
import { densityReadingsText, parseDensityReadings } from './density-readings.ts';
import { loggedTrials } from './logged-trials.ts';
import { emptyWorkshop } from './workshop.ts';
import type { ExposureRecord, Workshop } from './workshop.ts';

const AT = '2026-05-01T10:00:00+02:00';
const ID = (n: number): string => `01999c9e-0000-7000-8000-${n.toString(16).padStart(12, '0')}`;
const film = filmFrom({ name: 'Bench film', iso: 100 });

function log(...results: readonly (Partial<ExposureRecord> | undefined)[]): Workshop {
  return {
    ...emptyWorkshop({ id: ID(1), name: 'Bench', createdAt: AT }),
    exposures: results.map((facts, i) => ({
      id: ID(10 + i), at: AT, filmName: 'bench FILM', exposureIndex: 100, planned: { meteredS: 0.5, correctedS: 0.5 }, given: { timeS: 0.5 }, ...facts,
    })),
  };
}

describe('the log, as trials', () => {
  it('counts what was metered, given and judged, of this film alone, brought to one speed', () => {
    const workshop = log(
      { result: { verdict: 'too dark' } },
      { result: { verdict: 'right' }, exposureIndex: 50 },
      { result: { verdict: 'lost' } },
      { result: { notes: 'not judged' } },
      { result: { verdict: 'right' }, filmName: 'Another' },
      { result: { verdict: 'right' }, planned: { correctedS: 4 } },
      { result: { verdict: 'right' }, given: {} },
    );
    expect(loggedTrials(workshop, film, 100)).toEqual([
      { kind: 'verdict', meteredS: 0.5, givenS: 0.5, verdict: 'too dark' },
      { kind: 'verdict', meteredS: 0.25, givenS: 0.5, verdict: 'right' },
    ]);
  });

  it('takes stops by eye for more than the word beside them: one stop too little means twice the time', () => {
    const workshop = log({ result: { verdict: 'too dark', offStops: -1 } });
    expect(loggedTrials(workshop, film, 100)).toEqual([{ kind: 'match', meteredS: 0.5, rightS: 1, standardUncertaintyStops: 0.5 }]);
  });

  it('takes densities of subjects of known light for more than either: the one at 0.70 above fog was right', () => {
    // a straight line of 0.3 in density for a stop: 0.70 lies two thirds of a stop above the metered subject
    const densityReadings = [-1, 0, 1, 2].map((subjectStops) => ({ subjectStops, density: 0.5 + 0.3 * subjectStops, aboveFog: true }));
    const [trial] = loggedTrials(log({ result: { offStops: -1, densityReadings } }), film, 100);
    expect(trial).toMatchObject({ kind: 'match', rightS: 0.5 });
    expect(Math.log2((trial?.meteredS ?? NaN) / 0.5)).toBeCloseTo(-2 / 3, 2);
  });

  it('leaves densities alone that tell nothing: over an unknown fog, of unknown light, up and down, or all beside the target', () => {
    const readings = (...densities: readonly number[]) => densities.map((density, i) => ({ density, subjectStops: i, aboveFog: true }));
    for (const densityReadings of [
      readings(0.4, 1).map(({ density, subjectStops }) => ({ density, subjectStops })),
      readings(0.4, 1).map(({ density }) => ({ density, aboveFog: true })),
      readings(1.2, 0.3),
      readings(0.1, 0.2),
      readings(0.7),
    ]) {
      const workshop = log({ result: { verdict: 'right', densityReadings } });
      expect(loggedTrials(workshop, film, 100)).toEqual([{ kind: 'verdict', meteredS: 0.5, givenS: 0.5, verdict: 'right' }]);
    }
  });

  it('moves the learnt index with them: five negatives a stop thin make a film of 100 one of about 50', () => {
    const thin = { result: { verdict: 'too dark' as const, offStops: -1 } };
    const learnt = learnFilm({ film, exposureIndex: 100, trials: loggedTrials(log(thin, thin, thin, thin, thin), film, 100) });
    expect(Math.log2(learnt.exposureIndex / 100)).toBeCloseTo(-1, 0);
    expect(learnt.exposureIndexRangeIso[1]).toBeLessThan(100);
  });
});

describe('densities as they are written down', () => {
  it.each([
    ['0.15; 0.92', [{ density: 0.15 }, { density: 0.92 }]],
    ['0.15,0.92', [{ density: 0.15 }, { density: 0.92 }]],
    ['0,15; 0,92', [{ density: 0.15 }, { density: 0.92 }]],
    ['0,15 0,92', [{ density: 0.15 }, { density: 0.92 }]],
    ['−1: 0.35; 0:0.52', [{ subjectStops: -1, aboveFog: true, density: 0.35 }, { subjectStops: 0, aboveFog: true, density: 0.52 }]],
    ['  ', []],
  ])('%s', (text, readings) => {
    expect(parseDensityReadings(text)).toEqual(readings);
    expect(parseDensityReadings(densityReadingsText(readings))).toEqual(readings);
  });

  it.each(['dark', '0.1; grey', '1: ', '99'])('“%s” is refused with a sentence', (text) => {
    expect(() => parseDensityReadings(text)).toThrow(/^The density “.*” was not understood: write 0.15; 0.92/);
  });
});
