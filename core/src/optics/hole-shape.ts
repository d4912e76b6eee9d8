/**
 * The hole as light meets it: rims that are polygons (a measured outline, a slit) or ellipses, seen from the film side,
 * x right, y up. A rim that runs counter-clockwise adds its inside, a clockwise one takes it away (debris, an island).
 */
import { InputError, requirePositive } from '../errors.ts';

export interface RimPoint {
  readonly xMm: number;
  readonly yMm: number;
}

/** Straight edges from point to point and back to the first. */
export interface PolygonRim {
  readonly kind: 'polygon';
  readonly points: readonly RimPoint[];
}

/** center + first · cos t + second · sin t: any ellipse, and what any slant makes of it. */
export interface EllipseRim {
  readonly kind: 'ellipse';
  readonly center: RimPoint;
  readonly first: RimPoint;
  readonly second: RimPoint;
}

export interface HoleShape {
  readonly rims: readonly (PolygonRim | EllipseRim)[];
}

/**
 * A round hole about the origin.
 * @param diameterMm > 0
 * @throws InputError not-positive
 */
export function roundShape(diameterMm: number): HoleShape {
  requirePositive(diameterMm, 'diameterMm', 'mm');
  return ellipseShape({ widthMm: diameterMm, heightMm: diameterMm });
}

/**
 * An ellipse about the origin.
 * @param of width along x and height along y before turning, > 0; angle counter-clockwise
 * @throws InputError not-positive
 */
export function ellipseShape(of: {
  readonly widthMm: number;
  readonly heightMm: number;
  readonly angleRad?: number;
}): HoleShape {
  requirePositive(of.widthMm, 'widthMm', 'mm');
  requirePositive(of.heightMm, 'heightMm', 'mm');
  const cos = Math.cos(of.angleRad ?? 0);
  const sin = Math.sin(of.angleRad ?? 0);
  const a = of.widthMm / 2;
  const b = of.heightMm / 2;
  const rim: EllipseRim = {
    kind: 'ellipse',
    center: { xMm: 0, yMm: 0 },
    first: { xMm: a * cos, yMm: a * sin },
    second: { xMm: -b * sin, yMm: b * cos },
  };
  return { rims: [rim] };
}

/**
 * A rectangle about the origin: a square hole or a slit.
 * @param of width along x and height along y before turning, > 0; angle counter-clockwise
 * @throws InputError not-positive
 */
export function rectangleShape(of: {
  readonly widthMm: number;
  readonly heightMm: number;
  readonly angleRad?: number;
}): HoleShape {
  requirePositive(of.widthMm, 'widthMm', 'mm');
  requirePositive(of.heightMm, 'heightMm', 'mm');
  const x = of.widthMm / 2;
  const y = of.heightMm / 2;
  const corners = [[x, y], [-x, y], [-x, -y], [x, -y]] as const;
  const points = corners.map(([xMm, yMm]) => ({ xMm, yMm }));
  return turnedShape({ rims: [{ kind: 'polygon', points }] }, of.angleRad ?? 0);
}

/**
 * A measured outline.
 * @param loops each at least 3 points; counter-clockwise adds, clockwise takes away
 * @throws InputError too few points, not finite, or nothing left open
 */
export function outlineShape(loops: readonly (readonly RimPoint[])[]): HoleShape {
  for (const [index, points] of loops.entries()) {
    if (points.length < 3 || !points.every(({ xMm, yMm }) => Number.isFinite(xMm) && Number.isFinite(yMm))) {
      throw new InputError('out-of-range', `Loop ${index + 1} of the outline needs three finite points or more.`, {
        path: `loops[${index}]`,
        got: points.length,
        expected: '≥ 3 finite points',
      });
    }
  }
  const shape: HoleShape = { rims: loops.map((points) => ({ kind: 'polygon', points })) };
  const areaMm2 = shapeAreaMm2(shape);
  if (!(areaMm2 > 0)) {
    throw new InputError(
      'not-positive',
      'The outline leaves nothing open. A loop that runs counter-clockwise (y up) adds, a clockwise one takes away: '
        + 'turn the outer loop round.',
      { path: 'loops', got: areaMm2, expected: 'an open area > 0 mm²' },
    );
  }
  return shape;
}

/** Open area, mm²: rims that run counter-clockwise minus those that run clockwise. */
export function shapeAreaMm2(shape: HoleShape): number {
  let sum = 0;
  for (const rim of shape.rims) {
    if (rim.kind === 'ellipse') {
      sum += Math.PI * (rim.first.xMm * rim.second.yMm - rim.first.yMm * rim.second.xMm);
      continue;
    }
    let twice = 0;
    let before = rim.points[rim.points.length - 1] as RimPoint;
    for (const point of rim.points) {
      twice += before.xMm * point.yMm - point.xMm * before.yMm;
      before = point;
    }
    sum += twice / 2;
  }
  return sum;
}

/** The smallest upright box around a shape. */
export interface ShapeBox {
  readonly lowXMm: number;
  readonly highXMm: number;
  readonly lowYMm: number;
  readonly highYMm: number;
}

