/** Start from anywhere: what a maker wants or has, turned into a focal length. */
import { InputError, ModelError, requirePositive } from '../errors.ts';
import { CENTRED, frameCorners, requireFrame, requirePoint } from './geometry.ts';
import type { FilmPlane, FilmPoint, Frame } from './geometry.ts';
import { fieldOfView } from './field-of-view.ts';
import { brentRoot } from '../numeric/roots.ts';

export type AngleAlong = 'horizontal' | 'vertical' | 'diagonal';

export interface AngleQuestion {
  readonly frame: Frame;
  /** Of the foot from the middle of the frame. Default: none. */
  readonly holeShift?: FilmPoint;
  /** Default flat. */
  readonly filmPlane?: FilmPlane;
  readonly along: AngleAlong;
  /** Wanted total angle of view, 0 < angle < π. */
  readonly angleRad: number;
}

/**
 * Focal length for a wanted angle of view, hole in the middle or not.
 *   A segment whose ends lie a and b to either side of the nearest point to the hole, at distance F,
 *   is seen under φ when F² tan φ − (a + b) F − a b tan φ = 0; F² = f² + h², h the segment's distance from the foot.
 * Along the diagonal the wider of the two diagonals gets the angle. Where a hole outside the frame allows two
 * focal lengths, the longer is given. Bent film has no such formula: its field of view is asked until it is as wide.
 * @param question frame > 0, 0 < angle < π
 * @throws InputError not-positive, out-of-range
 * @throws ModelError out-of-range when no focal length gives so wide an angle
 * @source camera-notes
 */
export function focalLengthForAngleMm(question: AngleQuestion): number {
  const { frame, along, angleRad } = question;
  const foot = question.holeShift ?? CENTRED;
  requireFrame(frame);
  requirePoint(foot, 'holeShift');
  if (!(angleRad > 0 && angleRad < Math.PI)) {
    const degrees = (angleRad * 180) / Math.PI;
    throw new InputError(
      'out-of-range',
      `A pinhole sees more than 0° and less than 180°, but ${Number(degrees.toFixed(2))}° is wanted.`,
      { path: 'angleRad', got: angleRad, expected: '0 < angle < 180°' },
    );
  }
  if (question.filmPlane !== undefined && question.filmPlane !== 'flat') return focalLengthOfBentMm(question, question.filmPlane);
  const solutions = segments(frame, foot, along)
    .map((segment) => focalLengthSeeing(segment, angleRad))
    .filter((focal) => focal !== null);
  if (solutions.length > 0) return Math.max(...solutions);
  throw new ModelError(
    'out-of-range',
    `With the hole so far off the frame no focal length sees ${((angleRad * 180) / Math.PI).toFixed(1)}° ${along}ly: `
      + 'want a smaller angle or move the hole towards the frame.',
    { path: 'angleRad', got: angleRad },
  );
}

const LONGEST_MM = 1e6;

function focalLengthOfBentMm({ frame, along, angleRad, holeShift = CENTRED }: AngleQuestion, filmPlane: FilmPlane): number {
  // Shorter, and the film would pass the hole.
  const shortestMm = ((frame.widthMm / 2 + Math.abs(holeShift.xMm)) * 2 * (1 + 1e-9)) / Math.PI;
  const beyond = (logMm: number): number => {
    const view = fieldOfView({ frame, holeShift, filmPlane, focalLengthMm: Math.exp(logMm) });
    return { horizontal: view.horizontalRad, vertical: view.verticalRad, diagonal: view.diagonalRad }[along] - angleRad;
  };
  const [low, high] = [Math.log(shortestMm), Math.log(LONGEST_MM)];
  if (beyond(low) >= 0 && beyond(high) <= 0) return Math.exp(brentRoot(beyond, low, high, 1e-12));
  throw new ModelError(
    'out-of-range',
    `Bent film of this size does not see ${((angleRad * 180) / Math.PI).toFixed(1)}° ${along}ly at any focal length: `
      + 'want another angle, or more film that way.',
    { path: 'angleRad', got: angleRad },
  );
}

