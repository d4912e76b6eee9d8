import { afterEach, describe, expect, test } from 'vitest';
import { memoryClock } from '../memory/clock.ts';
import { isoWithOffset, systemClock } from '../system-clock.ts';
import { clockContract } from './clock.contract.ts';

describe('system (browser and Node)', () => {
  clockContract(() => systemClock);
  test('it is now', () => {
    expect(Math.abs(Date.parse(systemClock.now()) - Date.now())).toBeLessThan(5000);
  });
});

describe('memory', () => clockContract(() => memoryClock('2026-06-21T12:00:00.000+02:00', 'Europe/Berlin')));

describe('the offset is that of the moment', () => {
  const zone = process.env['TZ'];
  afterEach(() => {
    if (zone === undefined) delete process.env['TZ'];
    else process.env['TZ'] = zone;
  });
  // Offsets of the IANA zones, by definition
  test.each([
    ['Europe/Berlin', '2026-01-10T12:00:00.000Z', '2026-01-10T13:00:00.000+01:00'],
    ['Europe/Berlin', '2026-07-10T12:00:00.000Z', '2026-07-10T14:00:00.000+02:00'],
    ['Asia/Kolkata', '2026-07-10T12:00:00.000Z', '2026-07-10T17:30:00.000+05:30'],
    ['America/St_Johns', '2026-01-10T02:00:00.000Z', '2026-01-09T22:30:00.000-03:30'],
    ['UTC', '2026-01-10T02:00:00.000Z', '2026-01-10T02:00:00.000+00:00'],
  ])('%s', (name, moment, expected) => {
    process.env['TZ'] = name;
    expect(isoWithOffset(new Date(moment))).toBe(expected);
  });
});
