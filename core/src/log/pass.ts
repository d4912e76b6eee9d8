/**
 * From the reading of a scan to a pass that can be kept: the hole as it is in the camera, whatever way
 * the plate lay on the glass.
 *
 * A reading is in the picture's coordinates: from its top left corner, x right, y down. A pass is in the plate's
 * own: from the least-squares centre, seen from the film side, x right, y up, and turned so that the mark
 * points up. Three things lie between them:
 *   y is turned over, because pictures count rows downwards;
 *   x is turned over when the picture shows the plate from the scene side, and once more when it is mirrored;
 *   with a mark, everything is turned until the mark is at +y. Without one the picture's own turn stays.
 */
import { InputError } from '../errors.ts';
import { middleOf } from '../plate/plate-middle.ts';
import type { KnownMiddle } from '../plate/plate-middle.ts';
import type { Burr, Circle, EdgeTerm, HandEdit, HoleReading, Lobes, PointMm, ScanReading } from '../plate/scan.ts';
import type { PassFigures, PassRecord, ScanRecord, VerdictRecord } from './workshop.ts';

export interface PassRequest {
  /** UUID v7, made outside the core. */
  readonly id: string;
  /** ISO 8601 with offset. */
  readonly at: string;
  readonly timeZone?: string;
  readonly reading: ScanReading;
  /** One of the reading's holes. */
  readonly hole: HoleReading;
  readonly scan: ScanRecord;
  readonly work?: string;
  readonly verdict?: VerdictRecord;
  readonly notes?: string;
  readonly edge?: EdgeTerm;
  /** An earlier pass since which nothing was done to the plate. */
  readonly sameStateAs?: string;
}

/** How a picture of a plate lies to the plate as seen from the film side. */
export interface ScanPose {
  readonly scannedFace: 'film' | 'scene';
  readonly mirrored: boolean;
  /** From +x counter-clockwise as displayed. */
  readonly markAngleRad?: number | undefined;
}

/** Turns places and angles of a picture into the plate's own, both in and out. */
export interface PlateFrame {
  /** @param place in the picture, from its top left corner, x right, y down */
  readonly point: (place: PointMm) => PointMm;
  /** @param angleRad as displayed, from +x counter-clockwise; the answer is in 0 … 2π */
  readonly angle: (angleRad: number) => number;
  /** The way back: from the plate's own to the picture. */
  readonly picturePoint: (place: PointMm) => PointMm;
}

const FULL_TURN = 2 * Math.PI;

function wrapped(angleRad: number, turnRad: number): number {
  const rest = angleRad - turnRad * Math.floor(angleRad / turnRad);
  return rest >= turnRad ? 0 : rest;
}

/**
 * The frame of a plate in a picture: x′ + i y′ = e^{iφ} (s (x − x₀) − i (y − y₀)), s = −1 when the picture shows
 * the film side left for right, φ = π/2 − (the mark's angle after that flip), 0 without a mark.
 * @param center of the least-squares circle in the picture, mm from its top left corner
 */
export function plateFrame(pose: ScanPose, center: PointMm): PlateFrame {
  const flipped = (pose.scannedFace === 'scene') !== pose.mirrored;
  const sign = flipped ? -1 : 1;
  const seen = (angleRad: number): number => (flipped ? Math.PI - angleRad : angleRad);
  const turnRad = pose.markAngleRad === undefined ? 0 : Math.PI / 2 - seen(pose.markAngleRad);
  const cos = pose.markAngleRad === undefined ? 1 : Math.cos(turnRad);
  const sin = pose.markAngleRad === undefined ? 0 : Math.sin(turnRad);
  return {
    point: ({ xMm, yMm }) => {
      const x = sign * (xMm - center.xMm);
      const y = center.yMm - yMm;
      return { xMm: cos * x - sin * y, yMm: sin * x + cos * y };
    },
    angle: (angleRad) => wrapped(seen(angleRad) + turnRad, FULL_TURN),
    picturePoint: ({ xMm, yMm }) => ({
      xMm: center.xMm + sign * (cos * xMm + sin * yMm),
      yMm: center.yMm - (cos * yMm - sin * xMm),
    }),
  };
}

/** A second hole smaller than this share of the first is a stray, not another plate's; a judgement, no source. */
export const STRAY_SHARE = 0.6;

/** The holes of a reading that are strays beside this one: much smaller, and nearest to it of all that are not. */
function straysBeside(reading: ScanReading, hole: HoleReading): readonly HoleReading[] {
  const smallMm = STRAY_SHARE * hole.outlineDiameterMm;
  const apartMm = (a: HoleReading, b: HoleReading): number =>
    Math.hypot(a.leastSquares.center.xMm - b.leastSquares.center.xMm, a.leastSquares.center.yMm - b.leastSquares.center.yMm);
  const others = reading.holes.filter((other) => other !== hole && other.outlineDiameterMm >= smallMm);
  return reading.holes.filter(
    (stray) => stray.outlineDiameterMm < smallMm && others.every((other) => apartMm(stray, hole) <= apartMm(stray, other)),
  );
}

function signedAreaMm2(outline: readonly (readonly [number, number])[]): number {
  let twice = 0;
  let [x0, y0] = outline[outline.length - 1] ?? [0, 0];
  for (const [x1, y1] of outline) {
    twice += x0 * y1 - x1 * y0;
    [x0, y0] = [x1, y1];
  }
  return twice / 2;
}

/** A loop in the plate's own frame, counter-clockwise. */
function loopIn(frame: PlateFrame, loop: readonly PointMm[]): [number, number][] {
  const points = loop.map((place): [number, number] => {
    const { xMm, yMm } = frame.point(place);
    return [xMm, yMm];
  });
  if (signedAreaMm2(points) < 0) points.reverse();
  return points;
}

