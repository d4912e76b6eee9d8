/** A cut through a front along the axis, for the drawing: film, cone of view, and where each layer begins beside it. */
import { cutDirection, filmCut } from '../camera/film-cut.ts';
import type { CutAlong, CutDirection, CutPoint } from '../camera/film-cut.ts';
import { signedDistanceMm } from './layer.ts';
import type { LayerSection } from './layer.ts';
import { readyFront } from './transmission.ts';
import type { FrontQuestion } from './transmission.ts';

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

/** From far outside walk in by the distance to the outline: lands on its outermost point on the line. */
function outermost(section: LayerSection, direction: CutDirection, sign: 1 | -1, startMm: number): number | null {
  let t = startMm;
  for (let i = 0; i < 400; i++) {
    const distance = signedDistanceMm(section.outline, sign * t * direction.xShare, sign * t * direction.yShare);
    if (distance < 1e-7) return sign * t;
    t -= distance;
    if (t < -startMm) return null;
  }
  return sign * t;
}

/**
 * The cut through the axis of the hole.
 * @param along diagonal: through the corner that the hole sees farthest aside
 * @throws InputError for whatever cannot be right in the question
 */
export function stackCut(question: FrontQuestion, along: CutAlong): StackCut {
  const front = readyFront(question);
  const direction = cutDirection(question.camera, along);
  const film = filmCut(question.camera, direction);
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
