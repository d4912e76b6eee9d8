/**
 * Chebyshev points, and how many of them a phase e^{iφ(t)} on [-1, 1] needs, by a bound that is proved and not fitted.
 *
 * A polynomial through n Chebyshev points misses a function that is analytic and at most M in size inside the ellipse
 * with foci ±1 and semi-axes (ρ ± 1/ρ)/2 by at most 4 M ρ^(1-n) / (ρ - 1). For φ(t) with |Im φ| ≤
 * turn (ρ - 1/ρ)/2 + bend (ρ² - ρ⁻²)/4 there, M is the exponential of that.
 */

/** cos((j + 1/2) π / n), j = 0…n-1: descending. */
export function chebyshevPoints(n: number): Float64Array {
  const points = new Float64Array(n);
  // the sine form keeps the points exactly symmetric
  for (let j = 0; j < n; j++) points[j] = Math.sin((Math.PI * (n - 1 - 2 * j)) / (2 * n));
  return points;
}

/**
 * Points that a phase needs: the least n for which the bound above is below the tolerance.
 * @param phase turn and bend as defined above, ≥ 0; tolerance > 0 against a function of size 1
 * @source trefethen2013 8.2
 */
export function chebyshevCount(phase: { turn: number; bend: number; tolerance: number }): number {
  const { turn, bend, tolerance } = phase;
  let best = Infinity;
  for (let rho = 1.05; rho < 200; rho *= 1.05) {
    const growth = (turn * (rho - 1 / rho)) / 2 + (bend * (rho * rho - 1 / (rho * rho))) / 4;
    const n = 1 + (growth + Math.log(4 / ((rho - 1) * tolerance))) / Math.log(rho);
    if (n < best) best = n;
  }
  return Math.max(2, Math.ceil(best));
}

/**
 * What a Gauss–Legendre rule of n points may miss on such a phase, of size 1: 4 times the distance to the best
 * polynomial of degree 2n - 1, since its weights are positive and add to 2.
 * @source trefethen2013 8.2
 */
export function gaussBound(n: number, phase: { turn: number; bend: number }): number {
  const { turn, bend } = phase;
  let least = Infinity;
  for (let rho = 1.1; rho < 1e6; rho *= 1.15) {
    const growth = (turn * (rho - 1 / rho)) / 2 + (bend * (rho * rho - 1 / (rho * rho))) / 4;
    least = Math.min(least, growth - (2 * n - 1) * Math.log(rho) - Math.log(rho - 1));
  }
  return 8 * Math.exp(least);
}

/**
 * The matrix that takes values at the n Chebyshev points to values at the given places (barycentric formula).
 * @param n ≥ 1
 * @param at places on [-1, 1]; outside the polynomial goes on, and is soon useless
 * @returns at.length × n, row by row
 * @source trefethen2013 5.11
 */
export function chebyshevMatrix(n: number, at: ArrayLike<number>): Float64Array {
  const points = chebyshevPoints(n);
  const matrix = new Float64Array(at.length * n);
  for (let i = 0; i < at.length; i++) {
    const row = matrix.subarray(i * n, (i + 1) * n);
    const x = at[i] as number;
    let sum = 0;
    let exact = -1;
    for (let j = 0; j < n; j++) {
      const distance = x - (points[j] as number);
      if (distance === 0) exact = j;
      const weight = ((j % 2 === 0 ? 1 : -1) * Math.sin(((2 * j + 1) * Math.PI) / (2 * n))) / distance;
      row[j] = weight;
      sum += weight;
    }
    if (exact >= 0) row.fill(0).fill(1, exact, exact + 1);
    else for (let j = 0; j < n; j++) row[j] = (row[j] as number) / sum;
  }
  return matrix;
}
