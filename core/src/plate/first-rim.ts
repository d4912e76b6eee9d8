/**
 * A first outline: along rays from the middle, where the light passes half way between hole and plate.
 * It tells whether there is a hole at all, and gives the fit its start.
 */
import { choleskyInPlace, choleskySolve } from '../numeric/cholesky.ts';
import type { LightWindow } from './light-window.ts';
import type { Polarity } from './scan.ts';

/**
 * Geometry in which the hole is measured: x right, y up from a centre in the window, one unit = the side
 * of a square with the area of one pixel of the window. Pixels that are not square are thereby undone.
 */
export interface Frame {
  readonly column: number;
  readonly row: number;
  /** Units per pixel along a row and down a column; their product is 1. */
  readonly unitsPerColumn: number;
  readonly unitsPerRow: number;
}

export interface FirstRim {
  readonly frame: Frame;
  /** Radius in units: mean, then cosine and sine parts of harmonics 1…`harmonics`. */
  readonly radius: Float64Array;
  readonly harmonics: number;
  readonly holeLight: number;
  readonly plateLight: number;
  readonly holeNoise: number;
  readonly plateNoise: number;
  /** Standard deviation of the blur, pixel included, units. */
  readonly sigma: number;
  /** Share of the rays whose edge lies on the smooth outline. */
  readonly agreement: number;
  /** Root mean square distance of the agreeing edges from the smooth outline, units. */
  readonly scatter: number;
}

const RAYS = 180;
const HARMONICS = 4;
/** Cosine and sine of each harmonic along each ray: index 2 · (ray · (HARMONICS + 1) + harmonic). */
const WAVES = Float64Array.from({ length: 2 * RAYS * (HARMONICS + 1) }, (_, i) => {
  const k = (i >> 1) % (HARMONICS + 1);
  const angle = (2 * Math.PI * k * Math.floor((i >> 1) / (HARMONICS + 1))) / RAYS;
  return i % 2 === 0 ? Math.cos(angle) : Math.sin(angle);
});

/** `radiusAt` the angle of a ray. */
function radiusOnRay(radius: Float64Array, ray: number): number {
  let r = radius[0]!;
  for (let k = 1; 2 * k < radius.length; k++) {
    const o = 2 * (ray * (HARMONICS + 1) + k);
    r += radius[2 * k - 1]! * WAVES[o]! + radius[2 * k]! * WAVES[o + 1]!;
  }
  return r;
}

/**
 * @param start expected centre and radii in window pixels
 * @returns null when there is nothing like a rim
 */
export function firstRim(
  window: LightWindow,
  polarity: Polarity,
  start: { readonly column: number; readonly row: number; readonly radius: number },
  unitsPerColumn: number,
): FirstRim | null {
  let frame: Frame = { column: start.column, row: start.row, unitsPerColumn, unitsPerRow: 1 / unitsPerColumn };
  let radius: Float64Array = new Float64Array(1 + 2 * HARMONICS);
  radius[0] = start.radius;
  let found: Omit<FirstRim, 'frame' | 'radius' | 'harmonics'> | null = null;
  for (let pass = 0; pass < 3; pass++) {
    const r0 = radius[0]!;
    const inner = statistics(sample(window, frame, radius, 0, pass === 0 ? 0.6 : 0.8));
    const ring = statistics(sample(window, frame, radius, 1.3, 1.3 + Math.max(0.4, 6 / r0)));
    if (!inner || !ring) return null;
    const contrast = inner.median - ring.median;
    if (polarity === 'bright-hole' ? contrast <= 0 : contrast >= 0) return null;
    const reach = pass === 0 ? { from: 0.35, to: 1.9 } : { from: 1 - Math.max(0.3, 3 / r0), to: 1 + Math.max(0.3, 3 / r0) };
    const edges = edgesAlongRays(window, frame, radius, inner.median, ring.median, reach);
    const smooth = fitHarmonics(edges, r0, pass === 0 ? 2 : HARMONICS);
    if (!smooth) return null;
    radius = smooth.radius;
    found = {
      holeLight: inner.median,
      plateLight: ring.median,
      holeNoise: inner.spread,
      plateNoise: ring.spread,
      sigma: Math.max(0.45, smooth.sigma),
      agreement: smooth.agreement,
      scatter: smooth.scatter,
    };
    // The first harmonic is the place: move the centre there.
    frame = {
      ...frame,
      column: frame.column + radius[1]! / unitsPerColumn,
      row: frame.row - radius[2]! * unitsPerColumn,
    };
    radius[1] = 0;
    radius[2] = 0;
  }
  return found && { frame, radius, harmonics: HARMONICS, ...found };
}

/** Radius of a Fourier outline at an angle. */
export function radiusAt(radius: Float64Array, angle: number): number {
  let r = radius[0]!;
  for (let k = 1; 2 * k < radius.length; k++) {
    r += radius[2 * k - 1]! * Math.cos(k * angle) + radius[2 * k]! * Math.sin(k * angle);
  }
  return r;
}

