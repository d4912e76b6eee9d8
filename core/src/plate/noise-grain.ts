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

/** Unsharp masks as drivers apply them, all held equally likely; radii in pixels as scanned. @source engineering-judgement */
export const USUAL_MASKS: readonly { readonly amount: number; readonly radiusPx: number }[] = [0.25, 0.375, 0.5, 0.625, 0.75, 0.875, 1].flatMap(
  (amount) => [0.75, 0.95, 1.15, 1.35, 1.55].map((radiusPx) => ({ amount, radiusPx })),
);

/**
 * Unsharp mask that the noise speaks of, and how much likelier the noise is with each of the usual ones than without.
 *   acf ∝ (1 + a)² δ − 2 a (1 + a) g(r) + a² g(√2 r)
 * Valid: noise white before sharpening; even light inside the hole; not clipped.
 * @param window pixels as scanned
 * @param fitted the window that was fitted: `shrink` × `shrink` of the pixels in each of its own
 * @returns null when there are too few pixels to say; radius in pixels of the fitted window
 */
export function noiseSharpening(
  window: LightWindow,
  fit: RimFit,
  fitted: { readonly widthPx: number; readonly heightPx: number; readonly shrink: number; readonly mask: Uint8Array | undefined },
): NoiseSharpening | null {
  const { widthPx, heightPx, light } = window;
  const { shrink, mask } = fitted;
  const least = 2.2 * fit.sigma + 1;
  // Averaging over blocks has taken their share of the noise away.
  const most = 5 * shrink * Math.sqrt(fit.state.holeVariance);
  const residual = new Float32Array(widthPx * heightPx).fill(NaN);
  const inside: number[] = [];
  let sum = 0;
  for (let row = 0; row < fitted.heightPx * shrink; row++) {
    for (let column = 0; column < fitted.widthPx * shrink; column++) {
      const k = Math.floor(row / shrink) * fitted.widthPx + Math.floor(column / shrink);
      if (!(fit.image.depth[k]! > least) || Number.isNaN(fit.image.share[k]!) || mask?.[k] === 1) continue;
      const i = row * widthPx + column;
      const value = light[i]!;
      const difference = value - fit.image.expected[k]!;
      if (value >= window.clipLight || value <= window.blackLight || Math.abs(difference) >= most) continue;
      residual[i] = difference;
      inside.push(i);
      sum += difference;
    }
  }
  if (inside.length < 200) return null;
  const level = sum / inside.length;
  let square = 0;
  for (const i of inside) square += (residual[i]! -= level) ** 2;
  const variance = square / inside.length;
  if (!(variance > 0)) return null;
  const seen = LAGS.map(([dx, dy]) => {
    let products = 0;
    let pairs = 0;
    for (const i of inside) {
      const column = (i % widthPx) + dx;
      const row = Math.floor(i / widthPx) + dy;
      if (column < 0 || column >= widthPx || row < 0 || row >= heightPx) continue;
      const other = residual[row * widthPx + column]!;
      if (Number.isNaN(other)) continue;
      products += residual[i]! * other;
      pairs++;
    }
    return { likeness: pairs > 0 ? products / pairs / variance : 0, pairs };
  });
  const misfit = (amount: number, radiusPx: number): number =>
    LAGS.reduce((sum, [dx, dy], k) => {
      const { likeness, pairs } = seen[k]!;
      return sum + pairs * (likeness - expectedLikeness(amount, radiusPx, dx, dy)) ** 2;
    }, 0);
  const white = misfit(0, 1);
  const logLikelihoods = USUAL_MASKS.map(({ amount, radiusPx }) => Math.min(50, 0.5 * (white - misfit(amount, radiusPx))));
  const weights = logLikelihoods.map(Math.exp);
  const weight = weights.reduce((sum, w) => sum + w, 0);
  const mean = (f: (mask: (typeof USUAL_MASKS)[number]) => number): number =>
    USUAL_MASKS.reduce((sum, mask, m) => sum + weights[m]! * f(mask), 0) / weight;
  const [across, down] = seen;
  return {
    amount: mean(({ amount }) => amount),
    radiusPx: mean(({ radiusPx }) => radiusPx) / shrink,
    logLikelihoods,
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
