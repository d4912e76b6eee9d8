/**
 * One sheet, many exposures: the dark slide covers the film strip by strip, so that the strips of one sheet rise in
 * equal steps. The plan with positions and seconds, and the reading of the result.
 */
import { InputError, requirePositive } from '../errors.ts';
import { monotoneCurve } from '../numeric/monotone-curve.ts';
import { formatTime, roundedTimeS } from './duration.ts';
import type { Trial } from './learning.ts';

/** Which way the slide goes: pulled out first and pushed in, or in first and pulled out. */
export type SlideWay = 'push-in' | 'pull-out';

export interface StepTestQuestion {
  /** The time thought right, for the middle strip. */
  readonly middleS: number;
  /** 3 to 12 strips. */
  readonly count: number;
  /** From strip to strip, 1/3 to 2. */
  readonly stepStops: number;
  /** Length of the film along the slide's travel, as exposed. */
  readonly lengthMm: number;
  readonly way: SlideWay;
  /** Left out: 0.3 s. */
  readonly handReactionS?: number;
}

export interface StepStrip {
  /** 1 is the one with the least light. */
  readonly index: number;
  /** From the slide's inner end, where its tip lies when it is in. */
  readonly fromMm: number;
  readonly toMm: number;
  /** Sum of its exposures. */
  readonly totalS: number;
  /** Against the time thought right. */
  readonly differenceStops: number;
}

export interface StepMove {
  readonly index: number;
  /** How far the slide is out during this exposure. */
  readonly slideOutMm: number;
  readonly exposureS: number;
  /** `Slide 88 mm out, expose 7 s.` */
  readonly words: string;
}

export interface StepTestPlan {
  /** Least light first. */
  readonly strips: readonly StepStrip[];
  /** In the order of the work. */
  readonly moves: readonly StepMove[];
  readonly totalS: number;
  /** How far a step is off after rounding to times a watch shows, at most. */
  readonly roundingStops: number;
  readonly sentence: string;
  readonly cautions: readonly string[];
}

const HAND_S = 0.3;
/** A hand may be off by so much before a step is spoilt. */
const HAND_STOPS = 1 / 6;
/** Narrower strips are hard to judge by eye beside each other's edges. Common practice, no source. */
const LEAST_STRIP_MM = 8;
const MANY = 12;

function requireQuestion(question: StepTestQuestion): void {
  requirePositive(question.middleS, 'the time for the middle strip', 's');
  requirePositive(question.lengthMm, 'the length of the film', 'mm');
  const { count, stepStops } = question;
  if (!Number.isInteger(count) || count < 3 || count > MANY) {
    throw new InputError('out-of-range', `A step test has 3 to ${MANY} strips, but ${count} were asked for.`, {
      path: 'count',
      got: count,
      expected: `3…${MANY}`,
    });
  }
  if (!(stepStops >= 1 / 3 - 1e-9 && stepStops <= 2)) {
    throw new InputError('out-of-range', `The strips must lie 1/3 to 2 stops apart, but ${stepStops} was asked for.`, {
      path: 'stepStops',
      got: stepStops,
      expected: '1/3…2 stops',
    });
  }
}

/**
 * Positions of the dark slide and seconds for a one-sheet test whose strips rise in equal steps.
 *   T_k = T_middle · 2^(step·(k − middle)); each exposure is the difference of two neighbouring totals
 * Valid: constant light; the shutter closed while the slide moves. The longest strip is exposed in several pieces, which
 * a film does not take quite as one long exposure (intermittency; with so few pieces well below a tenth of a stop,
 * judgement).
 * @throws InputError not-positive, out-of-range
 */
