/** Reminders as a calendar file that any calendar takes: opening, closing, and an alarm before each. */
import { createEvents } from 'ics';
import { InputError } from '../errors.ts';

export interface Reminder {
  /** Lasting and unique, so that a file taken in again moves the entry instead of doubling it. */
  readonly uid: string;
  /** Seconds since 1970-01-01T00:00Z. */
  readonly startS: number;
  /** > 0; left out: five minutes. */
  readonly durationS?: number;
  readonly title: string;
  readonly description: string;
  readonly location?: string;
  /** Alarms so many seconds before the start; 0 at the start itself. */
  readonly alarmsBeforeS: readonly number[];
}

/** Long enough to be seen in a day's view. */
const SHOWN_S = 300;
const MINUTE_S = 60;
const LINE_OCTETS = 75;

/** [year, month, day, hour, minute] in UTC. Seconds are cut: an alarm may be early, never late. */
function minuteOf(instantS: number): [number, number, number, number, number] {
  const date = new Date(Math.floor(instantS / MINUTE_S) * MINUTE_S * 1000);
  if (Number.isNaN(date.getTime())) {
    throw new InputError('not-understood', `“${instantS}” is not a time: give the seconds since 1970.`, { path: 'startS', got: instantS });
  }
  return [
    date.getUTCFullYear(), date.getUTCMonth() + 1, date.getUTCDate(), date.getUTCHours(), date.getUTCMinutes(),
  ];
}

function octets(character: string): number {
  const code = character.codePointAt(0) ?? 0;
  return code < 0x80 ? 1 : code < 0x800 ? 2 : code < 0x10000 ? 3 : 4;
}

/** The library leaves the words of an alarm as they are; commas and semicolons are signs there too. @source rfc5545 3.3.11 */
function escapedAlarms(lines: readonly string[]): string[] {
  let alarm = false;
  return lines.map((line) => {
    if (line === 'BEGIN:VALARM') alarm = true;
    if (line === 'END:VALARM') alarm = false;
    return alarm && line.startsWith('DESCRIPTION:') ? line.replaceAll(/(?<!\\)([,;])/g, '\\$1') : line;
  });
}

/** The library folds by characters; the standard counts octets and wants no letter cut in two. @source rfc5545 3.1 */
function foldedByOctets(lines: readonly string[]): string {
  return lines.map((line) => {
    let folded = '';
    let used = 0;
    for (const character of line) {
      const size = octets(character);
      if (used + size > LINE_OCTETS) {
        folded += '\r\n ';
        used = 1;
      }
      folded += character;
      used += size;
    }
    return folded;
  }).join('\r\n');
}

/**
 * An iCalendar file (RFC 5545), times in UTC, so that it is right whatever zone the calendar shows.
 * @param reminders at least one
 * @param writtenAtS seconds since 1970-01-01T00:00Z: when the file was made
 * @throws InputError missing, not-understood, out-of-range
 * @source rfc5545
 */
export function calendarFile(reminders: readonly Reminder[], writtenAtS: number): string {
  if (reminders.length === 0) {
    throw new InputError('missing', 'There is nothing to be reminded of: give the time to open or to close.', {
      path: 'reminders',
    });
  }
  // identity and date are ours: the library's own would take them from chance and clock
  const { error, value } = createEvents(
    reminders.map((reminder) => ({
      uid: reminder.uid,
      timestamp: Math.round(writtenAtS) * 1000,
      start: minuteOf(reminder.startS),
      startInputType: 'utc',
      startOutputType: 'utc',
      duration: { minutes: Math.max(1, Math.round((reminder.durationS ?? SHOWN_S) / MINUTE_S)) },
      title: reminder.title,
      description: reminder.description,
      ...(reminder.location === undefined ? {} : { location: reminder.location }),
      busyStatus: 'FREE',
      transp: 'TRANSPARENT',
      alarms: reminder.alarmsBeforeS.map((beforeS) => ({
        action: 'display' as const,
        description: reminder.title,
        trigger: { minutes: Math.round(beforeS / MINUTE_S), before: true },
      })),
    })),
    { productId: '-//Camerawright//EN', method: 'PUBLISH', calName: 'Camerawright' },
  );
  if (typeof value !== 'string' || error) {
    throw new InputError('out-of-range', `The calendar file could not be written: ${error?.message ?? 'no text'}.`, {
      path: 'reminders',
    });
  }
  // the library writes a duration of nothing without its zero, which the grammar forbids (3.3.6)
  const whole = value.replaceAll(/\r\n[ \t]/g, '').replaceAll(/TRIGGER:(-?)PT(?=\r\n)/g, 'TRIGGER:$1PT0S');
  return foldedByOctets(escapedAlarms(whole.split('\r\n')));
}
