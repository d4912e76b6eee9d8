/** Sums over many pixels and angles, as the fit of a rim needs them: its time goes here. */
import { median } from './first-rim.ts';
import { BINS, BIN_COSINE, BIN_SINE } from './outline-form.ts';

/** Pixels whose products are made in one go. */
export const BLOCK = 128;

/** Adds the products of the first `active` of `columns` rows with each other and with the one after them all, over `count` pixels. */
export function addProducts(rows: Float64Array, count: number, active: number, columns: number, normal: Float64Array, right: Float64Array): void {
  for (let q = 0; q < active; q++) {
    const a = q * BLOCK;
    const e = columns * BLOCK;
    let sum = 0;
    for (let m = 0; m < count; m++) sum += rows[a + m]! * rows[e + m]!;
    right[q]! += sum;
    let p = 0;
    for (; p + 1 <= q; p += 2) {
      const b = p * BLOCK;
      const c = b + BLOCK;
      let s0 = 0;
      let s1 = 0;
      for (let m = 0; m < count; m++) {
        const v = rows[a + m]!;
        s0 += v * rows[b + m]!;
        s1 += v * rows[c + m]!;
      }
      normal[q * columns + p]! += s0;
      normal[q * columns + p + 1]! += s1;
    }
    if (p === q) {
      let s0 = 0;
      for (let m = 0; m < count; m++) s0 += rows[a + m]! * rows[a + m]!;
      normal[q * columns + q]! += s0;
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
export function angularSums(sequences: readonly Float64Array[], harmonics: number): AngularSums[] {
  return sequences.map((f) => {
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
      const even = alike[k % 2]!;
      const odd = opposite[k % 2]!;
      let c = 0;
      let s = 0;
      for (let i = 0, j = 0; i <= QUARTER; i++) {
        c += even[i]! * BIN_COSINE[j]!;
        s += odd[i]! * BIN_SINE[j]!;
        j += k;
        if (j >= BINS) j -= BINS;
      }
      sums.cosine[k] = c;
      sums.sine[k] = s;
    }
    return sums;
  });
}

/** The first columns of sums by angle and global, each for itself. */
export function columnsOf(table: Float64Array, count: number, columns: number): Float64Array[] {
  return Array.from({ length: count }, (_, q) => Float64Array.from({ length: BINS }, (_v, i) => table[i * columns + q]!));
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
