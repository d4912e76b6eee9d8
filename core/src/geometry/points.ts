/** Points of the plane without a unit: the circle and hull routines serve pixels and millimetres alike. */
export interface Point {
  readonly x: number;
  readonly y: number;
}

export interface CircleFit {
  readonly x: number;
  readonly y: number;
  readonly radius: number;
}

/** Two circles of one centre that hold all points between them. */
export interface ZoneFit {
  readonly x: number;
  readonly y: number;
  readonly innerRadius: number;
  readonly outerRadius: number;
}

/**
 * Signed area of a closed polygon, positive when counter-clockwise with y up.
 * @param points in order, the last joins the first
 */
export function polygonArea(points: readonly Point[]): number {
  let sum = 0;
  for (let i = 0, j = points.length - 1; i < points.length; j = i++) {
    const p = points[i]!;
    const q = points[j]!;
    sum += q.x * p.y - p.x * q.y;
  }
  return sum / 2;
}

/** Length of the closed line through the points. */
export function polygonPerimeter(points: readonly Point[]): number {
  let sum = 0;
  for (let i = 0, j = points.length - 1; i < points.length; j = i++) {
    sum += Math.hypot(points[i]!.x - points[j]!.x, points[i]!.y - points[j]!.y);
  }
  return sum;
}
