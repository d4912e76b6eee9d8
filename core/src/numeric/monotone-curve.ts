/** A smooth curve through rising points that never swings beyond them. */

export interface Knot {
  readonly x: number;
  readonly y: number;
}

/**
 * Slopes at the knots by which a cubic stays monotone between each pair: the weighted harmonic mean of the
 * neighbouring secants, 0 where the data turn or rest; the secant itself at both ends, so that a straight
 * continuation joins without a kink.
 * @source fritsch-butland1984
 */
function slopesAt(knots: readonly Knot[]): number[] {
  const secants = knots.slice(1).map((knot, i) => {
    const before = knots[i] ?? knot;
    return (knot.y - before.y) / (knot.x - before.x);
  });
  return knots.map((knot, i) => {
    const left = secants[i - 1];
    const right = secants[i];
    if (left === undefined || right === undefined) return left ?? right ?? 0;
    if (left * right <= 0) return 0;
    const hl = knot.x - (knots[i - 1]?.x ?? knot.x);
    const hr = (knots[i + 1]?.x ?? knot.x) - knot.x;
    const wl = 2 * hr + hl;
    const wr = hr + 2 * hl;
    return (wl + wr) / (wl / left + wr / right);
  });
}

/**
 * Value of the curve at x. Left of the first knot the first value holds; right of the last the line goes on with the
 * last secant's slope (the caller says that it is extrapolated).
 *   cubic Hermite, slopes limited for monotony
 * Valid: x strictly rising.
 * @source fritsch-carlson1980
 */
export function monotoneCurve(knots: readonly Knot[], x: number): number {
  const first = knots[0];
  const last = knots[knots.length - 1];
  if (first === undefined || last === undefined || x <= first.x) return first?.y ?? 0;
  const slopes = slopesAt(knots);
  if (x >= last.x) return last.y + (slopes[slopes.length - 1] ?? 0) * (x - last.x);
  const i = knots.findIndex((knot) => knot.x > x) - 1;
  const a = knots[i] ?? first;
  const b = knots[i + 1] ?? last;
  const h = b.x - a.x;
  const s = (x - a.x) / h;
  const r = 1 - s;
  return (
    a.y * r * r * (1 + 2 * s) +
    b.y * s * s * (1 + 2 * r) +
    h * s * r * (r * (slopes[i] ?? 0) - s * (slopes[i + 1] ?? 0))
  );
}
