/** `camerawright exposure`: from a light and a hole to the seconds on this film, and the list of films. */
import {
  EVIDENCE_WORDS,
  FILMS,
  InputError,
  exposureTime,
  fNumberOfMark,
  findFilm,
  formatNumber,
  formatTime,
  holeStop,
  meterConversions,
  nearestStop,
  parseLength,
  roundedTimeS,
  stopsBetween,
} from '#core';
import type { ExposureAnswer, ExposureLink, ExposureQuestion, Film, Light, Lighting } from '#core';
import type { Answer } from './answer.ts';
import { csv, table } from './printing.ts';

/** As the maker wrote them: every value still text. */
export interface ExposureOptions {
  readonly fNumber?: string;
  /** Instead of the f-number, with `focalMm`. */
  readonly diameterUm?: string;
  readonly focalMm?: string;
  /** Standard uncertainty (k = 1) of what the hole was given by: of the f-number, or of the diameter in µm. */
  readonly uncertainty?: string;
  /** Standard uncertainty (k = 1) of the focal length. */
  readonly focalUncertaintyMm?: string;
  readonly ev?: string;
  readonly scene?: string;
  /** front, side or back: only with a scene in direct sun. */
  readonly lighting?: string;
  readonly lux?: string;
  readonly luminance?: string;
  readonly meteredS?: string;
  readonly meteredFNumber?: string;
  /** Speed the meter was set to; left out: the film's. */
  readonly meteredIso?: string;
  /** `meteredFNumber` is a mark on a dial: 22 then stands for 22.63. */
  readonly mark?: boolean;
  /** Standard uncertainty (k = 1) of the light, stops. */
  readonly lightUncertainty?: string;
  readonly film?: string;
  readonly iso?: string;
  readonly filterFactor?: string;
  readonly filterStops?: string;
  readonly falloffStops?: string;
  readonly bareHole?: boolean;
  readonly handS?: string;
  /** List the films instead of answering. */
  readonly listFilms?: boolean;
}

const NUMBER = /^[+\-−]?(\d+([.,]\d*)?|[.,]\d+)(e[+-]?\d+)?$/i;
/** A comma before exactly three digits: decimal mark or thousands, nobody knows. */
const GROUPED = /^[+\-−]?[1-9]\d{0,2},\d{3}$/;
/** From here on a dial's mark and the plain number differ enough to say so. */
const MARK_DIFFERS_STOPS = 0.02;
const LIGHT_OPTIONS = '--ev, --metered-s with --metered-f-number, --scene, --lux or --luminance';

function read(text: string | undefined, option: string): number | undefined {
  if (text === undefined) return undefined;
  const plain = text.trim();
  if (GROUPED.test(plain)) {
    const whole = plain.replace(',', '');
    throw new InputError(
      'not-understood',
      `${option} “${text}” could mean ${plain.replace(',', '.')} or ${whole}. Write one of them.`,
      {
        path: option,
        got: text,
        expected: 'a number',
      },
    );
  }
  if (NUMBER.test(plain)) return Number(plain.replace('−', '-').replace(',', '.'));
  throw new InputError(
    'not-understood',
    `${option} “${text}” is not a number. Give it like 250 or 2.5, without a unit.`,
    {
      path: option,
      got: text,
      expected: 'a number',
    },
  );
}

/** Seconds, also as a shutter's fraction: `1/4`. */
function readSeconds(text: string, option: string): number {
  const parts = text.split('/');
  const [above, below] = parts.map((part) => read(part, option));
  if (parts.length > 2 || above === undefined) {
    throw new InputError('not-understood', `${option} “${text}” is not a time. Give seconds, like 2.5 or 1/4.`, {
      path: option,
      got: text,
      expected: 'seconds',
    });
  }
  return below === undefined ? above : above / below;
}

/** The fields that have a value, so that what was not said stays unsaid. */
function given<Fields extends object>(fields: Fields): { [Key in keyof Fields]?: Exclude<Fields[Key], undefined> } {
  const said = Object.entries(fields).filter(([, value]) => value !== undefined);
  return Object.fromEntries(said) as { [Key in keyof Fields]?: Exclude<Fields[Key], undefined> };
}

interface Hole {
  readonly fNumber: number;
  readonly fNumberStandardUncertainty?: number;
}

