/**
 * What stands in the way of the view, as a maker measures it: a board, a slide, a plate, each with an opening.
 *
 * Places are mm from the hole's sharp edge, x right and y up as seen from the film side, z along the axis, positive
 * to the scene. Shifts are off the axis through the hole, since it is the hole that the light comes through.
 */
import { InputError, inWords, requirePositive } from '../errors.ts';
import { convexHull } from '../geometry/hull.ts';
import { requirePoint } from '../camera/geometry.ts';
import type { FilmPoint } from '../camera/geometry.ts';

export type Opening =
  | { readonly shape: 'circle'; readonly diameterMm: number }
  | { readonly shape: 'rectangle'; readonly widthMm: number; readonly heightMm: number; readonly cornerRadiusMm: number }
  /** Two half circles and the straight sides between them; the length is over all, along x. */
  | { readonly shape: 'slot'; readonly lengthMm: number; readonly widthMm: number }
  /** Corners in order, either way round, no side crossing another. */
  | { readonly shape: 'polygon'; readonly pointsMm: readonly FilmPoint[] };

export type LayerFace = 'near' | 'far';

/** The opening grows towards a face of its layer. A sharp corner stays sharp; a rounded one grows its radius. */
export interface Bevel {
  readonly face: LayerFace;
  /** Of the wall against the axis, 0 ≤ angle < a right angle. */
  readonly angleRad: number;
  /** Along the axis, from the face inwards. */
  readonly depthMm: number;
}

/** How far the real part may be off, each ±. */
export interface LayerTolerance {
  /** In width over all, diameter. */
  readonly openingMm?: number | undefined;
  /** In x and y. */
  readonly shiftMm?: number | undefined;
  /** Of the layer along the axis. */
  readonly placeMm?: number | undefined;
  readonly thicknessMm?: number | undefined;
}

export interface Layer {
  readonly name: string;
  /** The two faces, z from the hole's sharp edge: positive in front, negative behind. Near is the hole's side. */
  readonly nearMm: number;
  readonly farMm: number;
  readonly opening: Opening;
  /** At most one on each face. */
  readonly bevels?: readonly Bevel[];
  /** Default: on the axis of the hole. */
  readonly shift?: FilmPoint;
  /** Counter-clockwise about the opening's own origin, before the shift. */
  readonly rotationRad?: number;
  readonly tolerance?: LayerTolerance;
}

/** A cut through a layer square to the axis, ready to be looked through. */
export interface LayerSection {
  readonly zMm: number;
  readonly outline: SectionOutline;
  /** The rim of the hole itself, which needs not be laid on the hole again. */
  readonly rim?: true;
}

/** In the plane of the section, turned and shifted. */
export type SectionOutline =
  | { readonly kind: 'circle'; readonly x: number; readonly y: number; readonly radius: number }
  | {
      readonly kind: 'rounded';
      readonly x: number;
      readonly y: number;
      readonly cos: number;
      readonly sin: number;
      /** Half width and height over all. */
      readonly halfX: number;
      readonly halfY: number;
      readonly radius: number;
    }
  | { readonly kind: 'polygon'; readonly x: Float64Array; readonly y: Float64Array };

/** A layer made ready: where it is clear is convex between neighbouring sections, or bounded by walls. */
export interface LayerBody {
  readonly layer: Layer;
  /** From the near face to the far one; a film point that sees the hole through all of them sees it clear. */
  readonly sections: readonly LayerSection[];
  /** True when sections alone decide; else the walls between them count too. */
  readonly convex: boolean;
  /**
   * Sides of the opening whose walls count beside the sections, for each two neighbours: those that are not sides of the hull
   * of both. Behind a side of the hull there is only wood, which no straight way through both sections comes to.
   */
  readonly pockets: readonly (readonly number[])[];
  /** The narrowest section. */
  readonly throat: LayerSection;
}

function fail(message: string, path: string, got: unknown, expected: string): never {
  throw new InputError('out-of-range', message, { path, got, expected });
}

