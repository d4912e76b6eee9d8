import type { Clock } from './ports.ts';

/** The computer's clock and zone: the same in browser and Node. */
export const systemClock: Clock = {
  now: () => isoWithOffset(new Date()),
  zone: () => Intl.DateTimeFormat().resolvedOptions().timeZone || 'UTC',
};

/** ISO 8601 in local time with the offset of that very moment, as in `2026-03-29T14:05:09.120+02:00`. */
export function isoWithOffset(date: Date): string {
  const offsetMinutes = -date.getTimezoneOffset();
  const local = new Date(date.getTime() + offsetMinutes * 60_000).toISOString().slice(0, -1);
  const size = Math.abs(offsetMinutes);
  const two = (value: number): string => String(Math.trunc(value)).padStart(2, '0');
  return `${local}${offsetMinutes < 0 ? '-' : '+'}${two(size / 60)}:${two(size % 60)}`;
}
