/**
 * Scans of any size drawn straight from a formula, in a moment: round holes whose edge is a blurred step, in a plate with
 * streaks along its rows, with the noise of a sensor. For speed and for finding; accuracy is judged on rendered scans.
 */
import type { Raster, ScanFacts } from '#core';
import { Random } from './random.ts';

export interface DrawnScan {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly holes: readonly { readonly columnPx: number; readonly rowPx: number; readonly diameterPx: number }[];
  readonly holeLight: number;
  readonly plateLight: number;
  readonly blurSigmaPx: number;
  /** Standard deviation of the streaks as a share of the plate's light, and of the noise as a share of full light. */
  readonly streakShare: number;
  readonly noiseShare: number;
}

export const DRAWN_FACTS: ScanFacts = {
  scale: { xMmPerPx: 25.4 / 4800, yMmPerPx: 25.4 / 4800, source: 'given', detail: 'as drawn' },
  tone: { kind: 'srgb' },
  toneSource: 'given',
  illumination: 'unknown',
};

export function drawnScan(scan: DrawnScan): Raster {
  const { widthPx, heightPx, holes, blurSigmaPx: sigma } = scan;
  const random = new Random(2463534242);
  // Three even draws are near enough to normal once scaled to the variance 1.
  const normal = (): number => 2 * (random.unit() + random.unit() + random.unit() - 1.5);
  const samples = new Uint8Array(widthPx * heightPx);
  for (let y = 0; y < heightPx; y++) {
    let streak = 0;
    for (let x = 0; x < widthPx; x++) {
      streak = 0.97 * streak + 0.243 * normal();
      const plate = scan.plateLight * (1 + scan.streakShare * streak);
      let share = 0;
      for (const { columnPx, rowPx, diameterPx } of holes) {
        const depth = diameterPx / 2 - Math.hypot(x + 0.5 - columnPx, y + 0.5 - rowPx);
        if (depth > -6 * sigma) share = 1 / (1 + Math.exp((-1.7 * depth) / sigma));
      }
      const light = plate + (scan.holeLight - plate) * share + scan.noiseShare * Math.sqrt(0.02 + share) * normal();
      samples[y * widthPx + x] = Math.round(255 * stored(Math.min(1, Math.max(0, light))));
    }
  }
  return { widthPx, heightPx, channels: 1, samples, fullScale: 255 };
}

/** The sRGB curve. */
function stored(light: number): number {
  return light <= 0.0031308 ? 12.92 * light : 1.055 * light ** (1 / 2.4) - 0.055;
}