/** Edits in the plate's own frame. */
function handEditsIn(frame: PlateFrame, edits: readonly HandEdit[]): NonNullable<PassRecord['handEdits']> {
  return edits.map((edit) =>
    'center' in edit
      ? { kind: edit.kind, center: frame.point(edit.center) }
      : { ...edit, angleRad: frame.angle(edit.angleRad) },
  );
}

/** A crest of the wave lies at phase / order: the crest is turned, and told as a phase again, −π … π. */
function turnedPhase(lobe: Lobes, frame: PlateFrame): number {
  const crestRad = frame.angle(lobe.phaseRad / lobe.order);
  const phaseRad = wrapped(lobe.order * crestRad, FULL_TURN);
  return phaseRad > Math.PI ? phaseRad - FULL_TURN : phaseRad;
}

/** From the middle of the plate to the hole, in the plate's own frame, whose origin is the hole. */
function fromMiddle(frame: PlateFrame, { center, by, standardUncertaintyMm }: KnownMiddle): NonNullable<PassFigures['fromMiddle']> {
  const { xMm, yMm } = frame.point(center);
  return { xMm: -xMm, yMm: -yMm, by, standardUncertaintyMm };
}

function figures(hole: HoleReading, frame: PlateFrame, middle: KnownMiddle | null): PassFigures {
  const circle = (c: Circle) => ({ center: frame.point(c.center), diameterMm: c.diameterMm });
  const departure = (b: Burr) => ({ angleRad: frame.angle(b.angleRad), heightMm: b.heightMm, widthMm: b.widthMm });
  return {
    outlineDiameterMm: hole.outlineDiameterMm,
    outlineStandardUncertaintyMm: hole.outlineStandardUncertaintyMm,
    clearDiameterMm: hole.clearDiameterMm,
    clearStandardUncertaintyMm: hole.clearStandardUncertaintyMm,
    imageStandardUncertaintyMm: hole.imageStandardUncertaintyMm,
    leastSquaresDiameterMm: hole.leastSquares.diameterMm,
    maximumInscribed: circle(hole.maximumInscribed),
    minimumCircumscribed: circle(hole.minimumCircumscribed),
    roundnessMm: hole.roundnessMm,
    feretMinMm: hole.feretMinMm,
    feretMaxMm: hole.feretMaxMm,
    // A width has a direction, not a sense: half a turn is the same.
    feretMaxAngleRad: wrapped(frame.angle(hole.feretMaxAngleRad), Math.PI),
    areaMm2: hole.areaMm2,
    perimeterMm: hole.perimeterMm,
    centroid: frame.point(hole.centroid),
    ellipse: { ...hole.ellipse, angleRad: wrapped(frame.angle(hole.ellipse.angleRad), Math.PI) },
    lobes: hole.lobes.map((lobe) => ({ ...lobe, phaseRad: turnedPhase(lobe, frame) })),
    raggednessMm: hole.raggednessMm,
    burrs: hole.burrs.map(departure),
    chips: hole.chips.map(departure),
    debris: hole.debris.map((d) => ({
      areaMm2: d.areaMm2,
      center: frame.point(d.center),
      kind: d.kind,
      ...(d.outline.length >= 3 && { outlineMm: loopIn(frame, d.outline) }),
    })),
    blurSigmaMm: hole.blurSigmaMm,
    acrossPx: hole.acrossPx,
    contrastToNoise: hole.contrastToNoise,
    budget: hole.budget.map((line) => ({ ...line })),
    ...(middle !== null && { fromMiddle: fromMiddle(frame, middle) }),
    scanCenter: { xMm: hole.leastSquares.center.xMm, yMm: hole.leastSquares.center.yMm },
  };
}

/**
 * The pass to append to a plate.
 * @throws InputError `missing` when the hole is not one of the reading's
 */
export function passFromReading(request: PassRequest): PassRecord {
  const { reading, hole, scan } = request;
  if (!reading.holes.includes(hole)) {
    throw new InputError('missing', 'The hole is not one of this scan: choose it from the reading that found it.', {
      path: 'hole',
      expected: 'a hole of the reading',
    });
  }
  const frame = plateFrame(scan, hole.leastSquares.center);
  const outline = loopIn(frame, hole.outline);
  const strays = straysBeside(reading, hole);
  const { scale, tone } = reading;
  return {
    id: request.id,
    at: request.at,
    ...(request.timeZone !== undefined && { timeZone: request.timeZone }),
    ...(request.work !== undefined && { work: request.work }),
    scan: {
      sha256: scan.sha256,
      fileName: scan.fileName,
      scannedFace: scan.scannedFace,
      ...(scan.markAngleRad !== undefined && { markAngleRad: scan.markAngleRad }),
      mirrored: scan.mirrored,
    },
    scale: { ...scale },
    tone: { ...tone, source: reading.toneSource },
    polarity: reading.polarity,
    illumination: reading.illumination,
    figures: figures(hole, frame, middleOf(reading)),
    outlineMm: outline,
    ...(strays.length > 0 && { strayHoles: strays.map((stray) => ({ outlineMm: loopIn(frame, stray.outline) })) }),
    ...(request.edge !== undefined && { edgeTerm: { ...request.edge } }),
    ...((hole.handEdits?.length ?? 0) > 0 && { handEdits: handEditsIn(frame, hole.handEdits ?? []) }),
    ...(request.sameStateAs !== undefined && { sameStateAs: request.sameStateAs }),
    ...(request.verdict !== undefined && { verdict: request.verdict }),
    cautions: [...reading.cautions, ...hole.cautions],
    ...(request.notes !== undefined && { notes: request.notes }),
  };
}
