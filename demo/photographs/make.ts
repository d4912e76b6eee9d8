/**
 * Draws the demo photograph: a walled garden that exists nowhere, in linear light, ray by ray, and writes it as JPEG:
 * `node tools/run.mjs demo/photographs/make.ts`
 */
import { fileURLToPath } from 'node:url';
import sharp from 'sharp';

const COLUMNS = 3200;
const ROWS = 2132;
/** 90° from left to right: slopes from -1 to 1. */
const HALF_SLOPE = 1;
const SAMPLES = 3;
const QUALITY = 42;

/** Eye 1.5 m above the floor, looking along z; x right, y up, metres. */
const FLOOR_M = -1.5;
const WALL_Z_M = 13;
const SIDE_X_M = 6.4;
const WALL_TOP_M = 1.5;
const RAIL_Z_M = 5.2;

type Light = readonly [number, number, number];

function hash(x: number, y: number, z = 0): number {
  let h = Math.imul(x | 0, 374761393) ^ Math.imul(y | 0, 668265263) ^ Math.imul(z | 0, 2147483647);
  h = Math.imul(h ^ (h >>> 13), 1274126177);
  return ((h ^ (h >>> 16)) >>> 0) / 4294967296;
}

function smooth(t: number): number {
  return t * t * (3 - 2 * t);
}

/** Value noise, 0 to 1. */
function noise(x: number, y: number, seed: number): number {
  const i = Math.floor(x);
  const j = Math.floor(y);
  const u = smooth(x - i);
  const v = smooth(y - j);
  const low = hash(i, j, seed) * (1 - u) + hash(i + 1, j, seed) * u;
  const high = hash(i, j + 1, seed) * (1 - u) + hash(i + 1, j + 1, seed) * u;
  return low * (1 - v) + high * v;
}

function octaves(x: number, y: number, seed: number, count: number): number {
  let sum = 0;
  let share = 0.5;
  let scale = 1;
  for (let k = 0; k < count; k++, share /= 2, scale *= 2) sum += share * noise(x * scale, y * scale, seed + k);
  return sum / (1 - share * 2 + share);
}

function mixed(a: Light, b: Light, t: number): Light {
  return [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t, a[2] + (b[2] - a[2]) * t];
}

function scaled(a: Light, k: number): Light {
  return [a[0] * k, a[1] * k, a[2] * k];
}

function sky(sx: number, sy: number): Light {
  const up = Math.max(0, Math.min(1, sy / 0.75));
  const blue = mixed([0.62, 0.72, 0.84], [0.2, 0.36, 0.68], up);
  const cloud = octaves(sx * 2.1 + 4, sy * 5.2 + 9, 7, 5);
  return mixed(blue, [0.78, 0.78, 0.76], 0.9 * smooth(Math.max(0, Math.min(1, (cloud - 0.52) * 3.6))));
}

/** Bricks 240 × 71 mm with joints of 12 mm, each a little different. */
function brick(along: number, up: number, seed: number): Light {
  const course = Math.floor(up / 0.083);
  const shifted = along / 0.252 + (course % 2 === 0 ? 0 : 0.5);
  const one = Math.floor(shifted);
  const joint = (shifted - one) * 0.252 < 0.012 || up / 0.083 - course < 0.145;
  if (joint) return [0.43, 0.39, 0.33];
  const tone = 0.72 + 0.5 * hash(one, course, seed);
  return scaled([0.3, 0.125, 0.075], tone);
}

function leaves(x: number, y: number, seed: number): Light {
  const size = octaves(x * 1.6, y * 1.6, seed, 3);
  const leaf = hash(Math.floor(x * 11 + 3 * noise(x * 5, y * 5, seed)), Math.floor(y * 11 + 3 * noise(x * 5, y * 5, seed + 9)), seed);
  return scaled(mixed([0.035, 0.075, 0.02], [0.17, 0.26, 0.06], 0.65 * size + 0.35 * leaf), 0.55 + 0.75 * size);
}

/** Crowns behind the wall, as discs with a torn rim. */
const CROWNS = [
  { x: -7.4, y: 4.6, r: 3.5, z: 20 },
  { x: -1.6, y: 3.4, r: 2.6, z: 24 },
  { x: 5.2, y: 5.6, r: 4.3, z: 22 },
  { x: 12, y: 4.4, r: 3.6, z: 26 },
  { x: -14, y: 5, r: 4, z: 25 },
] as const;

