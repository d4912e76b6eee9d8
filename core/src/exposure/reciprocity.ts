/**
 * Reciprocity: how much longer than metered a material needs. The corrected time is never below the metered, rises
 * with it, and what lies past the published figures says so. Filters and falloff come before, nothing after.
 */
import type { Evidence, Film, ReciprocityLaw } from './film.ts';
import { PRACTICE_LIMIT_S, rowTimeS } from './film-record.ts';
import { requirePositive } from '../errors.ts';
import { monotoneCurve } from '../numeric/monotone-curve.ts';
import type { AlternateTime, ReciprocityState } from './answer.ts';

export interface Correction {
  readonly state: ReciprocityState;
  readonly correctedS: number;
  /** log2(corrected / metered), ≥ 0 */
  readonly correctionStops: number;
  /** k = 1, of the correction alone, in stops of the corrected time. */
  readonly standardUncertaintyStops: number;
  /** Metered time of the last published figure; `null` where the law has no stated end or there is none. */
  readonly publishedToS: number | null;
  readonly notRecommended: boolean;
  /** Without any figure: how much longer common practice goes at most, as a factor; else 1. */
  readonly practiceFactor: number;
  readonly source: string;
  readonly evidence: Evidence;
  /** Where the figure and its uncertainty come from. */
  readonly reason: string;
}

/** How evidence is said in a sentence. */
export const EVIDENCE_WORDS: Readonly<Record<Evidence, string>> = {
  published: 'read in the document',
  'second-hand': 'quoted by others',
  memory: 'from memory',
  tested: 'from your own tests',
  none: 'no source',
};

/**
 * Least standard uncertainty of a published correction and its share of the correction. Judgement, no source:
 * rows are printed in thirds or halves of a stop (±1/6 → 0.1), emulsion and development do the rest; what was
 * quoted or remembered is trusted less.
 */
const DOUBT: Readonly<Record<Evidence, { readonly floorStops: number; readonly share: number }>> = {
  published: { floorStops: 0.1, share: 0.1 },
  'second-hand': { floorStops: 0.15, share: 0.15 },
  memory: { floorStops: 0.2, share: 0.2 },
  tested: { floorStops: 0.1, share: 0.1 },
  none: { floorStops: 0.2, share: 0.2 },
};
/** Past the last figure: half of what the straight continuation adds, at least this per doubling. Judgement. */
const EXTRAPOLATION_SHARE = 0.5;
const EXTRAPOLATION_PER_DOUBLING_STOPS = 0.1;
/** Keeps a time that differs from a printed row by rounding only on the row's side of a printed step. */
const ROUNDING = 1 + 1e-12;

/** Common practice, no source: without figures ×2 beyond 1 s, ×3 to ×4 beyond 10 s; paper: ×2, or nothing. */
const PRACTICE_FACTOR_AFTER_1_S = 2;
const PRACTICE_FACTOR_AFTER_10_S = 4;

function isPaper(film: Film): boolean {
  return film.kind === 'paper' || film.kind === 'direct-positive-paper';
}

/** Metered time up to which the document, or common practice where it is silent, asks for no correction. */
function limitS(film: Film): number {
  return film.noCorrectionUpToS ?? (film.law.model === 'none' ? PRACTICE_LIMIT_S : 0);
}

/**
 * Correction of a table in stops at log2 of the metered time: 0 up to the limit, the rows at their nodes, monotone
 * between, straight on after the last with the last segment's slope. Where the first row lies at the limit itself
 * the document prints a step, and so does this.
 */
function tableStops(
  rows: Extract<ReciprocityLaw, { model: 'table' }>['rows'],
  limit: number,
  meteredS: number,
): number {
  const t = meteredS * ROUNDING;
  const first = rows[0];
  if (first === undefined || (t < first.meteredS && meteredS <= limit)) return 0;
  const knots = rows.map((row) => ({ x: Math.log2(row.meteredS), y: Math.log2(rowTimeS(row) / row.meteredS) }));
  if (limit > 0 && limit < first.meteredS) knots.unshift({ x: Math.log2(limit), y: 0 });
  return monotoneCurve(knots, Math.log2(meteredS));
}

/** T of a law at a metered time, s, before any question of how far it is published. */
function lawTimeS(law: ReciprocityLaw, limit: number, t: number): number {
  switch (law.model) {
    case 'none':
      return t;
    case 'table': {
      const row = law.rows.find((published) => Math.abs(published.meteredS - t) <= 1e-12 * t);
      return row === undefined ? t * 2 ** tableStops(law.rows, limit, t) : rowTimeS(row);
    }
    case 'power': // T = t^P, where validFromS = 1 s; in general t·(t/from)^(P−1), so that it begins without a step
      return t <= law.validFromS ? t : t * (t / law.validFromS) ** (law.exponent - 1);
    case 'covington': // log1p and expm1 keep T ≥ t for the shortest times
      return Math.max(t, Math.expm1(Math.log1p(t) / law.p));
    case 'modified-schwarzschild':
      return t + law.coefficient * t ** law.exponent;
  }
}

function publishedToS(law: ReciprocityLaw): number | null {
  if (law.model === 'none') return null;
  if (law.model === 'table') return law.rows[law.rows.length - 1]?.meteredS ?? null;
  return law.validToS;
}

/**
 * Time to give, s, by the maker's figures. Without figures the metered time itself (ask `reciprocity` for the range).
 * Valid: T ≥ t, rising, continuous apart from steps that a document prints.
 * @param meteredS > 0, filter and falloff included
 * @throws InputError not-positive
 * @source fritsch-carlson1980
 */
export function correctedTimeS(film: Film, meteredS: number): number {
  requirePositive(meteredS, 'metered time', 's');
  return lawTimeS(film.law, limitS(film), meteredS);
}

