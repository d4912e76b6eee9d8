/** Sums over many pixels and angles, as the fit of a rim needs them: its time goes here. */
import { median } from './first-rim.ts';
import { BINS, TRIGONOMETRY } from './outline-form.ts';

/** Pixels whose products are made in one go. */
const BLOCK = 128;

/**
 * Sums over pixels of the products of some figures with each other. A pixel's figures are put into a free place of each
 * column; where the columns are full, their products are made.
 */
export class Products {
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
export class Tally {
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
