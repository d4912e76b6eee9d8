import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { InputError } from '../errors.ts';
import type { ExposureAnswer, ExposureQuestion } from './answer.ts';
import { exposureTime } from './exposure-time.ts';
import { filmFrom } from './film-record.ts';
import { FILMS, findFilm } from './films.ts';
import { correctedTimeS } from './reciprocity.ts';

const hp5 = findFilm('HP5 Plus');
const triX = findFilm('Tri-X 400 / Tri-X 320');

function ask(question: Partial<ExposureQuestion>): ExposureAnswer {
  return exposureTime({ fNumber: 250, light: { kind: 'ev', ev100Ev: 12 }, film: hp5, ...question });
}

function link(answer: ExposureAnswer, name: string): ExposureAnswer['chain'][number] {
  const found = answer.chain.find((candidate) => candidate.name === name);
  if (found === undefined) throw new Error(`no link ${name}`);
  return found;
}

const anyFNumber = fc.double({ min: 50, max: 800, noNaN: true });
const anyEv = fc.double({ min: -6, max: 17, noNaN: true });
const anyIso = fc.double({ min: 1.5, max: 3200, noNaN: true });
const anyFilm = fc.constantFrom(...FILMS);

describe('laws', () => {
  test('filter first, reciprocity last: the correction is taken of the filtered time', () => {
    fc.assert(
      fc.property(
        anyFilm,
        anyFNumber,
        anyEv,
        fc.double({ min: 1, max: 16, noNaN: true }),
        (film, fNumber, ev100Ev, filterFactor) => {
          const light = { kind: 'ev', ev100Ev } as const;
          const bare = exposureTime({ fNumber, light, film, iso: 100 });
          const filtered = exposureTime({ fNumber, light, film, iso: 100, filterFactor });
          expect(filtered.meteredS / bare.meteredS).toBeCloseTo(filterFactor, 9);
          expect(filtered.correctedS / correctedTimeS(film, bare.meteredS * filterFactor)).toBeCloseTo(1, 9);
          // the wrong order would give less wherever reciprocity grows
          expect(filtered.correctedS).toBeGreaterThanOrEqual(filterFactor * bare.correctedS * (1 - 1e-9));
        },
      ),
      { numRuns: 500 },
    );
  });

  test('the wrong order is told apart by a number: ×8 on HP5 Plus at 4 s', () => {
    const light = { kind: 'meter', meteredS: 4, fNumber: 250 } as const;
    const right = ask({ light, filterFactor: 8 });
    expect(right.correctedS).toBeCloseTo(32 ** 1.31, 9);
    expect(Math.abs(right.correctedS - 8 * 4 ** 1.31)).toBeGreaterThan(40);
  });

  test('answers hold: corrected ≥ metered, range around it, chain adds up to the seconds', () => {
    fc.assert(
      fc.property(anyFilm, anyFNumber, anyEv, anyIso, fc.boolean(), (film, fNumber, ev100Ev, iso, bareHole) => {
        const answer = exposureTime({
          fNumber,
          fNumberStandardUncertainty: fNumber * 0.01,
          light: { kind: 'ev', ev100Ev },
          film,
          iso,
          filterFactor: 2.5,
          falloffStops: 0.7,
          bareHole,
        });
        expect(answer.correctedS).toBeGreaterThanOrEqual(answer.meteredS);
        expect(answer.rangeS[0]).toBeLessThanOrEqual(answer.correctedS);
        expect(answer.rangeS[1]).toBeGreaterThanOrEqual(answer.correctedS);
        expect(answer.rangeS[0]).toBeGreaterThan(0);
        const sum = answer.chain.reduce((stops, step) => stops + step.stops, 0);
        expect(sum).toBeCloseTo(Math.log2(answer.correctedS), 8);
        for (const step of answer.chain) {
          expect(step.factor).toBeCloseTo(2 ** step.stops, 12);
          expect(Number.isFinite(step.timeStandardUncertaintyStops)).toBe(true);
          expect(step.reason).toMatch(/\.$/);
        }
        expect(answer.sentence).not.toMatch(/NaN|undefined|Infinity/);
        expect(answer.extrapolated).toBe(answer.state === 'extrapolated' || answer.state === 'no-data');
      }),
      { numRuns: 1000 },
    );
  });

  test('more light or more speed, less time; a smaller hole, more', () => {
    fc.assert(
      fc.property(
        anyFilm,
        anyFNumber,
        anyEv,
        anyIso,
        fc.double({ min: 0.01, max: 3, noNaN: true }),
        (film, fNumber, ev100Ev, iso, d) => {
          const time = (q: { fNumber: number; ev100Ev: number; iso: number }): number =>
            exposureTime({ fNumber: q.fNumber, light: { kind: 'ev', ev100Ev: q.ev100Ev }, film, iso: q.iso })
              .correctedS;
          const here = time({ fNumber, ev100Ev, iso });
          expect(time({ fNumber, ev100Ev: ev100Ev + d, iso })).toBeLessThan(here);
          expect(time({ fNumber, ev100Ev, iso: iso * 2 ** d })).toBeLessThan(here);
          expect(time({ fNumber: fNumber * 2 ** d, ev100Ev, iso })).toBeGreaterThan(here);
        },
      ),
      { numRuns: 500 },
    );
  });

  test('metered time goes with N², with 1/2^EV and with 1/S', () => {
    fc.assert(
      fc.property(anyFNumber, anyEv, anyIso, (fNumber, ev100Ev, iso) => {
        const time = (n: number, ev: number, s: number): number =>
          exposureTime({ fNumber: n, light: { kind: 'ev', ev100Ev: ev }, iso: s }).meteredS;
        const here = time(fNumber, ev100Ev, iso);
        expect(time(2 * fNumber, ev100Ev, iso) / here).toBeCloseTo(4, 10);
        expect(time(fNumber, ev100Ev + 1, iso) / here).toBeCloseTo(0.5, 10);
        expect(time(fNumber, ev100Ev, 2 * iso) / here).toBeCloseTo(0.5, 10);
      }),
    );
  });

  test('a reading and the EV it means give the same time', () => {
    fc.assert(
      fc.property(anyFNumber, anyEv, anyIso, anyIso, (fNumber, ev100Ev, meterIso, iso) => {
        const meteredS = (16 ** 2 / 2 ** ev100Ev) * (100 / meterIso);
        const read = exposureTime({ fNumber, light: { kind: 'meter', meteredS, fNumber: 16, iso: meterIso }, iso });
        const told = exposureTime({ fNumber, light: { kind: 'ev', ev100Ev }, iso });
        expect(read.meteredS / told.meteredS).toBeCloseTo(1, 9);
      }),
    );
  });
});

