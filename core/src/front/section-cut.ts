/** A cut through a front along the axis, for the drawing: film, cone of view, and where each layer begins beside it. */
import { filmSight } from '../camera/film-plane.ts';
import { frameCorners } from '../camera/geometry.ts';
import { signedDistanceMm } from './layer.ts';
import type { LayerSection } from './layer.ts';
import { readyFront } from './transmission.ts';
import type { FrontQuestion } from './transmission.ts';

export type CutAlong = 'horizontal' | 'vertical' | 'diagonal';

/** A place in the cut: along the axis, positive to the scene, and across it from the axis of the hole. */
export interface CutPoint {
  readonly zMm: number;
  readonly acrossMm: number;
}

/** Where an opening ends on both sides, at one depth. */
export interface CutEdge {
  readonly zMm: number;
  readonly lowMm: number;
  readonly highMm: number;
}

export interface LayerCut {
  readonly name: string;
  /** From the near face to the far; empty where the opening lies wholly beside the plane of the cut. */
  readonly edges: readonly CutEdge[];
  readonly nearMm: number;
  readonly farMm: number;
}

export interface StackCut {
  /** The film in this plane, from its low end to its high one. */
  readonly film: readonly CutPoint[];
  readonly holeHalfMm: number;
  readonly layers: readonly LayerCut[];
}

/** Unit vector across: horizontal runs to the left, so that a cut seen from above has the scene's left on top. */
function directionOf(question: FrontQuestion, along: CutAlong): { readonly x: number; readonly y: number } {
  if (along === 'horizontal') return { x: -1, y: 0 };
  if (along === 'vertical') return { x: 0, y: 1 };
  const { frame, holeShift } = question.camera;
  const [far] = Object.values(frameCorners(frame))
    .map(({ xMm, yMm }) => ({ x: xMm - holeShift.xMm, y: yMm - holeShift.yMm }))
    .sort((a, b) => Math.hypot(b.x, b.y) - Math.hypot(a.x, a.y));
  const length = Math.hypot(far!.x, far!.y);
  // upwards in the drawing, whichever corner it is
  const sign = far!.y >= 0 ? 1 : -1;
  return { x: (sign * far!.x) / length, y: (sign * far!.y) / length };
}

/** How far the frame reaches from the foot along a direction. */
function frameReach(question: FrontQuestion, direction: { readonly x: number; readonly y: number }): number {
  const { frame, holeShift } = question.camera;
  const reach = (half: number, from: number, step: number): number => (step === 0 ? Infinity : ((step > 0 ? half : -half) - from) / step);
  return Math.min(reach(frame.widthMm / 2, holeShift.xMm, direction.x), reach(frame.heightMm / 2, holeShift.yMm, direction.y));
}

/** From far outside walk in by the distance to the outline: lands on its outermost point on the line. */
function outermost(section: LayerSection, direction: { readonly x: number; readonly y: number }, sign: 1 | -1, startMm: number): number | null {
  let t = startMm;
  for (let i = 0; i < 400; i++) {
    const distance = signedDistanceMm(section.outline, sign * t * direction.x, sign * t * direction.y);
    if (distance < 1e-7) return sign * t;
    t -= distance;
    if (t < -startMm) return null;
  }
  return sign * t;
}

/**
 * The cut through the axis of the hole.
 * @param along diagonal: through the corner farthest from the foot
 * @throws InputError for whatever cannot be right in the question
 */
export function stackCut(question: FrontQuestion, along: CutAlong): StackCut {
  const front = readyFront(question);
  const direction = directionOf(question, along);
  const high = frameReach(question, direction);
  const low = -frameReach(question, { x: -direction.x, y: -direction.y });
  const steps = question.camera.filmPlane === undefined || question.camera.filmPlane === 'flat' ? 1 : 32;
  const { holeShift } = question.camera;
  const film = Array.from({ length: steps + 1 }, (_, i): CutPoint => {
    const t = low + ((high - low) * i) / steps;
    const sight = filmSight(question.camera, { xMm: holeShift.xMm + t * direction.x, yMm: holeShift.yMm + t * direction.y });
    return { zMm: -sight.depthMm, acrossMm: sight.xMm * direction.x + sight.yMm * direction.y };
  });
  const layers = front.bodies.map((body): LayerCut => {
    const edges = body.sections.flatMap((section): CutEdge[] => {
      const lowMm = outermost(section, direction, -1, 10_000);
      const highMm = outermost(section, direction, 1, 10_000);
      return lowMm === null || highMm === null ? [] : [{ zMm: section.zMm, lowMm, highMm }];
    });
    const { name, nearMm, farMm } = body.layer;
    return { name, edges: edges.length === body.sections.length ? edges : [], nearMm, farMm };
  });
  return { film, holeHalfMm: front.hole.radiusMm, layers };
}

/**
 * Edges of the clear view in a cut, the hole's width included.
 * @param at place along the axis, from the film to the scene
 */
export function viewAt(cut: Pick<StackCut, 'film' | 'holeHalfMm'>, at: { readonly zMm: number }): { readonly lowMm: number; readonly highMm: number } {
  let lowMm = Infinity;
  let highMm = -Infinity;
  for (const { zMm, acrossMm } of cut.film) {
    const lean = at.zMm / zMm;
    const middle = acrossMm * lean;
    const half = cut.holeHalfMm * Math.abs(1 - lean);
    lowMm = Math.min(lowMm, middle - half);
    highMm = Math.max(highMm, middle + half);
  }
  return { lowMm, highMm };
}
