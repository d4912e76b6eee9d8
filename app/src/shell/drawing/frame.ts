/**
 * Between millimetres and the pixels of an SVG. All drawings use one pixel per SVG unit, so that
 * lettering and line widths keep their size whatever the scale of the thing drawn.
 */
export interface PointPx {
  readonly x: number;
  readonly y: number;
}

export interface DrawingScale {
  readonly pxPerMm: number;
  /** Where the point (0, 0) mm lies, px. */
  readonly origin: PointPx;
  /** True when the drawing's first axis runs to the left (mirrored for the left hand). */
  readonly mirrored?: boolean;
}

/** mm (first axis right, second axis up) to px (right, down). */
export function toPx(scale: DrawingScale, xMm: number, yMm: number): PointPx {
  const sign = scale.mirrored === true ? -1 : 1;
  return { x: scale.origin.x + sign * xMm * scale.pxPerMm, y: scale.origin.y - yMm * scale.pxPerMm };
}

/** A way through points, closed, as an SVG path. */
export function closedPath(points: readonly PointPx[]): string {
  return points.map((p, i) => `${i === 0 ? 'M' : 'L'}${p.x.toFixed(2)} ${p.y.toFixed(2)}`).join('') + 'Z';
}

/**
 * The largest scale of a 1 : 1.122 (twentieth of a decade) series that fits, so that the drawing rests
 * while a number changes a little and moves only when it has to.
 */
export function restingScale(fittingPxPerMm: number): number {
  return 10 ** (Math.floor(Math.log10(fittingPxPerMm) * 20) / 20);
}

/** Length for a scale bar: 1, 2 or 5 times a power of ten, at most `longestPx` long on the screen. */
export function scaleBarLength(pxPerUnit: number, longestPx: number): number {
  const longest = longestPx / pxPerUnit;
  const power = 10 ** Math.floor(Math.log10(longest));
  return [5, 2, 1].map((step) => step * power).find((length) => length <= longest) ?? power;
}
