/**
 * Symmetric positive definite systems of moderate size, dense, row after row in one array.
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
    for (let k = 0; k < j; k++) d -= a[rowJ + k]! ** 2;
    if (!(d > 0)) return false;
    const root = Math.sqrt(d);
    a[rowJ + j] = root;
    for (let i = j + 1; i < n; i++) {
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
    let s = x[i]!;
    for (let k = i + 1; k < n; k++) s -= factor[k * n + i]! * x[k]!;
    x[i] = s / factor[i * n + i]!;
  }
  return x;
}

/** Inverse of the matrix behind a Cholesky factor, full and symmetric. */
export function choleskyInverse(factor: Float64Array, n: number): Float64Array {
  // Columns of L⁻¹ first, then their products.
  const inv = new Float64Array(n * n);
  for (let j = 0; j < n; j++) {
    inv[j * n + j] = 1 / factor[j * n + j]!;
    for (let i = j + 1; i < n; i++) {
      let s = 0;
      for (let k = j; k < i; k++) s -= factor[i * n + k]! * inv[k * n + j]!;
      inv[i * n + j] = s / factor[i * n + i]!;
    }
  }
  const out = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let s = 0;
      for (let k = i; k < n; k++) s += inv[k * n + i]! * inv[k * n + j]!;
      out[i * n + j] = s;
      out[j * n + i] = s;
    }
  }
  return out;
}
