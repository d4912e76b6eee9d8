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
