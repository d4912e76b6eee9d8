/**
 * A piece of a scan as light: one channel, tone curve undone, read strip by strip, so that however
 * large the piece, only its light is held.
 */
import { lightOfRaster, lightOfValue } from './tone.ts';
import type { PixelSource, PixelWindow, ToneCurve } from './scan.ts';

export interface LightWindow {
  readonly widthPx: number;
  readonly heightPx: number;
  /** Upper left corner in pixels of the scan. */
  readonly columnPx: number;
  readonly rowPx: number;
  /** Pixels of the scan along the side of one pixel of the window. */
  readonly binPx: number;
  /** Light 0…1, row after row. */
  readonly light: Float32Array;
  /** Light at and above which a pixel is clipped, and at and below which it is black. */
  readonly clipLight: number;
  readonly blackLight: number;
  readonly tone: ToneCurve;
  /** Step between two codes of the file, white being 1; 0 for floats. */
  readonly codeStep: number;
}

const STRIP_ROWS = 256;

/**
 * Reads a window of the scan and averages light over `binPx` × `binPx`; what does not fill a whole
 * block at the right and lower side is left out.
 */
export async function readLight(
  source: PixelSource,
  window: PixelWindow,
  read: { readonly channel: number; readonly tone: ToneCurve; readonly binPx: number },
): Promise<LightWindow> {
  const { binPx, tone, channel } = read;
  const widthPx = Math.floor(window.widthPx / binPx);
  const heightPx = Math.floor(window.heightPx / binPx);
  const light = new Float32Array(widthPx * heightPx);
  const stripRows = Math.max(1, Math.floor(STRIP_ROWS / binPx)) * binPx;
  let fullScale = 255;
  for (let row = 0; row < heightPx * binPx; row += stripRows) {
    const rows = Math.min(stripRows, heightPx * binPx - row);
    const strip = await source.read(
      { columnPx: window.columnPx, rowPx: window.rowPx + row, widthPx: window.widthPx, heightPx: rows },
      1,
    );
    fullScale = strip.fullScale;
    const values = lightOfRaster(strip, channel, tone);
    addStrip(light, widthPx, row / binPx, values, window.widthPx, rows, binPx);
  }
  const step = fullScale > 1 ? 1 / fullScale : 1e-6;
  return {
    widthPx,
    heightPx,
    columnPx: window.columnPx,
    rowPx: window.rowPx,
    binPx,
    light,
    clipLight: lightOfValue(tone, 1 - step / 2),
    blackLight: lightOfValue(tone, step / 2),
    tone,
    codeStep: fullScale > 1 ? step : 0,
  };
}

function addStrip(
  light: Float32Array,
  widthPx: number,
  firstRow: number,
  values: Float32Array,
  stripWidth: number,
  rows: number,
  binPx: number,
): void {
  if (binPx === 1) {
    light.set(values, firstRow * widthPx);
    return;
  }
  const share = 1 / (binPx * binPx);
  for (let y = 0; y < rows; y++) {
    const target = (firstRow + Math.floor(y / binPx)) * widthPx;
    for (let x = 0; x < widthPx * binPx; x++) light[target + Math.floor(x / binPx)]! += values[y * stripWidth + x]! * share;
  }
}

/** The same window with light averaged over `factor` × `factor` of its pixels; what does not fill a block is left out. */
export function coarser(window: LightWindow, factor: number): LightWindow {
  const widthPx = Math.floor(window.widthPx / factor);
  const heightPx = Math.floor(window.heightPx / factor);
  const light = new Float32Array(widthPx * heightPx);
  const share = 1 / (factor * factor);
  for (let y = 0; y < heightPx * factor; y++) {
    const target = Math.floor(y / factor) * widthPx;
    const from = y * window.widthPx;
    for (let x = 0; x < widthPx * factor; x++) light[target + Math.floor(x / factor)]! += window.light[from + x]! * share;
  }
  return { ...window, widthPx, heightPx, light, binPx: window.binPx * factor };
}

/** A part of a window. @param part in its own pixels; what would lie outside is left out */
export function cutOut(window: LightWindow, part: PixelWindow): LightWindow {
  const left = Math.max(0, part.columnPx);
  const top = Math.max(0, part.rowPx);
  const widthPx = Math.min(window.widthPx, part.columnPx + part.widthPx) - left;
  const heightPx = Math.min(window.heightPx, part.rowPx + part.heightPx) - top;
  const light = new Float32Array(widthPx * heightPx);
  for (let y = 0; y < heightPx; y++) {
    const from = (top + y) * window.widthPx + left;
    light.set(window.light.subarray(from, from + widthPx), y * widthPx);
  }
  const { binPx } = window;
  return { ...window, widthPx, heightPx, light, columnPx: window.columnPx + left * binPx, rowPx: window.rowPx + top * binPx };
}
