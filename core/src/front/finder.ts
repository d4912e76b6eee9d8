/** What helps to aim: view lines on the box, sighting pins, a wire frame before the eye. */
import { InputError, requirePositive } from '../errors.ts';
import { filmSight } from '../camera/film-plane.ts';
import { requireCamera } from '../camera/geometry.ts';
import type { CameraGeometry } from '../camera/geometry.ts';

/** A place on the outside of the box: across (to the right from behind, or up) and forward of the film plane. */
export interface BoxPoint {
  readonly acrossMm: number;
  readonly forwardMm: number;
}

export interface ViewLine {
  readonly name: 'left' | 'right' | 'up' | 'down';
  /** Against the axis, positive outwards. */
  readonly angleRad: number;
  /** Over or beside the hole. */
  readonly from: BoxPoint;
  /** Where the line leaves the face of the box, backwards: at the back edge or at a side. */
  readonly to: BoxPoint;
}

export interface ViewLines {
  /** On the top of the box, as seen from above: left and right of the scene. */
  readonly top: readonly [ViewLine, ViewLine];
  /** On the side of the box: up and down. */
  readonly side: readonly [ViewLine, ViewLine];
}

export interface BoxFaces {
  /** Of the top, across; of the side, up: outside, the frame in the middle. */
  readonly outsideWidthMm: number;
  readonly outsideHeightMm: number;
  /** From the film plane back to the outside of the back. */
  readonly behindFilmMm: number;
}

/** Slopes of the rays to the middle of each edge of the frame, towards the scene, to the right and up. */
function edgeSlopes(camera: CameraGeometry): { readonly left: number; readonly right: number; readonly up: number; readonly down: number } {
  const { widthMm, heightMm } = camera.frame;
  const { xMm, yMm } = camera.holeShift;
  const slope = (x: number, y: number, axis: 'xMm' | 'yMm'): number => {
    const sight = filmSight(camera, { xMm: x, yMm: y });
    // what lies on the right of the film comes from the left of the scene
    return -sight[axis] / sight.depthMm;
  };
  return {
    left: -slope(widthMm / 2, yMm, 'xMm'),
    right: slope(-widthMm / 2, yMm, 'xMm'),
    up: slope(xMm, -heightMm / 2, 'yMm'),
    down: -slope(xMm, heightMm / 2, 'yMm'),
  };
}

/**
 * View lines for the top and the side of the box: from the place of the hole back along the rays that bound the picture. Sighted
 * along from behind, a line points to what lies on the edge of the frame.
 * @param faces > 0; the hole within them
 * @throws InputError not-positive, out-of-range
 * @source front-notes
 */
export function viewLines(camera: CameraGeometry, faces: BoxFaces): ViewLines {
  requireCamera(camera);
  requirePositive(faces.outsideWidthMm, 'outsideWidthMm', 'mm');
  requirePositive(faces.outsideHeightMm, 'outsideHeightMm', 'mm');
  if (!(Number.isFinite(faces.behindFilmMm) && faces.behindFilmMm >= 0)) {
    throw new InputError('negative', `behindFilmMm must be 0 mm or more, but is ${faces.behindFilmMm}.`, { path: 'behindFilmMm', got: faces.behindFilmMm });
  }
  const slopes = edgeSlopes(camera);
  const f = camera.focalLengthMm;
  const line = (name: ViewLine['name'], slope: number, from: number, half: number, sign: 1 | -1): ViewLine => {
    // backwards from the hole the line runs to the other side
    const backMm = f + faces.behindFilmMm;
    const across = -sign * slope;
    const toEdge = across === 0 ? Infinity : (across > 0 ? half - from : -half - from) / across;
    const lengthMm = Math.min(backMm, toEdge);
    return {
      name,
      angleRad: Math.atan(slope),
      from: { acrossMm: from, forwardMm: f },
      to: { acrossMm: from + across * lengthMm, forwardMm: f - lengthMm },
    };
  };
  const { xMm, yMm } = camera.holeShift;
  const halfWidth = faces.outsideWidthMm / 2;
  const halfHeight = faces.outsideHeightMm / 2;
  return {
    top: [line('left', slopes.left, xMm, halfWidth, -1), line('right', slopes.right, xMm, halfWidth, 1)],
    side: [line('up', slopes.up, yMm, halfHeight, 1), line('down', slopes.down, yMm, halfHeight, -1)],
  };
}

