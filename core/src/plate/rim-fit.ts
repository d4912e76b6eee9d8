/**
 * The rim by maximum likelihood: an outline in Fourier form, its light blurred as the scanner blurs,
 * compared with every pixel about the edge. Levels, blur and outline are found together; how much of
 * the fine outline is real is decided by the data (a variance for each band of harmonics).
 */
import { ModelError } from '../errors.ts';
import { choleskyInPlace, choleskyInverse, choleskyInverseAt, choleskySolve } from '../numeric/cholesky.ts';
import type { FirstRim } from './first-rim.ts';
import type { LightWindow } from './light-window.ts';
import { PLACES, type NoiseSharpening, type PlateTexture, type RimFit } from './rim.ts';
import { BINS, TRIGONOMETRY, polarGeometry, rimTable, type PolarGeometry, type RimTable } from './outline-form.ts';
import { accumulate, angularSums, type Sums } from './rim-sums.ts';
import { GLOBAL, cleared, edgeTails, emptyImage, meanSigma, renderModel, type ModelImage, type ModelState, type Sharpening } from './rim-model.ts';

export interface FitSettings {
  /** At most 48. */
  readonly harmonics: number;
  /**
   * A smooth outline that burrs, debris and scratches do not pull: whatever differs by more than about a
   * quarter of the contrast has no weight. The whole hole is compared, not only the band about the rim.
   */
  readonly coarse?: boolean;
  /** 1 where a pixel must not be used. */
  readonly mask?: Uint8Array;
  /** What is foretold of the plate's texture, and what is not: that is fitted along, within its covariance. */
  readonly texture?: PlateTexture;
  readonly sharpening?: Sharpening;
  /** Amount of an unsharp mask to start from. */
  readonly sharpenStart?: number;
  /** Radius of an unsharp mask that is expected, pixels of the window. */
  readonly sharpenRadiusPx?: number;
  /** What the noise told of the sharpening, as expectation. */
  readonly sharpeningSeen?: NoiseSharpening;
  readonly mostSteps?: number;
}

/** Share of the light in each wider part of a scanner's blur. @source engineering-judgement */
const USUAL_TAIL = 0.012;
const G = GLOBAL.count;

