/**
 * What lies in the hole, hangs over its rim or runs into it: regions that differ from a smooth rim, told
 * apart by place and form. Burrs and chips belong to the outline; debris and scratches are taken off it.
 */
import type { Point } from '../geometry/points.ts';
import { debrisOutline } from './debris-outline.ts';
import type { Frame } from './first-rim.ts';
import type { LightWindow } from './light-window.ts';
import { normalShare } from './normal.ts';
import type { RimFit } from './rim.ts';

export type DepartureKind = 'burr' | 'chip' | 'island' | 'fibre' | 'scratch' | 'other-light';

export interface Departure {
  readonly kind: DepartureKind;
  /** Pixels of the window, by index. */
  readonly pixels: readonly number[];
  /** Centre, units of the frame, y up. */
  readonly x: number;
  readonly y: number;
  /** Length over width of the region. */
  readonly elongation: number;
  readonly touchesRim: boolean;
}

/** Marks of pixels that depart. */
const DARK = 1;
const BRIGHT = 2;
const FAINT = 3;

/** A departure this far from light or dark counts, as a share of the contrast. */
const DARK_SHARE = 0.22;
/** In the middle of the hole nothing but debris is darker: there the blurred light of small specks counts. */
const FAINT_SHARE = 0.05;
const BRIGHT_SHARE = 0.12;
/** Reach of a chip as a share of the radius up to which its light need not be told from a scratch's. */
const LONGEST_CHIP_SHARE = 0.33;

/**
 * Regions where the scan differs from the model of a fit.
 * @param fit a coarse fit, or a fine one for what is left over
 */
export function departures(window: LightWindow, fit: RimFit): Departure[] {
  const { widthPx, heightPx } = window;
  const total = widthPx * heightPx;
  const mark = new Uint8Array(total);
  const contrast = fit.contrast;
  const noiseIn = Math.sqrt(fit.state.holeVariance) / Math.abs(contrast);
  const noiseOut = Math.sqrt(fit.state.plateVariance) / Math.abs(contrast);
  const dark = Math.max(DARK_SHARE, 4.5 * noiseIn);
  const faint = Math.max(FAINT_SHARE, 5 * noiseIn);
  const middle = 2.5 * fit.sigma + 1;
  const bright = Math.max(BRIGHT_SHARE, 5 * noiseOut);
  for (let i = 0; i < total; i++) {
    const share = fit.image.share[i]!;
    if (Number.isNaN(share)) continue;
    const q = fit.residual[i]! / contrast;
    if (share > 0.3 && q < -dark) mark[i] = DARK;
    else if (q < -faint && fit.image.depth[i]! > middle) mark[i] = FAINT;
    else if (share < 0.7 && q > bright + 0.5 * Math.max(0, share)) mark[i] = BRIGHT;
  }
  const out: Departure[] = [];
  const take = (pixels: number[], inside: boolean): void => {
    const departure = classify(window, fit, pixels, inside);
    if (departure) out.push(departure);
  };
  const skirts = new Uint8Array(total);
  for (let i = 0; i < total; i++) {
    const value = mark[i]!;
    if (value !== DARK && value !== BRIGHT) continue;
    const pixels = flood(mark, i, value, widthPx, heightPx);
    // The faint skirt of a dark piece is no piece of its own.
    if (value === DARK) markAround(window, fit.frame, [{ pixels }], 2 * fit.sigma + 1, skirts);
    take(pixels, value === DARK);
  }
  for (let i = 0; i < total; i++) if (skirts[i] === 1) mark[i] = 0;
  for (let i = 0; i < total; i++) if (mark[i] === FAINT) take(flood(mark, i, FAINT, widthPx, heightPx), true);
  return out;
}

function flood(mark: Uint8Array, start: number, value: number, w: number, h: number): number[] {
  const pixels = [start];
  mark[start] = 0;
  for (let k = 0; k < pixels.length; k++) {
    const p = pixels[k]!;
    const x = p % w;
    const y = (p - x) / w;
    for (let dy = -1; dy <= 1; dy++) {
      for (let dx = -1; dx <= 1; dx++) {
        const u = x + dx;
        const v = y + dy;
        if (u < 0 || v < 0 || u >= w || v >= h) continue;
        const q = v * w + u;
        if (mark[q] === value) {
          mark[q] = 0;
          pixels.push(q);
        }
      }
    }
  }
  return pixels;
}

