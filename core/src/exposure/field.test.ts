import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  FILMS,
  InputError,
  allowedShake,
  clockDigits,
  differenceStops,
  exposureTime,
  filmResponse,
  findFilm,
  lightColourStops,
  limitingFrequencyPerMm,
  partFalloffStops,
  preFlash,
  timerState,
  walker,
} from '#core';

const hp5 = findFilm('HP5 Plus');

describe('a running exposure', () => {
  const at = (elapsedS: number) => timerState({ elapsedS, preCountS: 5, timeS: 240, film: hp5 });

  test('counts in, counts down, and says how much is over', () => {
    expect(at(0)).toMatchObject({ phase: 'count-in', digits: '5', openS: 0 });
    expect(at(4.2)).toMatchObject({ phase: 'count-in', digits: '1' });
    expect(at(5)).toMatchObject({ phase: 'open', digits: '4:00', openS: 0 });
    expect(at(85)).toMatchObject({ phase: 'open', digits: '2:40', openS: 80 });
    expect(at(244.99)).toMatchObject({ phase: 'open', digits: '0:01' });
    expect(at(245)).toMatchObject({ phase: 'over', digits: '0:00', overStops: 0, sentence: 'Close now.' });
    // 480 s instead of 240 s on t^1.31 is worth 1/1.31 = 0.763 stop
    expect(at(485).overStops).toBeCloseTo(1 / 1.31, 6);
    expect(at(485).sentence).toBe('Close now: 4 min over, 0.8 stops too much.');
    expect(() => at(-1)).toThrow(InputError);
    expect(() => timerState({ elapsedS: 0, preCountS: 0, timeS: 0, film: null })).toThrow(InputError);
  });

  test('asked once after hours or every tenth of a second, it says the same', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 1e5, noNaN: true }), fc.double({ min: 0.5, max: 5e4, noNaN: true }), fc.constantFrom(...FILMS), (elapsedS, timeS, film) => {
        const state = timerState({ elapsedS, preCountS: 3, timeS, film });
        expect(state.openS).toBeCloseTo(Math.max(0, elapsedS - 3), 9);
        expect(state.leftS).toBeGreaterThanOrEqual(0);
        // reciprocity makes an overrun worth less than the clock says, never more
        if (state.phase === 'over') expect(state.overStops).toBeLessThanOrEqual(Math.log2(state.openS / timeS) + 1e-9);
      }),
    );
  });

  test('digits', () => {
    expect([0, 0.2, 59.2, 60, 3599.5, 3600, 86_399].map((s) => clockDigits(s))).toEqual(['0:00', '0:01', '1:00', '1:00', '1:00:00', '1:00:00', '23:59:59']);
    expect(clockDigits(59.9, 'down')).toBe('0:59');
    expect(differenceStops(null, 80, 40)).toBe(1);
  });
});

describe('a walker', () => {
  const base = { exposureS: 60, focalLengthMm: 100, frameWidthMm: 120, distanceMm: 5000 };

  // by hand: the frame spans 120·5000/100 = 6000 mm; (6000 + 500)/1400 = 4.64 s; each point sees him 500/1400 = 0.357 s;
  // a coat 2 stops darker: log2(1 − 0.75·0.357/60) = −0.0064
  test('worked by hand', () => {
    const answer = walker(base);
    expect(answer.timeInFrameS).toBeCloseTo(6500 / 1400, 12);
    expect(answer.timeInFrameStops).toBeCloseTo(Math.log2(60 / (6500 / 1400)), 12);
    expect(answer.coverS).toBeCloseTo(500 / 1400, 12);
    expect(answer.changeStops).toBeCloseTo(-0.00645, 4);
    expect(answer.sentence).toContain('not seen');
  });

  test('from the vanishing exposure on he is a tenth of a stop or less, before it more', () => {
    fc.assert(
      fc.property(fc.double({ min: -4, max: 3, noNaN: true }).filter((b) => Math.abs(b) > 0.2), fc.double({ min: 100, max: 5000, noNaN: true }), fc.integer({ min: 1, max: 50 }), (brighterStops, speedMmPerS, count) => {
        const question = { ...base, brighterStops, speedMmPerS, count };
        const { vanishesFromS, coverS } = walker(question);
        expect(Math.abs(walker({ ...question, exposureS: vanishesFromS * 1.0001 }).changeStops)).toBeLessThanOrEqual(0.1);
        if (vanishesFromS * 0.99 > coverS) {
          expect(Math.abs(walker({ ...question, exposureS: vanishesFromS * 0.99 }).changeStops)).toBeGreaterThan(0.1);
        }
      }),
    );
    expect(walker({ ...base, exposureS: 0.5 }).changeStops).toBeGreaterThan(-2);
    expect(walker({ ...base, standsS: 60 }).changeStops).toBeCloseTo(-2, 9);
    expect(() => walker({ ...base, distanceMm: 0 })).toThrow(InputError);
  });
});

describe('shake', () => {
  const hole = { diameterMm: 0.4, focalLengthMm: 100 };

  test('a drift over the whole exposure: sinc falls to 0.8 at 1.131/π cycles', () => {
    const answer = allowedShake(hole);
    const limit = limitingFrequencyPerMm({ ...hole, objectDistanceMm: Infinity, wavelengthNm: 550 }, 0.1);
    expect(answer.limitPerMm).toBe(limit);
    // x with sin x/x = 0.8: 1.1311 (table of sinc)
    expect((answer.allowedMm ?? NaN) * limit * Math.PI).toBeCloseTo(1.1311, 3);
    expect(answer.allowedRad).toBeCloseTo((answer.allowedMm ?? NaN) / 100, 12);
  });

  test('the shorter the shake, the more may be; a short one may be anything', () => {
    let before = 0;
    for (const shakenS of [60, 40, 20, 12]) {
      const { allowedMm } = allowedShake({ ...hole, shakenS, exposureS: 60 });
      expect(allowedMm ?? Infinity).toBeGreaterThan(before);
      before = allowedMm ?? Infinity;
    }
    expect(allowedShake({ ...hole, shakenS: 2, exposureS: 60 }).allowedMm).toBeNull();
    expect(() => allowedShake({ ...hole, leverMm: 0 })).toThrow(InputError);
  });
});

