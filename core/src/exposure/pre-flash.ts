/** A paper flashed before the picture: an even veil just below what shows, which lifts the shadows and softens. */
import { InputError, requirePositive } from '../errors.ts';
import { formatTime } from './duration.ts';

export interface PreFlashQuestion {
  /** Shortest flash that leaves a first grey, by a test strip under the same lamp and distance. */
  readonly thresholdS: number;
  /** Flash as a share of that threshold, 0.1 to 0.9. Left out: 0.7. */
  readonly flashShare?: number;
  /** From first grey to full black, stops. Left out: 3.3, ISO range R100. */
  readonly paperRangeStops?: number;
}

export interface PreFlashPlan {
  readonly flashS: number;
  /** Range of light in the scene that the paper holds, without and with the flash. */
  readonly plainRangeStops: number;
  readonly flashedRangeStops: number;
  /** How much less light the deepest shadow needs to show. */
  readonly shadowGainStops: number;
  readonly sentence: string;
  readonly cautions: readonly string[];
}

/** Common practice, no source. */
const FLASH_SHARE = 0.7;
/** ISO range R100 is log10 1.00 between D 0.04 above white and 0.90 of full black; from memory. @source iso6846 */
const PAPER_RANGE_STOPS = Math.log2(10);

/**
 * How long to flash a paper, and what it does. With the threshold H₀ = 1 and a flash of q, a shadow shows from 1 − q on
 * and full black stays at R: the range grows from log2 R to log2[(R − q)/(1 − q)].
 * Valid: flash and picture add up (both short, no reciprocity between them).
 * @param question thresholdS > 0, flashShare 0.1…0.9, paperRangeStops 1…8
 * @throws InputError not-positive, out-of-range
 * @source engineering-judgement
 */
export function preFlash(question: PreFlashQuestion): PreFlashPlan {
  const q = question.flashShare ?? FLASH_SHARE;
  const plainRangeStops = question.paperRangeStops ?? PAPER_RANGE_STOPS;
  requirePositive(question.thresholdS, 'the threshold', 's');
  if (!(q >= 0.1 && q <= 0.9)) {
    throw new InputError('out-of-range', `The flash must be 0.1 to 0.9 of the threshold, but is ${q}: more veils the paper.`, {
      path: 'flashShare',
      got: q,
      expected: '0.1…0.9',
    });
  }
  if (!(plainRangeStops >= 1 && plainRangeStops <= 8)) {
    throw new InputError('out-of-range', `The range of the paper must be 1 to 8 stops, but is ${plainRangeStops}.`, {
      path: 'paperRangeStops',
      got: plainRangeStops,
      expected: '1…8 stops',
    });
  }
  const black = 2 ** plainRangeStops;
  const flashedRangeStops = Math.log2((black - q) / (1 - q));
  const shadowGainStops = -Math.log2(1 - q);
  const flashS = q * question.thresholdS;
  return {
    flashS,
    plainRangeStops,
    flashedRangeStops,
    shadowGainStops,
    sentence:
      `Flash ${formatTime(flashS)}: shadows show with ${shadowGainStops.toFixed(1)} stops less light, and the paper holds ` +
      `${flashedRangeStops.toFixed(1)} stops instead of ${plainRangeStops.toFixed(1)}.`,
    cautions: [
      'Flash evenly, before loading, under the lamp of the test strip and at its distance; it changes with every box of paper.',
    ],
  };
}
