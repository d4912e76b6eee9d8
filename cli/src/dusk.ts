/** `camerawright exposure dusk`: when to close in a light that changes, or that it will never be enough. */
import { basename, dirname } from 'node:path';
import {
  InputError, UNREAD_SKY_STOPS, changingExposure, endOfLight, evOfReading, findFilm, formatTime, readingsCourse,
  roundedTimeS, signedStops, skyCourse, steadyCourse, unreadSkyCourse,
} from '#core';
import type { ChangingAnswer, Film, LightCourse, LightReading, PassingCloud } from '#core';
import { nodeClock, nodeSaver } from '#io/node';
import type { TimeZone } from '#io/node';
import type { Place } from '#core/sun';
import type { Answer } from './answer.ts';
import { given, holeOf, read, readSeconds } from './exposure-reading.ts';
import type { ExposureOptions } from './exposure-reading.ts';
import { csv, table } from './printing.ts';
import { dateOf, readPlace, readTime, zoneOf } from './sky-reading.ts';
import type { SkyOptions } from './sky-reading.ts';

export interface DuskOptions extends ExposureOptions, SkyOptions {
  /** `17:40 EV 9.3`, or `17:40 1/15 s f/22 ISO 100`. */
  readonly reading?: readonly string[];
  readonly open?: string;
  readonly until?: string;
  readonly cloudShare?: string;
  readonly cloudStops?: string;
  readonly ics?: string;
}

/** What a workshop knows of the place. */
export interface KnownPlace {
  readonly place?: Place | undefined;
  readonly timeZone?: string | undefined;
}

interface On {
  readonly date: string;
  readonly zone: TimeZone;
}

/** How far ahead the sky is looked up. */
const LONGEST_S = 15 * 3600;

function readReading(text: string, on: On, iso: number): LightReading {
  const found = /^\s*(\S+?)\s*[\s=]\s*(.+)$/.exec(text);
  const light = found?.[2]?.trim() ?? '';
  const ev = /^(?:ev\s*)?([+\-−]?\d+(?:[.,]\d+)?)$/i.exec(light);
  const meter = /^([\d./,]+)\s*(?:s|sec)?\s*(?:@|at)?\s*f?\/?\s*(\d+(?:[.,]\d+)?)(?:\s*(?:iso)\s*(\d+(?:[.,]\d+)?))?$/i.exec(light);
  if (found === null || (ev === null && meter === null)) {
    throw new InputError(
      'not-understood',
      `--reading “${text}” is not a reading. Give a time and a light, like "17:40 EV 9.3" or "17:40 1/15 f/22 ISO 100".`,
      { path: '--reading', got: text, expected: 'time and light' },
    );
  }
  const instantS = readTime(found[1] ?? '', on, '--reading');
  if (ev !== null) return { instantS, ev100Ev: read(ev[1], '--reading') as number };
  const [, time = '', fNumber = '', speed] = meter as RegExpExecArray;
  return {
    instantS,
    ev100Ev: evOfReading({
      meteredS: readSeconds(time, '--reading'),
      fNumber: read(fNumber, '--reading') as number,
      iso: speed === undefined ? iso : (read(speed, '--reading') as number),
    }),
  };
}

function cloudOf(options: DuskOptions): PassingCloud | undefined {
  const timeShare = read(options.cloudShare, '--cloud-share');
  if (timeShare === undefined && options.cloudStops === undefined) return undefined;
  return { timeShare: timeShare ?? 0.5, stops: read(options.cloudStops, '--cloud-stops') ?? 2 };
}

function textOf(answer: ChangingAnswer, zone: TimeZone): string {
  const clock = (instantS: number | null): string => (instantS === null ? 'never' : zone.clock(instantS, true));
  const rows = [
    ...answer.marks.map(({ stops, closeAtS }) => ({ stops, closeAtS })),
    { stops: 0, closeAtS: answer.closeAtS },
  ].sort((a, b) => a.stops - b.stops);
  const words = (stops: number): string => (stops === 0 ? 'right' : signedStops(stops));
  const halves = answer.halvingS === null
    ? 'The light is steady.'
    : answer.rising
      ? `The light doubles in ${formatTime(roundedTimeS(answer.halvingS))}.`
      : `The light halves in ${formatTime(roundedTimeS(answer.halvingS))}; what is left of it until ${zone.clock(answer.untilS)} is worth ${formatTime(roundedTimeS(answer.presentLightLeftS))} of the light at opening.`;
  return [
    answer.sentence,
    '',
    table(['exposure', 'close at'], rows.map(({ stops, closeAtS }) => [words(stops), clock(closeAtS)])),
    '',
    halves,
    `If it stayed as at opening: ${formatTime(roundedTimeS(answer.steady.correctedS))}. Left open until ${zone.clock(answer.untilS)}: ${signedStops(answer.atEndStops)}.`,
    answer.courseWords,
    ...answer.cautions,
  ].join('\n');
}

