/** An alarm for a calendar, so that a closing time is told by a phone whose page sleeps (RFC 5545). */
import { InputError } from '#core';

export interface CalendarAlarm {
  /** Unique for good: `0193…@camerawright`. */
  readonly uid: string;
  /** ISO 8601 with offset. */
  readonly at: string;
  readonly title: string;
  readonly description: string;
  /** Length of the entry. Left out: 1 minute. */
  readonly lengthMinutes?: number;
  /** Rings so many minutes before as well. Left out: only at the time. */
  readonly warningMinutes?: number;
}

/** Year, month, day, hour, minute in UTC: what the library takes, and no calendar reads wrongly. */
function utcParts(at: string): [number, number, number, number, number] {
  const date = new Date(at);
  if (Number.isNaN(date.getTime())) {
    throw new InputError('not-understood', `“${at}” is not a time. Write it as 2026-06-21T14:05:00+02:00.`, { path: 'at', got: at });
  }
  // an alarm may be early, never late: seconds are cut
  return [date.getUTCFullYear(), date.getUTCMonth() + 1, date.getUTCDate(), date.getUTCHours(), date.getUTCMinutes()];
}

/**
 * A calendar file with one entry for each alarm. The library is loaded only when one is asked for.
 * @param stampedAt when it was made, ISO 8601
 * @throws InputError not-understood
 */
export async function calendarFile(alarms: readonly CalendarAlarm[], stampedAt: string): Promise<string> {
  const { createEvents } = await import('ics');
  const { error, value } = createEvents(
    alarms.map((alarm) => ({
      uid: alarm.uid,
      productId: 'camerawright',
      timestamp: utcParts(stampedAt),
      start: utcParts(alarm.at),
      startInputType: 'utc',
      startOutputType: 'utc',
      duration: { minutes: alarm.lengthMinutes ?? 1 },
      title: alarm.title,
      description: alarm.description,
      busyStatus: 'FREE',
      alarms: [0, ...(alarm.warningMinutes === undefined ? [] : [alarm.warningMinutes])].map((minutes) => ({
        action: 'display',
        description: alarm.title,
        trigger: { before: true, minutes },
      })),
    })),
  );
  if (typeof value !== 'string') {
    throw new InputError('not-understood', `The calendar entry could not be written: ${error?.message ?? 'no reason given'}.`, { path: 'alarm' });
  }
  // the library writes a duration of nothing without its zero, which the grammar (3.3.6) forbids
  return value.replaceAll(/TRIGGER:(-?)PT(?=\r\n)/g, 'TRIGGER:$1PT0S');
}
