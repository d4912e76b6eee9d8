import { describe, expect, test } from 'vitest';
import { calendarFile } from './calendar.ts';

const opening = {
  uid: 'open-018f@camerawright',
  startS: Date.UTC(2026, 11, 21, 8, 0) / 1000,
  title: 'Open the can on the roof; pencil, tape',
  description: 'Aim at 180°, tilt 0°.\nNever look at the sun through the hole.',
  location: 'Roof, north end',
  alarmsBeforeS: [86_400, 0],
};

/** Lines as RFC 5545 3.1 folds them: a line break and one blank belong to neither. */
function lines(text: string): string[] {
  return text.replaceAll('\r\n ', '').replaceAll('\r\n\t', '').split('\r\n');
}

describe('a calendar file (RFC 5545)', () => {
  const text = calendarFile([opening], Date.UTC(2026, 10, 25) / 1000);

  test('holds start in UTC, identity, alarms, and nothing from clock or chance', () => {
    expect(lines(text)).toEqual(expect.arrayContaining([
      'BEGIN:VCALENDAR', 'VERSION:2.0', 'PRODID:-//Camerawright//EN', 'UID:open-018f@camerawright',
      'DTSTART:20261221T080000Z', 'DTSTAMP:20261125T000000Z', 'TRIGGER:-PT1440M', 'END:VCALENDAR',
    ]));
    expect(lines(text).filter((line) => line === 'BEGIN:VALARM')).toHaveLength(2);
    expect(calendarFile([opening], Date.UTC(2026, 10, 25) / 1000)).toBe(text);
  });

  test('every line ends in CR LF and is at most 75 octets long (3.1); text is escaped (3.3.11)', () => {
    for (const line of text.split('\r\n')) expect(new TextEncoder().encode(line).length).toBeLessThanOrEqual(75);
    expect(text.replaceAll('\r\n', '')).not.toMatch(/[\r\n]/);
    expect(lines(text)).toContain('SUMMARY:Open the can on the roof\\; pencil\\, tape');
    expect(lines(text)).toContain('DESCRIPTION:Open the can on the roof\\; pencil\\, tape');
    expect(lines(text)).toContain('LOCATION:Roof\\, north end');
    expect(lines(text).find((line) => line.startsWith('DESCRIPTION:Aim'))).toContain('tilt 0°.\\nNever');
  });

  test('nothing to be reminded of is refused', () => {
    expect(() => calendarFile([], 0)).toThrow(/nothing to be reminded of/);
  });
});

describe('an alarm at a closing time', () => {
  const writtenAtS = Date.parse('2026-06-21T16:00:00Z') / 1000;
  const alarm = {
    uid: '0193a000-0000-7000-8000-000000000001@camerawright',
    startS: Date.parse('2026-06-21T19:42:50+02:00') / 1000,
    durationS: 60,
    title: 'Close the shutter: tin, side A; “north”',
    description: `Open since 19:00.\n${'A long line of words that has to be folded. '.repeat(5)}`,
    alarmsBeforeS: [0],
  };

  test('has the parts that 3.4, 3.6, 3.6.1 and 3.6.6 require, in UTC, never late', () => {
    const all = lines(calendarFile([alarm], writtenAtS)).filter((line) => line !== '');
    expect(all[0]).toBe('BEGIN:VCALENDAR');
    expect(all.at(-1)).toBe('END:VCALENDAR');
    expect(all).toContain('VERSION:2.0');
    expect(all.some((line) => line.startsWith('PRODID:'))).toBe(true);
    expect(all).toContain(`UID:${alarm.uid}`);
    expect(all.some((line) => line.startsWith('DTSTAMP:20260621T1600'))).toBe(true);
    expect(all).toContain('DTSTART:20260621T174200Z');
    expect(all).toContain('DURATION:PT1M');
    const inside = all.slice(all.indexOf('BEGIN:VALARM'), all.indexOf('END:VALARM'));
    expect(inside).toContain('ACTION:DISPLAY');
    // dur-value of 3.3.6: digits before each letter
    expect(inside.some((line) => /^TRIGGER:[+-]?PT(\d+H)?(\d+M)?(\d+S)?$/.test(line) && /\d/.test(line))).toBe(true);
    expect(inside.some((line) => line.startsWith('DESCRIPTION:'))).toBe(true);
  });

  test('escapes what 3.3.11 asks for and folds at 75 octets (3.1)', () => {
    const text = calendarFile([alarm], writtenAtS);
    for (const line of text.split('\r\n')) expect(new TextEncoder().encode(line).length).toBeLessThanOrEqual(75);
    expect(text).not.toMatch(/[^\r]\n/);
    const summary = lines(text).find((line) => line.startsWith('SUMMARY:'));
    expect(summary).toContain('tin\\, side A\\; ');
    expect(lines(text).find((line) => line.startsWith('DESCRIPTION:Open'))).toContain('19:00.\\nA long');
  });

  test('several alarms, a warning before, and a time that is none', () => {
    const later = { ...alarm, uid: 'b@camerawright', startS: Date.parse('2026-12-31T23:59:00-05:00') / 1000 };
    const all = lines(calendarFile([{ ...alarm, alarmsBeforeS: [0, 300] }, later], writtenAtS));
    expect(all.filter((line) => line === 'BEGIN:VEVENT').length).toBe(2);
    expect(all.filter((line) => line === 'BEGIN:VALARM').length).toBe(3);
    expect(all).toContain('DTSTART:20270101T045900Z');
    expect(all.some((line) => /^TRIGGER:-PT5M/.test(line))).toBe(true);
    expect(() => calendarFile([{ ...alarm, startS: Date.parse('at dusk') / 1000 }], writtenAtS)).toThrow(/is not a time/);
  });
});
