/** What the layers and the plate take from each film point, kept apart from what distance and slant take. */
import { InputError, inWords } from '../errors.ts';
import { filmSight } from '../camera/film-plane.ts';
import { frameCorners, requireCamera, requirePoint } from '../camera/geometry.ts';
import type { CameraGeometry, CornerName, FilmPoint } from '../camera/geometry.ts';
import { holeBody } from './hole.ts';
import type { FrontHole, HoleBody } from './hole.ts';
import { layerBody } from './layer.ts';
import type { Bevel, Layer, LayerBody } from './layer.ts';
import { reachMm, sightThrough, spreadAt } from './sight.ts';
import type { Eye, Sight } from './sight.ts';

/** The plate about the hole: its edge and, where it was dimpled or countersunk, the slope beyond it. */
export interface PlateEdge {
  /** Thickness at the hole's edge; of a plate not thinned, the sheet's, the worst case. ≥ 0 */
  readonly edgeThicknessMm: number;
  /** Of the sheet around it; left out: nothing beyond the edge stands in the way. */
  readonly sheetThicknessMm?: number;
  /** Slope of the dimple or countersink against the axis; needed where the sheet is thicker than the edge. */
  readonly slopeRad?: number;
  /** Where the sharp edge looks; the metal stands on the other side of it. */
  readonly sharpEdge: 'film' | 'scene';
}

export interface FrontQuestion {
  readonly camera: CameraGeometry;
  readonly hole: FrontHole;
  readonly layers: readonly Layer[];
  /** Left out: infinitely thin. */
  readonly plate?: PlateEdge;
}

export interface PointTransmission {
  readonly point: FilmPoint;
  /** Share of the hole that stays clear, layers alone. */
  readonly transmissionShare: number;
  /** The layer that takes most; null where none takes anything. */
  readonly clippingLayer: string | null;
  /** Share that the plate's thickness leaves, without layers. */
  readonly plateShare: number;
  /** Plate and layers together: no product, since both may shade the same part of the hole. */
  readonly clearShare: number;
  /** Distance and slant, without plate and layers. */
  readonly falloffStops: number;
}

export interface TransmissionMap {
  readonly columns: number;
  readonly rows: number;
  /**
   * All arrays are columns × rows, row by row from the top of the film, each row from the left, seen from the
   * film side; first and last samples lie on the edges of the frame.
   */
  readonly transmissionShare: Float64Array;
  readonly plateShare: Float64Array;
  readonly clearShare: Float64Array;
  readonly falloffStops: Float64Array;
  /** Place in the list of layers, −1 for none. */
  readonly clippingIndex: Int16Array;
  /**
   * How far the worst layer reaches into the rays from the hole, mm on the plane of the hole: 0 where it begins to bite, the
   * hole's width where nothing is left; −Infinity without layers. Runs smoothly where the shares jump.
   */
  readonly reachMm: Float64Array;
}

/** A question made ready: checked once, asked often. */
export interface ReadyFront {
  readonly camera: CameraGeometry;
  readonly hole: HoleBody;
  readonly bodies: readonly LayerBody[];
  readonly plate: LayerBody | null;
}

/** The plate as a layer of its own, for the same exact clipping. */
function plateLayer(hole: FrontHole, plate: PlateEdge): Layer | null {
  const { edgeThicknessMm, sheetThicknessMm = edgeThicknessMm, slopeRad } = plate;
  for (const [path, got] of [['edgeThicknessMm', edgeThicknessMm], ['sheetThicknessMm', sheetThicknessMm]] as const) {
    if (Number.isFinite(got) && got >= 0) continue;
    throw new InputError('negative', `${inWords(`plate.${path}`)} must be 0 mm or more, but is ${got}.`, { path, got, expected: '≥ 0 mm' });
  }
  if (sheetThicknessMm === 0) return null;
  const slopeMm = sheetThicknessMm - edgeThicknessMm;
  if (slopeMm < 0) {
    throw new InputError('conflict', `The edge (${edgeThicknessMm} mm) cannot be thicker than the sheet (${sheetThicknessMm} mm).`, {
      path: 'plate.edgeThicknessMm',
      got: edgeThicknessMm,
      expected: `≤ ${sheetThicknessMm} mm`,
    });
  }
  if (slopeMm > 0 && slopeRad === undefined) {
    throw new InputError('missing', 'A sheet thicker than its edge needs the slope between them: plate.slopeRad.', {
      path: 'plate.slopeRad',
    });
  }
  const towards = plate.sharpEdge === 'film' ? 1 : -1;
  const bevels: Bevel[] = slopeMm > 0 ? [{ face: 'far', angleRad: slopeRad as number, depthMm: slopeMm }] : [];
  const opening =
    'diameterMm' in hole
      ? ({ shape: 'circle', diameterMm: hole.diameterMm } as const)
      : ({ shape: 'polygon', pointsMm: largestLoop(hole.loopsMm) } as const);
  return { name: 'plate', nearMm: 0, farMm: towards * sheetThicknessMm, opening, bevels };
}

