/** The point image at a place of the film as a kernel of picture pixels. */
import type { FilmPoint } from '../camera/geometry.ts';
import { MM_PER_NM } from '../optics/conjugates.ts';
import { polygonShape, rimLengthMm, shapeAreaMm2, shapeBox } from '../optics/hole-shape.ts';
import { meanWavelengthNm } from '../optics/seen-light.ts';
import { shapeImage } from '../optics/shape-image.ts';
import { slantedView } from '../optics/slanted-view.ts';
import type { FieldView } from './field-contrast.ts';
import { filmRay } from './film-ray.ts';
import { shadowKernel } from './shadow-kernel.ts';

/** Finer fringes (of two holes far apart) than a quarter of a pixel are averaged anyway. */
const MOST_CUTS = 4;

/**
 * How far the sharp part of the point image reaches: the hole's shadow and six times λ f / d. What lies beyond is the
 * veil, see `veilShare`.
 * @param view as `contrastAt`
 */
export function kernelReachMm(view: FieldView): number {
  const { camera, shape, objectDistanceMm, light } = view;
  const box = shapeBox(shape);
  const widest = Math.max(box.highXMm - box.lowXMm, box.highYMm - box.lowYMm);
  const narrowest = Math.min(box.highXMm - box.lowXMm, box.highYMm - box.lowYMm);
  const f = camera.focalLengthMm;
  const spread = (meanWavelengthNm(light) * MM_PER_NM * f) / narrowest;
  return (widest / 2) * (1 + f / objectDistanceMm) + Math.min(6 * spread, 6 * widest);
}

/**
 * Share of a point's light that the rim throws farther than a radius; it falls off as 1/r³ around.
 *   λ f P / (2π² A R), P the length of the rim, A the open area
 * Valid: R well outside the hole's shadow; for a round hole the mean of 1 - E(R) of the Airy pattern.
 * @param view as `contrastAt`
 * @param radiusMm > 0
 * @source bornwolf1999 8.5
 */
export function veilShare(view: FieldView, radiusMm: number): number {
  const { camera, shape, light } = view;
  const lambda = meanWavelengthNm(light) * MM_PER_NM;
  const share = (lambda * camera.focalLengthMm * rimLengthMm(polygonShape(shape).rims)) / (2 * Math.PI ** 2 * shapeAreaMm2(shape) * radiusMm);
  return Math.min(0.5, share);
}

/**
 * Light of one point on the pixels around it, upright as in the print (the film turned by half a turn), adding to 1.
 * @param view as `contrastAt`
 * @param point on the film
 * @param pixels pitch > 0, how far the kernel reaches, and whether geometry draws it (see `drawnByGeometry`)
 * @returns (2 radius + 1)² values, rows from the top; all light in the middle pixel where the plate lets none through
 */
export function pointKernel(
  view: FieldView,
  point: FilmPoint,
  pixels: { readonly pitchMm: number; readonly radiusPx: number; readonly geometric?: boolean },
): Float64Array {
  const { pitchMm, radiusPx } = pixels;
  const side = 2 * radiusPx + 1;
  const kernel = new Float64Array(side * side);
  const ray = filmRay(view.camera, point);
  const slanted = slantedView({ ...view, focalLengthMm: view.camera.focalLengthMm }, ray);
  if (slanted === null) {
    kernel[(kernel.length - 1) / 2] = 1;
    return kernel;
  }
  if (pixels.geometric === true) {
    const enlargement = 1 + slanted.focalLengthMm / slanted.objectDistanceMm;
    return shadowKernel(slanted.shape, { ray, enlargement, pitchMm, radiusPx });
  }
  // the finest detail of the image: width / (λ f); three samples for each of its half periods
  const box = shapeBox(slanted.shape);
  const widest = Math.max(box.highXMm - box.lowXMm, box.highYMm - box.lowYMm);
  const shortest = Math.min(...view.light.map(({ wavelengthNm }) => wavelengthNm));
  const finest = (shortest * MM_PER_NM * slanted.focalLengthMm) / (2 * widest);
  const fineMm = Math.max(Math.min(finest / 3, pitchMm / 1.5), pitchMm / MOST_CUTS);
  const reach = (radiusPx + 0.5) * pitchMm * Math.SQRT2;
  const half = Math.min(400, Math.ceil(reach / fineMm) + 2);
  const grid = { columns: 2 * half + 1, rows: 2 * half + 1, pitchMm: Math.max(fineMm, reach / (half - 2)) };
  const { intensity } = shapeImage(slanted, grid);
  // pixels finer than the image's detail sample it exactly; coarser ones gather what falls on their square
  const cuts = pitchMm <= finest ? 1 : Math.min(MOST_CUTS, Math.ceil((2 * pitchMm) / finest));
  const [a, b, c, d] = ray.projection;
  let sum = 0;
  for (let y = 0; y < side; y++) {
    for (let x = 0; x < side; x++) {
      let value = 0;
      for (let j = 0; j < cuts; j++) {
        for (let i = 0; i < cuts; i++) {
          // print x right, y down: on the film (seen from behind) x left, y down
          const filmX = -(x - radiusPx + (i + 0.5) / cuts - 0.5) * pitchMm;
          const filmY = (y - radiusPx + (j + 0.5) / cuts - 0.5) * pitchMm;
          const column = (a * filmX + b * filmY) / grid.pitchMm + half;
          const row = half - (c * filmX + d * filmY) / grid.pitchMm;
          const left = Math.floor(column);
          const top = Math.floor(row);
          const u = column - left;
          const v = row - top;
          const at = top * grid.columns + left;
          value +=
            (1 - v) * ((1 - u) * (intensity[at] as number) + u * (intensity[at + 1] as number))
            + v * ((1 - u) * (intensity[at + grid.columns] as number) + u * (intensity[at + grid.columns + 1] as number));
        }
      }
      kernel[y * side + x] = value;
      sum += value;
    }
  }
  return kernel.map((value) => value / sum);
}