export function fitRim(window: LightWindow, first: FirstRim | RimFit, settings: FitSettings): RimFit {
  const K = settings.harmonics;
  const n = 1 + 2 * K;
  const { texture } = settings;
  const extraLight = texture ? new Float64Array(PLACES) : undefined;
  const extraPrecision = texture ? inverseOf(texture.unknown, PLACES) : undefined;
  const size = n + G + (texture ? PLACES : 0);
  const coarse = settings.coarse === true;
  const total = window.widthPx * window.heightPx;
  let frame = first.frame;
  const radius = new Float64Array(n);
  radius.set(first.radius.subarray(0, Math.min(n, first.radius.length)));
  const state = startState(first, settings);
  const refines = 'prior' in first && first.prior.length === n;
  // Texture moves an outline that is known but a little.
  const known = refines && texture !== undefined;
  const prior = refines ? first.prior.slice() : bandVariances(K, radius[0]!);
  let sharpenDeviation = Infinity;
  let covariance: Float64Array = refines ? first.covariance : new Float64Array(n * n);
  let geometry = 'geometry' in first ? first.geometry : polarGeometry(window.widthPx, window.heightPx, frame);
  const blank = emptyImage(total);
  const mostSteps = settings.mostSteps ?? (coarse ? 8 : 14);
  let steps = 0;
  let moved = false;

  for (let step = 0; step < mostSteps; step++) {
    steps = step + 1;
    const rim = rimTable(radius);
    const image: ModelImage = { ...blank, list: pixelsNear(geometry, rim, meanSigma(state, frame), coarse) };
    const tails = edgeTails(meanSigma(state, frame), radius[0]!);
    const scene = { window, frame, geometry, rim, meanRadius: radius[0]!, tails, texture: texture?.light, extraLight, rough: coarse };
    renderModel(scene, state, image);
    const sums = accumulate(window, scene, state, image, settings.mask, coarse, texture !== undefined);
    const a = new Float64Array(size * size);
    const b = new Float64Array(size);
    const damp = lateralAttenuation(K, meanSigma(state, frame) / radius[0]!);
    assemble(a, b, size, sums, damp);
    if (extraLight && extraPrecision) assembleExtra(a, b, size, n, sums, extraLight, extraPrecision, damp);
    for (let i = 0; i < n; i++) {
      const p = 1 / prior[i]!;
      a[i * size + i]! += p;
      b[i]! -= p * radius[i]!;
    }
    addGlobalPriors(a, b, size, n, state, settings);
    if (!choleskyInPlace(a, size)) {
      throw new ModelError('not-converged', 'The rim of this hole is too unclear to be fitted.');
    }
    const move = choleskySolve(a, size, b);
    const largest = apply(move, radius, state, n, meanSigma(state, frame));
    if (extraLight) for (let i = 0; i < PLACES; i++) extraLight[i]! += move[n + G + i]!;
    updateNoise(state, sums, Math.abs(state.hole[0]! - state.plate[0]!));
    const settled = step >= (known ? 2 : 3) && largest < (coarse ? 2e-2 : Math.max(4e-4, 0.15 * Math.sqrt(covariance[0]!)));
    // Every second step moves outline and levels only.
    if (!coarse && (step % 2 === (known ? 0 : 1) || settled || step === mostSteps - 1)) {
      covariance = choleskyInverse(a, size, n);
      sharpenDeviation = Math.sqrt(choleskyInverseAt(a, size, n + GLOBAL.sharpen));
      updateVariances(prior, radius, covariance, K);
    }
    if (!moved && step >= 2 && Math.hypot(radius[1]!, radius[2]!) > 0.05) {
      moved = true;
      frame = {
        ...frame,
        column: frame.column + radius[1]! / frame.unitsPerColumn,
        row: frame.row - radius[2]! / frame.unitsPerRow,
      };
      radius[1] = 0;
      radius[2] = 0;
      geometry = polarGeometry(window.widthPx, window.heightPx, frame);
      continue;
    }
    if (settled) break;
  }

  // The last word: the whole neighbourhood under the final parameters.
  const rim = rimTable(radius);
  const sigma = meanSigma(state, frame);
  const image: ModelImage = { ...cleared(blank), list: pixelsNear(geometry, rim, sigma, true) };
  const tails = edgeTails(sigma, radius[0]!);
  renderModel({ window, frame, geometry, rim, meanRadius: radius[0]!, tails, texture: texture?.light, extraLight, rough: coarse }, state, image);
  const left = leftOver(window, image, sigma, settings.mask);
  const contrast = state.hole[0]! - state.plate[0]!;
  return {
    frame,
    radius,
    state,
    sigma,
    contrast,
    covariance,
    sharpenDeviation,
    prior,
    image,
    geometry,
    rim,
    residual: left.residual,
    clippedShare: left.clipped / left.band,
    noiseClippedShare: left.noiseClipped / left.band,
    unexplainedArea: left.unexplained / Math.abs(contrast),
    misfit: left.weighted / left.band,
    edgeResidualShare: Math.sqrt(left.square / left.band) / Math.abs(contrast),
    steps,
  };
}

interface LeftOver {
  readonly residual: Float32Array;
  /** Pixels within three blur widths of the rim, at least 1; of these the clipped ones, and those clipped by noise alone. */
  readonly band: number;
  readonly clipped: number;
  readonly noiseClipped: number;
  /** Sums over them: light far beyond noise, squares of what is left, and these over their variance. */
  readonly unexplained: number;
  readonly square: number;
  readonly weighted: number;
}

