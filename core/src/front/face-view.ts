/** A layer seen face on, from the film side: its opening, and what the view needs of it. For the drawing. */
import { filmSight } from '../camera/film-plane.ts';
import { frameCorners } from '../camera/geometry.ts';
import type { FilmPoint } from '../camera/geometry.ts';
import { InputError } from '../errors.ts';
import { convexHull } from '../geometry/hull.ts';
import type { SectionOutline } from './layer.ts';
import { spreadAt } from './sight.ts';
import { readyFront } from './transmission.ts';
import type { FrontQuestion } from './transmission.ts';

export interface FaceView {
  /** Closed, the opening at its narrowest. */
  readonly openingMm: readonly FilmPoint[];
  /** Closed, about all rays from the hole to the frame at the depth asked for: nothing of the layer may stand within. */
  readonly neededMm: readonly FilmPoint[];
}

const ARC_STEPS = 24;

function arc(x: number, y: number, radius: number, fromRad: number, toRad: number): FilmPoint[] {
  return Array.from({ length: ARC_STEPS + 1 }, (_, i) => {
    const t = fromRad + ((toRad - fromRad) * i) / ARC_STEPS;
    return { xMm: x + radius * Math.cos(t), yMm: y + radius * Math.sin(t) };
  });
}

function closedLine(outline: SectionOutline): FilmPoint[] {
  switch (outline.kind) {
    case 'circle':
      return [0, 1, 2, 3].flatMap((q) => arc(outline.x, outline.y, outline.radius, (q * Math.PI) / 2, ((q + 1) * Math.PI) / 2).slice(1));
    case 'rounded': {
      const { x, y, cos, sin, halfX, halfY, radius } = outline;
      const corners = [[1, 1], [-1, 1], [-1, -1], [1, -1]] as const;
      return corners
        .flatMap(([sx, sy], q) => arc(sx * (halfX - radius), sy * (halfY - radius), radius, (q * Math.PI) / 2, ((q + 1) * Math.PI) / 2))
        .map(({ xMm, yMm }) => ({ xMm: x + xMm * cos - yMm * sin, yMm: y + xMm * sin + yMm * cos }));
    }
    case 'polygon':
      return Array.from(outline.x, (xMm, i) => ({ xMm, yMm: outline.y[i]! }));
  }
}

/**
 * Opening and need of one layer from the axis of the hole, x right and y up.
 * @param of depth at which the view is cut: where the layer is tightest
 * @throws InputError for whatever cannot be right in the question
 */
export function faceView(question: FrontQuestion, of: { readonly layerIndex: number; readonly zMm: number }): FaceView {
  const front = readyFront(question);
  const body = front.bodies[of.layerIndex];
  if (body === undefined) throw new InputError('out-of-range', `There is no layer ${of.layerIndex + 1}.`, { path: 'layerIndex', got: of.layerIndex });
  const { hole } = front;
  const section = { zMm: of.zMm, outline: body.throat.outline };
  // the corners bound the rays of a bent film too: its top and foot bow outwards towards them
  const rim = Object.values(frameCorners(question.camera.frame)).flatMap((corner) => {
    const eye = filmSight(question.camera, corner);
    const spread = spreadAt(eye, section);
    const lean = of.zMm / eye.depthMm;
    const x = hole.centerX * spread - eye.xMm * lean;
    const y = hole.centerY * spread - eye.yMm * lean;
    return arc(x, y, hole.radiusMm * spread, 0, 2 * Math.PI).map(({ xMm, yMm }) => ({ x: xMm, y: yMm }));
  });
  return { openingMm: closedLine(body.throat.outline), neededMm: convexHull(rim).map(({ x, y }) => ({ xMm: x, yMm: y })) };
}
