/**
 * The rim by maximum likelihood: an outline in Fourier form, its light blurred as the scanner blurs,
 * compared with every pixel about the edge. Levels, blur and outline are found together; how much of
 * the fine outline is real is decided by the data (a variance for each band of harmonics).
 */
import { ModelError } from '../errors.ts';
import { choleskyInPlace, choleskyInverse, choleskySolve } from '../numeric/cholesky.ts';
import { blurredCoverage } from './coverage.ts';
import { median, radiusAt, type FirstRim, type Frame } from './first-rim.ts';
import type { LightWindow } from './light-window.ts';
import { normalDensity, normalShare } from './normal.ts';

export interface RimFit {
  readonly frame: Frame;
  /** Mean, then cosine and sine parts of each harmonic, units. */
  readonly radius: Float64Array;
  /** Optical blur along rows and columns, px, without the pixel itself. */
  readonly sigmaColumnPx: number;
  readonly sigmaRowPx: number;
  /** Blur with the pixel, mean of both directions, units. */
  readonly sigma: number;
  /** Weights of the wider parts of the blur. */
  readonly tails: readonly [number, number];
  /** Hole and plate light: level at the centre, slope over one mean radius to the right and up. */
  readonly hole: Float64Array;
  readonly plate: Float64Array;
  readonly contrast: number;
  readonly holeVariance: number;
  readonly plateVariance: number;
  /** Covariance of `radius` (model's own, white noise), row after row. */
  readonly covariance: Float64Array;
  /** Share of the hole in each pixel of the window after the blur, NaN outside the fitted band. */
  readonly share: Float32Array;
  /** Light less model, 0 outside the fitted band. */
  readonly residual: Float32Array;
  /** Signed distance from the outline, positive inside, units. */
  readonly depth: Float32Array;
  /** Pixels clipped white or black near the rim, as a share of the band. */
  readonly clippedShare: number;
  readonly steps: number;
}

export interface FitSettings {
  readonly harmonics: number;
  /** 1 where a pixel must not be used. */
  readonly mask?: Uint8Array;
  /** Light to be added to the plate, from its texture, per pixel. */
  readonly texture?: Float32Array;
}

const BINS = 720;
const TAIL = [2.5, 7] as const;
/** Levels 3 + 3, two blurs, two tails. */
const GLOBALS = 10;

