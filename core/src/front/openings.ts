/** Backwards: from the view to the dimensions for the drill. */
import { InputError, requirePositive } from '../errors.ts';
import { filmSight } from '../camera/film-plane.ts';
import { frameCorners } from '../camera/geometry.ts';
import type { CornerName, FilmPoint } from '../camera/geometry.ts';
import { layerBody, signedDistanceMm } from './layer.ts';
import type { Layer, LayerBody, LayerSection } from './layer.ts';
import { sightThrough, spreadAt } from './sight.ts';
import type { Eye } from './sight.ts';
import { readyFront } from './transmission.ts';
import type { FrontQuestion, ReadyFront } from './transmission.ts';

/**
 * Smallest round opening that clears a film point, its middle off the axis in the worst direction.
 *   Ø = 2 (|z| r/f + (d/2)(1 + z/f) + e)
 * Derived in reference/front/README.md: the rays from the hole's rim to the point are a circle d (1 + z/f) across at z, about a
 * middle that is |z| r/f off the axis. Of both faces of a layer the larger result counts: in front of the hole the far
 * one; behind it the one nearer to the film, as long as r > d/2.
 * @param of place z > −f, positive in front; film point r ≥ 0 from the foot; hole ≥ 0
 * @throws InputError not-positive, out-of-range
 * @source front-notes
 */
export function smallestRoundOpeningMm(of: {
  readonly zMm: number;
  readonly farthestFilmMm: number;
  readonly focalLengthMm: number;
  readonly holeDiameterMm: number;
  readonly decentringMm?: number;
}): number {
  const { zMm, farthestFilmMm, focalLengthMm, holeDiameterMm, decentringMm = 0 } = of;
  requirePositive(focalLengthMm, 'focalLengthMm', 'mm');
  if (!(zMm > -focalLengthMm && Number.isFinite(zMm))) {
    throw new InputError('out-of-range', `A layer must stand in front of the film: z > ${-focalLengthMm} mm, but it is ${zMm}.`, {
      path: 'zMm',
      got: zMm,
      expected: `> ${-focalLengthMm} mm`,
    });
  }
  const spread = 1 + zMm / focalLengthMm;
  return 2 * ((Math.abs(zMm) * farthestFilmMm) / focalLengthMm + (holeDiameterMm / 2) * spread + Math.abs(decentringMm));
}

/** What a layer needs so that it takes nothing from any point of the frame. */
export interface OpeningNeed {
  readonly layer: string;
  /** Smallest round opening at the layer's place and shift, at its narrowest, its bevels left as they are. */
  readonly roundMm: number;
  /** In the layer's own shape: a width and height with the corner radius kept, or all of it by one factor. */
  readonly own:
    | { readonly kind: 'circle'; readonly diameterMm: number }
    | { readonly kind: 'rectangle'; readonly widthMm: number; readonly heightMm: number }
    | { readonly kind: 'scale'; readonly factor: number };
  /**
   * What the opening has to spare on the side where it has least; negative: so far it stands in the view. It may be
   * moved by as much in any direction before it clips.
   */
  readonly spareMm: number;
  /** Where that is. */
  readonly corner: CornerName;
  readonly zMm: number;
}

interface CornerEye {
  readonly name: CornerName;
  readonly eye: Eye;
}

function cornerEyes(front: ReadyFront): CornerEye[] {
  const corners = frameCorners(front.camera.frame);
  return (Object.keys(corners) as CornerName[]).map((name) => ({ name, eye: filmSight(front.camera, corners[name]) }));
}

/** Middle and radius of every bundle of rays that must pass a section: one circle, or a point for each corner of an outline. */
function bundle(front: ReadyFront, section: LayerSection, eye: Eye): { readonly x: number; readonly y: number; readonly radius: number }[] {
  const { hole } = front;
  const spread = spreadAt(eye, section);
  const lean = section.zMm / eye.depthMm;
  const at = (x: number, y: number, radius: number) => ({ x: x * spread - eye.xMm * lean, y: y * spread - eye.yMm * lean, radius });
  if (hole.round) return [at(0, 0, hole.radiusMm * spread)];
  return hole.hull.map(({ x, y }) => at(x, y, 0));
}

