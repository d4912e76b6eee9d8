/**
 * What a scan of a given outline looks like: light of hole and plate, the scanner's blur, sharpening by the
 * driver, clipping. The model of the fit, free of how it is solved.
 */
import { blurColumns, blurRows, blurredCoverage, gaussianKernel } from './coverage.ts';
import type { Frame } from './first-rim.ts';
import type { LightWindow } from './light-window.ts';
import { normalDensity, normalShare } from './normal.ts';
import { polygonOf, type PolarGeometry, type RimTable } from './outline-form.ts';
import type { ToneCurve } from './scan.ts';
import { lightOfValue, valueOfLight } from './tone.ts';

/** Widths of the two wider parts of the blur, as multiples of its core. */
const TAIL = [2.5, 7] as const;

/** Everything but the outline, by place in one vector. */
export const GLOBAL = {
  hole: 0,
  plate: 3,
  blurColumn: 6,
  blurRow: 7,
  tail: 8,
  sharpen: 10,
  count: 12,
} as const;

export type Sharpening = 'none' | 'stored' | 'linear';

export interface ModelState {
  /** Light at the centre, slope over one mean radius to the right and up. */
  hole: Float64Array;
  plate: Float64Array;
  sigmaColumnPx: number;
  sigmaRowPx: number;
  tails: Float64Array;
  sharpening: Sharpening;
  sharpenAmount: number;
  sharpenRadiusPx: number;
  holeVariance: number;
  plateVariance: number;
  /** What the middle of the edge has over the mixture of both: jitter, and shot noise where the hole is clipped. */
  edgeVariance: number;
}

export interface Rect {
  readonly column: number;
  readonly row: number;
  readonly width: number;
  readonly height: number;
}

/** Values per pixel, by index into the window; only pixels in `list` are filled. */
export interface ModelImage {
  readonly list: Int32Array;
  /** Signed distance from the outline, positive inside, units. */
  readonly depth: Float32Array;
  /** Share of the hole's light. */
  readonly share: Float32Array;
  /** Expected light as stored and read back. */
  readonly expected: Float32Array;
  /** d expected / d light before clipping. */
  readonly slope: Float32Array;
  readonly variance: Float32Array;
  readonly holeLight: Float32Array;
  readonly plateLight: Float32Array;
  /** d expected / d amount, and / d log radius, of the sharpening. */
  readonly amountSlope: Float32Array;
  readonly radiusSlope: Float32Array;
}

export function emptyImage(total: number): Omit<ModelImage, 'list'> {
  const make = (): Float32Array => new Float32Array(total);
  return {
    depth: make(),
    share: make().fill(NaN),
    expected: make(),
    slope: make(),
    variance: make(),
    holeLight: make(),
    plateLight: make(),
    amountSlope: make(),
    radiusSlope: make(),
  };
}

/** The same arrays as if new. */
export function cleared(image: Omit<ModelImage, 'list'>): Omit<ModelImage, 'list'> {
  for (const values of Object.values(image)) values.fill(values === image.share ? NaN : 0);
  return image;
}

/** Blur with the pixel's own square, as variances in units². */
export function blurVariances(state: ModelState, frame: Frame): { column: number; row: number; boxColumn: number; boxRow: number } {
  return {
    column: (state.sigmaColumnPx * frame.unitsPerColumn) ** 2,
    row: (state.sigmaRowPx * frame.unitsPerRow) ** 2,
    boxColumn: frame.unitsPerColumn ** 2 / 12,
    boxRow: frame.unitsPerRow ** 2 / 12,
  };
}

/** Standard deviation of the blur across the rim at each of its angles, units. */
export function blurWidths(rim: RimTable, blur: ReturnType<typeof blurVariances>): Float64Array {
  return rim.normalX2.map((nx2) => Math.sqrt((blur.column + blur.boxColumn) * nx2 + (blur.row + blur.boxRow) * (1 - nx2)));
}

export function meanSigma(state: ModelState, frame: Frame): number {
  const v = blurVariances(state, frame);
  return Math.sqrt((v.column + v.row + v.boxColumn + v.boxRow) / 2);
}

export interface ModelScene {
  readonly window: LightWindow;
  readonly frame: Frame;
  readonly geometry: PolarGeometry;
  readonly rim: RimTable;
  readonly meanRadius: number;
  readonly tails: EdgeTails;
  readonly texture: Float32Array | undefined;
  /** Further light of the plate close to the rim, at even angles. */
  readonly extraLight: Float64Array | undefined;
  /** On the way only: the finer rendering is not worth its time yet. */
  readonly rough?: boolean;
}

