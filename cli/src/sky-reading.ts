/** What a call says of place, zone and time, as makers write them. */
import { InputError, degreesToRad } from '#core';
import type { Place } from '#core/sun';
import { nodeClock, timeZone } from '#io/node';
import type { TimeZone } from '#io/node';

export interface SkyOptions {
  /** `47.37,8.54`, `47.37N 8.54E`, `47°22'N, 8°32'E`: latitude first. */
  readonly place?: string;
  readonly zone?: string;
  /** `2026-10-31`; today when left out. */
  readonly date?: string;
}

const NUMBER = /[+\-−]?\d+(?:\.\d+)?/g;

/** One coordinate: signed degrees, or degrees, minutes, seconds with a letter. */
function coordinate(text: string, letters: readonly [string, string]): number | null {
  const letter = /[NSEWOnsewo]/.exec(text)?.[0]?.toUpperCase();
  const parts = (text.match(NUMBER) ?? []).map((part) => Number(part.replace('−', '-')));
  const [degrees, minutes = 0, seconds = 0] = parts;
  if (degrees === undefined || parts.length > 3 || minutes < 0 || minutes >= 60 || seconds < 0 || seconds >= 60) return null;
  if (letter !== undefined && !letters.includes(letter)) return null;
  if (letter !== undefined && degrees < 0) return null;
  const size = Math.abs(degrees) + minutes / 60 + seconds / 3600;
  return (degrees < 0 || Object.is(degrees, -0) || letter === letters[1] ? -size : size);
}

/** @throws InputError not-understood, out-of-range */
export function readPlace(text: string, path = '--place'): Place {
  const clean = text.trim();
  const halves = /[,;]/.test(clean) ? clean.split(/[,;]/) : clean.split(/(?<=[NSns])\s*|\s+(?=[+\-−]?\d+(?:\.\d+)?$)/);
  const latitude = coordinate(halves[0] ?? '', ['N', 'S']);
  const longitude = coordinate(halves[1] ?? '', ['E', 'W']);
  if (halves.length !== 2 || latitude === null || longitude === null) {
    throw new InputError(
      'not-understood',
      `${path} “${text}” is not a place. Give latitude and longitude in degrees, north and east positive, like 47.37,8.54 or 47.37N 8.54E.`,
      { path, got: text, expected: 'latitude,longitude' },
    );
  }
  if (Math.abs(latitude) > 90 || Math.abs(longitude) > 180) {
    throw new InputError('out-of-range', `${path} “${text}”: latitudes end at 90°, longitudes at 180°; latitude comes first.`, {
      path, got: text, expected: 'latitude,longitude',
    });
  }
  return { latitudeRad: degreesToRad(latitude), longitudeRad: degreesToRad(longitude) };
}

/** The zone of the call, of the workshop, or this computer's. */
export function zoneOf(options: SkyOptions, fromWorkshop?: string): TimeZone {
  return timeZone(options.zone ?? fromWorkshop ?? nodeClock.zone());
}

/** The date of the call, or today at the place. */
export function dateOf(options: SkyOptions, zone: TimeZone): string {
  if (options.date !== undefined) {
    zone.instantS(options.date, '12:00');
    return options.date;
  }
  return zone.date(Date.parse(nodeClock.now()) / 1000);
}

/**
 * A clock time of that date, or a whole ISO 8601 time with offset.
 * @throws InputError not-understood
 */
export function readTime(text: string, on: { readonly date: string; readonly zone: TimeZone }, path: string): number {
  const iso = /^\d{4}-\d{2}-\d{2}T[\d:.]+(Z|[+-]\d{2}:?\d{2})$/.test(text.trim()) ? Date.parse(text.trim()) : NaN;
  if (Number.isFinite(iso)) return iso / 1000;
  try {
    return on.zone.instantS(on.date, text);
  } catch {
    throw new InputError('not-understood', `${path} “${text}” is not a time. Give it like 17:40, or 2026-10-31T17:40+01:00.`, {
      path, got: text, expected: 'hh:mm',
    });
  }
}

/** Degrees, with or without their sign. */
export function readDegrees(text: string, option: string): number {
  const clean = text.trim().replace(/°$/, '').replace('−', '-').replace(',', '.');
  const value = Number(clean);
  if (clean === '' || !Number.isFinite(value)) {
    throw new InputError('not-understood', `${option} “${text}” is not an angle. Give degrees, like 180 or -3.5.`, {
      path: option, got: text, expected: 'degrees',
    });
  }
  return value;
}
