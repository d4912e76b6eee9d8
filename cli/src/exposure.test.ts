import { describe, expect, test } from 'vitest';
import { FILMS, InputError } from '#core';
import { exposureCommand, filmsCommand } from './exposure.ts';
import type { ExposureOptions } from './exposure-reading.ts';

interface Document {
  meteredS: number;
  unfilteredS: number;
  correctedS: number;
  rangeS: [number, number];
  extrapolated: boolean;
  source: string;
  evidence: string;
  fNumber: number;
  fNumberStandardUncertainty: number | null;
  chain: { name: string; stops: number }[];
  cautions: string[];
  sentence: string;
}

function ask(options: ExposureOptions): Document {
  return exposureCommand(options).json as Document;
}

describe('the document for --json', () => {
  test('f/250, EV 15, HP5 Plus: 0.477 s by t = N²/2^EV · 100/S, no correction below 1 s', () => {
    const answer = ask({ fNumber: '250', ev: '15', film: 'hp5 plus' });
    expect(answer.meteredS).toBeCloseTo((250 ** 2 / 2 ** 15) * (100 / 400), 12);
    expect(answer.correctedS).toBe(answer.meteredS);
    expect(answer.rangeS[0]).toBeLessThan(answer.correctedS);
    expect(answer.rangeS[1]).toBeGreaterThan(answer.correctedS);
    expect(answer.extrapolated).toBe(false);
    expect(answer.source).toContain('Ilford');
    expect(answer.evidence).toBe('published');
  });

  test('a speed without a film: corrected = metered, and the source says so', () => {
    const answer = ask({ fNumber: '250', ev: '12', iso: '100', filterFactor: '8' });
    expect(answer.correctedS).toBe(answer.meteredS);
    expect(answer.meteredS).toBeCloseTo(8 * (250 ** 2 / 2 ** 12), 9);
    expect(answer.unfilteredS).toBeCloseTo(250 ** 2 / 2 ** 12, 9);
    expect(answer.source).toContain('the time is the metered time');
  });

  test('a reading at the film’s own speed, at the same stop, is the metered time to the last bit', () => {
    const answer = ask({ fNumber: '250', meteredS: '100', meteredFNumber: '250', film: 'Tri-X 400 / Tri-X 320' });
    expect(answer.meteredS).toBe(100);
    expect(answer.correctedS).toBe(1200);
  });

  test('seconds as a shutter’s fraction, numbers with a comma, EV below zero', () => {
    expect(ask({ fNumber: '160', meteredS: '1/4', meteredFNumber: '16', iso: '100' }).meteredS).toBeCloseTo(25, 12);
    expect(ask({ fNumber: '250,5', ev: '12', iso: '100' }).fNumber).toBe(250.5);
    for (const ev of ['-2', '−2']) expect(ask({ fNumber: '250', ev, iso: '100' }).meteredS).toBe(250000);
  });

  test('diameter and focal length instead of the f-number, with their doubt', () => {
    const answer = ask({ diameterUm: '430', focalMm: '106', uncertainty: '4.3', ev: '12', iso: '100' });
    expect(answer.fNumber).toBeCloseTo(106 / 0.43, 9);
    expect((answer.fNumberStandardUncertainty ?? NaN) / answer.fNumber).toBeCloseTo(0.01, 9);
    expect(ask({ diameterUm: '430', focalMm: '106', ev: '12', iso: '100' }).fNumberStandardUncertainty).toBeNull();
  });

  test('every film of the list answers, with a range around the time', () => {
    for (const film of FILMS) {
      const answer = ask({ fNumber: '250', meteredS: '5', meteredFNumber: '250', film: film.name });
      expect(answer.meteredS).toBe(5);
      expect(answer.correctedS).toBeGreaterThanOrEqual(5);
      expect(answer.rangeS[0]).toBeLessThan(answer.correctedS);
      expect(answer.rangeS[1]).toBeGreaterThan(answer.correctedS);
      expect(answer.source.length).toBeGreaterThan(5);
    }
  });
});

describe('the part of the frame that matters', () => {
  // by hand: x 100, y −145 mm from the foot of a can 72 mm wide: reach 72 cos(100/72), stops 4 log2 √(1 + (145/reach)²)
  test('on bent film is as much darker as bent film is', () => {
    const falloff = (filmPlane: string): number | undefined =>
      ask({ fNumber: '240', ev: '12', iso: '100', frame: '200x160', focalMm: '72', holeShift: '0,65', part: 'corner', filmPlane }).chain
        .find(({ name }) => name === 'falloff')?.stops;
    const reach = 72 * Math.cos(100 / 72);
    expect(falloff('can')).toBeCloseTo(2 * Math.log2(1 + (145 / reach) ** 2), 9);
    expect(falloff('flat')).toBeCloseTo(2 * Math.log2(1 + (100 ** 2 + 145 ** 2) / 72 ** 2), 9);
  });

  test('counts the wall of the plate', () => {
    const question = { fNumber: '240', ev: '12', iso: '100', frame: '120x95', focalMm: '75', part: 'corner' } as const;
    const thin = ask(question).meteredS;
    expect(ask({ ...question, plateEdge: { thicknessMm: 0.1, diameterMm: 0.3 } }).meteredS).toBeGreaterThan(1.2 * thin);
  });
});

