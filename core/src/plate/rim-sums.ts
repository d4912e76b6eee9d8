/** Sums over many pixels and angles, as the fit of a rim needs them: its time goes here. */
import { median, type Frame } from './first-rim.ts';
import type { LightWindow } from './light-window.ts';
import { normalDensity } from './normal.ts';
import { BINS, TRIGONOMETRY, type PolarGeometry, type RimTable } from './outline-form.ts';
import {
  GLOBAL,
  blurVariances,
  blurWidths,
  edgePlace,
  meanSigma,
  nearness,
  sharpenedSlopes,
  type EdgeTails,
  type ModelImage,
  type ModelState,
} from './rim-model.ts';

const G = GLOBAL.count;

/** Pixels whose products are made in one go. */
const BLOCK = 128;

/**
 * Sums over pixels of the products of some figures with each other. A pixel's figures are put into a free place of each
 * column; where the columns are full, their products are made.
 */
class Products {
  readonly columns: number;
  /** Column after column, `stride` places each. */
  readonly rows: Float64Array;
  readonly stride = BLOCK;
  /** Products of column q with column p ≤ q at q · columns + p. */
  readonly sums: Float64Array;
  #waiting = 0;

  constructor(columns: number) {
    this.columns = columns;
    this.rows = new Float64Array(columns * BLOCK);
    this.sums = new Float64Array(columns * columns);
  }

  /** A free place in the first column; those in the others follow by `stride`. All must be filled. */
  place(): number {
    if (this.#waiting === BLOCK) this.finish();
    return this.#waiting++;
  }

  /** Makes the products of what still waits. */
  finish(): void {
    const { rows, sums, columns } = this;
    const count = this.#waiting;
    this.#waiting = 0;
    // Two columns with two, so that each figure fetched is used twice.
    for (let q = 0; q < columns; q += 2) {
      const a = q * BLOCK;
      const b = q + 1 < columns ? a + BLOCK : a;
      for (let p = 0; p <= q; p += 2) {
        const c = p * BLOCK;
        const d = p + 1 < columns ? c + BLOCK : c;
        let ac = 0;
        let ad = 0;
        let bc = 0;
        let bd = 0;
        for (let m = 0; m < count; m++) {
          const va = rows[a + m]!;
          const vb = rows[b + m]!;
          const vc = rows[c + m]!;
          const vd = rows[d + m]!;
          ac += va * vc;
          ad += va * vd;
          bc += vb * vc;
          bd += vb * vd;
        }
        sums[q * columns + p]! += ac;
        if (p + 1 < columns && p + 1 <= q) sums[q * columns + p + 1]! += ad;
        if (q + 1 === columns) continue;
        sums[(q + 1) * columns + p]! += bc;
        if (p + 1 < columns) sums[(q + 1) * columns + p + 1]! += bd;
      }
    }
  }
}

export interface AngularSums {
  /** Σ f(θ) cos k θ and Σ f(θ) sin k θ over the bins, by k. */
  readonly cosine: Float64Array;
  readonly sine: Float64Array;
}

const QUARTER = BINS / 4;

/**
 * Sums against cosine and sine of each harmonic. Opposite angles are added first, so that a quarter of the turn is left:
 * cos k(π − θ) = (−1)ᵏ cos kθ, sin k(π − θ) = −(−1)ᵏ sin kθ.
 */
export function angularSums(f: Float64Array, harmonics: number): AngularSums {
  const table = TRIGONOMETRY;
  // By parity of k: what is alike at θ and −θ, and what is opposite.
  const alike = [new Float64Array(QUARTER + 1), new Float64Array(QUARTER + 1)] as const;
  const opposite = [new Float64Array(QUARTER + 1), new Float64Array(QUARTER + 1)] as const;
  for (let i = 0; i <= QUARTER; i++) {
    const j = 2 * QUARTER - i;
    // 0 and the half turn are their own opposites, and a quarter is its own mirror image.
    const e = i === 0 ? f[0]! : f[i]! + f[BINS - i]!;
    const o = i === 0 ? 0 : f[i]! - f[BINS - i]!;
    const other = i === QUARTER ? 0 : 1;
    const ej = other * (i === 0 ? f[j]! : f[j]! + f[BINS - j]!);
    const oj = other * (i === 0 ? 0 : f[j]! - f[BINS - j]!);
    alike[0][i] = e + ej;
    alike[1][i] = e - ej;
    opposite[0][i] = o - oj;
    opposite[1][i] = o + oj;
  }
  const sums = { cosine: new Float64Array(harmonics + 1), sine: new Float64Array(harmonics + 1) };
  for (let k = 0; k <= harmonics; k++) {
    sums.cosine[k] = dot(alike[k % 2]!, table.cosine, k * BINS);
    sums.sine[k] = dot(opposite[k % 2]!, table.sine, k * BINS);
  }
  return sums;
}

/** Σ v(i) t(from + i) over all of v, whose length is odd. */
function dot(v: Float64Array, t: Float64Array, from: number): number {
  let even = v[0]! * t[from]!;
  let odd = 0;
  for (let i = 1; i < v.length; i += 2) {
    odd += v[i]! * t[from + i]!;
    even += v[i + 1]! * t[from + i + 1]!;
  }
  return even + odd;
}

/** Gathers sizes of residuals and gives their robust standard deviation. */
class Tally {
  readonly #values: Float64Array;
  count = 0;