/** What a finished model leaves of the scan. */
function leftOver(window: LightWindow, image: ModelImage, sigma: number, mask: Uint8Array | undefined): LeftOver {
  const { light, clipLight, blackLight } = window;
  const { list, expected, depth, slope, variance } = image;
  const residual = new Float32Array(light.length);
  let clipped = 0;
  let noiseClipped = 0;
  let unexplained = 0;
  let band = 0;
  let square = 0;
  let weighted = 0;
  for (let m = 0; m < list.length; m++) {
    const i = list[m]!;
    const data = light[i]!;
    residual[i] = data >= clipLight && expected[i]! >= 0.97 * clipLight ? 0 : data - expected[i]!;
    if (Math.abs(depth[i]!) > 3 * sigma || (mask && mask[i] === 1)) continue;
    band++;
    // Beyond the limits by expectation: a noisy pixel that is clipped now and then loses little.
    if (data >= clipLight || data <= blackLight) {
      if (slope[i]! < 0.5) clipped++;
      else noiseClipped++;
    }
    const r2 = residual[i]! * residual[i]!;
    if (r2 > 25 * variance[i]!) unexplained += Math.abs(residual[i]!);
    square += r2;
    weighted += r2 / variance[i]!;
  }
  return { residual, band: Math.max(1, band), clipped, noiseClipped, unexplained, square, weighted };
}

function startState(first: FirstRim | RimFit, settings: FitSettings): ModelState {
  const sharpening = settings.sharpening ?? 'none';
  const seen = settings.sharpeningSeen;
  if ('state' in first) {
    const s = first.state;
    const copy = { ...s, hole: s.hole.slice(), plate: s.plate.slice(), tails: s.tails.slice(), sharpening };
    if (sharpening === 'none' || s.sharpening !== 'none') return copy;
    const sharpenAmount = seen?.amount ?? settings.sharpenStart ?? 0.5;
    const sharpenRadiusPx = seen?.radiusPx ?? settings.sharpenRadiusPx ?? 1.15;
    const wider = blurBehind(first.sigma, sharpenAmount, sharpenRadiusPx) / first.sigma;
    return {
      ...copy,
      // A fit without sharpening has taken the edge for as steep as it looks, and bent the tails of the blur towards it.
      sigmaColumnPx: s.sigmaColumnPx * wider,
      sigmaRowPx: s.sigmaRowPx * wider,
      tails: Float64Array.of(USUAL_TAIL, USUAL_TAIL),
      sharpenAmount,
      sharpenRadiusPx,
    };
  }
  const optical = Math.sqrt(Math.max(0.1, first.sigma ** 2 - 1 / 12));
  const floor = (2e-3 * (first.holeLight - first.plateLight)) ** 2;
  return {
    hole: Float64Array.of(first.holeLight, 0, 0),
    plate: Float64Array.of(first.plateLight, 0, 0),
    sigmaColumnPx: optical / first.frame.unitsPerColumn,
    sigmaRowPx: optical / first.frame.unitsPerRow,
    tails: new Float64Array(2),
    sharpening,
    sharpenAmount: 0,
    sharpenRadiusPx: 1.2,
    holeVariance: Math.max(floor, first.holeNoise ** 2),
    plateVariance: Math.max(floor, first.plateNoise ** 2),
    edgeVariance: 0,
  };
}

/**
 * Blur that an edge had before an unsharp mask made it as steep as it looks now.
 *   σ = σ′ (1 + a (1 − σ / √(σ² + r²)))
 */
function blurBehind(looksLike: number, amount: number, radius: number): number {
  let sigma = looksLike;
  for (let round = 0; round < 20; round++) sigma = looksLike * (1 + amount * (1 - sigma / Math.hypot(sigma, radius)));
  return sigma;
}

/** Pixels within reach of the rim, by index; `whole` adds all of the hole's inside. */
function pixelsNear(geometry: PolarGeometry, rim: RimTable, sigma: number, whole: boolean): Int32Array {
  const out = Math.max(12 * sigma, 8);
  const inn = Math.max(8 * sigma, 6);
  const list = new Int32Array(geometry.distance.length);
  let count = 0;
  for (let i = 0; i < list.length; i++) {
    const d = rim.radius[geometry.bin[i]! | 0]! - geometry.distance[i]!;
    if (d >= -out && (whole || d <= inn)) list[count++] = i;
  }
  return list.slice(0, count);
}

