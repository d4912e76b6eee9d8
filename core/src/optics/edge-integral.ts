/**
 * The point image of any hole by a line integral along its rim, with a proved bound of its error: the yardstick for
 * every faster way. Film points are first divided by m = 1 + f / u; then, with q from film point to rim,
 *   E = (1/2π) ∮ (1 - e^{iα|q|²}) (q × dq) / |q|²,   α = π / (λ f′)
 * (1 - e^{iαs}) / s = -iα ∫ e^{iατs} dτ, τ from 0 to 1, so the integrand is entire: no special case at the shadow.
 *
 * Bound. On a straight edge of length h at distance p, q × dq = p (h/2) dt and s = p² + (b + t h/2)², t from -1 to 1.
 * Inside the ellipse with semi-axes (ρ ± 1/ρ)/2, |Im ατs| ≤ α|b|h (ρ - 1/ρ)/2 + (αh²/4)(ρ² - ρ⁻²)/4, and
 * `gaussBound` follows. On an ellipse c + u cos t + v sin t, q × q′ = u × v + c × (v cos t - u sin t) and s is a sum of
 * cosines of t and 2t, so that for |Im t| ≤ a the integrand is at most M = α (|u × v| + |(c × u, c × v)| cosh a)
 * e^{α (B₁ sinh a + B₂ sinh 2a)}, and N equal steps miss at most 4π M / (e^{aN} - 1).
 */
import { InputError } from '../errors.ts';
import { gaussBound } from '../numeric/chebyshev.ts';
import { MM_PER_NM } from './conjugates.ts';
import { rimLengthMm, shapeBox } from './hole-shape.ts';
import type { EllipseRim, HoleShape, RimPoint } from './hole-shape.ts';
import { rimNodes } from './rim-nodes.ts';
import type { NodeRule } from './rim-nodes.ts';
import { requireView } from './view.ts';
import type { HoleView } from './view.ts';

/** A hole of any shape, where it stands, and the light that counts. */
export interface ShapedHoleView extends HoleView {
  readonly shape: HoleShape;
}

export interface EdgeIntegral {
  /** One value for each point. */
  readonly intensity: Float64Array;
  /** No intensity is farther than this from the exact sum, rounding (about 1e-14 for each edge) apart. */
  readonly errorBoundShare: number;
}

/** Farther apart than any film point and any rim point, mm. */
function reachMm(shape: HoleShape, points: readonly RimPoint[]): number {
  const box = shapeBox(shape);
  let reach = 0;
  for (const { xMm, yMm } of points) {
    const x = Math.max(Math.abs(box.lowXMm - xMm), Math.abs(box.highXMm - xMm));
    const y = Math.max(Math.abs(box.lowYMm - yMm), Math.abs(box.highYMm - yMm));
    reach = Math.max(reach, Math.hypot(x, y));
  }
  return reach;
}

/** Steps round an ellipse that keep the field's error below the tolerance for film points within reach. */
function ellipseSteps(rim: EllipseRim, alpha: number, reach: number, tolerance: number): number {
  const u = Math.hypot(rim.first.xMm, rim.first.yMm);
  const v = Math.hypot(rim.second.xMm, rim.second.yMm);
  const area = Math.abs(rim.first.xMm * rim.second.yMm - rim.first.yMm * rim.second.xMm);
  const along = rim.first.xMm * rim.second.xMm + rim.first.yMm * rim.second.yMm;
  const sides = reach * Math.hypot(u, v);
  const b2 = Math.hypot((u * u - v * v) / 2, along);
  let best = Infinity;
  for (let a = 0.02; a < 4; a *= 1.15) {
    const m = Math.log(alpha * (area + sides * Math.cosh(a))) + alpha * (2 * sides * Math.sinh(a) + b2 * Math.sinh(2 * a));
    best = Math.min(best, (m + Math.log(2 / tolerance + 1)) / a);
  }
  return Math.max(8, Math.ceil(best));
}

/**
 * Nodes for a field error below the tolerance at film points within reach.
 * @param of alpha π/(λ f′) in mm⁻²; the perimeter shares the tolerance out
 */
