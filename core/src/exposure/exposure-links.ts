/**
 * The links before reciprocity, each in words, in stops and with its doubt: light, filter, falloff, bare hole, speed.
 */
import { InputError, unreachable } from '../errors.ts';
import { lightColourStops, lightSource } from '../optics/film-light.ts';
import type { ExposureLink, ExposureQuestion, Light } from './answer.ts';
import { formatTime } from './duration.ts';
import { fNumberOfMark } from './f-number.ts';
import {
  BARE_HOLE_STOPS,
  evOfIlluminance,
  evOfLuminance,
  METER_CONSTANT_INCIDENT,
  METER_CONSTANT_REFLECTED,
} from './light.ts';
import { requireWithin } from './limits.ts';
import { findScene, SCENE_SOURCE, sceneEv } from './scenes.ts';

/** k of the range; k = 1 inside the chain. */
export const COVERAGE = 2;
/** Judgement, no source: ±1/3 stop at k = 2 for a careful meter reading, for an EV and for a speed. */
const METER_STOPS = 1 / 6;
const SPEED_STOPS = 1 / 6;
/** Judgement: an exposure index in use is known to half a stop either way at best, even where one figure stands. */
const LEAST_INDEX_HALF_STOPS = 0.5;
/** Judgement: the share of the light on the subject depends on where it faces, and C on the receptor's shape. */
const ILLUMINANCE_STOPS = 1 / 4;
/** Judgement: a filter factor hangs on the light's colour and the film. */
const FILTER_STOPS = 0.1;
/** What a reading stands for. */
const READINGS = {
  reflected: 'Reading of the light from the subject, as if it were a mid grey',
  incident: 'Reading of the light on the subject, whatever its own brightness',
} as const;
/** Judgement: the film's curve is a generic one, and lamps of a kind differ. */
const COLOUR_FLOOR_STOPS = 0.1;
const COLOUR_SHARE = 0.2;
/** What a link says before its effect on the time is known. */
export type Step = Omit<ExposureLink, 'factor' | 'timeStandardUncertaintyStops'>;

export interface LightStep {
  readonly step: Step;
  /** log2 of the metered seconds at f/1, for `iso`. */
  readonly stops: number;
  /** Speed the light was told for: 100 for an EV, the meter's for a reading, `null` the speed in use itself. */
  readonly iso: number | null;
  /** Metered seconds at f/1 without the way through logarithms. */
  readonly atF1S: number;
}

export function figure(value: number, digits = 3): string {
  return String(Number(value.toPrecision(digits)));
}

function fractionOfStop(stops: number): string {
  return `±${(COVERAGE * stops).toFixed(2)} stop at k = 2`;
}

/** The judgement in use, unless the maker gave an uncertainty. */
function doubt(given: number | undefined, judgement: number): { readonly stops: number; readonly words: string } {
  if (given === undefined) return { stops: judgement, words: `${fractionOfStop(judgement)}: judgement, no source` };
  requireWithin(given, 'standardUncertaintyStops');
  return { stops: given, words: `${fractionOfStop(given)} as given` };
}

function fromEv(
  ev100Ev: number,
  words: string,
  uncertainty: { readonly stops: number; readonly reason: string },
): LightStep {
  requireWithin(ev100Ev, 'ev100Ev');
  return {
    step: {
      name: 'light',
      words,
      stops: -ev100Ev,
      standardUncertaintyStops: uncertainty.stops,
      reason: uncertainty.reason,
    },
    stops: -ev100Ev,
    iso: 100,
    atF1S: 2 ** -ev100Ev,
  };
}

