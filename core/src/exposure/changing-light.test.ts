import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { changingExposure } from './changing-light.ts';
import type { ChangingQuestion } from './changing-answer.ts';
import { exposureTime } from './exposure-time.ts';
import { FILMS, findFilm } from './films.ts';
import { readingsCourse, skyCourse, unreadSkyCourse, steadyCourse } from './light-course.ts';
import type { LightCourse } from './light-course.ts';
import { correctedTimeS } from './reciprocity.ts';
import { sunLightLux } from '../sun/twilight.ts';

const OPEN_S = 1.8e9;
const clock = (instantS: number, withSeconds: boolean): string =>
  new Date(instantS * 1000).toISOString().slice(11, withSeconds ? 19 : 16);

function ask(course: LightCourse, more: Partial<ChangingQuestion> = {}): ChangingQuestion {
  return { question: { fNumber: 250, iso: 100 }, course, openAtS: OPEN_S, untilS: OPEN_S + 4 * 3600, clock, ...more };
}

/** A light that changes by so many stops a minute. */
function changing(ev100Ev: number, stopsPerMin: number): LightCourse {
  const evAt = (instantS: number): number => ev100Ev + (stopsPerMin * (instantS - OPEN_S)) / 60;
  return { kind: 'steady', evAt, spanAt: (t) => [evAt(t), evAt(t)], words: '', cautions: [] };
}

describe('a steady light', () => {
  test('gives the closed form R(t) for every film there is, by both models', () => {
    for (const film of FILMS) {
      for (const ev100Ev of [film.law.model === 'table' ? 9 : 5]) {
        const question = { fNumber: 250, film, ...(film.iso === null ? { iso: 6 } : {}) };
        const { correctedS } = exposureTime({ ...question, light: { kind: 'ev', ev100Ev } });
        const untilS = OPEN_S + Math.min(30e6, correctedS * 3);
        const answer = changingExposure(ask(steadyCourse(ev100Ev), { question, untilS }));
        // rounding of times near 1.8e9 s, and of 600 sums
        const roundingS = 1e-6 + correctedS * 1e-10;
        expect(Math.abs((answer.durationS as number) - correctedS)).toBeLessThan(roundingS);
        // the second model passes through a table of 1/24 stop; where a sheet prints a step it may stand on either side
        const other = ((answer.tiringByTimeCloseAtS ?? 0) - OPEN_S) / correctedS;
        expect(Math.abs(Math.log2(other))).toBeLessThan(film.law.model === 'table' ? 0.2 : 0.01);
      }
    }
  });

  test('its range is that of the exposure itself, but for the hand, or wider', () => {
    const film = findFilm('HP5 Plus');
    const question = { fNumber: 250, film, handReactionS: 0 };
    const still = exposureTime({ ...question, light: { kind: 'ev', ev100Ev: 8 } });
    const { closeRangeS } = changingExposure(ask(steadyCourse(8), { question }));
    const [from, until] = closeRangeS.map((instantS) => (instantS as number) - OPEN_S) as [number, number];
    // the table of doubts stands every 1/24 stop
    expect(from / still.rangeS[0]).toBeCloseTo(1, 2);
    expect(until / still.rangeS[1]).toBeCloseTo(1, 2);
  });
});