/** Spare of one section for one eye, exact for the hole's own outline. */
function spareAt(front: ReadyFront, section: LayerSection, eye: Eye): number {
  let least = Infinity;
  for (const { x, y, radius } of bundle(front, section, eye)) {
    least = Math.min(least, -signedDistanceMm(section.outline, x, y) - radius);
  }
  return least;
}

/** How much a section is wider than the opening at its narrowest, a side. */
function growthMm(body: LayerBody, section: LayerSection): number {
  const { outline } = section;
  const { outline: throat } = body.throat;
  if (outline.kind === 'circle' && throat.kind === 'circle') return outline.radius - throat.radius;
  if (outline.kind === 'rounded' && throat.kind === 'rounded') return outline.halfX - throat.halfX;
  const bevel = (body.layer.bevels ?? []).find(({ face }) => (face === 'near' ? body.layer.nearMm : body.layer.farMm) === section.zMm);
  return bevel === undefined ? 0 : bevel.depthMm * Math.tan(bevel.angleRad);
}

function roundNeedMm(front: ReadyFront, body: LayerBody, eyes: readonly CornerEye[]): number {
  const { xMm, yMm } = body.layer.shift ?? { xMm: 0, yMm: 0 };
  let radius = 0;
  for (const section of body.sections) {
    for (const { eye } of eyes) {
      for (const ray of bundle(front, section, eye)) {
        radius = Math.max(radius, Math.hypot(ray.x - xMm, ray.y - yMm) + ray.radius - growthMm(body, section));
      }
    }
  }
  return 2 * radius;
}

function clears(front: ReadyFront, layer: Layer, eyes: readonly CornerEye[]): boolean {
  const body = layerBody(layer);
  const enough = 1e-9;
  if (body.convex) return eyes.every(({ eye }) => body.sections.every((section) => spareAt(front, section, eye) >= -enough));
  return inwardEyes(front).every((eye) => sightThrough(front.hole, [body], eye).clearShare >= 1 - enough);
}

/** A corner that points inwards may bite anywhere in the frame. */
function inwardEyes(front: ReadyFront): Eye[] {
  const { widthMm, heightMm } = front.camera.frame;
  const steps = [-0.5, -0.375, -0.25, -0.125, 0, 0.125, 0.25, 0.375, 0.5];
  return steps.flatMap((u) => steps.map((v) => filmSight(front.camera, { xMm: u * widthMm, yMm: v * heightMm })));
}

/** Smallest value from `low` on at which `works` holds, to a ten-thousandth of a mm in the end. */
function smallest(low: number, works: (value: number) => boolean): number {
  if (works(low)) return low;
  let below = low;
  let above = low === 0 ? 1 : low * 2;
  while (!works(above)) {
    below = above;
    above *= 2;
    if (above > 1e7) return Infinity;
  }
  while (above - below > 1e-9 * above) {
    const middle = (below + above) / 2;
    if (works(middle)) above = middle;
    else below = middle;
  }
  return above;
}