  constructor(most: number) {
    this.#values = new Float64Array(most);
  }

  add(size: number): void {
    this.#values[this.count++] = size;
  }

  /** `null` from fewer than eight values. */
  spread(): number | null {
    if (this.count < 8) return null;
    const stride = Math.max(1, Math.floor(this.count / 800));
    const some = new Float64Array(Math.ceil(this.count / stride));
    for (let i = 0; i < some.length; i++) some[i] = this.#values[i * stride]!;
    return 1.4826 * median(some)!;
  }
}

export interface Sums {
  /** Per angle: information of the plate's own light there, with the outline's and the globals'; gradient. */
  readonly plateInfo: Float64Array;
  readonly plateCross: Float64Array;
  readonly plateGlobals: Float64Array;
  readonly plateGradient: Float64Array;
  readonly info: Float64Array;
  readonly gradient: Float64Array;
  readonly cross: Float64Array;
  readonly normal: Float64Array;
  readonly right: Float64Array;
  readonly insideSpread: number | null;
  readonly outsideSpread: number | null;
  readonly edgeSpread: number | null;
  /** Mean share of the hole where `edgeSpread` was taken. */
  readonly edgeShare: number;
  /** Without sharpening its two globals have no sums. */
  readonly sharpened: boolean;
}

/** As far as the sums need it. */
interface Scene {
  readonly frame: Frame;
  readonly geometry: PolarGeometry;
  readonly rim: RimTable;
  readonly meanRadius: number;
  readonly tails: EdgeTails;
}

/** Departures beyond about four of these shares of the contrast have no weight in a coarse fit. */
const COARSE_SHARE = 0.06;
/** Distance from the rim, in blur widths, beyond which a pixel sees only levels and the ends of the blur. */
const FAR = 6;
const FAR_GLOBALS = [0, 1, 2, 3, 4, 5, GLOBAL.tail, GLOBAL.tail + 1] as const;

/** Information and gradient of the outline per angle, of the globals, and between them. */
export function accumulate(
  window: LightWindow,
  scene: Scene,
  state: ModelState,
  image: ModelImage,
  mask: Uint8Array | undefined,
  coarse: boolean,
  textured: boolean,
): Sums {
  const { geometry, rim, meanRadius, tails } = scene;
  const { light, clipLight, blackLight } = window;
  const { list, depth: depths, share: shares, slope: passes, expected, variance: variances, holeLight, plateLight } = image;
  const info = new Float64Array(BINS);
  const gradient = new Float64Array(BINS);
  const cross = new Float64Array(BINS * G);
  const plateInfo = new Float64Array(BINS);
  const plateCross = new Float64Array(BINS);
  const plateGlobals = new Float64Array(textured ? BINS * G : 0);
  const plateGradient = new Float64Array(BINS);
  const g = new Float64Array(G);
  const sharpening = state.sharpening !== 'none';
  const active = sharpening ? G : GLOBAL.sharpen;
  // What a pixel tells of, and in the last column what is left of its light.
  const near = new Products(active + 1);
  const far = new Products(FAR_GLOBALS.length + 1);
  const insideResiduals = new Tally(list.length);
  const outsideResiduals = new Tally(list.length);
  const edgeResiduals = new Tally(list.length);
  const blur = blurVariances(state, scene.frame);
  const widths = blurWidths(rim, blur);
  const slopes = sharpening ? sharpenedSlopes(window.tone, state, meanSigma(state, scene.frame)) : null;
  const scaleLight = Math.abs(state.hole[0]! - state.plate[0]!);
  let edgeShare = 0;
  const extra = coarse ? (COARSE_SHARE * scaleLight) ** 2 : 0;
  for (let m = 0; m < list.length; m++) {
    const i = list[m]!;
    if (mask && mask[i] === 1) continue;
    const pass = passes[i]!;
    const share = shares[i]!;
    // What is stored at a limit says no more than the limit, and so does its expectation.
    const e = Math.min(clipLight, Math.max(blackLight, light[i]!)) - expected[i]!;
    if (pass > 0.5) {
      if (share > 0.995) insideResiduals.add(Math.abs(e));
      else if (share < 0.005) outsideResiduals.add(Math.abs(e));
      else if (share > 0.25 && share < 0.75) {
        edgeResiduals.add(Math.abs(e) / pass);
        edgeShare += share;
      }
    }
    const variance = variances[i]! + extra;
    const ratio = Math.abs(e) / Math.sqrt(variance) / 5;
    const robust = coarse ? (ratio < 1 ? (1 - ratio * ratio) ** 2 : 0) : ratio < 1 ? 1 : 1 / ratio;
    const w = robust / variance;
    if (!(w > 0) || pass < 1e-4) continue;
    const root = Math.sqrt(w);
    const at = geometry.bin[i]!;
    const low = at | 0;
    const s = widths[low]!;
    const d = depths[i]!;
    const z = d / s;
    const C = pass * (holeLight[i]! - plateLight[i]!);
    const x = geometry.x[i]! / meanRadius;
    const y = geometry.y[i]! / meanRadius;
    const t = edgePlace(z);
    const k = t | 0;
    const f = t - k;
    const firstTail = C * between(tails.first, k, f);
    const secondTail = C * between(tails.second, k, f);
    const inner = pass * share;
    const outer = pass * (1 - share);
    if (!sharpening && (z < -FAR || (z > FAR && !textured))) {
      const { rows, stride } = far;
      let to = far.place();
      rows[to] = root * inner;
      rows[(to += stride)] = root * inner * x;
      rows[(to += stride)] = root * inner * y;
      rows[(to += stride)] = root * outer;
      rows[(to += stride)] = root * outer * x;
      rows[(to += stride)] = root * outer * y;
      rows[(to += stride)] = root * firstTail;
      rows[(to += stride)] = root * secondTail;
      rows[to + stride] = root * e;
      continue;
    }
    const nx2 = rim.normalX2[low]!;
    // What the expected light changes by, per unit of the radius (jr), the plate's light (jp), the logarithm of the blur's width.
    let jr: number;
    let jp = outer;
    let perWidth: number;
    if (slopes === null) {
      const bell = z > FAR || z < -FAR ? 0 : normalDensity(z) / s;
      jr = C * bell * rim.cosine[low]!;
      perWidth = -C * bell * d;
      g[0] = inner;
      g[8] = firstTail;
      g[9] = secondTail;
    } else {
      jr = pass * between(slopes.depth, k, f) * rim.cosine[low]!;
      perWidth = pass * between(slopes.width, k, f);
      g[0] = pass * between(slopes.hole, k, f);
      jp = pass * between(slopes.plate, k, f);
      g[8] = pass * between(slopes.firstTail, k, f);
      g[9] = pass * between(slopes.secondTail, k, f);
      g[10] = image.amountSlope[i]!;
      g[11] = image.radiusSlope[i]!;
    }
    g[1] = g[0] * x;
    g[2] = g[0] * y;
    g[3] = jp;
    g[4] = jp * x;
    g[5] = jp * y;
    g[6] = (perWidth * blur.column * nx2) / (s * s);
    g[7] = (perWidth * blur.row * (1 - nx2)) / (s * s);
    const rounded = (at + 0.5) | 0;
    const nearest = rounded === BINS ? 0 : rounded;
    info[nearest]! += w * jr * jr;
    gradient[nearest]! += w * jr * e;
    const jt = textured ? jp * nearness(z) : 0;
    if (jt !== 0) {
      plateInfo[nearest]! += w * jt * jt;
      plateCross[nearest]! += w * jt * jr;
      plateGradient[nearest]! += w * jt * e;
      for (let q = 0; q < active; q++) plateGlobals[nearest * G + q]! += w * jt * g[q]!;
    }
    const wj = w * jr;
    const { rows, stride } = near;
    let to = near.place();
    for (let q = 0; q < active; q++) {
      cross[q * BINS + nearest]! += wj * g[q]!;
      rows[to] = root * g[q]!;
      to += stride;
    }
    rows[to] = root * e;
  }
  const { normal, right } = globalSums(active, [near, null], [far, FAR_GLOBALS]);
  return {
    plateInfo,
    plateCross,
    plateGlobals,
    plateGradient,
    info,
    gradient,
    cross,
    normal,
    right,
    insideSpread: insideResiduals.spread(),
    outsideSpread: outsideResiduals.spread(),
    edgeSpread: edgeResiduals.spread(),
    edgeShare: edgeShare / Math.max(1, edgeResiduals.count),
    sharpened: sharpening,
  };
}

/** What a table of `edgePlace` holds at place k and the share f of the next. */
function between(table: Float64Array, k: number, f: number): number {
  return table[k]! * (1 - f) + table[k + 1]! * f;
}

/** Products by global: those of columns that are all globals in their order, or the ones named. */
function globalSums(
  active: number,
  ...parts: readonly (readonly [Products, readonly number[] | null])[]
): { readonly normal: Float64Array; readonly right: Float64Array } {
  const normal = new Float64Array(G * G);
  const right = new Float64Array(G);
  for (const [products, globals] of parts) {
    products.finish();
    const { sums, columns } = products;
    const last = columns - 1;
    const global = (q: number): number => globals?.[q] ?? q;
    for (let q = 0; q < Math.min(last, active); q++) {
      right[global(q)]! += sums[last * columns + q]!;
      for (let p = 0; p <= q; p++) normal[global(q) * G + global(p)]! += sums[q * columns + p]!;
    }
  }
  return { normal, right };
}
