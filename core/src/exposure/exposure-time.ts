/**
 * The answer to “how long do I expose?”: light, hole, filter, falloff, speed, reciprocity, hand, in this order,
 * each link with its own doubt.
 */
import { unreachable } from '../errors.ts';
import type { ExposureAnswer, ExposureLink, ExposureQuestion } from './answer.ts';
import { COVERAGE, colourSteps, figure, filterStep, lightStep, smallSteps, speedInUse } from './exposure-links.ts';
import type { Step } from './exposure-links.ts';
import { sentenceOf } from './exposure-sentence.ts';
import { fNumberUncertaintyStops } from './f-number.ts';
import type { Film } from './film.ts';
import { requireNonNegative, requireWithin } from './limits.ts';
import { alternateTimes, correctedTimeS, reciprocity } from './reciprocity.ts';
import type { Correction } from './reciprocity.ts';

/** Judgement: opening and closing by hand, each way at most so far off. */
const HAND_REACTION_S = 0.3;

const WITHOUT_FILM: Omit<Correction, 'correctedS'> = {
  state: 'not-applied',
  correctionStops: 0,
  standardUncertaintyStops: 0,
  publishedToS: null,
  notRecommended: false,
  practiceFactor: 1,
  source: 'no film named: no reciprocity applied, the time is the metered time',
  evidence: 'none',
  reason: 'No film named, so no reciprocity is in the time.',
};

function correctionOf(film: Film | null, meteredS: number): Correction {
  return film === null ? { ...WITHOUT_FILM, correctedS: meteredS } : reciprocity(film, meteredS);
}

/** Half-width of the hand's error as a standard uncertainty in stops; rectangular. */
function handStops(reactionS: number, timeS: number): number {
  return Math.log2(1 + reactionS / Math.sqrt(3) / timeS);
}

function rootSumSquare(values: readonly number[]): number {
  return Math.hypot(...values);
}

/** Half a stop where the time is known to that, else whole stops. */
function bracketFor(spreadStops: number): number {
  return spreadStops < 0.75 ? 0.5 : Math.round(Math.max(1, spreadStops));
}

/**
 * How long to expose, as a sentence with a range, and the chain behind it.
 *   t = (N²/2^EV)·(100/S)·filter·2^falloff, then T = reciprocity(t)
 * The range is k = 2: doubts before reciprocity are applied to the metered time and carried through the curve, so the
 * long side grows more; the curve's own doubt and the hand's are added in quadrature. Figures of others for the same
 * film widen the range up to themselves; without any figure common practice does.
 * Valid: constant light; uncorrelated doubts.
 * @param question every quantity within the limits of its kind
 * @throws InputError out-of-range, negative, missing, conflict, unknown-name
 * @source iso2720
 * @source jcgm100 5.1.2
 */
