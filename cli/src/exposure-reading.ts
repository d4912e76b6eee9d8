/** What the options of `camerawright exposure` mean: numbers, the hole, the light, as the maker wrote them. */
import {
  FRAME_PARTS,
  InputError,
  filmResponse,
  holeStop,
  lightSource,
  likelyResponse,
  parseLength,
  parseTimeS,
  partFalloffStops,
  requirePositive,
} from '#core';
import type { ExposureQuestion, Film, FramePart, Light, Lighting, ThickPlate } from '#core';
import { chosenFilmPlane, parseFrame, parseHole } from './camera-choice.ts';

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
  /** Said by the workshop, never by an option: the speed was learnt in a pinhole camera. */
  readonly learntInPinhole?: boolean;
  readonly filterFactor?: string;
  readonly filterStops?: string;
  readonly falloffStops?: string;
  readonly bareHole?: boolean;
  readonly handS?: string;
  /** Speed at which `ev` was read; left out: 100. */
  readonly evIso?: string;
  /** reflected or incident. */
  readonly meterReading?: string;
  /** daylight, sunlight, incandescent or tungsten. */
  readonly lightColour?: string;
  /** Colour response; left out: the likely one of the film. */
  readonly response?: string;
  /** Step of the bracket, stops. */
  readonly bracket?: string;
  /** Part of the frame that matters: its name, or x,y in mm. */
  readonly part?: string;
  /** Image area, for `part`. */
  readonly frame?: string;
  /** x,y of the hole against the frame's middle; said by the workshop. */
  readonly holeShift?: string;
  /** How the film lies, for `part`. */
  readonly filmPlane?: string;
  /** The wall of the plate in the camera; said by the workshop. */
  readonly plateEdge?: ThickPlate | undefined;
  /** List the films instead of answering. */
  readonly listFilms?: boolean;
}

const NUMBER = /^[+\-−]?(\d+([.,]\d*)?|[.,]\d+)(e[+-]?\d+)?$/i;
/** A comma before exactly three digits: decimal mark or thousands, nobody knows. */
const GROUPED = /^[+\-−]?[1-9]\d{0,2},\d{3}$/;
const LIGHT_OPTIONS = '--ev, --metered-s with --metered-f-number, --scene, --lux or --luminance';

export function read(text: string | undefined, option: string): number | undefined {
  if (text === undefined) return undefined;
  // Photographers write f/250.
  const plain = option.endsWith('f-number') ? text.trim().replace(/^f\s*\/?\s*/i, '') : text.trim();
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

/** Seconds, also as a shutter's fraction or with a unit: `1/4`, `8 min`, `1:30`. */
export function readSeconds(text: string, option: string): number {
  const timeS = GROUPED.test(text.trim()) ? read(text, option) : parseTimeS(text);
  if (timeS !== null && timeS !== undefined) return timeS;
  // A number of another kind, like 1e-3 or -2, is told apart by what asks for it.
  if (NUMBER.test(text.trim())) return read(text, option) as number;
  throw new InputError('not-understood', `${option} “${text}” is not a time. Give seconds, like 2.5 or 1/4, or a time like 8 min or 1:30.`, {
    path: option,
    got: text,
    expected: 'a time',
  });
}

/** The fields that have a value, so that what was not said stays unsaid. */
export function given<Fields extends object>(fields: Fields): { [Key in keyof Fields]?: Exclude<Fields[Key], undefined> } {
  const said = Object.entries(fields).filter(([, value]) => value !== undefined);
  return Object.fromEntries(said) as { [Key in keyof Fields]?: Exclude<Fields[Key], undefined> };
}

export interface Hole {
  readonly fNumber: number;
  readonly fNumberStandardUncertainty?: number;
}

export function holeOf(options: ExposureOptions): Hole {
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
    diameterMm: parseHole(diameterUm, '--diameter-um'),
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

function readingOf(text: string | undefined): 'reflected' | 'incident' | undefined {
  const word = text?.trim().toLowerCase();
  if (word === undefined || word === 'reflected' || word === 'incident') return word;
  throw new InputError('not-understood', `--meter-reading “${text ?? ''}” was not understood. Give reflected or incident.`, {
    path: '--meter-reading',
    got: text,
    expected: 'reflected or incident',
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
      reading: readingOf(options.meterReading),
      isMark: options.mark,
      standardUncertaintyStops: read(options.lightUncertainty, '--light-uncertainty'),
    }),
  };
}

export function lightOf(options: ExposureOptions): Light {
  const doubt = given({ standardUncertaintyStops: read(options.lightUncertainty, '--light-uncertainty') });
  const lights: Light[] = [];
  const evIso = read(options.evIso, '--ev-iso');
  if (evIso !== undefined) requirePositive(evIso, '--ev-iso', 'ISO');
  const evRead = read(options.ev, '--ev');
  // the same light reads log2(S/100) higher on a meter set to S
  const ev100Ev = evRead === undefined ? undefined : evRead - Math.log2((evIso ?? 100) / 100);
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


/** The colour of the light as the film sees it. */
export function lightColourOf(options: ExposureOptions, film: Film | null): ExposureQuestion['lightColour'] {
  if (options.lightColour === undefined) return undefined;
  if (film === null && options.response === undefined) {
    throw new InputError('missing', '--light-colour needs the film, or its colour response with --response.', { path: '--response' });
  }
  const response = options.response === undefined && film !== null ? likelyResponse(film) : filmResponse(options.response ?? '');
  return { source: lightSource(options.lightColour).id, response };
}

function partOf(text: string): FramePart {
  const named = FRAME_PARTS.find((part) => part === text.trim().toLowerCase());
  if (named !== undefined) return named;
  const [xMm, yMm, ...more] = text.split(/[,;]\s*/).map((part) => read(part, '--part'));
  if (xMm !== undefined && yMm !== undefined && more.length === 0) return { xMm, yMm };
  throw new InputError('not-understood', `--part “${text}” was not understood. Give ${FRAME_PARTS.join(', ')}, or x,y in mm from the middle, seen from the film side.`, {
    path: '--part',
    got: text,
  });
}

/** Falloff as given, or worked out for a part of the frame. */
export function falloffOf(options: ExposureOptions): number | undefined {
  const falloffStops = read(options.falloffStops, '--falloff-stops');
  if (options.part === undefined) return falloffStops;
  if (falloffStops !== undefined) {
    throw new InputError('conflict', 'Give the falloff with --falloff-stops, or the part of the frame with --part, not both.', { path: '--part' });
  }
  if (options.frame === undefined || options.focalMm === undefined) {
    throw new InputError('missing', '--part needs the image area and the focal length: --frame WxH --focal-mm F, or a camera of a workshop.', {
      path: '--frame',
    });
  }
  const [xMm = 0, yMm = 0] = (options.holeShift ?? '0,0').split(',').map(Number);
  return partFalloffStops(
    {
      frame: parseFrame(options.frame),
      focalLengthMm: parseLength(options.focalMm, { defaultUnit: 'mm', path: '--focal-mm' }).mm,
      holeShift: { xMm, yMm },
      filmPlane: chosenFilmPlane(options.filmPlane, null),
    },
    partOf(options.part),
    options.plateEdge,
  );
}
