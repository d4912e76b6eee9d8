/** Clock time at a place: the zone tables of the runtime, the same in browser and Node. */
import { InputError } from '#core';

export interface TimeZone {
  /** IANA name, or the fixed offset as written: `+02:00`. */
  readonly name: string;
  /** How far its clocks are ahead of UTC at an instant (seconds since 1970-01-01T00:00Z). */
  offsetS(instantS: number): number;
  /** ISO 8601 with offset, whole seconds: `2026-10-31T17:40:00+01:00`. */
  iso(instantS: number): string;
  /** What a clock on the wall shows: `19:42`, with seconds when asked. */
  clock(instantS: number, withSeconds?: boolean): string;
  /** `2026-10-31`. */
  date(instantS: number): string;
  /** The instant at which its clocks show this, the earlier one where an hour comes twice; within a skipped hour, after it. */
  instantS(localDate: string, localTime: string): number;
}

const two = (value: number): string => String(value).padStart(2, '0');

function wall(instantS: number, offsetS: number): string {
  return new Date((Math.round(instantS) + offsetS) * 1000).toISOString();
}

function offsetText(offsetS: number): string {
  const minutes = Math.abs(Math.round(offsetS / 60));
  return `${offsetS < 0 ? '-' : '+'}${two(Math.trunc(minutes / 60))}:${two(minutes % 60)}`;
}

/** Wall-clock seconds as if they were UTC; `null` for a date that no calendar has. */
function localSeconds(localDate: string, localTime: string): number | null {
  const date = /^(\d{4})-(\d{1,2})-(\d{1,2})$/.exec(localDate.trim());
  const time = /^(\d{1,2})[:.h](\d{2})(?:[:.](\d{2}))?$/.exec(localTime.trim());
  if (date === null || time === null) return null;
  const [year = 0, month = 0, day = 0] = date.slice(1).map(Number);
  const [hour = 0, minute = 0, second = 0] = time.slice(1).map((part) => Number(part ?? 0));
  if (hour > 24 || minute > 59 || second > 59) return null;
  const dayMs = Date.UTC(year, month - 1, day);
  const made = new Date(dayMs);
  if (made.getUTCMonth() !== month - 1 || made.getUTCDate() !== day) return null;
  return dayMs / 1000 + hour * 3600 + minute * 60 + second;
}

function zoneOf(name: string, offsetS: (instantS: number) => number): TimeZone {
  return {
    name,
    offsetS,
    iso(instantS) {
      const offset = offsetS(instantS);
      return `${wall(instantS, offset).slice(0, 19)}${offsetText(offset)}`;
    },
    clock(instantS, withSeconds = false) {
      const rounded = withSeconds ? instantS : Math.round(instantS / 60) * 60;
      return wall(rounded, offsetS(rounded)).slice(11, withSeconds ? 19 : 16);
    },
    date(instantS) {
      return wall(instantS, offsetS(instantS)).slice(0, 10);
    },
    instantS(localDate, localTime) {
      const local = localSeconds(localDate, localTime);
      if (local === null) {
        throw new InputError(
          'not-understood',
          `“${localDate} ${localTime}” is not a date and a time. Write 2026-10-31 and 17:40.`,
          { path: 'time', got: `${localDate} ${localTime}`, expected: 'YYYY-MM-DD and hh:mm' },
        );
      }
      const fits = [local - offsetS(local - 86_400), local - offsetS(local + 86_400)].filter(
        (instant) => instant + offsetS(instant) === local,
      );
      return fits.length > 0 ? Math.min(...fits) : local - offsetS(local - 86_400);
    },
  };
}

/**
 * A zone by its IANA name (`Europe/Zurich`) or a fixed offset (`+02:00`, `Z`).
 * @throws InputError unknown-name
 */
export function timeZone(name: string): TimeZone {
  const fixed = /^([+\-−])(\d{2}):?(\d{2})$/.exec(name.trim());
  if (fixed !== null || /^(z|utc)$/i.test(name.trim())) {
    const size = fixed === null ? 0 : Number(fixed[2]) * 3600 + Number(fixed[3]) * 60;
    const offset = fixed !== null && fixed[1] !== '+' ? -size : size;
    return zoneOf(fixed === null ? 'UTC' : name.trim(), () => offset);
  }
  try {
    const parts = new Intl.DateTimeFormat('en-GB', {
      timeZone: name.trim(), hourCycle: 'h23', year: 'numeric', month: 'numeric', day: 'numeric', hour: 'numeric',
      minute: 'numeric', second: 'numeric',
    });
    return zoneOf(name.trim(), (instantS) => {
      const whole = Math.floor(instantS);
      const part = new Map<string, number>(
        parts.formatToParts(new Date(whole * 1000)).map(({ type, value }) => [type, Number(value)]),
      );
      const of = (type: string): number => part.get(type) ?? 0;
      return (
        Date.UTC(of('year'), of('month') - 1, of('day'), of('hour'), of('minute'), of('second')) / 1000 - whole
      );
    });
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    throw new InputError(
      'unknown-name',
      `There is no time zone “${name}”. Give one like Europe/Zurich, or an offset like +02:00.`,
      { path: 'zone', got: name, expected: 'an IANA zone or an offset' },
    );
  }
}

/** Seconds since 1970-01-01T00:00Z of an ISO 8601 time with offset. */
export function instantOfIso(iso: string): number {
  return Date.parse(iso) / 1000;
}
