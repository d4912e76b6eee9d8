/** What the thickness of the plate takes away from slanting light. */
import { InputError, requirePositive } from '../errors.ts';
import { disc, sharedArea } from '../geometry/regions.ts';

/**
 * Share of a round hole that stays clear through a plate, 1 straight on: the overlap of the two rims.
 *   T = (2/π)(acos x - x √(1 - x²)),  x = t tan θ / d;  0 for x ≥ 1
 * Valid: straight cylindrical wall that reflects nothing; cos θ of the foreshortened hole is not in it.
 * @param of diameter > 0, thickness ≥ 0, 0 ≤ angle < π/2
 * @throws InputError not-positive, negative, out-of-range
 * @source optics-notes 2
 */
export function thickHoleShare(of: {
  readonly diameterMm: number;
  readonly thicknessMm: number;
  readonly angleRad: number;
}): number {
  const { diameterMm, thicknessMm, angleRad } = of;
  requirePositive(diameterMm, 'diameterMm', 'mm');
  requireThickness(thicknessMm);
  if (!(angleRad >= 0 && angleRad < Math.PI / 2)) {
    throw new InputError('out-of-range', `angleRad must be from 0 to less than a right angle, but is ${angleRad}.`, {
      path: 'angleRad',
      got: angleRad,
      expected: '0 ≤ angle < π/2',
    });
  }
  return rimOverlapShare((thicknessMm * Math.tan(angleRad)) / diameterMm);
}

/** @throws InputError negative */
export function requireThickness(thicknessMm: number): void {
  if (!(Number.isFinite(thicknessMm) && thicknessMm >= 0)) {
    throw new InputError('negative', `The thickness must be 0 mm or more, but is ${thicknessMm}.`, {
      path: 'thicknessMm',
      got: thicknessMm,
      expected: '≥ 0 mm',
    });
  }
}

/**
 * Overlap of two equal discs as a share of one of them.
 * @param shiftShare distance of the centres in diameters, ≥ 0
 */
export function rimOverlapShare(shiftShare: number): number {
  const x = shiftShare;
  if (x >= 1) return 0;
  return (2 / Math.PI) * (Math.acos(x) - x * Math.sqrt((1 - x) * (1 + x)));
}

/** The slope of a dimple or countersink beyond the edge of the hole. */
export interface Countersink {
  /** Of the whole plate, edge and slope together. */
  readonly sheetThicknessMm: number;
  /** Of the slope against the axis, 0 ≤ angle < π/2. */
  readonly slopeRad: number;
}

/**
 * Share of a round hole that stays clear through its edge and the slope beyond it, for light from afar: what three discs
 * have in common, the rim, the end of the straight wall t tan θ aside, and the mouth of the slope, wider by
 * (T − t) tan β and T tan θ aside.
 * @param of edge 0 ≤ t, sheet T, 0 ≤ angle < π/2; a sheet no thicker than the edge adds nothing
 * @source optics-notes 2
 */
export function countersunkShare(
  of: { readonly diameterMm: number; readonly thicknessMm: number; readonly countersink?: Countersink | undefined; readonly angleRad: number },
): number {
  const tan = Math.tan(of.angleRad);
  const { diameterMm, thicknessMm, countersink } = of;
  const wall = rimOverlapShare((thicknessMm * tan) / diameterMm);
  if (wall === 0 || countersink === undefined || countersink.sheetThicknessMm <= thicknessMm) return wall;
  const { sheetThicknessMm, slopeRad } = countersink;
  const a = diameterMm / 2;
  const mouthMm = a + (sheetThicknessMm - thicknessMm) * Math.tan(slopeRad);
  if (sheetThicknessMm * tan + a <= mouthMm) return wall;
  const at = (x: number, radius: number) => disc({ x, y: 0 }, radius);
  return sharedArea([at(0, a), at(thicknessMm * tan, a), at(sheetThicknessMm * tan, mouthMm)]) / (Math.PI * a * a);
}
