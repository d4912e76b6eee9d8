/**
 * Pixels already in memory behind the same door as a decoder's: for small scans, for pictures
 * made by a renderer, and for tests.
 */
import { InputError } from '../errors.ts';
import type { PixelSource, PixelWindow, Raster } from './scan.ts';

/**
 * A `PixelSource` over a raster in memory; shrinking averages whole blocks, and blocks that hang
 * over the border average what there is of them.
 * @param raster samples row after row, channels interleaved
 * @throws InputError damaged when the samples do not fill the stated size
 */
export function rasterSource(raster: Raster): PixelSource {
  const { widthPx, heightPx, channels } = raster;
  if (!(widthPx >= 1 && heightPx >= 1 && channels >= 1) || raster.samples.length !== widthPx * heightPx * channels) {
    throw new InputError(
      'damaged',
      `A picture of ${widthPx} × ${heightPx} px with ${channels} channels needs ${widthPx * heightPx * channels} ` +
        `samples, but has ${raster.samples.length}.`,
      { path: 'raster.samples', got: raster.samples.length, expected: `${widthPx * heightPx * channels}` },
    );
  }
  return {
    widthPx,
    heightPx,
    channels,
    bitsPerSample: raster.samples instanceof Uint8Array ? 8 : 16,
    read: (window, shrink) => Promise.resolve(readWindow(raster, window, shrink)),
  };
}

/**
 * A window of a raster, area-averaged by a whole factor.
 * @param window inside the raster
 * @param shrink whole number ≥ 1
 * @throws InputError out-of-range for a window that is not inside or a factor that is not whole
 */
export function readWindow(raster: Raster, window: PixelWindow, shrink: number): Raster {
  const { columnPx, rowPx, widthPx, heightPx } = window;
  const inside =
    [columnPx, rowPx, widthPx, heightPx, shrink].every(Number.isInteger) &&
    columnPx >= 0 &&
    rowPx >= 0 &&
    widthPx >= 1 &&
    heightPx >= 1 &&
    shrink >= 1 &&
    columnPx + widthPx <= raster.widthPx &&
    rowPx + heightPx <= raster.heightPx;
  if (!inside) {
    throw new InputError(
      'out-of-range',
      `The window ${widthPx} × ${heightPx} px at ${columnPx}, ${rowPx} (shrink ${shrink}) is not inside the picture of ` +
        `${raster.widthPx} × ${raster.heightPx} px.`,
      { path: 'window', got: window },
    );
  }
  return shrink === 1 ? copyWindow(raster, window) : averageWindow(raster, window, shrink);
}

function copyWindow(raster: Raster, window: PixelWindow): Raster {
  const c = raster.channels;
  const rowLength = window.widthPx * c;
  const out = emptyLike(raster.samples, rowLength * window.heightPx);
  for (let row = 0; row < window.heightPx; row++) {
    const from = ((window.rowPx + row) * raster.widthPx + window.columnPx) * c;
    out.set(raster.samples.subarray(from, from + rowLength), row * rowLength);
  }
  return { ...raster, widthPx: window.widthPx, heightPx: window.heightPx, samples: out };
}

function averageWindow(raster: Raster, window: PixelWindow, shrink: number): Raster {
  const c = raster.channels;
  const widthPx = Math.ceil(window.widthPx / shrink);
  const heightPx = Math.ceil(window.heightPx / shrink);
  const out = emptyLike(raster.samples, widthPx * heightPx * c);
  const whole = !(raster.samples instanceof Float32Array);
  const sums = new Float64Array(widthPx * c);
  for (let outRow = 0; outRow < heightPx; outRow++) {
    sums.fill(0);
    const rows = Math.min(shrink, window.heightPx - outRow * shrink);
    for (let dy = 0; dy < rows; dy++) {
      const start = ((window.rowPx + outRow * shrink + dy) * raster.widthPx + window.columnPx) * c;
      for (let x = 0; x < window.widthPx; x++) {
        const target = Math.floor(x / shrink) * c;
        for (let k = 0; k < c; k++) sums[target + k]! += raster.samples[start + x * c + k]!;
      }
    }
    for (let outColumn = 0; outColumn < widthPx; outColumn++) {
      const count = rows * Math.min(shrink, window.widthPx - outColumn * shrink);
      for (let k = 0; k < c; k++) {
        const mean = sums[outColumn * c + k]! / count;
        out[(outRow * widthPx + outColumn) * c + k] = whole ? Math.round(mean) : mean;
      }
    }
  }
  return { ...raster, widthPx, heightPx, samples: out };
}

function emptyLike(samples: Raster['samples'], length: number): Raster['samples'] {
  if (samples instanceof Uint8Array) return new Uint8Array(length);
  if (samples instanceof Uint16Array) return new Uint16Array(length);
  return new Float32Array(length);
}
