/**
 * The shape of a piece of debris, for the drawing and for the clear shape of a hole: where the missing light passes a
 * level, chosen so that the loop holds just the area that the missing light amounts to.
 */
import type { Point } from '../geometry/points.ts';
import { polygonArea } from '../geometry/points.ts';
import type { LightWindow } from './light-window.ts';
import type { RimFit } from './rim.ts';

/** Loops of more points are thinned. */
const MOST_POINTS = 160;
const MARGIN = 2;

interface Field {
  readonly column: number;
  readonly row: number;
  readonly width: number;
  readonly height: number;
  /** Share of the light that is missing, 0 outside the piece. */
  readonly missing: Float64Array;
}

/**
 * @param pixels of the piece, by index into the window
 * @param mask 1 where the piece may reach
 * @param areaPx area of the piece in pixels of the window
 * @returns closed loop in pixels of the window, corner origin, row down; empty when the piece is too small to have one
 */
export function debrisOutline(
  window: LightWindow,
  fit: RimFit,
  pixels: readonly number[],
  mask: Uint8Array,
  areaPx: number,
): Point[] {
  const field = missingField(window, fit, pixels, mask);
  let low = 0.02;
  let high = 0.98;
  let best: Point[] = [];
  for (let i = 0; i < 14; i++) {
    const level = (low + high) / 2;
    const loop = largestLoop(field, level);
    const area = loop.length < 3 ? 0 : Math.abs(polygonArea(loop));
    if (loop.length >= 3) best = loop;
    if (area > areaPx) low = level;
    else high = level;
  }
  const stride = Math.max(1, Math.ceil(best.length / MOST_POINTS));
  return best.filter((_, i) => i % stride === 0).map(({ x, y }) => ({ x: x + field.column, y: y + field.row }));
}

function missingField(window: LightWindow, fit: RimFit, pixels: readonly number[], mask: Uint8Array): Field {
  const { widthPx, heightPx } = window;
  let left = Infinity;
  let top = Infinity;
  let right = 0;
  let bottom = 0;
  for (const p of pixels) {
    const column = p % widthPx;
    const row = (p - column) / widthPx;
    left = Math.min(left, column);
    right = Math.max(right, column);
    top = Math.min(top, row);
    bottom = Math.max(bottom, row);
  }
  const reach = MARGIN + Math.ceil(2.5 * fit.sigma);
  left = Math.max(0, left - reach);
  top = Math.max(0, top - reach);
  right = Math.min(widthPx - 1, right + reach);
  bottom = Math.min(heightPx - 1, bottom + reach);
  // One empty line all round, so that every loop closes.
  const width = right - left + 3;
  const height = bottom - top + 3;
  const missing = new Float64Array(width * height);
  for (let row = top; row <= bottom; row++) {
    for (let column = left; column <= right; column++) {
      const i = row * widthPx + column;
      if (mask[i] !== 1 || !(fit.image.depth[i]! > 0)) continue;
      missing[(row - top + 1) * width + column - left + 1] = Math.max(0, -fit.residual[i]! / fit.contrast);
    }
  }
  return { column: left - 0.5, row: top - 0.5, width, height, missing };
}

/** Marching squares with straight lines between pixel centres; the loop of the largest area. */
function largestLoop(field: Field, level: number): Point[] {
  const { width, height, missing } = field;
  const next = new Map<string, Point>();
  const at = (x: number, y: number): number => missing[y * width + x]!;
  const key = (p: Point): string => `${p.x.toFixed(6)} ${p.y.toFixed(6)}`;
  const cross = (x0: number, y0: number, x1: number, y1: number): Point => {
    const a = at(x0, y0);
    const t = (level - a) / (at(x1, y1) - a);
    return { x: x0 + t * (x1 - x0), y: y0 + t * (y1 - y0) };
  };
  for (let y = 0; y + 1 < height; y++) {
    for (let x = 0; x + 1 < width; x++) {
      const corners: readonly (readonly [number, number])[] = [[x, y], [x + 1, y], [x + 1, y + 1], [x, y + 1]];
      const inside = corners.map(([u, v]) => at(u, v) > level);
      // Walking round the cell, each way in is joined to the next way out: the inside stays on one hand.
      for (let i = 0; i < 4; i++) {
        if (inside[i] || !inside[(i + 1) % 4]) continue;
        let j = (i + 1) % 4;
        while (inside[(j + 1) % 4]) j = (j + 1) % 4;
        const [a, b] = [corners[i]!, corners[(i + 1) % 4]!];
        const [c, d] = [corners[j]!, corners[(j + 1) % 4]!];
        next.set(key(cross(c[0], c[1], d[0], d[1])), cross(a[0], a[1], b[0], b[1]));
      }
    }
  }
  let best: Point[] = [];
  let bestArea = 0;
  const open = new Set(next.keys());
  for (const start of next.keys()) {
    if (!open.has(start)) continue;
    const loop: Point[] = [];
    for (let k = start; open.has(k); ) {
      open.delete(k);
      const point = next.get(k)!;
      loop.push(point);
      k = key(point);
    }
    const area = Math.abs(polygonArea(loop));
    if (area > bestArea) {
      bestArea = area;
      best = loop;
    }
  }
  return best;
}
