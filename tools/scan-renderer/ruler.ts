/** Scans of a millimetre scale with exactly known pitch: marks with longer ones at every fifth and tenth. */
import type { Raster } from '#core';
import { Random } from './random.ts';

export interface RulerRecipe {
  readonly seed: number;
  readonly widthPx: number;
  readonly heightPx: number;
  readonly xMmPerPx: number;
  readonly yMmPerPx: number;
  /** One entry for each rule: its zero mark, and the way it runs, counter-clockwise as displayed. */
  readonly rules: readonly {
    readonly atMm: readonly [number, number];
    readonly angleRad: number;
    readonly lengthMm: number;
  }[];
  /** Distance of marks; every second, fifth … is longer as on steel rules. */
  readonly divisionMm: 1 | 0.5;
  readonly noise: number;
}

const MARK_MM = 0.12;

/** Length of a mark as on a steel rule. */
function markLengthMm(index: number, divisionMm: number): number {
  const halves = Math.round((index * divisionMm) / 0.5);
  if (halves % 20 === 0) return 7;
  if (halves % 10 === 0) return 5.5;
  return halves % 2 === 0 ? 4 : 2.8;
}

export function renderRuler(recipe: RulerRecipe): Raster {
  const { widthPx, heightPx, xMmPerPx, yMmPerPx } = recipe;
  const random = new Random(recipe.seed);
  const samples = new Uint8Array(widthPx * heightPx);
  const soft = Math.max(xMmPerPx, yMmPerPx);
  for (let row = 0; row < heightPx; row++) {
    for (let column = 0; column < widthPx; column++) {
      let value = 0.72;
      for (const { atMm, angleRad, lengthMm } of recipe.rules) {
        const x = (column + 0.5) * xMmPerPx - atMm[0];
        const y = atMm[1] - (row + 0.5) * yMmPerPx;
        const along = x * Math.cos(angleRad) + y * Math.sin(angleRad);
        const across = y * Math.cos(angleRad) - x * Math.sin(angleRad);
        const index = Math.round(along / recipe.divisionMm);
        if (index < 0 || index * recipe.divisionMm > lengthMm || across < 0) continue;
        const inMark = (MARK_MM / 2 - Math.abs(along - index * recipe.divisionMm)) / soft + 0.5;
        const inLength = (markLengthMm(index, recipe.divisionMm) - across) / soft + 0.5;
        const cover = Math.min(1, Math.max(0, inMark)) * Math.min(1, Math.max(0, inLength));
        value -= 0.55 * cover;
      }
      value += recipe.noise * random.normal();
      samples[row * widthPx + column] = Math.round(255 * Math.min(1, Math.max(0, value)));
    }
  }
  return { widthPx, heightPx, channels: 1, samples, fullScale: 255 };
}
