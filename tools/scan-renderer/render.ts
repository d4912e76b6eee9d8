/**
 * Scans of plates whose outline is known exactly: the scene is drawn on a finer grid (area by sampling
 * 8 × 8 in cells that the rim crosses), blurred as a scanner blurs, averaged to pixels, exposed, coded.
 * A test tool: written for truth and for variety of trouble, not for speed.
 */
import type { Raster, ToneCurve } from '#core';
import { Random, smoothNoise } from './random.ts';
import type { Cross, HoleShape, ScanRecipe } from './recipe.ts';
import { outlineRadiusMm, shapeTruth, type ShapeTruth } from './shape.ts';

export interface RenderedHole extends ShapeTruth {
  /** Area of the hole's outline less what islands and fibres cover of it. */
  readonly clearDiameterMm: number;
  readonly shape: HoleShape;
}

export interface RenderedScan {
  readonly raster: Raster;
  readonly holes: readonly RenderedHole[];
}

const RED_GREEN_BLUE = [1, 0.86, 0.62] as const;

export function renderScan(recipe: ScanRecipe): RenderedScan {
  const random = new Random(recipe.seed);
  const { widthPx, heightPx, channels } = recipe;
  const leastSigmaPx = Math.min(recipe.sigmaXMm / recipe.xMmPerPx, recipe.sigmaYMm / recipe.yMmPerPx);
  const fine = leastSigmaPx > 0.9 ? 2 : leastSigmaPx > 0.55 ? 3 : 4;
  const scratches = plateScratches(recipe, random);
  const jitter = carriage(recipe, random);
  const fullScale = recipe.bits === 16 ? 65535 : 255;
  const samples = recipe.bits === 16 ? new Uint16Array(widthPx * heightPx * channels) : new Uint8Array(widthPx * heightPx * channels);
  let covered: Float64Array = new Float64Array(recipe.holes.length);
  for (let channel = 0; channel < channels; channel++) {
    const shift = channel === 1 || channels === 1 ? [0, 0] : (recipe.misregistrationPx?.[channel === 0 ? 0 : 1] ?? [0, 0]);
    const scene = drawScene(recipe, fine, shift[0]!, shift[1]!, scratches, channels === 3 ? RED_GREEN_BLUE[channel]! : 1);
    if (channel === (channels === 3 ? 1 : 0)) covered = scene.covered;
    const light = opticalBlur(recipe, recipe.tilt ? tilted(scene.light, recipe, recipe.tilt, fine) : scene.light, fine);
    const pixels = toPixels(light, recipe, fine, jitter);
    const stored = expose(pixels, recipe, random);
    const values = recipe.sharpen ? sharpened(stored, widthPx, heightPx, recipe.sharpen) : stored;
    for (let i = 0; i < values.length; i++) {
      samples[i * channels + channel] = Math.round(Math.min(1, Math.max(0, values[i]!)) * fullScale);
    }
  }
  const holes = recipe.holes.map((shape, i) => {
    const truth = shapeTruth(shape, recipe.xMmPerPx, recipe.yMmPerPx);
    const clear = truth.equivalentDiameterMm ** 2 - (4 / Math.PI) * covered[i]!;
    return { ...truth, clearDiameterMm: Math.sqrt(Math.max(0, clear)), shape };
  });
  return { raster: { widthPx, heightPx, channels, samples, fullScale }, holes };
}

interface Scene {
  readonly light: Float32Array;
  /** mm² of each hole under debris. */
  readonly covered: Float64Array;
}

/**
 * The scene as seen when the plate stands off the glass by `tilt` about the picture's middle: for each place (a, b) of the
 * picture, along and across the direction, the place (u, v) of the plate.
 *   parallel rays u = a / cos t, v = b;  lens at D: u = a D / (D cos t − a sin t), v = b (D + u sin t) / D
 */