export function lightStep(light: Light): LightStep {
  switch (light.kind) {
    case 'ev': {
      const { stops, words } = doubt(light.standardUncertaintyStops, METER_STOPS);
      return fromEv(light.ev100Ev, `EV ${figure(light.ev100Ev, 4)} at ISO 100`, {
        stops,
        reason: `EV as given, ${words}.`,
      });
    }
    case 'illuminance': {
      const { stops, words } = doubt(light.standardUncertaintyStops, ILLUMINANCE_STOPS);
      const ev100Ev = evOfIlluminance(light.illuminanceLux);
      return fromEv(ev100Ev, `${figure(light.illuminanceLux)} lx, EV ${figure(ev100Ev)}`, {
        stops,
        reason: `Light on the subject, ISO 2720 with C = ${METER_CONSTANT_INCIDENT}, ${words}.`,
      });
    }
    case 'luminance': {
      const { stops, words } = doubt(light.standardUncertaintyStops, METER_STOPS);
      const ev100Ev = evOfLuminance(light.luminanceCdPerM2);
      return fromEv(ev100Ev, `${figure(light.luminanceCdPerM2)} cd/m², EV ${figure(ev100Ev)}`, {
        stops,
        reason: `Light from the subject, ISO 2720 with K = ${METER_CONSTANT_REFLECTED}, ${words}.`,
      });
    }
    case 'scene': {
      const scene = findScene(light.scene);
      const worth = sceneEv(scene, light.lighting);
      const given = light.standardUncertaintyStops;
      const { stops, words } = doubt(given, worth.standardUncertaintyStops);
      const [lo, hi] = scene.ev100Ev;
      const lit = light.lighting === undefined || light.lighting === 'front' ? '' : `, ${light.lighting} light`;
      return fromEv(worth.ev100Ev, `${scene.words}${lit}: EV ${figure(worth.ev100Ev)}`, {
        stops,
        reason:
          given === undefined
            ? `${SCENE_SOURCE} (quoted): EV ${lo === hi ? lo : `${lo} to ${hi}`}, printed in whole EV.`
            : `${SCENE_SOURCE} (quoted), ${words}.`,
      });
    }
    case 'meter': {
      requireWithin(light.meteredS, 'meteredS');
      requireWithin(light.fNumber, 'meterFNumber');
      if (light.iso !== undefined) requireWithin(light.iso, 'iso');
      const { stops, words } = doubt(light.standardUncertaintyStops, METER_STOPS);
      const exact = light.isMark === true ? fNumberOfMark(light.fNumber) : light.fNumber;
      const atF1S = light.meteredS / exact ** 2;
      const at = `${formatTime(light.meteredS)} at f/${figure(light.fNumber, 4)}`;
      const kind = light.reading === undefined ? 'Meter reading' : READINGS[light.reading];
      const mark = exact === light.fNumber ? '' : ` The mark f/${light.fNumber} stands for ${figure(exact, 5)}.`;
      return {
        step: {
          name: 'light',
          words: light.iso === undefined ? `${at} at the film's speed` : `${at}, ISO ${figure(light.iso)}`,
          stops: Math.log2(atF1S),
          standardUncertaintyStops: stops,
          reason: `${kind}, ${words}.${mark}`,
        },
        stops: Math.log2(atF1S),
        iso: light.iso ?? null,
        atF1S,
      };
    }
    default:
      return unreachable(light);
  }
}

export interface Speed {
  readonly iso: number | null;
  readonly words: string;
  readonly standardUncertaintyStops: number;
  readonly reason: string;
}

/** The speed in use: own index, given speed, the film's, the middle of a paper's range; `null` where none is needed. */
export function speedInUse(question: ExposureQuestion, light: LightStep): Speed {
  const { film } = question;
  const { stops, words } = doubt(question.speedStandardUncertaintyStops, SPEED_STOPS);
  const given = question.exposureIndex ?? question.iso;
  if (question.exposureIndex !== undefined && question.iso !== undefined && question.exposureIndex !== question.iso) {
    throw new InputError(
      'conflict',
      `Two speeds were given, exposure index ${question.exposureIndex} and ISO ${question.iso}. ` +
        'Give the one you expose at.',
      { path: 'exposureIndex', got: question.exposureIndex, expected: 'one speed' },
    );
  }
  if (given !== undefined) {
    requireWithin(given, 'iso');
    const name = question.exposureIndex !== undefined || film?.exposureIndexRange ? 'exposure index' : 'ISO';
    const learnt = question.exposureIndexLearntInPinhole === true ? ', learnt in a pinhole camera' : '';
    return {
      iso: given,
      words: `${name} ${figure(given)}`,
      standardUncertaintyStops: stops,
      reason: `As given${learnt}, ${words}.`,
    };
  }
  if (film?.iso !== undefined && film.iso !== null) {
    return {
      iso: film.iso,
      words: `ISO ${figure(film.iso)}`,
      standardUncertaintyStops: stops,
      reason: `Film speed of ${film.name}, ${words}.`,
    };
  }
  if (light.iso === null) {
    return {
      iso: null,
      words: "the film's own",
      standardUncertaintyStops: stops,
      reason: `The reading was made at it; ${words}.`,
    };
  }
  if (film?.exposureIndexRange) {
    const [lo, hi] = film.exposureIndexRange;
    const middle = Math.sqrt(lo * hi);
    const half = Math.log2(hi / lo) / 2;
    const judged = Math.max(half, LEAST_INDEX_HALF_STOPS) / Math.sqrt(3);
    const spread = question.speedStandardUncertaintyStops ?? judged;
    return {
      iso: middle,
      words:
        lo === hi
          ? `exposure index ${figure(lo)}`
          : `exposure index ${figure(lo)} to ${figure(hi)}, taken as ${figure(middle, 2)}`,
      standardUncertaintyStops: spread,
      reason: `An exposure index, not a film speed (${film.source}); test your own.`,
    };
  }
  throw new InputError(
    'missing',
    film
      ? `“${film.name}” has no single film speed; give the speed or exposure index you expose it at.`
      : 'Neither a film nor a speed was given; name a film or give the speed you expose at.',
    { path: 'iso', expected: 'a speed, for example 100' },
  );
}

