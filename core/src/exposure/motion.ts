/** What moves while the shutter is open: a walker who vanishes, a camera that shakes. */
import { requirePositive } from '../errors.ts';
import { brentRoot } from '../numeric/roots.ts';
import { limitingFrequencyPerMm } from '../optics/round-hole.ts';
import { formatNumber } from '../units/figures.ts';
import { formatTime, roundedTimeS } from './duration.ts';
import { requireNonNegative } from './limits.ts';

export interface WalkerQuestion {
  readonly exposureS: number;
  readonly focalLengthMm: number;
  readonly frameWidthMm: number;
  readonly distanceMm: number;
  /** Across the view. Left out: 1400 mm/s, a walk; common practice, no source. */
  readonly speedMmPerS?: number;
  /** Of the walker, across. Left out: 500 mm. */
  readonly widthMm?: number;
  /** How much brighter than what is behind; negative: darker. Left out: −2, a dark coat. */
  readonly brighterStops?: number;
  /** How many pass. Left out: 1. */
  readonly count?: number;
  /** Seconds that each of them stands still. Left out: 0. */
  readonly standsS?: number;
}

export interface WalkerAnswer {
  /** From edge to edge of the frame. */
  readonly timeInFrameS: number;
  /** log2 of exposure over time in frame: how much shorter he is there than the shutter is open. */
  readonly timeInFrameStops: number;
  /** How long each point of the picture sees him. */
  readonly coverS: number;
  /** What he changes there; negative: darker. */
  readonly changeStops: number;
  /** From this exposure on he is below what an eye sees. */
  readonly vanishesFromS: number;
  readonly sentence: string;
}

/** Judgement: a change of a tenth of a stop beside its unchanged neighbour is not seen in a print of a busy scene. */
const UNSEEN_STOPS = 0.1;

/**
 * How much of a walker stays in the picture. Each point of the film sees him for width/speed, whatever the camera; for
 * that share of the exposure his light stands in place of the background's.
 *   Δ = log2(1 + (2^b − 1)·n·(w/v + s)/T),  time in frame = (W·u/f + w)/v
 * Valid: walking straight across; no reciprocity (for short passes through a long exposure a film answers a little less).
 * @param question all > 0; count whole
 * @throws InputError not-positive, negative
 * @source engineering-judgement
 */
export function walker(question: WalkerQuestion): WalkerAnswer {
  const { exposureS, focalLengthMm, frameWidthMm, distanceMm } = question;
  const speed = question.speedMmPerS ?? 1400;
  const width = question.widthMm ?? 500;
  const brighter = question.brighterStops ?? -2;
  const count = question.count ?? 1;
  const standsS = question.standsS ?? 0;
  requirePositive(exposureS, 'the exposure', 's');
  requirePositive(focalLengthMm, 'the focal length', 'mm');
  requirePositive(frameWidthMm, 'the width of the frame', 'mm');
  requirePositive(distanceMm, 'the distance', 'mm');
  requirePositive(speed, 'the speed', 'mm/s');
  requirePositive(width, 'the width of the walker', 'mm');
  requirePositive(count, 'how many pass', '');
  requireNonNegative(standsS, 'how long he stands', 's');
  const sceneWidthMm = (frameWidthMm * distanceMm) / focalLengthMm;
  const timeInFrameS = (sceneWidthMm + width) / speed + standsS;
  const coverS = count * (width / speed + standsS);
  const contrast = 2 ** brighter - 1;
  const changeStops = Math.log2(1 + contrast * Math.min(1, coverS / exposureS));
  const unseen = 2 ** (contrast < 0 ? -UNSEEN_STOPS : UNSEEN_STOPS) - 1;
  const vanishesFromS = contrast === 0 ? 0 : Math.max(0, (contrast / unseen) * coverS);
  const many = count === 1 ? 'A walker' : `${formatNumber(count)} walkers, each`;
  const seen =
    Math.abs(changeStops) <= UNSEEN_STOPS
      ? 'not seen'
      : `seen as a ${changeStops < 0 ? 'darker' : 'lighter'} trace of ${Math.abs(changeStops).toFixed(1)} stop`;
  return {
    timeInFrameS,
    timeInFrameStops: Math.log2(exposureS / timeInFrameS),
    coverS,
    changeStops,
    vanishesFromS,
    sentence:
      `${many} ${formatNumber(distanceMm / 1000, { significant: 2 })} m away is in the frame for ${formatTime(timeInFrameS)} ` +
      `and is ${seen} in ${formatTime(exposureS)}; ${vanishesFromS <= exposureS ? 'vanished' : 'vanishing'} from ` +
      `${formatTime(roundedTimeS(Math.max(vanishesFromS, 1e-3)))} on.`,
  };
}