describe('paper', () => {
  test('a flash of half the threshold doubles what a shadow counts', () => {
    const plan = preFlash({ thresholdS: 4, flashShare: 0.5, paperRangeStops: 3 });
    expect(plan.flashS).toBe(2);
    expect(plan.shadowGainStops).toBe(1);
    expect(plan.flashedRangeStops).toBeCloseTo(Math.log2(7.5 / 0.5), 12);
    for (const wrong of [{ thresholdS: 0 }, { thresholdS: 4, flashShare: 1 }, { thresholdS: 4, paperRangeStops: 20 }]) {
      expect(() => preFlash(wrong)).toThrow(InputError);
    }
  });

  test('more flash, more range', () => {
    const ranges = [0.1, 0.3, 0.5, 0.7, 0.9].map((flashShare) => preFlash({ thresholdS: 1, flashShare }).flashedRangeStops);
    expect(ranges).toEqual([...ranges].sort((a, b) => a - b));
  });
});

describe('the colour of the light', () => {
  const stops = (source: 'sunlight' | 'incandescent' | 'tungsten', response: Parameters<typeof filmResponse>[0]) =>
    lightColourStops({ source, response: filmResponse(response) });

  // Kodak F-4016 (Oct 2007) p. 5: a blue filter (47) costs 3 stops in daylight and 4 2/3 in tungsten light, so blue loses
  // 1.67 stops to panchromatic film there. A paper sees mostly what that filter passes; generic curves, so ±0.75 stop.
  test('paper loses against panchromatic film in lamp light what a blue filter loses', () => {
    for (const response of ['blue-paper', 'variable-contrast-paper'] as const) {
      expect(Math.abs(stops('tungsten', response) - stops('tungsten', 'panchromatic') - (14 / 3 - 3))).toBeLessThan(0.75);
    }
  });

  test('the bluer the material, the more it loses to a yellower light; daylight is the reference', () => {
    expect(lightColourStops({ source: 'daylight', response: filmResponse('blue-paper') })).toBe(0);
    for (const source of ['sunlight', 'incandescent', 'tungsten'] as const) {
      const order = (['panchromatic', 'orthochromatic', 'variable-contrast-paper', 'blue-paper'] as const).map((response) => stops(source, response));
      expect(order).toEqual([...order].sort((a, b) => a - b));
      expect(order[0]).toBeGreaterThan(0);
    }
  });

  test('stands in the chain before reciprocity, with its doubt', () => {
    const paper = findFilm('Ilford Multigrade RC (deluxe), no filter and grades 00-3.5');
    const question = { fNumber: 250, light: { kind: 'ev', ev100Ev: 6 }, film: paper } as const;
    const day = exposureTime(question);
    const lamp = exposureTime({ ...question, lightColour: { source: 'incandescent', response: filmResponse('variable-contrast-paper') } });
    const link = lamp.chain.find(({ name }) => name === 'light colour');
    expect(Math.log2(lamp.meteredS / day.meteredS)).toBeCloseTo(stops('incandescent', 'variable-contrast-paper'), 9);
    expect(link?.standardUncertaintyStops).toBeGreaterThan(0.1);
    expect(lamp.chain.reduce((sum, { stops: part }) => sum + part, 0)).toBeCloseTo(Math.log2(lamp.correctedS), 9);
    expect(day.chain.some(({ name }) => name === 'light colour')).toBe(false);
  });
});

describe('the part of the frame that matters', () => {
  const camera = { frame: { widthMm: 120, heightMm: 90 }, focalLengthMm: 75, holeShift: { xMm: 0, yMm: 0 } };

  test('cos⁴: the corner of 120 × 90 at 75 mm is at 45°, 2 stops; half of it half-way', () => {
    expect(partFalloffStops(camera, 'corner')).toBeCloseTo(2, 12);
    expect(partFalloffStops(camera, 'half-way')).toBeCloseTo(1, 12);
    expect(partFalloffStops(camera, 'middle')).toBe(0);
    expect(partFalloffStops(camera, { xMm: 60, yMm: 0 })).toBeCloseTo(2 * Math.log2(1 + (60 / 75) ** 2), 12);
    expect(partFalloffStops({ ...camera, holeShift: { xMm: 0, yMm: 20 } }, 'middle')).toBeGreaterThan(0);
    expect(partFalloffStops({ ...camera, holeShift: { xMm: 0, yMm: 20 } }, 'behind the hole')).toBe(0);
    expect(() => partFalloffStops(camera, 'corner', { thicknessMm: 1, diameterMm: 0.3 })).toThrow(InputError);
  });
});

describe('the bracket', () => {
  test('in the step asked for, each side through reciprocity', () => {
    const question = { fNumber: 250, light: { kind: 'ev', ev100Ev: 8 }, film: hp5 } as const;
    const half = exposureTime({ ...question, bracketStops: 0.5 });
    expect(Math.log2(half.bracketS[2] / half.bracketS[1])).toBeCloseTo(0.5 * 1.31, 9);
    const two = exposureTime({ ...question, bracketStops: 2 });
    expect(Math.log2(two.bracketS[1] / two.bracketS[0])).toBeCloseTo(2 * 1.31, 9);
    expect(() => exposureTime({ ...question, bracketStops: 0 })).toThrow(InputError);
  });
});