export function planStepTest(question: StepTestQuestion): StepTestPlan {
  requireQuestion(question);
  const { count, stepStops, lengthMm, middleS, way } = question;
  const reactionS = question.handReactionS ?? HAND_S;
  const middle = (count - 1) / 2;
  const totals = Array.from({ length: count }, (_, i) => roundedTimeS(middleS * 2 ** (stepStops * (i - middle))));
  const pieces = totals.map((totalS, i) => totalS - (totals[i - 1] ?? 0));
  const widthMm = lengthMm / count;
  // the slide's tip uncovers the inner end first: that strip is open longest
  const strips = totals.map((totalS, i): StepStrip => ({
    index: i + 1,
    fromMm: (count - 1 - i) * widthMm,
    toMm: (count - i) * widthMm,
    totalS,
    differenceStops: Math.log2(totalS / middleS),
  }));
  const order = Array.from({ length: count }, (_, i) => (way === 'push-in' ? i : count - 1 - i));
  const moves = order.map((piece, i): StepMove => {
    const slideOutMm = (count - piece) * widthMm;
    const exposureS = pieces[piece] ?? 0;
    return {
      index: i + 1,
      slideOutMm,
      exposureS,
      words: `Slide ${piece === 0 ? `fully out (${slideOutMm.toFixed(0)} mm)` : `${slideOutMm.toFixed(0)} mm out`}, expose ${formatTime(exposureS)}.`,
    };
  });
  const steps = totals.slice(1).map((totalS, i) => Math.log2(totalS / (totals[i] ?? totalS)));
  const totalS = totals.at(-1) ?? 0;
  const cautions: string[] = [];
  const shortest = Math.min(...pieces);
  if (reactionS > 0 && Math.log2(1 + (reactionS * Math.SQRT2) / shortest) > HAND_STOPS) {
    cautions.push(
      `The shortest exposure is ${formatTime(shortest)}: too short for a hand that may be ${reactionS} s off. ` +
        'Take a grey filter or less light, and plan again.',
    );
  }
  if (widthMm < LEAST_STRIP_MM) {
    cautions.push(`The strips are ${widthMm.toFixed(1)} mm wide: take fewer strips to be able to judge them.`);
  }
  cautions.push('Close the shutter before the slide moves; aim at an evenly lit, plain wall or card that fills the frame.');
  const first = strips[0]?.totalS ?? 0;
  return {
    strips,
    moves,
    totalS,
    roundingStops: Math.max(...steps.map((step) => Math.abs(step - stepStops))),
    sentence:
      `${count} strips of ${widthMm.toFixed(0)} mm from ${formatTime(first)} to ${formatTime(totalS)}, ` +
      `${Number(stepStops.toFixed(2))} ${stepStops === 1 ? 'stop' : 'stops'} apart; the whole sheet takes ${formatTime(totalS)} of open shutter.`,
    cautions,
  };
}

/** What was read off one strip. */
export interface StripReading {
  readonly totalS: number;
  readonly density?: number;
  readonly verdict?: 'too light' | 'right' | 'too dark';
}

export interface SheetReadingQuestion {
  /** Metered time at the nominal speed, filter and falloff included. */
  readonly meteredS: number;
  readonly strips: readonly StripReading[];
  /** Density wanted for the target, base and fog not counted. Left out: 0.70 for film, 0.60 for paper. */
  readonly targetDensity?: number;
  /** Of the film outside the picture; 0 when the readings are above it already. */
  readonly baseDensity?: number;
  /** k = 1, of one reading. Left out: 0.02. */
  readonly densityStandardUncertainty?: number;
  /** True for a positive, which turns lighter with more light. */
  readonly positive?: boolean;
}

export interface SheetReading {
  readonly trials: readonly Trial[];
  /** Time at which the density is the wanted one; `null` when it lies outside the strips or there were no densities. */
  readonly rightS: number | null;
  /** k = 1 */
  readonly standardUncertaintyStops: number | null;
  readonly sentence: string;
  readonly cautions: readonly string[];
}

/** Common practice, no source: a mid tone on a negative, above base and fog. */
export const TARGET_DENSITY_FILM = 0.7;
/** The density at which a paper's speed is stated, above its white; from memory. @source iso6846 */
export const TARGET_DENSITY_PAPER = 0.6;
const DENSITY_U = 0.02;
/** Doubt of one strip's light, k = 1: slide, hand and evenness of the target. Judgement. */
const STRIP_STOPS = 0.08;

/** Each strip as a verdict of its own. */
function verdictTrials(question: SheetReadingQuestion, verdict: (strip: StripReading) => StripReading['verdict']): Trial[] {
  return question.strips.flatMap((strip): Trial[] => {
    const word = verdict(strip);
    return word === undefined
      ? []
      : [{ kind: 'verdict', meteredS: question.meteredS, givenS: strip.totalS, verdict: word }];
  });
}

