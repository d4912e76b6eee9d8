/**
 * What a maker's own tests say of a film or paper in this camera: the exposure index and one parameter of the law of
 * long exposures, with how well the tests tell them, and a plain word where they do not.
 */
import { InputError, requirePositive } from '../errors.ts';
import { formatTime, roundedTimeS } from './duration.ts';
import type { Film, FilmKind, ReciprocityLaw } from './film.ts';
import { PRACTICE_LIMIT_S, filmFrom } from './film-record.ts';
import { requireWithin } from './limits.ts';
import { correctedTimeS, effectiveTimeS } from './reciprocity.ts';

/** Verdicts are on the negative, or on the positive where there is none. */
export type Verdict = 'too light' | 'right' | 'too dark';

/** One thing learnt: a verdict on one exposure, or the time found right. Metered at the nominal speed, filter included. */
export type Trial =
  | { readonly kind: 'verdict'; readonly meteredS: number; readonly givenS: number; readonly verdict: Verdict }
  | {
      readonly kind: 'match';
      readonly meteredS: number;
      readonly rightS: number;
      /** k = 1, in stops of time. */
      readonly standardUncertaintyStops: number;
    };

/** Laws with one parameter to learn; T = t + a·t^b with b = 1.62. */
export type LearntLaw = 'power' | 'covington' | 'modified-schwarzschild';

export interface LearnQuestion {
  /** What is tested; its kind says how much error a right one may hide. */
  readonly film: Film;
  /** The speed the times were metered at. */
  readonly exposureIndex: number;
  readonly trials: readonly Trial[];
  /** Left out: power. */
  readonly law?: LearntLaw;
}

/** What the tests tell: both; the index alone, with the maker's law or none; a bound; or nothing yet. */
export type Telling = 'index and reciprocity' | 'index' | 'bound' | 'nothing';

export interface Learnt {
  readonly telling: Telling;
  readonly exposureIndex: number;
  /** 95 %, slowest first. */
  readonly exposureIndexRangeIso: readonly [number, number];
  /** k = 1, in stops. */
  readonly indexStandardUncertaintyStops: number;
  readonly law: LearntLaw;
  /** P, p or a; `null` when the tests do not tell it. */
  readonly lawParameter: { readonly value: number; readonly low: number; readonly high: number; readonly standardUncertainty: number } | null;
  /** Of index (in stops) and parameter, −1…1. */
  readonly correlationShare: number;
  /** What the tests mean for times: metered at the nominal speed → to give, with 95 %. */
  readonly times: readonly { readonly meteredS: number; readonly givenS: number; readonly rangeS: readonly [number, number] }[];
  /** In order of the trials: how far each lies from the fit, in stops of light; positive = more light than needed. */
  readonly residualStops: readonly number[];
  /** Metered times of the shortest and longest trial. */
  readonly testedS: readonly [number, number];
  /** The film with what was learnt, ready to be kept. */
  readonly film: Film;
  readonly sentence: string;
  readonly cautions: readonly string[];
}

/** A grid over everything possible: index from 1/16 to 16 times the nominal, parameter over the whole of its range. */
const INDEX_HALF_STOPS = 4;
const INDEX_STEPS = 161;
const PARAMETER_STEPS = 81;
const MODIFIED_EXPONENT = 1.62;
const PARAMETER: Readonly<Record<LearntLaw, { readonly from: number; readonly to: number }>> = {
  power: { from: 1, to: 1.8 },
  covington: { from: 0.5, to: 1 },
  'modified-schwarzschild': { from: 0, to: 0.8 },
};

/**
 * How far a right exposure may be off, stops of light: film −½ … +2, paper and reversal ±½. Common practice, no source.
 */
function latitudeStops(kind: FilmKind): readonly [number, number] {
  return kind === 'bw-negative' || kind === 'colour-negative' || kind === 'x-ray' ? [-0.5, 2] : [-0.5, 0.5];
}

/** A positive turns dark for want of light. */
export function isPositive(kind: FilmKind): boolean {
  return kind === 'direct-positive-paper' || kind.startsWith('colour-reversal') || kind === 'instant';
}