function ownNeed(front: ReadyFront, body: LayerBody, eyes: readonly CornerEye[], roundMm: number): OpeningNeed['own'] {
  const { layer } = body;
  const { opening } = layer;
  if (opening.shape === 'circle') return { kind: 'circle', diameterMm: roundMm };
  if (opening.shape === 'rectangle') {
    const cos = Math.cos(layer.rotationRad ?? 0);
    const sin = Math.sin(layer.rotationRad ?? 0);
    const { xMm, yMm } = layer.shift ?? { xMm: 0, yMm: 0 };
    let halfX = 0;
    let halfY = 0;
    for (const section of body.sections) {
      const growth = growthMm(body, section);
      for (const { eye } of eyes) {
        for (const ray of bundle(front, section, eye)) {
          const x = ray.x - xMm;
          const y = ray.y - yMm;
          halfX = Math.max(halfX, Math.abs(x * cos + y * sin) + ray.radius - growth);
          halfY = Math.max(halfY, Math.abs(y * cos - x * sin) + ray.radius - growth);
        }
      }
    }
    const radius = opening.cornerRadiusMm;
    const sized = (more: number): Layer => {
      const widthMm = Math.max(2 * (halfX + more), 2 * radius, 1e-9);
      const heightMm = Math.max(2 * (halfY + more), 2 * radius, 1e-9);
      return { ...layer, opening: { ...opening, widthMm, heightMm } };
    };
    // a corner rounded more than the bundle of rays needs both sides a little wider
    const more = smallest(0, (extra) => clears(front, sized(extra), eyes));
    const found = sized(more).opening as { readonly widthMm: number; readonly heightMm: number };
    return { kind: 'rectangle', widthMm: found.widthMm, heightMm: found.heightMm };
  }
  return { kind: 'scale', factor: smallest(1e-3, (factor) => clears(front, scaled(layer, factor), eyes)) };
}

function scaled(layer: Layer, factor: number): Layer {
  const { opening } = layer;
  switch (opening.shape) {
    case 'circle':
      return { ...layer, opening: { ...opening, diameterMm: opening.diameterMm * factor } };
    case 'rectangle':
      return {
        ...layer,
        opening: {
          ...opening,
          widthMm: opening.widthMm * factor,
          heightMm: opening.heightMm * factor,
          cornerRadiusMm: opening.cornerRadiusMm * factor,
        },
      };
    case 'slot':
      return { ...layer, opening: { ...opening, lengthMm: opening.lengthMm * factor, widthMm: opening.widthMm * factor } };
    case 'polygon': {
      const pointsMm = opening.pointsMm.map(({ xMm, yMm }): FilmPoint => ({ xMm: xMm * factor, yMm: yMm * factor }));
      return { ...layer, opening: { ...opening, pointsMm } };
    }
  }
}

/**
 * What each layer needs and has to spare. The corners of the frame decide: seen from the hole they are the farthest
 * points of a flat film, and of a bent one too.
 * @throws InputError for whatever cannot be right in the question
 * @source front-notes
 */
export function openingNeeds(question: FrontQuestion): OpeningNeed[] {
  const front = readyFront(question);
  const eyes = cornerEyes(front);
  return front.bodies.map((body) => {
    let spareMm = Infinity;
    let corner: CornerName = 'top-left';
    let zMm = body.throat.zMm;
    for (const section of body.sections) {
      for (const { name, eye } of eyes) {
        const spare = spareAt(front, section, eye);
        if (spare >= spareMm - 1e-12) continue;
        spareMm = spare;
        corner = name;
        zMm = section.zMm;
      }
    }
    const roundMm = roundNeedMm(front, body, eyes);
    return { layer: body.layer.name, roundMm, own: ownNeed(front, body, eyes, roundMm), spareMm, corner, zMm };
  });
}

export interface BevelAdvice {
  /** Smallest angle against the axis; null where no bevel on this face helps. */
  readonly angleRad: number | null;
  /** Why not. */
  readonly reason: string | null;
}

/**
 * The least bevel that makes a layer clear, on the face away from the hole, its opening left as it is.
 * @param of depth > 0 of the bevel, at most the layer's thickness; margin to be left all round
 * @throws InputError for whatever cannot be right in the question
 */