/** @throws InputError not-positive, out-of-range */
function requireOpening(opening: Opening, path: string): void {
  switch (opening.shape) {
    case 'circle':
      return requirePositive(opening.diameterMm, `${path}.diameterMm`, 'mm');
    case 'slot':
      requirePositive(opening.lengthMm, `${path}.lengthMm`, 'mm');
      return requirePositive(opening.widthMm, `${path}.widthMm`, 'mm');
    case 'rectangle': {
      requirePositive(opening.widthMm, `${path}.widthMm`, 'mm');
      requirePositive(opening.heightMm, `${path}.heightMm`, 'mm');
      const most = Math.min(opening.widthMm, opening.heightMm) / 2;
      const radius = opening.cornerRadiusMm;
      if (Number.isFinite(radius) && radius >= 0 && radius <= most * (1 + 1e-12)) return;
      return fail(
        `${inWords(path)}: the corner radius must be from 0 to half the shorter side (${most} mm), but is ${radius} mm.`,
        `${path}.cornerRadiusMm`,
        radius,
        `0…${most} mm`,
      );
    }
    case 'polygon':
      return requirePolygon(withoutRepeats(opening.pointsMm), `${path}.pointsMm`);
  }
}

function requirePolygon(points: readonly FilmPoint[], path: string): void {
  if (points.length < 3 || points.length > 10_000) {
    fail(`${inWords(path)} must have 3 to 10000 corners, but has ${points.length}.`, path, points.length, '3…10000 corners');
  }
  for (const [i, point] of points.entries()) requirePoint(point, `${path}[${i}]`);
  if (signedArea(points) === 0) fail(`${path} encloses no area.`, path, 0, 'an area > 0');
  const n = points.length;
  for (let i = 0; i < n; i++) {
    for (let j = i + 2; j < n; j++) {
      if (i === 0 && j === n - 1) continue;
      if (!cross(points[i]!, points[(i + 1) % n]!, points[j]!, points[(j + 1) % n]!)) continue;
      fail(`${path}: the side after corner ${i + 1} crosses the side after corner ${j + 1}.`, path, [i, j], 'sides that do not cross');
    }
  }
}

/** Without corners that repeat the one before (or a last one that closes the line by hand): sides of no length. */
function withoutRepeats(points: readonly FilmPoint[]): readonly FilmPoint[] {
  return points.filter((point, i) => {
    const before = points[(i + points.length - 1) % points.length]!;
    return point.xMm !== before.xMm || point.yMm !== before.yMm;
  });
}

function turnOf(a: FilmPoint, b: FilmPoint, c: FilmPoint): number {
  return (b.xMm - a.xMm) * (c.yMm - a.yMm) - (b.yMm - a.yMm) * (c.xMm - a.xMm);
}

function cross(a: FilmPoint, b: FilmPoint, c: FilmPoint, d: FilmPoint): boolean {
  return turnOf(a, b, c) * turnOf(a, b, d) < 0 && turnOf(c, d, a) * turnOf(c, d, b) < 0;
}

function signedArea(points: readonly FilmPoint[]): number {
  let twice = 0;
  for (let i = 0, j = points.length - 1; i < points.length; j = i++) {
    twice += points[j]!.xMm * points[i]!.yMm - points[i]!.xMm * points[j]!.yMm;
  }
  return twice / 2;
}

/**
 * Checks a layer and cuts it into sections.
 * @param path for the sentences: `layers[2]`
 * @throws InputError not-positive, negative, out-of-range, conflict
 */
export function layerBody(layer: Layer, path = 'layer'): LayerBody {
  const { nearMm, farMm } = layer;
  if (!(Number.isFinite(nearMm) && Number.isFinite(farMm))) {
    fail(`${path} (${layer.name}): both faces need a finite place along the axis.`, `${path}.zMm`, [nearMm, farMm], 'two lengths');
  }
  requireOpening(layer.opening, `${path}.opening`);
  requirePoint(layer.shift ?? { xMm: 0, yMm: 0 }, `${path}.shift`);
  const rotationRad = layer.rotationRad ?? 0;
  if (!Number.isFinite(rotationRad)) fail(`${path}.rotationRad must be finite.`, `${path}.rotationRad`, rotationRad, 'an angle');

  const cuts = sectionDepths(layer, path);
  const points = layer.opening.shape === 'polygon' ? counterClockwise(withoutRepeats(layer.opening.pointsMm)) : null;
  const sections = cuts.map(({ zMm, growthMm }) => ({ zMm, outline: outlineOf(layer, growthMm, points, path) }));
  const throatAt = cuts.reduce((best, cut, i) => (cut.growthMm < cuts[best]!.growthMm ? i : best), 0);
  const convex = points === null || isConvex(points);
  return { layer, sections, convex, pockets: convex ? [] : pocketsOf(sections), throat: sections[throatAt]! };
}

