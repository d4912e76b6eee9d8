/**
 * The best hole in the light that a film sees. Everything depends on d²/(λᵢ f′) alone, so for a given light each
 * criterion has again one constant, c = d / √(λ̄ f′) with λ̄ the mean wavelength; line i of the light then stands at
 * cᵢ = c s and qᵢ = q / s with s = √(λ̄ / λᵢ).
 */
import { ModelError, requirePositive } from '../errors.ts';
import { brentMinimum, brentRoot } from '../numeric/roots.ts';
import { DEFAULT_LOSS_SHARE, bandMeaning, requireLossShare } from './best-hole.ts';
import type { BandCost, BestHole, SuitedFocalLength } from './best-hole.ts';
import { MM_PER_NM, requireObjectDistance } from './conjugates.ts';
import { criterionFacts } from './criteria.ts';
import type { Criterion, CriterionFacts } from './criteria.ts';
import { overlapOtf, overlapOtfSlope } from './round-hole.ts';
import { meanWavelengthNm } from './seen-light.ts';
import type { SeenLight } from './seen-light.ts';
import { requireView } from './view.ts';
import type { HoleView } from './view.ts';

export interface LightHoleQuestion extends HoleView {
  readonly criterion: Criterion;
  /** How much worse than the best the band may be; 0 < share ≤ 0.5. Default 0.05. */
  readonly lossShare?: number;
}

export interface BestHoleInLight extends BestHole {
  /** Of the light that the film sees; `constant` refers to it. */
  readonly meanWavelengthNm: number;
}

/** A line of the light on the scale of its mean. */
interface Tone {
  /** √(λ̄ / λᵢ) */
  readonly s: number;
  readonly weight: number;
}

function tonesOf(light: SeenLight): Tone[] {
  const mean = meanWavelengthNm(light);
  return light
    .filter(({ weightShare }) => weightShare > 0)
    .map(({ wavelengthNm, weightShare }) => ({ s: Math.sqrt(mean / wavelengthNm), weight: weightShare }));
}

function otf(tones: readonly Tone[], c: number, q: number): number {
  let sum = 0;
  for (const { s, weight } of tones) sum += weight * overlapOtf(c * s, q / s);
  return sum;
}

function otfSlope(tones: readonly Tone[], c: number, q: number): number {
  let sum = 0;
  for (const { s, weight } of tones) sum += weight * s * overlapOtfSlope(c * s, q / s);
  return sum;
}

/** c of the hole that shows q with the most contrast. */
function sharpest(tones: readonly Tone[], q: number): { c: number; contrast: number } {
  const step = 1 / 8;
  const smallest = Math.min(...tones.map(({ s }) => q / (s * s)));
  // beyond every best c: see `envelope.ts`
  const largest = Math.max(2, q) + 1.2 * Math.cbrt(0.52 / q) + 0.5;
  let best = { c: smallest + step, contrast: -Infinity };
  for (let c = smallest + step; c < largest; c += step) {
    const contrast = otf(tones, c, q);
    if (contrast > best.contrast) best = { c, contrast };
  }
  const slope = (c: number): number => otfSlope(tones, c, q);
  const c = brentRoot(slope, Math.max(best.c - step, smallest + 1e-9), best.c + step);
  return { c, contrast: otf(tones, c, q) };
}

/** The highest q that any hole shows with this contrast, and that hole. */
function highest(tones: readonly Tone[], contrast: number): { c: number; q: number } {
  const spare = (q: number): number => sharpest(tones, q).contrast - contrast;
  const guess = Math.min(Math.max(-0.58 * Math.log(contrast), 0.002), 2.9);
  let low = guess;
  while (spare(low) < 0) low *= 0.9;
  let high = guess;
  while (spare(high) > 0) high *= 1.1;
  const q = brentRoot(spare, low, high, 1e-12);
  return { c: sharpest(tones, q).c, q };
}

/** Frequencies to look at so that no ripple of the OTF slips between: they are about 1/c wide. */
function stepOf(tones: readonly Tone[], c: number): number {
  return Math.min(...tones.map(({ s }) => Math.min(c * s, 1 / (c * s)) * s)) / 8;
}

/** The frequency at which the contrast falls to `contrast` for the first time. */
function crossing(tones: readonly Tone[], c: number, contrast: number): number {
  const excess = (q: number): number => otf(tones, c, q) - contrast;
  const step = stepOf(tones, c);
  let before = 1 - contrast;
  let here = excess(step);
  let low = 0;
  for (let k = 1; here > 0; k++) {
    const after = excess((k + 1) * step);
    if (here <= before && here <= after) {
      const dip = brentMinimum(excess, (k - 1) * step, (k + 1) * step, 1e-9);
      if (dip.value <= 0) return brentRoot(excess, (k - 1) * step, dip.at);
    }
    low = k * step;
    before = here;
    here = after;
  }
  return brentRoot(excess, low, low + step);
}

