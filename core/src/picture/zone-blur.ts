/**
 * Blur that changes across the frame: each point of light is spread by the point images of the four nearest zone nodes,
 * mixed by its nearness to them. Nodes' images each hold the light of one, so light is only moved.
 */
import { ModelError } from '../errors.ts';
import { tileFourier } from '../numeric/fourier.ts';
import type { TileFourier } from '../numeric/fourier.ts';
import type { CancelCheck, Progress } from '../plate/scan.ts';

/** A grey picture, rows from the top. */
export interface GreyPicture {
  readonly columns: number;
  readonly rows: number;
  /** Linear light. */
  readonly light: Float32Array;
}

export interface ZoneGrid {
  /** Nodes across, ≥ 2; first and last lie on the edges of the picture. */
  readonly columns: number;
  /** Nodes down, ≥ 2. */
  readonly rows: number;
  /** Kernels reach so far to all sides. */
  readonly radiusPx: number;
  /** (2 radius + 1)² values that add to 1, rows from the top. */
  readonly kernel: (column: number, row: number) => Float64Array;
  /** What sampling took from each frequency (cycles/px, to 1/2) along each side, given back; 1 at 0. Default none. */
  readonly gain?: (cyclesPerPx: number) => number;
}

export interface BlurRun {
  readonly progress?: Progress;
  readonly cancelled?: CancelCheck;
}

/** Tiles: large enough that the kernel's margin costs little, small enough for the cache. */
function tileSize(radiusPx: number): number {
  let size = 64;
  while (size < 6 * radiusPx + 2) size *= 2;
  return size;
}

/** FFT(k₀ - i k₁): times FFT(a + i b) its real part is a ∗ k₀ + b ∗ k₁, two blurs for one. */
function pairSpectrum(k0: Float64Array, k1: Float64Array, zones: ZoneGrid, fourier: TileFourier): Float64Array {
  const { radiusPx, gain } = zones;
  const { size } = fourier;
  const side = 2 * radiusPx + 1;
  const tile = new Float64Array(2 * size * size);
  for (let y = 0; y < side; y++) {
    for (let x = 0; x < side; x++) {
      const at = 2 * (((y - radiusPx + size) % size) * size + ((x - radiusPx + size) % size));
      tile[at] = k0[y * side + x] as number;
      tile[at + 1] = -(k1[y * side + x] as number);
    }
  }
  fourier.forward(tile);
  if (gain === undefined) return tile;
  const gains = Float64Array.from({ length: size }, (_, i) => gain(Math.min(i, size - i) / size));
  for (let i = 0; i < size * size; i++) {
    const by = (gains[i % size] as number) * (gains[Math.floor(i / size)] as number);
    tile[2 * i] = (tile[2 * i] as number) * by;
    tile[2 * i + 1] = (tile[2 * i + 1] as number) * by;
  }
  return tile;
}

function multiplyAdd(sum: Float64Array, a: Float64Array, b: Float64Array, first: boolean): void {
  for (let i = 0; i < sum.length; i += 2) {
    const ar = a[i] as number;
    const ai = a[i + 1] as number;
    const br = b[i] as number;
    const bi = b[i + 1] as number;
    const re = ar * br - ai * bi;
    const im = ar * bi + ai * br;
    sum[i] = first ? re : (sum[i] as number) + re;
    sum[i + 1] = first ? im : (sum[i + 1] as number) + im;
  }
}

/**
 * The picture with every point spread by the kernels of its zone. Light that is spread past the edge is lost.
 * @param picture linear light
 * @param zones kernels that add to 1
 * @throws ModelError cancelled
 */
export function zoneBlur(picture: GreyPicture, zones: ZoneGrid, run: BlurRun = {}): GreyPicture {
  const { columns, rows } = picture;
  const { columns: across, rows: down, radiusPx } = zones;
  const fourier = tileFourier(tileSize(radiusPx));
  const { size } = fourier;
  const step = size - 2 * radiusPx;
  const out = new Float32Array(columns * rows);
  const first = new Float64Array(2 * size * size);
  const second = new Float64Array(2 * size * size);
  const sum = new Float64Array(2 * size * size);
  const edge = (index: number, count: number, length: number): number => Math.round((index * length) / (count - 1));
  let done = 0;
  for (let cellRow = 0; cellRow < down - 1; cellRow++) {
    for (let cell = 0; cell < across - 1; cell++) {
      const left = edge(cell, across, columns);
      const right = edge(cell + 1, across, columns);
      const top = edge(cellRow, down, rows);
      const bottom = edge(cellRow + 1, down, rows);
      const upper = pairSpectrum(zones.kernel(cell, cellRow), zones.kernel(cell + 1, cellRow), zones, fourier);
      const lower = pairSpectrum(zones.kernel(cell, cellRow + 1), zones.kernel(cell + 1, cellRow + 1), zones, fourier);
      for (let y0 = top; y0 < bottom; y0 += step) {
        for (let x0 = left; x0 < right; x0 += step) {
          if (run.cancelled?.()) throw new ModelError('cancelled', 'Drawing the picture was stopped.');
          const width = Math.min(step, right - x0);
          const height = Math.min(step, bottom - y0);
          first.fill(0);
          second.fill(0);
          for (let y = 0; y < height; y++) {
            const v = (y0 + y + 0.5 - top) / (bottom - top);
            for (let x = 0; x < width; x++) {
              const u = (x0 + x + 0.5 - left) / (right - left);
              const value = picture.light[(y0 + y) * columns + x0 + x] as number;
              const at = 2 * ((y + radiusPx) * size + x + radiusPx);
              first[at] = value * (1 - u) * (1 - v);
              first[at + 1] = value * u * (1 - v);
              second[at] = value * (1 - u) * v;
              second[at + 1] = value * u * v;
            }
          }
          fourier.forward(first);
          fourier.forward(second);
          multiplyAdd(sum, first, upper, true);
          multiplyAdd(sum, second, lower, false);
          fourier.inverse(sum);
          addTile(out, picture, sum, { x0: x0 - radiusPx, y0: y0 - radiusPx, width: width + 2 * radiusPx, height: height + 2 * radiusPx, size });
        }
      }
      done++;
      run.progress?.(done / ((across - 1) * (down - 1)), 'drawing');
    }
  }
  return { columns, rows, light: out };
}

function addTile(
  out: Float32Array,
  { columns, rows }: GreyPicture,
  tile: Float64Array,
  at: { x0: number; y0: number; width: number; height: number; size: number },
): void {
  for (let y = Math.max(0, -at.y0); y < Math.min(at.height, rows - at.y0); y++) {
    for (let x = Math.max(0, -at.x0); x < Math.min(at.width, columns - at.x0); x++) {
      const to = (at.y0 + y) * columns + at.x0 + x;
      out[to] = (out[to] as number) + (tile[2 * (y * at.size + x)] as number);
    }
  }
}