export function fitRim(window: LightWindow, first: FirstRim | RimFit, settings: FitSettings): RimFit {
  const K = settings.harmonics;
  const n = 1 + 2 * K;
  const size = n + GLOBALS;
  const { widthPx, heightPx, light } = window;
  let frame = first.frame;
  const radius = new Float64Array(n);
  radius.set(first.radius.subarray(0, Math.min(n, first.radius.length)));
  let state = startState(first);
  const prior = bandVariances(K, radius[0]!);
  const total = widthPx * heightPx;
  const share = new Float32Array(total);
  const residual = new Float32Array(total);
  const depth = new Float32Array(total);
  const basis = trigonometry(K);
  let covariance = new Float64Array(n * n);
  let clipped = 0;
  let band = 1;
  let steps = 0;
  let geometry = polarGeometry(window, frame);

  for (let step = 0; step < 14; step++) {
    steps = step + 1;
    const rim = rimTable(radius, basis, K);
    const core = blurredCoverage(polygonOf(rim.radius, frame), window, state.sigmaColumnPx, state.sigmaRowPx);
    const R = radius[0]!;
    const contrast = state.hole[0]! - state.plate[0]!;
    const boxColumn = frame.unitsPerColumn ** 2 / 12;
    const boxRow = frame.unitsPerRow ** 2 / 12;
    const varColumn = (state.sigmaColumnPx * frame.unitsPerColumn) ** 2;
    const varRow = (state.sigmaRowPx * frame.unitsPerRow) ** 2;
    const sigma = Math.sqrt((varColumn + varRow + boxColumn + boxRow) / 2);
    const reachOut = Math.max(12 * sigma, 8);
    const reachIn = Math.max(8 * sigma, 6);
    const scaleLight = Math.abs(contrast);

    const info = new Float64Array(BINS);
    const gradient = new Float64Array(BINS);
    const cross = new Float64Array(BINS * GLOBALS);
    const normal = new Float64Array(GLOBALS * GLOBALS);
    const right = new Float64Array(GLOBALS);
    const g = new Float64Array(GLOBALS);
    const insideResiduals: number[] = [];
    const outsideResiduals: number[] = [];
    clipped = 0;
    band = 1;
    share.fill(NaN);
    residual.fill(0);

    for (let i = 0; i < total; i++) {
      const at = geometry.bin[i]!;
      const low = at | 0;
      const high = low + 1 === BINS ? 0 : low + 1;
      const f = at - low;
      const r = rim.radius[low]! * (1 - f) + rim.radius[high]! * f;
      const cosine = rim.cosine[low]!;
      const d = (r - geometry.distance[i]!) * cosine;
      depth[i] = d;
      if (d < -reachOut || (d > reachIn && d < 0.5 * R)) continue;
      const across = varColumn * rim.normalX2[low]! + varRow * (1 - rim.normalX2[low]!);
      const s2 = across + boxColumn * rim.normalX2[low]! + boxRow * (1 - rim.normalX2[low]!);
      const s = Math.sqrt(s2);
      const z = d / s;
      const bell = z > 6 || z < -6 ? 0 : normalDensity(z) / s;
      const step1 = normalShare(z);
      const wide1 = normalShare(z / TAIL[0]) - step1;
      const wide2 = normalShare(z / TAIL[1]) - step1;
      const v = core[i]! + state.tails[0]! * wide1 + state.tails[1]! * wide2;
      share[i] = v;
      const x = geometry.x[i]! / R;
      const y = geometry.y[i]! / R;
      const holeLight = state.hole[0]! + state.hole[1]! * x + state.hole[2]! * y;
      const plateLight =
        state.plate[0]! + state.plate[1]! * x + state.plate[2]! * y + (settings.texture ? settings.texture[i]! : 0);
      let model = plateLight + (holeLight - plateLight) * v;
      const inner = Math.min(1, Math.max(0, v));
      const variance = inner * state.holeVariance + (1 - inner) * state.plateVariance;
      const noise = Math.sqrt(variance);
      const data = light[i]!;
      let slope = 1;
      // A clipped pixel says only that the light was beyond; its expectation is taken instead.
      if (model > window.clipLight - 4 * noise) {
        const t = (window.clipLight - model) / noise;
        const pass = normalShare(t);
        model = window.clipLight * (1 - pass) + model * pass - noise * normalDensity(t);
        slope = pass;
      } else if (model < window.blackLight + 4 * noise) {
        const t = (model - window.blackLight) / noise;
        const pass = normalShare(t);
        model = window.blackLight * (1 - pass) + model * pass + noise * normalDensity(t);
        slope = pass;
      }
      let e = data - model;
      if (data >= window.clipLight && model >= window.clipLight) e = 0;
      residual[i] = e;
      if (settings.mask && settings.mask[i] === 1) continue;
      if (Math.abs(z) < 3) {
        band++;
        if (data >= window.clipLight || data <= window.blackLight) clipped++;
      }
      if (v > 0.995 && slope > 0.5) insideResiduals.push(Math.abs(e));
      else if (v < 0.005 && slope > 0.5) outsideResiduals.push(Math.abs(e));
      const ratio = Math.abs(e) / noise / 5;
      const robust = ratio < 1 ? 1 : 1 / ratio;
      const w = (robust * slope * slope) / variance;
      if (!(w > 0)) continue;
      const de = e / slope;
      const C = holeLight - plateLight;
      const jr = C * bell * cosine;
      g[0] = v;
      g[1] = v * x;
      g[2] = v * y;
      g[3] = 1 - v;
      g[4] = (1 - v) * x;
      g[5] = (1 - v) * y;
      const blurSlope = (-C * bell * d) / s2;
      g[6] = blurSlope * varColumn * rim.normalX2[low]!;
      g[7] = blurSlope * varRow * (1 - rim.normalX2[low]!);
      g[8] = C * wide1;
      g[9] = C * wide2;
      const nearest = f < 0.5 ? low : high;
      info[nearest]! += w * jr * jr;
      gradient[nearest]! += w * jr * de;
      const o = nearest * GLOBALS;
      for (let q = 0; q < GLOBALS; q++) {
        const wg = w * g[q]!;
        cross[o + q]! += jr * wg;
        right[q]! += wg * de;
        for (let p = 0; p <= q; p++) normal[q * GLOBALS + p]! += wg * g[p]!;
      }
    }

    const a = new Float64Array(size * size);
    const b = new Float64Array(size);
    const damp = lateralAttenuation(K, sigma / R);
    assemble(a, b, { info, gradient, cross, normal, right, damp, K, basis });
    for (let i = 0; i < n; i++) {
      const p = 1 / prior[i]!;
      a[i * size + i]! += p;
      b[i]! -= p * radius[i]!;
    }
    addGlobalPriors(a, b, size, n, state, scaleLight);
    if (!choleskyInPlace(a, size)) {
      throw new ModelError('not-converged', 'The rim of this hole is too unclear to be fitted.');
    }
    const move = choleskySolve(a, size, b);
    let largest = 0;
    const limit = Math.max(0.5, 0.7 * sigma);
    for (let i = 0; i < n; i++) largest = Math.max(largest, Math.abs(move[i]!));
    const factor = largest > limit ? limit / largest : 1;
    for (let i = 0; i < n; i++) radius[i]! += factor * move[i]!;
    state = movedState(state, move, n, factor);
    const insideSpread = spreadOf(insideResiduals);
    const outsideSpread = spreadOf(outsideResiduals);
    const floor = (1e-3 * scaleLight) ** 2;
    const outVariance = outsideSpread === null ? state.plateVariance : outsideSpread ** 2;
    state.plateVariance = Math.max(floor, outVariance);
    state.holeVariance = Math.max(floor, insideSpread === null ? outVariance : insideSpread ** 2);

    if (step >= 1) {
      const inverse = choleskyInverse(a, size);
      covariance = new Float64Array(n * n);
      for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) covariance[i * n + j] = inverse[i * size + j]!;
      updateVariances(prior, radius, covariance, K);
    }
    if (step === 2 && Math.hypot(radius[1]!, radius[2]!) > 0.05) {
      frame = {
        ...frame,
        column: frame.column + radius[1]! / frame.unitsPerColumn,
        row: frame.row - radius[2]! / frame.unitsPerRow,
      };
      radius[1] = 0;
      radius[2] = 0;
      geometry = polarGeometry(window, frame);
      continue;
    }
    if (step >= 4 && largest < 5e-4) break;
  }

  const sigmaX = Math.hypot(state.sigmaColumnPx, Math.sqrt(1 / 12)) * frame.unitsPerColumn;
  const sigmaY = Math.hypot(state.sigmaRowPx, Math.sqrt(1 / 12)) * frame.unitsPerRow;
  return {
    frame,
    radius,
    sigmaColumnPx: state.sigmaColumnPx,
    sigmaRowPx: state.sigmaRowPx,
    sigma: Math.sqrt((sigmaX ** 2 + sigmaY ** 2) / 2),
    tails: [state.tails[0]!, state.tails[1]!],
    hole: state.hole,
    plate: state.plate,
    contrast: state.hole[0]! - state.plate[0]!,
    holeVariance: state.holeVariance,
    plateVariance: state.plateVariance,
    covariance,
    share,
    residual,
    depth,
    clippedShare: clipped / band,
    steps,
  };
}