/** Distances from an edge in blur widths, positive inside, at which its profile is tabled. */
const EDGE_REACH = 20;
const EDGE_STEP = 0.2;
const EDGE_PLACES = 2 * Math.round(EDGE_REACH / EDGE_STEP) + 1;

/** Place of a distance in such a table: a whole number and the share of the next; always before the last. */
export function edgePlace(z: number): number {
  return Math.min(2 * EDGE_REACH - 1e-6, Math.max(0, z + EDGE_REACH)) / EDGE_STEP;
}

export interface EdgeTails {
  /** Share of the hole's light in each wider part of the blur less that in its core. */
  readonly first: Float64Array;
  readonly second: Float64Array;
}

/**
 * The wider parts of the blur about the rim of a disc: where they reach as far as the middle they keep much less inside than
 * about a straight edge.
 *   share(ρ) = ∫ φ(y / S) / S · (Φ((x − ρ) / S) − Φ((−x − ρ) / S)) dy over |y| < R, with x = √(R² − y²)
 * @param sigma of the core, units
 */
export function edgeTails(sigma: number, meanRadius: number): EdgeTails {
  const [core, first, second] = [1, ...TAIL].map((wider) => discProfile(sigma, meanRadius, wider * sigma)) as [
    Float64Array,
    Float64Array,
    Float64Array,
  ];
  return { first: first.map((v, k) => v - core[k]!), second: second.map((v, k) => v - core[k]!) };
}

/** Chords over which a disc is summed: enough for 0.0002 of a part of the blur that holds a few hundredths. */
const CHORDS = 24;

function discProfile(sigma: number, radius: number, blur: number): Float64Array {
  const out = new Float64Array(EDGE_PLACES);
  // Near the disc's end chords close up; a blur that does not reach so far needs only those it sees.
  const whole = radius < 5 * blur;
  for (let c = 0; c < CHORDS; c++) {
    const t = (c + 0.5) / CHORDS;
    const y = whole ? radius * Math.sin((Math.PI / 2) * t) : 5 * blur * t;
    const x = Math.sqrt(radius * radius - y * y);
    const width = whole ? (x * Math.PI) / (2 * CHORDS) : (5 * blur) / CHORDS;
    const weight = (2 * width * normalDensity(y / blur)) / blur;
    for (let k = 0; k < EDGE_PLACES; k++) {
      const rho = Math.max(0, radius - (k * EDGE_STEP - EDGE_REACH) * sigma);
      out[k]! += weight * (normalShare((x - rho) / blur) - normalShare((-x - rho) / blur));
    }
  }
  return out;
}

/** Fills `image` for the pixels of its list. */
export function renderModel(scene: ModelScene, state: ModelState, image: ModelImage): void {
  const { window, frame, geometry, rim, meanRadius, texture, extraLight } = scene;
  const places = extraLight ? extraLight.length / rim.radius.length : 0;
  const rect = rectAround(window, frame, rim, state);
  const core = renderCore(frame, rim, state, rect, scene.rough);
  const widths = blurWidths(rim, blurVariances(state, frame));
  const { tails } = scene;
  const bins = rim.radius.length;
  const { list } = image;
  const [h0, h1, h2] = [state.hole[0]!, state.hole[1]! / meanRadius, state.hole[2]! / meanRadius];
  const [p0, p1, p2] = [state.plate[0]!, state.plate[1]! / meanRadius, state.plate[2]! / meanRadius];
  const [tail0, tail1] = [state.tails[0]!, state.tails[1]!];
  for (let n = 0; n < list.length; n++) {
    const i = list[n]!;
    const at = geometry.bin[i]!;
    const low = at | 0;
    const high = low + 1 === bins ? 0 : low + 1;
    const f = at - low;
    const r = rim.radius[low]! * (1 - f) + rim.radius[high]! * f;
    const d = (r - geometry.distance[i]!) * rim.cosine[low]!;
    const z = d / widths[low]!;
    const t = edgePlace(z);
    const k = t | 0;
    const row = (i / window.widthPx) | 0;
    const u = i - row * window.widthPx - rect.column;
    const v = row - rect.row;
    const inside = u >= 0 && v >= 0 && u < rect.width && v < rect.height;
    const share =
      (inside ? core[v * rect.width + u]! : 0) +
      tail0 * (tails.first[k]! + (t - k) * (tails.first[k + 1]! - tails.first[k]!)) +
      tail1 * (tails.second[k]! + (t - k) * (tails.second[k + 1]! - tails.second[k]!));
    const x = geometry.x[i]!;
    const y = geometry.y[i]!;
    let plate = p0 + p1 * x + p2 * y;
    if (texture) plate += texture[i]!;
    if (extraLight) {
      const turn = at * places;
      const p = Math.floor(turn) % extraLight.length;
      const t = turn - Math.floor(turn);
      plate += (extraLight[p]! * (1 - t) + extraLight[(p + 1) % extraLight.length]! * t) * nearness(z);
    }
    const hole = h0 + h1 * x + h2 * y;
    image.depth[i] = d;
    image.share[i] = share;
    image.holeLight[i] = hole;
    image.plateLight[i] = plate;
    image.expected[i] = plate + (hole - plate) * share;
    image.slope[i] = 1;
    const inner = share < 0 ? 0 : share > 1 ? 1 : share;
    image.variance[i] =
      inner * state.holeVariance + (1 - inner) * state.plateVariance + 4 * inner * (1 - inner) * state.edgeVariance;
  }
  if (state.sharpening !== 'none') sharpenModel(scene, state, image, core, rect);
  clipModel(window, image);
}

