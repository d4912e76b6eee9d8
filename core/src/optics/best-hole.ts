/**
 * The best hole for a focal length, how flat the best is, and the focal length that a given hole is best
 * for. All in c = d / √(λ f′): the band depends on the criterion and the loss allowed, never on the camera.
 */
import { InputError, requirePositive } from '../errors.ts';
import { brentRoot } from '../numeric/roots.ts';
import { MM_PER_NM, diffractionLengthMm, requireObjectDistance } from './conjugates.ts';
import type { Conjugates } from './conjugates.ts';
import { CRITERIA, criterionFacts } from './criteria.ts';
import type { Criterion, CriterionFacts } from './criteria.ts';
import { firstCrossing, lowestContrastUpTo } from './round-hole.ts';

/** What a maker need not notice: a loss of one part in twenty. */
export const DEFAULT_LOSS_SHARE = 0.05;

export interface BestHoleQuestion extends Conjugates {
  readonly criterion: Criterion;
  /** How much worse than the best the band may be; 0 < share ≤ 0.5. Default 0.05. */
  readonly lossShare?: number;
}

export interface BestHole {
  readonly criterion: Criterion;
  readonly diameterMm: number;
  /** c in d = c √(λ f′). */
  readonly constant: number;
  /** Smallest and largest diameter within the loss. */
  readonly bandMm: readonly [number, number];
  readonly bandLossShare: number;
  /** What stays within the loss, as a sentence. */
  readonly bandMeaning: string;
  /** Key in docs/SOURCES.md. */
  readonly sourceKey: string;
}

/**
 * How much worse than the best a hole is under a criterion, 0 at the best: the share of frequency or
 * brightness lost; for the traditional constants the share by which the sum of the two blurs has grown.
 */
function lossShareAt(facts: CriterionFacts, c: number): number {
  const { merit, constant } = facts;
  switch (merit.kind) {
    case 'limiting-frequency':
      return 1 - firstCrossing(c, merit.contrast) / merit.q;
    case 'peak-per-energy':
      return 1 - peakPerEnergy(c) / peakPerEnergy(constant);
    case 'centre':
      return 1 - Math.sin((Math.PI * c * c) / 8) ** 2;
    case 'two-blurs':
      // w(c) / w(constant) - 1 with w = c + constant² / c
      return (c / constant + constant / c) / 2 - 1;
  }
}

/** 4 sin²(π N_F / 2) / c², up to a factor. */
function peakPerEnergy(c: number): number {
  return (Math.sin((Math.PI * c * c) / 8) / c) ** 2;
}

type Band = readonly [number, number];

/** The unbroken stretch of c around the best within which the loss stays below `lossShare`. */
function band(facts: CriterionFacts, lossShare: number): Band {
  const { merit, constant } = facts;
  switch (merit.kind) {
    case 'limiting-frequency': {
      // within the band exactly when no frequency up to the limit falls below the contrast: a smooth test,
      // although the limit itself may jump when the OTF dips and rises again
      const limit = merit.q * (1 - lossShare);
      return edges((c) => lowestContrastUpTo(c, limit) - merit.contrast, constant, limit);
    }
    case 'peak-per-energy':
      return edges((c) => peakPerEnergy(c) - (1 - lossShare) * peakPerEnergy(constant), constant, 0);
    case 'centre': {
      const half = Math.acos(Math.sqrt(1 - lossShare));
      const edge = (x: number): number => Math.sqrt((8 / Math.PI) * x);
      return [edge(Math.PI / 2 - half), edge(Math.PI / 2 + half)];
    }
    case 'two-blurs': {
      const spread = 1 + lossShare + Math.sqrt((1 + lossShare) ** 2 - 1);
      return [constant / spread, constant * spread];
    }
  }
}

/** Walk from the best to either side until the spare is used up, then find the very place. */
function edges(spare: (c: number) => number, constant: number, smallest: number): Band {
  const step = 0.1;
  let low = constant - step;
  while (low > smallest && spare(low) > 0) low -= step;
  let high = constant + step;
  while (spare(high) > 0) high += step;
  return [
    brentRoot(spare, Math.max(low, smallest), low + step, 1e-12),
    brentRoot(spare, high - step, high, 1e-12),
  ];
}

const USUAL_BANDS: ReadonlyMap<Criterion, Band> = new Map(
  CRITERIA.map((facts) => [facts.id, band(facts, DEFAULT_LOSS_SHARE)]),
);

function bandOf(facts: CriterionFacts, lossShare: number): Band {
  const usual = lossShare === DEFAULT_LOSS_SHARE ? USUAL_BANDS.get(facts.id) : undefined;
  return usual ?? band(facts, lossShare);
}

/** @throws InputError out-of-range */
export function requireLossShare(lossShare: number): void {
  if (!(lossShare > 0 && lossShare <= 0.5)) {
    throw new InputError('out-of-range', `lossShare must lie above 0 and up to 0.5, but is ${lossShare}.`, {
      path: 'lossShare',
      got: lossShare,
      expected: '0 < share ≤ 0.5',
    });
  }
}