interface FitState {
  hole: Float64Array;
  plate: Float64Array;
  sigmaColumnPx: number;
  sigmaRowPx: number;
  tails: Float64Array;
  holeVariance: number;
  plateVariance: number;
}

function startState(first: FirstRim | RimFit): FitState {
  if ('covariance' in first) {
    return {
      hole: first.hole.slice(),
      plate: first.plate.slice(),
      sigmaColumnPx: first.sigmaColumnPx,
      sigmaRowPx: first.sigmaRowPx,
      tails: Float64Array.from(first.tails),
      holeVariance: first.holeVariance,
      plateVariance: first.plateVariance,
    };
  }
  const optical = Math.sqrt(Math.max(0.1, first.sigma ** 2 - 1 / 12));
  const floor = (2e-3 * (first.holeLight - first.plateLight)) ** 2;
  return {
    hole: Float64Array.of(first.holeLight, 0, 0),
    plate: Float64Array.of(first.plateLight, 0, 0),
    sigmaColumnPx: optical / first.frame.unitsPerColumn,
    sigmaRowPx: optical / first.frame.unitsPerRow,
    tails: Float64Array.of(0, 0),
    holeVariance: Math.max(floor, first.holeNoise ** 2),
    plateVariance: Math.max(floor, first.plateNoise ** 2),
  };
}

