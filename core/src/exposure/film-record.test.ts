import { describe, expect, test } from 'vitest';
import { InputError } from '../errors.ts';
import { filmFrom } from './film-record.ts';
import { correctedTimeS } from './reciprocity.ts';

const row = (meteredS: number, correctedS: number): object => ({ meteredS, correctedS });

describe('a maker’s own film', () => {
  test('a name is enough: no speed, no law, no source', () => {
    expect(filmFrom({ name: 'Barn find No. 3' })).toMatchObject({
      id: 'barn-find-no-3',
      kind: 'unspecified',
      iso: null,
      law: { model: 'none' },
      evidence: 'none',
      source: 'own figures',
      alternates: [],
    });
  });

  test('rows alone begin at 1 s, by common practice', () => {
    const film = filmFrom({ name: 'own', law: { model: 'table', rows: [row(4, 6), row(30, 90)] } });
    expect(film.noCorrectionUpToS).toBe(1);
    expect(correctedTimeS(film, 1)).toBe(1);
    expect(correctedTimeS(film, 4)).toBe(6);
    expect(correctedTimeS(film, 2)).toBeGreaterThan(2);
    expect(correctedTimeS(film, 2)).toBeLessThan(3);
  });

  test('a power law that begins elsewhere begins there without a step', () => {
    const film = filmFrom({ name: 'late', law: { model: 'power', exponent: 1.3, validFromS: 10 } });
    expect(film.noCorrectionUpToS).toBe(10);
    expect(correctedTimeS(film, 10)).toBe(10);
    expect(correctedTimeS(film, 100)).toBeCloseTo(100 * 10 ** 0.3, 9);
  });
});

describe('refused, with the field and the remedy', () => {
  const table = (rows: readonly object[], more: object = {}): object => ({
    name: 'own',
    noCorrectionUpToS: 1,
    law: { model: 'table', rows },
    ...more,
  });
  const cases: [string, unknown, RegExp][] = [
    ['no record', null, /film must be a record/],
    ['a list', [], /film must be a record/],
    ['no name', {}, /film\.name must be a text/],
    ['an unknown kind', { name: 'x', kind: 'jelly' }, /film\.kind must be one of/],
    ['a speed of 0', { name: 'x', iso: 0 }, /film\.iso must be a speed/],
    ['evidence made up', { name: 'x', evidence: 'sure' }, /film\.evidence must be one of/],
    ['a law unheard of', { name: 'x', law: { model: 'guess' } }, /film\.law\.model must be one of/],
    ['no rows', table([]), /at least one row/],
    ['a row shorter than metered', table([row(10, 9)]), /No film needs less time/],
    ['rows out of order', table([row(10, 20), row(5, 8)]), /Order the rows/],
    ['a row twice', table([row(10, 20), row(10, 30)]), /Order the rows/],
    ['a correction that falls', table([row(10, 40), row(100, 200)]), /slip in the rows/],
    ['a row without a figure', table([{ meteredS: 10 }]), /correctedS or correctionStops/],
    ['a first row below the limit', table([row(0.5, 0.6)]), /below the limit of no correction/],
    [
      'rows from 0.5 s without a limit',
      { name: 'x', law: { model: 'table', rows: [row(0.5, 0.6)] } },
      /Say up to which/,
    ],
    ['seconds as text', table([{ meteredS: '10', correctedS: 20 }]), /meteredS must be a time in seconds/],
    ['seconds not finite', table([row(Infinity, 20)]), /meteredS must be a time in seconds/],
    [
      'a power that shortens',
      { name: 'x', law: { model: 'power', exponent: 0.9 } },
      /exponent must be an exponent, 1…3/,
    ],
    [
      'a power and another limit',
      { name: 'x', noCorrectionUpToS: 2, law: { model: 'power', exponent: 1.2 } },
      /where the power law begins/,
    ],
    ['p above 1', { name: 'x', law: { model: 'covington', p: 1.1 } }, /Schwarzschild exponent p/],
    [
      'a smooth law with a limit',
      { name: 'x', noCorrectionUpToS: 1, law: { model: 'covington', p: 0.9 } },
      /runs smoothly from 0 s/,
    ],
    [
      'a negative coefficient',
      { name: 'x', law: { model: 'modified-schwarzschild', coefficient: -1, exponent: 1.6 } },
      /coefficient/,
    ],
    ['an index range the wrong way', { name: 'x', exposureIndexRange: [6, 3] }, /two speeds, lowest first/],
    [
      'an alternate without a source',
      { name: 'x', alternates: [{ name: 'y', evidence: 'memory' }] },
      /alternates\[0\]\.source/,
    ],
  ];
  test.each(cases)('%s', (_, record, message) => {
    expect(() => filmFrom(record)).toThrow(InputError);
    expect(() => filmFrom(record)).toThrow(message);
  });
});