/** What the colour of the light does; nothing in daylight, for which speeds hold. */
export function colourSteps({ lightColour }: ExposureQuestion): Step[] {
  if (lightColour === undefined || lightColour.source === 'daylight') return [];
  const stops = lightColourStops(lightColour);
  const { title } = lightSource(lightColour.source);
  const u = Math.hypot(COLOUR_FLOOR_STOPS, COLOUR_SHARE * stops);
  return [
    {
      name: 'light colour',
      words: title,
      stops,
      standardUncertaintyStops: u,
      reason: `${lightColour.response.title} against a meter that sees like the eye; ${fractionOfStop(u)}, judgement.`,
    },
  ];
}

export function filterStep(question: ExposureQuestion): { readonly factor: number; readonly step: Step } {
  const { filterFactor, filterStops } = question;
  if (filterFactor !== undefined && filterStops !== undefined) {
    throw new InputError('conflict', 'The filter was given as a factor and in stops. Give one of the two.', {
      path: 'filterStops',
      got: filterStops,
      expected: 'a factor or stops',
    });
  }
  if (filterFactor !== undefined) requireWithin(filterFactor, 'filterFactor');
  if (filterStops !== undefined) requireWithin(filterStops, 'filterStops');
  const factor = filterFactor ?? 2 ** (filterStops ?? 0);
  const none = factor === 1;
  return {
    factor,
    step: {
      name: 'filter',
      words: none ? 'none' : `factor ${figure(factor)}`,
      stops: filterStops ?? Math.log2(factor),
      standardUncertaintyStops: none ? 0 : FILTER_STOPS,
      reason: none
        ? 'No filter.'
        : `Before reciprocity; ${fractionOfStop(FILTER_STOPS)} for film and light, judgement.`,
    },
  };
}

/** Steps after the filter that take light away or bring it: falloff always, the bare hole when asked for. */
export function smallSteps(question: ExposureQuestion): Step[] {
  const steps: Step[] = [];
  const { falloffStops, bareHole } = question;
  if (falloffStops !== undefined) {
    requireWithin(falloffStops, 'falloffStops');
    steps.push({
      name: 'falloff',
      words: `${figure(falloffStops)} stops at the part that matters`,
      stops: falloffStops,
      standardUncertaintyStops: 0,
      reason: 'As given, before reciprocity.',
    });
  }
  if (bareHole === true) {
    if (question.exposureIndexLearntInPinhole === true) {
      throw new InputError(
        'conflict',
        'An exposure index learnt in a pinhole camera already holds the bare hole. Leave one of the two out.',
        { path: 'bareHole', got: true, expected: 'off' },
      );
    }
    steps.push({
      name: 'bare hole',
      words: `passes ${BARE_HOLE_STOPS.toFixed(2)} stop more`,
      stops: -BARE_HOLE_STOPS,
      standardUncertaintyStops: 0,
      reason: 'π/4 of the light against the 0.65 of a lens that meters assume; on axis; derived, 0.65 from memory.',
    });
  }
  return steps;
}
