/**
 * How much of the hole a film point sees through its layers, exactly.
 *
 * The ray from a film point p at depth f through the point h of the hole stands at h (1 + z/f) − p z/f in a plane z. So
 * an opening O in that plane lets through the part of the hole within (O + p z/f) / (1 + z/f): each opening, seen from
 * p, is laid on the plane of the hole, and what all of them share with the hole is the clear part.
 *
 * A straight or bevelled wall about a convex opening is convex between two neighbouring sections, so those two decide;
 * about an opening with a corner that points inwards the walls of its pockets, too, are laid on the hole and taken away.
 */
import { disc, lensArea, polygons, roundedConvex, sharedArea } from '../geometry/regions.ts';
import type { Region } from '../geometry/regions.ts';
import type { Point } from '../geometry/points.ts';
import type { HoleBody } from './hole.ts';
import { signedDistanceMm } from './layer.ts';
import type { LayerBody, LayerSection, SectionOutline } from './layer.ts';

/** A film point as the hole sees it. */
export interface Eye {
  readonly xMm: number;
  readonly yMm: number;
  readonly depthMm: number;
}

export interface Sight {
  /** Of the hole's open area, 0…1. */
  readonly clearShare: number;
  /** The layer that takes most, as a place in the list; -1: none takes anything. */
  readonly clippingIndex: number;
}

/** What a layer does to one film point: nothing, everything, or the regions that count. */
interface Cover {
  readonly keep: Region[];
  readonly remove: Region[];
  /** The one circle that cuts, on the plane of the hole; for the closed form. */
  circle: { readonly x: number; readonly y: number; readonly radius: number } | null;
  blocked: boolean;
}

/** How wide the bundle of rays from the hole to a film point is in a section, against the hole. */
export function spreadAt(eye: Eye, section: LayerSection): number {
  return 1 + section.zMm / eye.depthMm;
}

/**
 * How far the rays from the whole hole to a film point reach beyond an opening, mm in the plane of that section:
 * ≤ 0 clear, and as much as must be cut away at least on that side.
 */
export function reachMm(hole: HoleBody, section: LayerSection, eye: Eye): number {
  const grow = spreadAt(eye, section);
  const lean = section.zMm / eye.depthMm;
  return (
    signedDistanceMm(section.outline, hole.centerX * grow - eye.xMm * lean, hole.centerY * grow - eye.yMm * lean)
    + hole.radiusMm * grow
  );
}

/** An opening laid on the plane of the hole as seen from the eye. */
function laidOnHole(outline: SectionOutline, zMm: number, eye: Eye): Region {
  const scale = 1 / (1 + zMm / eye.depthMm);
  const offX = (eye.xMm * zMm) / eye.depthMm;
  const offY = (eye.yMm * zMm) / eye.depthMm;
  const place = (x: number, y: number): Point => ({ x: (x + offX) * scale, y: (y + offY) * scale });
  switch (outline.kind) {
    case 'circle':
      return disc(place(outline.x, outline.y), outline.radius * scale);
    case 'rounded': {
      const { x, y, cos, sin, halfX, halfY, radius } = outline;
      const a = halfX - radius;
      const b = halfY - radius;
      const corners = [[a, -b], [a, b], [-a, b], [-a, -b]] as const;
      return roundedConvex(
        corners.map(([u, v]) => ({ ...place(x + u * cos - v * sin, y + u * sin + v * cos), radius: radius * scale })),
      );
    }
    case 'polygon':
      return polygons([Array.from(outline.x, (x, i) => place(x, outline.y[i]!))]);
  }
}

/** Walls between two sections of a polygon, laid on the hole, one region a side. */
function walls(near: LayerSection, far: LayerSection, sides: readonly number[], eye: Eye): Region[] {
  if (near.outline.kind !== 'polygon' || far.outline.kind !== 'polygon') return [];
  const laid = ({ outline, zMm }: LayerSection): Point[] => {
    if (outline.kind !== 'polygon') return [];
    const scale = 1 / (1 + zMm / eye.depthMm);
    const offX = (eye.xMm * zMm) / eye.depthMm;
    const offY = (eye.yMm * zMm) / eye.depthMm;
    return Array.from(outline.x, (x, i) => ({ x: (x + offX) * scale, y: (outline.y[i]! + offY) * scale }));
  };
  const a = laid(near);
  const b = laid(far);
  return sides.map((i) => {
    const next = (i + 1) % a.length;
    return polygons([[a[i]!, a[next]!, b[next]!, b[i]!]]);
  });
}