/** The box around one rim. */
function rimBox(rim: PolygonRim | EllipseRim): ShapeBox {
  if (rim.kind === 'ellipse') {
    const x = Math.hypot(rim.first.xMm, rim.second.xMm);
    const y = Math.hypot(rim.first.yMm, rim.second.yMm);
    const { xMm, yMm } = rim.center;
    return { lowXMm: xMm - x, highXMm: xMm + x, lowYMm: yMm - y, highYMm: yMm + y };
  }
  let box = { lowXMm: Infinity, highXMm: -Infinity, lowYMm: Infinity, highYMm: -Infinity };
  for (const { xMm, yMm } of rim.points) {
    box = {
      lowXMm: Math.min(box.lowXMm, xMm),
      highXMm: Math.max(box.highXMm, xMm),
      lowYMm: Math.min(box.lowYMm, yMm),
      highYMm: Math.max(box.highYMm, yMm),
    };
  }
  return box;
}

/** The box around a whole shape. */
export function shapeBox(shape: HoleShape): ShapeBox {
  return shape.rims.map(rimBox).reduce(joined);
}

function joined(a: ShapeBox, b: ShapeBox): ShapeBox {
  return {
    lowXMm: Math.min(a.lowXMm, b.lowXMm),
    highXMm: Math.max(a.highXMm, b.highXMm),
    lowYMm: Math.min(a.lowYMm, b.lowYMm),
    highYMm: Math.max(a.highYMm, b.highYMm),
  };
}

/**
 * The shape in parts whose boxes do not touch: the hole with its islands, and any stray second hole by itself. Each is
 * small, so each costs little.
 */
export function separateParts(shape: HoleShape): HoleShape[] {
  let parts = shape.rims.map((rim) => ({ rims: [rim], box: rimBox(rim) }));
  for (let merged = true; merged; ) {
    merged = false;
    const next: typeof parts = [];
    for (const part of parts) {
      const meets = next.find(({ box }) =>
        part.box.lowXMm <= box.highXMm && box.lowXMm <= part.box.highXMm
        && part.box.lowYMm <= box.highYMm && box.lowYMm <= part.box.highYMm);
      if (meets === undefined) next.push(part);
      else {
        meets.rims.push(...part.rims);
        meets.box = joined(meets.box, part.box);
        merged = true;
      }
    }
    parts = next;
  }
  return parts;
}

/** What a straight map makes of a shape: x′ = xx x + xy y, y′ = yx x + yy y. A map that mirrors turns rims round. */
function mapped(shape: HoleShape, map: { xx: number; xy: number; yx: number; yy: number }): HoleShape {
  const move = ({ xMm, yMm }: RimPoint): RimPoint => ({
    xMm: map.xx * xMm + map.xy * yMm,
    yMm: map.yx * xMm + map.yy * yMm,
  });
  return {
    rims: shape.rims.map((rim) =>
      rim.kind === 'polygon'
        ? { kind: 'polygon', points: rim.points.map(move) }
        : { kind: 'ellipse', center: move(rim.center), first: move(rim.first), second: move(rim.second) },
    ),
  };
}

/**
 * The shape turned counter-clockwise about the origin.
 * @param angleRad any
 */
export function turnedShape(shape: HoleShape, angleRad: number): HoleShape {
  const cos = Math.cos(angleRad);
  const sin = Math.sin(angleRad);
  return mapped(shape, { xx: cos, xy: -sin, yx: sin, yy: cos });
}

/**
 * The shape made narrower along x, as it looks from aside.
 * @param factor > 0
 */
export function narrowedShape(shape: HoleShape, factor: number): HoleShape {
  return mapped(shape, { xx: factor, xy: 0, yx: 0, yy: 1 });
}

/** Corners that stand for an ellipse where only straight edges will do; its area is kept. */
const ELLIPSE_CORNERS = 360;

/** The shape with every ellipse as a polygon of the same area (its rim strays by 4e-5 of its size). */
export function polygonShape(shape: HoleShape): { readonly rims: readonly PolygonRim[] } {
  const step = (2 * Math.PI) / ELLIPSE_CORNERS;
  const swell = Math.sqrt(step / Math.sin(step));
  return {
    rims: shape.rims.map((rim) => {
      if (rim.kind === 'polygon') return rim;
      const points = Array.from({ length: ELLIPSE_CORNERS }, (_, k) => {
        const cos = swell * Math.cos(k * step);
        const sin = swell * Math.sin(k * step);
        return {
          xMm: rim.center.xMm + cos * rim.first.xMm + sin * rim.second.xMm,
          yMm: rim.center.yMm + cos * rim.first.yMm + sin * rim.second.yMm,
        };
      });
      return { kind: 'polygon', points };
    }),
  };
}

/** Length of all edges, islands counted too. */
export function rimLengthMm(rims: readonly PolygonRim[]): number {
  let sum = 0;
  for (const { points } of rims) {
    let before = points[points.length - 1] as RimPoint;
    for (const point of points) {
      sum += Math.hypot(point.xMm - before.xMm, point.yMm - before.yMm);
      before = point;
    }
  }
  return sum;
}