/** What stays within the loss, as a sentence. */
export function bandMeaning(facts: CriterionFacts, lossShare: number): string {
  const percent = `${Number((100 * lossShare).toPrecision(3))} %`;
  if (facts.merit.kind !== 'two-blurs') return `${facts.measuredIn} stays within ${percent} of the best`;
  return (
    `${facts.measuredIn} grows by at most ${percent} (a traditional constant has no merit of its own; this sum is `
    + 'least at exactly it)'
  );
}

/**
 * The best hole by a criterion, with the band of diameters that lose little.
 *   d = c √(λ f′),  1 / f′ = 1 / f + 1 / u
 * Valid: thin round hole, Fresnel regime, on the axis, one wavelength.
 * @param question all > 0; object distance may be infinite; 0 < lossShare ≤ 0.5
 * @throws InputError not-positive, out-of-range, unknown-name
 * @source optics-notes 1
 */
export function bestHole(question: BestHoleQuestion): BestHole {
  const lengthMm = diffractionLengthMm(question);
  const lossShare = question.lossShare ?? DEFAULT_LOSS_SHARE;
  requireLossShare(lossShare);
  const facts = criterionFacts(question.criterion);
  const [low, high] = bandOf(facts, lossShare);
  return {
    criterion: facts.id,
    diameterMm: facts.constant * lengthMm,
    constant: facts.constant,
    bandMm: [low * lengthMm, high * lengthMm],
    bandLossShare: lossShare,
    bandMeaning: bandMeaning(facts, lossShare),
    sourceKey: facts.sourceKey,
  };
}

export interface BandCost {
  /** How much worse than the best, as `BestHole.bandMeaning` measures it; 0 at the best. */
  readonly lossShare: number;
  /** Light against the best hole; negative is darker. */
  readonly lightStops: number;
  readonly place: 'below' | 'within' | 'above';
}

/**
 * What a hole in hand costs against the best one.
 * Valid: as `bestHole`.
 * @param question as for `bestHole`, and the diameter > 0
 * @throws InputError not-positive, out-of-range, unknown-name
 * @source optics-notes 1
 */
export function bandCost(question: BestHoleQuestion & { readonly diameterMm: number }): BandCost {
  requirePositive(question.diameterMm, 'diameterMm', 'mm');
  const best = bestHole(question);
  const c = question.diameterMm / diffractionLengthMm(question);
  const loss = lossShareAt(criterionFacts(question.criterion), c);
  const [low, high] = best.bandMm;
  return {
    // rounding may leave the best hole itself a hair better than the best
    lossShare: Math.max(0, loss),
    lightStops: 2 * Math.log2(question.diameterMm / best.diameterMm),
    place: question.diameterMm < low ? 'below' : question.diameterMm > high ? 'above' : 'within',
  };
}

export interface SuitedFocalLength {
  /** The focal length this hole is best for; null when no camera is long enough (see `reason`). */
  readonly focalLengthMm: number | null;
  /** Shortest and longest focal length for which the hole lies in the band; the longest may be `Infinity`. */
  readonly rangeMm: readonly [number, number] | null;
  readonly reason: string | null;
}

/**
 * The focal length that a hole is best for.
 *   f′ = d² / (c² λ),  1 / f = 1 / f′ - 1 / u
 * A near object shortens f′, so a large hole may be too large for every camera at that distance.
 * Valid: as `bestHole`.
 * @param question all > 0; object distance may be infinite; 0 < lossShare ≤ 0.5
 * @throws InputError not-positive, out-of-range, unknown-name
 * @source optics-notes 1
 */
export function suitedFocalLength(
  question: Omit<BestHoleQuestion, 'focalLengthMm'> & { readonly diameterMm: number },
): SuitedFocalLength {
  const { diameterMm, objectDistanceMm, wavelengthNm } = question;
  requirePositive(diameterMm, 'diameterMm', 'mm');
  requirePositive(wavelengthNm, 'wavelengthNm', 'nm');
  requireObjectDistance(objectDistanceMm);
  const lossShare = question.lossShare ?? DEFAULT_LOSS_SHARE;
  requireLossShare(lossShare);
  const facts = criterionFacts(question.criterion);
  const [low, high] = bandOf(facts, lossShare);
  const focalMm = (c: number): number => {
    const shortenedMm = diameterMm ** 2 / (c * c * wavelengthNm * MM_PER_NM);
    return shortenedMm < objectDistanceMm ? shortenedMm / (1 - shortenedMm / objectDistanceMm) : Infinity;
  };
  const shortest = focalMm(high);
  const best = focalMm(facts.constant);
  const tooLarge =
    `The hole is larger than the best one for any focal length with the object at ${objectDistanceMm} mm.`;
  return {
    focalLengthMm: Number.isFinite(best) ? best : null,
    rangeMm: Number.isFinite(shortest) ? [shortest, focalMm(low)] : null,
    reason: Number.isFinite(best) ? null : tooLarge,
  };
}
