/**
 * The gauge of the clear view: a wedge (or a turned cone) that stands on the plate over the hole. Where it passes every
 * rim, nothing stands in the view.
 */
import { filmSight } from '../camera/film-plane.ts';
import { frameCorners } from '../camera/geometry.ts';
import type { CameraGeometry, FilmPoint } from '../camera/geometry.ts';
import { InputError, requirePositive } from '../errors.ts';

export interface GaugeQuestion {
  readonly focalLengthMm: number;
  readonly holeDiameterMm: number;
  /** From the foot of the hole to the farthest film point in the gauge's plane; the diagonal for a cone. */
  readonly farthestFilmMm: number;
  /** How high over the plate the gauge must reach: the farthest edge of the stack. */
  readonly heightMm: number;
  /**
   * The tip is cut away below this height, and feet of this height carry the gauge; default 1 mm, or as high as feet of
   * 1 mm need.
   */
  readonly tipHeightMm?: number;
  /** From the middle to the inner side of a foot; default so that nothing touches the rim of the hole. */
  readonly footFromMiddleMm?: number;
  readonly footWidthMm?: number;
}

/** A place on the gauge: across from the axis, and over the plate. */
export interface GaugePoint {
  readonly xMm: number;
  readonly zMm: number;
}

export interface Gauge {
  /** Between the flanks. */
  readonly angleRad: number;
  /** Across the cut tip, at its height over the plate. */
  readonly tipWidthMm: number;
  readonly tipHeightMm: number;
  /** Across the top. */
  readonly topWidthMm: number;
  readonly heightMm: number;
  /** Counter-clockwise: the outline of the flat gauge with its two feet. */
  readonly outline: readonly GaugePoint[];
  /** A flank lies this much out for every mm up. */
  readonly slopeShare: number;
  /** What its readings mean. */
  readonly reading: string;
}

/**
 * Half the width of the clear view at a height over the plate.
 *   d/2 + z (D/2 + d/2)/f
 * The rays that leave the far rim of the hole for the farthest film point on the other side: they rise from d/2 by
 * (D/2 + d/2)/f a mm.
 * @param of height ≥ 0 over the hole's sharp edge
 * @source front-notes
 */
export function clearHalfWidthMm(of: {
  readonly zMm: number;
  readonly focalLengthMm: number;
  readonly holeDiameterMm: number;
  readonly farthestFilmMm: number;
}): number {
  const a = of.holeDiameterMm / 2;
  return a + (of.zMm * (of.farthestFilmMm + a)) / of.focalLengthMm;
}

function requireGauge(question: GaugeQuestion): void {
  for (const name of ['focalLengthMm', 'holeDiameterMm', 'farthestFilmMm', 'heightMm'] as const) requirePositive(question[name], name, 'mm');
}

/**
 * The gauge for one plane of the view: horizontal, vertical, diagonal, or turned on the lathe as a cone.
 *   angle = 2 atan((D + d)/2f)
 * @param question all lengths > 0; the tip lower than the gauge
 * @throws InputError not-positive, conflict
 * @source front-notes
 */