/** What a criterion weighs, larger is better; its best c is found by `bestOf`. */
function meritOf(facts: CriterionFacts, tones: readonly Tone[]): (c: number) => number {
  const { merit, constant } = facts;
  const centre = (c: number): number =>
    tones.reduce((sum, { s, weight }) => sum + weight * Math.sin((Math.PI * c * c * s * s) / 8) ** 2, 0);
  switch (merit.kind) {
    case 'limiting-frequency':
      return (c) => crossing(tones, c, merit.contrast);
    case 'peak-per-energy':
      return (c) => centre(c) / (c * c);
    case 'centre':
      return centre;
    case 'two-blurs':
      return (c) => 1 / (c + constant ** 2 / c);
  }
}

function bestOf(facts: CriterionFacts, tones: readonly Tone[], merit: (c: number) => number): { c: number; merit: number } {
  if (facts.merit.kind === 'two-blurs') return { c: facts.constant, merit: merit(facts.constant) };
  if (facts.merit.kind === 'limiting-frequency') {
    const { c, q } = highest(tones, facts.merit.contrast);
    return { c, merit: q };
  }
  let at = 0.8;
  for (let c = 0.8; c < 3; c += 0.05) if (merit(c) > merit(at)) at = c;
  const { at: c, value } = brentMinimum((x) => -merit(x), at - 0.1, at + 0.1, 1e-10);
  return { c, merit: -value };
}

/** The unbroken stretch of c about the best where the merit is at least `least`. */
function bandAbout(best: { c: number }, merit: (c: number) => number, least: number): [number, number] {
  const spare = (c: number): number => merit(c) - least;
  const edge = (direction: 1 | -1): number => {
    const step = 0.05;
    let inside = best.c;
    for (let outside = inside + direction * step; ; outside += direction * step) {
      if (outside <= 0.02 || outside > 12) {
        throw new ModelError('not-converged', 'The merit does not fall off on both sides of the best hole.', { got: outside });
      }
      if (spare(outside) < 0) {
        // bisection: a limiting frequency may jump
        for (let away = outside; Math.abs(away - inside) > 1e-9; ) {
          const middle = (away + inside) / 2;
          if (spare(middle) < 0) away = middle;
          else inside = middle;
        }
        return inside;
      }
      inside = outside;
    }
  };
  return [edge(-1), edge(1)];
}

interface Solved {
  readonly facts: CriterionFacts;
  readonly lossShare: number;
  readonly meanNm: number;
  readonly best: { readonly c: number; readonly merit: number };
  readonly band: readonly [number, number];
  readonly merit: (c: number) => number;
}

function solve(question: Pick<LightHoleQuestion, 'criterion' | 'lossShare' | 'light'>): Solved {
  const lossShare = question.lossShare ?? DEFAULT_LOSS_SHARE;
  requireLossShare(lossShare);
  const facts = criterionFacts(question.criterion);
  const tones = tonesOf(question.light);
  const merit = meritOf(facts, tones);
  const best = bestOf(facts, tones, merit);
  // the traditional constants have no merit of their own: there the blurs may grow by the loss
  const least = facts.merit.kind === 'two-blurs' ? best.merit / (1 + lossShare) : (1 - lossShare) * best.merit;
  const band = bandAbout(best, merit, least);
  return { facts, lossShare, meanNm: meanWavelengthNm(question.light), best, band, merit };
}

function lengthMm(question: HoleView, meanNm: number): number {
  return Math.sqrt((meanNm * MM_PER_NM) / (1 / question.focalLengthMm + 1 / question.objectDistanceMm));
}

/**
 * The best hole by a criterion in the light that the film sees, with its band.
 *   d = c √(λ̄ f′), c by maximising the criterion’s merit with OTF = Σ wᵢ OTFᵢ
 * Valid: thin round hole, Fresnel regime, on the axis; agrees with `bestHole` for one wavelength.
 * @param question all > 0; object distance may be infinite; 0 < lossShare ≤ 0.5
 * @throws InputError not-positive, out-of-range, unknown-name, missing
 * @source optics-notes 1
 */
export function bestHoleInLight(question: LightHoleQuestion): BestHoleInLight {
  requireView(question);
  const { facts, lossShare, meanNm, best, band } = solve(question);
  const scaleMm = lengthMm(question, meanNm);
  return {
    criterion: facts.id,
    diameterMm: best.c * scaleMm,
    constant: best.c,
    bandMm: [band[0] * scaleMm, band[1] * scaleMm],
    bandLossShare: lossShare,
    bandMeaning: bandMeaning(facts, lossShare),
    sourceKey: facts.sourceKey,
    meanWavelengthNm: meanNm,
  };
}

/**
 * What a hole in hand costs against the best one, in the light that the film sees.
 * Valid: as `bestHoleInLight`.
 * @param question as for `bestHoleInLight`, and the diameter > 0
 * @throws InputError not-positive, out-of-range, unknown-name, missing
 * @source optics-notes 1
 */