/**
 * What a step sheet tells, as trials for `learnFilm`: the time that gives the wanted density, between two strips on a
 * monotone curve of density over the logarithm of time; or, without a densitometer, a verdict for each strip.
 * @throws InputError not-positive, missing, out-of-range, conflict (densities that go up and down)
 * @source fritsch-carlson1980
 */
export function readStepSheet(question: SheetReadingQuestion): SheetReading {
  requirePositive(question.meteredS, 'the metered time', 's');
  const strips = [...question.strips].sort((a, b) => a.totalS - b.totalS);
  for (const { totalS } of strips) requirePositive(totalS, 'the time of a strip', 's');
  const measured = strips.filter((strip) => strip.density !== undefined);
  if (measured.length === 0) {
    const trials = verdictTrials({ ...question, strips }, (strip) => strip.verdict);
    if (trials.length === 0) {
      throw new InputError('missing', 'No strip has a density or a verdict: give one for each strip you can judge.', {
        path: 'strips',
      });
    }
    const right = strips.filter(({ verdict }) => verdict === 'right').map(({ totalS }) => totalS);
    const words = right.map((totalS) => formatTime(totalS)).join(', ');
    return {
      trials,
      rightS: null,
      standardUncertaintyStops: null,
      sentence: right.length === 0 ? 'No strip is right: the sheet only says which side the right time is on.' : `Right: ${words}.`,
      cautions: right.length === 0 ? ['Make another sheet further to the side that is still wrong.'] : [],
    };
  }
  if (measured.length < 2) {
    throw new InputError('missing', 'One density alone tells nothing: give at least two strips.', { path: 'strips' });
  }
  const sign = question.positive === true ? -1 : 1;
  const u = question.densityStandardUncertainty ?? DENSITY_U;
  const base = question.baseDensity ?? 0;
  const target = question.targetDensity ?? TARGET_DENSITY_FILM;
  const knots = measured.map(({ totalS, density }) => ({ x: Math.log2(totalS), y: sign * ((density ?? 0) - base) }));
  const wanted = sign * target;
  const cautions: string[] = [];
  knots.forEach((knot, i) => {
    const before = knots[i - 1];
    if (before !== undefined && knot.y < before.y - 4 * u) {
      throw new InputError(
        'conflict',
        `The density turns back between ${formatTime(2 ** before.x)} and ${formatTime(2 ** knot.x)}: ` +
          'check the order of the strips, or leave out those past the film’s limit.',
        { path: 'strips', got: knot.y },
      );
    }
    // a dip within the doubt is flat, so that the curve stays monotone
    if (before !== undefined) knots[i] = { x: knot.x, y: Math.max(knot.y, before.y) };
  });
  const lowest = knots[0]?.y ?? 0;
  const highest = knots.at(-1)?.y ?? 0;
  if (wanted < lowest || wanted > highest) {
    const tooMuch = wanted < lowest;
    const verdict = tooMuch === (question.positive !== true) ? 'too dark' : 'too light';
    return {
      trials: verdictTrials({ ...question, strips: measured }, () => verdict),
      rightS: null,
      standardUncertaintyStops: null,
      sentence: `Every strip has too ${tooMuch ? 'much' : 'little'} light: the wanted density ${target.toFixed(2)} lies outside the sheet.`,
      cautions: [`Make another sheet with ${tooMuch ? 'shorter' : 'longer'} times.`],
    };
  }
  const at = (x: number): number => monotoneCurve(knots, x);
  let lo = knots[0]?.x ?? 0;
  let hi = knots.at(-1)?.x ?? 0;
  const [left, right] = [lo, hi];
  for (let step = 0; step < 60; step++) {
    const middle = (lo + hi) / 2;
    if (at(middle) < wanted) lo = middle;
    else hi = middle;
  }
  const x = (lo + hi) / 2;
  const slope = (at(Math.min(right, x + 0.05)) - at(Math.max(left, x - 0.05))) / (Math.min(right, x + 0.05) - Math.max(left, x - 0.05));
  const gapStops = gapAround(knots, x);
  const standardUncertaintyStops = Math.hypot(u / Math.max(slope, 0.02), STRIP_STOPS, gapStops / 12);
  if (slope < 0.1) cautions.push('The density hardly changes at this point (toe or shoulder): the time is uncertain.');
  const rightS = 2 ** x;
  return {
    trials: [{ kind: 'match', meteredS: question.meteredS, rightS, standardUncertaintyStops }],
    rightS,
    standardUncertaintyStops,
    sentence: `The wanted density ${target.toFixed(2)} lies at ${formatTime(rightS)}, give or take ${(2 * standardUncertaintyStops).toFixed(1)} stop.`,
    cautions,
  };
}

