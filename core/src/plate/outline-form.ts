/**
 * An outline as radius over angle in Fourier form: mean, then cosine and sine part of each harmonic.
 * Sampled at even angles for drawing, and as tables the fit looks things up in.
 */
import type { Frame } from './first-rim.ts';

/** Angles at which outlines are tabled; every harmonic up to 64 is resolved many times over. */
export const BINS = 720;

export interface Trigonometry {
  /** Cosine and sine of k times the angle of each bin: index k · BINS + bin. */
  readonly cosine: Float64Array;
  readonly sine: Float64Array;
}

const BIN_COSINE: Float64Array = Float64Array.from({ length: BINS }, (_, i) => Math.cos((2 * Math.PI * i) / BINS));
const BIN_SINE: Float64Array = Float64Array.from({ length: BINS }, (_, i) => BIN_COSINE[(i + (3 * BINS) / 4) % BINS]!);

/** Harmonics of the table: products of two of the fit's reach twice as far as its own. */
const TABLED = 96;

/** Of harmonics 0…96. */
export const TRIGONOMETRY: Trigonometry = ((): Trigonometry => {
  const cosine = new Float64Array((TABLED + 1) * BINS);
  const sine = new Float64Array((TABLED + 1) * BINS);
  for (let k = 0; k <= TABLED; k++) {
    for (let i = 0, j = 0; i < BINS; i++) {
      cosine[k * BINS + i] = BIN_COSINE[j]!;
      sine[k * BINS + i] = BIN_SINE[j]!;
      j += k;
      if (j >= BINS) j -= BINS;
    }
  }
  return { cosine, sine };
})();

export interface RimTable {
  readonly radius: Float64Array;
  /** Cosine between ray and normal. */
  readonly cosine: Float64Array;
  /** Square of the normal's x part. */
  readonly normalX2: Float64Array;
}

/** @param radius of at most 48 harmonics */
export function rimTable(radius: Float64Array): RimTable {
  const basis = TRIGONOMETRY;
  const harmonics = (radius.length - 1) / 2;
  const r = new Float64Array(BINS).fill(radius[0]!);
  const slope = new Float64Array(BINS);
  for (let k = 1; k <= harmonics; k++) {
    const a = radius[2 * k - 1]!;
    const b = radius[2 * k]!;
    if (a === 0 && b === 0) continue;
    const o = k * BINS;
    for (let i = 0; i < BINS; i++) {
      const c = basis.cosine[o + i]!;
      const s = basis.sine[o + i]!;
      r[i]! += a * c + b * s;
      slope[i]! += k * (b * c - a * s);
    }
  }
  const cosine = new Float64Array(BINS);
  const normalX2 = new Float64Array(BINS);
  for (let i = 0; i < BINS; i++) {
    const c = basis.cosine[BINS + i]!;
    const s = basis.sine[BINS + i]!;
    const length = Math.sqrt(r[i]! * r[i]! + slope[i]! * slope[i]!);
    cosine[i] = r[i]! / length;
    normalX2[i] = ((r[i]! * c + slope[i]! * s) / length) ** 2;
  }
  return { radius: r, cosine, normalX2 };
}

/** Radii of a Fourier outline at even angles. */
export function radiiOf(radius: Float64Array, count: number): Float64Array {
  const cosine = new Float64Array(count);
  const sine = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    cosine[i] = Math.cos((2 * Math.PI * i) / count);
    sine[i] = Math.sin((2 * Math.PI * i) / count);
  }
  const out = new Float64Array(count).fill(radius[0]!);
  for (let k = 1; 2 * k < radius.length; k++) {
    const a = radius[2 * k - 1]!;
    const b = radius[2 * k]!;
    for (let i = 0, j = 0; i < count; i++) {
      out[i]! += a * cosine[j]! + b * sine[j]!;
      j += k;
      while (j >= count) j -= count;
    }
  }
  return out;
}

/** Vertices in window pixels of radii at each bin; pushed outwards a little so that the straight sides keep the area of the curve. */
export function polygonOf(radii: Float64Array, frame: Frame): Float64Array {
  const grow = 1 + ((2 * Math.PI) / BINS) ** 2 / 12;
  const out = new Float64Array(2 * BINS);
  for (let i = 0; i < BINS; i++) {
    out[2 * i] = frame.column + (grow * radii[i]! * BIN_COSINE[i]!) / frame.unitsPerColumn;
    out[2 * i + 1] = frame.row - (grow * radii[i]! * BIN_SINE[i]!) / frame.unitsPerRow;
  }
  return out;
}

export interface PolarGeometry {
  readonly x: Float32Array;
  readonly y: Float32Array;
  readonly distance: Float32Array;
  /** Angle in bins, 0 ≤ bin < BINS. */
  readonly bin: Float32Array;
}

/** Place of each pixel of a window in the frame. */
export function polarGeometry(widthPx: number, heightPx: number, frame: Frame): PolarGeometry {
  const total = widthPx * heightPx;
  const x = new Float32Array(total);
  const y = new Float32Array(total);
  const distance = new Float32Array(total);
  const bin = new Float32Array(total);
  const perTurn = BINS / (2 * Math.PI);
  for (let row = 0; row < heightPx; row++) {
    const v = (frame.row - row - 0.5) * frame.unitsPerRow;
    for (let column = 0; column < widthPx; column++) {
      const i = row * widthPx + column;
      const u = (column + 0.5 - frame.column) * frame.unitsPerColumn;
      x[i] = u;
      y[i] = v;
      distance[i] = Math.sqrt(u * u + v * v);
      const turn = Math.atan2(v, u) * perTurn;
      const positive = turn < 0 ? turn + BINS : turn;
      bin[i] = positive >= BINS - 1e-3 ? 0 : positive;
    }
  }
  return { x, y, distance, bin };
}
