/** How the plate sits in the board: blank, recess, glue. */
import { InputError, inWords, requirePositive } from '../errors.ts';

export interface SeatQuestion {
  /** Hole through the board under the plate. */
  readonly boardOpeningMm: number;
  readonly plateThicknessMm: number;
  /** Of the glue or tape under the plate; default 0.1 mm. */
  readonly glueThicknessMm?: number;
  /** Land on which the plate is glued, all round; default 4 mm. Common practice, no source. */
  readonly landMm?: number;
  /** Room round the plate for glue that is squeezed out, a side; default 0.5 mm. Common practice, no source. */
  readonly glueClearanceMm?: number;
  /** How far the plate must lie below the surface; default 0.5 mm. Common practice, no source. */
  readonly belowSurfaceMm?: number;
  /** Of the board, to check that something is left under the recess. */
  readonly boardThicknessMm?: number;
}

export interface Seat {
  /** Square blank: covers the board's hole and its land. */
  readonly blankMm: number;
  /** Square recess, a little larger than the blank. */
  readonly recessMm: number;
  readonly recessDepthMm: number;
  /** Largest corner radius of a routed recess into which a square blank still fits. */
  readonly recessCornerRadiusMm: number;
  /** What is left of the board under the recess; null where its thickness is not known. */
  readonly boardLeftMm: number | null;
}

/**
 * Blank and recess.
 *   blank = opening + 2 land,  recess = blank + 2 clearance,  depth = plate + glue + what it lies below the surface
 * A square corner fits a corner of radius r when clearance ≥ r (1 − 1/√2), from the diagonal.
 * @param question opening and plate > 0, the rest ≥ 0
 * @throws InputError not-positive, negative, conflict
 * @source front-notes
 */
export function plateSeat(question: SeatQuestion): Seat {
  requirePositive(question.boardOpeningMm, 'boardOpeningMm', 'mm');
  requirePositive(question.plateThicknessMm, 'plateThicknessMm', 'mm');
  const { glueThicknessMm = 0.1, landMm = 4, glueClearanceMm = 0.5, belowSurfaceMm = 0.5, boardThicknessMm } = question;
  for (const [path, got] of Object.entries({ glueThicknessMm, landMm, glueClearanceMm, belowSurfaceMm })) {
    if (Number.isFinite(got) && got >= 0) continue;
    throw new InputError('negative', `${inWords(path)} must be 0 mm or more, but is ${got}.`, { path, got, expected: '≥ 0 mm' });
  }
  const blankMm = question.boardOpeningMm + 2 * landMm;
  const recessDepthMm = question.plateThicknessMm + glueThicknessMm + belowSurfaceMm;
  if (boardThicknessMm !== undefined && recessDepthMm >= boardThicknessMm) {
    throw new InputError('conflict', `A recess ${recessDepthMm} mm deep goes through a board of ${boardThicknessMm} mm.`, {
      path: 'boardThicknessMm',
      got: boardThicknessMm,
      expected: `> ${recessDepthMm} mm`,
    });
  }
  return {
    blankMm,
    recessMm: blankMm + 2 * glueClearanceMm,
    recessDepthMm,
    recessCornerRadiusMm: glueClearanceMm / (1 - Math.SQRT1_2),
    boardLeftMm: boardThicknessMm === undefined ? null : boardThicknessMm - recessDepthMm,
  };
}
