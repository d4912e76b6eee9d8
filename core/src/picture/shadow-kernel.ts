/**
 * The point image of a hole so large that geometry draws it: the hole's shadow, its share of each pixel exact.
 *
 * How far that is from the truth. Exactly, OTF(ν) = (1/A) ∫ e^{-2πi m ν·η} dη over K = (H - s/2) ∩ (H + s/2), s = λ f ν;
 * in geometry the same over the hole H itself. Where H is convex, K lies in H and lacks at most the area |s| w, w its
 * width across s, so that no contrast errs by more than |s| w / A; for any other hole |H \ K| ≤ |s| P / 2 and
 * |K \ H| ≤ |s| P / 4 with P the length of its rim. Both fall as 1/N_F at the detail the hole still shows.
 */
import { MM_PER_NM } from '../optics/conjugates.ts';
import type { ShapedHoleView } from '../optics/edge-integral.ts';
import { polygonShape, rimLengthMm, shapeAreaMm2 } from '../optics/hole-shape.ts';
import type { HoleShape, RimPoint } from '../optics/hole-shape.ts';
import { meanWavelengthNm } from '../optics/seen-light.ts';
import { shapeImage } from '../optics/shape-image.ts';
import type { ImageGrid, ShapeImage } from '../optics/shape-image.ts';
import type { FilmRay } from './film-ray.ts';

/** From this Fresnel number on the photograph is drawn by geometry. */
const GEOMETRIC_FRESNEL_NUMBER = 10;

/**
 * Fresnel number of the round hole of the same area, in the mean of the light.
 * @param view all > 0; object distance may be infinite
 */
export function shapeFresnelNumber(view: ShapedHoleView): number {
  const lambda = meanWavelengthNm(view.light) * MM_PER_NM;
  return (shapeAreaMm2(view.shape) / (Math.PI * lambda)) * (1 / view.focalLengthMm + 1 / view.objectDistanceMm);
}

/** True where geometry serves. */
export function drawnByGeometry(view: ShapedHoleView): boolean {
  return shapeFresnelNumber(view) >= GEOMETRIC_FRESNEL_NUMBER;
}

/**
 * What no contrast drawn by geometry errs by more than, at details up to the first that a round hole of the same area
 * turns grey (1.22 / (m d)): proved above.
 * Valid: as `edgeIntegral`.
 * @param view all > 0; object distance may be infinite
 * @source optics-notes 2
 */
export function geometricContrastError(view: ShapedHoleView): number {
  const areaMm2 = shapeAreaMm2(view.shape);
  const d = 2 * Math.sqrt(areaMm2 / Math.PI);
  const m = 1 + view.focalLengthMm / view.objectDistanceMm;
  const shiftMm = (meanWavelengthNm(view.light) * MM_PER_NM * view.focalLengthMm * 1.22) / (m * d);
  const [only, ...more] = view.shape.rims;
  if (only?.kind === 'ellipse' && more.length === 0) {
    const width = 2 * Math.max(Math.hypot(only.first.xMm, only.second.xMm), Math.hypot(only.first.yMm, only.second.yMm));
    return Math.min(1, (shiftMm * width) / areaMm2);
  }
  return Math.min(1, (0.75 * shiftMm * rimLengthMm(polygonShape(view.shape).rims)) / areaMm2);
}

/**
 * The shadow on the pixels around it, upright as in the print, adding to 1.
 * @param shape as seen along the ray
 * @param of the ray; m = 1 + f / u; pixels of this pitch > 0, and how far they reach to all sides
 * @returns (2 radius + 1)² values, rows from the top
 */
export function shadowKernel(
  shape: HoleShape,
  of: { readonly ray: FilmRay; readonly enlargement: number; readonly pitchMm: number; readonly radiusPx: number },
): Float64Array {
  const { ray, enlargement, pitchMm, radiusPx } = of;
  const side = 2 * radiusPx + 1;
  const [a, b, c, d] = ray.projection;
  const scale = enlargement / ((a * d - b * c) * pitchMm);
  // film = projection⁻¹ · m · hole; print x right, y down: on the film, seen from behind, x left, y down
  const place = ({ xMm, yMm }: RimPoint): { x: number; y: number } => ({
    x: radiusPx + 0.5 - scale * (d * xMm - b * yMm),
    y: radiusPx + 0.5 + scale * (a * yMm - c * xMm),
  });
  const kernel = coveredShares(shape, { columns: side, rows: side }, place);
  const total = kernel.reduce((sum, value) => sum + value, 0);
  return kernel.map((value) => value / total);
}