describe('what photographers write', () => {
  test('f/250 is an f-number, 2 min and 1:30 are times', () => {
    expect(ask({ fNumber: 'f/250', ev: '12', iso: '100' }).fNumber).toBe(250);
    const metered = (meteredS: string): number => ask({ fNumber: '250', iso: '100', meteredS, meteredFNumber: 'f/22' }).meteredS;
    expect(metered('2 min')).toBeCloseTo(metered('120'), 9);
    expect(metered('1:30')).toBeCloseTo(metered('90'), 9);
    expect(() => metered('soon')).toThrow(/“soon” is not a time\. Give seconds, like 2\.5 or 1\/4, or a time like 8 min/);
    expect(() => metered('1,000')).toThrow(/could mean 1\.000 or 1000/);
  });
});

describe('for people', () => {
  test('the sentence first, then the chain, then the source', () => {
    const { text } = exposureCommand({ fNumber: '250', ev: '12', film: 'HP5 Plus', uncertainty: '3' });
    const lines = text.split('\n');
    expect(lines[0]).toMatch(/^Expose 5\.8 s; anything from \d.* s to \d.* s will do\./);
    for (const link of ['light', 'hole', 'filter', 'speed', 'reciprocity', 'hand']) {
      expect(
        lines.some((line) => line.startsWith(`${link} `)),
        link,
      ).toBe(true);
    }
    expect(text).toContain(
      'Source: Ilford Film Reciprocity Failure Compensation sheet (undated copy) (read in the document).',
    );
    expect(text).toContain('Largest doubt: light.');
  });

  test('a dial’s mark taken as a plain number is pointed out', () => {
    const plain = { fNumber: '250', meteredS: '1', meteredFNumber: '22', iso: '100' };
    expect(exposureCommand(plain).notes.join(' ')).toContain('--mark');
    expect(exposureCommand({ ...plain, mark: true }).notes).toEqual([]);
    expect(exposureCommand({ ...plain, meteredFNumber: '16' }).notes).toEqual([]);
    expect(exposureCommand({ ...plain, meteredFNumber: '17.3' }).notes).toEqual([]);
  });

  test('the list of films, one line each, and as a table for spreadsheets', () => {
    const list = filmsCommand();
    expect((list.json as unknown[]).length).toBe(FILMS.length);
    expect(list.text.split('\n').length).toBe(FILMS.length + 1);
    expect(list.csv?.split('\r\n').filter((line) => line !== '').length).toBe(FILMS.length + 1);
    expect(list.text).toContain('second-hand');
  });
});

describe('calls that are wrong', () => {
  const base = { fNumber: '250', ev: '12', iso: '100' };
  const cases: [string, ExposureOptions, RegExp][] = [
    ['no hole', { ev: '12', iso: '100' }, /Say which hole/],
    ['a diameter alone', { diameterUm: '430', ev: '12', iso: '100' }, /Say which hole/],
    ['two holes', { ...base, diameterUm: '430', focalMm: '106' }, /Give either --f-number/],
    ['no light', { fNumber: '250', iso: '100' }, /Say what light there is/],
    ['two lights', { ...base, scene: 'overcast' }, /given 2 times/],
    ['a reading without its stop', { fNumber: '250', meteredS: '1', iso: '100' }, /--metered-f-number N/],
    ['no speed', { fNumber: '250', ev: '12' }, /Neither a film nor a speed/],
    ['an unknown film', { fNumber: '250', ev: '12', film: 'HP5' }, /nearest names are: “HP5 Plus”/],
    ['letters for a number', { ...base, ev: 'bright' }, /--ev “bright” is not a number/],
    ['a hexadecimal', { ...base, iso: '0x64' }, /--iso “0x64” is not a number/],
    ['thousands or decimals', { ...base, iso: '1,600' }, /could mean 1\.600 or 1600/],
    ['nothing for a number', { ...base, filterFactor: '' }, /is not a number/],
    ['a time of three parts', { fNumber: '250', meteredS: '1/2/3', meteredFNumber: '16', iso: '100' }, /is not a time/],
    ['a time over nothing', { fNumber: '250', meteredS: '1/0', meteredFNumber: '16', iso: '100' }, /metered time/],
    [
      'a light from above',
      { fNumber: '250', scene: 'bright-sun', lighting: 'above', iso: '100' },
      /Give front, side or back/,
    ],
    ['EV 60', { ...base, ev: '60' }, /must lie between/],
    ['a filter that brings light', { ...base, filterFactor: '0.5' }, /only take light away/],
  ];
  test.each(cases)('%s', (_, options, message) => {
    expect(() => exposureCommand(options)).toThrow(InputError);
    expect(() => exposureCommand(options)).toThrow(message);
  });
});