interface Edge {
  readonly ray: number;
  readonly distance: number;
  readonly sigma: number;
}

/** Along each ray, of all half-way passages the one with the largest step about it. */
function edgesAlongRays(
  window: LightWindow,
  frame: Frame,
  radius: Float64Array,
  holeLight: number,
  plateLight: number,
  reach: { readonly from: number; readonly to: number },
): Edge[] {
  const contrast = holeLight - plateLight;
  const half = (holeLight + plateLight) / 2;
  const edges: Edge[] = [];
  const step = 0.5;
  // Wide enough to see both sides of a soft edge on a large hole, narrow enough for a small one.
  const span = Math.min(40, Math.max(6, Math.round((0.12 * radius[0]!) / step)));
  for (let i = 0; i < RAYS; i++) {
    const cosine = WAVES[2 * (i * (HARMONICS + 1) + 1)]!;
    const sine = WAVES[2 * (i * (HARMONICS + 1) + 1) + 1]!;
    const expected = radiusOnRay(radius, i);
    const from = reach.from * expected;
    const count = Math.ceil((reach.to * expected - from) / step) + 1;
    const line = new Float64Array(count);
    let inside = true;
    for (let k = 0; k < count && inside; k++) {
      const value = lightAt(window, frame, cosine, sine, from + k * step);
      if (value === null) inside = false;
      else line[k] = (value - half) / contrast;
    }
    if (!inside) continue;
    let best: Edge | null = null;
    let bestStep = 0.3;
    for (let k = 1; k < count; k++) {
      if (!(line[k - 1]! >= 0 && line[k]! < 0)) continue;
      let before = 0;
      let after = 0;
      for (let s = 1; s <= span; s++) {
        before += line[Math.max(0, k - s)]!;
        after += line[Math.min(count - 1, k + s - 1)]!;
      }
      const size = (before - after) / span;
      if (size <= bestStep) continue;
      bestStep = size;
      const slope = (line[Math.max(0, k - 2)]! - line[Math.min(count - 1, k + 1)]!) / (3 * step);
      best = {
        ray: i,
        distance: from + (k - 1 + line[k - 1]! / (line[k - 1]! - line[k]!)) * step,
        sigma: slope > 0 ? 1 / (slope * Math.sqrt(2 * Math.PI)) : Infinity,
      };
    }
    if (best) edges.push(best);
  }
  return edges;
}

interface SmoothRim {
  readonly radius: Float64Array;
  readonly sigma: number;
  readonly agreement: number;
  readonly scatter: number;
}

/** Fourier outline through the edges, with edges far off it given no weight. */
function fitHarmonics(edges: readonly Edge[], expected: number, harmonics: number): SmoothRim | null {
  if (edges.length < RAYS / 3) return null;
  const n = 1 + 2 * harmonics;
  const radius = new Float64Array(1 + 2 * HARMONICS);
  const middle = median(edges.map((e) => e.distance));
  if (middle === null) return null;
  radius[0] = middle;
  let scale = Math.max(1, 0.15 * expected);
  for (let round = 0; round < 12; round++) {
    const a = new Float64Array(n * n);
    const b = new Float64Array(n);
    const row = new Float64Array(n);
    for (const e of edges) {
      const residual = e.distance - radiusOnRay(radius, e.ray);
      const z = residual / (3 * scale);
      if (Math.abs(z) >= 1) continue;
      const weight = (1 - z * z) ** 2;
      row[0] = 1;
      for (let k = 1; k <= harmonics; k++) {
        row[2 * k - 1] = WAVES[2 * (e.ray * (HARMONICS + 1) + k)]!;
        row[2 * k] = WAVES[2 * (e.ray * (HARMONICS + 1) + k) + 1]!;
      }
      for (let i = 0; i < n; i++) {
        b[i]! += weight * row[i]! * residual;
        for (let j = 0; j <= i; j++) a[i * n + j]! += weight * row[i]! * row[j]!;
      }
    }
    // Keeps the harmonics tame where an arc without edges leaves them free.
    for (let i = 1; i < n; i++) a[i * n + i]! += 0.02 * edges.length * (i > 2 ? 1 : 0.1);
    if (!choleskyInPlace(a, n)) return null;
    const stepVector = choleskySolve(a, n, b);
    for (let i = 0; i < n; i++) radius[i]! += stepVector[i]!;
    const spread = median(edges.map((e) => Math.abs(e.distance - radiusOnRay(radius, e.ray))));
    scale = Math.max(0.25, Math.min(scale, 1.5 * (spread ?? scale)));
  }
  const limit = Math.max(1.5, 0.06 * radius[0]!);
  const near = edges.filter((e) => Math.abs(e.distance - radiusOnRay(radius, e.ray)) < limit);
  const sigma = median(near.map((e) => e.sigma));
  if (!(radius[0]! > 1) || sigma === null) return null;
  const scatter = Math.sqrt(
    near.reduce((sum, e) => sum + (e.distance - radiusOnRay(radius, e.ray)) ** 2, 0) / Math.max(1, near.length),
  );
  return { radius, sigma, agreement: near.length / RAYS, scatter };
}