function updateNoise(state: ModelState, sums: Sums, scaleLight: number): void {
  const floor = (1e-3 * scaleLight) ** 2;
  const out = sums.outsideSpread === null ? state.plateVariance : sums.outsideSpread ** 2;
  state.plateVariance = Math.max(floor, out);
  const edge = sums.edgeSpread === null ? 0 : sums.edgeSpread ** 2;
  const v = sums.edgeShare;
  if (sums.insideSpread !== null) state.holeVariance = Math.max(floor, sums.insideSpread ** 2);
  // A clipped hole shows no noise: what the edge shows of it must do.
  else if (edge > 0) state.holeVariance = Math.max(floor, (edge - (1 - v) * state.plateVariance) / v);
  const mixture = v * state.holeVariance + (1 - v) * state.plateVariance;
  // A sharpened edge that is not yet understood would pass for a noisy one.
  state.edgeVariance = edge > 0 && state.sharpening === 'none' ? Math.max(0, (edge - mixture) / (4 * v * (1 - v))) : 0;
}

/** Moves outline and state; returns the largest change of the outline. */
function apply(move: Float64Array, radius: Float64Array, state: ModelState, n: number, sigma: number): number {
  let largest = 0;
  for (let i = 0; i < n; i++) largest = Math.max(largest, Math.abs(move[i]!));
  const limit = Math.max(0.5, 0.7 * sigma);
  const factor = largest > limit ? limit / largest : 1;
  const at = (i: number): number => factor * move[n + i]!;
  const bounded = (v: number): number => Math.min(0.4, Math.max(-0.4, v));
  for (let i = 0; i < n; i++) radius[i]! += factor * move[i]!;
  for (let i = 0; i < 3; i++) {
    state.hole[i]! += at(GLOBAL.hole + i);
    state.plate[i]! += at(GLOBAL.plate + i);
  }
  state.sigmaColumnPx = Math.max(0.15, state.sigmaColumnPx * Math.exp(bounded(at(GLOBAL.blurColumn))));
  state.sigmaRowPx = Math.max(0.15, state.sigmaRowPx * Math.exp(bounded(at(GLOBAL.blurRow))));
  state.tails[0]! += at(GLOBAL.tail);
  state.tails[1]! += at(GLOBAL.tail + 1);
  if (state.sharpening !== 'none') {
    state.sharpenAmount = Math.min(3, Math.max(-0.2, state.sharpenAmount + bounded(at(GLOBAL.sharpen))));
    const grown = state.sharpenRadiusPx * Math.exp(bounded(at(GLOBAL.sharpen + 1)));
    state.sharpenRadiusPx = Math.min(6, Math.max(0.35, grown));
  }
  return largest;
}

/** Weak expectations that keep what the scan cannot tell from running away. */
function addGlobalPriors(
  a: Float64Array,
  b: Float64Array,
  size: number,
  n: number,
  state: ModelState,
  settings: FitSettings,
): void {
  const scale = Math.abs(state.hole[0]! - state.plate[0]!);
  const add = (index: number, difference: number, deviation: number): void => {
    const p = 1 / deviation ** 2;
    const i = n + index;
    a[i * size + i]! += p;
    b[i]! -= p * difference;
  };
  add(GLOBAL.hole + 1, state.hole[1]!, 0.05 * scale);
  add(GLOBAL.hole + 2, state.hole[2]!, 0.05 * scale);
  add(GLOBAL.plate + 1, state.plate[1]!, 0.1 * scale);
  add(GLOBAL.plate + 2, state.plate[2]!, 0.1 * scale);
  // Beside sharpening the ends of the blur are hardly told: a scanner's are a hundredth or two, and never negative.
  const [tail, tailWidth] = state.sharpening === 'none' ? [0, 0.05] : [USUAL_TAIL, 0.012];
  add(GLOBAL.tail, state.tails[0]! - tail, tailWidth);
  add(GLOBAL.tail + 1, state.tails[1]! - tail, tailWidth);
  const seen = settings.sharpeningSeen;
  if (state.sharpening === 'none') {
    add(GLOBAL.sharpen, 0, 1);
    add(GLOBAL.sharpen + 1, 0, 1);
  } else {
    add(GLOBAL.sharpen, state.sharpenAmount - (seen?.amount ?? 0), seen ? 0.2 : 1);
    add(GLOBAL.sharpen + 1, Math.log(state.sharpenRadiusPx / (seen?.radiusPx ?? settings.sharpenRadiusPx ?? 1.15)), seen ? 0.2 : 0.3);
  }
  // The two directions blur alike within a fifth or so.
  const p = 1 / 0.2 ** 2;
  const difference = Math.log(state.sigmaColumnPx / state.sigmaRowPx);
  const i = n + GLOBAL.blurColumn;
  const j = n + GLOBAL.blurRow;
  // A step of the logarithm stays bounded where the blur is narrower than a pixel and hardly seen.
  a[i * size + i]! += p + 4;
  a[j * size + j]! += p + 4;
  a[j * size + i]! -= p;
  b[i]! -= p * difference;
  b[j]! += p * difference;
}