/** Distance between the strips on both sides of a place, stops. */
function gapAround(knots: readonly { readonly x: number }[], x: number): number {
  const next = knots.findIndex((knot) => knot.x >= x);
  const after = knots[Math.max(1, next)];
  const before = knots[Math.max(1, next) - 1];
  return after === undefined || before === undefined ? 0 : after.x - before.x;
}

/**
 * Densities of patches from a scan that holds a step wedge of known densities.
 *   monotone curve through (value, density) of the wedge; values outside it give `null`
 * Valid: wedge and sheet in one scan, without automatic corrections.
 * @param question wedge of at least two steps, values of any scale
 * @throws InputError missing, conflict
 * @source fritsch-carlson1980
 */
export function densitiesFromWedge(question: {
  readonly wedge: readonly { readonly density: number; readonly value: number }[];
  readonly values: readonly number[];
}): (number | null)[] {
  const steps = [...question.wedge].sort((a, b) => a.value - b.value);
  if (steps.length < 2) {
    throw new InputError('missing', 'The wedge needs two steps or more, each with its density and its value.', { path: 'wedge' });
  }
  const rising = (steps.at(-1)?.density ?? 0) > (steps[0]?.density ?? 0);
  const fits = steps.every(({ density, value }, i) => {
    const before = steps[i - 1];
    return before === undefined || (value > before.value && density !== before.density && density > before.density === rising);
  });
  if (!fits) {
    throw new InputError('conflict', 'The wedge’s values do not rise or fall with its densities: check the order of the steps.', {
      path: 'wedge',
    });
  }
  const sign = rising ? 1 : -1;
  const knots = steps.map(({ density, value }) => ({ x: value, y: sign * density }));
  const [first, last] = [knots[0]?.x ?? 0, knots.at(-1)?.x ?? 0];
  return question.values.map((value) => (value < first || value > last ? null : sign * monotoneCurve(knots, value)));
}

export interface WedgeReading {
  /** One for each strip in their order; `null`: lighter or darker than the wedge. */
  readonly densities: readonly (number | null)[];
  /** Those that the wedge reaches, as `readStepSheet` wants them. */
  readonly strips: readonly StripReading[];
  /** What was read, and what was not. */
  readonly sentence: string;
}

/**
 * The strips of a sheet from a scan with a wedge beside them.
 * @param question times and values of the strips, and the wedge as for `densitiesFromWedge`
 * @throws InputError as `densitiesFromWedge`
 */
export function stripsFromWedge(question: {
  readonly timesS: readonly number[];
  readonly values: readonly number[];
  readonly wedge: readonly { readonly density: number; readonly value: number }[];
}): WedgeReading {
  const { timesS } = question;
  const densities = densitiesFromWedge(question);
  const strips = timesS.flatMap((totalS, i): StripReading[] => {
    const density = densities[i];
    return density === null || density === undefined ? [] : [{ totalS, density }];
  });
  const beyond = timesS.filter((_, i) => (densities[i] ?? null) === null).map((timeS) => formatTime(timeS));
  return {
    densities,
    strips,
    sentence:
      (strips.length === 0
        ? 'No strip lies within the wedge: check where strips and wedge are in the scan.'
        : `Read ${strips.map(({ totalS, density }) => `${(density ?? 0).toFixed(2)} at ${formatTime(totalS)}`).join(', ')}.`) +
      (beyond.length === 0 || strips.length === 0 ? '' : ` Lighter or darker than the wedge: ${beyond.join(', ')}.`),
  };
}
