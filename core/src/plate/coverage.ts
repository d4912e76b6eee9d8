/**
 * Forward model of a scan of one outline: which share of each pixel it covers, exactly, and what the
 * scanner's blur makes of it.
 */

/** A polygon as interleaved column, row values in window pixels (corner origin), closed by itself. */
export type PolygonPx = Float64Array;

/**
 * Share of each pixel covered by a simple polygon, exact up to rounding.
 * Each edge adds its signed area to the pixels it crosses and its height to all pixels right of it;
 * a running sum along the rows turns that into coverage.
 * @param fine each pixel is divided into `fine` × `fine`; the result has that many more columns and rows
 */
export function polygonCoverage(polygon: PolygonPx, widthPx: number, heightPx: number, fine: number): Float32Array {
  const w = widthPx * fine;
  const h = heightPx * fine;
  const out = new Float32Array(w * h);
  const n = polygon.length / 2;
  let px = polygon[2 * n - 2]! * fine;
  let py = polygon[2 * n - 1]! * fine;
  let turn = 0;
  for (let i = 0; i < n; i++) {
    const qx = polygon[2 * i]! * fine;
    const qy = polygon[2 * i + 1]! * fine;
    turn += px * qy - qx * py;
    addEdge(out, w, h, px, py, qx, qy);
    px = qx;
    py = qy;
  }
  const sign = turn < 0 ? 1 : -1;
  for (let y = 0; y < h; y++) {
    let sum = 0;
    const o = y * w;
    for (let x = 0; x < w; x++) {
      sum += out[o + x]!;
      out[o + x] = sign * sum;
    }
  }
  return out;
}

function addEdge(acc: Float32Array, w: number, h: number, ax: number, ay: number, bx: number, by: number): void {
  if (ay === by) return;
  const down = by > ay ? 1 : -1;
  const [x0, y0, x1, y1] = down > 0 ? [ax, ay, bx, by] : [bx, by, ax, ay];
  const slope = (x1 - x0) / (y1 - y0);
  const first = Math.max(0, Math.floor(y0));
  const last = Math.min(h - 1, Math.ceil(y1) - 1);
  for (let y = first; y <= last; y++) {
    const top = Math.max(y, y0);
    const bottom = Math.min(y + 1, y1);
    if (bottom <= top) continue;
    let xa = x0 + (top - y0) * slope;
    let xb = x0 + (bottom - y0) * slope;
    if (xa > xb) [xa, xb] = [xb, xa];
    addSpan(acc, y * w, w, xa, xb, down * (bottom - top));
  }
}

/** One row's piece of an edge, from xa to xb ≥ xa, of signed height `cover`. */
function addSpan(acc: Float32Array, offset: number, w: number, xa: number, xb: number, cover: number): void {
  if (xb <= 0) {
    acc[offset]! += cover;
    return;
  }
  if (xa >= w) return;
  const from = Math.floor(xa);
  if (xb - xa < 1e-12 || Math.floor(xb) === from) {
    // Inside one pixel: the part right of the edge's middle belongs to it, the rest carries on.
    const inside = cover * (from + 1 - (xa + xb) / 2);
    put(acc, offset, w, from, inside);
    put(acc, offset, w, from + 1, cover - inside);
    return;
  }
  const perPixel = cover / (xb - xa);
  let carried = 0;
  const to = Math.ceil(xb);
  for (let x = from; x < to; x++) {
    const left = Math.max(x, xa);
    const right = Math.min(x + 1, xb);
    const part = perPixel * (right - left);
    const inside = part * (x + 1 - (left + right) / 2);
    put(acc, offset, w, x, inside + carried);
    carried = part - inside;
  }
  put(acc, offset, w, to, carried);
}

function put(acc: Float32Array, offset: number, w: number, x: number, amount: number): void {
  if (x >= w) return;
  acc[offset + (x < 0 ? 0 : x)]! += amount;
}

/**
 * Coverage after the scanner's blur, sampled at the pixels of the window. Where the blur is narrow
 * against a pixel, the work is done on a finer grid and averaged: sampled once a pixel an edge is seen as steps.
 * @param sigmaColumnPx standard deviation of the optical blur along the rows, without the pixel itself
 * @param sigmaRowPx the same down the columns
 * @param rough good for 0.006 only
 */
