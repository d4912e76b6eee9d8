/**
 * The best hole in the light that a film sees. Everything depends on d²/(λᵢ f′) alone, so for a given light each
 * criterion has again one constant, c = d / √(λ̄ f′) with λ̄ the mean wavelength; line i of the light then stands at
 * cᵢ = c s and qᵢ = q / s with s = √(λ̄ / λᵢ).
 */
import { ModelError, requirePositive } from '../errors.ts';
import { brentMinimum, brentRoot } from '../numeric/roots.ts';
import { DEFAULT_LOSS_SHARE, bandMeaning, bestHole, requireLossShare } from './best-hole.ts';
import type { BandCost, BestHole, SuitedFocalLength } from './best-hole.ts';
import { MM_PER_NM, diffractionLengthMm, requireObjectDistance } from './conjugates.ts';
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
function sharpest(tones: readonly Tone[], q: number): Summit {
  const step = 1 / 8;
  const smallest = Math.min(...tones.map(({ s }) => q / (s * s)));
  // beyond every best c: see `envelope.ts`
  const largest = Math.max(2, q) + 1.2 * Math.cbrt(0.52 / q) + 0.5;
  let best = { c: smallest + step, contrast: -Infinity };
  for (let c = smallest + step; c < largest; c += step) {
    const contrast = otf(tones, c, q);
    if (contrast > best.contrast) best = { c, contrast };
  }
  return summit(tones, q, [Math.max(best.c - step, smallest + 1e-9), best.c + step]) as Summit;
}

interface Summit {
  readonly c: number;
  readonly contrast: number;
}

/** The top of the contrast between two c; null where its slope does not change sign between them. */
function summit(tones: readonly Tone[], q: number, [low, high]: readonly [number, number]): Summit | null {
  const slope = (c: number): number => otfSlope(tones, c, q);
  if (!(slope(low) > 0 && slope(high) < 0)) return null;
  const c = brentRoot(slope, low, high);
  return { c, contrast: otf(tones, c, q) };
}

/** The highest q that any hole shows with this contrast, and that hole. */
function highest(tones: readonly Tone[], contrast: number): { c: number; q: number } {
  // the best c moves little with q: from one q to the next its neighbourhood is enough
  let near: Summit | null = null;
  const best = (q: number): Summit => {
    near = (near === null ? null : summit(tones, q, [near.c - 0.2, near.c + 0.2])) ?? sharpest(tones, q);
    return near;
  };
  const spare = (q: number): number => best(q).contrast - contrast;
  const guess = Math.min(Math.max(-0.58 * Math.log(contrast), 0.002), 2.9);
  let low = guess;
  while (spare(low) < 0) low *= 0.9;
  let high = guess;
  while (spare(high) > 0) high *= 1.1;
  const q = brentRoot(spare, low, high, 1e-12);
  const found = sharpest(tones, q);
  // another summit that is higher here would show a higher q still
  return found.contrast - contrast > 1e-9 && near !== null ? farther(tones, contrast, q) : { c: found.c, q };
}

