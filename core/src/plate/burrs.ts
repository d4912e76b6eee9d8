/**
 * Burrs and chips: narrow departures of the outline from its own smooth form, inward and outward. How high
 * one must be to be named depends on pixel, blur, the rim's own unevenness and its noise, so that a clean rim
 * has none.
 */
import { choleskyInPlace, choleskySolve } from '../numeric/cholesky.ts';
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
  /** Narrowest over widest of the smooth form without them. */
  readonly formRatio: number;
}

const SAMPLES = BINS;
/** Waves of the smooth form: place, oval, three and four corners. */
const SMOOTH_HARMONICS = 4;
/** Samples to which the form is fitted. */
const COARSE = 120;

/**
 * @param radius Fourier outline, units (pixels' size)
 * @param sigma blur with pixel, units
 * @param noise standard deviation of the outline at one angle, units
 */
export function rimBumps(radius: Float64Array, sigma: number, noise: number): RimBumps {
  const r = radiiOf(radius, SAMPLES);
  const smooth = robustForm(radius);
  const departure = r.map((v, i) => v - smooth[i]!);
  const unevenness = quietSpread(departure);
  const least = Math.max(1.2, 0.75 * sigma, 5 * unevenness, 5 * noise, 0.02 * radius[0]!);
  const widths = smooth.subarray(0, SAMPLES / 2).map((v, i) => v + smooth[i + SAMPLES / 2]!);
  return {
    burrs: peaks(departure.map((v) => -v), smooth, least),
    chips: peaks(departure, smooth, least),
    formRatio: widths.reduce((a, b) => Math.min(a, b)) / widths.reduce((a, b) => Math.max(a, b)),
  };
}

/** Share of the rim that is surely free of bumps, and the size of a normal departure there in standard deviations. */
const FREE_SHARE = 0.4;
const FREE_DEVIATIONS = 0.524;

/** Standard deviation of the rim's departures as the quietest part of it tells: bumps may cover the rest. */
function quietSpread(departure: Float64Array): number {
  const sizes = departure.map(Math.abs).sort();
  return sizes[Math.floor(FREE_SHARE * sizes.length)]! / FREE_DEVIATIONS;
}

/** Of its scale, a round keeps so much at least where bumps are let go little by little. */
const SLOWLY = 0.75;
/** Departures from the right form are either smaller than this share of the radius, or bumps. */
const CLOSE_SHARE = 0.012;
/** A form that all of the rim but this share follows needs no second look. */
const CLEAN_SHARE = 0.05;

/**
 * Low Fourier form that the bumps do not pull, in samples. Bumps at even distances look like a wave, and many of them hide where
 * the rim itself is; so several beginnings are tried, and the form is taken that most of the rim follows.
 */
function robustForm(radius: Float64Array): Float64Array {
  const r = radiiOf(radius, COARSE);
  const sorted = r.slice().sort();
  const middle = sorted[COARSE >> 1]!;
  const reach = Math.max(0.1, middle - sorted[0]!, sorted[COARSE - 1]! - middle);
  const circle = (size: number, scale: number): Form => ({ radius: Float64Array.of(size), scale });
  const close = Math.max(0.1, CLOSE_SHARE * middle);
  const strays = ({ radius: form }: Form): number => departuresFrom(form, r).reduce((sum, v) => sum + Math.min(1, (v / close) ** 2), 0);
  // Few bumps are let go at once, many only little by little; burrs leave the rim's own radius among the largest.
  const quick = settled(r, circle(middle, reach), SMOOTH_HARMONICS, 0);
  if (strays(quick) < CLEAN_SHARE * COARSE) return radiiOf(quick.radius, SAMPLES);
  const slow = settled(r, circle(middle, reach), SMOOTH_HARMONICS, SLOWLY);
  const ovals = [circle(middle, reach), circle(sorted[Math.floor(0.8 * COARSE)]!, reach / 3)].map((start) => settled(r, start, 2, SLOWLY));
  const forms = [quick, slow, ...ovals.flatMap((oval) => [settled(r, { ...oval, scale: 2 * oval.scale }, SMOOTH_HARMONICS, SLOWLY), oval])];
  const costs = forms.map(strays);
  return radiiOf(forms[costs.indexOf(Math.min(...costs))]!.radius, SAMPLES);
}

interface Form {
  /** In waves. */
  readonly radius: Float64Array;
  /** Of the departures that have weight. */
  readonly scale: number;
}

/** Index of harmonic k at a coarse sample in `TRIGONOMETRY`. */
const waveAt = (k: number, i: number): number => k * SAMPLES + i * (SAMPLES / COARSE);

function departuresFrom(form: Float64Array, r: Float64Array): Float64Array {
  return r.map((v, i) => {
    let left = v - form[0]!;
    for (let k = 1; 2 * k < form.length; k++) left -= form[2 * k - 1]! * TRIGONOMETRY.cosine[waveAt(k, i)]! + form[2 * k]! * TRIGONOMETRY.sine[waveAt(k, i)]!;
    return left;
  });
}

/**
 * A form of so many waves, whose scale shrinks until only the quiet part of the rim has weight.
 * @param r radii at `COARSE` even angles
 * @param keep of its scale a round keeps so much at least
 */
function settled(r: Float64Array, start: Form, harmonics: number, keep: number): Form {
  const n = 1 + 2 * harmonics;
  const row = new Float64Array(n).fill(1);
  let { radius, scale } = start;
  let departure = departuresFrom(radius, r);
  for (let round = 0; round < 40; round++) {
    const a = new Float64Array(n * n);
    const b = new Float64Array(n);
    for (let i = 0; i < COARSE; i++) {
      const z = departure[i]! / (3.5 * scale);
      if (Math.abs(z) >= 1) continue;
      const weight = (1 - z * z) ** 2;
      for (let k = 1; k <= harmonics; k++) {
        row[2 * k - 1] = TRIGONOMETRY.cosine[waveAt(k, i)]!;
        row[2 * k] = TRIGONOMETRY.sine[waveAt(k, i)]!;
      }
      for (let p = 0; p < n; p++) {
        const v = weight * row[p]!;
        b[p]! += v * r[i]!;
        for (let q = 0; q <= p; q++) a[p * n + q]! += v * row[q]!;
      }
    }
    // Where bumps leave a wide arc without weight the higher waves stay small.
    for (let p = 3; p < n; p++) a[p * n + p]! += 0.01 * a[0]!;
    if (!choleskyInPlace(a, n)) break;
    radius = choleskySolve(a, n, b);
    const before = departure;
    departure = departuresFrom(radius, r);
    const change = departure.reduce((most, v, i) => Math.max(most, Math.abs(v - before[i]!)), 0);
    const old = scale;
    scale = Math.max(0.05, keep * old, Math.min(old, quietSpread(departure)));
    if (change < 1e-3 && old - scale < 1e-3 * scale) break;
  }
  return { radius, scale };
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