export function blurredCoverage(
  polygon: PolygonPx,
  size: { readonly widthPx: number; readonly heightPx: number },
  sigmaColumnPx: number,
  sigmaRowPx: number,
  rough = false,
): Float32Array {
  const fine = fineness(Math.min(sigmaColumnPx, sigmaRowPx), rough);
  const { widthPx, heightPx } = size;
  const cover = polygonCoverage(polygon, widthPx, heightPx, fine);
  const across = blurRows(cover, widthPx * fine, heightPx * fine, gaussianKernel(sigmaColumnPx * fine, fine), fine);
  return blurColumns(across, widthPx, heightPx * fine, gaussianKernel(sigmaRowPx * fine, fine), fine);
}

/** Parts of a pixel's side that keep every pixel's share right to 0.0007 where the edge passes: a tenth of a scan's noise. */
function fineness(sigmaPx: number, rough: boolean): number {
  if (rough) return sigmaPx >= 0.7 ? 1 : sigmaPx >= 0.35 ? 2 : 3;
  if (sigmaPx >= 1.6) return 1;
  if (sigmaPx >= 0.85) return 2;
  if (sigmaPx >= 0.45) return 3;
  return sigmaPx >= 0.25 ? 4 : 6;
}

/** A symmetric kernel, whole sum 1: a Gaussian, and the mean over `every` neighbours. */
export function gaussianKernel(sigma: number, every = 1): Float64Array {
  const reach = Math.max(1, Math.ceil(4.5 * sigma));
  const kernel = new Float64Array(2 * reach + every);
  let sum = 0;
  for (let i = -reach; i <= reach; i++) {
    const v = Math.exp(-0.5 * (i / sigma) ** 2);
    for (let m = 0; m < every; m++) kernel[reach + i + m]! += v;
    sum += every * v;
  }
  return kernel.map((v) => v / sum);
}

/**
 * Rows convolved with a kernel made for groups of `every` places, one value for each group; what lies beyond the border is
 * as at the border.
 */
export function blurRows(input: Float32Array, w: number, h: number, kernel: Float64Array, every = 1): Float32Array {
  const groups = w / every;
  const out = new Float32Array(groups * h);
  const n = kernel.length;
  const reach = (n - every) / 2;
  const half = n >> 1;
  const line = new Float64Array(w + 2 * reach);
  for (let y = 0; y < h; y++) {
    const o = y * w;
    line.fill(input[o]!, 0, reach);
    for (let x = 0; x < w; x++) line[reach + x] = input[o + x]!;
    line.fill(input[o + w - 1]!, reach + w);
    // Stretches without an edge stay as they are; `last` is the last place where the line changes.
    let last = 0;
    for (let x = 1; x < n - every; x++) if (line[x] !== line[x - 1]) last = x;
    for (let g = 0; g < groups; g++) {
      const a = g * every;
      for (let x = a + n - every; x < a + n; x++) if (x > 0 && line[x] !== line[x - 1]) last = x;
      if (last <= a) {
        out[y * groups + g] = line[a]!;
        continue;
      }
      let sum = n % 2 === 1 ? kernel[half]! * line[a + half]! : 0;
      for (let k = 0; k < half; k++) sum += kernel[k]! * (line[a + k]! + line[a + n - 1 - k]!);
      out[y * groups + g] = sum;
    }
  }
  return out;
}

/** The same down the columns. */
export function blurColumns(input: Float32Array, w: number, h: number, kernel: Float64Array, every = 1): Float32Array {
  const groups = h / every;
  const out = new Float32Array(w * groups);
  const n = kernel.length;
  const reach = (n - every) / 2;
  const half = n >> 1;
  const sums = new Float64Array(w);
  const rowAt = (y: number): number => Math.min(h - 1, Math.max(0, y)) * w;
  for (let g = 0; g < groups; g++) {
    const a = g * every - reach;
    sums.fill(0);
    if (n % 2 === 1) {
      const row = rowAt(a + half);
      for (let x = 0; x < w; x++) sums[x] = kernel[half]! * input[row + x]!;
    }
    for (let k = 0; k < half; k++) {
      const up = rowAt(a + k);
      const down = rowAt(a + n - 1 - k);
      const weight = kernel[k]!;
      for (let x = 0; x < w; x++) sums[x]! += weight * (input[up + x]! + input[down + x]!);
    }
    for (let x = 0; x < w; x++) out[g * w + x] = sums[x]!;
  }
  return out;
}
