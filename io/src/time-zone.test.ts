import { describe, expect, test } from 'vitest';
import { timeZone } from './time-zone.ts';

/** Rules of the European Union (directive 2000/84/EC): clocks change at 01:00 UTC on the last Sundays of March and October. */
describe('clock time of a zone', () => {
  const zurich = timeZone('Europe/Zurich');

  test.each([
    ['2026-03-29', '01:59', '2026-03-29T01:59:00+01:00', Date.UTC(2026, 2, 29, 0, 59)],
    ['2026-03-29', '03:00', '2026-03-29T03:00:00+02:00', Date.UTC(2026, 2, 29, 1, 0)],
    ['2026-10-25', '02:30', '2026-10-25T02:30:00+02:00', Date.UTC(2026, 9, 25, 0, 30)],
    ['2026-10-25', '03:00', '2026-10-25T03:00:00+01:00', Date.UTC(2026, 9, 25, 2, 0)],
  ])('%s %s is %s', (date, time, iso, ms) => {
    expect(zurich.instantS(date, time)).toBe(ms / 1000);
    expect(zurich.iso(ms / 1000)).toBe(iso);
    expect(zurich.clock(ms / 1000)).toBe(time);
  });

  test('an hour that is skipped comes after the change; a fixed offset and odd offsets', () => {
    expect(zurich.iso(zurich.instantS('2026-03-29', '02:30'))).toBe('2026-03-29T03:30:00+02:00');
    expect(timeZone('-03:30').iso(0)).toBe('1969-12-31T20:30:00-03:30');
    expect(timeZone('Asia/Kathmandu').offsetS(1.8e9)).toBe(20_700);
    expect(timeZone('Z').clock(45_296, true)).toBe('12:34:56');
  });

  test('what is no zone, date or time is refused', () => {
    expect(() => timeZone('Europe/Zuerich')).toThrow(/no time zone/);
    expect(() => zurich.instantS('2026-02-30', '12:00')).toThrow(/not a date/);
    expect(() => zurich.instantS('2026-02-20', '12:75')).toThrow(/not a date/);
  });
});