function pocketsOf(sections: readonly LayerSection[]): number[][] {
  const onHull = sections.map(({ outline }) => hullSides(outline));
  return sections.slice(1).map((_, k) => {
    const [near, far] = [onHull[k]!, onHull[k + 1]!];
    return near.flatMap((on, side) => (on && far[side] === true ? [] : [side]));
  });
}

/** For each side of a polygon, whether it is one of its hull. */
function hullSides(outline: SectionOutline): boolean[] {
  if (outline.kind !== 'polygon') return [];
  const corners = Array.from(outline.x, (x, i) => ({ x, y: outline.y[i]! }));
  const hull = convexHull(corners);
  const after = new Map(hull.map((corner, i) => [corner, hull[(i + 1) % hull.length]]));
  return corners.map((corner, i) => after.has(corner) && after.get(corner) === corners[(i + 1) % corners.length]);
}

interface Cut {
  readonly zMm: number;
  readonly growthMm: number;
}

/** Faces and the inner ends of bevels, each with how much the opening has grown there. */
function sectionDepths(layer: Layer, path: string): Cut[] {
  const { nearMm, farMm } = layer;
  const thicknessMm = Math.abs(farMm - nearMm);
  const towardsFar = Math.sign(farMm - nearMm);
  const near: Cut[] = [{ zMm: nearMm, growthMm: 0 }];
  const far: Cut[] = [{ zMm: farMm, growthMm: 0 }];
  let used = 0;
  for (const face of ['near', 'far'] as const) {
    const found = (layer.bevels ?? []).filter((bevel) => bevel.face === face);
    if (found.length > 1) fail(`${path} (${layer.name}) has two bevels on its ${face} face.`, `${path}.bevels`, found.length, 'one a face');
    const bevel = found[0];
    if (bevel === undefined || bevel.depthMm === 0) continue;
    const { angleRad, depthMm } = bevel;
    if (!(angleRad >= 0 && angleRad < Math.PI / 2)) {
      fail(`${inWords(path)}: a bevel's angle from the axis must be from 0 to less than 90°.`, `${path}.bevel.angle`, angleRad, '0…90°');
    }
    if (!(Number.isFinite(depthMm) && depthMm > 0)) {
      throw new InputError('negative', `${inWords(path)}: a bevel's depth must be 0 mm or more, but is ${depthMm}.`, {
        path: `${path}.bevel.depthMm`,
        got: depthMm,
        expected: '≥ 0 mm',
      });
    }
    used += depthMm;
    const growthMm = depthMm * Math.tan(angleRad);
    if (face === 'near') near.splice(0, 1, { zMm: nearMm, growthMm }, { zMm: nearMm + towardsFar * depthMm, growthMm: 0 });
    else far.splice(0, 1, { zMm: farMm - towardsFar * depthMm, growthMm: 0 }, { zMm: farMm, growthMm });
  }
  if (used > thicknessMm * (1 + 1e-9) + 1e-9) {
    throw new InputError(
      'conflict',
      `${path} (${layer.name}): ${used} mm of bevel do not fit into a thickness of ${thicknessMm} mm.`,
      { path: `${path}.bevel.depthMm`, got: used, expected: `≤ ${thicknessMm} mm` },
    );
  }
  const cuts = [...near, ...far];
  return cuts.filter((cut, i) => i === 0 || cut.zMm !== cuts[i - 1]!.zMm || cut.growthMm !== cuts[i - 1]!.growthMm);
}

function counterClockwise(points: readonly FilmPoint[]): readonly FilmPoint[] {
  return signedArea(points) > 0 ? points : [...points].reverse();
}

function isConvex(points: readonly FilmPoint[]): boolean {
  return points.every((_, i) => turnOf(points[i]!, points[(i + 1) % points.length]!, points[(i + 2) % points.length]!) >= 0);
}

