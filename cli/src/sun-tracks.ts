/** `camerawright exposure sun-tracks`: what the sun draws on the paper in months. */
import { basename, dirname } from 'node:path';
import { InputError, UM_PER_MM, degreesToRad, formatAngle, parseLength, radToDegrees } from '#core';
import type { CameraRecord } from '#core';
import type { Direction, PaperSurface, PaperView, Place, SunCamera, SunTracks, TracksQuestion } from '#core/sun';
import { nodeClock, nodeSaver } from '#io/node';
import type { TimeZone } from '#io/node';
import type { Answer } from './answer.ts';
import { parseFrame, parseHole } from './camera-choice.ts';
import type { KnownPlace } from './dusk.ts';
import { csv, table } from './printing.ts';
import { readDegrees, readPlace, zoneOf } from './sky-reading.ts';
import type { SkyOptions } from './sky-reading.ts';

export interface SunTracksOptions extends SkyOptions {
  readonly azimuth?: string;
  readonly compass?: string;
  readonly declination?: string;
  readonly tilt?: string;
  readonly surface?: string;
  readonly focalMm?: string;
  readonly canDiameterMm?: string;
  readonly paper?: string;
  readonly holeHeightMm?: string;
  readonly diameterUm?: string;
  readonly from?: string;
  readonly to?: string;
  readonly horizon?: string;
  readonly view?: string;
  readonly svg?: string;
  readonly ics?: string;
}

/** What a workshop knows of the camera. */
export interface KnownCamera extends KnownPlace {
  readonly record?: CameraRecord | undefined;
  /** Of the measured hole. */
  readonly holeDiameterMm?: number | undefined;
}

/** Reminders come in the morning. */
const REMINDER_TIME = '09:00';
const DAY_S = 86_400;

const SURFACES: Readonly<Record<string, PaperSurface>> = { flat: 'flat', can: 'can-wall', 'half-can': 'can-axis', 'can-wall': 'can-wall', 'can-axis': 'can-axis' };
const VIEWS: Readonly<Record<string, PaperView>> = { emulsion: 'emulsion', picture: 'picture', film: 'film side', 'film side': 'film side' };

function chosen<Value>(list: Readonly<Record<string, Value>>, text: string, option: string): Value {
  const value = list[text.trim().toLowerCase()];
  if (value !== undefined) return value;
  const names = Object.keys(list).slice(0, 3).join(', ');
  throw new InputError('unknown-name', `${option} “${text}” is not known. Give one of: ${names}.`, { path: option, got: text, expected: names });
}

/** `90:12, 135:4`: azimuth and height of each corner of the skyline, degrees from true north. */
function readHorizon(text: string): Direction[] {
  return text.split(/[,;]\s*/).map((corner) => {
    const [azimuth, altitude, more] = corner.split(':');
    if (azimuth === undefined || altitude === undefined || more !== undefined) {
      throw new InputError('not-understood', `--horizon “${corner}” is not a corner. Give azimuth and height in degrees: 90:12,135:4.`, {
        path: '--horizon', got: corner, expected: 'azimuth:height',
      });
    }
    return {
      azimuthRad: degreesToRad(readDegrees(azimuth, '--horizon')),
      altitudeRad: degreesToRad(readDegrees(altitude, '--horizon')),
    };
  });
}

function lengthOf(text: string | undefined, option: string): number | undefined {
  return text === undefined ? undefined : parseLength(text, { defaultUnit: 'mm', path: option }).mm;
}

function needed<Value>(value: Value | undefined, path: string, words: string): Value {
  if (value !== undefined) return value;
  throw new InputError('missing', words, { path });
}

interface Aim {
  readonly azimuthRad: number;
  readonly words: string;
}

async function aimOf(options: SunTracksOptions, known: KnownCamera, at: { readonly place: Place; readonly instantS: number }): Promise<Aim> {
  const record = known.record?.sunPicture;
  if (options.azimuth !== undefined) {
    if (options.compass !== undefined) {
      throw new InputError('conflict', 'Give the direction from true north (--azimuth) or by the compass (--compass), not both.', { path: '--compass' });
    }
    return { azimuthRad: degreesToRad(readDegrees(options.azimuth, '--azimuth')), words: 'from true north, as given' };
  }
  const compassRad = options.compass === undefined ? record?.compassAzimuthRad : degreesToRad(readDegrees(options.compass, '--compass'));
  if (compassRad !== undefined) {
    const given = options.declination === undefined ? record?.declinationRad : degreesToRad(readDegrees(options.declination, '--declination'));
    if (given !== undefined) return { azimuthRad: compassRad + given, words: `compass ${formatAngle(compassRad)}, declination ${signed(given)} as given` };
    const { magneticDeclination } = await import('#core/compass');
    const model = magneticDeclination(at.place, at.instantS);
    return {
      azimuthRad: compassRad + model.declinationRad,
      words:
        `compass ${formatAngle(compassRad)}, magnetic declination ${signed(model.declinationRad)} by the ${model.modelName} model ` +
        `(${model.validYears[0]} to ${model.validYears[1]}, ±${(2 * radToDegrees(model.standardUncertaintyRad)).toFixed(1)}° at k = 2, iron nearby not counted)`,
    };
  }
  const azimuthRad = needed(record?.azimuthRad, '--azimuth', 'Say where the camera looks: --azimuth 180 from true north, or --compass 178.');
  return { azimuthRad, words: 'from true north, of the workshop' };
}

