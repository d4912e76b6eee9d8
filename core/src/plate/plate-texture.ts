/**
 * The plate beside the rim is not even: brushed metal has streaks many times longer than wide. What they are
 * like right at the rim is foretold from their course outside (kriging along the streaks), with what stays
 * unknown about it, so that a streak does not pass for a shift of the edge.
 */
import { choleskyForward, choleskyInPlace, choleskySolve, rowProducts } from '../numeric/cholesky.ts';
import { BINS } from './outline-form.ts';
import { PLACES, type PlateTexture, type RimFit } from './rim.ts';

/** Layers in which the plate is averaged, and in which it is foretold; distances from the rim in blur widths. */
const LAYER_EDGES = [2.2, 3.1, 4.1, 5.3, 6.8, 8.8] as const;
/** From this layer on two neighbouring places share a cell: so far out their light tells the rim little. */
const PAIRED_FROM = 1;
const FORETOLD = [0.3, 1.3, 2.65, 3.6, 4.7, 6.05, 7.8] as const;

/** The first `count` entries of each. */
interface Field {
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly value: Float64Array;
  readonly depth: Float64Array;
  readonly place: Int32Array;
  readonly count: number;
}

interface Covariance {
  readonly angle: number;
  readonly along: number;
  readonly across: number;
  readonly variance: number;
  readonly nugget: number;
}

/**
 * @param fit a fit without texture, or with `previous`
 * @returns null where the plate is as even as the pixels' noise
 */
export function plateTexture(fit: RimFit, mask: Uint8Array | undefined, previous?: PlateTexture): PlateTexture | null {
  const field = outsideField(fit, mask, previous);
  if (field.count < 60) return null;
  const covariance = estimateCovariance(field, fit);
  if (!covariance) return null;
  const cells = averagedCells(field, fit, covariance);
  const n = cells.x.length;
  if (n < 30) return null;
  const between = kernelOf(covariance);
  const a = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < i; j++) a[i * n + j] = between(cells.x[i]! - cells.x[j]!, cells.y[i]! - cells.y[j]!);
    a[i * n + i] = covariance.variance + cells.noise[i]!;
  }
  if (!choleskyInPlace(a, n)) return null;
  const alpha = choleskySolve(a, n, cells.value);
  const table = new Float64Array(FORETOLD.length * PLACES);
  // Covariances of the places at the rim with the cells, one row each.
  const rim = new Float64Array(PLACES * n);
  for (let layer = 0; layer < FORETOLD.length; layer++) {
    for (let place = 0; place < PLACES; place++) {
      const at = rimPlace(fit, place, FORETOLD[layer]! * fit.sigma);
      let sum = 0;
      for (let i = 0; i < n; i++) {
        const c = between(at.x - cells.x[i]!, at.y - cells.y[i]!);
        sum += alpha[i]! * c;
        if (layer === 0) rim[place * n + i] = c;
      }
      table[layer * PLACES + place] = sum;
    }
  }
  return { light: spreadOut(table, fit), unknown: unknownAtRim(fit, a, rim, between) };
}

/** Likeness over distance in reaches: exp(−0.7 r), tabled as far as anyone asks; straight lines between, off by less than 1e-5. */
const PER_REACH = 128;
const FARTHEST = 24;
const LIKENESS = Float64Array.from({ length: FARTHEST * PER_REACH + 2 }, (_, i) => Math.exp((-0.7 * i) / PER_REACH));

/** Covariance of the plate's light at two places so far apart. */
function kernelOf({ angle, along, across, variance }: Covariance): (dx: number, dy: number) => number {
  const c = Math.cos(angle) / along;
  const s = Math.sin(angle) / along;
  const c2 = Math.cos(angle) / across;
  const s2 = Math.sin(angle) / across;
  const table = LIKENESS;
  return (dx, dy) => {
    const l = dx * c + dy * s;
    const a = dy * c2 - dx * s2;
    const t = Math.sqrt(l * l + a * a) * PER_REACH;
    if (t >= FARTHEST * PER_REACH) return 0;
    const i = t | 0;
    const low = table[i]!;
    return variance * (low + (t - i) * (table[i + 1]! - low));
  };
}

function rimPlace(fit: RimFit, place: number, shift: number): { x: number; y: number } {
  const angle = (2 * Math.PI * place) / PLACES;
  const r = fit.rim.radius[(place * BINS) / PLACES]! + shift;
  return { x: r * Math.cos(angle), y: r * Math.sin(angle) };
}

