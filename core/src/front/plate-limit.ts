/** How thick the plate may be at the hole for a loss that the maker will bear. */
import { InputError, requirePositive } from '../errors.ts';
import { rimOverlapShare } from '../optics/thick-hole.ts';

/**
 * Thickest edge that costs at most a stated loss at an angle.
 *   (2/π)(acos x − x √(1 − x²)) = 2^−loss solved for x; t = x d / tan θ
 * Valid: straight wall, light from afar; on top of cos⁴.
 * @param of hole > 0, angle from the axis above 0 and below a right angle, loss > 0
 * @throws InputError not-positive, out-of-range
 * @source optics-notes 2
 */
export function thickestEdgeMm(of: { readonly diameterMm: number; readonly angleRad: number; readonly lossStops: number }): number {
  requirePositive(of.diameterMm, 'diameterMm', 'mm');
  requirePositive(of.lossStops, 'lossStops', 'stops');
  if (!(of.angleRad > 0 && of.angleRad < Math.PI / 2)) {
    throw new InputError('out-of-range', `angleRad must lie between 0 and a right angle, but is ${of.angleRad}.`, {
      path: 'angleRad',
      got: of.angleRad,
      expected: '0 < angle < π/2',
    });
  }
  const wanted = 2 ** -of.lossStops;
  let low = 0;
  let high = 1;
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (rimOverlapShare(middle) > wanted) low = middle;
    else high = middle;
  }
  return (low * of.diameterMm) / Math.tan(of.angleRad);
}

/**
 * Full angle beyond which a plate lets nothing through.
 *   2 atan(d/t)
 * @param of both > 0
 * @throws InputError not-positive
 * @source optics-notes 2
 */
export function cutOffAngleRad(of: { readonly diameterMm: number; readonly thicknessMm: number }): number {
  requirePositive(of.diameterMm, 'diameterMm', 'mm');
  requirePositive(of.thicknessMm, 'thicknessMm', 'mm');
  return 2 * Math.atan(of.diameterMm / of.thicknessMm);
}