function tilted(light: Float32Array, recipe: ScanRecipe, tilt: NonNullable<ScanRecipe['tilt']>, fine: number): Float32Array {
  const w = recipe.widthPx * fine;
  const h = recipe.heightPx * fine;
  const cellX = recipe.xMmPerPx / fine;
  const cellY = recipe.yMmPerPx / fine;
  const [c, s] = [Math.cos(tilt.directionRad), Math.sin(tilt.directionRad)];
  const [ct, st] = [Math.cos(tilt.angleRad), Math.sin(tilt.angleRad)];
  const distance = tilt.distanceMm ?? Infinity;
  const out = new Float32Array(light.length);
  for (let j = 0; j < h; j++) {
    const y = (h / 2 - (j + 0.5)) * cellY;
    for (let i = 0; i < w; i++) {
      const x = (i + 0.5 - w / 2) * cellX;
      const a = c * x + s * y;
      const b = c * y - s * x;
      const u = distance === Infinity ? a / ct : (a * distance) / (distance * ct - a * st);
      const v = distance === Infinity ? b : (b * (distance + u * st)) / distance;
      const column = Math.min(w - 1.001, Math.max(0, (c * u - s * v) / cellX + w / 2 - 0.5));
      const row = Math.min(h - 1.001, Math.max(0, h / 2 - (s * u + c * v) / cellY - 0.5));
      const [k, l] = [Math.floor(column), Math.floor(row)];
      const [p, q] = [column - k, row - l];
      const at = l * w + k;
      out[j * w + i] =
        (1 - q) * ((1 - p) * light[at]! + p * light[at + 1]!) + q * ((1 - p) * light[at + w]! + p * light[at + w + 1]!);
    }
  }
  return out;
}

interface Scratch {
  readonly x: number;
  readonly y: number;
  readonly angle: number;
  readonly halfLength: number;
  readonly halfWidth: number;
  readonly strength: number;
}

function drawScene(
  recipe: ScanRecipe,
  fine: number,
  shiftColumn: number,
  shiftRow: number,
  scratches: readonly Scratch[],
  tint: number,
): Scene {
  const w = recipe.widthPx * fine;
  const h = recipe.heightPx * fine;
  const cellX = recipe.xMmPerPx / fine;
  const cellY = recipe.yMmPerPx / fine;
  const light = new Float32Array(w * h);
  // mm coordinates of the scene: x right, y up from the picture's upper left corner.
  const originX = -shiftColumn * recipe.xMmPerPx;
  const originY = shiftRow * recipe.yMmPerPx;
  const plateLight = recipe.plateLight * tint;
  const gradient = recipe.gradientShare ?? 0;
  const gx = Math.cos(recipe.gradientAngleRad ?? 0);
  const gy = Math.sin(recipe.gradientAngleRad ?? 0);
  const spanX = recipe.widthPx * recipe.xMmPerPx;
  const spanY = recipe.heightPx * recipe.yMmPerPx;
  const edge = recipe.plateEdge;
  for (let j = 0; j < h; j++) {
    const y = originY - (j + 0.5) * cellY;
    for (let i = 0; i < w; i++) {
      const x = originX + (i + 0.5) * cellX;
      let value = plateLight * (1 + recipe.grainShare * grain(recipe, x, y));
      value *= 1 + gradient * ((gx * (x - spanX / 2)) / spanX + (gy * (y + spanY / 2)) / spanY);
      light[j * w + i] = Math.max(0, value);
    }
  }
  for (const s of scratches) addScratch(light, w, h, cellX, cellY, originX, originY, s);
  if (recipe.cross) drawCross(light, w, h, cellX, cellY, originX, originY, recipe, recipe.cross);
  if (recipe.bevel || recipe.lidShadow) shadeRim(light, w, h, cellX, cellY, originX, originY, recipe);
  if (edge) {
    const c = Math.cos(edge.angleRad);
    const s = Math.sin(edge.angleRad);
    for (let j = 0; j < h; j++) {
      const y = originY - (j + 0.5) * cellY + spanY / 2;
      for (let i = 0; i < w; i++) {
        const x = originX + (i + 0.5) * cellX - spanX / 2;
        const d = (c * x + s * y - edge.distancePx * recipe.xMmPerPx) / Math.min(cellX, cellY);
        const cover = Math.min(1, Math.max(0, 0.5 + d));
        if (cover > 0) light[j * w + i] = light[j * w + i]! * (1 - cover) + edge.light * cover;
      }
    }
  }
  const covered = new Float64Array(recipe.holes.length);
  for (const [index, shape] of recipe.holes.entries()) {
    covered[index] = drawHole(light, w, h, cellX, cellY, originX, originY, recipe, shape);
  }
  return { light, covered };
}