/** With times as ISO 8601 beside every instant. */
function documentOf(answer: ChangingAnswer, zone: TimeZone, readings: readonly LightReading[], openAtS: number): unknown {
  const iso = (instantS: number | null): string | null => (instantS === null ? null : zone.iso(instantS));
  return {
    ...answer,
    closeAt: iso(answer.closeAtS),
    closeRange: answer.closeRangeS.map(iso),
    openAt: iso(openAtS),
    openAtS,
    until: iso(answer.untilS),
    latestOpening: iso(answer.latestOpeningS),
    tiringByTimeCloseAt: iso(answer.tiringByTimeCloseAtS),
    timeZone: zone.name,
    readings: readings.map((reading) => ({ ...reading, at: iso(reading.instantS) })),
  };
}

async function writeReminder(answer: ChangingAnswer, openAtS: number, path: string): Promise<string> {
  const { calendarFile } = await import('#core/calendar');
  if (answer.closeAtS === null) {
    throw new InputError('missing', 'There is no time to close in this light, so there is nothing to be reminded of.', {
      path: '--ics',
    });
  }
  const text = calendarFile(
    [
      {
        uid: `close-${Math.round(openAtS)}-${Math.round(answer.closeAtS)}@camerawright`,
        // the minute that the sentence names
        startS: 60 * Math.round(answer.closeAtS / 60),
        title: 'Close the shutter',
        description: answer.sentence,
        alarmsBeforeS: [120, 0],
      },
    ],
    Date.parse(nodeClock.now()) / 1000,
  );
  await nodeSaver(dirname(path)).save(basename(path), 'text/calendar', new TextEncoder().encode(text));
  return `Reminder written to ${path}.`;
}

/**
 * When to close.
 * @param loaded the film in the camera, where the call names none
 * @throws InputError for everything that cannot be right in the call
 */
export async function duskCommand(
  options: DuskOptions,
  films: { readonly loaded: Film | null; readonly own: readonly Film[] } = { loaded: null, own: [] },
  known: KnownPlace = {},
): Promise<Answer> {
  const film = options.film === undefined ? films.loaded : findFilm(options.film, films.own);
  const zone = zoneOf(options, known.timeZone);
  const on = { date: dateOf(options, zone), zone };
  const speed = read(options.iso, '--iso');
  const meterIso = read(options.meteredIso, '--metered-iso') ?? speed ?? film?.iso ?? 100;
  const readings = (options.reading ?? []).map((text) => readReading(text, on, meterIso));
  const place = options.place === undefined ? known.place : readPlace(options.place);
  const lastRead = readings.reduce((latest, { instantS }) => Math.max(latest, instantS), -Infinity);
  if (options.open === undefined && readings.length === 0) {
    throw new InputError('missing', 'Say when you open the shutter: --open 17:45, or the light and its time: --reading "17:40 EV 9".', {
      path: '--open', expected: 'a time',
    });
  }
  const openAtS = options.open === undefined ? lastRead : readTime(options.open, on, '--open');
  const notes: string[] = [];
  let lightDoubt = read(options.lightUncertainty, '--light-uncertainty');
  let course: LightCourse;
  if (place !== undefined) {
    const { SKY_BEFORE_S, skyLight } = await import('#core/sun');
    const fromS = Math.min(openAtS, ...readings.map(({ instantS }) => instantS)) - SKY_BEFORE_S;
    const sky = skyLight(place, fromS, openAtS + LONGEST_S);
    if (readings.length === 0) {
      lightDoubt ??= UNREAD_SKY_STOPS;
      notes.push(
        'No reading was given: the light is that on level ground under a clear sky. A meter reading on the spot is worth more; the sunset sky itself is stops brighter.',
      );
    }
    course = readings.length === 0 ? unreadSkyCourse(sky, openAtS) : skyCourse(sky, readings);
  } else if (readings.length === 1 && options.cloudShare !== undefined) {
    course = steadyCourse((readings[0] as LightReading).ev100Ev);
  } else if (readings.length === 0) {
    throw new InputError('missing', 'Say what light there is: --reading "17:40 EV 9", or the place: --place 47.37,8.54.', {
      path: '--reading', expected: 'a reading or a place',
    });
  } else {
    course = readingsCourse(readings);
  }
  const cloud = cloudOf(options);
  const untilS = options.until === undefined ? endOfLight(course, openAtS) : readTime(options.until, on, '--until');
  const answer = changingExposure({
    question: {
      ...holeOf(options),
      film,
      ...given({
        iso: speed,
        filterFactor: read(options.filterFactor, '--filter-factor'),
        filterStops: read(options.filterStops, '--filter-stops'),
        falloffStops: read(options.falloffStops, '--falloff-stops'),
        exposureIndexLearntInPinhole: options.learntInPinhole,
        bareHole: options.bareHole,
        handReactionS: read(options.handS, '--hand-s'),
      }),
    },
    course, openAtS, untilS,
    ...given({ cloud, lightStandardUncertaintyStops: lightDoubt }),
    clock: (instantS, withSeconds) => zone.clock(instantS, withSeconds),
  });
  if (options.ics !== undefined) notes.push(await writeReminder(answer, openAtS, options.ics));
  return {
    json: documentOf(answer, zone, readings, openAtS),
    text: textOf(answer, zone),
    csv: csv(
      ['time', 'ev_iso100', 'ev_low', 'ev_high', 'share_of_exposure'],
      answer.points.map((point) => [zone.iso(point.instantS), point.ev100Ev, ...point.spanEv, point.doneShare]),
    ),
    notes,
  };
}
