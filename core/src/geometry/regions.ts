/**
 * Regions of the plane bounded by straight lines and circular arcs, and the exact area of what several of them
 * share. A region is a set of x-monotone pieces; a point is inside when an odd number of them lies below it.
 */
import type { Point } from './points.ts';

/** A piece of a boundary, from left to right. */
export interface BoundaryPiece {
  readonly x1: number;
  readonly y1: number;
  readonly x2: number;
  readonly y2: number;
  /** Of the arc; 0: straight. */
  readonly radius: number;
  readonly centerX: number;
  readonly centerY: number;
  /** 1: the upper half of its circle, -1: the lower. */
  readonly side: number;
}

export type Region = readonly BoundaryPiece[];

/** A corner rounded about a centre, or (radius 0) a sharp one. */
export interface Corner extends Point {
  readonly radius: number;
}

function straight(a: Point, b: Point): BoundaryPiece | null {
  if (a.x === b.x) return null;
  const [p, q] = a.x < b.x ? [a, b] : [b, a];
  return { x1: p.x, y1: p.y, x2: q.x, y2: q.y, radius: 0, centerX: 0, centerY: 0, side: 0 };
}

/** The inside of a circle. */
export function disc(center: Point, radius: number): Region {
  const { x, y } = center;
  return [
    { x1: x - radius, y1: y, x2: x + radius, y2: y, radius, centerX: x, centerY: y, side: 1 },
    { x1: x - radius, y1: y, x2: x + radius, y2: y, radius, centerX: x, centerY: y, side: -1 },
  ];
}

/** The inside of closed polygons; where loops lie in one another, inside and outside take turns. */
export function polygons(loops: readonly (readonly Point[])[]): Region {
  const pieces: BoundaryPiece[] = [];
  for (const loop of loops) {
    for (let i = 0, j = loop.length - 1; i < loop.length; j = i++) {
      const piece = straight(loop[j]!, loop[i]!);
      if (piece !== null) pieces.push(piece);
    }
  }
  return pieces;
}

/**
 * A convex outline of arcs about the corners' centres and the straight lines between them.
 * @param corners counter-clockwise centres; the normals of side i (from corner i to i + 1) are equal at both ends, so
 *   neighbouring corners that join in a slanting side have the same radius
 */
export function roundedConvex(corners: readonly Corner[]): Region {
  const pieces: BoundaryPiece[] = [];
  const n = corners.length;
  const normals = corners.map((corner, i) => {
    const next = corners[(i + 1) % n]!;
    const length = Math.hypot(next.x - corner.x, next.y - corner.y);
    return length === 0 ? null : { x: (next.y - corner.y) / length, y: -(next.x - corner.x) / length };
  });
  const sides = corners.map((_, i) => i).filter((i) => normals[i] !== null);
  for (const [at, i] of sides.entries()) {
    const corner = corners[i]!;
    const next = corners[(i + 1) % n]!;
    const normal = normals[i]!;
    const before = normals[sides[(at + sides.length - 1) % sides.length]!]!;
    const on = (of: Corner, along: Point): Point => ({ x: of.x + of.radius * along.x, y: of.y + of.radius * along.y });
    const line = straight(on(corner, normal), on(next, normal));
    if (line !== null) pieces.push(line);
    if (corner.radius > 0) pieces.push(...turn(corner, before, normal));
  }
  return pieces;
}

/** The arc from one outward direction counter-clockwise to the next, at most half a turn on; cut where it turns back in x. */
function turn(corner: Corner, from: Point, to: Point): BoundaryPiece[] {
  const stops = [{ x: 1, y: 0 }, { x: -1, y: 0 }].filter((direction) => between(from, direction, to));
  const pieces: BoundaryPiece[] = [];
  let start = from;
  for (const end of [...stops, to]) {
    const middle = start.y + end.y;
    const side = middle === 0 ? (start.x > end.x ? 1 : -1) : Math.sign(middle);
    const [left, right] = start.x < end.x ? [start, end] : [end, start];
    const { x, y, radius } = corner;
    if (left.x < right.x) {
      pieces.push({
        x1: x + radius * left.x,
        y1: y + radius * left.y,
        x2: x + radius * right.x,
        y2: y + radius * right.y,
        radius,
        centerX: x,
        centerY: y,
        side,
      });
    }
    start = end;
  }
  return pieces;
}