function movedState(state: FitState, move: Float64Array, n: number, factor: number): FitState {
  const clampLog = (v: number): number => Math.min(0.4, Math.max(-0.4, v));
  const hole = state.hole.map((v, i) => v + factor * move[n + i]!);
  const plate = state.plate.map((v, i) => v + factor * move[n + 3 + i]!);
  return {
    ...state,
    hole,
    plate,
    sigmaColumnPx: Math.max(0.15, state.sigmaColumnPx * Math.exp(clampLog(factor * move[n + 6]!))),
    sigmaRowPx: Math.max(0.15, state.sigmaRowPx * Math.exp(clampLog(factor * move[n + 7]!))),
    tails: state.tails.map((v, i) => v + factor * move[n + 8 + i]!),
  };
}

/** Weak expectations that keep what the scan cannot tell from running away. */
function addGlobalPriors(a: Float64Array, b: Float64Array, size: number, n: number, state: FitState, scale: number): void {
  const add = (index: number, value: number, deviation: number): void => {
    const p = 1 / deviation ** 2;
    a[index * size + index]! += p;
    b[index]! -= p * value;
  };
  add(n + 1, state.hole[1]!, 0.05 * scale);
  add(n + 2, state.hole[2]!, 0.05 * scale);
  add(n + 4, state.plate[1]!, 0.1 * scale);
  add(n + 5, state.plate[2]!, 0.1 * scale);
  add(n + 8, state.tails[0]!, 0.05);
  add(n + 9, state.tails[1]!, 0.05);
  // The two directions blur alike within a fifth or so.
  const p = 1 / 0.2 ** 2;
  const difference = Math.log(state.sigmaColumnPx / state.sigmaRowPx);
  const i = n + 6;
  const j = n + 7;
  a[i * size + i]! += p;
  a[j * size + j]! += p;
  a[j * size + i]! -= p;
  b[i]! -= p * difference;
  b[j]! += p * difference;
  // A step of the logarithm stays bounded where the blur is narrower than a pixel and hardly seen.
  a[i * size + i]! += 4;
  a[j * size + j]! += 4;
}

/** Bands of harmonics that share one variance. */
const BANDS = [2, 3, 4, 6, 9, 13, 19, 27, 39, 56, 1000];

function bandVariances(K: number, radius: number): Float64Array {
  const prior = new Float64Array(1 + 2 * K).fill(1e6 * radius * radius);
  for (let k = 2; k <= K; k++) {
    const v = (0.03 * radius) ** 2 / (k * k);
    prior[2 * k - 1] = v;
    prior[2 * k] = v;
  }
  return prior;
}