function classify(window: LightWindow, fit: RimFit, pixels: number[], inside: boolean): Departure | null {
  const R = fit.radius[0]!;
  const sigma = fit.sigma;
  const { x, y, elongation, width } = moments(window, fit.frame, pixels);
  let deepest = -Infinity;
  let shallowest = Infinity;
  let strongest = 0;
  for (const p of pixels) {
    const depth = inside ? fit.image.depth[p]! : -fit.image.depth[p]!;
    deepest = Math.max(deepest, depth);
    shallowest = Math.min(shallowest, depth);
    strongest = Math.max(strongest, Math.abs(fit.residual[p]! / fit.contrast));
  }
  const touchesRim = shallowest < 1.3 * sigma + 0.7;
  const departure = (kind: DepartureKind): Departure => ({ kind, pixels, x, y, elongation, touchesRim });
  if (!touchesRim) {
    // A lone pixel or two is noise; dust is wider than the blur.
    if (pixels.length < Math.max(3, 1.5 * sigma * sigma)) return null;
    if (inside) return departure(elongation > 3.5 ? 'fibre' : 'island');
    return departure('other-light');
  }
  const reach = deepest;
  // What stays this close to the smooth outline is the outline's own form.
  if (reach < 1.6 * sigma + 0.8) return null;
  const profile = widthsByDepth(fit, pixels, inside);
  const waist = profile.base < 0.7 * profile.widest && profile.deepestOfWidest > 2.2 * sigma;
  const slender = reach > 2.2 * Math.max(profile.base, width);
  const far = reach > 0.45 * R;
  if (inside) {
    if (!far && !slender && !waist) return departure('burr');
    return departure(elongation > 3.5 || far ? 'fibre' : 'island');
  }
  // A chip is as bright as the hole, where the blur lets it show that, and short; a scratch lets through or throws back
  // only part of the light, and runs on.
  const short = reach < LONGEST_CHIP_SHARE * R;
  if (!far && strongest > (short ? 0.3 : slender ? 0.7 : 0.55)) return departure('chip');
  return departure('scratch');
}

interface Moments {
  readonly x: number;
  readonly y: number;
  readonly elongation: number;
  /** Full width across, units, as of an ellipse. */
  readonly width: number;
}

function moments(window: LightWindow, frame: Frame, pixels: readonly number[]): Moments {
  let sx = 0;
  let sy = 0;
  let sxx = 0;
  let sxy = 0;
  let syy = 0;
  for (const p of pixels) {
    const { x, y } = unitsOf(window, frame, p);
    sx += x;
    sy += y;
    sxx += x * x;
    sxy += x * y;
    syy += y * y;
  }
  const n = pixels.length;
  const x = sx / n;
  const y = sy / n;
  const a = sxx / n - x * x + 1 / 12;
  const b = sxy / n - x * y;
  const c = syy / n - y * y + 1 / 12;
  const mean = (a + c) / 2;
  const spread = Math.hypot((a - c) / 2, b);
  const small = Math.max(1 / 12, mean - spread);
  return { x, y, elongation: Math.sqrt((mean + spread) / small), width: 4 * Math.sqrt(small) };
}

/** Width along the rim at each depth: at the rim itself, and where it is widest. */
function widthsByDepth(
  fit: RimFit,
  pixels: readonly number[],
  inside: boolean,
): { base: number; widest: number; deepestOfWidest: number } {
  const counts = new Map<number, number>();
  for (const p of pixels) {
    const layer = Math.floor(inside ? fit.image.depth[p]! : -fit.image.depth[p]!);
    counts.set(layer, (counts.get(layer) ?? 0) + 1);
  }
  const limit = Math.ceil(1.3 * fit.sigma + 0.7);
  let base = 0;
  let widest = 0;
  let deepestOfWidest = 0;
  for (const [layer, count] of counts) {
    if (layer <= limit) base = Math.max(base, count);
    if (count > widest) {
      widest = count;
      deepestOfWidest = layer;
    }
  }
  return { base, widest, deepestOfWidest };
}

function unitsOf(window: LightWindow, frame: Frame, p: number): { x: number; y: number } {
  const column = p % window.widthPx;
  const row = (p - column) / window.widthPx;
  return {
    x: (column + 0.5 - frame.column) * frame.unitsPerColumn,
    y: (frame.row - row - 0.5) * frame.unitsPerRow,
  };
}

