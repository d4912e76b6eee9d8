import { describe, expect, it } from 'vitest';
import { discreteGauss } from '../numeric/discrete-gauss.ts';
import { channelShares, filmLight, filmResponse, likelyResponse, responseFromCsv } from './film-light.ts';
import type { FilmResponseId, LightSourceId } from './film-light.ts';
import { roundOtf } from './round-point-image.ts';
import { meanWavelengthNm } from './seen-light.ts';

describe('what a film sees', () => {
  // computed elsewhere from the same curves in steps of 20 nm; a coarse sum counts the cut end at 360 nm in full, which
  // pulls the bluest by up to 4 nm
  const means: [FilmResponseId, LightSourceId, number][] = [
    ['panchromatic', 'daylight', 505],
    ['panchromatic', 'incandescent', 565],
    ['orthochromatic', 'daylight', 465],
    ['orthochromatic', 'incandescent', 499],
    ['blue-paper', 'daylight', 406],
    ['blue-paper', 'incandescent', 414],
    ['variable-contrast-paper', 'daylight', 432],
    ['variable-contrast-paper', 'incandescent', 458],
    ['green-xray', 'daylight', 461],
    ['green-xray', 'incandescent', 493],
  ];
  it.each(means)('%s in %s: mean %d nm', (response, source, mean) => {
    expect(Math.abs(meanWavelengthNm(filmLight({ source, response: filmResponse(response) })) - mean)).toBeLessThan(4.5);
  });

  it('seven wavelengths stand for the whole curve', () => {
    const question = { source: 'daylight', response: filmResponse('panchromatic') } as const;
    const base = { diameterMm: 0.43, focalLengthMm: 106, objectDistanceMm: Infinity };
    const few = roundOtf({ ...base, light: filmLight(question) }, [1, 2, 4, 6]);
    const many = roundOtf({ ...base, light: filmLight({ ...question, count: 15 }) }, [1, 2, 4, 6]);
    few.forEach((value, i) => expect(Math.abs(value - (many[i] as number))).toBeLessThan(i < 3 ? 1e-6 : 1e-3));
  });

  it('filters push the mean to the red, and blue paper sees nothing through a red one', () => {
    const pan = { source: 'daylight', response: filmResponse('panchromatic') } as const;
    const mean = (filter: 'none' | 'yellow' | 'orange' | 'red'): number => meanWavelengthNm(filmLight({ ...pan, filter }));
    expect(mean('none')).toBeLessThan(mean('yellow'));
    expect(mean('yellow')).toBeLessThan(mean('orange'));
    expect(mean('orange')).toBeLessThan(mean('red'));
    expect(() => filmLight({ source: 'daylight', response: filmResponse('blue-paper'), filter: 'red' })).toThrow(/sees nothing/);
  });

  it('grey shares add to 1; blue paper is blind to red', () => {
    const shares = channelShares({ source: 'daylight', response: filmResponse('blue-paper') });
    expect(shares[0] + shares[1] + shares[2]).toBeCloseTo(1, 12);
    expect(shares[0]).toBe(0);
    expect(shares[2]).toBeGreaterThan(0.99);
  });

  it('reads a maker’s curve and says what is wrong with a bad one', () => {
    const curve = responseFromCsv('nm,relative\n400,0.2\n500,1\n600,0\n', 'my plate');
    expect(curve.points).toHaveLength(3);
    expect(curve.generic).toBe(false);
    expect(() => responseFromCsv('400,1\n390,1\n', 'x')).toThrow(/rise/);
    expect(() => responseFromCsv('400,1\nabc\n', 'x')).toThrow(/line 2/);
    expect(() => responseFromCsv('', 'x')).toThrow(/two wavelengths/);
  });

  it('guesses a response by kind and name', () => {
    expect(likelyResponse({ kind: 'bw-negative', name: 'Ortho 25' }).id).toBe('orthochromatic');
    expect(likelyResponse({ kind: 'bw-negative', name: 'Pan 100' }).id).toBe('panchromatic');
    expect(likelyResponse({ kind: 'paper', name: 'graded' }).id).toBe('blue-paper');
    expect(likelyResponse({ kind: 'x-ray', name: 'x-ray film, blue- or green-sensitive' }).id).toBe('green-xray');
  });
});

describe('few points for many', () => {
  it('sums polynomials of degree 2n - 1 exactly', () => {
    const points = Array.from({ length: 50 }, (_, i) => ({ at: 400 + 6 * i, weight: 1 + Math.sin(i) }));
    const few = discreteGauss(points, 4);
    const total = points.reduce((sum, { weight }) => sum + weight, 0);
    for (let degree = 0; degree <= 7; degree++) {
      const of = (list: readonly { at: number; weight: number }[]): number =>
        list.reduce((sum, { at, weight }) => sum + weight * ((at - 550) / 150) ** degree, 0);
      expect(of(few)).toBeCloseTo(of(points) / total, 12);
    }
  });
});