function coverOf(hole: HoleBody, body: LayerBody, eye: Eye): Cover | null {
  const cover: Cover = { keep: [], remove: [], circle: null, blocked: false };
  if (!body.convex) return cornered(hole, body, eye, cover);
  for (const section of body.sections) {
    const reach = reachMm(hole, section, eye);
    if (reach <= 0) continue;
    if (reach >= 2 * hole.radiusMm * spreadAt(eye, section)) {
      cover.blocked = true;
      return cover;
    }
    const { outline, zMm } = section;
    if (outline.kind === 'circle' && cover.keep.length === 0) {
      const scale = 1 / (1 + zMm / eye.depthMm);
      cover.circle = {
        x: (outline.x + (eye.xMm * zMm) / eye.depthMm) * scale,
        y: (outline.y + (eye.yMm * zMm) / eye.depthMm) * scale,
        radius: outline.radius * scale,
      };
    } else cover.circle = null;
    cover.keep.push(laidOnHole(outline, zMm, eye));
  }
  return cover.keep.length === 0 ? null : cover;
}

/** An opening with a corner that points inwards. */
function cornered(hole: HoleBody, body: LayerBody, eye: Eye, cover: Cover): Cover | null {
  const { sections, throat, pockets } = body;
  const first = sections[0]!;
  const last = sections.at(-1)!;
  // how far the middle of the bundle of rays wanders off its place in the throat, and how wide the bundle gets
  const lean = Math.hypot(eye.xMm - hole.centerX, eye.yMm - hole.centerY) / eye.depthMm;
  const wander = lean * Math.max(Math.abs(first.zMm - throat.zMm), Math.abs(last.zMm - throat.zMm));
  const width = hole.radiusMm * Math.max(spreadAt(eye, first), spreadAt(eye, last));
  const own = hole.radiusMm * spreadAt(eye, throat);
  const reach = reachMm(hole, throat, eye);
  if (reach - own + width + wander <= 0) return null;
  if (reach >= 2 * own) {
    cover.blocked = true;
    return cover;
  }
  for (const section of sections) {
    if (section.rim !== true && reachMm(hole, section, eye) > 0) cover.keep.push(laidOnHole(section.outline, section.zMm, eye));
  }
  for (let i = 1; i < sections.length; i++) cover.remove.push(...walls(sections[i - 1]!, sections[i]!, pockets[i - 1]!, eye));
  return cover;
}

function clearShare(hole: HoleBody, covers: readonly Cover[]): number {
  if (covers.some((cover) => cover.blocked)) return 0;
  const keep = covers.flatMap((cover) => cover.keep);
  const circle = covers[0]?.circle;
  if (hole.round && keep.length === 1 && circle) {
    return lensArea(hole.radiusMm, circle.radius, Math.hypot(circle.x, circle.y)) / hole.areaMm2;
  }
  return Math.min(1, sharedArea([hole.region, ...keep], covers.flatMap((cover) => cover.remove)) / hole.areaMm2);
}

/** Below this a layer takes nothing but rounding. */
const NOTHING = 1e-12;

/**
 * Share of the hole's open area that a film point sees through all layers.
 * Valid: rays; layers black; every layer in front of the film.
 */
export function sightThrough(hole: HoleBody, bodies: readonly LayerBody[], eye: Eye): Sight {
  const covers: Cover[] = [];
  const indices: number[] = [];
  for (let i = 0; i < bodies.length; i++) {
    const cover = coverOf(hole, bodies[i]!, eye);
    if (cover === null) continue;
    covers.push(cover);
    indices.push(i);
  }
  if (covers.length === 0) return { clearShare: 1, clippingIndex: -1 };
  const all = clearShare(hole, covers);
  if (all >= 1 - NOTHING) return { clearShare: all, clippingIndex: -1 };
  if (covers.length === 1) return { clearShare: all, clippingIndex: indices[0]! };
  let clippingIndex = -1;
  let least = Infinity;
  let deepest = -Infinity;
  for (let k = 0; k < covers.length; k++) {
    const own = clearShare(hole, [covers[k]!]);
    if (own > least) continue;
    // two that take everything: the one that stands further into the view
    const deep = Math.max(...bodies[indices[k]!]!.sections.map((section) => reachMm(hole, section, eye) / spreadAt(eye, section)));
    if (own === least && deep <= deepest) continue;
    least = own;
    deepest = deep;
    clippingIndex = indices[k]!;
  }
  return { clearShare: all, clippingIndex };
}
