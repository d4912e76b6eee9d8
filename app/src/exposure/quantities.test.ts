import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parseTimeS } from '#core';
import {
  evQuantity, exposureTimeQuantity, fNumberQuantity, filterQuantity, reactionQuantity, speedQuantity,
  stopsQuantity, timeText,
} from './quantities.ts';

describe('times', () => {
  it.each([
    ['1/60', 1 / 60],
    ['1/60 s', 1 / 60],
    ['0,5', 0.5],
    ['2 s', 2],
    ['2″', 2],
    ['90', 90],
    ['1 min 30 s', 90],
    ['1:30', 90],
    ['1:02:30', 3750],
    ['2m', 120],
    ['1.5 h', 5400],
    ['2 days', 172_800],
  ])('%s', (text, seconds) => {
    expect(parseTimeS(text)).toBeCloseTo(seconds, 9);
  });

  it.each(['', 'soon', '1:75:00:00', '5 fortnights', '1/0'])('refuses “%s”', (text) => {
    expect(() => exposureTimeQuantity.parse(text, 'Time')).toThrow(/not understood/);
  });

  it('written by the arrows read back to within a per cent', () => {
    fc.assert(
      fc.property(fc.double({ min: 1e-4, max: 1e6, noNaN: true }), fc.integer({ min: -6, max: 6 }), (timeS, steps) => {
        const { value, typed } = exposureTimeQuantity.stepped(timeS, '', steps);
        expect(Math.abs((parseTimeS(typed) ?? NaN) / value - 1)).toBeLessThan(0.021);
      }),
    );
    expect(timeText(60)).toBe('60 s');
    expect(timeText(3600)).toBe('60 min');
  });
});

describe('filters', () => {
  it.each([
    ['8', 8],
    ['×8', 8],
    ['8x', 8],
    ['nd8', 8],
    ['3 stops', 8],
    ['1/3 stop', 2 ** (1 / 3)],
    ['ND 0.9', 10 ** 0.9],
  ])('%s', (text, factor) => {
    expect(filterQuantity.parse(text, 'Filter')).toBeCloseTo(factor, 9);
  });

  it('cannot bring light', () => {
    expect(() => filterQuantity.parse('0.5', 'Filter')).toThrow(/only take light away/);
    expect(() => filterQuantity.parse('yellow', 'Filter')).toThrow(/not understood/);
  });

  it('show the other way of writing them', () => {
    expect(filterQuantity.other(8, '×8')).toBe('3 stops');
    expect(filterQuantity.other(8, '3 stops')).toBe('×8');
    expect(filterQuantity.stepped(8, '3 stops', 1).typed).toBe('3.33 stops');
  });
});

describe('the rest', () => {
  it('reads as it is noted', () => {
    expect(fNumberQuantity.parse('f/22', 'f')).toBe(22);
    expect(fNumberQuantity.parse('F 5,6', 'f')).toBe(5.6);
    expect(speedQuantity.parse('ISO 400', 'ISO')).toBe(400);
    expect(evQuantity.parse('EV −2.3', 'EV')).toBe(-2.3);
    expect(evQuantity.parse('12', 'EV')).toBe(12);
    expect(reactionQuantity.parse('0', 'Hand')).toBe(0);
    expect(stopsQuantity.parse('0.5 stops', 'Falloff')).toBe(0.5);
    for (const quantity of [fNumberQuantity, speedQuantity]) {
      expect(() => quantity.parse('0', 'it')).toThrow(/not understood/);
    }
  });

  it('steps by thirds of a stop', () => {
    expect(evQuantity.stepped(12, '12', 1)).toEqual({ value: 12.333, typed: '12.3' });
    expect(speedQuantity.stepped(100, '100', 3).value).toBeCloseTo(200, 3);
    expect(fNumberQuantity.stepped(16, 'f/16', 6).value).toBeCloseTo(32, 3);
  });
});
