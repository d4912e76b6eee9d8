/** The hole as the front sees it: a disc, or a measured outline with what stands in it. */
import { InputError, requirePositive } from '../errors.ts';
import { requirePoint } from '../camera/geometry.ts';
import type { FilmPoint } from '../camera/geometry.ts';
import { minimumCircumscribedCircle } from '../geometry/circles.ts';
import { convexHull } from '../geometry/hull.ts';
import type { Point } from '../geometry/points.ts';
import { disc, polygons, sharedArea } from '../geometry/regions.ts';
import type { Region } from '../geometry/regions.ts';

/** Loops inside one another take turns: the outer one is open, one within it is an island, whichever way they run. */
export type FrontHole = { readonly diameterMm: number } | { readonly loopsMm: readonly (readonly FilmPoint[])[] };

/** Made ready for looking through. */
export interface HoleBody {
  readonly round: boolean;
  /** Open area. */
  readonly areaMm2: number;
  /** Smallest circle about the hole; of a round one the hole itself. */
  readonly centerX: number;
  readonly centerY: number;
  readonly radiusMm: number;
  readonly region: Region;
  /** Corners of the hull of an outline; empty for a round hole. */
  readonly hull: readonly Point[];
}

/** @throws InputError not-positive, out-of-range */
export function holeBody(hole: FrontHole): HoleBody {
  if ('diameterMm' in hole) {
    requirePositive(hole.diameterMm, 'hole.diameterMm', 'mm');
    const radiusMm = hole.diameterMm / 2;
    return {
      round: true,
      areaMm2: Math.PI * radiusMm * radiusMm,
      centerX: 0,
      centerY: 0,
      radiusMm,
      region: disc({ x: 0, y: 0 }, radiusMm),
      hull: [],
    };
  }
  const loops = hole.loopsMm.map((loop, i) => {
    if (loop.length < 3) {
      throw new InputError('out-of-range', `Loop ${i + 1} of the hole's outline has ${loop.length} points; it needs 3 or more.`, {
        path: `hole.loopsMm[${i}]`,
        got: loop.length,
        expected: '≥ 3 points',
      });
    }
    return loop.map((point, k) => {
      requirePoint(point, `hole.loopsMm[${i}][${k}]`);
      return { x: point.xMm, y: point.yMm };
    });
  });
  const region = polygons(loops);
  const areaMm2 = loops.length === 0 ? 0 : sharedArea([region]);
  if (!(areaMm2 > 0)) {
    throw new InputError('not-positive', "The hole's outline leaves nothing open.", {
      path: 'hole.loopsMm',
      got: areaMm2,
      expected: 'an open area > 0 mm²',
    });
  }
  const circle = minimumCircumscribedCircle(loops.flat());
  return { round: false, areaMm2, centerX: circle.x, centerY: circle.y, radiusMm: circle.radius, region, hull: convexHull(loops.flat()) };
}