/** Reach of what is not foretold of the plate: whole at the rim, gone where the plate itself is seen. */
export function nearness(z: number): number {
  return z >= -1 ? 1 : z <= -2.7 ? 0 : (z + 2.7) / 1.7;
}

function rectAround(window: LightWindow, frame: Frame, rim: RimTable, state: ModelState): Rect {
  let most = 0;
  for (const r of rim.radius) most = Math.max(most, r);
  const halfWidth = most / frame.unitsPerColumn + 5.5 * state.sigmaColumnPx + 3;
  const halfHeight = most / frame.unitsPerRow + 5.5 * state.sigmaRowPx + 3;
  const column = Math.max(0, Math.floor(frame.column - halfWidth));
  const row = Math.max(0, Math.floor(frame.row - halfHeight));
  return {
    column,
    row,
    width: Math.max(1, Math.min(window.widthPx, Math.ceil(frame.column + halfWidth)) - column),
    height: Math.max(1, Math.min(window.heightPx, Math.ceil(frame.row + halfHeight)) - row),
  };
}

function renderCore(frame: Frame, rim: RimTable, state: ModelState, rect: Rect, rough: boolean | undefined): Float32Array {
  const polygon = polygonOf(rim.radius, { ...frame, column: frame.column - rect.column, row: frame.row - rect.row });
  return blurredCoverage(
    polygon,
    { widthPx: rect.width, heightPx: rect.height },
    state.sigmaColumnPx,
    state.sigmaRowPx,
    rough,
  );
}

/**
 * Unsharp mask: value + amount × (value − value blurred by the radius), on stored values as drivers do it, or on light.
 */
function sharpenModel(scene: ModelScene, state: ModelState, image: ModelImage, core: Float32Array, rect: Rect): void {
  const { window } = scene;
  const stored = state.sharpening === 'stored';
  const { width: w, height: h } = rect;
  const values = new Float32Array(w * h);
  const toValue = (light: number): number => (stored ? valueOfLight(window.tone, Math.max(0, light)) : light);
  const holeValue = state.hole[0]!;
  const plateValue = state.plate[0]!;
  for (let k = 0; k < values.length; k++) values[k] = toValue(plateValue + (holeValue - plateValue) * core[k]!);
  const { list } = image;
  for (let n = 0; n < list.length; n++) {
    const i = list[n]!;
    const k = inRect(i, window.widthPx, rect);
    if (k >= 0) values[k] = toValue(image.expected[i]!);
  }
  const kernel = gaussianKernel(state.sharpenRadiusPx);
  const soft = blurColumns(blurRows(values, w, h, kernel), w, h, kernel);
  const amount = state.sharpenAmount;
  const r2 = state.sharpenRadiusPx ** 2;
  for (let n = 0; n < list.length; n++) {
    const i = list[n]!;
    const k = inRect(i, window.widthPx, rect);
    const u = k < 0 ? 0 : k % w;
    if (k < 0 || u === 0 || u === w - 1 || k < w || k >= w * (h - 1)) continue;
    const value = values[k]!;
    const lifted = Math.min(1.5, Math.max(-0.5, value + amount * (value - soft[k]!)));
    const laplace = soft[k - 1]! + soft[k + 1]! + soft[k - w]! + soft[k + w]! - 4 * soft[k]!;
    // Below black and above white the file's code is extended as a straight line; clipping comes next.
    const back = stored ? extendedLight(window.tone, lifted) : { light: lifted, slope: 1 };
    image.amountSlope[i] = back.slope * (value - soft[k]!);
    image.radiusSlope[i] = -back.slope * amount * r2 * laplace;
    image.expected[i] = back.light;
  }
}