/** Brushed grain: streaks of several widths, long along one direction; standard deviation about 1. */
function grain(recipe: ScanRecipe, x: number, y: number): number {
  const c = Math.cos(recipe.grainAngleRad);
  const s = Math.sin(recipe.grainAngleRad);
  const along = c * x + s * y;
  const across = c * y - s * x;
  const seed = recipe.seed;
  return (
    1.1 * smoothNoise(seed + 1, across / 0.006, along / 0.35) +
    1.2 * smoothNoise(seed + 2, across / 0.018, along / 0.9) +
    1.1 * smoothNoise(seed + 3, across / 0.06, along / 2.2) +
    0.7 * smoothNoise(seed + 4, across / 0.012, along / 0.05)
  );
}

function plateScratches(recipe: ScanRecipe, random: Random): Scratch[] {
  const spanX = recipe.widthPx * recipe.xMmPerPx;
  const spanY = recipe.heightPx * recipe.yMmPerPx;
  return Array.from({ length: recipe.scratches ?? 0 }, () => ({
    x: random.between(0, spanX),
    y: -random.between(0, spanY),
    angle: random.between(0, Math.PI),
    halfLength: random.between(0.1, 0.6) * Math.max(spanX, spanY),
    halfWidth: random.between(0.001, 0.005),
    strength: random.between(-0.35, 0.35),
  }));
}

function addScratch(
  light: Float32Array,
  w: number,
  h: number,
  cellX: number,
  cellY: number,
  originX: number,
  originY: number,
  s: Scratch,
): void {
  const c = Math.cos(s.angle);
  const q = Math.sin(s.angle);
  const soft = Math.min(cellX, cellY);
  for (let j = 0; j < h; j++) {
    const y = originY - (j + 0.5) * cellY - s.y;
    for (let i = 0; i < w; i++) {
      const x = originX + (i + 0.5) * cellX - s.x;
      const across = Math.abs(c * y - q * x);
      if (across > s.halfWidth + soft || Math.abs(c * x + q * y) > s.halfLength) continue;
      const cover = Math.min(1, Math.max(0, (s.halfWidth - across) / soft + 0.5));
      light[j * w + i]! *= 1 + s.strength * cover;
    }
  }
}

function drawCross(
  light: Float32Array,
  w: number,
  h: number,
  cellX: number,
  cellY: number,
  originX: number,
  originY: number,
  recipe: ScanRecipe,
  cross: Cross,
): void {
  const cx = cross.columnPx * recipe.xMmPerPx;
  const cy = -cross.rowPx * recipe.yMmPerPx;
  const soft = Math.min(cellX, cellY);
  const directions = [cross.angleRad, cross.angleRad + Math.PI / 2 + (cross.skewRad ?? 0)];
  for (let j = 0; j < h; j++) {
    const y = originY - (j + 0.5) * cellY - cy;
    for (let i = 0; i < w; i++) {
      const x = originX + (i + 0.5) * cellX - cx;
      let cover = 0;
      for (const angle of directions) {
        const across = Math.abs(Math.cos(angle) * y - Math.sin(angle) * x);
        const along = Math.abs(Math.cos(angle) * x + Math.sin(angle) * y);
        if (along < cross.fromMm || along > cross.toMm) continue;
        cover = Math.max(cover, Math.min(1, Math.max(0, (cross.widthMm / 2 - across) / soft + 0.5)));
      }
      if (cover > 0) light[j * w + i]! *= 1 + cross.strength * cover;
    }
  }
}

function shadeRim(
  light: Float32Array,
  w: number,
  h: number,
  cellX: number,
  cellY: number,
  originX: number,
  originY: number,
  recipe: ScanRecipe,
): void {
  for (const shape of recipe.holes) {
    const cx = shape.columnPx * recipe.xMmPerPx;
    const cy = -shape.rowPx * recipe.yMmPerPx;
    for (let j = 0; j < h; j++) {
      const y = originY - (j + 0.5) * cellY - cy;
      for (let i = 0; i < w; i++) {
        const x = originX + (i + 0.5) * cellX - cx;
        const angle = Math.atan2(y, x);
        const d = Math.hypot(x, y) - outlineRadiusMm(shape, angle);
        if (d < -0.02 || d > 0.6) continue;
        let factor = 1;
        if (recipe.bevel) factor += recipe.bevel.share * Math.cos(angle - recipe.bevel.angleRad) * Math.exp(-Math.max(0, d) / recipe.bevel.widthMm);
        if (recipe.lidShadow) factor -= recipe.lidShadow.share * Math.exp(-Math.max(0, d) / recipe.lidShadow.widthMm);
        light[j * w + i]! *= factor;
      }
    }
  }
}

