import { FILMS, exposureTime, findFilm } from '#core';
import { describe, expect, it } from 'vitest';
import { filmCurve } from './film-curve.ts';
import { ledgerOf } from './ledger.ts';

const answer = exposureTime({
  fNumber: 250,
  fNumberStandardUncertainty: 2,
  light: { kind: 'ev', ev100Ev: 12 },
  film: findFilm('HP5 Plus'),
  filterFactor: 8,
});

describe('ledger', () => {
  it('ends with the time to give, and its stops add up to it', () => {
    const lines = ledgerOf(answer);
    const stops = lines.reduce((sum, { link }) => sum + link.stops, 0);
    expect(2 ** stops).toBeCloseTo(answer.correctedS, 9);
    expect(lines.find(({ link }) => link.name === 'filter')?.effect).toBe('+3.0');
    expect(lines.find(({ link }) => link.name === 'light')?.effect).toBe('−12.0');
  });

  it('names one link as the largest, with the full bar', () => {
    const largest = ledgerOf(answer).filter(({ largest: is }) => is);
    expect(largest).toHaveLength(1);
    expect(largest[0]?.share).toBe(1);
    expect(ledgerOf(answer).every(({ share }) => share >= 0 && share <= 1)).toBe(true);
  });
});

describe('film curve', () => {
  it('can be drawn for every film and holds the time that is asked for', () => {
    for (const film of FILMS) {
      for (const meteredS of [0.01, 3, 5000]) {
        const curve = filmCurve(film, meteredS);
        expect(curve.fromS).toBeLessThanOrEqual(meteredS);
        expect(curve.toS).toBeGreaterThanOrEqual(meteredS);
        for (const { meteredS: t, givenS } of [...curve.covered, ...curve.beyond]) {
          expect(givenS, film.name).toBeGreaterThanOrEqual(t * (1 - 1e-12));
        }
      }
    }
  });

  it('goes through the published rows and is dashed after the last', () => {
    const film = FILMS.find(({ law }) => law.model === 'table');
    const curve = filmCurve(film!, 1);
    const end = curve.rows.at(-1)!;
    expect(curve.covered.at(-1)?.meteredS).toBeCloseTo(end.meteredS, 6);
    expect(curve.covered.at(-1)?.givenS).toBeCloseTo(end.givenS, 6);
    expect(curve.beyond[0]?.meteredS).toBeCloseTo(end.meteredS, 6);
  });
});