/** Change of the light expected across a sharpened straight edge, by distance from it, at the places of `edgePlace`. */
export interface SharpenedSlopes {
  /** Per unit of distance. */
  readonly depth: Float64Array;
  readonly hole: Float64Array;
  readonly plate: Float64Array;
  /** Per logarithm of the blur's width. */
  readonly width: Float64Array;
  readonly firstTail: Float64Array;
  readonly secondTail: Float64Array;
}

/**
 * What shifts an edge also shifts the swing beside it: the slopes are those of the whole sharpened profile, by differences.
 * @param sigma blur with the pixel, units, of which one is about a pixel
 */
export function sharpenedSlopes(tone: ToneCurve, state: ModelState, sigma: number): SharpenedSlopes {
  const stored = state.sharpening === 'stored';
  const kernel = gaussianKernel(state.sharpenRadiusPx / (sigma * EDGE_STEP));
  const profile = (hole: number, plate: number, wider: number, tail0: number, tail1: number): Float64Array => {
    const values = new Float32Array(EDGE_PLACES);
    for (let k = 0; k < EDGE_PLACES; k++) {
      const z = (k * EDGE_STEP - EDGE_REACH) / wider;
      const step = normalShare(z);
      const share = step + tail0 * (normalShare(z / TAIL[0]) - step) + tail1 * (normalShare(z / TAIL[1]) - step);
      const light = plate + (hole - plate) * share;
      values[k] = stored ? valueOfLight(tone, Math.max(0, light)) : light;
    }
    const soft = blurRows(values, EDGE_PLACES, 1, kernel);
    return Float64Array.from(values, (value, k) => {
      const lifted = value + state.sharpenAmount * (value - soft[k]!);
      return stored ? extendedLight(tone, lifted).light : lifted;
    });
  };
  const [hole, plate, tail0, tail1] = [state.hole[0]!, state.plate[0]!, state.tails[0]!, state.tails[1]!];
  const base = profile(hole, plate, 1, tail0, tail1);
  const per = (changed: Float64Array, change: number): Float64Array => changed.map((v, k) => (v - base[k]!) / change);
  const little = 0.02 * Math.abs(hole - plate);
  return {
    depth: base.map((_, k) => {
      const [low, high] = [Math.max(0, k - 1), Math.min(EDGE_PLACES - 1, k + 1)];
      return (base[high]! - base[low]!) / ((high - low) * EDGE_STEP * sigma);
    }),
    hole: per(profile(hole + little, plate, 1, tail0, tail1), little),
    plate: per(profile(hole, plate + little, 1, tail0, tail1), little),
    width: per(profile(hole, plate, Math.exp(0.02), tail0, tail1), 0.02),
    firstTail: per(profile(hole, plate, 1, tail0 + 0.01, tail1), 0.01),
    secondTail: per(profile(hole, plate, 1, tail0, tail1 + 0.01), 0.01),
  };
}

function inRect(i: number, widthPx: number, rect: Rect): number {
  const u = (i % widthPx) - rect.column;
  const v = Math.floor(i / widthPx) - rect.row;
  return u >= 0 && v >= 0 && u < rect.width && v < rect.height ? v * rect.width + u : -1;
}

function extendedLight(tone: ToneCurve, value: number): { light: number; slope: number } {
  const step = 1e-3;
  const inside = Math.min(1 - step, Math.max(step, value));
  const slope = (lightOfValue(tone, inside + step) - lightOfValue(tone, inside - step)) / (2 * step);
  const light = lightOfValue(tone, inside) + slope * (value - inside);
  return { light, slope };
}

/** A clipped pixel says only that the light was beyond: its expectation under the noise is taken instead. */
function clipModel(window: LightWindow, image: ModelImage): void {
  const { list } = image;
  for (let n = 0; n < list.length; n++) {
    const i = list[n]!;
    const light = image.expected[i]!;
    const noise = Math.sqrt(image.variance[i]!);
    let t: number;
    let limit: number;
    let sign: number;
    if (light > window.clipLight - 4 * noise) {
      limit = window.clipLight;
      t = (limit - light) / noise;
      sign = -1;
    } else if (light < window.blackLight + 4 * noise) {
      limit = window.blackLight;
      t = (light - limit) / noise;
      sign = 1;
    } else continue;
    const pass = normalShare(t);
    image.expected[i] = limit * (1 - pass) + light * pass + sign * noise * normalDensity(t);
    image.slope[i]! *= pass;
    image.amountSlope[i]! *= pass;
    image.radiusSlope[i]! *= pass;
  }
}