describe('a light that goes on halving', () => {
  /** ∫ 2^(−τ/5) dτ = 5/ln 2 min: closed form. */
  test('every 5 minutes has 7.2 minutes of present light left', () => {
    const { presentLightLeftS, halvingS } = changingExposure(ask(changing(9, -1 / 5)));
    expect(halvingS).toBeCloseTo(300, 6);
    // 4 h are 48 halvings: what comes after is 3e-15 of it
    expect(presentLightLeftS / 60).toBeCloseTo(5 / Math.LN2, 5);
  });

  test('closes where the closed form says:  T = −h/ln 2 · ln(1 − t ln 2/h)', () => {
    const course = changing(11, -1 / 5);
    const answer = changingExposure(ask(course));
    const t = answer.steady.meteredS;
    const h = 300;
    expect(answer.durationS).toBeCloseTo((-h / Math.LN2) * Math.log(1 - (t * Math.LN2) / h), 3);
  });

  test('never enough when the present light left is less than is metered; the missing stops are their ratio', () => {
    const answer = changingExposure(ask(changing(7, -1 / 5)));
    expect(answer.closeAtS).toBeNull();
    expect(answer.atEndStops).toBeCloseTo(Math.log2(answer.presentLightLeftS / answer.steady.meteredS), 3);
    expect(answer.sentence).toMatch(/^This light will never be enough; from .* on at most −\d/);
    // opened at the latest opening the rest is just enough
    const latest = answer.latestOpeningS as number;
    const again = changingExposure(ask(changing(7, -1 / 5), { openAtS: latest, untilS: answer.untilS }));
    expect(again.atEndStops).toBeCloseTo(0, 2);
  });

  test('with a power law the closed form holds as well:  ∫ 2^(−Pτ/h) dτ = t^P', () => {
    const film = findFilm('HP5 Plus'); // T = t^1.31 beyond 1 s
    const answer = changingExposure(ask(changing(11, -1 / 10), { question: { fNumber: 250, film } }));
    const P = Math.log(correctedTimeS(film, 100)) / Math.log(100);
    const h = 600 / P;
    const T = answer.steady.correctedS;
    expect(answer.durationS).toBeCloseTo((-h / Math.LN2) * Math.log(1 - (T * Math.LN2) / h), 3);
  });
});

describe('light that comes and goes', () => {
  test('cloud for a share of the time: the mean of both rates, closed form', () => {
    const film = findFilm('HP5 Plus');
    const question = { fNumber: 250, film };
    const time = (ev100Ev: number): number => exposureTime({ ...question, light: { kind: 'ev', ev100Ev } }).correctedS;
    const answer = changingExposure(ask(steadyCourse(12), { question, cloud: { timeShare: 0.4, stops: 2 } }));
    expect(answer.durationS).toBeCloseTo(1 / (0.6 / time(12) + 0.4 / time(10)), 2);
    expect(answer.cautions.join(' ')).toMatch(/averaged/);
  });
});

describe('laws of every answer', () => {
  const stops = fc.double({ min: -0.3, max: 0.3, noNaN: true });
  const film = fc.constantFrom(...FILMS.filter(({ iso }) => iso !== null));

  test('what is done never falls, and the range holds the answer', () => {
    fc.assert(
      fc.property(fc.double({ min: 4, max: 14, noNaN: true }), stops, film, (ev100Ev, perMin, of) => {
        const answer = changingExposure(ask(changing(ev100Ev, perMin), { question: { fNumber: 250, film: of } }));
        const done = answer.points.map(({ doneShare }) => doneShare);
        done.slice(1).forEach((share, i) => expect(share).toBeGreaterThanOrEqual(done[i] as number));
        const [from, until] = answer.closeRangeS;
        if (answer.closeAtS !== null) {
          expect(from as number).toBeLessThanOrEqual(answer.closeAtS);
          if (until !== null) expect(until).toBeGreaterThanOrEqual(answer.closeAtS);
          expect(answer.atEndStops).toBeGreaterThan(-0.01);
        } else {
          expect(answer.atEndStops).toBeLessThan(0.01);
        }
        expect(answer.atEndRangeStops[0]).toBeLessThanOrEqual(answer.atEndStops);
        expect(answer.atEndRangeStops[1]).toBeGreaterThanOrEqual(answer.atEndStops);
      }),
      { numRuns: 15 },
    );
  });

  test('more light never closes later, and reciprocity never earlier than the plain sum', () => {
    fc.assert(
      fc.property(fc.double({ min: 6, max: 14, noNaN: true }), stops, film, (ev100Ev, perMin, of) => {
        const question = { fNumber: 250, film: of };
        const end = (answer: { readonly closeAtS: number | null }): number => answer.closeAtS ?? Infinity;
        const here = end(changingExposure(ask(changing(ev100Ev, perMin), { question })));
        const brighter = end(changingExposure(ask(changing(ev100Ev + 0.5, perMin), { question })));
        const plain = end(changingExposure(ask(changing(ev100Ev, perMin), { question: { fNumber: 250, iso: of.iso as number } })));
        expect(brighter).toBeLessThanOrEqual(here + 1e-4);
        expect(plain).toBeLessThanOrEqual(here + 1e-4);
      }),
      { numRuns: 10 },
    );
  });
});