/** Bands of harmonics that share one variance. */
const BANDS = [2, 3, 4, 6, 9, 13, 19, 27, 39, 56, 1000];

function bandVariances(K: number, radius: number): Float64Array {
  const prior = new Float64Array(1 + 2 * K).fill(1e6 * radius * radius);
  for (let k = 2; k <= K; k++) {
    const v = ((k === 2 ? 0.03 : 0.006) * radius) ** 2 / (k * k);
    prior[2 * k - 1] = v;
    prior[2 * k] = v;
  }
  return prior;
}

/**
 * Each band's variance from what was found in it, over the number of its parts that the data determine.
 * @source mackay1992
 */
function updateVariances(prior: Float64Array, radius: Float64Array, covariance: Float64Array, K: number): void {
  const n = 1 + 2 * K;
  for (let band = 0; band + 1 < BANDS.length; band++) {
    const from = BANDS[band]!;
    const to = Math.min(K + 1, BANDS[band + 1]!);
    if (from >= to) break;
    let sum = 0;
    let determined = 0;
    for (let k = from; k < to; k++) {
      for (const i of [2 * k - 1, 2 * k]) {
        sum += radius[i]! ** 2;
        determined += Math.max(0, 1 - covariance[i * n + i]! / prior[i]!);
      }
    }
    const old = prior[2 * from - 1]!;
    const v = Math.max(1e-10, 0.1 * old, Math.min(20 * old, sum / Math.max(1e-3, determined)));
    for (let k = from; k < to; k++) {
      prior[2 * k - 1] = v;
      prior[2 * k] = v;
    }
  }
}

/** How much of a ripple of the outline survives the blur sideways: exp(−(k σ / R)² / 2). */
function lateralAttenuation(K: number, sigmaOverR: number): Float64Array {
  const damp = new Float64Array(1 + 2 * K).fill(1);
  for (let k = 1; k <= K; k++) {
    const v = Math.exp(-0.5 * (k * sigmaOverR) ** 2);
    damp[2 * k - 1] = v;
    damp[2 * k] = v;
  }
  return damp;
}