/** A straight line on the film: its ends from the point nearest to the foot, and that point's distance. */
interface Segment {
  readonly a: number;
  readonly b: number;
  readonly h: number;
}

function segments(frame: Frame, foot: FilmPoint, along: AngleAlong): Segment[] {
  const x = frame.widthMm / 2;
  const y = frame.heightMm / 2;
  if (along === 'horizontal') return [{ a: x + foot.xMm, b: x - foot.xMm, h: 0 }];
  if (along === 'vertical') return [{ a: y + foot.yMm, b: y - foot.yMm, h: 0 }];
  const corners = frameCorners(frame);
  return [
    segmentBetween(corners['top-left'], corners['bottom-right'], foot),
    segmentBetween(corners['bottom-left'], corners['top-right'], foot),
  ];
}

function segmentBetween(from: FilmPoint, to: FilmPoint, foot: FilmPoint): Segment {
  const length = Math.hypot(to.xMm - from.xMm, to.yMm - from.yMm);
  const ux = (to.xMm - from.xMm) / length;
  const uy = (to.yMm - from.yMm) / length;
  const a = (foot.xMm - from.xMm) * ux + (foot.yMm - from.yMm) * uy;
  const h = Math.abs((foot.xMm - from.xMm) * uy - (foot.yMm - from.yMm) * ux);
  return { a, b: length - a, h };
}

/** The longest focal length from which the segment fills the angle; null when none does. */
function focalLengthSeeing({ a, b, h }: Segment, angleRad: number): number | null {
  const sin = Math.sin(angleRad);
  const cos = Math.cos(angleRad);
  // sin φ F² − (a + b) cos φ F − a b sin φ = 0; the greater root is the longer camera
  const half = ((a + b) * cos) / 2;
  const inside = half * half + sin * sin * a * b;
  if (inside < 0) return null;
  const root = Math.sqrt(inside);
  // for a negative half the plain formula would cancel
  const far = half >= 0 ? (half + root) / sin : (a * b * sin) / (root - half);
  const focal2 = far * far - h * h;
  return far > 0 && focal2 > 0 ? Math.sqrt(focal2) : null;
}

export interface ObjectQuestion {
  /** The film's width or height that the object shall fill, > 0. */
  readonly filmSizeMm: number;
  /** The object's, in the same direction, > 0. */
  readonly objectSizeMm: number;
  /** From the hole, > 0. */
  readonly objectDistanceMm: number;
}

/**
 * Focal length with which an object at a distance just fills the frame.
 *   f = film size · u / object size
 * Valid: object parallel to the film.
 * @param question all > 0, finite
 * @throws InputError not-positive
 */
export function focalLengthForObjectMm(question: ObjectQuestion): number {
  requirePositive(question.filmSizeMm, 'filmSizeMm', 'mm');
  requirePositive(question.objectSizeMm, 'objectSizeMm', 'mm');
  requirePositive(question.objectDistanceMm, 'objectDistanceMm', 'mm');
  return (question.filmSizeMm * question.objectDistanceMm) / question.objectSizeMm;
}

/**
 * Distance from the hole at which an object just fills the frame.
 *   u = f · object size / film size
 * Valid: object parallel to the film.
 * @param question all > 0, finite
 * @throws InputError not-positive
 */
export function objectDistanceToFillMm(question: {
  readonly filmSizeMm: number;
  readonly objectSizeMm: number;
  readonly focalLengthMm: number;
}): number {
  requirePositive(question.filmSizeMm, 'filmSizeMm', 'mm');
  requirePositive(question.objectSizeMm, 'objectSizeMm', 'mm');
  requirePositive(question.focalLengthMm, 'focalLengthMm', 'mm');
  return (question.focalLengthMm * question.objectSizeMm) / question.filmSizeMm;
}