function holeOf(options: ExposureOptions): Hole {
  const fNumber = read(options.fNumber, '--f-number');
  const { diameterUm, focalMm } = options;
  if (fNumber !== undefined && diameterUm !== undefined) {
    throw new InputError('conflict', 'Give either --f-number, or --diameter-um with --focal-mm, not both.', {
      path: '--f-number',
    });
  }
  if (fNumber !== undefined)
    return { fNumber, ...given({ fNumberStandardUncertainty: read(options.uncertainty, '--uncertainty') }) };
  if (diameterUm === undefined || focalMm === undefined) {
    throw new InputError('missing', 'Say which hole: --f-number N, or --diameter-um D with --focal-mm F.', {
      path: '--f-number',
      expected: 'an f-number, or diameter and focal length',
    });
  }
  const uncertaintyUm = read(options.uncertainty, '--uncertainty');
  const stop = holeStop({
    diameterMm: parseLength(diameterUm, { defaultUnit: 'um', path: '--diameter-um' }).mm,
    focalLengthMm: parseLength(focalMm, { defaultUnit: 'mm', path: '--focal-mm' }).mm,
    ...given({
      diameterStandardUncertaintyMm: uncertaintyUm === undefined ? undefined : uncertaintyUm / 1000,
      focalLengthStandardUncertaintyMm: read(options.focalUncertaintyMm, '--focal-uncertainty-mm'),
    }),
  });
  const known = uncertaintyUm !== undefined || options.focalUncertaintyMm !== undefined;
  return { fNumber: stop.fNumber, ...(known ? { fNumberStandardUncertainty: stop.fNumberStandardUncertainty } : {}) };
}

function lightingOf(text: string | undefined): Lighting | undefined {
  const word = text?.trim().toLowerCase();
  if (word === undefined || word === 'front' || word === 'side' || word === 'back') return word;
  const message = `--lighting “${text ?? ''}” was not understood. Give front, side or back.`;
  throw new InputError('not-understood', message, {
    path: '--lighting',
    got: text,
    expected: 'front, side or back',
  });
}

function meterOf(options: ExposureOptions, meteredS: string): Light {
  const fNumber = read(options.meteredFNumber, '--metered-f-number');
  if (fNumber === undefined) {
    throw new InputError('missing', 'Say at which f-number the time was read: --metered-f-number N.', {
      path: '--metered-f-number',
      expected: 'an f-number',
    });
  }
  return {
    kind: 'meter',
    meteredS: readSeconds(meteredS, '--metered-s'),
    fNumber,
    ...given({
      iso: read(options.meteredIso, '--metered-iso'),
      isMark: options.mark,
      standardUncertaintyStops: read(options.lightUncertainty, '--light-uncertainty'),
    }),
  };
}

function lightOf(options: ExposureOptions): Light {
  const doubt = given({ standardUncertaintyStops: read(options.lightUncertainty, '--light-uncertainty') });
  const lights: Light[] = [];
  const ev100Ev = read(options.ev, '--ev');
  const illuminanceLux = read(options.lux, '--lux');
  const luminanceCdPerM2 = read(options.luminance, '--luminance');
  if (ev100Ev !== undefined) lights.push({ kind: 'ev', ev100Ev, ...doubt });
  if (options.meteredS !== undefined) lights.push(meterOf(options, options.meteredS));
  if (illuminanceLux !== undefined) lights.push({ kind: 'illuminance', illuminanceLux, ...doubt });
  if (luminanceCdPerM2 !== undefined) lights.push({ kind: 'luminance', luminanceCdPerM2, ...doubt });
  if (options.scene !== undefined) {
    lights.push({
      kind: 'scene',
      scene: options.scene,
      ...given({ lighting: lightingOf(options.lighting) }),
      ...doubt,
    });
  }
  const [light] = lights;
  if (light === undefined) {
    throw new InputError('missing', `Say what light there is: ${LIGHT_OPTIONS}.`, {
      path: '--ev',
      expected: LIGHT_OPTIONS,
    });
  }
  if (lights.length > 1) {
    throw new InputError('conflict', `The light was given ${lights.length} times. Give one of ${LIGHT_OPTIONS}.`, {
      path: '--ev',
      expected: 'one light',
    });
  }
  return light;
}

function questionOf(options: ExposureOptions, hole: Hole, loaded: Film | null): ExposureQuestion {
  return {
    ...hole,
    light: lightOf(options),
    film: options.film === undefined ? loaded : findFilm(options.film),
    ...given({
      iso: read(options.iso, '--iso'),
      filterFactor: read(options.filterFactor, '--filter-factor'),
      filterStops: read(options.filterStops, '--filter-stops'),
      falloffStops: read(options.falloffStops, '--falloff-stops'),
      bareHole: options.bareHole,
      handReactionS: read(options.handS, '--hand-s'),
    }),
  };
}

