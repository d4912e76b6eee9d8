/** A few points that stand for many. */
import { brentRoot } from './roots.ts';

export interface WeightedPoint {
  readonly at: number;
  readonly weight: number;
}

/**
 * The Gauss rule of a discrete weight: `count` points and weights that sum every polynomial of degree up to
 * 2·count - 1 exactly as the given points do (Stieltjes’ procedure; roots found between those of the degree below).
 * @param points weights ≥ 0, not all 0; at least `count` places with a weight above 0, otherwise they are given back
 * @param count whole, 1…20
 * @returns ascending; weights add to 1
 * @source gautschi2004 2.2
 */
export function discreteGauss(points: readonly WeightedPoint[], count: number): WeightedPoint[] {
  const used = points.filter(({ weight }) => weight > 0);
  const total = used.reduce((sum, { weight }) => sum + weight, 0);
  if (new Set(used.map(({ at }) => at)).size <= count) {
    return used.map(({ at, weight }) => ({ at, weight: weight / total })).sort((p, q) => p.at - q.at);
  }
  const low = Math.min(...used.map(({ at }) => at));
  const high = Math.max(...used.map(({ at }) => at));
  const middle = (low + high) / 2;
  const half = (high - low) / 2;
  const x = used.map(({ at }) => (at - middle) / half);
  const w = used.map(({ weight }) => weight / total);
  // orthonormal: b[k+1] p[k+1] = (x - a[k]) p[k] - b[k] p[k-1]
  const a: number[] = [];
  const b: number[] = [0];
  let before = x.map(() => 0);
  let here = x.map(() => 1);
  for (let k = 0; k < count; k++) {
    const ak = here.reduce((sum, p, i) => sum + (w[i] as number) * (x[i] as number) * p * p, 0);
    a.push(ak);
    const next = here.map((p, i) => ((x[i] as number) - ak) * p - (b[k] as number) * (before[i] as number));
    const size = Math.sqrt(next.reduce((sum, p, i) => sum + (w[i] as number) * p * p, 0));
    b.push(size);
    before = here;
    here = next.map((p) => p / size);
  }
  const values = (t: number, degree: number): number[] => {
    const p = [1];
    for (let k = 0; k < degree; k++) {
      p.push((((t - (a[k] as number)) * (p[k] as number)) - (b[k] as number) * (p[k - 1] ?? 0)) / (b[k + 1] as number));
    }
    return p;
  };
  let roots: number[] = [];
  for (let degree = 1; degree <= count; degree++) {
    const walls = [-1, ...roots, 1];
    const f = (t: number): number => values(t, degree)[degree] as number;
    roots = walls.slice(1).map((wall, i) => brentRoot(f, walls[i] as number, wall, 1e-15));
  }
  return roots.map((t) => ({
    at: middle + half * t,
    weight: 1 / values(t, count - 1).reduce((sum, p) => sum + p * p, 0),
  }));
}