function largestLoop(loops: readonly (readonly FilmPoint[])[]): readonly FilmPoint[] {
  const area = (loop: readonly FilmPoint[]): number => {
    let twice = 0;
    for (const [i, point] of loop.entries()) {
      const before = loop[(i + loop.length - 1) % loop.length] as FilmPoint;
      twice += before.xMm * point.yMm - point.xMm * before.yMm;
    }
    return Math.abs(twice);
  };
  return [...loops].sort((a, b) => area(b) - area(a))[0] ?? [];
}

/** @throws InputError for whatever cannot be right in the question */
export function readyFront(question: FrontQuestion): ReadyFront {
  requireCamera(question.camera);
  const hole = holeBody(question.hole);
  const bodies = question.layers.map((layer, i) => layerBody(layer, `layers[${i}]`));
  const plate = question.plate === undefined ? null : plateLayer(question.hole, question.plate);
  const ready = { camera: question.camera, hole, bodies, plate: plate === null ? null : asRim(layerBody(plate, 'plate')) };
  for (const point of Object.values(frameCorners(question.camera.frame))) requireInFront(ready, filmSight(question.camera, point).depthMm);
  return ready;
}

/** A plate's section at the sharp edge is the hole. */
function asRim(plate: LayerBody): LayerBody {
  return { ...plate, sections: plate.sections.map((section) => (section.zMm === 0 ? { ...section, rim: true } : section)) };
}

/** @throws InputError out-of-range for a layer that stands in or behind the film */
function requireInFront(front: ReadyFront, depthMm: number): void {
  for (const { layer } of front.bodies) {
    const back = Math.min(layer.nearMm, layer.farMm);
    if (back > -depthMm) continue;
    throw new InputError(
      'out-of-range',
      `${layer.name} stands ${-back} mm behind the hole, but the film is only ${depthMm} mm behind it.`,
      { path: 'layers.zMm', got: back, expected: `> ${-depthMm} mm` },
    );
  }
}

function worstReachMm(front: ReadyFront, eye: Eye): number {
  let worst = -Infinity;
  for (const { sections } of front.bodies) {
    for (const section of sections) worst = Math.max(worst, reachMm(front.hole, section, eye) / spreadAt(eye, section));
  }
  return worst;
}

interface Seen {
  readonly eye: Eye;
  readonly layers: Sight;
  readonly plateShare: number;
  readonly clearShare: number;
  readonly falloffStops: number;
}

function seenFrom(front: ReadyFront, point: FilmPoint): Seen {
  const eye = filmSight(front.camera, point);
  requireInFront(front, eye.depthMm);
  const layers = sightThrough(front.hole, front.bodies, eye);
  const { plate } = front;
  if (plate === null) return { eye, layers, plateShare: 1, clearShare: layers.clearShare, falloffStops: eye.falloffStops };
  const plateShare = sightThrough(front.hole, [plate], eye).clearShare;
  const clearShare =
    layers.clippingIndex < 0
      ? plateShare
      : plateShare === 1
        ? layers.clearShare
        : sightThrough(front.hole, [...front.bodies, plate], eye).clearShare;
  return { eye, layers, plateShare, clearShare, falloffStops: eye.falloffStops };
}

/**
 * What film points see of the hole.
 *   clear = (hole ∩ openings laid on the hole from the point) / hole, as areas
 * Exact to rounding: lines and arcs are clipped in closed form, no rays are sampled. Valid: rays, black layers.
 * @param question frame and focal length > 0, layers in any order
 * @param points on the film, from the middle of the frame, seen from the film side
 * @throws InputError for whatever cannot be right in the question
 * @source front-notes
 */
export function transmissionAt(question: FrontQuestion, points: readonly FilmPoint[]): PointTransmission[] {
  const front = readyFront(question);
  return points.map((point, i) => {
    requirePoint(point, `points[${i}]`);
    const { layers, plateShare, clearShare, falloffStops } = seenFrom(front, point);
    return {
      point,
      transmissionShare: layers.clearShare,
      clippingLayer: front.bodies[layers.clippingIndex]?.layer.name ?? null,
      plateShare,
      clearShare,
      falloffStops,
    };
  });
}

/**
 * The same over the whole frame.
 * @param size 2 to 4096 columns and rows
 * @throws InputError for whatever cannot be right in the question
 * @source front-notes
 */