function updateVariances(prior: Float64Array, radius: Float64Array, covariance: Float64Array, K: number): void {
  const n = 1 + 2 * K;
  for (let band = 0; band + 1 < BANDS.length; band++) {
    const from = BANDS[band]!;
    const to = Math.min(K + 1, BANDS[band + 1]!);
    if (from >= to) break;
    let sum = 0;
    let count = 0;
    for (let k = from; k < to; k++) {
      for (const i of [2 * k - 1, 2 * k]) {
        sum += radius[i]! ** 2 + covariance[i * n + i]!;
        count++;
      }
    }
    const v = Math.max(1e-10, sum / count);
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

interface Trigonometry {
  readonly cosine: Float64Array;
  readonly sine: Float64Array;
}

/** Cosine and sine of k times the angle of each bin: index k · BINS + bin. */
function trigonometry(K: number): Trigonometry {
  const cosine = new Float64Array((K + 1) * BINS);
  const sine = new Float64Array((K + 1) * BINS);
  const base = Float64Array.from({ length: BINS }, (_, i) => Math.cos((2 * Math.PI * i) / BINS));
  for (let k = 0; k <= K; k++) {
    for (let i = 0; i < BINS; i++) {
      cosine[k * BINS + i] = base[(k * i) % BINS]!;
      sine[k * BINS + i] = base[(k * i + (3 * BINS) / 4) % BINS]!;
    }
  }
  return { cosine, sine };
}

interface Assembly {
  readonly info: Float64Array;
  readonly gradient: Float64Array;
  readonly cross: Float64Array;
  readonly normal: Float64Array;
  readonly right: Float64Array;
  readonly damp: Float64Array;
  readonly K: number;
  readonly basis: Trigonometry;
}

/** Normal equations of outline and globals from the sums per bin; products of trigonometric terms by sum and difference. */
function assemble(a: Float64Array, b: Float64Array, parts: Assembly): void {
  const { info, gradient, cross, normal, right, damp, K, basis } = parts;
  const n = 1 + 2 * K;
  const size = n + GLOBALS;
  const cosInfo = new Float64Array(2 * K + 1);
  const sinInfo = new Float64Array(2 * K + 1);
  for (let m = 0; m <= 2 * K; m++) {
    let c = 0;
    let s = 0;
    for (let i = 0; i < BINS; i++) {
      const j = (m * i) % BINS;
      c += info[i]! * basis.cosine[BINS + j]!;
      s += info[i]! * basis.sine[BINS + j]!;
    }
    cosInfo[m] = c;
    sinInfo[m] = s;
  }
  const index = (k: number, sine: boolean): number => (k === 0 ? 0 : sine ? 2 * k : 2 * k - 1);
  for (let k = 0; k <= K; k++) {
    for (let m = 0; m <= k; m++) {
      const plus = k + m;
      const minus = k - m;
      const scale = damp[index(k, false)]! * damp[index(m, false)]!;
      const cc = ((cosInfo[minus]! + cosInfo[plus]!) / 2) * scale;
      const ss = ((cosInfo[minus]! - cosInfo[plus]!) / 2) * scale;
      const sc = ((sinInfo[plus]! + sinInfo[minus]!) / 2) * scale;
      const cs = ((sinInfo[plus]! - sinInfo[minus]!) / 2) * scale;
      a[index(k, false) * size + index(m, false)] = cc;
      if (k > 0) a[index(k, true) * size + index(m, false)] = sc;
      if (k > 0 && m > 0) {
        a[index(k, true) * size + index(m, true)] = ss;
        const [row, column] = k === m ? [index(k, true), index(m, false)] : [index(k, false), index(m, true)];
        a[row * size + column] = k === m ? sc : cs;
      }
    }
  }
  for (let k = 0; k <= K; k++) {
    for (const sine of k === 0 ? [false] : [false, true]) {
      const row = index(k, sine);
      const table = sine ? basis.sine : basis.cosine;
      let gsum = 0;
      const sums = new Float64Array(GLOBALS);
      for (let i = 0; i < BINS; i++) {
        const t = table[k * BINS + i]!;
        gsum += gradient[i]! * t;
        const o = i * GLOBALS;
        for (let q = 0; q < GLOBALS; q++) sums[q]! += cross[o + q]! * t;
      }
      b[row] = gsum * damp[row]!;
      for (let q = 0; q < GLOBALS; q++) a[(n + q) * size + row] = sums[q]! * damp[row]!;
    }
  }
  for (let q = 0; q < GLOBALS; q++) {
    b[n + q] = right[q]!;
    for (let p = 0; p <= q; p++) a[(n + q) * size + n + p] = normal[q * GLOBALS + p]!;
  }
}

interface RimTable {
  readonly radius: Float64Array;
  /** Cosine between ray and normal. */
  readonly cosine: Float64Array;
  /** Square of the normal's x part. */
  readonly normalX2: Float64Array;
}

function rimTable(radius: Float64Array, basis: Trigonometry, K: number): RimTable {
  const r = new Float64Array(BINS).fill(radius[0]!);
  const slope = new Float64Array(BINS);
  for (let k = 1; k <= K; k++) {
    const a = radius[2 * k - 1]!;
    const b = radius[2 * k]!;
    if (a === 0 && b === 0) continue;
    const o = k * BINS;
    for (let i = 0; i < BINS; i++) {
      const c = basis.cosine[o + i]!;
      const s = basis.sine[o + i]!;
      r[i]! += a * c + b * s;
      slope[i]! += k * (b * c - a * s);
    }
  }
  const cosine = new Float64Array(BINS);
  const normalX2 = new Float64Array(BINS);
  for (let i = 0; i < BINS; i++) {
    const c = basis.cosine[BINS + i]!;
    const s = basis.sine[BINS + i]!;
    const length = Math.hypot(r[i]!, slope[i]!);
    cosine[i] = r[i]! / length;
    normalX2[i] = ((r[i]! * c + slope[i]! * s) / length) ** 2;
  }
  return { radius: r, cosine, normalX2 };
}

/** Vertices in window pixels; pushed outwards a little so that the straight sides keep the area of the curve. */
export function polygonOf(radii: Float64Array, frame: Frame): Float64Array {
  const n = radii.length;
  const grow = 1 + (2 * Math.PI / n) ** 2 / 12;
  const out = new Float64Array(2 * n);
  for (let i = 0; i < n; i++) {
    const angle = (2 * Math.PI * i) / n;
    out[2 * i] = frame.column + (grow * radii[i]! * Math.cos(angle)) / frame.unitsPerColumn;
    out[2 * i + 1] = frame.row - (grow * radii[i]! * Math.sin(angle)) / frame.unitsPerRow;
  }
  return out;
}

/** Radii of a Fourier outline at even angles. */
export function radiiOf(radius: Float64Array, count: number): Float64Array {
  return Float64Array.from({ length: count }, (_, i) => radiusAt(radius, (2 * Math.PI * i) / count));
}

interface PolarGeometry {
  readonly x: Float32Array;
  readonly y: Float32Array;
  readonly distance: Float32Array;
  /** Angle in bins, 0 ≤ bin < BINS. */
  readonly bin: Float32Array;
}

function polarGeometry(window: LightWindow, frame: Frame): PolarGeometry {
  const { widthPx, heightPx } = window;
  const total = widthPx * heightPx;
  const x = new Float32Array(total);
  const y = new Float32Array(total);
  const distance = new Float32Array(total);
  const bin = new Float32Array(total);
  for (let row = 0; row < heightPx; row++) {
    const v = (frame.row - row - 0.5) * frame.unitsPerRow;
    for (let column = 0; column < widthPx; column++) {
      const i = row * widthPx + column;
      const u = (column + 0.5 - frame.column) * frame.unitsPerColumn;
      x[i] = u;
      y[i] = v;
      distance[i] = Math.sqrt(u * u + v * v);
      const turn = (Math.atan2(v, u) / (2 * Math.PI)) * BINS;
      const positive = turn < 0 ? turn + BINS : turn;
      bin[i] = positive >= BINS - 1e-3 ? 0 : positive;
    }
  }
  return { x, y, distance, bin };
}

function spreadOf(absolute: number[]): number | null {
  if (absolute.length < 8) return null;
  return 1.4826 * median(absolute)!;
}