describe('the light', () => {
  test('a reading at the film’s own speed needs no speed', () => {
    const light = { kind: 'meter', meteredS: 0.5, fNumber: 16 } as const;
    const answer = exposureTime({ fNumber: 160, light, film: findFilm('APX 100 / APX 400 (Agfa)') });
    expect(answer.meteredS).toBe(50);
    expect(answer.iso).toBeNull();
    expect(link(answer, 'light').words).toContain("film's speed");
    // and none at all: then it is only carried to the hole
    expect(exposureTime({ fNumber: 160, light }).correctedS).toBe(50);
  });

  test('a reading at another speed is carried to the film’s', () => {
    const light = { kind: 'meter', meteredS: 1, fNumber: 250, iso: 100 } as const;
    expect(exposureTime({ fNumber: 250, light, film: hp5 }).meteredS).toBeCloseTo(0.25, 12);
  });

  test('a mark is 2^(1/2) finer than it says; a plain number is taken as given', () => {
    const light = { kind: 'meter', meteredS: 1, fNumber: 22 } as const;
    expect(ask({ light, fNumber: 220 }).meteredS).toBeCloseTo(100, 9);
    const marked = ask({ light: { ...light, isMark: true }, fNumber: 220 });
    expect(marked.meteredS).toBeCloseTo((220 / 2 ** 4.5) ** 2, 9);
    expect(link(marked, 'light').reason).toContain('22.627');
  });

  test('scene words carry the guide’s range; lux and luminance the meter constants', () => {
    const shade = ask({ light: { kind: 'scene', scene: 'open shade' } });
    expect(link(shade, 'light').standardUncertaintyStops).toBeCloseTo(0.5 / Math.sqrt(3), 12);
    expect(shade.meteredS).toBe(ask({}).meteredS);
    const dusk = ask({ light: { kind: 'scene', scene: 'just before sunset' } });
    expect(link(dusk, 'light').stops).toBe(-13);
    expect(link(dusk, 'light').standardUncertaintyStops).toBeCloseTo(1.5 / Math.sqrt(3), 12);
    const back = ask({ light: { kind: 'scene', scene: 'bright-sun', lighting: 'back' } });
    expect(link(back, 'light').stops).toBe(-13);
    expect(() => ask({ light: { kind: 'scene', scene: 'open shade', lighting: 'side' } })).toThrow(/direct sun/);
    expect(ask({ light: { kind: 'illuminance', illuminanceLux: 10240 } }).meteredS).toBeCloseTo(ask({}).meteredS, 9);
    expect(ask({ light: { kind: 'luminance', luminanceCdPerM2: 512 } }).meteredS).toBeCloseTo(ask({}).meteredS, 9);
  });

  test('the judgement behind a meter reading is said, and given figures overrule it', () => {
    expect(link(ask({}), 'light').reason).toContain('judgement, no source');
    const sure = ask({ light: { kind: 'ev', ev100Ev: 12, standardUncertaintyStops: 0.02 } });
    expect(link(sure, 'light').reason).toContain('as given');
    expect(sure.rangeS[1] - sure.rangeS[0]).toBeLessThan(ask({}).rangeS[1] - ask({}).rangeS[0]);
  });
});

