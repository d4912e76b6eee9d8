/**
 * Places along a rim with the piece of rim that each stands for, so that a line integral becomes a sum:
 *   ∮ f · dq ≈ Σ f(qₙ) · dqₙ
 * How many are needed follows from a bound, see `edge-integral.ts`.
 */
import { gaussLegendre } from '../numeric/quadrature.ts';
import type { GaussRule } from '../numeric/quadrature.ts';
import type { EllipseRim, HoleShape, RimPoint } from './hole-shape.ts';

export interface RimNodes {
  readonly xMm: Float64Array;
  readonly yMm: Float64Array;
  /** Piece of the rim, along x. */
  readonly dxMm: Float64Array;
  /** Piece of the rim, along y. */
  readonly dyMm: Float64Array;
}

const MOST = 64;
const RULES: readonly GaussRule[] = Array.from({ length: MOST }, (_, i) => gaussLegendre(i + 1));

/** How many nodes a stretch of rim needs. */
export interface NodeRule {
  /** Gauss nodes for a straight edge of this length; may exceed 64, then the edge is cut. */
  readonly forEdge: (lengthMm: number) => number;
  /** Equal steps round an ellipse. */
  readonly forEllipse: (rim: EllipseRim) => number;
}

/** Nodes of all rims of a shape. */
export function rimNodes(shape: HoleShape, rule: NodeRule): RimNodes {
  const x: number[] = [];
  const y: number[] = [];
  const dx: number[] = [];
  const dy: number[] = [];
  for (const rim of shape.rims) {
    if (rim.kind === 'ellipse') {
      const count = rule.forEllipse(rim);
      const step = (2 * Math.PI) / count;
      for (let k = 0; k < count; k++) {
        const cos = Math.cos(k * step);
        const sin = Math.sin(k * step);
        x.push(rim.center.xMm + rim.first.xMm * cos + rim.second.xMm * sin);
        y.push(rim.center.yMm + rim.first.yMm * cos + rim.second.yMm * sin);
        dx.push(step * (rim.second.xMm * cos - rim.first.xMm * sin));
        dy.push(step * (rim.second.yMm * cos - rim.first.yMm * sin));
      }
      continue;
    }
    let before = rim.points[rim.points.length - 1] as RimPoint;
    for (const point of rim.points) {
      const stepX = point.xMm - before.xMm;
      const stepY = point.yMm - before.yMm;
      const needed = rule.forEdge(Math.hypot(stepX, stepY));
      const cuts = Math.max(1, Math.ceil(needed / MOST));
      const { nodes, weights } = RULES[Math.min(MOST, Math.max(1, needed)) - 1] as GaussRule;
      for (let cut = 0; cut < cuts; cut++) {
        for (let i = 0; i < nodes.length; i++) {
          const t = (cut + 0.5 + 0.5 * (nodes[i] as number)) / cuts;
          const share = (0.5 * (weights[i] as number)) / cuts;
          x.push(before.xMm + t * stepX);
          y.push(before.yMm + t * stepY);
          dx.push(share * stepX);
          dy.push(share * stepY);
        }
      }
      before = point;
    }
  }
  return {
    xMm: Float64Array.from(x),
    yMm: Float64Array.from(y),
    dxMm: Float64Array.from(dx),
    dyMm: Float64Array.from(dy),
  };
}
