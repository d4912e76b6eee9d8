/**
 * Symmetric positive definite systems of moderate size, dense, row after row in one array. Rows are taken four at a
 * time, so that each number fetched is used more than once.
 */

/**
 * Replaces the lower triangle of `a` by its Cholesky factor L, a = L Lᵀ.
 * @param a n × n, row after row; only the lower triangle is read
 * @returns false when `a` is not positive definite (its contents are then spoilt)
 */
export function choleskyInPlace(a: Float64Array, n: number): boolean {
  for (let j = 0; j < n; j++) {
    const rowJ = j * n;
    let d = a[rowJ + j]!;
    for (let k = 0; k < j; k++) {
      const v = a[rowJ + k]!;
      d -= v * v;
    }
    if (!(d > 0)) return false;
    const root = Math.sqrt(d);
    a[rowJ + j] = root;
    let i = j + 1;
    for (; i + 3 < n; i += 4) {
      const r0 = i * n;
      const r1 = r0 + n;
      const r2 = r1 + n;
      const r3 = r2 + n;
      let s0 = a[r0 + j]!;
      let s1 = a[r1 + j]!;
      let s2 = a[r2 + j]!;
      let s3 = a[r3 + j]!;
      for (let k = 0; k < j; k++) {
        const v = a[rowJ + k]!;
        s0 -= a[r0 + k]! * v;
        s1 -= a[r1 + k]! * v;
        s2 -= a[r2 + k]! * v;
        s3 -= a[r3 + k]! * v;
      }
      a[r0 + j] = s0 / root;
      a[r1 + j] = s1 / root;
      a[r2 + j] = s2 / root;
      a[r3 + j] = s3 / root;
    }
    for (; i < n; i++) {
      const rowI = i * n;
      let s = a[rowI + j]!;
      for (let k = 0; k < j; k++) s -= a[rowI + k]! * a[rowJ + k]!;
      a[rowI + j] = s / root;
    }
  }
  return true;
}

/** Solves L Lᵀ x = b for a factor made by `choleskyInPlace`. */
export function choleskySolve(factor: Float64Array, n: number, b: Float64Array): Float64Array {
  const x = Float64Array.from(b);
  for (let i = 0; i < n; i++) {
    let s = x[i]!;
    for (let k = 0; k < i; k++) s -= factor[i * n + k]! * x[k]!;
    x[i] = s / factor[i * n + i]!;
  }
  for (let i = n - 1; i >= 0; i--) {
    const row = i * n;
    const v = x[i]! / factor[row + i]!;
    x[i] = v;
    for (let k = 0; k < i; k++) x[k]! -= factor[row + k]! * v;
  }
  return x;
}

/**
 * Solves L y = b for several right-hand sides at once: the forward half of a solution.
 * @param sides `count` rows of n, one right-hand side each; replaced by the solutions
 * @param startsAtOwn row c is known to be 0 before its entry c
 */
export function choleskyForward(factor: Float64Array, n: number, sides: Float64Array, count: number, startsAtOwn = false): void {
  let c = 0;
  for (; c + 3 < count; c += 4) {
    const r0 = c * n;
    const r1 = r0 + n;
    const r2 = r1 + n;
    const r3 = r2 + n;
    const start = startsAtOwn ? c : 0;
    for (let i = start; i < n; i++) {
      const row = i * n;
      let s0 = sides[r0 + i]!;
      let s1 = sides[r1 + i]!;
      let s2 = sides[r2 + i]!;
      let s3 = sides[r3 + i]!;
      for (let k = start; k < i; k++) {
        const v = factor[row + k]!;
        s0 -= v * sides[r0 + k]!;
        s1 -= v * sides[r1 + k]!;
        s2 -= v * sides[r2 + k]!;
        s3 -= v * sides[r3 + k]!;
      }
      const d = factor[row + i]!;
      sides[r0 + i] = s0 / d;
      sides[r1 + i] = s1 / d;
      sides[r2 + i] = s2 / d;
      sides[r3 + i] = s3 / d;
    }
  }
  for (; c < count; c++) {
    const r = c * n;
    const start = startsAtOwn ? c : 0;
    for (let i = start; i < n; i++) {
      const row = i * n;
      let s = sides[r + i]!;
      for (let k = start; k < i; k++) s -= factor[row + k]! * sides[r + k]!;
      sides[r + i] = s / factor[row + i]!;
    }
  }
}

/**
 * Products of the rows of `x` with each other: full and symmetric, count × count.
 * @param triangular row i is known to be 0 before its entry i
 */
export function rowProducts(x: Float64Array, n: number, count: number, triangular = false): Float64Array {
  const out = new Float64Array(count * count);
  for (let i = 0; i < count; i++) {
    const ri = i * n;
    // Row i of a triangular matrix is 0 before its own column.
    const start = triangular ? i : 0;
    let j = 0;
    for (; j + 3 <= i; j += 4) {
      const r0 = j * n;
      const r1 = r0 + n;
      const r2 = r1 + n;
      const r3 = r2 + n;
      let s0 = 0;
      let s1 = 0;
      let s2 = 0;
      let s3 = 0;
      for (let k = start; k < n; k++) {
        const v = x[ri + k]!;
        s0 += v * x[r0 + k]!;
        s1 += v * x[r1 + k]!;
        s2 += v * x[r2 + k]!;
        s3 += v * x[r3 + k]!;
      }
      const o = i * count + j;
      out[o] = s0;
      out[o + 1] = s1;
      out[o + 2] = s2;
      out[o + 3] = s3;
    }
    for (; j <= i; j++) {
      const r = j * n;
      let s = 0;
      for (let k = start; k < n; k++) s += x[ri + k]! * x[r + k]!;
      out[i * count + j] = s;
    }
    for (j = 0; j < i; j++) out[j * count + i] = out[i * count + j]!;
  }
  return out;
}

/**
 * Inverse of the matrix behind a Cholesky factor, full and symmetric.
 * @param leading only that many of its first rows and columns
 */
export function choleskyInverse(factor: Float64Array, n: number, leading = n): Float64Array {
  // Columns of L⁻¹ as rows, then their products.
  const columns = new Float64Array(leading * n);
  for (let i = 0; i < leading; i++) columns[i * n + i] = 1;
  choleskyForward(factor, n, columns, leading, true);
  return rowProducts(columns, n, leading, true);
}

/** One diagonal entry of that inverse. */
export function choleskyInverseAt(factor: Float64Array, n: number, index: number): number {
  const column = new Float64Array(n);
  let sum = 0;
  for (let i = index; i < n; i++) {
    let s = i === index ? 1 : 0;
    for (let k = index; k < i; k++) s -= factor[i * n + k]! * column[k]!;
    column[i] = s / factor[i * n + i]!;
    sum += column[i]! * column[i]!;
  }
  return sum;
}