export function bestBevel(
  question: FrontQuestion,
  of: { readonly layerIndex: number; readonly depthMm: number; readonly marginMm?: number },
): BevelAdvice {
  const layer = question.layers[of.layerIndex];
  if (layer === undefined) {
    throw new InputError('out-of-range', `There is no layer ${of.layerIndex + 1}.`, { path: 'layerIndex', got: of.layerIndex });
  }
  requirePositive(of.depthMm, 'depthMm', 'mm');
  const margin = of.marginMm ?? 0;
  const outer = Math.abs(layer.farMm) >= Math.abs(layer.nearMm) ? 'far' : 'near';
  const kept = (layer.bevels ?? []).filter(({ face }) => face !== outer);
  const straight: Layer = { ...layer, bevels: [...kept, { face: outer, angleRad: 0, depthMm: of.depthMm }] };
  const front = readyFront({ ...question, layers: [straight] });
  const eyes = cornerEyes(front);
  const body = front.bodies[0] as LayerBody;
  const faceMm = outer === 'far' ? layer.farMm : layer.nearMm;
  let growth = 0;
  let inner = Infinity;
  for (const section of body.sections) {
    for (const { eye } of eyes) {
      const spare = spareAt(front, section, eye) - margin;
      if (section.zMm === faceMm) growth = Math.max(growth, -spare);
      else inner = Math.min(inner, spare);
    }
  }
  if (inner < 0) {
    const short = (-inner).toFixed(2);
    return { angleRad: null, reason: `The straight part of ${layer.name} already stands ${short} mm in the view: cut deeper or open it.` };
  }
  return { angleRad: Math.atan(growth / of.depthMm), reason: null };
}

/** What clears the view with the opening left as it is. */
export interface OtherWays {
  /** As `thickestLayerMm`. */
  readonly thickestMm: number | null;
  /** Right through the layer; null where it clears already or is a mere edge. */
  readonly bevel: BevelAdvice | null;
}

/**
 * Another thickness or a bevel for a layer, beside the opening it needs.
 * @param of margin to be left all round; spare room as the layer is, from `openingNeeds`
 * @throws InputError for whatever cannot be right in the question
 */
export function otherWays(
  question: FrontQuestion,
  of: { readonly layerIndex: number; readonly marginMm: number; readonly spareMm: number },
): OtherWays {
  const layer = question.layers[of.layerIndex];
  const depthMm = layer === undefined ? 0 : Math.abs(layer.farMm - layer.nearMm);
  return {
    thickestMm: thickestLayerMm(question, of),
    bevel: of.spareMm >= of.marginMm || depthMm === 0 ? null : bestBevel(question, { ...of, depthMm }),
  };
}

/**
 * How thick a layer may be, its face towards the hole and its opening left as they are, so that it just clears.
 * @param of margin to be left all round
 * @returns the thickness; null where even the thinnest clips; `Infinity` where it never does
 * @throws InputError for whatever cannot be right in the question
 */
export function thickestLayerMm(
  question: FrontQuestion,
  of: { readonly layerIndex: number; readonly marginMm?: number },
): number | null {
  const layer = question.layers[of.layerIndex];
  if (layer === undefined) {
    throw new InputError('out-of-range', `There is no layer ${of.layerIndex + 1}.`, { path: 'layerIndex', got: of.layerIndex });
  }
  const margin = of.marginMm ?? 0;
  const [inner, outer] = Math.abs(layer.farMm) >= Math.abs(layer.nearMm) ? [layer.nearMm, layer.farMm] : [layer.farMm, layer.nearMm];
  const towards = outer < 0 || (outer === 0 && inner < 0) ? -1 : 1;
  const front = readyFront({ ...question, layers: [{ ...layer, nearMm: inner, farMm: inner, bevels: [] }] });
  const eyes = cornerEyes(front);
  const section = (front.bodies[0] as LayerBody).throat;
  const most = towards > 0 ? 10_000 : Math.min(...eyes.map(({ eye }) => eye.depthMm)) + inner;
  const fits = (thicknessMm: number): boolean => {
    const at: LayerSection = { ...section, zMm: inner + towards * thicknessMm };
    return eyes.every(({ eye }) => spareAt(front, at, eye) >= margin);
  };
  if (!fits(0)) return null;
  if (towards > 0 && fits(most)) return Infinity;
  let low = 0;
  let high = most;
  for (let i = 0; i < 80; i++) {
    const middle = (low + high) / 2;
    if (fits(middle)) low = middle;
    else high = middle;
  }
  return low;
}