describe('film and speed', () => {
  test('without a film the time is the metered time and the answer says so', () => {
    const answer = ask({ film: null, iso: 100 });
    expect(answer.correctedS).toBe(answer.meteredS);
    expect(answer).toMatchObject({ extrapolated: false, state: 'not-applied', evidence: 'none', film: null });
    expect(answer.source).toContain('metered time');
    expect(answer.cautions.join(' ')).toContain('No film was named');
  });

  test('a paper is exposed at the middle of its index range, the range enters the doubt', () => {
    const paper = findFilm('Ilford Multigrade RC (deluxe), no filter and grades 00-3.5');
    const answer = ask({ film: paper });
    expect(answer.iso).toBeCloseTo(Math.sqrt(18), 12);
    expect(link(answer, 'speed').standardUncertaintyStops).toBeCloseTo(0.5 / Math.sqrt(3), 12);
    expect(answer).toMatchObject({ extrapolated: true, state: 'no-data' });
    expect(ask({ film: paper, exposureIndex: 3 }).iso).toBe(3);
    const plate = ask({ film: findFilm('Ilford Special Lantern plate (historic)') });
    expect(plate.iso).toBe(5);
    expect(link(plate, 'speed').standardUncertaintyStops).toBeCloseTo(0.5 / Math.sqrt(3), 12);
  });

  test('an own index overrules the film’s speed; two that differ are refused', () => {
    expect(ask({ exposureIndex: 200 }).meteredS).toBeCloseTo(2 * ask({}).meteredS, 12);
    expect(ask({ iso: 200 }).meteredS).toBeCloseTo(2 * ask({}).meteredS, 12);
    expect(() => ask({ iso: 400, exposureIndex: 200 })).toThrow(/Two speeds/);
  });

  test('a material without one speed asks for it', () => {
    expect(() => ask({ film: findFilm('APX 100 / APX 400 (Agfa)') })).toThrow(/no single film speed/);
    expect(() => ask({ film: null })).toThrow(/Neither a film nor a speed/);
  });

  test('independent figures widen the range up to themselves, and the sentence names them', () => {
    const answer = ask({ film: triX, light: { kind: 'meter', meteredS: 100, fNumber: 250 } });
    expect(answer.correctedS).toBe(1200);
    const [first, second] = answer.alternates;
    expect(first?.correctedS).toBeCloseTo(100 + 0.169 * 100 ** 1.62, 9);
    expect(second?.correctedS).toBeGreaterThan(180);
    expect(answer.rangeS[0]).toBe(Math.min(first?.correctedS ?? NaN, second?.correctedS ?? NaN));
    expect(answer.sentence).toContain('Independent figures say');
    expect(answer.largestUncertainty).toBe('reciprocity');
  });

  test('no figures: still an answer, up to four times as long', () => {
    const answer = ask({ film: findFilm('Ektar 100'), light: { kind: 'meter', meteredS: 20, fNumber: 250 } });
    expect(answer.correctedS).toBe(20);
    expect(answer.rangeS[1]).toBeGreaterThan(80);
    expect(answer.sentence).toContain('common practice, no source');
    expect(answer.extrapolated).toBe(true);
  });

  test('what the sheet asks of filter and development is passed on', () => {
    const velvia = ask({ film: findFilm('Velvia 50'), light: { kind: 'meter', meteredS: 15, fNumber: 250 } });
    expect(velvia.cautions.join(' ')).toContain('CC10M');
    const tri = ask({ film: triX, light: { kind: 'meter', meteredS: 12, fNumber: 250 } });
    expect(tri.cautions.join(' ')).toContain('−20%');
    const late = ask({ film: findFilm('Velvia 50'), light: { kind: 'meter', meteredS: 64, fNumber: 250 } });
    expect(late.notRecommended).toBe(true);
    expect(late.cautions.join(' ')).toContain('does not recommend');
  });
});