/** Normal equations of outline and globals from the sums per angle; products of trigonometric terms by sum and difference. */
function assemble(a: Float64Array, b: Float64Array, size: number, sums: Sums, damp: Float64Array): void {
  const n = damp.length;
  const K = (n - 1) / 2;
  const active = sums.sharpened ? G : GLOBAL.sharpen;
  const { cosine: cosInfo, sine: sinInfo } = angularSums(sums.info, 2 * K);
  const cosAt = (k: number): number => (k === 0 ? 0 : 2 * k - 1);
  for (let k = 0; k <= K; k++) {
    for (let m = 0; m <= k; m++) {
      const plus = k + m;
      const minus = k - m;
      const scale = damp[cosAt(k)]! * damp[cosAt(m)]!;
      const ci = cosAt(k);
      const cj = cosAt(m);
      a[ci * size + cj] = ((cosInfo[minus]! + cosInfo[plus]!) / 2) * scale;
      if (k === 0) continue;
      a[2 * k * size + cj] = ((sinInfo[plus]! + sinInfo[minus]!) / 2) * scale;
      if (m === 0) continue;
      a[2 * k * size + 2 * m] = ((cosInfo[minus]! - cosInfo[plus]!) / 2) * scale;
      if (k !== m) a[ci * size + 2 * m] = ((sinInfo[plus]! - sinInfo[minus]!) / 2) * scale;
    }
  }
  const gradient = angularSums(sums.gradient, K);
  const cross = Array.from({ length: active }, (_, q) => angularSums(sums.cross.subarray(q * BINS, (q + 1) * BINS), K));
  for (let row = 0; row < n; row++) {
    const k = (row + 1) >> 1;
    const part = row > 0 && row % 2 === 0 ? 'sine' : 'cosine';
    b[row] = gradient[part][k]! * damp[row]!;
    for (let q = 0; q < active; q++) a[(n + q) * size + row] = cross[q]![part][k]! * damp[row]!;
  }
  for (let q = 0; q < G; q++) {
    b[n + q] = sums.right[q]!;
    for (let p = 0; p <= q; p++) a[(n + q) * size + n + p] = sums.normal[q * G + p]!;
  }
}

/** The plate's own light at the rim, place by place, as further unknowns with the covariance foretold for them. */
function assembleExtra(
  a: Float64Array,
  b: Float64Array,
  size: number,
  n: number,
  sums: Sums,
  extraLight: Float64Array,
  precision: Float64Array,
  damp: Float64Array,
): void {
  const first = n + G;
  const perPlace = BINS / PLACES;
  const active = sums.sharpened ? G : GLOBAL.sharpen;
  // The same straight lines between places as when the model is rendered: a place reaches to its neighbours.
  const reach = 2 * perPlace - 1;
  for (let p = 0; p < PLACES; p++) {
    const row = (first + p) * size;
    for (let m = 0; m < reach; m++) {
      const bin = (p * perPlace + m - perPlace + 1 + BINS) % BINS;
      const info = sums.plateInfo[bin]!;
      if (info === 0) continue;
      const u = 1 - Math.abs(m - perPlace + 1) / perPlace;
      b[first + p]! += u * sums.plateGradient[bin]!;
      for (let g = 0; g < active; g++) a[row + n + g]! += u * sums.plateGlobals[bin * G + g]!;
      a[row + first + p]! += u * u * info;
      // Between this place and the next the two share the light; only the lower triangle is kept.
      if (m < perPlace) continue;
      const [later, earlier] = p + 1 < PLACES ? [p + 1, p] : [p, 0];
      a[(first + later) * size + first + earlier]! += u * (1 - u) * info;
    }
    for (let i = 0; i < n; i++) {
      const k = (i + 1) >> 1;
      const table = i > 0 && i % 2 === 0 ? TRIGONOMETRY.sine : TRIGONOMETRY.cosine;
      const o = k * BINS;
      let sum = 0;
      for (let m = 0; m < reach; m++) {
        const bin = (p * perPlace + m - perPlace + 1 + BINS) % BINS;
        sum += (1 - Math.abs(m - perPlace + 1) / perPlace) * sums.plateCross[bin]! * table[o + bin]!;
      }
      a[row + i] = sum * damp[i]!;
    }
  }
  for (let p = 0; p < PLACES; p++) {
    let pull = 0;
    for (let q = 0; q < PLACES; q++) {
      const w = precision[p * PLACES + q]!;
      pull += w * extraLight[q]!;
      if (q <= p) a[(first + p) * size + first + q]! += w;
    }
    b[first + p]! -= pull;
  }
}

function inverseOf(matrix: Float64Array, n: number): Float64Array {
  const a = matrix.slice();
  const floor = 1e-3 * matrix.reduce((most, v, i) => (i % (n + 1) === 0 ? Math.max(most, v) : most), 0) + 1e-14;
  for (let i = 0; i < n; i++) a[i * (n + 1)]! += floor;
  if (!choleskyInPlace(a, n)) throw new ModelError('not-converged', 'The texture of this plate could not be taken into account.');
  return choleskyInverse(a, n);
}