/** Judgement: an eye's verdict blurs by so much; one test in fifty is simply wrong. */
const EYE_STOPS = 0.35;
const LAPSE_SHARE = 0.02;
/** Judgement: from sheet to sheet development and metering move a match by so much, k = 1. */
const SHEET_STOPS = 0.12;

/** Distribution function of the normal law, to 1e-7. @source abramowitz1964 26.2.17 */
function normalShare(x: number): number {
  const t = 1 / (1 + 0.2316419 * Math.abs(x));
  const tail =
    (Math.exp((-x * x) / 2) / Math.sqrt(2 * Math.PI)) *
    t *
    (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
  return x >= 0 ? 1 - tail : tail;
}

function lawOf(law: LearntLaw, parameter: number, validToS: number | null): ReciprocityLaw {
  switch (law) {
    case 'power':
      return { model: 'power', exponent: parameter, validFromS: PRACTICE_LIMIT_S, validToS };
    case 'covington':
      return { model: 'covington', p: parameter, validToS };
    case 'modified-schwarzschild':
      return { model: 'modified-schwarzschild', coefficient: parameter, exponent: MODIFIED_EXPONENT, validToS };
  }
}

function withLaw(film: Film, law: ReciprocityLaw): Film {
  return { ...film, law, noCorrectionUpToS: law.model === 'power' ? law.validFromS : null, notRecommendedFromS: null };
}

function givenOf(trial: Trial): number {
  return trial.kind === 'verdict' ? trial.givenS : trial.rightS;
}

/** ln of how likely a trial is when the film got `x` stops more than it needs. */
function logLikelihood(trial: Trial, xStops: number, kind: FilmKind): number {
  if (trial.kind === 'match') {
    const u = Math.hypot(trial.standardUncertaintyStops, SHEET_STOPS);
    const peak = (sd: number): number => Math.exp(-0.5 * (xStops / sd) ** 2) / sd;
    // one sheet in twenty may be quite wrong without carrying the rest away
    return Math.log(0.95 * peak(u) + 0.05 * peak(Math.hypot(u, 2)));
  }
  const [lo, hi] = latitudeStops(kind);
  const over = normalShare((xStops - hi) / EYE_STOPS);
  const under = normalShare((lo - xStops) / EYE_STOPS);
  const light = isPositive(kind) ? over : under;
  const dark = isPositive(kind) ? under : over;
  const share = { 'too light': light, 'too dark': dark, right: Math.max(0, 1 - light - dark) }[trial.verdict];
  return Math.log((1 - LAPSE_SHARE) * share + LAPSE_SHARE / 3);
}

interface Grid {
  readonly indexStops: Float64Array;
  readonly parameters: Float64Array;
  /** Parameter after parameter, each over all indices; adds to 1. */
  readonly weights: Float64Array;
}

/** What is left possible of index and parameter after the trials; every value in the grid the same before them. */
function posterior(question: LearnQuestion, laws: readonly { readonly parameter: number; readonly film: Film }[]): Grid {
  const indexStops = Float64Array.from(
    { length: INDEX_STEPS },
    (_, i) => INDEX_HALF_STOPS * ((2 * i) / (INDEX_STEPS - 1) - 1),
  );
  const weights = new Float64Array(laws.length * INDEX_STEPS);
  laws.forEach(({ film }, row) => {
    const worth = question.trials.map((trial) => Math.log2(effectiveTimeS(film, givenOf(trial)) / trial.meteredS));
    for (let i = 0; i < INDEX_STEPS; i++) {
      // a film faster than nominal needs less: x = log2(worth / metered) + log2(index / nominal)
      let sum = 0;
      for (const [j, trial] of question.trials.entries()) {
        sum += logLikelihood(trial, (worth[j] ?? 0) + (indexStops[i] ?? 0), film.kind);
      }
      weights[row * INDEX_STEPS + i] = sum;
    }
  });
  const most = weights.reduce((best, value) => Math.max(best, value), -Infinity);
  let total = 0;
  for (let i = 0; i < weights.length; i++) {
    const weight = Math.exp((weights[i] ?? 0) - most);
    weights[i] = weight;
    total += weight;
  }
  for (let i = 0; i < weights.length; i++) weights[i] = (weights[i] ?? 0) / total;
  return { indexStops, parameters: Float64Array.from(laws, ({ parameter }) => parameter), weights };
}

/** Quantile of values with weights that add to 1. */
function quantile(values: readonly { readonly at: number; readonly weight: number }[], share: number): number {
  let sum = 0;
  let before: { at: number; sum: number } | null = null;
  for (const { at, weight } of values) {
    const middle = sum + weight / 2;
    if (middle >= share) {
      if (before === null || middle === before.sum) return at;
      return before.at + ((at - before.at) * (share - before.sum)) / (middle - before.sum);
    }
    before = { at, sum: middle };
    sum += weight;
  }
  return values.at(-1)?.at ?? 0;
}

interface Spread {
  readonly median: number;
  readonly low: number;
  readonly high: number;
  readonly mean: number;
  readonly sd: number;
}

function spreadOf(values: { readonly at: number; readonly weight: number }[]): Spread {
  const sorted = values.sort((a, b) => a.at - b.at);
  const mean = sorted.reduce((sum, { at, weight }) => sum + at * weight, 0);
  const variance = sorted.reduce((sum, { at, weight }) => sum + weight * (at - mean) ** 2, 0);
  return {
    median: quantile(sorted, 0.5),
    low: quantile(sorted, 0.025),
    high: quantile(sorted, 0.975),
    mean,
    sd: Math.sqrt(variance),
  };
}

function requireTrials(question: LearnQuestion): void {
  requireWithin(question.exposureIndex, 'iso');
  if (question.trials.length === 0) {
    throw new InputError('missing', 'There is no test to learn from: give at least one exposure with its verdict.', {
      path: 'trials',
    });
  }
  for (const trial of question.trials) {
    requirePositive(trial.meteredS, 'the metered time of a test', 's');
    requirePositive(givenOf(trial), 'the given time of a test', 's');
    if (trial.kind === 'match') requireWithin(trial.standardUncertaintyStops, 'standardUncertaintyStops');
  }
}

/** The index is told when 95 % lie within so many stops; the parameter when 95 % lie within this share of its range. */
const TOLD_INDEX_STOPS = 3;
const TOLD_SHARE = 0.4;
/** Times for which the consequence is given, s. */
const SHOWN_S = [1, 10, 60, 600, 3600];

interface Fit {
  readonly laws: readonly { readonly parameter: number; readonly film: Film }[];
  readonly grid: Grid;
  readonly index: Spread;
  readonly parameter: Spread;
}

function fitted(question: LearnQuestion, laws: Fit['laws']): Fit {
  const grid = posterior(question, laws);
  const index: { at: number; weight: number }[] = [];
  for (let i = 0; i < INDEX_STEPS; i++) {
    let weight = 0;
    for (let row = 0; row < laws.length; row++) weight += grid.weights[row * INDEX_STEPS + i] ?? 0;
    index.push({ at: grid.indexStops[i] ?? 0, weight });
  }
  const parameter = laws.map(({ parameter: at }, row) => {
    let weight = 0;
    for (let i = 0; i < INDEX_STEPS; i++) weight += grid.weights[row * INDEX_STEPS + i] ?? 0;
    return { at, weight };
  });
  return { laws, grid, index: spreadOf(index), parameter: spreadOf(parameter) };
}

function correlation(fit: Fit): number {
  const { grid, index, parameter } = fit;
  if (index.sd === 0 || parameter.sd === 0) return 0;
  let sum = 0;
  for (const [row, { parameter: at }] of fit.laws.entries()) {
    for (let i = 0; i < INDEX_STEPS; i++) {
      sum += (grid.weights[row * INDEX_STEPS + i] ?? 0) * (at - parameter.mean) * ((grid.indexStops[i] ?? 0) - index.mean);
    }
  }
  return sum / (index.sd * parameter.sd);
}

function timesOf(fit: Fit): Learnt['times'] {
  return SHOWN_S.map((meteredS) => {
    const values: { at: number; weight: number }[] = [];
    for (const [row, { film }] of fit.laws.entries()) {
      for (let i = 0; i < INDEX_STEPS; i++) {
        const weight = fit.grid.weights[row * INDEX_STEPS + i] ?? 0;
        if (weight < 1e-9) continue;
        values.push({ at: Math.log2(correctedTimeS(film, meteredS * 2 ** -(fit.grid.indexStops[i] ?? 0))), weight });
      }
    }
    const { median, low, high } = spreadOf(values);
    return { meteredS, givenS: 2 ** median, rangeS: [2 ** low, 2 ** high] };
  });
}

/** True when the range leans on the end of the grid: the tests only say on which side it lies. */
function isBound({ low, high }: Spread): boolean {
  return low < -0.97 * INDEX_HALF_STOPS || high > 0.97 * INDEX_HALF_STOPS;
}

function figure(value: number, digits = 2): string {
  return String(Number(value.toPrecision(digits)));
}

/**
 * Exposure index and reciprocity from a maker's own tests.
 *   x = log2(t_worth(T; law) / t_metered) + log2(index / nominal), the stops a trial had too much; a match says x = 0,
 *   a verdict on which side of the latitude x lies. Every index within four stops and every parameter of the law are
 *   the same before the tests (a flat prior); what is left after them is summed over a grid, no shape assumed.
 * Valid: trials of one batch, one development; latitude and blur of the eye are judgements stated in the code. Where the
 * tests cannot tell reciprocity, the film's own law is kept and only the index fitted, and the answer says so.
 * @param question at least one trial
 * @throws InputError missing, not-positive, out-of-range
 * @source engineering-judgement
 */
export function learnFilm(question: LearnQuestion): Learnt {
  requireTrials(question);
  const { film, trials, exposureIndex } = question;
  const law = question.law ?? 'power';
  const metered = trials.map(({ meteredS }) => meteredS);
  const testedS: readonly [number, number] = [Math.min(...metered), Math.max(...metered)];
  const { from, to } = PARAMETER[law];
  const laws = Array.from({ length: PARAMETER_STEPS }, (_, i) => {
    const parameter = from + ((to - from) * i) / (PARAMETER_STEPS - 1);
    return { parameter, film: withLaw(film, lawOf(law, parameter, null)) };
  });
  const both = fitted(question, laws);
  const share = (both.parameter.high - both.parameter.low) / (to - from);
  const tellsLaw = share <= TOLD_SHARE && both.index.high - both.index.low <= TOLD_INDEX_STOPS + 1 && testedS[1] > PRACTICE_LIMIT_S;
  // the maker's law; where there is none, an index for times like those tested, which holds what reciprocity did there
  const fit = tellsLaw ? both : fitted(question, [{ parameter: NaN, film }]);
  const { index } = fit;
  const told = index.high - index.low <= TOLD_INDEX_STOPS && !isBound(index);
  const telling: Telling = !told ? (index.high - index.low > 1.5 * INDEX_HALF_STOPS ? 'nothing' : 'bound') : tellsLaw ? 'index and reciprocity' : 'index';
  const at = exposureIndex * 2 ** index.median;
  const range: readonly [number, number] = [exposureIndex * 2 ** index.low, exposureIndex * 2 ** index.high];
  const chosen = tellsLaw ? withLaw(film, lawOf(law, both.parameter.median, testedS[1] * 2 ** -index.median)) : film;
  const parameter = tellsLaw
    ? { value: both.parameter.median, low: both.parameter.low, high: both.parameter.high, standardUncertainty: both.parameter.sd }
    : null;
  const learntFilm =
    telling === 'bound' || telling === 'nothing'
      ? film
      : filmFrom({
          ...chosen,
          id: undefined,
          name: `${film.name}, as tested`,
          alsoNamed: [],
          iso: Number(at.toPrecision(3)),
          exposureIndexRange: null,
          ...(tellsLaw
            ? { source: `own tests: ${trials.length} exposures, ${formatTime(testedS[0])} to ${formatTime(testedS[1])} metered`, evidence: 'tested', alternates: film.alternates }
            : {}),
        });
  const residualStops = trials.map(
    (trial) => Math.log2(effectiveTimeS(chosen, givenOf(trial)) / trial.meteredS) + index.median,
  );
  return {
    telling,
    exposureIndex: at,
    exposureIndexRangeIso: range,
    indexStandardUncertaintyStops: index.sd,
    law,
    lawParameter: parameter,
    correlationShare: tellsLaw ? correlation(both) : 0,
    times: timesOf(fit),
    residualStops,
    testedS,
    film: learntFilm,
    ...wordsOf(question, { telling, index: at, range, parameter, testedS, residualStops }),
  };
}

const PARAMETER_NAMES: Readonly<Record<LearntLaw, string>> = {
  power: 'T = t^P with P',
  covington: 'T = (t + 1)^(1/p) − 1 with p',
  'modified-schwarzschild': 'T = t + a·t^1.62 with a',
};

function wordsOf(
  question: LearnQuestion,
  fit: {
    readonly telling: Telling;
    readonly index: number;
    readonly range: readonly [number, number];
    readonly parameter: Learnt['lawParameter'];
    readonly testedS: readonly [number, number];
    readonly residualStops: readonly number[];
  },
): Pick<Learnt, 'sentence' | 'cautions'> {
  const { film, trials, exposureIndex } = question;
  const { telling, range, testedS, parameter } = fit;
  const cautions: string[] = [];
  const between = `${figure(range[0])} to ${figure(range[1])}`;
  let sentence: string;
  switch (telling) {
    case 'index and reciprocity':
      sentence =
        `Expose ${film.name} at ${figure(fit.index)} (95 %: ${between}); long exposures follow ` +
        `${PARAMETER_NAMES[question.law ?? 'power']} = ${figure(parameter?.value ?? 0, 3)} (${figure(parameter?.low ?? 0, 3)} to ${figure(parameter?.high ?? 0, 3)}).`;
      break;
    case 'index':
      sentence = `Expose ${film.name} at ${figure(fit.index)} (95 %: ${between}).`;
      cautions.push(
        film.law.model === 'none'
          ? 'The tests do not tell how it tires in long exposures, and there is no figure for it: the index holds for times like those tested.'
          : `The tests do not tell how it tires in long exposures; the figures of its list entry are kept (${film.source}).`,
      );
      break;
    case 'bound':
      sentence = `The tests only bound the speed of ${film.name}: ${between} is left possible.`;
      break;
    case 'nothing':
      sentence = `These tests cannot tell the speed of ${film.name} yet: everything from ${between} is left possible.`;
      break;
  }
  if (telling === 'bound' || telling === 'nothing') {
    const verdicts = new Set(trials.map((trial) => (trial.kind === 'verdict' ? trial.verdict : 'match')));
    const more = verdicts.size === 1 && (verdicts.has('too light') || verdicts.has('too dark'));
    cautions.push(
      more
        ? `All verdicts are “${[...verdicts].join()}”: go ${verdicts.has('too dark') === !isPositive(film.kind) ? 'shorter' : 'longer'} until one is right.`
        : 'Make one sheet in five strips a stop apart, and judge each.',
    );
  } else if (telling === 'index') {
    const apart = Math.log2(testedS[1] / testedS[0]);
    const much = testedS[0] > 30 ? testedS[0] / 16 : Math.max(testedS[1], 1) * (apart < 4 ? 16 : 4);
    cautions.push(
      testedS[1] <= PRACTICE_LIMIT_S
        ? `All tests lie below ${PRACTICE_LIMIT_S} s metered. One more sheet near ${formatTime(roundedTimeS(60))} metered, with a grey filter or in less light, tells more.`
        : `The tests lie within ${Math.max(1, Math.ceil(apart))} stop${apart > 1 ? 's' : ''} of light. One more sheet near ${formatTime(roundedTimeS(much))} metered tells more.`,
    );
  }
  const worst = Math.max(...fit.residualStops.map(Math.abs));
  const matched = trials.some((trial) => trial.kind === 'match');
  if (matched && worst > 0.75) {
    cautions.push(`One test lies ${worst.toFixed(1)} stops from the rest: check its times before trusting the fit.`);
  }
  if (Math.abs(Math.log2(fit.index / exposureIndex)) > 2 && (telling === 'index' || telling === 'index and reciprocity')) {
    cautions.push(
      `That is ${Math.abs(Math.log2(fit.index / exposureIndex)).toFixed(1)} stops from the ${figure(exposureIndex, 3)} metered with: look for a wrong f-number or a light leak first.`,
    );
  }
  cautions.push('An index learnt in a pinhole camera already holds the bare hole: leave that constant out with it.');
  return { sentence, cautions };
}
