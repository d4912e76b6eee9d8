/** `camerawright exposure walker`, `shake`, `flash` and `alarm`: what else is asked beside the camera. */
import {
  InputError,
  UM_PER_MM,
  allowedShake,
  formatNumber,
  formatTime,
  parseLength,
  preFlash,
  roundedTimeS,
  walker,
} from '#core';
import { newId, nodeClock } from '#io/node';
import type { Answer } from './answer.ts';
import { parseFrame, parseHole } from './camera-choice.ts';
import { given, read, readSeconds } from './exposure-reading.ts';

export interface WalkerOptions {
  readonly exposureS?: string;
  readonly focalMm?: string;
  readonly frame?: string;
  readonly distance?: string;
  readonly speed?: string;
  readonly width?: string;
  readonly brighterStops?: string;
  readonly count?: string;
  readonly standsS?: string;
}

export interface ShakeOptions {
  readonly diameterUm?: string;
  readonly focalMm?: string;
  readonly wavelengthNm?: string;
  readonly lever?: string;
  readonly shakenS?: string;
  readonly exposureS?: string;
}

export interface FlashOptions {
  readonly thresholdS?: string;
  readonly share?: string;
  readonly rangeStops?: string;
}

export interface AlarmOptions {
  readonly exposureS?: string;
  readonly started?: string;
  readonly countS?: string;
  readonly title?: string;
  readonly warningMin?: string;
}

function needed(text: string | undefined, option: string, what: string): string {
  if (text !== undefined) return text;
  throw new InputError('missing', `Say ${what}: ${option}.`, { path: option });
}

function mm(text: string, option: string): number {
  return parseLength(text, { defaultUnit: 'mm', path: option }).mm;
}

/** `5 m`, `16 ft`, or a plain number of metres. */
function distanceMm(text: string): number {
  const metres = /^\s*([\d.,]+)\s*m?\s*$/i.exec(text);
  return metres === null ? mm(text, '--distance') : (read(metres[1], '--distance') ?? 0) * 1000;
}

/** How a walker vanishes. */
export function walkerCommand(options: WalkerOptions): Answer {
  const speed = read(options.speed, '--speed');
  const answer = walker({
    exposureS: readSeconds(needed(options.exposureS, '--exposure-s', 'how long the shutter is open'), '--exposure-s'),
    focalLengthMm: mm(needed(options.focalMm, '--focal-mm', 'the focal length'), '--focal-mm'),
    frameWidthMm: parseFrame(needed(options.frame, '--frame', 'the image area')).widthMm,
    distanceMm: distanceMm(needed(options.distance, '--distance', 'how far away he walks')),
    ...given({
      speedMmPerS: speed === undefined ? undefined : speed * 1000,
      widthMm: options.width === undefined ? undefined : mm(options.width, '--width'),
      brighterStops: read(options.brighterStops, '--brighter-stops'),
      count: read(options.count, '--count'),
      standsS: read(options.standsS, '--stands-s'),
    }),
  });
  return {
    json: answer,
    text: [
      answer.sentence,
      `In the frame ${formatTime(answer.timeInFrameS)}: the shutter is open ${formatNumber(Math.abs(answer.timeInFrameStops), { digits: 1 })} stops ` +
        `${answer.timeInFrameStops < 0 ? 'shorter' : 'longer'}. Each point sees him ${formatTime(answer.coverS)}.`,
    ].join('\n'),
    notes: [],
  };
}

/** How much a camera may shake. */
export function shakeCommand(options: ShakeOptions): Answer {
  const answer = allowedShake({
    diameterMm: parseHole(needed(options.diameterUm, '--diameter-um', 'how large the hole is'), '--diameter-um'),
    focalLengthMm: mm(needed(options.focalMm, '--focal-mm', 'the focal length'), '--focal-mm'),
    ...given({
      wavelengthNm: read(options.wavelengthNm, '--wavelength-nm'),
      leverMm: options.lever === undefined ? undefined : mm(options.lever, '--lever'),
      shakenS: options.shakenS === undefined ? undefined : readSeconds(options.shakenS, '--shaken-s'),
      exposureS: options.exposureS === undefined ? undefined : readSeconds(options.exposureS, '--exposure-s'),
    }),
  });
  return {
    json: answer,
    text: [answer.sentence, `The hole itself shows ${formatNumber(answer.limitPerMm)} lines/mm at 10 % contrast, ${formatNumber(UM_PER_MM / answer.limitPerMm, { significant: 2 })} µm from line to line.`].join('\n'),
    notes: [],
  };
}

/** How long to flash a paper before the picture. */
export function flashCommand(options: FlashOptions): Answer {
  const plan = preFlash({
    thresholdS: readSeconds(needed(options.thresholdS, '--threshold-s', 'the shortest flash that leaves a grey'), '--threshold-s'),
    ...given({ flashShare: read(options.share, '--share'), paperRangeStops: read(options.rangeStops, '--range-stops') }),
  });
  return { json: plan, text: [plan.sentence, ...plan.cautions].join('\n'), notes: [] };
}

const LONGEST_ALARM_S = 10 * 366 * 86_400;

/** The closing time as a calendar file: the answer's own text, to be written to a file. */
export async function alarmCommand(options: AlarmOptions): Promise<Answer> {
  const exposureS = readSeconds(needed(options.exposureS, '--exposure-s', 'how long the shutter is open'), '--exposure-s');
  if (!(exposureS > 0)) throw new InputError('not-positive', `--exposure-s must be greater than 0, but is ${exposureS}.`, { path: '--exposure-s' });
  if (exposureS > LONGEST_ALARM_S) {
    throw new InputError('out-of-range', 'No calendar is kept for so long: an alarm may be ten years away at most.', { path: '--exposure-s', got: exposureS });
  }
  const countS = read(options.countS, '--count-s') ?? 0;
  const started = options.started ?? nodeClock.now();
  const startMs = Date.parse(started);
  if (Number.isNaN(startMs)) {
    throw new InputError('not-understood', `--started “${started}” is not a time. Write it as 2026-06-21T14:05:00+02:00.`, { path: '--started', got: started });
  }
  const closesAtMs = startMs + 1000 * (countS + exposureS);
  const closesAt = new Date(closesAtMs).toISOString();
  const warningMinutes = read(options.warningMin, '--warning-min');
  const { calendarFile } = await import('#core/calendar');
  const title = options.title ?? 'Close the shutter';
  const text = calendarFile(
    [
      {
        uid: `${newId()}@camerawright`,
        startS: closesAtMs / 1000,
        durationS: 60,
        title,
        description: `Open for ${formatTime(roundedTimeS(exposureS))} since ${started}.`,
        alarmsBeforeS: warningMinutes === undefined ? [0] : [0, 60 * warningMinutes],
      },
    ],
    Date.parse(nodeClock.now()) / 1000,
  );
  return { json: { closesAt, calendar: text }, text: text.trimEnd(), notes: [`Closes at ${closesAt}.`] };
}