/** Cuts the hole with its debris into the scene; returns mm² of it under debris. */
function drawHole(
  light: Float32Array,
  w: number,
  h: number,
  cellX: number,
  cellY: number,
  originX: number,
  originY: number,
  recipe: ScanRecipe,
  shape: HoleShape,
): number {
  const cx = shape.columnPx * recipe.xMmPerPx;
  const cy = -shape.rowPx * recipe.yMmPerPx;
  let reach = 0;
  for (let i = 0; i < 720; i++) reach = Math.max(reach, outlineRadiusMm(shape, (Math.PI * i) / 360));
  let farthest = reach;
  for (const s of recipe.rimScratches ?? []) farthest = Math.max(farthest, reach + s.lengthMm + 0.02);
  if ((recipe.fibres ?? []).some((f) => f.overPlate)) farthest += 0.4;
  const c0 = Math.max(0, Math.floor((cx - farthest - originX) / cellX));
  const c1 = Math.min(w - 1, Math.ceil((cx + farthest - originX) / cellX));
  const r0 = Math.max(0, Math.floor((originY - cy - farthest) / cellY));
  const r1 = Math.min(h - 1, Math.ceil((originY - cy + farthest) / cellY));
  const table = Float64Array.from({ length: 14401 }, (_, i) => outlineRadiusMm(shape, (2 * Math.PI * i) / 14400));
  const radius = (angle: number): number => {
    const t = ((angle < 0 ? angle + 2 * Math.PI : angle) / (2 * Math.PI)) * 14400;
    const k = Math.min(14399, Math.floor(t));
    return table[k]! * (1 - (t - k)) + table[k + 1]! * (t - k);
  };
  const fibres = (recipe.fibres ?? []).map((f) => ({ ...f, path: fibrePath(f, recipe) }));
  const cellReach = Math.hypot(cellX, cellY);
  const samples = 8;
  let covered = 0;
  for (let j = r0; j <= r1; j++) {
    for (let i = c0; i <= c1; i++) {
      const x = originX + (i + 0.5) * cellX - cx;
      const y = originY - (j + 0.5) * cellY - cy;
      const distance = Math.hypot(x, y);
      const d = radius(Math.atan2(y, x)) - distance;
      const nearDebris = debrisAt(recipe, fibres, x + cx, y + cy, cellReach);
      const nearScratch = d < cellReach && scratchAt(recipe, x, y, radius, cellReach) !== null;
      if (d < -2 * cellReach && !nearScratch && !(nearDebris && nearDebris.overPlate)) continue;
      const plate = light[j * w + i]!;
      const hole = recipe.holeLight;
      if (d > 2 * cellReach && !nearDebris) {
        light[j * w + i] = hole;
        continue;
      }
      let sum = 0;
      for (let b = 0; b < samples; b++) {
        for (let a = 0; a < samples; a++) {
          const px = x + ((a + 0.5) / samples - 0.5) * cellX;
          const py = y + ((b + 0.5) / samples - 0.5) * cellY;
          const inside = radius(Math.atan2(py, px)) > Math.hypot(px, py);
          let value = inside ? hole : plate;
          if (!inside) {
            const s = scratchAt(recipe, px, py, radius, 0);
            if (s !== null) value = plate + (hole - plate) * s;
          }
          const debris = nearDebris && debrisAt(recipe, fibres, px + cx, py + cy, 0);
          if (debris && (inside || debris.overPlate)) {
            value = plate + (hole - plate) * debris.lightShare;
            if (inside) covered += (cellX * cellY) / (samples * samples);
          }
          sum += value;
        }
      }
      light[j * w + i] = sum / (samples * samples);
    }
  }
  return covered;
}

function scratchAt(
  recipe: ScanRecipe,
  x: number,
  y: number,
  radius: (angle: number) => number,
  margin: number,
): number | null {
  for (const s of recipe.rimScratches ?? []) {
    const along = x * Math.cos(s.angleRad) + y * Math.sin(s.angleRad);
    const across = Math.abs(y * Math.cos(s.angleRad) - x * Math.sin(s.angleRad));
    if (across < s.widthMm / 2 + margin && along > 0 && along < radius(s.angleRad) + s.lengthMm + margin) return s.lightShare;
  }
  return null;
}

interface DebrisHit {
  readonly lightShare: number;
  readonly overPlate: boolean;
}

type PathFibre = NonNullable<ScanRecipe['fibres']>[number] & { readonly path: Float64Array };

