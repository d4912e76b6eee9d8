/** Several holes in one board: whose light falls on whose frame, and the septum that keeps them apart. */
import { InputError, requirePositive } from '../errors.ts';
import { requirePoint } from '../camera/geometry.ts';
import type { FilmPoint } from '../camera/geometry.ts';
import { lensArea } from '../geometry/regions.ts';

export interface HoleInBoard {
  readonly place: FilmPoint;
  readonly diameterMm: number;
}

/** A round image about each hole's foot: what the layers or the usable angle leave. */
export interface ImageOverlap {
  /** Places of the two holes in the list. */
  readonly first: number;
  readonly second: number;
  /** Of the two image circles on the film. */
  readonly overlapMm2: number;
  /** The overlap's width on the line between the feet; 0: the images do not meet. */
  readonly overlapWidthMm: number;
}

/**
 * Where the image circles of several holes overlap on a flat film: an area of two circles.
 * @param holes 2 or more
 * @param imageCircleMm diameter on the film about each foot, > 0
 * @throws InputError missing, not-positive, out-of-range
 * @source front-notes
 */
export function imageOverlaps(holes: readonly HoleInBoard[], imageCircleMm: number): ImageOverlap[] {
  requirePositive(imageCircleMm, 'imageCircleMm', 'mm');
  if (holes.length < 2) throw new InputError('missing', 'Images overlap from two holes on.', { path: 'holes', got: holes.length });
  const radius = imageCircleMm / 2;
  const found: ImageOverlap[] = [];
  for (const [i, first] of holes.entries()) {
    requirePoint(first.place, `holes[${i}].place`);
    for (let j = i + 1; j < holes.length; j++) {
      const second = holes[j] as HoleInBoard;
      const distance = Math.hypot(second.place.xMm - first.place.xMm, second.place.yMm - first.place.yMm);
      found.push({
        first: i,
        second: j,
        overlapMm2: lensArea(radius, radius, distance),
        overlapWidthMm: Math.max(0, 2 * radius - distance),
      });
    }
  }
  return found;
}

export interface SeptumQuestion {
  readonly focalLengthMm: number;
  /** The holes' places along the line between them, first < second. */
  readonly firstHoleMm: number;
  readonly secondHoleMm: number;
  readonly holeDiameterMm: number;
  /** Outer edges of the two frames on the same line. */
  readonly firstFrameEdgeMm: number;
  readonly secondFrameEdgeMm: number;
  /** Default 0: a thin septum. */
  readonly septumThicknessMm?: number;
}

export interface Septum {
  /** Middle of the septum: where the two frames may meet. */
  readonly placeMm: number;
  /** From the film towards the board at least. */
  readonly lengthMm: number;
  /** May stay open between its front edge and the board. */
  readonly gapToBoardMm: number;
  /** What its thickness keeps from the film: no picture there. */
  readonly lostMm: number;
  /** Half shadow of its front edge on the film, a side: from here on a frame has the whole hole. */
  readonly halfShadowMm: number;
}

/**
 * The septum between two holes: in the middle between them, so long that no ray from one hole reaches the other's frame.
 *   a ray from the hole's nearer rim at x₁ + a to the far frame edge X crosses the septum's face b at f (b − x₁ − a)/(X − x₁ − a) from
 *   the board; the septum must begin at or before that
 * Valid: flat film; the septum touches the film.
 * @param question first hole left of the second, frames reaching past the septum
 * @throws InputError not-positive, conflict
 * @source front-notes
 */
export function septum(question: SeptumQuestion): Septum {
  const { focalLengthMm: f, firstHoleMm, secondHoleMm, holeDiameterMm, firstFrameEdgeMm, secondFrameEdgeMm, septumThicknessMm: thick = 0 } = question;
  requirePositive(f, 'focalLengthMm', 'mm');
  requirePositive(holeDiameterMm, 'holeDiameterMm', 'mm');
  const half = (secondHoleMm - firstHoleMm) / 2;
  const a = holeDiameterMm / 2;
  if (!(half - thick / 2 > a)) {
    throw new InputError('conflict', `Between holes ${2 * half} mm apart there is no room for a septum of ${thick} mm.`, {
      path: 'septumThicknessMm',
      got: thick,
      expected: `< ${2 * (half - a)} mm`,
    });
  }
  const placeMm = firstHoleMm + half;
  if (!(secondFrameEdgeMm > placeMm + thick / 2 && firstFrameEdgeMm < placeMm - thick / 2)) {
    throw new InputError('conflict', 'The frames must lie to both sides of the septum: the first left of it, the second right.', {
      path: 'secondFrameEdgeMm',
      got: [firstFrameEdgeMm, secondFrameEdgeMm],
    });
  }
  // the steepest ray that must be stopped leaves the rim farther from the septum: it meets the septum nearest to the board
  const gap = (reachMm: number): number => (f * (half - thick / 2 + a)) / (reachMm + a);
  const gapToBoardMm = Math.min(gap(secondFrameEdgeMm - firstHoleMm), gap(secondHoleMm - firstFrameEdgeMm), f);
  const face = half - thick / 2;
  // rays from the two rims past the front edge of the septum on its own side
  const behind = f - gapToBoardMm;
  const shadow = (behind * holeDiameterMm) / gapToBoardMm;
  const fromOwn = gapToBoardMm > 0 && face > 0 ? Math.max(0, shadow - (face * behind) / gapToBoardMm) : 0;
  return { placeMm, lengthMm: f - gapToBoardMm, gapToBoardMm, lostMm: thick, halfShadowMm: fromOwn };
}
