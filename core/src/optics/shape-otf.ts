/**
 * Contrast behind a hole of any shape, along any direction on the film: the overlap of the hole with its copy shifted by
 * λ f ν, row by row. Along each row the integral is exact; across the rows Gauss rules stand between all corners.
 */
import { gaussLegendre } from '../numeric/quadrature.ts';
import { MM_PER_NM } from './conjugates.ts';
import type { ShapedHoleView } from './edge-integral.ts';
import { polygonShape, shapeAreaMm2, turnedShape } from './hole-shape.ts';
import type { EllipseRim, HoleShape, PolygonRim, RimPoint } from './hole-shape.ts';
import { requireFrequency } from './round-point-image.ts';
import { requireView } from './view.ts';

export interface ShapeOtf {
  /** Signed contrast in step with the object; for a symmetric hole all there is, negative is reversed. */
  readonly real: Float64Array;
  /** Contrast a quarter wave out of step: an uneven hole shifts fine detail. */
  readonly imaginary: Float64Array;
}

/** A stretch of a row that is open. */
interface Row {
  readonly weightMm: number;
  /** low, high, low, high …, ascending. */
  readonly ends: readonly number[];
}

const ELLIPSE_RULE = gaussLegendre(64);
const ROW_RULE = gaussLegendre(3);
/** Strips between corners are joined or cut to about this many. */
const STRIPS = 500;

/** Open stretches of all rows. */
function rowsOf(shape: HoleShape): Row[] {
  const corners = new Set<number>();
  const edges: { x: number; y: number; dx: number; dy: number }[] = [];
  for (const rim of shape.rims as readonly PolygonRim[]) {
    let before = rim.points[rim.points.length - 1] as RimPoint;
    for (const point of rim.points) {
      corners.add(point.yMm);
      edges.push({ x: before.xMm, y: before.yMm, dx: point.xMm - before.xMm, dy: point.yMm - before.yMm });
      before = point;
    }
  }
  const sorted = [...corners].sort((a, b) => a - b);
  const low = sorted[0] as number;
  const high = sorted[sorted.length - 1] as number;
  const least = (high - low) / STRIPS;
  const rows: Row[] = [];
  const strip = (from: number, to: number): void => {
    // Corners that only rounding sets apart: no row between them meets the sides as they are.
    if (to - from < 1e-12 * (high - low)) return;
    for (let i = 0; i < ROW_RULE.nodes.length; i++) {
      const y = (from + to) / 2 + ((to - from) / 2) * (ROW_RULE.nodes[i] as number);
      const ends = crossings(edges, y);
      if (ends.length > 0) rows.push({ weightMm: ((to - from) / 2) * (ROW_RULE.weights[i] as number), ends });
    }
  };
  let from = low;
  for (const corner of sorted) {
    if (corner - from < least && corner !== high) continue;
    const cuts = Math.max(1, Math.round((corner - from) / (4 * least)));
    for (let k = 0; k < cuts; k++) strip(from + ((corner - from) * k) / cuts, from + ((corner - from) * (k + 1)) / cuts);
    from = corner;
  }
  return rows;
}

function crossings(edges: readonly { x: number; y: number; dx: number; dy: number }[], y: number): number[] {
  const found: { x: number; turn: number }[] = [];
  for (const edge of edges) {
    const above = edge.y > y;
    if (above === edge.y + edge.dy > y) continue;
    found.push({ x: edge.x + (edge.dx * (y - edge.y)) / edge.dy, turn: above ? 1 : -1 });
  }
  found.sort((a, b) => a.x - b.x);
  const ends: number[] = [];
  let winding = 0;
  for (const { x, turn } of found) {
    const next = winding + turn;
    if (winding < 1 !== next < 1) ends.push(x);
    winding = next;
  }
  return ends;
}

/** ∫ e^{-i w (x - s/2)} dx over the overlap of the rows with their copies shifted by s. */
function overlap(rows: readonly Row[], s: number, w: number): { re: number; im: number } {
  let re = 0;
  let im = 0;
  for (const { weightMm, ends } of rows) {
    for (let i = 0; i < ends.length; i += 2) {
      for (let j = 0; j < ends.length; j += 2) {
        const low = Math.max(ends[i] as number, (ends[j] as number) + s);
        const high = Math.min(ends[i + 1] as number, (ends[j + 1] as number) + s);
        if (high <= low) continue;
        const half = (high - low) / 2;
        const turn = w * half;
        const size = 2 * half * weightMm * (turn === 0 ? 1 : Math.sin(turn) / turn);
        const phase = w * ((high + low) / 2 - s / 2);
        re += size * Math.cos(phase);
        im -= size * Math.sin(phase);
      }
    }
  }
  return { re, im };
}

