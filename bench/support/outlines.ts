/** Holes as they come from plates, by a seed: burrs, ellipses, islands, a stray second hole, few corners and many. */
import { outlineShape } from '#core';
import type { HoleShape, RimPoint } from '#core';

/** A small generator, so that the same outlines come every time. */
export function generator(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
}

function loop(random: () => number, radiusMm: number, corners: number, center: RimPoint): RimPoint[] {
  const waves = Array.from({ length: 6 }, (_, k) => ({ size: (0.06 * random()) / (k + 1), turn: 6.28 * random(), order: k + 2 }));
  const burrs = Array.from({ length: Math.floor(4 * random()) }, () => ({
    at: 6.28 * random(),
    width: 0.03 + 0.1 * random(),
    height: -0.2 * random(),
  }));
  const ellipticity = 0.15 * random();
  return Array.from({ length: corners }, (_, k) => {
    const t = (2 * Math.PI * k) / corners;
    let r = 1 + ellipticity * Math.cos(2 * t);
    for (const { size, turn, order } of waves) r += size * Math.cos(order * t + turn);
    for (const { at, width, height } of burrs) {
      const away = Math.atan2(Math.sin(t - at), Math.cos(t - at));
      r += height * Math.exp(-((away / width) ** 2));
    }
    return { xMm: center.xMm + radiusMm * r * Math.cos(t), yMm: center.yMm + radiusMm * r * Math.sin(t) };
  });
}

export function randomOutline(random: () => number): HoleShape {
  const corners = [8, 36, 180, 720, 1440][Math.floor(5 * random())] as number;
  const radiusMm = 0.06 + 0.25 * random();
  const loops = [loop(random, radiusMm, corners, { xMm: 0, yMm: 0 })];
  if (random() < 0.4) loops.push(loop(random, 0.12 * radiusMm, Math.min(corners, 60), { xMm: 0.3 * radiusMm, yMm: -0.2 * radiusMm }).reverse());
  if (random() < 0.2) loops.push(loop(random, 0.15 * radiusMm, Math.min(corners, 60), { xMm: 2.2 * radiusMm, yMm: 0.7 * radiusMm }));
  return outlineShape(loops);
}