function behindTheWall(sx: number, sy: number): Light {
  for (const [index, { x, y, r, z }] of CROWNS.entries()) {
    const dx = sx * z - x;
    const dy = sy * z - y;
    const rim = r * (0.83 + 0.3 * octaves(Math.atan2(dy, dx) * 4 + 20, Math.hypot(dx, dy) * 0.8, 31 + index, 4));
    if (Math.hypot(dx, dy) < rim) {
      const lit = 0.75 + 0.4 * Math.max(-1, Math.min(1, (dy - dx) / r));
      return scaled(leaves(sx * z, sy * z, 50 + index), lit);
    }
    if (Math.abs(dx) < 0.22 && dy < 0) return [0.07, 0.055, 0.04];
  }
  return sky(sx, sy);
}

/** Chequered slabs of 0.6 m, a gravel edge, and the shade of the left wall. */
function floor(x: number, z: number): Light {
  const shade = x < -SIDE_X_M + 2.1 ? 0.34 : 1;
  if (Math.abs(x) > 3.9) {
    const grain = hash(Math.floor(x * 26), Math.floor(z * 26), 3);
    return scaled(mixed([0.16, 0.2, 0.06], [0.24, 0.3, 0.1], grain), shade);
  }
  const i = Math.floor(x / 0.6);
  const j = Math.floor(z / 0.6);
  const joint = x / 0.6 - i < 0.02 || z / 0.6 - j < 0.02;
  if (joint) return scaled([0.12, 0.11, 0.1], shade);
  const worn = 0.9 + 0.2 * noise(x * 3, z * 3, 5);
  return scaled((i + j) % 2 === 0 ? [0.62, 0.58, 0.5] : [0.06, 0.06, 0.065], worn * shade);
}

/** Iron bars 16 mm thick every 90 mm, two rails, and a gate with a fan of rods over it. */
function iron(x: number, y: number): boolean {
  const top = 0.34;
  if (Math.abs(x) < 1.05) {
    const r = Math.hypot(x, y - top);
    if (y > top - 0.02 && r < 1.05) {
      if (r > 1.01 || r < 0.07) return true;
      const turn = (Math.atan2(y - top, x) / Math.PI) * 40;
      return y > top && Math.abs(turn - Math.round(turn)) < 0.25 && r > 0.07;
    }
    return false;
  }
  if (Math.abs(Math.abs(x) - 1.09) < 0.045 && y < top + 0.25) return true;
  if (Math.hypot(Math.abs(x) - 1.09, y - top - 0.31) < 0.075) return true;
  if (y > top) {
    // spear points
    const bar = x / 0.09 - Math.round(x / 0.09);
    return y < top + 0.11 && Math.abs(bar * 0.09) < 0.02 * (1 - (y - top) / 0.11);
  }
  if (Math.abs(y - top + 0.1) < 0.014 || Math.abs(y + 1.15) < 0.014) return true;
  const bar = x / 0.09 - Math.round(x / 0.09);
  return Math.abs(bar * 0.09) < 0.008 && y < top;
}

interface Pot {
  readonly x: number;
  readonly z: number;
  readonly r: number;
  readonly bloom: Light;
}

const POTS: readonly Pot[] = [
  { x: -2.75, z: 4.1, r: 0.34, bloom: [0.56, 0.025, 0.025] },
  { x: 2.75, z: 4.1, r: 0.34, bloom: [0.05, 0.08, 0.5] },
  { x: -1.9, z: 7.6, r: 0.34, bloom: [0.7, 0.5, 0.03] },
  { x: 1.9, z: 7.6, r: 0.34, bloom: [0.7, 0.66, 0.64] },
  { x: -1.9, z: 10.4, r: 0.34, bloom: [0.05, 0.08, 0.5] },
  { x: 1.9, z: 10.4, r: 0.34, bloom: [0.56, 0.025, 0.025] },
];

function pot(sx: number, sy: number, { x, z, r, bloom }: Pot): Light | null {
  const dx = sx * z - x;
  const dy = sy * z - FLOOR_M;
  const height = 0.46;
  if (dy > 0 && dy < height) {
    const half = r * (0.68 + 0.32 * (dy / height)) * (dy > height - 0.07 ? 1.1 : 1);
    if (Math.abs(dx) < half) return scaled([0.42, 0.17, 0.085], 0.5 + 0.55 * Math.sqrt(1 - (dx / half) ** 2) - 0.25 * (dx / half));
    return null;
  }
  const up = dy - height - 0.26;
  if (dy <= 0 || Math.hypot(dx, up) > 0.44 * (0.8 + 0.34 * noise(Math.atan2(up, dx) * 6 + 9, 1, 77))) return null;
  const lit = 0.75 + 0.6 * up - 0.35 * dx;
  const size = 0.062;
  const i = Math.floor(dx / size);
  const j = Math.floor(up / size);
  for (let k = 0; k < 9; k++) {
    const cellX = i + (k % 3) - 1;
    const cellY = j + Math.floor(k / 3) - 1;
    const seed = Math.round(x * 10 + z);
    const awayX = dx / size - cellX - hash(cellX, cellY, seed);
    const awayY = up / size - cellY - hash(cellX, cellY, seed + 1);
    const away = Math.hypot(awayX, awayY);
    if (hash(cellX, cellY, seed + 2) > 0.35 && away < 0.5) return scaled(bloom, lit * (1.1 - 0.9 * away));
  }
  return scaled(leaves(dx * 3, up * 3, 90), lit);
}

