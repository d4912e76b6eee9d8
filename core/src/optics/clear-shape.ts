/** What is left open of a hole through a thick plate, for slanting light: the hole and its copy shifted, overlapping. */
import { polygonShape, shapeBox } from './hole-shape.ts';
import type { HoleShape, PolygonRim, RimPoint } from './hole-shape.ts';

interface Edge {
  readonly from: RimPoint;
  readonly to: RimPoint;
  /** Where other edges cross, with the share of the way. */
  readonly cuts: { readonly share: number; readonly at: RimPoint }[];
}

function edgesOf(rims: readonly PolygonRim[], xMm: number, yMm: number): Edge[] {
  return rims.flatMap(({ points }) =>
    points.map((point, i) => {
      const before = points[(i + points.length - 1) % points.length] as RimPoint;
      return {
        from: { xMm: before.xMm + xMm, yMm: before.yMm + yMm },
        to: { xMm: point.xMm + xMm, yMm: point.yMm + yMm },
        cuts: [],
      };
    }),
  );
}

/** Marks on both edges where they cross. */
function cross(a: Edge, b: Edge): void {
  const ax = a.to.xMm - a.from.xMm;
  const ay = a.to.yMm - a.from.yMm;
  const bx = b.to.xMm - b.from.xMm;
  const by = b.to.yMm - b.from.yMm;
  const turn = ax * by - ay * bx;
  if (turn === 0) return;
  const dx = b.from.xMm - a.from.xMm;
  const dy = b.from.yMm - a.from.yMm;
  const t = (dx * by - dy * bx) / turn;
  const u = (dx * ay - dy * ax) / turn;
  if (t <= 0 || t >= 1 || u <= 0 || u >= 1) return;
  const at = { xMm: a.from.xMm + t * ax, yMm: a.from.yMm + t * ay };
  a.cuts.push({ share: t, at });
  b.cuts.push({ share: u, at });
}

function inside(edges: readonly Edge[], point: RimPoint): boolean {
  let winding = 0;
  for (const { from, to } of edges) {
    const above = from.yMm > point.yMm;
    if (above === to.yMm > point.yMm) continue;
    const x = from.xMm + ((to.xMm - from.xMm) * (point.yMm - from.yMm)) / (to.yMm - from.yMm);
    if (x > point.xMm) winding += above ? -1 : 1;
  }
  return winding >= 1;
}

/** Pieces of the edges that run inside the other outline. */
function kept(edges: readonly Edge[], other: readonly Edge[]): [RimPoint, RimPoint][] {
  const pieces: [RimPoint, RimPoint][] = [];
  for (const { from, to, cuts } of edges) {
    const stops = [from, ...cuts.sort((a, b) => a.share - b.share).map(({ at }) => at), to];
    for (let i = 1; i < stops.length; i++) {
      const start = stops[i - 1] as RimPoint;
      const end = stops[i] as RimPoint;
      if (inside(other, { xMm: (start.xMm + end.xMm) / 2, yMm: (start.yMm + end.yMm) / 2 })) pieces.push([start, end]);
    }
  }
  return pieces;
}

/**
 * The overlap of a shape with its copy shifted, as polygons; null where nothing is left.
 * Valid: straight wall that reflects nothing. The shift is taken 1e-9 of the hole's size aslant, so that no two edges
 * lie on each other.
 * @param shift of the copy, any
 */
export function overlapShape(shape: HoleShape, shift: RimPoint): HoleShape | null {
  const box = shapeBox(shape);
  const nudge = 1e-9 * (box.highXMm - box.lowXMm + box.highYMm - box.lowYMm);
  const { rims } = polygonShape(shape);
  const own = edgesOf(rims, 0, 0);
  const shifted = edgesOf(rims, shift.xMm + nudge, shift.yMm - 0.7 * nudge);
  for (const a of own) {
    const low = Math.min(a.from.yMm, a.to.yMm);
    const high = Math.max(a.from.yMm, a.to.yMm);
    for (const b of shifted) {
      if ((b.from.yMm < low && b.to.yMm < low) || (b.from.yMm > high && b.to.yMm > high)) continue;
      cross(a, b);
    }
  }
  const pieces = [...kept(own, shifted), ...kept(shifted, own)];
  const starts = new Map<string, [RimPoint, RimPoint][]>();
  const key = ({ xMm, yMm }: RimPoint): string => `${xMm},${yMm}`;
  for (const piece of pieces) starts.set(key(piece[0]), [...(starts.get(key(piece[0])) ?? []), piece]);
  const loops: PolygonRim[] = [];
  for (const first of pieces) {
    const points: RimPoint[] = [];
    let piece = starts.get(key(first[0]))?.pop();
    while (piece !== undefined) {
      points.push(piece[0]);
      piece = starts.get(key(piece[1]))?.pop();
    }
    if (points.length >= 3) loops.push({ kind: 'polygon', points });
  }
  return loops.length === 0 ? null : { rims: loops };
}
