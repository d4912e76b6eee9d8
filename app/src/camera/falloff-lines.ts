/** Lines of equal falloff on a flat film: circles about the foot of the hole. */

export function stopsAtRadius(radiusMm: number, focalLengthMm: number): number {
  return 2 * Math.log2(1 + (radiusMm / focalLengthMm) ** 2);
}

/** The way back: cos⁴ θ = 2^-stops. */
export function radiusAtStops(stops: number, focalLengthMm: number): number {
  return focalLengthMm * Math.sqrt(2 ** (stops / 2) - 1);
}

/** Three to six lines: quarters, halves, whole or double stops. */
export function contourLevels(mostStops: number): number[] {
  const step = [0.25, 0.5, 1, 2].find((candidate) => mostStops / candidate <= 6) ?? 4;
  return Array.from({ length: Math.ceil(mostStops / step) }, (_, i) => (i + 1) * step).filter((level) => level < mostStops);
}
