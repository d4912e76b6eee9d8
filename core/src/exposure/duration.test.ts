import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { formatRange, formatTime, roundedTimeS } from './duration.ts';

describe('times in words', () => {
  test.each([
    [1 / 60, '1/60 s'],
    [0.25, '1/4 s'],
    [0.4, '0.4 s'],
    [1.26, '1.3 s'],
    [2, '2 s'],
    [42, '42 s'],
    [99.4, '99 s'],
    [99.6, '1 min 40 s'],
    [64, '64 s'],
    [390, '6 min 30 s'],
    [3599.7, '1 h'],
    [9600, '2 h 40 min'],
    [86_399, '1 day'],
    [90_000, '1 day 1 h'],
    [273_600, '3 days 4 h'],
    [15_552_000, '180 days'],
    [3.2e9, '101 years'],
    [1e15, 'more than 10 000 years'],
    [1e-5, '1/100000 s'],
  ])('%s s is %s', (timeS, words) => {
    expect(formatTime(timeS)).toBe(words);
  });

  test('rounded no further than asked, and never to nothing', () => {
    fc.assert(
      fc.property(fc.double({ min: -12, max: 30, noNaN: true }), fc.constantFrom(0.05, 0.2), (stops, share) => {
        const timeS = 2 ** stops;
        const rounded = roundedTimeS(timeS, share);
        expect(rounded).toBeGreaterThan(0);
        // short times go by the marks of a shutter, 0.1 s by the second hand: coarser than the share
        const allowed = timeS < 2 ? 0.25 : share / 2 + 1e-9;
        expect(Math.abs(rounded / timeS - 1)).toBeLessThanOrEqual(allowed);
      }),
    );
  });

  test('a range reads round and never crosses the time between', () => {
    expect(formatRange({ loS: 28.7, timeS: 41.6, hiS: 60.8 })).toEqual({ lo: '30 s', time: '42 s', hi: '60 s' });
    expect(formatRange({ loS: 40.9, timeS: 42, hiS: 43 })).toEqual({ lo: '40 s', time: '42 s', hi: '45 s' });
    expect(formatRange({ loS: 28.6, timeS: 29, hiS: 29.4 })).toEqual({ lo: '29 s', time: '29 s', hi: '30 s' });
  });
});
