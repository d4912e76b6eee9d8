/** The hole of a pass as light meets it. */
import { outlineShape, roundShape, shapeAreaMm2 } from '../optics/hole-shape.ts';
import type { HoleShape, RimPoint } from '../optics/hole-shape.ts';
import { wallThicknessMm } from './lookup.ts';
import type { PassRecord, PlateRecord } from './workshop.ts';

export interface PassHole {
  readonly shape: HoleShape;
  /** Of the round hole of the same open area. */
  readonly diameterMm: number;
  /** Of the outline's diameter, k = 1; null when the pass does not state it. */
  readonly standardUncertaintyMm: number | null;
  /** False where the shape is a measured outline. */
  readonly round: boolean;
  /** Of the hole's wall, as `wallThicknessMm`; 0 when nobody measured the plate. */
  readonly thicknessMm: number;
  /** Pieces of debris that are in the shape, and those that are known but for their outline. */
  readonly debrisDrawn: number;
  readonly debrisLeftOut: number;
  /** Stray holes of the plate that are in the shape. */
  readonly straysDrawn: number;
}

type Loop = readonly (readonly [number, number])[];

function ring(points: Loop, turn: 1 | -1): RimPoint[] {
  const area = points.reduce((sum, [x, y], i) => {
    const [nextX, nextY] = points[(i + 1) % points.length] as readonly [number, number];
    return sum + x * nextY - nextX * y;
  }, 0);
  const loop = points.map(([xMm, yMm]) => ({ xMm, yMm }));
  return area * turn < 0 ? loop.reverse() : loop;
}

/** A piece as it lies in the hole: its outline, or else a disc of its area about its centre. */
function pieceRim(piece: object): RimPoint[] | null {
  const { outlineMm, center, areaMm2 } = piece as {
    readonly outlineMm?: Loop;
    readonly center?: { readonly xMm: number; readonly yMm: number };
    readonly areaMm2?: number;
  };
  if (outlineMm !== undefined && outlineMm.length >= 3) return ring(outlineMm, -1);
  if (center === undefined || areaMm2 === undefined || !(areaMm2 > 0)) return null;
  const r = Math.sqrt(areaMm2 / Math.PI);
  const corners = 24;
  return Array.from({ length: corners }, (_, i) => {
    const t = (-2 * Math.PI * i) / corners;
    return { xMm: center.xMm + r * Math.cos(t), yMm: center.yMm + r * Math.sin(t) };
  });
}

/**
 * The hole of a measured pass, seen from the film side.
 * @param debris `left-in`: as it was scanned, with what lies in the hole, by its outline or a disc of its area, and with stray
 *   holes beside it; `blown-out`: the hole alone
 * @returns null where the pass was not measured, or debris leaves nothing open
 */
export function holeOfPass(plate: PlateRecord, pass: PassRecord, debris: 'blown-out' | 'left-in' = 'blown-out'): PassHole | null {
  const { figures } = pass;
  if (figures === undefined) return null;
  const pieces = figures.debris ?? [];
  const rims = debris === 'left-in' ? pieces.map(pieceRim) : [];
  const drawn = rims.filter((rim) => rim !== null);
  const outline = pass.outlineMm === undefined ? null : ring(pass.outlineMm, 1);
  const whole = outline === null ? roundShape(figures.outlineDiameterMm) : outlineShape([outline]);
  const strays = debris === 'left-in' ? (pass.strayHoles ?? []).map((stray) => ring(stray.outlineMm, 1)) : [];
  const shape: HoleShape = { rims: [...whole.rims, ...[...drawn, ...strays].map((points) => ({ kind: 'polygon' as const, points }))] };
  const areaMm2 = shapeAreaMm2(shape);
  if (!(areaMm2 > 0)) return null;
  return {
    shape,
    diameterMm: 2 * Math.sqrt(areaMm2 / Math.PI),
    standardUncertaintyMm: figures.outlineStandardUncertaintyMm ?? null,
    round: outline === null && drawn.length + strays.length === 0,
    thicknessMm: wallThicknessMm(plate) ?? 0,
    debrisDrawn: drawn.length,
    debrisLeftOut: pieces.length - drawn.length,
    straysDrawn: strays.length,
  };
}