describe('uncertainty', () => {
  /** A film whose curve is published and exact, so that only what comes before shows. */
  const straight = filmFrom({ name: 'straight', iso: 100, law: { model: 'power', exponent: 1 }, noCorrectionUpToS: 1 });

  test('k = 2 in stops, the same both ways where reciprocity does not bend', () => {
    const light = { kind: 'meter', meteredS: 1000, fNumber: 250, standardUncertaintyStops: 0.3 } as const;
    const { rangeS, correctedS } = exposureTime({
      fNumber: 250,
      fNumberStandardUncertainty: (250 * 0.4 * Math.LN2) / 2,
      light,
      film: straight,
      speedStandardUncertaintyStops: 0,
      handReactionS: 0,
    });
    expect(Math.log2(rangeS[1] / correctedS)).toBeCloseTo(1, 9);
    expect(Math.log2(correctedS / rangeS[0])).toBeCloseTo(1, 9);
  });

  test('reciprocity stretches the long side more', () => {
    const light = { kind: 'meter', meteredS: 1, fNumber: 250, standardUncertaintyStops: 0.5 } as const;
    const film = filmFrom({ name: 'bent', iso: 100, law: { model: 'power', exponent: 1.4 } });
    const { rangeS, correctedS } = exposureTime({
      fNumber: 250,
      light,
      film,
      speedStandardUncertaintyStops: 0,
      handReactionS: 0,
    });
    expect(Math.log2(rangeS[1] / correctedS)).toBeCloseTo(1.4, 9);
    expect(Math.log2(correctedS / rangeS[0])).toBeCloseTo(1, 9);
  });

  test('the hand counts for short times and vanishes for long ones', () => {
    const at = (meteredS: number): ExposureAnswer =>
      ask({ light: { kind: 'meter', meteredS, fNumber: 250 }, film: null });
    expect(at(0.1).largestUncertainty).toBe('hand');
    expect(at(0.1).cautions.join(' ')).toContain('Too short for a hand');
    expect(link(at(1), 'hand').standardUncertaintyStops).toBeCloseTo(Math.log2(1 + 0.3 / Math.sqrt(3)), 12);
    expect(link(at(600), 'hand').standardUncertaintyStops).toBeLessThan(0.001);
    const exact = ask({ light: { kind: 'meter', meteredS: 0.1, fNumber: 250 }, film: null, handReactionS: 0 });
    expect(link(exact, 'hand').standardUncertaintyStops).toBe(0);
    expect(exact.cautions.join(' ')).not.toContain('hand');
  });

  test('the largest is named, and widens the bracket', () => {
    expect(ask({ fNumberStandardUncertainty: 50 }).largestUncertainty).toBe('hole');
    expect(ask({}).bracketStops).toBe(0.5);
    expect(ask({ fNumberStandardUncertainty: 50 }).bracketStops).toBe(1);
    const [less, middle, more] = ask({ fNumberStandardUncertainty: 50 }).bracketS;
    expect(middle).toBe(ask({}).correctedS);
    expect(more).toBeCloseTo((2 * ask({}).meteredS) ** 1.31, 9);
    expect(less).toBeCloseTo((ask({}).meteredS / 2) ** 1.31, 9);
  });

  test('a hole without a stated uncertainty is taken as exact, and that is said', () => {
    expect(link(ask({}), 'hole').reason).toContain('taken as exact');
    expect(link(ask({ fNumberStandardUncertainty: 2.5 }), 'hole').standardUncertaintyStops).toBeCloseTo(
      0.02 / Math.LN2,
      12,
    );
  });
});