/** Pins on the top of the box: one over the hole, two at the back; pin and pin in line point at the picture's edge. */
export interface SightingPins {
  readonly holePin: BoxPoint;
  readonly backLeft: BoxPoint;
  readonly backRight: BoxPoint;
}

/**
 * Pins at the ends of the two view lines on the top. The right back pin with the hole's pin points at the left edge of the picture.
 * @throws InputError not-positive, out-of-range
 */
export function sightingPins(camera: CameraGeometry, faces: BoxFaces): SightingPins {
  const [left, right] = viewLines(camera, faces).top;
  return { holePin: left.from, backRight: left.to, backLeft: right.to };
}

export interface WireFrame {
  /** Of the wire, inside. */
  readonly widthMm: number;
  readonly heightMm: number;
  /** Middle of the wire from the line through the eye along the axis: right and up from behind. */
  readonly centerXMm: number;
  readonly centerYMm: number;
  /** From the eye to the wire. */
  readonly eyeDistanceMm: number;
  /**
   * The wire's shape, closed, from the line through the eye along the axis: four corners for flat film; of a bent one, whose top
   * and foot see more towards the sides, a rectangle with bowed long edges.
   */
  readonly outline: readonly { readonly xMm: number; readonly yMm: number }[];
  /**
   * How far the frame must be thought moved for a near object, right and up, because the eye is not at the hole; 0 for a
   * distant scene.
   */
  readonly parallaxXMm: number;
  readonly parallaxYMm: number;
}

/**
 * A wire frame that bounds for the eye what the picture bounds.
 *   a wire at e before the eye stands at e times the slope of each bounding ray; seen from an eye (x, y) off the axis of the hole an
 *   object at u is shifted by e·(−x, −y)/u
 * Valid: width and height by the middles of the frame's edges; the wire is flat and square to the axis.
 * @param of eye to wire > 0; where the eye is against the hole's axis, right and up; object > 0 from the eye, default distant
 * @throws InputError not-positive, out-of-range
 * @source front-notes
 */
export function wireFrame(
  camera: CameraGeometry,
  of: { readonly eyeDistanceMm: number; readonly eyeXMm?: number; readonly eyeYMm?: number; readonly objectDistanceMm?: number },
): WireFrame {
  requireCamera(camera);
  requirePositive(of.eyeDistanceMm, 'eyeDistanceMm', 'mm');
  const { eyeXMm = 0, eyeYMm = 0, objectDistanceMm = Infinity, eyeDistanceMm: e } = of;
  if (!(objectDistanceMm > 0)) {
    throw new InputError('not-positive', `objectDistanceMm must be more than 0 mm, but is ${objectDistanceMm}.`, { path: 'objectDistanceMm', got: objectDistanceMm });
  }
  const { left, right, up, down } = edgeSlopes(camera);
  return {
    widthMm: e * (left + right),
    heightMm: e * (up + down),
    centerXMm: (e * (right - left)) / 2,
    centerYMm: (e * (up - down)) / 2,
    eyeDistanceMm: e,
    outline: wireOutline(camera, e),
    parallaxXMm: (-e * eyeXMm) / objectDistanceMm,
    parallaxYMm: (-e * eyeYMm) / objectDistanceMm,
  };
}

/** The frame's edges as the eye sees them through the hole, from the upper left on: what is low on the film is high in the scene. */
function wireOutline(camera: CameraGeometry, eyeDistanceMm: number): { readonly xMm: number; readonly yMm: number }[] {
  const { widthMm, heightMm } = camera.frame;
  const steps = camera.filmPlane === undefined || camera.filmPlane === 'flat' ? 1 : 24;
  const at = (x: number, y: number) => {
    const sight = filmSight(camera, { xMm: x, yMm: y });
    return { xMm: (-eyeDistanceMm * sight.xMm) / sight.depthMm, yMm: (-eyeDistanceMm * sight.yMm) / sight.depthMm };
  };
  const edge = (yMm: number): { readonly xMm: number; readonly yMm: number }[] =>
    Array.from({ length: steps + 1 }, (_, i) => at(widthMm * (0.5 - i / steps), yMm));
  return [...edge(-heightMm / 2), ...edge(heightMm / 2).reverse()];
}
