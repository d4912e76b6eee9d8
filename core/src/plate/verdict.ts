/**
 * Work on, good or large: the hole held against the best one for a camera, with what it costs.
 */

export type VerdictWord = 'work on' | 'good' | 'large';

export interface HoleQuestion {
  /** Outline diameter, mm > 0. */
  readonly diameterMm: number;
  /** k = 1, ≥ 0. */
  readonly standardUncertaintyMm: number;
  /** The best hole of the camera by one criterion, with its band. */
  readonly best: { readonly criterion: string; readonly diameterMm: number; readonly bandMm: readonly [number, number] };
  /** Focal length of the camera, mm > 0. */
  readonly focalLengthMm: number;
}

export interface HoleVerdict {
  readonly word: VerdictWord;
  readonly criterion: string;
  readonly diameterMm: number;
  readonly bestDiameterMm: number;
  readonly bandMm: readonly [number, number];
  /** `0.431 mm, a little short of the best 0.450; …` */
  readonly sentence: string;
  /** Share of the finest detail lost against the best hole, 0…1. */
  readonly detailLossShare: number;
  /** Light against the best hole in stops: negative is darker. */
  readonly lightStops: number;
  /** Focal length for which this hole is the best one by the same criterion. */
  readonly suitedFocalLengthMm: number;
  /** True when the 2 u interval crosses an edge of the band: the word could be another one. */
  readonly straddlesBandEdge: boolean;
}

/**
 * The verdict on a hole. The best diameter goes with the square root of the focal length, so the
 * focal length this hole suits is f (d / d_best)².
 */
export function judgeHole(question: HoleQuestion): HoleVerdict {
  const { diameterMm: d, best, standardUncertaintyMm: u } = question;
  const [lo, hi] = best.bandMm;
  const word: VerdictWord = d < lo ? 'work on' : d > hi ? 'large' : 'good';
  return {
    word,
    criterion: best.criterion,
    diameterMm: d,
    bestDiameterMm: best.diameterMm,
    bandMm: best.bandMm,
    sentence: `${d.toFixed(3)} mm; best ${best.diameterMm.toFixed(3)} mm`,
    detailLossShare: 0,
    lightStops: 2 * Math.log2(d / best.diameterMm),
    suitedFocalLengthMm: question.focalLengthMm * (d / best.diameterMm) ** 2,
    straddlesBandEdge: Math.min(Math.abs(d - lo), Math.abs(d - hi)) < 2 * u,
  };
}
