/**
 * Work on, good or large: the hole held against the best one for a camera, with what it costs.
 */
import { InputError, requirePositive } from '../errors.ts';
import type { HolesInLight } from '../optics/best-hole-colour.ts';
import { bandCost, suitedFocalLength, type BestHole } from '../optics/best-hole.ts';
import { criterionFacts, type Criterion } from '../optics/criteria.ts';

export type VerdictWord = 'work on' | 'good' | 'large';

export interface HoleQuestion {
  /** Outline diameter, mm > 0. */
  readonly diameterMm: number;
  /** k = 1, ≥ 0. */
  readonly standardUncertaintyMm: number;
  /** The best hole of the camera by one criterion, with its band. */
  readonly best: BestHole;
  /** Focal length of the camera, mm > 0. */
  readonly focalLengthMm: number;
  /** Distance of the object the best hole was reckoned for, mm > 0; infinite by default. */
  readonly objectDistanceMm?: number;
  /** The light that `best` was reckoned in; default one wavelength, the one that gives `best`. */
  readonly holes?: HolesInLight;
}

export interface HoleVerdict {
  /** `work on`: smaller than the band; `good`: in it; `large`: above it. */
  readonly word: VerdictWord;
  readonly criterion: Criterion;
  readonly diameterMm: number;
  readonly bestDiameterMm: number;
  readonly bandMm: readonly [number, number];
  /** `0.431 mm, a little short of the best 0.450; …` */
  readonly sentence: string;
  /** Share lost against the best hole in the criterion's own measure, 0 at the best. */
  readonly detailLossShare: number;
  /** Light against the best hole in stops: negative is darker. */
  readonly lightStops: number;
  /** Focal length for which this hole is the best one by the same criterion; null when none is long enough. */
  readonly suitedFocalLengthMm: number | null;
  /** True when the 2 u interval crosses an edge of the band: the word could be another one. */
  readonly straddlesBandEdge: boolean;
}

/**
 * The verdict on a hole: its place in the band, and what the distance from the best costs in detail and light.
 *   word by d < lo, lo ≤ d ≤ hi, d > hi; stops = 2 log₂(d / d_best)
 * Valid: as the best hole it is held against (thin round hole, Fresnel regime).
 * @param question all > 0, uncertainty ≥ 0
 * @throws InputError not-positive, negative
 */
export function judgeHole(question: HoleQuestion): HoleVerdict {
  const { diameterMm, best, standardUncertaintyMm, focalLengthMm } = question;
  requirePositive(diameterMm, 'diameterMm', 'mm');
  requirePositive(focalLengthMm, 'focalLengthMm', 'mm');
  if (!(standardUncertaintyMm >= 0)) {
    throw new InputError('negative', `standardUncertaintyMm must not be negative, but is ${standardUncertaintyMm}.`, {
      path: 'standardUncertaintyMm',
      got: standardUncertaintyMm,
      expected: '≥ 0 mm',
    });
  }
  const objectDistanceMm = question.objectDistanceMm ?? Infinity;
  const [low, high] = best.bandMm;
  const word: VerdictWord = diameterMm < low ? 'work on' : diameterMm > high ? 'large' : 'good';
  const scene = { criterion: best.criterion, diameterMm, objectDistanceMm, lossShare: best.bandLossShare };
  const { cost, suited } =
    question.holes === undefined
      ? inOneWavelength(scene, focalLengthMm, wavelengthBehind(best, focalLengthMm, objectDistanceMm))
      : { cost: question.holes.cost({ ...scene, focalLengthMm }), suited: question.holes.suited(scene) };
  const suitedFocalLengthMm = suited.focalLengthMm;
  const reach = 2 * standardUncertaintyMm;
  const straddlesBandEdge = [low, high].some((edge) => Math.abs(diameterMm - edge) < reach);
  return {
    word,
    criterion: best.criterion,
    diameterMm,
    bestDiameterMm: best.diameterMm,
    bandMm: best.bandMm,
    sentence: sentenceOf(question, cost.lossShare, cost.lightStops, suitedFocalLengthMm),
    detailLossShare: cost.lossShare,
    lightStops: cost.lightStops,
    suitedFocalLengthMm,
    straddlesBandEdge,
  };
}

type HeldHole = Omit<Parameters<typeof suitedFocalLength>[0], 'wavelengthNm'>;

function inOneWavelength(scene: HeldHole, focalLengthMm: number, wavelengthNm: number) {
  return { cost: bandCost({ ...scene, focalLengthMm, wavelengthNm }), suited: suitedFocalLength({ ...scene, wavelengthNm }) };
}

/** d = c √(λ f′), solved for the wavelength, so that verdict and band cannot be told different ones. */
function wavelengthBehind(best: BestHole, focalLengthMm: number, objectDistanceMm: number): number {
  const shortenedMm = 1 / (1 / focalLengthMm + 1 / objectDistanceMm);
  const nmPerMm = 1e6;
  return ((best.diameterMm / best.constant) ** 2 / shortenedMm) * nmPerMm;
}

function sentenceOf(question: HoleQuestion, lossShare: number, stops: number, suitedMm: number | null): string {
  const { diameterMm, best } = question;
  const [low, high] = best.bandMm;
  const away = diameterMm / best.diameterMm - 1;
  const size = `${diameterMm.toFixed(3)} mm`;
  const target = `the best ${best.diameterMm.toFixed(3)}`;
  const where =
    Math.abs(away) < 0.01
      ? `as good as ${target}`
      : `${Math.abs(away) < 0.06 ? 'a little ' : ''}${away < 0 ? 'short of' : 'above'} ${target}`;
  const title = criterionFacts(best.criterion).title;
  const light = Math.abs(stops) < 0.03 ? 'the same light' : `${Math.abs(stops).toFixed(2)} stop ${stops < 0 ? 'darker' : 'brighter'}`;
  const loss = lossShare < 0.005 ? 'nothing lost' : `${(100 * lossShare).toFixed(lossShare < 0.1 ? 1 : 0)} % lost`;
  const suits = suitedMm === null ? '' : `; it is best for ${suitedMm.toFixed(0)} mm`;
  return `${size}, ${where} (${title}, ${low.toFixed(3)}–${high.toFixed(3)}): ${loss}, ${light}${suits}.`;
}