/** As `highest`, looking at every c for every q. */
function farther(tones: readonly Tone[], contrast: number, fromQ: number): { c: number; q: number } {
  const spare = (q: number): number => sharpest(tones, q).contrast - contrast;
  let high = fromQ * 1.1;
  while (spare(high) > 0) high *= 1.1;
  const q = brentRoot(spare, fromQ, high, 1e-12);
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

/** The lowest contrast anywhere from frequency 0 up to `highestQ`. */
function lowestUpTo(tones: readonly Tone[], c: number, highestQ: number): number {
  const at = (q: number): number => otf(tones, c, q);
  const count = Math.max(8, Math.ceil(highestQ / stepOf(tones, c)));
  const step = highestQ / count;
  const last = at(highestQ);
  let lowest = last;
  let before = 1;
  let here = at(step);
  for (let k = 1; k < count; k++) {
    const after = k + 1 === count ? last : at((k + 1) * step);
    if (here <= before && here <= after && here < lowest + 0.05) {
      lowest = Math.min(lowest, brentMinimum(at, (k - 1) * step, (k + 1) * step, 1e-8).value);
    }
    before = here;
    here = after;
  }
  // a curve that rises at the end has its last valley in the last step
  return last > at(highestQ - 1e-5 * step) ? Math.min(lowest, brentMinimum(at, highestQ - step, highestQ, 1e-8).value) : lowest;
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

/** The unbroken stretch of c about the best within which `spare` stays above 0. */
function bandAbout(best: { c: number }, spare: (c: number) => number): [number, number] {
  const edge = (direction: 1 | -1): number => {
    const step = 0.1;
    for (let inside = best.c; ; inside += direction * step) {
      const outside = inside + direction * step;
      if (outside <= 0.02 || outside > 12) {
        throw new ModelError('not-converged', 'The merit does not fall off on both sides of the best hole.', { got: outside });
      }
      if (spare(outside) < 0) return brentRoot(spare, inside, outside, 1e-10);
    }
  };
  return [edge(-1), edge(1)];
}

interface Solved {
  readonly facts: CriterionFacts;
  readonly lossShare: number;
  readonly best: { readonly c: number; readonly merit: number };
  readonly band: readonly [number, number];
  readonly merit: (c: number) => number;
}

function solve(tones: readonly Tone[], criterion: Criterion, lossShare: number): Solved {
  const facts = criterionFacts(criterion);
  const merit = meritOf(facts, tones);
  const best = bestOf(facts, tones, merit);
  // the traditional constants have no merit of their own: there the blurs may grow by the loss
  const least = facts.merit.kind === 'two-blurs' ? best.merit / (1 + lossShare) : (1 - lossShare) * best.merit;
  // a limiting frequency may jump where the OTF dips and rises again: the lowest contrast up to it does not
  const contrast = facts.merit.kind === 'limiting-frequency' ? facts.merit.contrast : null;
  const band = bandAbout(best, contrast === null ? (c) => merit(c) - least : (c) => lowestUpTo(tones, c, least) - contrast);
  return { facts, lossShare, best, band, merit };
}

function lengthMm(question: Pick<HoleView, 'focalLengthMm' | 'objectDistanceMm'>, meanNm: number): number {
  return Math.sqrt((meanNm * MM_PER_NM) / (1 / question.focalLengthMm + 1 / question.objectDistanceMm));
}

/** A question to `HolesInLight`: a camera and what its hole shall be best at. */
export type HolesQuestion = Omit<LightHoleQuestion, 'light'>;

/**
 * Best holes, their bands, what others cost and which focal lengths they suit, in one light. The constants belong to the
 * light alone, so they are solved once for each criterion and every further camera costs a few multiplications.
 */
export interface HolesInLight {
  /** Of the light; `constant` of a best hole refers to it. */
  readonly meanWavelengthNm: number;
  /** As `bestHoleInLight`. */
  readonly best: (question: HolesQuestion) => BestHoleInLight;
  /** As `bandCostInLight`. */
  readonly cost: (question: HolesQuestion & { readonly diameterMm: number }) => BandCost;
  /** As `suitedFocalLengthInLight`. */
  readonly suited: (question: Omit<HolesQuestion, 'focalLengthMm'> & { readonly diameterMm: number }) => SuitedFocalLength;
  /** As `criterionMerit`. */
  readonly merit: (question: HolesQuestion) => (diameterMm: number) => number;
}

/**
 * The rules of hole sizes in one light; light of one wavelength has them in closed form.
 *   d = c √(λ̄ f′), c by maximising the criterion’s merit with OTF = Σ wᵢ OTFᵢ
 * Valid: thin round hole, Fresnel regime, on the axis.
 * @param light shares that add to 1
 * @throws InputError not-positive, out-of-range, missing
 * @source optics-notes 1
 */
export function holesInLight(light: SeenLight): HolesInLight {
  requireView({ focalLengthMm: 1, objectDistanceMm: Infinity, light });
  const tones = tonesOf(light);
  const meanNm = meanWavelengthNm(light);
  const known = new Map<string, Solved>();
  const solved = ({ criterion, lossShare = DEFAULT_LOSS_SHARE }: Pick<HolesQuestion, 'criterion' | 'lossShare'>): Solved => {
    requireLossShare(lossShare);
    const key = `${criterion} ${lossShare}`;
    const found = known.get(key) ?? (tones.length === 1 ? inClosedForm(tones, criterion, lossShare) : solve(tones, criterion, lossShare));
    known.set(key, found);
    return found;
  };
  return {
    meanWavelengthNm: meanNm,
    best: (question) => {
      requireView({ ...question, light });
      const { facts, lossShare, best, band } = solved(question);
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
    },
    cost: (question) => {
      requireView({ ...question, light }, ['diameterMm', question.diameterMm]);
      const { facts, best, band, merit } = solved(question);
      const c = question.diameterMm / lengthMm(question, meanNm);
      const loss = facts.merit.kind === 'two-blurs' ? best.merit / merit(c) - 1 : 1 - merit(c) / best.merit;
      return {
        lossShare: Math.max(0, loss),
        lightStops: 2 * Math.log2(c / best.c),
        place: c < band[0] ? 'below' : c > band[1] ? 'above' : 'within',
      };
    },
    suited: (question) => {
      requirePositive(question.diameterMm, 'diameterMm', 'mm');
      requireObjectDistance(question.objectDistanceMm);
      const { best, band } = solved(question);
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
    },
    merit: (question) => {
      requireView({ ...question, light });
      const { best, merit } = solved(question);
      const scaleMm = lengthMm(question, meanNm);
      return (diameterMm) => merit(diameterMm / scaleMm) / best.merit;
    },
  };
}

/** One wavelength: the constant and the band of the criterion itself. */
function inClosedForm(tones: readonly Tone[], criterion: Criterion, lossShare: number): Solved {
  const facts = criterionFacts(criterion);
  const merit = meritOf(facts, tones);
  const wavelengthNm = 550;
  const one = { focalLengthMm: 1, objectDistanceMm: Infinity, wavelengthNm };
  const { constant, bandMm } = bestHole({ ...one, criterion, lossShare });
  const unitMm = diffractionLengthMm(one);
  const best = { c: constant, merit: facts.merit.kind === 'limiting-frequency' ? facts.merit.q : merit(constant) };
  return { facts, lossShare, best, band: [bandMm[0] / unitMm, bandMm[1] / unitMm], merit };
}

/**
 * The best hole by a criterion in the light that the film sees, with its band. Of several questions about one light ask
 * `holesInLight` once.
 * Valid: as `holesInLight`; agrees with `bestHole` for one wavelength.
 * @param question all > 0; object distance may be infinite; 0 < lossShare ≤ 0.5
 * @throws InputError not-positive, out-of-range, unknown-name, missing
 * @source optics-notes 1
 */
export function bestHoleInLight(question: LightHoleQuestion): BestHoleInLight {
  return holesInLight(question.light).best(question);
}

/**
 * What a hole in hand costs against the best one, in the light that the film sees.
 * Valid: as `holesInLight`.
 * @param question as for `bestHoleInLight`, and the diameter > 0
 * @throws InputError not-positive, out-of-range, unknown-name, missing
 * @source optics-notes 1
 */
export function bandCostInLight(question: LightHoleQuestion & { readonly diameterMm: number }): BandCost {
  return holesInLight(question.light).cost(question);
}

/**
 * The focal length that a hole is best for, in the light that the film sees.
 *   f′ = d² / (c² λ̄),  1 / f = 1 / f′ - 1 / u
 * Valid: as `holesInLight`.
 * @param question as for `bestHoleInLight` without the focal length, and the diameter > 0
 * @throws InputError not-positive, out-of-range, unknown-name, missing
 * @source optics-notes 1
 */
export function suitedFocalLengthInLight(
  question: Omit<LightHoleQuestion, 'focalLengthMm'> & { readonly diameterMm: number },
): SuitedFocalLength {
  return holesInLight(question.light).suited(question);
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