describe('bare hole', () => {
  test('off unless asked; then 0.27 stop shorter and said', () => {
    const on = ask({ bareHole: true });
    expect(on.meteredS / ask({}).meteredS).toBeCloseTo(0.65 / (Math.PI / 4), 12);
    expect(on.cautions.join(' ')).toContain('0.27 stop shorter');
    expect(ask({}).chain.some((step) => step.name === 'bare hole')).toBe(false);
  });

  test('never with an index learnt in a pinhole camera', () => {
    const learnt = { exposureIndex: 320, exposureIndexLearntInPinhole: true };
    expect(() => ask({ ...learnt, bareHole: true })).toThrow(/already holds the bare hole/);
    expect(ask(learnt).iso).toBe(320);
  });
});

describe('refusals say what was got, what is allowed and what to do', () => {
  const cases: [string, Partial<ExposureQuestion>, RegExp][] = [
    [
      'EV 60',
      { light: { kind: 'ev', ev100Ev: 60 } },
      /EV at ISO 100 must lie between -16 and 24 EV, but is 60\. Full sun is 15/,
    ],
    ['EV NaN', { light: { kind: 'ev', ev100Ev: NaN } }, /but is NaN/],
    [
      'negative seconds',
      { light: { kind: 'meter', meteredS: -3, fNumber: 16 } },
      /metered time .* but is -3.*Give seconds/,
    ],
    ['meter at f/0', { light: { kind: 'meter', meteredS: 3, fNumber: 0 } }, /f-number on the meter/],
    ['f/0', { fNumber: 0 }, /f-number of the hole .* focal length divided by/],
    ['negative uncertainty', { fNumberStandardUncertainty: -1 }, /must be 0 .*or more/],
    ['ISO 0', { iso: 0 }, /speed or exposure index .* Paper lies near 3/],
    ['filter 0.5', { filterFactor: 0.5 }, /filter factor .* only take light away/],
    ['filter −1 stop', { filterStops: -1 }, /only take light away/],
    ['both filters', { filterFactor: 2, filterStops: 1 }, /Give one of the two/],
    ['falloff −1', { falloffStops: -1 }, /falloff/],
    ['hand −1', { handReactionS: -1 }, /hand on the shutter/],
    ['0 lx', { light: { kind: 'illuminance', illuminanceLux: 0 } }, /illuminance/],
    ['0 cd/m²', { light: { kind: 'luminance', luminanceCdPerM2: 0 } }, /luminance/],
    ['unknown scene', { light: { kind: 'scene', scene: 'disco' } }, /There is no scene “disco”; choose one of/],
    ['doubt of −1', { light: { kind: 'ev', ev100Ev: 12, standardUncertaintyStops: -1 } }, /standard uncertainty/],
  ];
  test.each(cases)('%s', (_, question, message) => {
    expect(() => ask(question)).toThrow(InputError);
    expect(() => ask(question)).toThrow(message);
  });
});

test('a light that will not do is said, not hidden', () => {
  const answer = ask({ light: { kind: 'ev', ev100Ev: -10 }, fNumber: 400 });
  expect(answer.cautions.join(' ')).toContain('not enough');
});