function provedRule(of: { alpha: number; reach: number; tolerance: number; perimeter: number }): NodeRule {
  const { alpha, reach, tolerance, perimeter } = of;
  const known = new Map<number, number>();
  const countFor = (lengthMm: number): number => {
    let n = 1;
    const turn = alpha * reach * lengthMm;
    const bend = (alpha * lengthMm * lengthMm) / 4;
    // cut into pieces of 60 rad at most: 64 nodes on each leave 8 e⁻⁶³ (ρ = 3.8 in the bound)
    if (turn + bend > 60) return 64 * Math.ceil((turn + bend) / 60);
    while (((alpha * reach) / (4 * Math.PI)) * gaussBound(n, { turn, bend }) * perimeter > tolerance) n++;
    return n;
  };
  return {
    forEdge: (lengthMm) => {
      if (lengthMm === 0) return 1;
      // alike lengths share one answer, that of the longest of them
      const bucket = Math.ceil(8 * Math.log2(lengthMm));
      let n = known.get(bucket);
      if (n === undefined) {
        n = countFor(2 ** (bucket / 8));
        known.set(bucket, n);
      }
      return n;
    },
    forEllipse: (rim) => ellipseSteps(rim, alpha, reach, tolerance),
  };
}

/**
 * Intensity at film points behind a hole of any shape, 1 = without the plate, with a bound of the error.
 * Formula and bound: above. Several wavelengths add by their shares.
 * Valid: Fresnel regime, thin plate, flat film, on the axis.
 * @param view all > 0; object distance may be infinite; rims as `HoleShape` says
 * @param points on the film, from the foot of the origin, x right, y up, seen from the film side
 * @param toleranceShare what the bound of the field's error may be, > 0; default 1e-11
 * @throws InputError not-positive, out-of-range
 * @source optics-notes 2
 * @source barnett2021
 * @source trefethen2013 8.2
 */
export function edgeIntegral(
  view: ShapedHoleView,
  points: readonly RimPoint[],
  toleranceShare = 1e-11,
): EdgeIntegral {
  requireView(view);
  if (!(toleranceShare > 0)) {
    throw new InputError('not-positive', `The tolerance must be greater than 0, but is ${toleranceShare}.`, {
      path: 'toleranceShare',
      got: toleranceShare,
      expected: '> 0',
    });
  }
  const m = 1 + view.focalLengthMm / view.objectDistanceMm;
  const film = points.map(({ xMm, yMm }) => ({ xMm: xMm / m, yMm: yMm / m }));
  for (const { xMm, yMm } of film) {
    if (Number.isFinite(xMm) && Number.isFinite(yMm)) continue;
    throw new InputError('out-of-range', 'Each film point needs two finite lengths.', { path: 'points' });
  }
  const reach = reachMm(view.shape, film);
  const perimeter = rimLengthMm(view.shape.rims.filter((rim) => rim.kind === 'polygon'));
  const intensity = new Float64Array(points.length);
  let errorBoundShare = 0;
  for (const { wavelengthNm, weightShare } of view.light) {
    const lambda = wavelengthNm * MM_PER_NM;
    const alpha = (Math.PI / lambda) * (1 / view.focalLengthMm + 1 / view.objectDistanceMm);
    const nodes = rimNodes(view.shape, provedRule({ alpha, reach, tolerance: toleranceShare, perimeter }));
    // polygons together keep one tolerance, each ellipse one
    const fieldBound = toleranceShare * (1 + view.shape.rims.filter(({ kind }) => kind === 'ellipse').length);
    let largest = 0;
    const { xMm, yMm, dxMm, dyMm } = nodes;
    const count = xMm.length;
    for (const [i, point] of film.entries()) {
      let re = 0;
      let im = 0;
      for (let n = 0; n < count; n++) {
        const qx = (xMm[n] as number) - point.xMm;
        const qy = (yMm[n] as number) - point.yMm;
        const half = (alpha * (qx * qx + qy * qy)) / 2;
        const cross = qx * (dyMm[n] as number) - qy * (dxMm[n] as number);
        const size = (half === 0 ? 1 : Math.sin(half) / half) * cross;
        re += size * Math.sin(half);
        im -= size * Math.cos(half);
      }
      const field = (alpha / (2 * Math.PI)) * Math.hypot(re, im);
      largest = Math.max(largest, field);
      intensity[i] = (intensity[i] as number) + weightShare * field * field;
    }
    errorBoundShare += weightShare * fieldBound * (2 * largest + fieldBound);
  }
  return { intensity, errorBoundShare };
}