/**
 * Share of each pixel that a shape covers, exact for its polygons.
 * @param grid pixel (c, r) reaches from c to c + 1 and r to r + 1
 * @param place where a point of the rim lies on the grid
 * @returns columns × rows, from the top; negative where `place` turns the shape over
 */
function coveredShares(
  shape: HoleShape,
  grid: { readonly columns: number; readonly rows: number },
  place: (point: RimPoint) => { x: number; y: number },
): Float64Array {
  const wide = grid.columns + 1;
  const sums = new Float64Array(grid.rows * wide);
  for (const { points } of polygonShape(shape).rims) {
    let before = place(points[points.length - 1] as RimPoint);
    for (const point of points) {
      const here = place(point);
      addEdge(sums, grid, before, here);
      before = here;
    }
  }
  const shares = new Float64Array(grid.columns * grid.rows);
  for (let row = 0; row < grid.rows; row++) {
    let cover = 0;
    for (let column = 0; column < grid.columns; column++) {
      cover += sums[row * wide + column] as number;
      shares[row * grid.columns + column] = cover;
    }
  }
  return shares;
}

/** Above this Fresnel number a point image is its shadow, fringes finer than anybody draws apart. */
const SHADOW_FRESNEL_NUMBER = 60;

/**
 * The image of a point on a grid: by `shapeImage`, or for a hole of many millimetres its shadow, since the fringes would be
 * finer than the grid and take minutes.
 * Valid: as `shapeImage`; a shadow lacks the fringes along its edge, about √(λ f′ / 2) wide.
 * @param view all > 0; object distance may be infinite
 * @param grid 1 to 4096 columns and rows
 * @throws InputError not-positive, out-of-range, missing
 * @source optics-notes 2
 */
export function pointImage(view: ShapedHoleView, grid: ImageGrid): ShapeImage & { readonly shadow: boolean } {
  if (shapeFresnelNumber(view) <= SHADOW_FRESNEL_NUMBER) return { ...shapeImage(view, grid), shadow: false };
  const scale = (1 + view.focalLengthMm / view.objectDistanceMm) / grid.pitchMm;
  const covered = coveredShares(view.shape, grid, ({ xMm, yMm }) => ({
    x: grid.columns / 2 + scale * xMm,
    y: grid.rows / 2 - scale * yMm,
  }));
  return { ...grid, intensity: covered.map(Math.abs), shadow: true };
}

/**
 * What an edge covers: in each row it crosses, its height times the share of the pixel to its right, and its whole height
 * in the pixels beyond; running sums along the row give the area inside.
 */
function addEdge(sums: Float64Array, grid: { readonly columns: number; readonly rows: number }, from: { x: number; y: number }, to: { x: number; y: number }): void {
  if (from.y === to.y) return;
  const [upper, lower, direction] = from.y < to.y ? [from, to, 1] : [to, from, -1];
  const slope = (lower.x - upper.x) / (lower.y - upper.y);
  const last = Math.min(grid.rows - 1, Math.ceil(lower.y) - 1);
  for (let row = Math.max(0, Math.floor(upper.y)); row <= last; row++) {
    const top = Math.max(upper.y, row);
    const foot = Math.min(lower.y, row + 1);
    let x = upper.x + slope * (top - upper.y);
    let y = top;
    const end = upper.x + slope * (foot - upper.y);
    // from pixel to pixel along the row
    while (y < foot) {
      const column = Math.min(grid.columns - 1, Math.max(0, end < x ? Math.ceil(x) - 1 : Math.floor(x)));
      const border = end < x ? column : column + 1;
      const crosses = end < x ? end < border : end > border;
      const nextX = crosses ? border : end;
      const nextY = crosses ? Math.min(foot, y + (nextX - x) / slope) : foot;
      const height = direction * (nextY - y);
      const share = column + 1 - (x + nextX) / 2;
      const at = row * (grid.columns + 1) + column;
      sums[at] = (sums[at] as number) + height * share;
      sums[at + 1] = (sums[at + 1] as number) + height * (1 - share);
      if (!(nextY > y) && nextX === x) break;
      x = nextX;
      y = nextY;
    }
  }
}