function scene(sx: number, sy: number): Light {
  // from near to far
  for (const one of POTS) {
    if (one.z > RAIL_Z_M) break;
    const seen = pot(sx, sy, one);
    if (seen) return seen;
  }
  const railX = sx * RAIL_Z_M;
  const railY = sy * RAIL_Z_M;
  if (Math.abs(railX) < SIDE_X_M && railY > FLOOR_M && iron(railX, railY)) return [0.018, 0.02, 0.022];
  for (const one of POTS) {
    if (one.z <= RAIL_Z_M) continue;
    const seen = pot(sx, sy, one);
    if (seen) return seen;
  }
  const floorZ = sy < 0 ? FLOOR_M / sy : Infinity;
  const sideZ = Math.abs(sx) > 1e-9 ? SIDE_X_M / Math.abs(sx) : Infinity;
  if (floorZ < Math.min(sideZ, WALL_Z_M)) return floor(sx * floorZ, floorZ);
  if (sideZ < WALL_Z_M && sy * sideZ < WALL_TOP_M) {
    const up = sy * sideZ - FLOOR_M;
    if (up > WALL_TOP_M - FLOOR_M - 0.12) return scaled([0.5, 0.46, 0.4], sx < 0 ? 0.4 : 1);
    if (sx > 0 && up < 1.9 + 0.7 * octaves(sideZ * 0.9, 3, 41, 3) && octaves(sideZ * 2.3, up * 2.3, 61, 3) > 0.47) return leaves(sideZ, up, 60);
    return scaled(brick(sideZ, up, sx < 0 ? 11 : 12), sx < 0 ? 0.36 : 1.05);
  }
  const wallX = sx * WALL_Z_M;
  const wallY = sy * WALL_Z_M;
  if (sideZ >= WALL_Z_M && wallY < WALL_TOP_M) {
    const up = wallY - FLOOR_M;
    // a round window with glazing bars
    const r = Math.hypot(wallX, wallY - 0.35);
    if (r < 0.78) {
      if (r > 0.68) return [0.5, 0.46, 0.4];
      const pane = Math.abs((wallX / 0.17) - Math.round(wallX / 0.17)) < 0.1 || Math.abs((wallY / 0.17) - Math.round(wallY / 0.17)) < 0.1;
      return pane ? [0.7, 0.68, 0.62] : [0.03, 0.04, 0.055];
    }
    if (up > WALL_TOP_M - FLOOR_M - 0.12) return [0.5, 0.46, 0.4];
    return scaled(brick(wallX, up, 13), 0.82);
  }
  return behindTheWall(sx, sy);
}

function encoded(value: number): number {
  const v = Math.min(1, Math.max(0, value));
  return Math.round(255 * (v <= 0.0031308 ? 12.92 * v : 1.055 * v ** (1 / 2.4) - 0.055));
}

const step = (2 * HALF_SLOPE) / COLUMNS;
const bytes = new Uint8Array(COLUMNS * ROWS * 3);
for (let row = 0; row < ROWS; row++) {
  for (let column = 0; column < COLUMNS; column++) {
    let red = 0;
    let green = 0;
    let blue = 0;
    for (let k = 0; k < SAMPLES * SAMPLES; k++) {
      const i = (k % SAMPLES) + 0.2 + 0.6 * hash(column, row, k);
      const j = Math.floor(k / SAMPLES) + 0.2 + 0.6 * hash(row, column, k + 40);
      const light = scene((column + i / SAMPLES - COLUMNS / 2) * step, -(row + j / SAMPLES - ROWS / 2) * step);
      red += light[0];
      green += light[1];
      blue += light[2];
    }
    const share = 1.25 / SAMPLES ** 2;
    bytes.set([encoded(red * share), encoded(green * share), encoded(blue * share)], 3 * (row * COLUMNS + column));
  }
}
const file = fileURLToPath(new URL('./walled-garden.jpg', import.meta.url));
const { size } = await sharp(bytes, { raw: { width: COLUMNS, height: ROWS, channels: 3 } })
  .jpeg({ quality: QUALITY, mozjpeg: true })
  .toFile(file);
console.log(`${file}: ${(size / 1000).toFixed(0)} kB`);
