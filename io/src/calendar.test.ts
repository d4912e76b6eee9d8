import { describe, expect, it } from 'vitest';
import { calendarFile } from './calendar.ts';

const alarm = {
  uid: '0193a000-0000-7000-8000-000000000001@camerawright',
  at: '2026-06-21T19:42:50+02:00',
  title: 'Close the shutter: tin, side A; “north”',
  description: `Open since 19:00.\n${'A long line of words that has to be folded. '.repeat(5)}`,
};

/** RFC 5545 3.1: folded lines joined, then one property a line. */
function unfolded(text: string): string[] {
  return text.replace(/\r\n[ \t]/g, '').split('\r\n').filter((line) => line !== '');
}

describe('a calendar alarm (RFC 5545)', () => {
  it('has the parts that 3.4, 3.6, 3.6.1 and 3.6.6 require, in UTC, never late', async () => {
    const lines = unfolded(await calendarFile([alarm], '2026-06-21T16:00:00Z'));
    expect(lines[0]).toBe('BEGIN:VCALENDAR');
    expect(lines.at(-1)).toBe('END:VCALENDAR');
    expect(lines).toContain('VERSION:2.0');
    expect(lines.some((line) => line.startsWith('PRODID:'))).toBe(true);
    expect(lines).toContain(`UID:${alarm.uid}`);
    expect(lines.some((line) => line.startsWith('DTSTAMP:20260621T1600'))).toBe(true);
    expect(lines).toContain('DTSTART:20260621T174200Z');
    expect(lines).toContain('DURATION:PT1M');
    const inside = lines.slice(lines.indexOf('BEGIN:VALARM'), lines.indexOf('END:VALARM'));
    expect(inside).toContain('ACTION:DISPLAY');
    // dur-value of 3.3.6: digits before each letter
    expect(inside.some((line) => /^TRIGGER:[+-]?PT(\d+H)?(\d+M)?(\d+S)?$/.test(line) && /\d/.test(line))).toBe(true);
    expect(inside.some((line) => line.startsWith('DESCRIPTION:'))).toBe(true);
  });

  it('escapes what 3.3.11 asks for and folds at 75 octets (3.1)', async () => {
    const text = await calendarFile([alarm], '2026-06-21T16:00:00Z');
    for (const line of text.split('\r\n')) expect(new TextEncoder().encode(line).length).toBeLessThanOrEqual(75);
    expect(text).not.toMatch(/[^\r]\n/);
    const summary = unfolded(text).find((line) => line.startsWith('SUMMARY:'));
    expect(summary).toContain('tin\\, side A\\; ');
    expect(unfolded(text).find((line) => line.startsWith('DESCRIPTION:Open'))).toContain('19:00.\\nA long');
  });

  it('several alarms, a warning before, and a time that is none', async () => {
    const lines = unfolded(await calendarFile([{ ...alarm, warningMinutes: 5 }, { ...alarm, uid: 'b@camerawright', at: '2026-12-31T23:59:00-05:00' }], '2026-06-21T16:00:00Z'));
    expect(lines.filter((line) => line === 'BEGIN:VEVENT').length).toBe(2);
    expect(lines.filter((line) => line === 'BEGIN:VALARM').length).toBe(3);
    expect(lines).toContain('DTSTART:20270101T045900Z');
    expect(lines.some((line) => /^TRIGGER:-PT5M/.test(line))).toBe(true);
    await expect(calendarFile([{ ...alarm, at: 'at dusk' }], '2026-06-21T16:00:00Z')).rejects.toThrow(/is not a time/);
  });
});