interface Cells {
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly value: Float64Array;
  readonly noise: Float64Array;
}

function averagedCells(field: Field, fit: RimFit, covariance: Covariance): Cells {
  const layers = LAYER_EDGES.length - 1;
  const size = layers * PLACES;
  const sums = [0, 1, 2, 3].map(() => new Float64Array(size));
  const [count, sx, sy, sv] = sums as [Float64Array, Float64Array, Float64Array, Float64Array];
  const limit = 4.5 * Math.sqrt(covariance.variance + covariance.nugget);
  for (let n = 0; n < field.count; n++) {
    const far = field.depth[n]! / fit.sigma;
    if (far < LAYER_EDGES[0] || far >= LAYER_EDGES[layers]!) continue;
    let layer = 0;
    while (far >= LAYER_EDGES[layer + 1]!) layer++;
    const place = field.place[n]!;
    const k = layer * PLACES + (layer < PAIRED_FROM ? place : place & ~1);
    count[k]! += 1;
    sx[k]! += field.x[n]!;
    sy[k]! += field.y[n]!;
    sv[k]! += Math.min(limit, Math.max(-limit, field.value[n]!));
  }
  const used = Array.from(count.keys()).filter((k) => count[k]! > 0);
  const pick = (f: (k: number) => number): Float64Array => Float64Array.from(used, f);
  return {
    x: pick((k) => sx[k]! / count[k]!),
    y: pick((k) => sy[k]! / count[k]!),
    value: pick((k) => sv[k]! / count[k]!),
    noise: pick((k) => covariance.nugget / count[k]! + 0.02 * covariance.variance),
  };
}

/**
 * What the cells leave unknown at the rim: prior covariance less what they explain.
 * @param factor of the covariance of the cells
 * @param rim covariances of the places at the rim with the cells; spoilt
 */
function unknownAtRim(fit: RimFit, factor: Float64Array, rim: Float64Array, between: (dx: number, dy: number) => number): Float64Array {
  const places = Array.from({ length: PLACES }, (_, p) => rimPlace(fit, p, FORETOLD[0] * fit.sigma));
  const n = rim.length / PLACES;
  choleskyForward(factor, n, rim, PLACES);
  const explained = rowProducts(rim, n, PLACES);
  return explained.map((v, k) => {
    const [p, q] = [places[Math.floor(k / PLACES)]!, places[k % PLACES]!];
    return between(p.x - q.x, p.y - q.y) - v;
  });
}

/** From places and layers to pixels, straight lines between them. */
function spreadOut(table: Float64Array, fit: RimFit): Float32Array {
  const light = new Float32Array(fit.residual.length);
  for (const i of fit.image.list) {
    const far = -fit.image.depth[i]! / fit.sigma;
    let layer = 0;
    while (layer < FORETOLD.length - 2 && far > FORETOLD[layer + 1]!) layer++;
    const span = FORETOLD[layer + 1]! - FORETOLD[layer]!;
    const t = Math.min(1, Math.max(0, (far - FORETOLD[layer]!) / span));
    const at = (fit.geometry.bin[i]! / BINS) * PLACES;
    const low = Math.floor(at) % PLACES;
    const high = (low + 1) % PLACES;
    const f = at - Math.floor(at);
    const o = layer * PLACES;
    const near = table[o + low]! * (1 - f) + table[o + high]! * f;
    const next = table[o + PLACES + low]! * (1 - f) + table[o + PLACES + high]! * f;
    // Beyond the last layer the foretelling fades, for nobody asks there.
    const fade = far > FORETOLD[FORETOLD.length - 1]! ? Math.max(0, 1 - (far - FORETOLD[FORETOLD.length - 1]!) / 3) : 1;
    light[i] = fade * (near * (1 - t) + next * t);
  }
  return light;
}

function outsideField(fit: RimFit, mask: Uint8Array | undefined, previous?: PlateTexture): Field {
  const { list, share, depth, slope } = fit.image;
  const [x, y, value, away] = [0, 1, 2, 3].map(() => new Float64Array(list.length)) as [Float64Array, Float64Array, Float64Array, Float64Array];
  const place = new Int32Array(list.length);
  let count = 0;
  for (const i of list) {
    if (!(depth[i]! < 0 && Math.abs(share[i]!) <= 0.03 && slope[i]! >= 0.5) || mask?.[i] === 1) continue;
    x[count] = fit.geometry.x[i]!;
    y[count] = fit.geometry.y[i]!;
    value[count] = fit.residual[i]! + (previous ? previous.light[i]! : 0);
    away[count] = -depth[i]!;
    place[count] = Math.round((fit.geometry.bin[i]! / BINS) * PLACES) % PLACES;
    count++;
  }
  return { x, y, value, depth: away, place, count };
}