function notesOf(question: ExposureQuestion): string[] {
  const { light } = question;
  if (light.kind !== 'meter' || light.isMark === true) return [];
  const exact = markOrNull(light.fNumber);
  if (exact === null) return [];
  const off = stopsBetween({ fromFNumber: light.fNumber, toFNumber: exact });
  if (Math.abs(off) < MARK_DIFFERS_STOPS) return [];
  return [
    `f/${light.fNumber} was taken as the plain number. As a mark on a dial it stands for ` +
      `${formatNumber(exact, { significant: 4 })}, ${formatNumber(Math.abs(off), { significant: 1 })} stop ${off > 0 ? 'less' : 'more'} time: say so with --mark.`,
  ];
}

function markOrNull(fNumber: number): number | null {
  try {
    return fNumberOfMark(fNumber);
  } catch {
    return null;
  }
}

/** What a link does to the seconds: the light gives them at f/1, the rest multiply. */
function timePart(link: ExposureLink): string {
  if (link.name === 'light') return `${formatNumber(link.factor, { significant: 3 })} s at f/1`;
  if (link.name === 'hand' || Math.abs(link.stops) < 1e-12) return '';
  return `× ${formatNumber(link.factor, { significant: 3 })}`;
}

function textOf(answer: ExposureAnswer, fNumber: number): string {
  const rows = answer.chain.map((link) => [
    link.name,
    link.words,
    timePart(link),
    `± ${(2 * link.timeStandardUncertaintyStops).toFixed(2)}`,
  ]);
  const [less, middle, more] = answer.bracketS.map((timeS) => formatTime(roundedTimeS(timeS)));
  const step =
    answer.bracketStops === 0.5 ? 'half a stop' : `${answer.bracketStops} stop${answer.bracketStops === 1 ? '' : 's'}`;
  const third = nearestStop(fNumber, 'third');
  return [
    answer.sentence,
    '',
    table(['link', 'value', 'time', 'doubt, stops (k = 2)'], rows),
    '',
    `Metered ${formatTime(answer.meteredS)} at f/${formatNumber(fNumber, { significant: 4 })} ` +
      `(nearest third stop ${third.name}).`,
    `Largest doubt: ${answer.largestUncertainty}. Bracket by ${step}: ${less}, ${middle}, ${more}.`,
    `Source: ${answer.source}${answer.evidence === 'none' ? '' : ` (${EVIDENCE_WORDS[answer.evidence]})`}.`,
    ...answer.cautions,
  ].join('\n');
}

/**
 * The time to give.
 * @param loaded the film in the camera, where the call names none
 * @throws InputError for everything that cannot be right in the call
 */
export function exposureCommand(options: ExposureOptions, loaded: Film | null = null): Answer {
  if (options.listFilms === true) return filmsCommand();
  const hole = holeOf(options);
  const question = questionOf(options, hole, loaded);
  const answer = exposureTime(question);
  return {
    json: {
      ...answer,
      fNumber: hole.fNumber,
      fNumberStandardUncertainty: hole.fNumberStandardUncertainty ?? null,
      nearestFullStop: nearestStop(hole.fNumber, 'full'),
      nearestThirdStop: nearestStop(hole.fNumber, 'third'),
      meterConversions: meterConversions(hole.fNumber),
    },
    text: textOf(answer, hole.fNumber),
    notes: notesOf(question),
  };
}

function figuresOf(film: Film): string {
  const { law } = film;
  switch (law.model) {
    case 'table': {
      const last = law.rows[law.rows.length - 1];
      return `${law.rows.length} row${law.rows.length === 1 ? '' : 's'}, to ${last?.meteredS ?? 0} s`;
    }
    case 'power':
      return `t^${law.exponent} beyond ${law.validFromS} s`;
    case 'covington':
      return `(t + 1)^(1/${law.p}) − 1`;
    case 'modified-schwarzschild':
      return `t + ${law.coefficient}·t^${law.exponent}`;
    case 'none':
      return film.noCorrectionUpToS === null ? 'none' : `none beyond ${film.noCorrectionUpToS} s`;
  }
}

function speedOf(film: Film): string {
  if (film.iso !== null) return String(film.iso);
  return film.exposureIndexRange === null ? '' : `EI ${[...new Set(film.exposureIndexRange)].join('–')}`;
}

/** The films, papers and plates that can be named with `--film`. */
export function filmsCommand(): Answer {
  const header = ['film', 'speed', 'long exposures', 'evidence', 'source'];
  const rows = FILMS.map((film) => [film.name, speedOf(film), figuresOf(film), film.evidence, film.source]);
  return {
    json: FILMS,
    text: table(
      header.slice(0, 4),
      rows.map((row) => row.slice(0, 4)),
    ),
    csv: csv(header, rows),
    notes: [],
  };
}