export function bandCostInLight(question: LightHoleQuestion & { readonly diameterMm: number }): BandCost {
  requireView(question, ['diameterMm', question.diameterMm]);
  const { facts, meanNm, best, band, merit } = solve(question);
  const c = question.diameterMm / lengthMm(question, meanNm);
  const loss = facts.merit.kind === 'two-blurs' ? best.merit / merit(c) - 1 : 1 - merit(c) / best.merit;
  return {
    lossShare: Math.max(0, loss),
    lightStops: 2 * Math.log2(c / best.c),
    place: c < band[0] ? 'below' : c > band[1] ? 'above' : 'within',
  };
}

/**
 * How good holes are by a criterion in the light that the film sees, as a share of the best: 1 at the best one.
 * Valid: as `bestHoleInLight`.
 * @param question as for `bestHoleInLight`
 * @returns a function of the diameter, > 0
 * @throws InputError not-positive, out-of-range, unknown-name, missing
 * @source optics-notes 1
 */
export function criterionMerit(question: LightHoleQuestion): (diameterMm: number) => number {
  requireView(question);
  const { meanNm, best, merit } = solve(question);
  const scaleMm = lengthMm(question, meanNm);
  return (diameterMm) => merit(diameterMm / scaleMm) / best.merit;
}

/**
 * The focal length that a hole is best for, in the light that the film sees.
 * Valid: as `bestHoleInLight`.
 * @param question as for `bestHoleInLight` without the focal length, and the diameter > 0
 * @throws InputError not-positive, out-of-range, unknown-name, missing
 * @source optics-notes 1
 */
export function suitedFocalLengthInLight(
  question: Omit<LightHoleQuestion, 'focalLengthMm'> & { readonly diameterMm: number },
): SuitedFocalLength {
  requirePositive(question.diameterMm, 'diameterMm', 'mm');
  requireObjectDistance(question.objectDistanceMm);
  requireView({ ...question, focalLengthMm: 1 });
  const { meanNm, best, band } = solve(question);
  const focalMm = (c: number): number => {
    const shortenedMm = (question.diameterMm / c) ** 2 / (meanNm * MM_PER_NM);
    return shortenedMm < question.objectDistanceMm ? shortenedMm / (1 - shortenedMm / question.objectDistanceMm) : Infinity;
  };
  const at = focalMm(best.c);
  const shortest = focalMm(band[1]);
  return {
    focalLengthMm: Number.isFinite(at) ? at : null,
    rangeMm: Number.isFinite(shortest) ? [shortest, focalMm(band[0])] : null,
    reason: Number.isFinite(at)
      ? null
      : `The hole is larger than the best one for any focal length with the object at ${question.objectDistanceMm} mm.`,
  };
}

/**
 * The hole that shows one frequency on the film with the most contrast, in the light that the film sees.
 *   ∂OTF/∂d = 0
 * Valid: as `bestHoleInLight`; 0.002 ≤ ν m √(λ̄ f′) ≤ 3.
 * @param view all > 0; object distance may be infinite
 * @param frequencyPerMm > 0, cycles/mm on the film
 * @throws InputError not-positive
 * @throws ModelError not-converged outside the valid range
 * @source optics-notes 1
 */
export function sharpestDiameter(view: HoleView, frequencyPerMm: number): { readonly diameterMm: number; readonly contrast: number } {
  requireView(view);
  requirePositive(frequencyPerMm, 'frequencyPerMm', 'cycles/mm');
  const scaleMm = lengthMm(view, meanWavelengthNm(view.light));
  const q = frequencyPerMm * (1 + view.focalLengthMm / view.objectDistanceMm) * scaleMm;
  if (!(q >= 0.002 && q <= 3)) {
    throw new ModelError(
      'not-converged',
      `${frequencyPerMm} cycles/mm is ${q > 3 ? 'finer' : 'coarser'} than a hole at this focal length can be chosen for.`,
      { got: q, expected: '0.002…3 in ν m √(λ f′)' },
    );
  }
  const { c, contrast } = sharpest(tonesOf(view.light), q);
  return { diameterMm: c * scaleMm, contrast };
}

/**
 * The finest detail that a round hole still shows with a given contrast in the light that the film sees, cycles/mm on
 * the film: the first frequency, going up, at which the OTF falls to it.
 * Valid: as `bestHoleInLight`.
 * @param view all > 0; object distance may be infinite
 * @param contrast 0 < contrast < 1
 * @throws InputError not-positive, missing
 * @source optics-notes 2
 */
export function finestDetailPerMm(view: HoleView & { readonly diameterMm: number }, contrast: number): number {
  requireView(view, ['diameterMm', view.diameterMm]);
  const scaleMm = lengthMm(view, meanWavelengthNm(view.light));
  const q = crossing(tonesOf(view.light), view.diameterMm / scaleMm, contrast);
  return q / (scaleMm * (1 + view.focalLengthMm / view.objectDistanceMm));
}