function signed(rad: number): string {
  const degrees = radToDegrees(rad).toFixed(1);
  return `${rad < 0 ? '−' : '+'}${degrees.replace('-', '')}°`;
}

function cameraOf(options: SunTracksOptions, known: KnownCamera, azimuthRad: number): SunCamera {
  const { record } = known;
  const sun = record?.sunPicture;
  const surface = options.surface === undefined ? (sun?.surface ?? (options.canDiameterMm === undefined ? 'flat' : 'can-wall')) : chosen(SURFACES, options.surface, '--surface');
  const size = options.paper === undefined
    ? { widthMm: sun?.paper?.widthMm ?? record?.frame?.widthMm, heightMm: sun?.paper?.heightMm ?? record?.frame?.heightMm }
    : parseFrame(options.paper);
  const paperWidthMm = needed(size.widthMm, '--paper', 'Say how large the paper is: --paper 180x110, width along the curve.');
  const paperHeightMm = needed(size.heightMm, '--paper', 'Say how large the paper is: --paper 180x110, width along the curve.');
  const distanceMm = surface === 'flat'
    ? needed(lengthOf(options.focalMm, '--focal-mm') ?? record?.focalLengthMm, '--focal-mm', 'Say how far the hole is from the flat paper: --focal-mm 60.')
    : needed(
        lengthOf(options.canDiameterMm, '--can-diameter-mm') ?? sun?.canDiameterMm,
        '--can-diameter-mm',
        surface === 'can-wall' ? 'Say how wide the can is inside: --can-diameter-mm 66.' : 'Say how wide the half can is, twice the way from hole to paper: --can-diameter-mm 132.',
      );
  const tilt = options.tilt === undefined ? (sun?.tiltRad ?? 0) : degreesToRad(readDegrees(options.tilt, '--tilt'));
  return {
    surface, distanceMm, paperWidthMm, paperHeightMm, azimuthRad, tiltRad: tilt,
    holeHeightMm: lengthOf(options.holeHeightMm, '--hole-height-mm') ?? sun?.holeHeightMm ?? paperHeightMm / 2,
  };
}

function textOf(tracks: SunTracks, zone: TimeZone, aim: Aim, hourOffset: string): string {
  const degrees = (rad: number): string => radToDegrees(rad).toFixed(1);
  const mm = (value: number | null | undefined, digits = 1): string => (value === null || value === undefined ? '' : value.toFixed(digits));
  const rows = tracks.tracks.map((track, i) => {
    const where = track.noon.landing;
    const spacing = tracks.spacings[i];
    return [
      zone.date(track.noon.instantS), track.name ?? '', degrees(track.noon.altitudeRad), mm(where?.xMm), mm(where?.yMm),
      where === null ? 'behind' : where.onPaper ? 'yes' : 'no', mm(spacing?.spacingMm, 2), mm(spacing?.lineMm, 2),
    ];
  });
  const hours = tracks.hourLines.map(({ hour }) => hour);
  return [
    tracks.sentence,
    '',
    table(['day', '', 'noon °', 'x mm', 'y mm', 'on paper', 'to next day mm', 'line mm'], rows),
    '',
    `x and y from the middle of the unrolled paper, x right and y up, seen from the film side.`,
    hours.length === 0 ? '' : `Hours on the paper: ${hours.join(', ')} (UTC${hourOffset}, all months alike).`,
    `Direction ${degrees(tracks.camera.azimuthRad)}°: ${aim.words}.`,
    ...tracks.cautions,
  ].filter((line, i) => line !== '' || i < 4).join('\n');
}

/** Standard time of the zone: the lesser of its offsets in January and July. */
function standardOffsetS(zone: TimeZone, instantS: number): number {
  const year = new Date(instantS * 1000).getUTCFullYear();
  return Math.min(zone.offsetS(Date.UTC(year, 0, 15) / 1000), zone.offsetS(Date.UTC(year, 6, 15) / 1000));
}