/** Marks the pixels of departures and all within `reach` units of them. */
export function markAround(
  window: LightWindow,
  frame: Frame,
  list: readonly Pick<Departure, 'pixels'>[],
  reach: number,
  into?: Uint8Array,
): Uint8Array {
  const { widthPx, heightPx } = window;
  const mask = into ?? new Uint8Array(widthPx * heightPx);
  const rx = reach / frame.unitsPerColumn;
  const ry = reach / frame.unitsPerRow;
  const offsets: [number, number][] = [];
  for (let dy = -Math.floor(ry); dy <= ry; dy++) {
    const half = rx * Math.sqrt(Math.max(0, 1 - (dy / ry) ** 2));
    offsets.push([dy, Math.floor(half)]);
  }
  for (const departure of list) {
    for (const p of departure.pixels) {
      const column = p % widthPx;
      const row = (p - column) / widthPx;
      for (const [dy, half] of offsets) {
        const y = row + dy;
        if (y < 0 || y >= heightPx) continue;
        mask.fill(1, y * widthPx + Math.max(0, column - half), y * widthPx + Math.min(widthPx - 1, column + half) + 1);
      }
    }
  }
  return mask;
}

export interface DebrisArea {
  readonly departure: Departure;
  /** Area hidden inside the outline, units². */
  readonly area: number;
  /** Standard uncertainty of it. */
  readonly areaDeviation: number;
  /** Closed loop in pixels of the window, corner origin, row down. */
  readonly outline: readonly Point[];
}

/** How well the darkness of a piece is judged, as a share of its area; of a thin one less well. Tuned on rendered scans. */
const DARKNESS_DOUBT = { thick: 0.01, thin: 0.03 } as const;

/**
 * Area that each piece of debris hides. The missing light is summed, so blur does not matter; it is divided
 * by the darkness of the piece, which is judged from its darkest part and its width against the blur.
 */
export function debrisAreas(window: LightWindow, fit: RimFit, list: readonly Departure[], reach: number): DebrisArea[] {
  return list.map((departure) => {
    const mask = markAround(window, fit.frame, [departure], reach);
    let missing = 0;
    for (let i = 0; i < mask.length; i++) {
      if (mask[i] !== 1 || Number.isNaN(fit.image.share[i]!)) continue;
      const q = -fit.residual[i]! / fit.contrast;
      missing += q;
    }
    const sorted = departure.pixels.map((p) => -fit.residual[p]! / fit.contrast).sort((a, b) => b - a);
    const top = sorted.slice(0, Math.max(1, Math.ceil(sorted.length * 0.1)));
    const peak = top.reduce((a, b) => a + b, 0) / top.length;
    const area = Math.max(0, missing / darkness(fit, departure, missing, peak));
    const noise = Math.sqrt(fit.state.holeVariance * mask.reduce((sum, v) => sum + v, 0)) / Math.abs(fit.contrast);
    const doubt = (departure.elongation > 3 ? DARKNESS_DOUBT.thin : DARKNESS_DOUBT.thick) * area;
    return {
      departure,
      area,
      areaDeviation: Math.hypot(noise, doubt),
      outline: debrisOutline(window, fit, departure.pixels, mask, area),
    };
  });
}

/** Darkness 0…1+ of a piece: 1 is as dark as the plate. Thin pieces never reach it in a blurred scan. */
function darkness(fit: RimFit, departure: Departure, missing: number, peak: number): number {
  const s = fit.sigma;
  const area = departure.pixels.length;
  const length = Math.sqrt(area * departure.elongation * (4 / Math.PI));
  let level = 1;
  for (let i = 0; i < 20; i++) {
    const covered = missing / level;
    const width = departure.elongation > 3 ? covered / length : 2 * Math.sqrt(covered / Math.PI);
    const seen =
      departure.elongation > 3 ? 2 * normalShare(width / (2 * s)) - 1 : 1 - Math.exp(-((width / 2) ** 2) / (2 * s * s));
    level = Math.min(Math.max(1, peak), Math.max(0.25, peak / Math.max(0.05, seen)));
  }
  // Near black it is black: dust and fibres stop the light.
  return level > 0.8 && level < 1.1 ? 1 : level;
}
