/** Gauss–Legendre quadrature: nodes found once by Newton's method, to the last digit or two. */

export interface GaussRule {
  /** On (-1, 1), ascending. */
  readonly nodes: Float64Array;
  readonly weights: Float64Array;
}

/**
 * The n-point Gauss–Legendre rule on [-1, 1], exact for polynomials up to degree 2n - 1.
 * @param n whole, ≥ 1
 * @source abramowitz1964 25.4.29
 */
export function gaussLegendre(n: number): GaussRule {
  const nodes = new Float64Array(n);
  const weights = new Float64Array(n);
  for (let i = 0; i < Math.ceil(n / 2); i++) {
    let x = Math.cos((Math.PI * (i + 0.75)) / (n + 0.5));
    let slope = 0;
    for (let step = 0; step < 20; step++) {
      let p = 1;
      let previous = 0;
      for (let k = 1; k <= n; k++) {
        const next = ((2 * k - 1) * x * p - (k - 1) * previous) / k;
        previous = p;
        p = next;
      }
      slope = (n * (x * p - previous)) / (x * x - 1);
      const dx = p / slope;
      x -= dx;
      if (Math.abs(dx) < 1e-15) break;
    }
    const weight = 2 / ((1 - x * x) * slope * slope);
    nodes[i] = -x;
    nodes[n - 1 - i] = x;
    weights[i] = weight;
    weights[n - 1 - i] = weight;
  }
  return { nodes, weights };
}