function debrisAt(recipe: ScanRecipe, fibres: readonly PathFibre[], x: number, y: number, margin: number): DebrisHit | null {
  for (const island of recipe.islands ?? []) {
    const dx = x - island.columnPx * recipe.xMmPerPx;
    const dy = y + island.rowPx * recipe.yMmPerPx;
    const u = dx * Math.cos(island.angleRad) + dy * Math.sin(island.angleRad);
    const v = dy * Math.cos(island.angleRad) - dx * Math.sin(island.angleRad);
    if ((u / (island.lengthMm / 2 + margin)) ** 2 + (v / (island.widthMm / 2 + margin)) ** 2 < 1) {
      return { lightShare: 0, overPlate: false };
    }
  }
  for (const f of fibres) {
    const limit = (f.widthMm / 2 + margin) ** 2;
    for (let k = 0; k + 3 < f.path.length; k += 2) {
      if (squaredDistance(f.path, k, x, y) < limit) return { lightShare: f.lightShare, overPlate: f.overPlate };
    }
  }
  return null;
}

function squaredDistance(path: Float64Array, k: number, x: number, y: number): number {
  const ax = path[k]!;
  const ay = path[k + 1]!;
  const bx = path[k + 2]! - ax;
  const by = path[k + 3]! - ay;
  const t = Math.min(1, Math.max(0, ((x - ax) * bx + (y - ay) * by) / (bx * bx + by * by)));
  return (x - ax - t * bx) ** 2 + (y - ay - t * by) ** 2;
}

function fibrePath(f: NonNullable<ScanRecipe['fibres']>[number], recipe: ScanRecipe): Float64Array {
  const steps = 24;
  const out = new Float64Array(2 * (steps + 1));
  for (let i = 0; i <= steps; i++) {
    const t = i / steps;
    const a = (1 - t) ** 2;
    const b = 2 * t * (1 - t);
    const c = t * t;
    out[2 * i] = (a * f.fromPx[0] + b * f.bendPx[0] + c * f.toPx[0]) * recipe.xMmPerPx;
    out[2 * i + 1] = -(a * f.fromPx[1] + b * f.bendPx[1] + c * f.toPx[1]) * recipe.yMmPerPx;
  }
  return out;
}

function opticalBlur(recipe: ScanRecipe, light: Float32Array, fine: number): Float32Array {
  const w = recipe.widthPx * fine;
  const h = recipe.heightPx * fine;
  const sx = (recipe.sigmaXMm / recipe.xMmPerPx) * fine;
  const sy = (recipe.sigmaYMm / recipe.yMmPerPx) * fine;
  const tail = recipe.tailShare ?? 0;
  const flare = recipe.flareShare ?? 0;
  const core = blurred(light, w, h, sx, sy);
  if (tail === 0 && flare === 0) return core;
  const wide = tail > 0 ? blurred(light, w, h, 3 * sx, 3 * sy) : core;
  const far = flare > 0 ? blurred(light, w, h, (0.15 / recipe.xMmPerPx) * fine, (0.15 / recipe.yMmPerPx) * fine) : core;
  for (let i = 0; i < core.length; i++) {
    core[i] = (1 - tail - flare) * core[i]! + tail * wide[i]! + flare * far[i]!;
  }
  return core;
}

function blurred(light: Float32Array, w: number, h: number, sx: number, sy: number): Float32Array {
  return alongColumns(alongRows(light, w, h, sx), w, h, sy);
}

function kernelOf(sigma: number): Float64Array {
  const reach = Math.max(1, Math.ceil(5 * sigma));
  const kernel = Float64Array.from({ length: 2 * reach + 1 }, (_, i) => Math.exp(-0.5 * ((i - reach) / sigma) ** 2));
  const sum = kernel.reduce((a, b) => a + b, 0);
  return kernel.map((v) => v / sum);
}

/** Wide blurs are made of block sums three times over, which is as good as Gaussian there. */
function alongRows(light: Float32Array, w: number, h: number, sigma: number): Float32Array {
  const out = new Float32Array(light.length);
  const wide = sigma > 12;
  const kernel = wide ? new Float64Array(0) : kernelOf(sigma);
  const reach = (kernel.length - 1) / 2;
  const line = new Float64Array(w);
  const padded = new Float64Array(wide ? 0 : w + 2 * reach);
  for (let j = 0; j < h; j++) {
    for (let i = 0; i < w; i++) line[i] = light[j * w + i]!;
    if (wide) {
      const smooth = tripleBox(line, sigma);
      for (let i = 0; i < w; i++) out[j * w + i] = smooth[i]!;
      continue;
    }
    padded.fill(line[0]!, 0, reach);
    padded.set(line, reach);
    padded.fill(line[w - 1]!, reach + w);
    for (let i = 0; i < w; i++) {
      let sum = 0;
      for (let k = 0; k < kernel.length; k++) sum += kernel[k]! * padded[i + k]!;
      out[j * w + i] = sum;
    }
  }
  return out;
}