/** Halvings that leave the last bit of a time. */
const HALVINGS = 60;

/**
 * The other way round: the metered time for which this much is right, s. What an exposure that ran long, or was cut
 * short, is worth on this film.
 * Valid: 0 < t ≤ T, rising with T; where a document prints a step, times inside the step are worth its foot.
 * @param givenS > 0
 * @throws InputError not-positive
 */
export function effectiveTimeS(film: Film | null, givenS: number): number {
  requirePositive(givenS, 'given time', 's');
  if (film === null) return givenS;
  let hi = 0;
  if (correctedTimeS(film, givenS) <= givenS) return givenS;
  let lo = -1;
  while (correctedTimeS(film, givenS * 2 ** lo) > givenS) lo *= 2;
  for (let step = 0; step < HALVINGS; step++) {
    const middle = (lo + hi) / 2;
    if (correctedTimeS(film, givenS * 2 ** middle) > givenS) hi = middle;
    else lo = middle;
  }
  return givenS * 2 ** lo;
}

/** Doubt of a correction, k = 1: never more than the correction itself, so that it grows from nothing. */
function doubtStops(film: Film, correctionStops: number): number {
  const { floorStops, share } = DOUBT[film.evidence];
  return Math.min(correctionStops, Math.hypot(floorStops, share * correctionStops));
}

function withoutFigures(film: Film, meteredS: number): Correction {
  const after10 = isPaper(film) ? PRACTICE_FACTOR_AFTER_1_S : PRACTICE_FACTOR_AFTER_10_S;
  const practiceFactor = meteredS > 10 ? after10 : PRACTICE_FACTOR_AFTER_1_S;
  const stated = film.noCorrectionUpToS;
  const what = isPaper(film)
    ? 'many workers give paper the metered time, others twice that'
    : 'without figures ×2 beyond 1 s and ×3 to ×4 beyond 10 s';
  return {
    state: 'no-data',
    correctedS: meteredS,
    correctionStops: 0,
    standardUncertaintyStops: 0,
    publishedToS: stated,
    notRecommended: false,
    practiceFactor,
    source:
      stated === null
        ? `no figure for long exposures of ${film.name}: metered time, range from common practice, no source`
        : `${film.source}: no figure beyond ${stated} s; metered time, range from common practice, no source`,
    evidence: 'none',
    reason: `Common practice, no source: ${what}.`,
  };
}

/**
 * What reciprocity does to a metered time on a film, with its source, its doubt and how far it is published.
 * @param meteredS > 0, filter and falloff included
 * @throws InputError not-positive
 */
export function reciprocity(film: Film, meteredS: number): Correction {
  requirePositive(meteredS, 'metered time', 's');
  const limit = limitS(film);
  const end = publishedToS(film.law);
  const notRecommended = film.notRecommendedFromS !== null && meteredS * ROUNDING >= film.notRecommendedFromS;
  const correctedS = correctedTimeS(film, meteredS);
  const correctionStops = Math.log2(correctedS / meteredS);
  const common = { correctedS, correctionStops, publishedToS: end, notRecommended, practiceFactor: 1 };
  if (correctionStops === 0 && meteredS <= limit) {
    const stated = film.noCorrectionUpToS !== null;
    return {
      ...common,
      state: 'none-needed',
      standardUncertaintyStops: 0,
      source: stated ? film.source : 'common practice, no source: no correction up to 1 s',
      evidence: stated ? film.evidence : 'none',
      reason: stated
        ? `${film.source}: no correction up to ${limit} s.`
        : 'Common practice, no source: no correction up to 1 s.',
    };
  }
  if (film.law.model === 'none') return { ...withoutFigures(film, meteredS), notRecommended };
  const base = doubtStops(film, correctionStops);
  const doubt = DOUBT[film.evidence];
  const how = `doubt ${doubt.floorStops} stop and ${doubt.share * 100} % of the correction, judgement`;
  if (end === null || meteredS <= end * ROUNDING) {
    return {
      ...common,
      state: 'corrected',
      standardUncertaintyStops: base,
      source: film.source,
      evidence: film.evidence,
      reason: `${film.source} (${EVIDENCE_WORDS[film.evidence]}); ${how}.`,
    };
  }
  const atEnd = reciprocity(film, end).correctionStops;
  const beyond = Math.max(
    EXTRAPOLATION_SHARE * (correctionStops - atEnd),
    EXTRAPOLATION_PER_DOUBLING_STOPS * Math.log2(meteredS / end),
  );
  return {
    ...common,
    state: 'extrapolated',
    standardUncertaintyStops: Math.hypot(base, beyond),
    source: `${film.source}; extrapolated beyond ${end} s`,
    evidence: film.evidence,
    reason:
      `${film.source} (${EVIDENCE_WORDS[film.evidence]}) ends at ${end} s metered; carried on ` +
      `${film.law.model === 'table' ? 'with the slope of its last segment' : 'by the same law'}: a guess; ${how}.`,
  };
}

/** What independent figures say where they reach; those that end short of this time say nothing. */
export function alternateTimes(film: Film, meteredS: number): AlternateTime[] {
  requirePositive(meteredS, 'metered time', 's');
  return film.alternates.flatMap((alternate) => {
    const { law } = alternate;
    const end = publishedToS(law);
    const start = law.model === 'table' ? (law.rows[0]?.meteredS ?? Infinity) : 0;
    if (law.model === 'none' || meteredS * ROUNDING < start || (end !== null && meteredS > end * ROUNDING)) return [];
    return [
      {
        name: alternate.name,
        correctedS: lawTimeS(law, 0, meteredS),
        source: alternate.source,
        evidence: alternate.evidence,
      },
    ];
  });
}