export function exposureTime(question: ExposureQuestion): ExposureAnswer {
  const film = question.film ?? null;
  requireWithin(question.fNumber, 'fNumber');
  const holeDoubt = question.fNumberStandardUncertainty;
  if (holeDoubt !== undefined) requireNonNegative(holeDoubt, 'uncertainty of the f-number', '');
  const reactionS = question.handReactionS ?? HAND_REACTION_S;
  requireWithin(reactionS, 'handReactionS');

  const light = lightStep(question.light);
  const speed = speedInUse(question, light);
  const filter = filterStep(question);
  const small = smallSteps(question);
  const colour = colourSteps(question);
  const isoRatio = light.iso === null || speed.iso === null ? 1 : light.iso / speed.iso;

  const smallFactor = [...small, ...colour].reduce((factor, step) => factor * 2 ** step.stops, 1);
  const unfilteredS = light.atF1S * question.fNumber ** 2 * isoRatio * smallFactor;
  const meteredS = unfilteredS * filter.factor;

  const before: Step[] = [
    light.step,
    ...colour,
    {
      name: 'hole',
      words: `f/${figure(question.fNumber, 4)}`,
      stops: 2 * Math.log2(question.fNumber),
      standardUncertaintyStops:
        holeDoubt === undefined
          ? 0
          : fNumberUncertaintyStops({ fNumber: question.fNumber, fNumberStandardUncertainty: holeDoubt }),
      reason:
        holeDoubt === undefined
          ? 'No uncertainty given: taken as exact. A hole 10 % off in diameter is 0.28 stop.'
          : `±${figure(COVERAGE * holeDoubt, 2)} at k = 2 from diameter and focal length.`,
    },
    filter.step,
    ...small,
    {
      name: 'speed',
      words: speed.words,
      stops: Math.log2(isoRatio),
      standardUncertaintyStops: speed.standardUncertaintyStops,
      reason: speed.reason,
    },
  ];

  const correction = correctionOf(film, meteredS);
  const { correctedS } = correction;
  const timeAt = (shiftStops: number): number => {
    const t = meteredS * 2 ** shiftStops;
    return film === null ? t : correctedTimeS(film, t);
  };
  const alternates = film === null || correction.state === 'none-needed' ? [] : alternateTimes(film, meteredS);

  const metered = COVERAGE * rootSumSquare(before.map((step) => step.standardUncertaintyStops));
  const handU = handStops(reactionS, correctedS);
  const own = COVERAGE * Math.hypot(correction.standardUncertaintyStops, handU);
  const shorter = Math.hypot(Math.log2(correctedS / timeAt(-metered)), own);
  const longer = Math.hypot(Math.log2(timeAt(metered) / correctedS), own);
  const practice = correction.practiceFactor;
  const rangeS: [number, number] = [
    Math.min(correctedS * 2 ** -shorter, ...alternates.map((other) => other.correctedS)),
    Math.max(correctedS * 2 ** longer * practice, ...alternates.map((other) => other.correctedS)),
  ];

  // how much a doubt before reciprocity grows on its way through it: the mean slope of the curve over the range
  const stretch = metered > 0 ? Math.log2(timeAt(metered) / timeAt(-metered)) / (2 * metered) : 1;
  const disagreement = Math.max(0, ...alternates.map((other) => Math.abs(Math.log2(other.correctedS / correctedS))));
  const reciprocityU = Math.max(
    correction.standardUncertaintyStops,
    disagreement / COVERAGE,
    Math.log2(practice) / COVERAGE,
  );
  const linked = (step: Step, timeStandardUncertaintyStops: number): ExposureLink => ({
    ...step,
    factor: 2 ** step.stops,
    timeStandardUncertaintyStops,
  });
  const chain: ExposureLink[] = [
    ...before.map((step) => linked(step, step.standardUncertaintyStops * stretch)),
    linked(
      {
        name: 'reciprocity',
        words: reciprocityWords(film, correction),
        stops: Math.log2(correctedS / meteredS),
        standardUncertaintyStops: reciprocityU,
        reason:
          disagreement > 0
            ? `${correction.reason} Other figures for it differ by up to ${disagreement.toFixed(1)} stops.`
            : correction.reason,
      },
      reciprocityU,
    ),
    linked(
      {
        name: 'hand',
        words: reactionS === 0 ? 'none' : `±${figure(reactionS)} s on the shutter`,
        stops: 0,
        standardUncertaintyStops: handU,
        reason:
          reactionS === 0 ? 'A shutter that needs no hand.' : 'Opening and closing by hand; judgement, no source.',
      },
      handU,
    ),
  ];
  const largest = chain.reduce((most, link) =>
    link.timeStandardUncertaintyStops > most.timeStandardUncertaintyStops ? link : most,
  );
  // the bracket is in exposure on the film: one stop more light is more than one stop of time
  const spread = Math.max(metered, (COVERAGE * reciprocityU) / Math.max(stretch, 1), COVERAGE * handU);
  if (question.bracketStops !== undefined) requireWithin(question.bracketStops, 'bracketStops');
  const bracketStops = question.bracketStops ?? bracketFor(spread);
  const answer: Omit<ExposureAnswer, 'sentence' | 'cautions'> = {
    meteredS,
    unfilteredS,
    correctedS,
    rangeS,
    extrapolated: correction.state === 'extrapolated' || correction.state === 'no-data',
    state: correction.state,
    correctionStops: correction.correctionStops,
    source: correction.source,
    evidence: correction.evidence,
    film: film?.name ?? null,
    iso: speed.iso,
    notRecommended: correction.notRecommended,
    alternates,
    chain,
    largestUncertainty: largest.name,
    bracketStops,
    bracketS: [timeAt(-bracketStops), correctedS, timeAt(bracketStops)],
  };
  return {
    ...answer,
    ...sentenceOf(answer, { film, correction, question, reactionS, longestS: meteredS * 2 ** metered }),
  };
}

function reciprocityWords(film: Film | null, correction: Correction): string {
  switch (correction.state) {
    case 'not-applied':
      return 'none, no film named';
    case 'none-needed':
      return `${film?.name ?? 'film'}: none needed`;
    case 'no-data':
      return `${film?.name ?? 'film'}: no figure`;
    case 'corrected':
      return `${film?.name ?? 'film'}: +${correction.correctionStops.toFixed(2)} stop`;
    case 'extrapolated':
      return `${film?.name ?? 'film'}: +${correction.correctionStops.toFixed(2)} stop, extrapolated`;
    default:
      return unreachable(correction.state);
  }
}
