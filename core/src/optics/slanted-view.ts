/** The hole as light meets it that goes aside: farther from the film, narrower, and clipped by its own thickness. */
import { InputError } from '../errors.ts';
import { overlapShape } from './clear-shape.ts';
import type { ShapedHoleView } from './edge-integral.ts';
import { narrowedShape, shapeAreaMm2, turnedShape } from './hole-shape.ts';
import { requireThickness } from './thick-hole.ts';
import { requireView } from './view.ts';

export interface Slant {
  /** Towards the film point from the foot, counter-clockwise from x, seen from the film side. */
  readonly azimuthRad: number;
  /** Between ray and axis, 0 ≤ angle < π/2. */
  readonly slantRad: number;
  /** From the hole to the film point along the ray, > 0. */
  readonly distanceMm: number;
}

/**
 * A hole seen along a slanting ray, as a view whose axis is that ray: x points away from the camera's axis, y across.
 *   E = ∫∫ e^{iπ|Π(δ - η)|²/(λ R)} dη,  Π the projection across the ray, R the distance along it
 * so the hole is narrowed by cos θ along x. Film offsets have to be projected the same way: on a flat film cos θ along x
 * and 1 along y. A thick plate leaves the overlap of its two rims, t tan θ apart.
 * Valid: second order in hole and offset. Against the exact Rayleigh–Sommerfeld integral the intensity errs by less than
 * 3e-3 (central peaks are 1 to 4) up to 60° for f/125 and slower and offsets up to 2.5 times the radius; a thick hole
 * is treated as a thin one of the clear shape, which ignores that its edges lie at different depths.
 * @param view with the focal length straight ahead; the plate's thickness at the hole, ≥ 0
 * @returns null where the thickness leaves nothing open
 * @throws InputError not-positive, negative, out-of-range
 * @source optics-notes 2
 */
export function slantedView(view: ShapedHoleView & { readonly thicknessMm?: number }, slant: Slant): ShapedHoleView | null {
  requireView(view, ['distanceMm', slant.distanceMm]);
  const thicknessMm = view.thicknessMm ?? 0;
  requireThickness(thicknessMm);
  const { azimuthRad, slantRad } = slant;
  if (!(slantRad >= 0 && slantRad < Math.PI / 2)) {
    throw new InputError('out-of-range', `slantRad must be from 0 to less than a right angle, but is ${slantRad}.`, {
      path: 'slantRad',
      got: slantRad,
      expected: '0 ≤ angle < π/2',
    });
  }
  const cos = Math.cos(slantRad);
  const turned = turnedShape(view.shape, -azimuthRad);
  const shiftMm = thicknessMm * Math.tan(slantRad);
  const clear = shiftMm === 0 ? turned : overlapShape(turned, { xMm: shiftMm, yMm: 0 });
  if (clear === null || !(shapeAreaMm2(clear) > 0)) return null;
  return {
    shape: narrowedShape(clear, cos),
    focalLengthMm: slant.distanceMm,
    objectDistanceMm: view.objectDistanceMm / cos,
    light: view.light,
  };
}