/** Pixels over which the likeness of places is looked for: far enough for what a wide blur makes of grain. */
const LIKENESS_REACH = { least: 14, most: 30, blurWidths: 6 } as const;

/** Direction and reach of the streaks from products of residuals over pairs of pixels. */
function estimateCovariance(field: Field, fit: RimFit): Covariance | null {
  const { least, most, blurWidths } = LIKENESS_REACH;
  const reach = Math.min(most, Math.max(least, Math.ceil(blurWidths * fit.sigma)));
  let extent = 0;
  for (let n = 0; n < field.count; n++) extent = Math.max(extent, Math.abs(field.x[n]!), Math.abs(field.y[n]!));
  const half = Math.ceil(extent) + reach + 1;
  const side = 2 * half + 1;
  const grid = new Float32Array(side * side).fill(NaN);
  const key = (n: number): number => (Math.round(field.y[n]!) + half) * side + Math.round(field.x[n]!) + half;
  let variance = 0;
  for (let n = 0; n < field.count; n++) variance += field.value[n]! ** 2;
  variance /= field.count;
  const limit = 4 * Math.sqrt(variance);
  for (let n = 0; n < field.count; n++) grid[key(n)] = Math.abs(field.value[n]!) > limit ? NaN : field.value[n]!;
  const size = 2 * reach + 1;
  const sums = new Float64Array(size * size);
  const counts = new Float64Array(size * size);
  const stride = Math.max(1, Math.floor(field.count / 1500));
  for (let n = 0; n < field.count; n += stride) {
    const v = field.value[n]!;
    if (Math.abs(v) > limit) continue;
    const middle = key(n);
    for (let dj = 0; dj <= reach; dj++) {
      for (let di = dj === 0 ? 0 : -reach; di <= reach; di++) {
        const w = grid[middle + dj * side + di]!;
        // NaN: no plate there.
        if (w !== w) continue;
        const k = (dj + reach) * size + di + reach;
        sums[k]! += v * w;
        counts[k]! += 1;
      }
    }
  }
  const at = (di: number, dj: number): number => {
    const flip = dj < 0 || (dj === 0 && di < 0);
    const k = ((flip ? -dj : dj) + reach) * size + (flip ? -di : di) + reach;
    return counts[k]! > 20 ? sums[k]! / counts[k]! : 0;
  };
  const between = (x: number, y: number): number => {
    const i = Math.floor(x);
    const j = Math.floor(y);
    const f = x - i;
    const g = y - j;
    return (at(i, j) * (1 - f) + at(i + 1, j) * f) * (1 - g) + (at(i, j + 1) * (1 - f) + at(i + 1, j + 1) * f) * g;
  };
  let angle = 0;
  let best = -Infinity;
  for (let k = 0; k < 36; k++) {
    const a = (Math.PI * k) / 36;
    let sum = 0;
    for (let l = 3; l <= 10; l++) sum += between(l * Math.cos(a), l * Math.sin(a));
    if (sum > best) {
      best = sum;
      angle = a;
    }
  }
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  const alongAt = (l: number): number => between(l * c, l * s);
  const acrossAt = (l: number): number => between(-l * s, l * c);
  // Pixel noise is alike in no two pixels: the texture's own variance is seen at small distances only.
  const near = Math.max(1, Math.round(0.7 * fit.sigma));
  const texture = Math.max(alongAt(near), alongAt(near + 1), 0);
  const noiseFloor = 3 * variance / Math.sqrt(field.count);
  if (!(texture > noiseFloor) || texture < (2e-3 * fit.contrast) ** 2) return null;
  const decay = (f: (l: number) => number): number => {
    for (let l = 1; l <= reach - 2; l += 0.5) if (f(l) < 0.6 * texture) return l;
    return reach;
  };
  return {
    angle,
    along: Math.max(1.5, 1.0 * decay(alongAt)),
    across: Math.max(0.8, 1.0 * decay(acrossAt)),
    variance: texture,
    nugget: Math.max(0.05 * texture, variance - texture),
  };
}