async function writeFiles(
  options: SunTracksOptions,
  made: { readonly tracks: SunTracks; readonly zone: TimeZone; readonly caption: string; readonly from: string; readonly to: string; readonly aim: Aim },
): Promise<string[]> {
  const written: string[] = [];
  const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);
  if (options.svg !== undefined) {
    const { tracksDrawing, tracksSvg } = await import('#core/sun');
    const view = options.view === undefined ? 'emulsion' : chosen(VIEWS, options.view, '--view');
    const svg = tracksSvg(tracksDrawing(made.tracks, view, (t) => made.zone.date(t).slice(5)), made.caption);
    await nodeSaver(dirname(options.svg)).save(basename(options.svg), 'image/svg+xml', bytes(svg));
    written.push(`Drawing written to ${options.svg}, true to size: print it without scaling.`);
  }
  if (options.ics !== undefined) {
    const { calendarFile } = await import('#core/calendar');
    const { SUN_CAUTIONS } = await import('#core/sun');
    const entry = (what: 'Open' | 'Close', date: string) => ({
      uid: `${what.toLowerCase()}-${date}-${Math.round(made.zone.instantS(date, REMINDER_TIME))}@camerawright`,
      startS: made.zone.instantS(date, REMINDER_TIME),
      title: `${what} the sun picture: ${made.caption}`,
      description: `${made.tracks.sentence}\nDirection ${formatAngle(made.tracks.camera.azimuthRad)}, tilt ${formatAngle(made.tracks.camera.tiltRad)}.\n${SUN_CAUTIONS[0]}`,
      alarmsBeforeS: [DAY_S, 0],
    });
    const text = calendarFile([entry('Open', made.from), entry('Close', made.to)], Date.parse(nodeClock.now()) / 1000);
    await nodeSaver(dirname(options.ics)).save(basename(options.ics), 'text/calendar', bytes(text));
    written.push(`Reminders to open and to close written to ${options.ics}.`);
  }
  return written;
}

/**
 * Tracks of the sun on the paper.
 * @throws InputError for everything that cannot be right in the call
 */
export async function sunTracksCommand(options: SunTracksOptions, known: KnownCamera = {}): Promise<Answer> {
  const { sunTracks } = await import('#core/sun');
  const sun = known.record?.sunPicture;
  const place = needed(
    options.place === undefined ? known.place : readPlace(options.place), '--place',
    'Say where the camera stands: --place 47.37,8.54, latitude and longitude in degrees.',
  );
  const zone = zoneOf(options, known.timeZone);
  const from = needed(options.from ?? sun?.fromDate, '--from', 'Say the first day: --from 2026-12-21.');
  const to = needed(options.to ?? sun?.toDate, '--to', 'Say the last day: --to 2027-06-21.');
  const fromS = zone.instantS(from, '12:00');
  const aim = await aimOf(options, known, { place, instantS: fromS });
  const camera = cameraOf(options, known, aim.azimuthRad);
  const diameterUm = options.diameterUm;
  const holeDiameterMm = diameterUm === undefined
    ? (known.holeDiameterMm ?? sun?.holeDiameterMm)
    : parseHole(diameterUm, '--diameter-um');
  const utcOffsetS = standardOffsetS(zone, fromS);
  const question: TracksQuestion = {
    place, camera, fromS, toS: zone.instantS(to, '12:00'), utcOffsetS,
    ...(holeDiameterMm === undefined ? {} : { holeDiameterMm }),
    horizon: options.horizon === undefined ? (sun?.horizon ?? []) : readHorizon(options.horizon),
    dateWords: (instantS) => zone.date(instantS),
  };
  const tracks = sunTracks(question);
  const caption = [
    known.record?.name ?? 'Sun tracks', `${from} to ${to}`, `looking ${radToDegrees(camera.azimuthRad).toFixed(1)}°`,
    `tilt ${radToDegrees(camera.tiltRad).toFixed(1)}°`,
  ].join(', ');
  const notes = await writeFiles(options, { tracks, zone, caption, from, to, aim });
  const offset = zone.iso(fromS).slice(-6);
  const hourOffset = utcOffsetS === zone.offsetS(fromS) ? offset : `${utcOffsetS < 0 ? '−' : '+'}${Math.abs(utcOffsetS / 3600)} h`;
  return {
    json: {
      ...tracks,
      direction: aim.words,
      timeZone: zone.name,
      hourOffsetS: utcOffsetS,
      from, to,
      holeDiameterUm: holeDiameterMm === undefined ? null : holeDiameterMm * UM_PER_MM,
    },
    text: textOf(tracks, zone, aim, hourOffset),
    csv: csv(
      ['day', 'name', 'time', 'altitude_deg', 'azimuth_deg', 'x_mm', 'y_mm', 'on_paper', 'drawn'],
      tracks.tracks.flatMap((track) =>
        track.points.map((point) => [
          zone.date(track.noon.instantS), track.name ?? '', zone.iso(point.instantS),
          radToDegrees(point.altitudeRad), radToDegrees(point.azimuthRad),
          point.landing?.xMm ?? null, point.landing?.yMm ?? null, String(point.landing?.onPaper ?? false), String(point.drawn),
        ]),
      ),
    ),
    notes,
  };
}
