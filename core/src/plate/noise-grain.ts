/**
 * What the noise inside the hole tells of sharpening: pixel noise is white as the sensor gives it, and an
 * unsharp mask leaves its own shape in the likeness of neighbours.
 */
import type { LightWindow } from './light-window.ts';
import type { NoiseSharpening, RimFit } from './rim.ts';

const LAGS: readonly (readonly [number, number])[] = [
  [1, 0],
  [0, 1],
  [1, 1],
  [1, -1],
  [2, 0],
  [0, 2],
  [2, 1],
  [1, 2],
  [2, -1],
  [1, -2],
  [2, 2],
  [2, -2],
  [3, 0],
  [0, 3],
];

/**
 * Unsharp mask that the noise speaks of.
 *   acf ∝ (1 + a)² δ − 2 a (1 + a) g(r) + a² g(√2 r)
 * Valid: noise white before sharpening; even light inside the hole; not clipped.
 * @returns null when there are too few pixels to say
 */
export function noiseSharpening(window: LightWindow, fit: RimFit, mask: Uint8Array | undefined): NoiseSharpening | null {
  const { widthPx, heightPx, light } = window;
  const least = 3.3 * fit.sigma + 1.5;
  const usable = (i: number): boolean =>
    fit.image.depth[i]! > least &&
    mask?.[i] !== 1 &&
    light[i]! < window.clipLight &&
    light[i]! > window.blackLight &&
    Math.abs(fit.residual[i]!) < 5 * Math.sqrt(fit.state.holeVariance);
  const inside = Array.from(fit.image.list).filter(usable);
  if (inside.length < 200) return null;
  const mean = inside.reduce((sum, i) => sum + fit.residual[i]!, 0) / inside.length;
  const variance = inside.reduce((sum, i) => sum + (fit.residual[i]! - mean) ** 2, 0) / inside.length;
  if (!(variance > 0)) return null;
  const seen = LAGS.map(([dx, dy]) => {
    let sum = 0;
    let pairs = 0;
    for (const i of inside) {
      const column = (i % widthPx) + dx;
      const row = Math.floor(i / widthPx) + dy;
      if (column < 0 || column >= widthPx || row < 0 || row >= heightPx) continue;
      const j = row * widthPx + column;
      if (!usable(j)) continue;
      sum += (fit.residual[i]! - mean) * (fit.residual[j]! - mean);
      pairs++;
    }
    return { likeness: pairs > 0 ? sum / pairs / variance : 0, pairs };
  });
  const misfit = (amount: number, radiusPx: number): number =>
    LAGS.reduce((sum, [dx, dy], k) => {
      const { likeness, pairs } = seen[k]!;
      return sum + pairs * (likeness - expectedLikeness(amount, radiusPx, dx, dy)) ** 2;
    }, 0);
  let best = { amount: 0, radiusPx: 1.2, misfit: misfit(0, 1.2) };
  const white = best.misfit;
  for (let amount = 0.1; amount <= 2; amount += 0.05) {
    for (let radiusPx = 0.6; radiusPx <= 2.6; radiusPx += 0.1) {
      const m = misfit(amount, radiusPx);
      if (m < best.misfit) best = { amount, radiusPx, misfit: m };
    }
  }
  const [across, down] = seen;
  return {
    amount: best.amount,
    radiusPx: best.radiusPx,
    evidence: white - best.misfit,
    neighbourLikeness: (across!.likeness + down!.likeness) / 2,
  };
}

function expectedLikeness(amount: number, radiusPx: number, dx: number, dy: number): number {
  const bell = (s2: number): number => Math.exp(-(dx * dx + dy * dy) / (2 * s2)) / (2 * Math.PI * s2);
  const zero = (s2: number): number => 1 / (2 * Math.PI * s2);
  const r2 = radiusPx ** 2;
  const self = (1 + amount) ** 2 - 2 * amount * (1 + amount) * zero(r2) + amount ** 2 * zero(2 * r2);
  return (-2 * amount * (1 + amount) * bell(r2) + amount ** 2 * bell(2 * r2)) / self;
}