/** The same for one ellipse, to rounding: only rows whose chord is longer than s overlap. */
function ellipseOverlap(rim: EllipseRim, s: number, w: number): { re: number; im: number } {
  const { first, second, center } = rim;
  const tall = Math.hypot(first.yMm, second.yMm);
  const area = Math.abs(first.xMm * second.yMm - first.yMm * second.xMm);
  const wide = area / tall;
  // middle of the chord at height y above the centre: y · lean
  const lean = (first.xMm * first.yMm + second.xMm * second.yMm) / (tall * tall);
  const share = Math.abs(s) / (2 * wide);
  if (share >= 1) return { re: 0, im: 0 };
  const top = tall * Math.sqrt((1 - share) * (1 + share));
  let re = 0;
  let im = 0;
  // one rule for each 60 rad that the phase turns over the rows
  const turns = Math.abs(w) * (wide - Math.abs(s) / 2 + Math.abs(lean) * top);
  const panels = Math.max(1, Math.ceil(turns / 60));
  const step = Math.PI / (2 * panels);
  for (let panel = 0; panel < panels; panel++) {
    const middle = (2 * panel + 1) * step - Math.PI / 2;
    for (let i = 0; i < ELLIPSE_RULE.nodes.length; i++) {
      const t = middle + step * (ELLIPSE_RULE.nodes[i] as number);
      const y = top * Math.sin(t);
      const half = wide * Math.sqrt(1 - (y / tall) ** 2) - Math.abs(s) / 2;
      const turn = w * half;
      const size = step * (ELLIPSE_RULE.weights[i] as number) * top * Math.cos(t) * 2 * half * (turn === 0 ? 1 : Math.sin(turn) / turn);
      const phase = w * (center.xMm + y * lean);
      re += size * Math.cos(phase);
      im -= size * Math.sin(phase);
    }
  }
  return { re, im };
}

/**
 * Contrast of a hole of any shape at frequencies along one direction, in the light that the film sees.
 *   OTF(ν) = (1/A) ∫∫ e^{-2πi m ν·(η - s/2)} dη over the overlap of hole and hole + s,  s = λ f ν
 * Valid: Fresnel regime, thin plate, flat film, incoherent light, on the axis. Exact to 1e-9 for an ellipse;
 * for polygons the rows leave about 1e-6.
 * @param view all > 0; object distance may be infinite
 * @param frequenciesPerMm finite
 * @param angleRad direction in which the detail repeats, counter-clockwise from x, seen from the film side
 * @throws InputError not-positive, out-of-range, missing
 * @source optics-notes 2
 * @source hopkins1955
 */
export function shapeOtf(view: ShapedHoleView, frequenciesPerMm: ArrayLike<number>, angleRad: number): ShapeOtf {
  requireView(view);
  const turned = turnedShape(view.shape, -angleRad);
  const areaMm2 = shapeAreaMm2(turned);
  const only = turned.rims.length === 1 ? turned.rims[0] : undefined;
  const ellipse = only?.kind === 'ellipse' ? only : undefined;
  const rows = ellipse === undefined ? rowsOf(polygonShape(turned)) : [];
  const m = 1 + view.focalLengthMm / view.objectDistanceMm;
  const real = new Float64Array(frequenciesPerMm.length);
  const imaginary = new Float64Array(frequenciesPerMm.length);
  for (let i = 0; i < real.length; i++) {
    const frequency = frequenciesPerMm[i] as number;
    requireFrequency(frequency);
    for (const { wavelengthNm, weightShare } of view.light) {
      const s = wavelengthNm * MM_PER_NM * view.focalLengthMm * frequency;
      const w = 2 * Math.PI * m * frequency;
      const { re, im } = ellipse === undefined ? overlap(rows, s, w) : ellipseOverlap(ellipse, s, w);
      real[i] = (real[i] as number) + (weightShare * re) / areaMm2;
      imaginary[i] = (imaginary[i] as number) + (weightShare * im) / areaMm2;
    }
  }
  return { real, imaginary };
}