/** Light at a place given by the direction of a ray and the distance along it, between pixels by bilinear weights. */
function lightAt(window: LightWindow, frame: Frame, cosine: number, sine: number, distance: number): number | null {
  const x = frame.column + (distance * cosine) / frame.unitsPerColumn - 0.5;
  const y = frame.row - (distance * sine) / frame.unitsPerRow - 0.5;
  const i = Math.floor(x);
  const j = Math.floor(y);
  if (i < 0 || j < 0 || i + 1 >= window.widthPx || j + 1 >= window.heightPx) return null;
  const fx = x - i;
  const fy = y - j;
  const o = j * window.widthPx + i;
  const top = window.light[o]! * (1 - fx) + window.light[o + 1]! * fx;
  const bottom = window.light[o + window.widthPx]! * (1 - fx) + window.light[o + window.widthPx + 1]! * fx;
  return top * (1 - fy) + bottom * fy;
}

/** Radius in the direction (x, y) of length 1: waves of k times the angle follow from those before them. */
function radiusToward(radius: Float64Array, x: number, y: number): number {
  let r = radius[0]!;
  let c = 1;
  let s = 0;
  for (let k = 1; 2 * k < radius.length; k++) {
    const next = c * x - s * y;
    s = s * x + c * y;
    c = next;
    r += radius[2 * k - 1]! * c + radius[2 * k]! * s;
  }
  return r;
}

/** Light of the pixels between two multiples of the outline. */
function sample(window: LightWindow, frame: Frame, radius: Float64Array, from: number, to: number): number[] {
  const out: number[] = [];
  const reach = to * radius[0]! * 1.5;
  const c0 = Math.max(0, Math.floor(frame.column - reach / frame.unitsPerColumn));
  const c1 = Math.min(window.widthPx - 1, Math.ceil(frame.column + reach / frame.unitsPerColumn));
  const r0 = Math.max(0, Math.floor(frame.row - reach / frame.unitsPerRow));
  const r1 = Math.min(window.heightPx - 1, Math.ceil(frame.row + reach / frame.unitsPerRow));
  const stride = Math.max(1, Math.floor(Math.sqrt(((c1 - c0) * (r1 - r0)) / 10000)));
  // No direction has its rim nearer or farther than all waves together reach.
  let waves = 0;
  for (let k = 1; 2 * k < radius.length; k++) waves += Math.hypot(radius[2 * k - 1]!, radius[2 * k]!);
  const least = from * (radius[0]! - waves) * (1 - 1e-9);
  const most = to * (radius[0]! + waves) * (1 + 1e-9);
  for (let row = r0; row <= r1; row += stride) {
    for (let column = c0; column <= c1; column += stride) {
      const x = (column + 0.5 - frame.column) * frame.unitsPerColumn;
      const y = (frame.row - row - 0.5) * frame.unitsPerRow;
      const distance = Math.sqrt(x * x + y * y);
      if (distance < least || distance > most) continue;
      const share = distance / (distance > 0 ? radiusToward(radius, x / distance, y / distance) : radiusToward(radius, 1, 0));
      if (share >= from && share <= to) out.push(window.light[row * window.widthPx + column]!);
    }
  }
  return out;
}

function statistics(values: number[]): { median: number; spread: number } | null {
  const middle = median(values);
  if (middle === null || values.length < 3) return null;
  const spread = median(values.map((v) => Math.abs(v - middle)))!;
  return { median: middle, spread: 1.4826 * spread };
}

export function median(values: ArrayLike<number>): number | null {
  if (values.length === 0) return null;
  const some = Float64Array.from(values);
  const half = some.length >> 1;
  const upper = smallest(some, half);
  if (some.length % 2 === 1) return upper;
  let lower = -Infinity;
  for (let i = 0; i < half; i++) if (some[i]! > lower) lower = some[i]!;
  return (lower + upper) / 2;
}

/** Value number `k` in rising order; afterwards all before it are no larger. Hoare's selection. */
function smallest(values: Float64Array, k: number): number {
  let left = 0;
  let right = values.length - 1;
  while (left < right) {
    const pivot = values[(left + right) >> 1]!;
    let i = left - 1;
    let j = right + 1;
    for (;;) {
      do i++;
      while (values[i]! < pivot);
      do j--;
      while (values[j]! > pivot);
      if (i >= j) break;
      const v = values[i]!;
      values[i] = values[j]!;
      values[j] = v;
    }
    if (k <= j) right = j;
    else left = j + 1;
  }
  return values[k]!;
}