/** Whether `direction` comes strictly between on the way counter-clockwise; the way is at most half a turn. */
function between(from: Point, direction: Point, to: Point): boolean {
  const span = Math.atan2(from.x * to.y - from.y * to.x, from.x * to.x + from.y * to.y);
  const part = Math.atan2(from.x * direction.y - from.y * direction.x, from.x * direction.x + from.y * direction.y);
  const whole = span < 0 || (span === 0 && from.x * to.x + from.y * to.y < 0) ? span + 2 * Math.PI : span;
  return part > 0 && part < whole;
}

/** Area between a chord and the arc of `turnRad` over it. */
function segmentArea(radius: number, turnRad: number): number {
  if (turnRad < 0.2) {
    // θ − sin θ without the loss of digits
    const t2 = turnRad * turnRad;
    return (radius * radius * turnRad * t2 * (1 - (t2 / 20) * (1 - (t2 / 42) * (1 - (t2 / 72) * (1 - t2 / 110))))) / 12;
  }
  return (radius * radius * (turnRad - Math.sin(turnRad))) / 2;
}

function heightAt(piece: BoundaryPiece, x: number): number {
  if (piece.radius === 0) {
    const { x1, y1, x2, y2 } = piece;
    if (x <= x1) return y1;
    if (x >= x2) return y2;
    return y1 + ((y2 - y1) * (x - x1)) / (x2 - x1);
  }
  const dx = x - piece.centerX;
  const { radius } = piece;
  const square = (radius - dx) * (radius + dx);
  return piece.centerY + (square > 0 ? piece.side * Math.sqrt(square) : 0);
}

/** ∫ y dx along a piece. */
function areaBelow(piece: BoundaryPiece, from: number, to: number): number {
  const left = heightAt(piece, from);
  const right = heightAt(piece, to);
  const chord = ((left + right) / 2) * (to - from);
  if (piece.radius === 0) return chord;
  const x = from - piece.centerX;
  const y = left - piece.centerY;
  const dx = to - from;
  const dy = right - left;
  const turnRad = Math.atan2(Math.abs(x * dy - y * dx), x * (x + dx) + y * (y + dy));
  return chord + piece.side * segmentArea(piece.radius, turnRad);
}

/** Where two pieces may cross, as x; more places than crossings do no harm. */
function crossings(a: BoundaryPiece, b: BoundaryPiece, found: number[]): void {
  const low = Math.max(a.x1, b.x1);
  const high = Math.min(a.x2, b.x2);
  if (!(low < high)) return;
  const add = (x: number): void => {
    if (x > low && x < high) found.push(x);
  };
  if (a.radius === 0 && b.radius === 0) {
    const left = heightAt(a, low) - heightAt(b, low);
    const right = heightAt(a, high) - heightAt(b, high);
    if (left * right < 0) add(low + ((high - low) * left) / (left - right));
    return;
  }
  if (a.radius === 0 || b.radius === 0) {
    const [line, round] = a.radius === 0 ? [a, b] : [b, a];
    const dx = line.x2 - line.x1;
    const dy = line.y2 - line.y1;
    const length = Math.hypot(dx, dy);
    const ux = dx / length;
    const uy = dy / length;
    const fromX = round.centerX - line.x1;
    const fromY = round.centerY - line.y1;
    const along = fromX * ux + fromY * uy;
    const off = fromX * uy - fromY * ux;
    const square = (round.radius - off) * (round.radius + off);
    if (square < 0) return;
    const half = Math.sqrt(square);
    add(line.x1 + (along - half) * ux);
    add(line.x1 + (along + half) * ux);
    return;
  }
  const dx = b.centerX - a.centerX;
  const dy = b.centerY - a.centerY;
  const distance = Math.hypot(dx, dy);
  if (distance === 0) return;
  const along = (distance + ((a.radius - b.radius) * (a.radius + b.radius)) / distance) / 2;
  const square = (a.radius - along) * (a.radius + along);
  if (square < 0) return;
  const half = Math.sqrt(square);
  const ux = dx / distance;
  const uy = dy / distance;
  add(a.centerX + along * ux - half * uy);
  add(a.centerX + along * ux + half * uy);
}

interface Active {
  readonly piece: BoundaryPiece;
  readonly region: number;
  y: number;
}

/**
 * Area inside every region of `keep` and outside every one of `remove`, exact to rounding.
 *
 * The plane is cut into upright slabs at every end and every crossing of boundaries. Within a slab no two of them
 * cross, so the order from below to above holds for its whole width, and each stretch is integrated in closed form.
 * Boundaries that touch or coincide only swap places in that order, which changes the area by nothing.
 * @param keep at least one region
 */
