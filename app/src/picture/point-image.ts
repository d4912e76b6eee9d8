/** The image of a point brought from the plane across the ray onto the film, and to the screen. */
import type { FilmRay, ShapeImage } from '#core';

export interface Offset {
  readonly xMm: number;
  readonly yMm: number;
}

export type Scale = 'linear' | 'log';

/** Four decades of light, as many as a long-scaled film may hold. */
const DECADES = 4;

/** A film offset (x right, y up) across the ray. */
export function acrossRay(ray: FilmRay, { xMm, yMm }: Offset): Offset {
  const [a, b, c, d] = ray.projection;
  return { xMm: a * xMm + b * yMm, yMm: c * xMm + d * yMm };
}

/** Canvas transform (a b c d) that lays image pixels, columns right and rows down, on the film seen from behind. */
export function filmTransform(ray: FilmRay, factor: number): readonly [number, number, number, number] {
  const [a, b, c, d] = ray.projection;
  const k = factor / (a * d - b * c);
  // film = projection⁻¹ · ray, with y turned downwards on both sides
  return [d * k, c * k, b * k, a * k];
}

/** Intensity at a film offset, between the samples; `null` outside the grid. */
export function intensityAt(image: ShapeImage, ray: FilmRay, offset: Offset): number | null {
  const across = acrossRay(ray, offset);
  const column = across.xMm / image.pitchMm + (image.columns - 1) / 2;
  const row = (image.rows - 1) / 2 - across.yMm / image.pitchMm;
  const left = Math.floor(column);
  const top = Math.floor(row);
  if (!(left >= 0 && top >= 0 && left < image.columns - 1 && top < image.rows - 1)) {
    return null;
  }
  const u = column - left;
  const v = row - top;
  const at = (dx: number, dy: number): number => Number(image.intensity[(top + dy) * image.columns + left + dx]);
  return (1 - v) * ((1 - u) * at(0, 0) + u * at(1, 0)) + v * ((1 - u) * at(0, 1) + u * at(1, 1));
}

export function peakOf(image: ShapeImage): number {
  return image.intensity.reduce((peak, value) => Math.max(peak, value), 0);
}

/** 0 to 1, how much ink a brightness gets. */
export function inkOf(relative: number, scale: Scale): number {
  if (scale === 'linear') return Math.min(1, Math.max(0, relative));
  return relative <= 0 ? 0 : Math.min(1, Math.max(0, 1 + Math.log10(relative) / DECADES));
}

/** RGBA of an image between two colours. */
export function inked(
  image: ShapeImage,
  scale: Scale,
  colours: { readonly ground: readonly number[]; readonly ink: readonly number[] },
): Uint8ClampedArray<ArrayBuffer> {
  const peak = peakOf(image) || 1;
  const out = new Uint8ClampedArray(4 * image.intensity.length);
  for (const [i, value] of image.intensity.entries()) {
    const t = inkOf(value / peak, scale);
    for (let k = 0; k < 3; k++) {
      const ground = colours.ground[k] ?? 0;
      out[4 * i + k] = ground + t * ((colours.ink[k] ?? 0) - ground);
    }
    out[4 * i + 3] = 255;
  }
  return out;
}

/** Diameter about the centre of light within which a share of all light falls; `null` when the grid is too small. */
export function diameterHolding(image: ShapeImage, totalMm2: number, share: number): number | null {
  const { columns, rows, pitchMm, intensity } = image;
  let sum = 0;
  let sumX = 0;
  let sumY = 0;
  for (const [i, value] of intensity.entries()) {
    sum += value;
    sumX += value * (i % columns);
    sumY += value * Math.floor(i / columns);
  }
  const steps = Math.floor(Math.min(columns, rows) / 2);
  const rings = new Float64Array(4 * steps + 1);
  for (const [i, value] of intensity.entries()) {
    const r = Math.hypot((i % columns) - sumX / sum, Math.floor(i / columns) - sumY / sum);
    const ring = Math.round(2 * r);
    if (ring < rings.length) rings[ring] = Number(rings[ring]) + value;
  }
  const wanted = (share * totalMm2) / pitchMm ** 2;
  let held = 0;
  for (const [ring, value] of rings.entries()) {
    if (held + value >= wanted && ring < 2 * steps) {
      return (ring - 0.5 + (wanted - held) / value) * pitchMm;
    }
    held += value;
  }
  return null;
}
