/** Two-dimensional Fourier transforms of square tiles, for convolution. */
import FFT from 'fft.js';

/** Complex tiles are size × size pairs (re, im), row by row. */
export interface TileFourier {
  readonly size: number;
  /** In place; unnormalised. */
  readonly forward: (tile: Float64Array) => void;
  /** In place; divides by size², so that it undoes `forward`. */
  readonly inverse: (tile: Float64Array) => void;
}

/**
 * Transforms for tiles of one size. Holds its own scratch memory, so one for each thread.
 * @param size a power of 2, ≥ 4
 * @source cooley-tukey1965
 */
export function tileFourier(size: number): TileFourier {
  const fft = new FFT(size);
  const line = new Float64Array(2 * size);
  const out = new Float64Array(2 * size);
  const rows = (tile: Float64Array, back: boolean): void => {
    for (let row = 0; row < size; row++) {
      const at = tile.subarray(2 * row * size, 2 * (row + 1) * size);
      line.set(at);
      if (back) fft.inverseTransform(out, line);
      else fft.transform(out, line);
      at.set(out);
    }
  };
  const run = (tile: Float64Array, back: boolean): void => {
    rows(tile, back);
    transpose(tile, size);
    rows(tile, back);
    transpose(tile, size);
  };
  return { size, forward: (tile) => run(tile, false), inverse: (tile) => run(tile, true) };
}

/** In blocks of 16, which stay in the cache. */
function transpose(tile: Float64Array, size: number): void {
  const block = 16;
  for (let top = 0; top < size; top += block) {
    for (let left = top; left < size; left += block) {
      const bottom = Math.min(size, top + block);
      const right = Math.min(size, left + block);
      for (let i = top; i < bottom; i++) {
        for (let j = left === top ? i + 1 : left; j < right; j++) {
          const a = 2 * (i * size + j);
          const b = 2 * (j * size + i);
          const re = tile[a] as number;
          const im = tile[a + 1] as number;
          tile[a] = tile[b] as number;
          tile[a + 1] = tile[b + 1] as number;
          tile[b] = re;
          tile[b + 1] = im;
        }
      }
    }
  }
}