export interface ShakeQuestion {
  readonly diameterMm: number;
  readonly focalLengthMm: number;
  /** Left out: 550 nm. */
  readonly wavelengthNm?: number;
  /** From the point about which the camera rocks to where the movement is felt. Left out: 100 mm. */
  readonly leverMm?: number;
  /** How long the camera shakes, and the whole exposure. Left out: all the time. */
  readonly shakenS?: number;
  readonly exposureS?: number;
}

export interface ShakeAnswer {
  /** Finest detail that the hole itself shows with a contrast of 10 %. */
  readonly limitPerMm: number;
  /** Movement of the image that may be; `null`: however much, it is over before it costs anything. */
  readonly allowedMm: number | null;
  /** Turning of the camera. */
  readonly allowedRad: number | null;
  /** Movement at the lever's end. */
  readonly allowedAtLeverMm: number | null;
  readonly sentence: string;
}

/** Shake may take a fifth of the contrast that the finest detail has left. Judgement. */
const LOSS_SHARE = 0.2;
const LIMIT_CONTRAST = 0.1;
/** The deepest reversal of sin(x)/x. */
const SINC_LOW = 0.2173;

function sinc(x: number): number {
  return x === 0 ? 1 : Math.sin(x) / x;
}

/**
 * How much a camera may move before it costs more than the hole already does.
 *   contrast of a steady drift s: 1 − q + q·sin(πνs)/(πνs), at the frequency ν where the hole leaves 10 %, q the share
 *   of the exposure that shakes; allowed while that is 80 % or more
 * Valid: a turn of the camera about a point (shifting it moves far things not at all); a drift in one direction.
 * @param question all > 0
 * @throws InputError not-positive
 * @source optics-notes 2
 * @source engineering-judgement
 */
export function allowedShake(question: ShakeQuestion): ShakeAnswer {
  const { diameterMm, focalLengthMm } = question;
  const leverMm = question.leverMm ?? 100;
  requirePositive(leverMm, 'the lever', 'mm');
  const limitPerMm = limitingFrequencyPerMm(
    { diameterMm, focalLengthMm, objectDistanceMm: Infinity, wavelengthNm: question.wavelengthNm ?? 550 },
    LIMIT_CONTRAST,
  );
  let q = 1;
  if (question.shakenS !== undefined && question.exposureS !== undefined) {
    requirePositive(question.shakenS, 'the time of shaking', 's');
    requirePositive(question.exposureS, 'the exposure', 's');
    q = Math.min(1, question.shakenS / question.exposureS);
  }
  const wanted = 1 - LOSS_SHARE / q;
  if (wanted <= -SINC_LOW) {
    return {
      limitPerMm,
      allowedMm: null,
      allowedRad: null,
      allowedAtLeverMm: null,
      sentence:
        `It shakes for ${(100 * q).toFixed(0)} % of the exposure: too little to matter, however much it moves; ` +
        'only something bright leaves a trace.',
    };
  }
  const x = brentRoot((at) => sinc(at) - wanted, 0, 4.4934);
  const allowedMm = x / (Math.PI * limitPerMm);
  const allowedRad = allowedMm / focalLengthMm;
  const allowedAtLeverMm = allowedRad * leverMm;
  return {
    limitPerMm,
    allowedMm,
    allowedRad,
    allowedAtLeverMm,
    sentence:
      `The image may move ${formatNumber(1000 * allowedMm, { significant: 2 })} µm: ` +
      `${formatNumber((allowedRad * 180) / Math.PI, { significant: 2 })}°, or ${formatNumber(allowedAtLeverMm, { significant: 2 })} mm ` +
      `felt ${formatNumber(leverMm)} mm from where the camera turns.`,
  };
}
