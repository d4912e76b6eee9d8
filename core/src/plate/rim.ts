/**
 * What is known of a rim while it is fitted: the fit itself, and what was learnt beside it of the plate's texture and
 * of the scanner's sharpening. Pixel units throughout.
 */
import type { Frame } from './first-rim.ts';
import type { PolarGeometry, RimTable } from './outline-form.ts';
import type { ModelImage, ModelState } from './rim-model.ts';

export interface RimFit {
  readonly frame: Frame;
  /** Mean, then cosine and sine parts of each harmonic, units. */
  readonly radius: Float64Array;
  readonly state: ModelState;
  /** Blur with the pixel, mean of both directions, units. */
  readonly sigma: number;
  readonly contrast: number;
  /** Covariance of `radius` (the model's own, white noise), row after row. */
  readonly covariance: Float64Array;
  /** Standard deviation of the sharpening's amount. */
  readonly sharpenDeviation: number;
  /** Variance expected of each part of `radius` before the data. */
  readonly prior: Float64Array;
  readonly image: ModelImage;
  readonly geometry: PolarGeometry;
  readonly rim: RimTable;
  /** Light less model, 0 outside `image.list`. */
  readonly residual: Float32Array;
  /** Share of clipped pixels within three blur widths of the rim. */
  readonly clippedShare: number;
  /** Share of pixels within three blur widths that lie at a limit of the file only by their noise. */
  readonly noiseClippedShare: number;
  /** Light within three blur widths that is no noise and no part of the model, as an area of full contrast, units². */
  readonly unexplainedArea: number;
  /** Mean squared residual over its variance within three blur widths of the rim. */
  readonly misfit: number;
  /** Root mean square residual within three blur widths, as a share of the contrast. */
  readonly edgeResidualShare: number;
  readonly steps: number;
}

/** Angles at which the plate's light at the rim is foretold. */
export const PLACES = 90;

export interface PlateTexture {
  /** Light to add to the smooth plate, per pixel of the window. */
  readonly light: Float32Array;
  /** Covariance of what stays unknown at the rim, place by place. */
  readonly unknown: Float64Array;
}

export interface NoiseSharpening {
  /** Means over the masks weighed by their likelihood. */
  readonly amount: number;
  readonly radiusPx: number;
  /** For each of the usual masks the logarithm of how many times likelier this noise is with it than as the sensor gives it. */
  readonly logLikelihoods: readonly number[];
  /** Correlation of the noise of neighbouring pixels: 0 as the sensor gives it, towards 1 in an enlarged picture. */
  readonly neighbourLikeness: number;
}