function alongColumns(light: Float32Array, w: number, h: number, sigma: number): Float32Array {
  const turned = new Float32Array(light.length);
  for (let j = 0; j < h; j++) for (let i = 0; i < w; i++) turned[i * h + j] = light[j * w + i]!;
  const smooth = alongRows(turned, h, w, sigma);
  const out = new Float32Array(light.length);
  for (let j = 0; j < h; j++) for (let i = 0; i < w; i++) out[j * w + i] = smooth[i * h + j]!;
  return out;
}

function tripleBox(line: Float64Array, sigma: number): Float64Array {
  const half = Math.max(1, Math.round((Math.sqrt(4 * sigma * sigma + 1) - 1) / 2));
  let from = line;
  for (let round = 0; round < 3; round++) {
    const to = new Float64Array(line.length);
    const last = line.length - 1;
    const at = (i: number): number => from[i < 0 ? 0 : i > last ? last : i]!;
    let sum = 0;
    for (let k = -half; k <= half; k++) sum += at(k);
    for (let i = 0; i < line.length; i++) {
      to[i] = sum / (2 * half + 1);
      sum += at(i + half + 1) - at(i - half);
    }
    from = to;
  }
  return from;
}

function carriage(recipe: ScanRecipe, random: Random): Float64Array | null {
  if (!recipe.jitterPx) return null;
  const out = new Float64Array(recipe.heightPx);
  let slow = 0;
  for (let j = 0; j < out.length; j++) {
    slow = 0.9 * slow + Math.sqrt(1 - 0.81) * random.normal();
    out[j] = recipe.jitterPx * slow;
  }
  return out;
}

function toPixels(light: Float32Array, recipe: ScanRecipe, fine: number, jitter: Float64Array | null): Float32Array {
  const { widthPx, heightPx } = recipe;
  const w = widthPx * fine;
  const h = heightPx * fine;
  const out = new Float32Array(widthPx * heightPx);
  for (let j = 0; j < heightPx; j++) {
    const offset = jitter ? jitter[j]! * fine : 0;
    const whole = Math.floor(offset);
    const part = offset - whole;
    for (let i = 0; i < widthPx; i++) {
      let sum = 0;
      for (let b = 0; b < fine; b++) {
        const row = Math.min(h - 1, Math.max(0, j * fine + b + whole));
        const next = Math.min(h - 1, row + 1);
        for (let a = 0; a < fine; a++) {
          const k = i * fine + a;
          sum += (1 - part) * light[row * w + k]! + part * light[next * w + k]!;
        }
      }
      out[j * widthPx + i] = sum / (fine * fine);
    }
  }
  return out;
}

/** Shot and read noise, then the tone curve; clipped where the sensor is full. */
function expose(pixels: Float32Array, recipe: ScanRecipe, random: Random): Float32Array {
  const exposure = recipe.exposure ?? 1;
  const well = recipe.fullWellElectrons;
  const out = new Float32Array(pixels.length);
  for (let i = 0; i < out.length; i++) {
    const electrons = Math.max(0, pixels[i]! * exposure * well);
    const counted = electrons + Math.sqrt(electrons + recipe.readElectrons ** 2) * random.normal();
    out[i] = storedValue(recipe.tone, Math.min(1, Math.max(0, counted / well)));
  }
  return out;
}

export function storedValue(tone: ToneCurve, light: number): number {
  if (tone.kind === 'linear') return light;
  if (tone.kind === 'gamma') return light ** (1 / tone.gamma);
  return light <= 0.0031308 ? 12.92 * light : 1.055 * light ** (1 / 2.4) - 0.055;
}

function sharpened(
  values: Float32Array,
  w: number,
  h: number,
  sharpen: { readonly amountShare: number; readonly radiusPx: number },
): Float32Array {
  const soft = blurred(values, w, h, sharpen.radiusPx, sharpen.radiusPx);
  return values.map((v, i) => v + sharpen.amountShare * (v - soft[i]!));
}