export function gauge(question: GaugeQuestion): Gauge {
  requireGauge(question);
  const slopeShare = (question.farthestFilmMm + question.holeDiameterMm / 2) / question.focalLengthMm;
  const tipHeightMm = question.tipHeightMm ?? Math.max(1, (1 + question.holeDiameterMm / 2) / slopeShare);
  requirePositive(tipHeightMm, 'tipHeightMm', 'mm');
  const { heightMm } = question;
  if (tipHeightMm >= heightMm) {
    throw new InputError('conflict', `The tip is cut at ${tipHeightMm} mm, but the gauge is only ${heightMm} mm high.`, {
      path: 'tipHeightMm',
      got: tipHeightMm,
      expected: `< ${heightMm} mm`,
    });
  }
  const half = (zMm: number): number => clearHalfWidthMm({ ...question, zMm });
  const tip = half(tipHeightMm);
  const top = half(heightMm);
  // a foot stands inside the flank, clear of the hole by its own diameter at least
  const foot = question.footFromMiddleMm ?? question.holeDiameterMm;
  const width = question.footWidthMm ?? Math.max(0.5, tip - foot);
  if (foot <= question.holeDiameterMm / 2) {
    throw new InputError('conflict', `A foot ${foot} mm from the middle would stand on the hole.`, {
      path: 'footFromMiddleMm',
      got: foot,
      expected: `> ${question.holeDiameterMm / 2} mm`,
    });
  }
  if (foot + width > tip + 1e-9) {
    throw new InputError(
      'conflict',
      `Feet from ${foot} to ${foot + width} mm off the middle reach beyond the flank, which is ${tip} mm out at the cut tip. `
        + 'Cut the tip higher or make the feet narrower.',
      { path: 'tipHeightMm', got: tipHeightMm, expected: 'a higher tip' },
    );
  }
  const right: GaugePoint[] = [
    { xMm: foot, zMm: tipHeightMm },
    { xMm: foot, zMm: 0 },
    { xMm: foot + width, zMm: 0 },
    { xMm: foot + width, zMm: tipHeightMm },
    { xMm: tip, zMm: tipHeightMm },
    { xMm: top, zMm: heightMm },
  ];
  const outline = [...right, ...[...right].reverse().map(({ xMm, zMm }) => ({ xMm: -xMm, zMm }))].filter(
    (point, i, all) => i === 0 || point.xMm !== all[i - 1]!.xMm || point.zMm !== all[i - 1]!.zMm,
  );
  return {
    angleRad: 2 * Math.atan(slopeShare),
    tipWidthMm: 2 * tip,
    tipHeightMm,
    topWidthMm: 2 * top,
    heightMm,
    outline,
    slopeShare,
    reading:
      'Both feet on the plate and no flank touching a rim: nothing clips. A feeler that fits between flank and rim is '
      + `the room left. Where a foot lifts by 1 mm, the rim stands ${slopeShare.toFixed(2)} mm in the view on that side.`,
  };
}

/**
 * How far a rim stands in the view when it lifts the gauge off the plate: the flank is so much narrower at the rim.
 * @param of lift ≥ 0, straight up
 */
export function clippingOfLiftMm(of: { readonly liftMm: number } & Pick<Gauge, 'slopeShare'>): number {
  return of.liftMm * of.slopeShare;
}

/**
 * How much too early a plain wedge alarms: tip cut flat `w` wide and set on the plate, flanks at the bare angle of view.
 *   w/2 + z D/2f − (d/2 + z (D/2 + d/2)/f) = (w − d)/2 − z d/2f   a side
 * Near the plate that is (w − d)/2; negative: at this height it lets a rim pass that clips.
 * @param of height ≥ 0 of the rim over the plate
 * @source front-notes
 */
export function flatWedgeAlarmMm(of: {
  readonly tipWidthMm: number;
  readonly holeDiameterMm: number;
  readonly focalLengthMm: number;
  readonly zMm: number;
}): number {
  return (of.tipWidthMm - of.holeDiameterMm) / 2 - (of.zMm * of.holeDiameterMm) / (2 * of.focalLengthMm);
}

export type GaugePlane = 'horizontal' | 'vertical' | 'diagonal';

/** The film point that decides how wide a gauge is: how far aside it lies and how far behind the hole. */
export interface ViewLimit {
  readonly plane: GaugePlane;
  readonly farthestFilmMm: number;
  /** Of that point along the axis: the focal length where film is flat, less where it is bent towards the hole. */
  readonly focalLengthMm: number;
}

/**
 * What bounds the view in each plane, for flat and for bent film. Of both sides the wider one counts, so that one gauge serves
 * for both. Diagonal: the corner seen farthest aside; a cone turned on the lathe is this one.
 * @param holeDiameterMm ≥ 0
 * @throws InputError out-of-range where a bent film would pass beside the hole
 * @source front-notes
 */
export function viewLimits(camera: CameraGeometry, holeDiameterMm: number): ViewLimit[] {
  const { frame, holeShift } = camera;
  const points: Readonly<Record<GaugePlane, readonly FilmPoint[]>> = {
    horizontal: [-0.5, 0.5].map((share) => ({ xMm: share * frame.widthMm, yMm: holeShift.yMm })),
    vertical: [-0.5, 0.5].map((share) => ({ xMm: holeShift.xMm, yMm: share * frame.heightMm })),
    diagonal: Object.values(frameCorners(frame)),
  };
  return (Object.keys(points) as GaugePlane[]).map((plane) => {
    const seen = points[plane].map((point) => {
      const { xMm, yMm, depthMm } = filmSight(camera, point);
      return { plane, farthestFilmMm: Math.hypot(xMm, yMm), focalLengthMm: depthMm };
    });
    const slope = (of: ViewLimit): number => (of.farthestFilmMm + holeDiameterMm / 2) / of.focalLengthMm;
    return seen.reduce((widest, one) => (slope(one) > slope(widest) ? one : widest));
  });
}
