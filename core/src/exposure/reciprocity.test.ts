import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { filmFrom, PRACTICE_LIMIT_S } from './film-record.ts';
import { FILMS, findFilm } from './films.ts';
import { alternateTimes, correctedTimeS, reciprocity } from './reciprocity.ts';

const anyFilm = fc.constantFrom(...FILMS);
/** From a snapshot to four months, evenly in stops. */
const anyTimeS = fc.double({ min: -10, max: 23, noNaN: true }).map((stops) => 2 ** stops);

const covington = filmFrom({ name: 'smooth', law: { model: 'covington', p: 0.85, validToS: 3600 } });
const free = filmFrom({ name: 'free', law: { model: 'modified-schwarzschild', coefficient: 0.1, exponent: 1.6 } });

describe('laws of every film', () => {
  test('the corrected time is never below the metered', () => {
    fc.assert(
      fc.property(fc.constantFrom(...FILMS, covington, free), anyTimeS, (film, t) => {
        expect(correctedTimeS(film, t)).toBeGreaterThanOrEqual(t);
        expect(reciprocity(film, t).correctionStops).toBeGreaterThanOrEqual(0);
        for (const other of alternateTimes(film, t)) expect(other.correctedS).toBeGreaterThanOrEqual(t);
      }),
      { numRuns: 2000 },
    );
  });

  test('more metered time, more time to give', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...FILMS, covington, free),
        anyTimeS,
        fc.double({ min: 1e-6, max: 4, noNaN: true }),
        (film, t, d) => {
          expect(correctedTimeS(film, t * 2 ** d)).toBeGreaterThan(correctedTimeS(film, t));
        },
      ),
      { numRuns: 2000 },
    );
  });

  /** Acros prints "none below 120 s, half a stop from 120 s": the only step in the data. */
  const STEPS: Record<string, number> = { 'Neopan 100 Acros / Acros II': 120 };

  test.each([...FILMS, covington, free])('continuous, apart from steps a sheet prints: $name', (film) => {
    const nearS = 1e-9;
    const samples = Array.from({ length: 1401 }, (_, i) => 10 ** (-3 + i / 140));
    const nodes = film.law.model === 'table' ? film.law.rows.map((row) => row.meteredS) : [];
    const joints = [...nodes, film.noCorrectionUpToS ?? PRACTICE_LIMIT_S, film.notRecommendedFromS ?? 1];
    for (const t of [...samples, ...joints]) {
      const jump = correctedTimeS(film, t * (1 + nearS)) / correctedTimeS(film, t * (1 - nearS));
      if (STEPS[film.name] === t) expect(jump).toBeCloseTo(Math.SQRT2, 6);
      else expect(jump, `${film.name} at ${t} s`).toBeLessThan(1 + 20 * nearS);
    }
  });

  test('between two rows the correction stays between theirs', () => {
    for (const film of FILMS) {
      if (film.law.model !== 'table') continue;
      const nodes = film.law.rows.map((row) => row.meteredS);
      nodes.slice(1).forEach((to, i) => {
        const from = nodes[i] ?? to;
        const [lo, hi] = [reciprocity(film, from).correctionStops, reciprocity(film, to).correctionStops];
        for (let share = 0.05; share < 1; share += 0.05) {
          const between = reciprocity(film, from * (to / from) ** share).correctionStops;
          expect(between).toBeGreaterThanOrEqual(lo - 1e-12);
          expect(between).toBeLessThanOrEqual(hi + 1e-12);
        }
      });
    }
  });
});

