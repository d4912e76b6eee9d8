/**
 * Burrs and chips: narrow departures of the outline from its own smooth form, inward and outward. How high
 * one must be to be named depends on pixel, blur, the rim's own unevenness and its noise, so that a clean rim
 * has none.
 */
import { choleskyInPlace, choleskySolve } from '../numeric/cholesky.ts';
import { median } from './first-rim.ts';
import { BINS, TRIGONOMETRY, radiiOf } from './outline-form.ts';

export interface RimBump {
  /** From +x, counter-clockwise (y up). */
  readonly angleRad: number;
  readonly height: number;
  /** Full width at half height along the rim. */
  readonly width: number;
}

export interface RimBumps {
  readonly burrs: readonly RimBump[];
  readonly chips: readonly RimBump[];
}

const SAMPLES = BINS;
/** Waves of the smooth form: place, oval, three and four corners. */
const SMOOTH_HARMONICS = 4;

/**
 * @param radius Fourier outline, units (pixels' size)
 * @param sigma blur with pixel, units
 * @param noise standard deviation of the outline at one angle, units
 */
export function rimBumps(radius: Float64Array, sigma: number, noise: number): RimBumps {
  const r = radiiOf(radius, SAMPLES);
  const smooth = robustForm(r);
  const departure = r.map((v, i) => v - smooth[i]!);
  const unevenness = 1.4826 * median(Array.from(departure, Math.abs))!;
  const least = Math.max(1.2, 0.75 * sigma, 5 * unevenness, 5 * noise, 0.02 * radius[0]!);
  return { burrs: peaks(departure.map((v) => -v), smooth, least), chips: peaks(departure, smooth, least) };
}

/** Low Fourier form that the bumps do not pull: what lies far off it has no weight. */
function robustForm(r: Float64Array): Float64Array {
  const n = 1 + 2 * SMOOTH_HARMONICS;
  const row = new Float64Array(n).fill(1);
  const mean = median(r)!;
  let form: Float64Array = new Float64Array(SAMPLES).fill(mean);
  let scale = 1.4826 * median(r.map((v) => Math.abs(v - mean)))! + 0.1;
  for (let round = 0; round < 15; round++) {
    const a = new Float64Array(n * n);
    const b = new Float64Array(n);
    for (let i = 0; i < SAMPLES; i++) {
      const z = (r[i]! - form[i]!) / (3.5 * scale);
      if (Math.abs(z) >= 1) continue;
      const weight = (1 - z * z) ** 2;
      for (let k = 1; k <= SMOOTH_HARMONICS; k++) {
        row[2 * k - 1] = TRIGONOMETRY.cosine[k * SAMPLES + i]!;
        row[2 * k] = TRIGONOMETRY.sine[k * SAMPLES + i]!;
      }
      for (let p = 0; p < n; p++) {
        const v = weight * row[p]!;
        b[p]! += v * r[i]!;
        for (let q = 0; q <= p; q++) a[p * n + q]! += v * row[q]!;
      }
    }
    // Where bumps leave a wide arc without weight the higher waves stay small.
    for (let p = 3; p < n; p++) a[p * n + p]! += 0.01 * SAMPLES;
    if (!choleskyInPlace(a, n)) break;
    const before = form;
    form = radiiOf(choleskySolve(a, n, b), SAMPLES);
    const change = form.reduce((most, v, i) => Math.max(most, Math.abs(v - before[i]!)), 0);
    const old = scale;
    scale = Math.max(0.05, Math.min(scale, 1.4826 * median(r.map((v, i) => Math.abs(v - form[i]!)))!));
    if (change < 1e-6 * mean && old - scale < 1e-6 * scale) break;
  }
  return form;
}

/** Peaks of at least `least`, apart from each other by a dip of a third of the lower one. */
function peaks(height: Float64Array, smooth: Float64Array, least: number): RimBump[] {
  const n = height.length;
  const at = (i: number): number => height[((i % n) + n) % n]!;
  const tops: number[] = [];
  for (let i = 0; i < n; i++) if (at(i) >= least && at(i) >= at(i - 1) && at(i) > at(i + 1)) tops.push(i);
  tops.sort((a, b) => at(b) - at(a));
  const kept: number[] = [];
  for (const top of tops) {
    const separate = kept.every((other) => {
      const limit = 0.67 * at(top);
      return [1, -1].every((way) => {
        let lowest = Infinity;
        for (let i = top; ((i - other) % n + n) % n !== 0; i += way) lowest = Math.min(lowest, at(i));
        return lowest < limit;
      });
    });
    if (separate) kept.push(top);
  }
  const bumps = kept.map((top) => {
    const h = at(top);
    let left = 0;
    let right = 0;
    while (left < n / 2 && at(top - left) > h / 2) left++;
    while (right < n / 2 && at(top + right) > h / 2) right++;
    const curve = at(top - 1) - 2 * h + at(top + 1);
    const shift = curve < 0 ? (at(top - 1) - at(top + 1)) / (2 * curve) : 0;
    const angle = (2 * Math.PI * (top + shift)) / n;
    return {
      angleRad: ((angle % (2 * Math.PI)) + 2 * Math.PI) % (2 * Math.PI),
      height: h,
      width: ((left + right - 1) * 2 * Math.PI * smooth[top]!) / n,
    };
  });
  // A bump that is broad and low is the hole's form, not a burr.
  const mean = smooth.reduce((a, b) => a + b, 0) / n;
  return bumps
    .filter((b) => b.width < 0.4 * Math.PI * mean && (b.height > 0.24 * b.width || b.height > 0.08 * mean))
    .sort((a, b) => b.height - a.height);
}