function outlineOf(layer: Layer, growthMm: number, points: readonly FilmPoint[] | null, path: string): SectionOutline {
  const { opening } = layer;
  const { xMm: x, yMm: y } = layer.shift ?? { xMm: 0, yMm: 0 };
  const cos = Math.cos(layer.rotationRad ?? 0);
  const sin = Math.sin(layer.rotationRad ?? 0);
  switch (opening.shape) {
    case 'circle':
      return { kind: 'circle', x, y, radius: opening.diameterMm / 2 + growthMm };
    case 'slot':
    case 'rectangle': {
      const halfX = (opening.shape === 'slot' ? opening.lengthMm : opening.widthMm) / 2;
      const halfY = (opening.shape === 'slot' ? opening.widthMm : opening.heightMm) / 2;
      const radius = opening.shape === 'slot' ? Math.min(halfX, halfY) : Math.min(opening.cornerRadiusMm, halfX, halfY);
      if (radius >= halfX && radius >= halfY) return { kind: 'circle', x, y, radius: radius + growthMm };
      return {
        kind: 'rounded',
        x,
        y,
        cos,
        sin,
        halfX: halfX + growthMm,
        halfY: halfY + growthMm,
        radius: radius > 0 ? radius + growthMm : 0,
      };
    }
    case 'polygon': {
      const grown = growthMm === 0 ? points! : mitred(points!, growthMm, path);
      return {
        kind: 'polygon',
        x: Float64Array.from(grown, (point) => x + point.xMm * cos - point.yMm * sin),
        y: Float64Array.from(grown, (point) => y + point.xMm * sin + point.yMm * cos),
      };
    }
  }
}

/** Every side moved outwards, corners kept sharp: what a bevel makes of a sawn or filed outline. */
function mitred(points: readonly FilmPoint[], growthMm: number, path: string): FilmPoint[] {
  const n = points.length;
  const sides = points.map((point, i) => {
    const next = points[(i + 1) % n]!;
    const length = Math.hypot(next.xMm - point.xMm, next.yMm - point.yMm);
    return { length, ux: (next.xMm - point.xMm) / length, uy: (next.yMm - point.yMm) / length };
  });
  const moved = points.map((point, i) => {
    const before = sides[(i + n - 1) % n]!;
    const after = sides[i]!;
    // the corner moves along the sum of the outward normals (uy, -ux), by growth / (1 + cos of the turn)
    const k = growthMm / (1 + before.ux * after.ux + before.uy * after.uy);
    return { xMm: point.xMm + k * (before.uy + after.uy), yMm: point.yMm - k * (before.ux + after.ux) };
  });
  for (let i = 0; i < n; i++) {
    const a = moved[i]!;
    const b = moved[(i + 1) % n]!;
    const along = (b.xMm - a.xMm) * sides[i]!.ux + (b.yMm - a.yMm) * sides[i]!.uy;
    if (along > 0) continue;
    fail(`${path}: the bevel is so wide that the side after corner ${i + 1} vanishes.`, `${path}.bevel`, growthMm, 'a smaller bevel');
  }
  return moved;
}

/** Distance of a place from a section's outline, positive outside, negative inside; exact. */
export function signedDistanceMm(outline: SectionOutline, xMm: number, yMm: number): number {
  switch (outline.kind) {
    case 'circle':
      return Math.hypot(xMm - outline.x, yMm - outline.y) - outline.radius;
    case 'rounded': {
      const dx = xMm - outline.x;
      const dy = yMm - outline.y;
      const qx = Math.abs(dx * outline.cos + dy * outline.sin) - outline.halfX + outline.radius;
      const qy = Math.abs(dy * outline.cos - dx * outline.sin) - outline.halfY + outline.radius;
      return Math.hypot(Math.max(qx, 0), Math.max(qy, 0)) + Math.min(Math.max(qx, qy), 0) - outline.radius;
    }
    case 'polygon': {
      const { x, y } = outline;
      let nearest = Infinity;
      let inside = false;
      for (let i = 0, j = x.length - 1; i < x.length; j = i++) {
        const dx = x[i]! - x[j]!;
        const dy = y[i]! - y[j]!;
        const px = xMm - x[j]!;
        const py = yMm - y[j]!;
        const t = Math.min(1, Math.max(0, (px * dx + py * dy) / (dx * dx + dy * dy)));
        nearest = Math.min(nearest, Math.hypot(px - t * dx, py - t * dy));
        if (y[i]! > yMm !== y[j]! > yMm && xMm < ((yMm - y[j]!) / dy) * dx + x[j]!) inside = !inside;
      }
      return inside ? -nearest : nearest;
    }
  }
}