describe('what is published and what is not', () => {
  const triX = findFilm('Tri-X 400 / Tri-X 320');

  test('past the last row: extrapolated with the last segment’s slope, and said', () => {
    const slope = Math.log(1200 / 50) / Math.log(10);
    const beyond = reciprocity(triX, 1000);
    expect(beyond.state).toBe('extrapolated');
    expect(beyond.correctedS).toBeCloseTo(1200 * 10 ** slope, 6);
    expect(beyond.source).toContain('extrapolated beyond 100 s');
    expect(beyond.reason).toContain('slope of its last segment');
    expect(beyond.standardUncertaintyStops).toBeGreaterThan(reciprocity(triX, 100).standardUncertaintyStops);
    // memory: 0.2 stop and 20 % of the correction; past the end, half of what the straight line adds
    const added = beyond.correctionStops - reciprocity(triX, 100).correctionStops;
    const doubt = Math.hypot(0.2, 0.2 * beyond.correctionStops, 0.5 * added);
    expect(beyond.standardUncertaintyStops).toBeCloseTo(doubt, 12);
    // where the line adds nothing, still a tenth of a stop per doubling
    const flat = reciprocity(findFilm('Neopan 100 Acros / Acros II'), 4000);
    expect(flat.standardUncertaintyStops).toBeCloseTo(Math.hypot(0.2, 0.2 * 0.5, 0.2), 12);
    expect(reciprocity(triX, 100).state).toBe('corrected');
    expect(reciprocity(triX, 100.001).state).toBe('extrapolated');
  });

  test('the doubt past the end grows from the doubt at the end, without a jump', () => {
    const at = (t: number): number => reciprocity(triX, t).standardUncertaintyStops;
    expect(at(100 * (1 + 1e-7)) - at(100)).toBeLessThan(1e-5);
  });

  test('advised against from 64 s on', () => {
    const velvia = findFilm('Velvia 50');
    expect(reciprocity(velvia, 63).notRecommended).toBe(false);
    expect(reciprocity(velvia, 64).notRecommended).toBe(true);
  });

  test('a limit and nothing more: metered time, range of practice, no source', () => {
    const ektar = findFilm('Ektar 100');
    expect(reciprocity(ektar, 1)).toMatchObject({ state: 'none-needed', evidence: 'published', practiceFactor: 1 });
    expect(reciprocity(ektar, 5)).toMatchObject({
      state: 'no-data',
      correctedS: 5,
      practiceFactor: 2,
      evidence: 'none',
    });
    expect(reciprocity(ektar, 20)).toMatchObject({ state: 'no-data', correctedS: 20, practiceFactor: 4 });
    expect(reciprocity(ektar, 20).source).toContain('common practice, no source');
    expect(reciprocity(findFilm('Velvia 100'), 60).state).toBe('none-needed');
    expect(reciprocity(findFilm('Velvia 100'), 61)).toMatchObject({ state: 'no-data', practiceFactor: 4 });
  });

  test('paper: twice, or nothing', () => {
    const paper = findFilm('Harman Direct Positive FB');
    expect(reciprocity(paper, 0.9)).toMatchObject({ state: 'none-needed', evidence: 'none' });
    expect(reciprocity(paper, 100)).toMatchObject({ state: 'no-data', practiceFactor: 2, correctedS: 100 });
  });

  test('the power law holds above its start only, where it would shorten below', () => {
    const hp5 = findFilm('HP5 Plus');
    expect(correctedTimeS(hp5, 0.5)).toBe(0.5);
    expect(correctedTimeS(hp5, 1)).toBe(1);
    expect(correctedTimeS(hp5, 10)).toBeCloseTo(10 ** 1.31, 10);
  });

  test('Covington’s law ends where its author stops', () => {
    expect(reciprocity(covington, 3600).state).toBe('corrected');
    expect(reciprocity(covington, 3601)).toMatchObject({ state: 'extrapolated' });
  });

  test('a printed step is met on either side, and rounding of the metered time does not tip it', () => {
    const acros = findFilm('Neopan 100 Acros / Acros II');
    expect(correctedTimeS(acros, 119.9)).toBe(119.9);
    expect(correctedTimeS(acros, 120 * (1 - 1e-15))).toBeCloseTo(120 * Math.SQRT2, 9);
  });

  test('independent figures do not reach past their own tables', () => {
    const sources = (t: number): string[] => alternateTimes(triX, t).map((other) => other.name);
    expect(sources(1)).toEqual(['Independent measurements']);
    expect(sources(1800)).toHaveLength(2);
    expect(sources(1801)).toHaveLength(1);
  });

  test.each([0, -1, NaN, Infinity])('refuses %s s', (t) => {
    expect(() => correctedTimeS(triX, t)).toThrow(/greater than 0/);
    expect(() => reciprocity(triX, t)).toThrow(/greater than 0/);
  });
});

test('doubt never exceeds the correction while it begins', () => {
  fc.assert(
    fc.property(anyFilm, anyTimeS, (film, t) => {
      const { state, correctionStops, standardUncertaintyStops } = reciprocity(film, t);
      if (state === 'corrected') expect(standardUncertaintyStops).toBeLessThanOrEqual(correctionStops);
    }),
  );
});