describe('courses', () => {
  const at = (minute: number, ev100Ev: number) => ({ instantS: OPEN_S + minute * 60, ev100Ev });

  test('two readings go on at the same stops a minute, and may fall faster, but no faster than any dusk', () => {
    const course = readingsCourse([at(-10, 9), at(0, 7)]);
    expect(course.evAt(OPEN_S + 600)).toBeCloseTo(5, 12);
    const [lo, hi] = course.spanAt(OPEN_S + 600);
    expect(hi - 5).toBeCloseTo(2 * 0.1 * Math.hypot(1, 2), 9);
    expect(5 - lo).toBeGreaterThan(hi - 5);
    expect(7 - lo).toBeLessThan(0.41 * 10 + 0.5);
  });

  test('the sky’s own dusk lies in the range of two readings taken from it', () => {
    // sinking 10.6° an hour, as at 47° north in September
    const sky = (instantS: number): number => Math.log2(sunLightLux(((-(instantS - OPEN_S) * 10.6) / 3600) * (Math.PI / 180)));
    for (const fromMin of [-30, -10, 5, 15]) {
      const [a, b] = [OPEN_S + fromMin * 60, OPEN_S + (fromMin + 8) * 60];
      const course = readingsCourse([{ instantS: a, ev100Ev: sky(a) }, { instantS: b, ev100Ev: sky(b) }]);
      for (const laterMin of [2, 5, 10, 20]) {
        const [lo, hi] = course.spanAt(b + laterMin * 60);
        expect(sky(b + laterMin * 60)).toBeGreaterThan(lo);
        expect(sky(b + laterMin * 60)).toBeLessThan(hi);
      }
    }
  });

  test('three readings tell the bend: a parabola is found again', () => {
    const bent = (minute: number): number => 9 - 0.1 * minute - 0.002 * minute * minute;
    const course = readingsCourse([at(-20, bent(-20)), at(-8, bent(-8)), at(0, bent(0))]);
    expect(course.kind).toBe('curve');
    expect(course.evAt(OPEN_S + 600)).toBeCloseTo(bent(10), 6);
    const [lo, hi] = course.spanAt(OPEN_S + 600);
    expect(hi - lo).toBeGreaterThan(0.4);
  });

  test('readings that go up and down are followed, and carried on at the mean of their light', () => {
    const course = readingsCourse([at(-6, 12), at(-4, 10), at(-2, 12), at(0, 10)]);
    expect(course.kind).toBe('uneven');
    expect(course.evAt(OPEN_S - 3 * 60)).toBeCloseTo(11, 12);
    expect(course.evAt(OPEN_S + 60)).toBeCloseTo(Math.log2((2 ** 12 + 2 ** 10) / 2), 12);
  });

  test('the sky’s law is scaled to one reading, and its strength fitted to two a stop apart', () => {
    const lux = (instantS: number): number => 1000 * 2 ** (-(instantS - OPEN_S) / 300);
    expect(skyCourse(lux, [at(0, 7)]).evAt(OPEN_S + 300)).toBeCloseTo(6, 12);
    // unread: the level of the ground itself, E = 2.5·2^EV lx (ISO 2720, C = 250), and it says that nothing was read
    expect(unreadSkyCourse(lux, OPEN_S).evAt(OPEN_S)).toBeCloseTo(Math.log2(lux(OPEN_S) / 2.5), 9);
    expect(unreadSkyCourse(lux, OPEN_S).words).toContain('nothing was read');
    const strong = skyCourse(lux, [at(0, 7), at(10, 5.4)]);
    expect(strong.evAt(OPEN_S + 1200)).toBeCloseTo(3.8, 9);
    expect(strong.cautions.join(' ')).toMatch(/0\.80 times as fast/);
  });

  test.each([
    [() => readingsCourse([]), /at least one reading/],
    [() => readingsCourse([at(0, 7)]), /give a second one/],
    [() => readingsCourse([at(0, 7), at(0, 7.2)]), /the same time/],
    [() => readingsCourse([at(0, 77), at(3, 7)]), /EV at ISO 100 must lie/],
    [() => changingExposure(ask(steadyCourse(7), { untilS: OPEN_S })), /after the opening/],
    [() => changingExposure(ask(steadyCourse(7), { cloud: { timeShare: 2, stops: 1 } })), /share of the time/],
  ])('what cannot be is refused: %#', (call, words) => {
    expect(call).toThrow(words);
  });
});