export function sharedArea(keep: readonly Region[], remove: readonly Region[] = []): number {
  let low = -Infinity;
  let high = Infinity;
  for (const region of keep) {
    let left = Infinity;
    let right = -Infinity;
    for (const piece of region) {
      if (piece.x1 < left) left = piece.x1;
      if (piece.x2 > right) right = piece.x2;
    }
    low = Math.max(low, left);
    high = Math.min(high, right);
  }
  if (!(low < high)) return 0;

  const all: Active[] = [];
  for (const [index, region] of [...keep, ...remove].entries()) {
    for (const piece of region) if (piece.x2 > low && piece.x1 < high) all.push({ piece, region: index, y: 0 });
  }
  all.sort((a, b) => a.piece.x1 - b.piece.x1);
  const cuts = [low, high];
  for (let i = 0; i < all.length; i++) {
    const { piece, region } = all[i]!;
    if (piece.x1 > low) cuts.push(piece.x1);
    if (piece.x2 < high) cuts.push(piece.x2);
    for (let j = i + 1; j < all.length; j++) {
      const other = all[j]!;
      if (other.piece.x1 >= piece.x2) break;
      // pieces of one region meet only at their ends
      if (other.region !== region && !apart(piece, other.piece)) crossings(piece, other.piece, cuts);
    }
  }
  cuts.sort((a, b) => a - b);

  const inside = new Uint8Array(keep.length + remove.length);
  const active: Active[] = [];
  let next = 0;
  let area = 0;
  for (let k = 1; k < cuts.length; k++) {
    const from = Math.max(low, cuts[k - 1]!);
    const to = Math.min(high, cuts[k]!);
    if (!(to > from)) continue;
    const middle = from + (to - from) / 2;
    let kept = 0;
    for (const one of active) if (one.piece.x2 > middle) active[kept++] = one;
    active.length = kept;
    for (; next < all.length && all[next]!.piece.x1 <= middle; next++) {
      if (all[next]!.piece.x2 > middle) active.push(all[next]!);
    }
    for (const one of active) one.y = heightAt(one.piece, middle);
    active.sort((a, b) => a.y - b.y);
    inside.fill(0);
    let kept2 = 0;
    let removed = 0;
    let floor: BoundaryPiece | null = null;
    for (const { piece, region } of active) {
      inside[region]! ^= 1;
      const step = inside[region] === 1 ? 1 : -1;
      if (region < keep.length) kept2 += step;
      else removed += step;
      const open = kept2 === keep.length && removed === 0;
      if (open && floor === null) floor = piece;
      else if (!open && floor !== null) {
        area += areaBelow(piece, from, to) - areaBelow(floor, from, to);
        floor = null;
      }
    }
  }
  return Math.max(0, area);
}

/** True when the boxes about two pieces do not meet in y. */
function apart(a: BoundaryPiece, b: BoundaryPiece): boolean {
  return lowest(a) > highest(b) || lowest(b) > highest(a);
}

function lowest(piece: BoundaryPiece): number {
  return piece.radius > 0 && piece.side < 0 ? piece.centerY - piece.radius : Math.min(piece.y1, piece.y2);
}

function highest(piece: BoundaryPiece): number {
  return piece.radius > 0 && piece.side > 0 ? piece.centerY + piece.radius : Math.max(piece.y1, piece.y2);
}

/**
 * Area common to two discs, in closed form.
 * @param distance of the centres, ≥ 0
 */
export function lensArea(radiusA: number, radiusB: number, distance: number): number {
  if (distance >= radiusA + radiusB) return 0;
  const small = Math.min(radiusA, radiusB);
  if (distance <= Math.abs(radiusA - radiusB)) return Math.PI * small * small;
  const along = (distance + ((radiusA - radiusB) * (radiusA + radiusB)) / distance) / 2;
  const half = Math.sqrt(Math.max(0, (radiusA - along) * (radiusA + along)));
  return cap(radiusA, along, half) + cap(radiusB, distance - along, half);
}

/** Part of a disc beyond a chord: `along` from the centre (negative: the chord lies behind it), `half` its half length. */
function cap(radius: number, along: number, half: number): number {
  const area = segmentArea(radius, 2 * Math.atan2(half, Math.abs(along)));
  return along >= 0 ? area : Math.PI * radius * radius - area;
}
