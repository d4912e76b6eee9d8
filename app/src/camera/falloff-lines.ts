/** Lines of equal falloff on a flat film: circles about the foot of the hole, closer together where the plate is thick. */
import { falloffAt } from '#core';
import type { CameraGeometry, ThickPlate } from '#core';

/** Stops lost so far from the foot of the hole, on flat film; `Infinity` where the plate's wall takes all the light. */
export function stopsAtRadius(radiusMm: number, camera: CameraGeometry, plate?: ThickPlate): number {
  const { xMm, yMm } = camera.holeShift;
  return falloffAt(camera, { xMm: xMm + radiusMm, yMm }, plate).falloffStops ?? Infinity;
}

/** The way back: cos⁴ θ = 2^-stops for a thin plate; a thick one darkens sooner, so the line is looked for within that circle. */
export function radiusAtStops(stops: number, camera: CameraGeometry, plate?: ThickPlate): number {
  const thinMm = camera.focalLengthMm * Math.sqrt(2 ** (stops / 2) - 1);
  if (plate === undefined || (plate.thicknessMm === 0 && plate.countersink === undefined)) return thinMm;
  let [low, high] = [0, thinMm];
  for (let i = 0; i < 40; i += 1) {
    const middle = (low + high) / 2;
    if (stopsAtRadius(middle, camera, plate) < stops) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** Lines beyond this are crowded into the black. */
const DARKEST_STOPS = 12;

/** Three to six lines: quarters, halves, whole or double stops. */
export function contourLevels(mostStops: number): number[] {
  const most = Math.min(mostStops, DARKEST_STOPS);
  const step = [0.25, 0.5, 1, 2].find((candidate) => most / candidate <= 6) ?? 4;
  return Array.from({ length: Math.ceil(most / step) }, (_, i) => (i + 1) * step).filter((level) => level < most);
}