export function transmissionMap(question: FrontQuestion, size: MapSize): TransmissionMap {
  const rows = transmissionMapByRows(question, size);
  for (;;) {
    const row = rows.next();
    if (row.done === true) return row.value;
  }
}

export interface MapSize {
  readonly columns: number;
  readonly rows: number;
}

/** The same a row at a time, for who must do other things in between: a measured outline takes its time. */
export function* transmissionMapByRows(question: FrontQuestion, size: MapSize): Generator<void, TransmissionMap> {
  const { columns, rows } = size;
  for (const [path, count] of [['columns', columns], ['rows', rows]] as const) {
    if (Number.isInteger(count) && count >= 2 && count <= 4096) continue;
    throw new InputError('out-of-range', `${path} must be a whole number from 2 to 4096, but is ${count}.`, {
      path,
      got: count,
      expected: '2…4096',
    });
  }
  const front = readyFront(question);
  const { widthMm, heightMm } = question.camera.frame;
  const count = columns * rows;
  const map = {
    columns,
    rows,
    transmissionShare: new Float64Array(count),
    plateShare: new Float64Array(count),
    clearShare: new Float64Array(count),
    falloffStops: new Float64Array(count),
    clippingIndex: new Int16Array(count),
    reachMm: new Float64Array(count),
  };
  for (let row = 0; row < rows; row++) {
    const yMm = heightMm * (0.5 - row / (rows - 1));
    for (let column = 0; column < columns; column++) {
      const seen = seenFrom(front, { xMm: widthMm * (column / (columns - 1) - 0.5), yMm });
      const at = row * columns + column;
      map.transmissionShare[at] = seen.layers.clearShare;
      map.plateShare[at] = seen.plateShare;
      map.clearShare[at] = seen.clearShare;
      map.falloffStops[at] = seen.falloffStops;
      map.clippingIndex[at] = seen.layers.clippingIndex;
      map.reachMm[at] = worstReachMm(front, seen.eye);
    }
    yield;
  }
  return map;
}

export interface CornerLoss extends PointTransmission {
  readonly name: CornerName;
}

/** The corners of the frame. */
export function cornerTransmission(question: FrontQuestion): CornerLoss[] {
  const corners = frameCorners(question.camera.frame);
  const names = Object.keys(corners) as CornerName[];
  const seen = transmissionAt(question, names.map((name) => corners[name]));
  return names.map((name, i) => ({ name, ...(seen[i] as PointTransmission) }));
}

/** Beyond this many focal lengths from the foot nobody asks. */
const FARTHEST = 20;

/**
 * Diameter of the circle about the foot within which no layer takes anything: the image circle left.
 * On a bent film measured along it; directions are tried every degree and the narrowest one refined.
 * @returns null where the layers leave more than the film could show (a focal length of 20 times, or all of a bent film)
 * @throws InputError for whatever cannot be right in the question
 */
export function clearCircleMm(question: FrontQuestion): number | null {
  const front = readyFront(question);
  const { camera } = question;
  const most = camera.focalLengthMm * (camera.filmPlane === undefined || camera.filmPlane === 'flat' ? FARTHEST : 1.5);
  const deepestMm = Math.max(0, ...front.bodies.map(({ layer }) => -Math.min(layer.nearMm, layer.farMm)));
  const clear = (radiusMm: number, angleRad: number): boolean => {
    const xMm = camera.holeShift.xMm + radiusMm * Math.cos(angleRad);
    const yMm = camera.holeShift.yMm + radiusMm * Math.sin(angleRad);
    const eye = filmSight(camera, { xMm, yMm });
    // a bent film comes forward to the hole: where it would stand in a layer its picture ends
    return eye.depthMm > deepestMm && sightThrough(front.hole, front.bodies, eye).clippingIndex < 0;
  };
  const reach = (angleRad: number, upTo: number): number => {
    if (clear(upTo, angleRad)) return upTo;
    let low = 0;
    let high = upTo;
    if (!clear(0, angleRad)) return 0;
    for (let i = 0; i < 60 && high - low > 1e-10 * upTo; i++) {
      const middle = (low + high) / 2;
      if (clear(middle, angleRad)) low = middle;
      else high = middle;
    }
    return low;
  };
  let radius = most;
  let worst = 0;
  for (let i = 0; i < 360; i++) {
    const found = reach((i * Math.PI) / 180, radius);
    if (found < radius) {
      radius = found;
      worst = (i * Math.PI) / 180;
    }
  }
  if (radius === most) return null;
  for (let step = Math.PI / 360; step > 1e-7; step /= 2) {
    for (const angleRad of [worst - step, worst + step]) {
      const found = reach(angleRad, radius);
      if (found < radius) {
        radius = found;
        worst = angleRad;
      }
    }
  }
  return 2 * radius;
}
