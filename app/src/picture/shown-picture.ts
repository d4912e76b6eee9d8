/** Drawn pictures as canvases to look at: one print time for both holes, grey or, in the darkroom, red. */
import type { Photograph, PrintTone } from '#core';
import { printTone } from '#core';

/** This share of the picture may be as bright as paper. */
const WHITE_SHARE = 0.995;
const BINS = 2048;

/** Stops that bring the brightest parts of a picture to white. */
export function printGainStops({ light }: Photograph): number {
  const brightest = light.reduce((most, value) => Math.max(most, value), 0);
  if (!(brightest > 0)) return 0;
  const bins = new Uint32Array(BINS + 1);
  for (const value of light) {
    const bin = Math.floor((BINS * value) / brightest);
    bins[bin] = Number(bins[bin]) + 1;
  }
  let held = 0;
  for (let i = 0; i <= BINS; i++) {
    held += Number(bins[i]);
    if (held >= WHITE_SHARE * light.length) return -Math.log2((brightest * (i + 1)) / BINS);
  }
  return -Math.log2(brightest);
}

export function asImageData(picture: Photograph, print: { readonly tone: PrintTone; readonly gainStops: number; readonly red: boolean }): ImageData {
  const grey = printTone(picture, print.tone, print.gainStops);
  const bytes = new Uint8ClampedArray(4 * grey.length);
  for (const [i, value] of grey.entries()) {
    bytes[4 * i] = value;
    bytes[4 * i + 1] = print.red ? 0 : value;
    bytes[4 * i + 2] = print.red ? 0 : value;
    bytes[4 * i + 3] = 255;
  }
  return new ImageData(bytes, picture.columns, picture.rows);
}

export function asCanvas(data: ImageData): HTMLCanvasElement {
  const canvas = document.createElement('canvas');
  canvas.width = data.width;
  canvas.height = data.height;
  canvas.getContext('2d')?.putImageData(data, 0, 0);
  return canvas;
}

/** The part of a picture that is looked at, as shares of its width and height. */
export interface Detail {
  readonly zoom: number;
  readonly x: number;
  readonly y: number;
}

/** The detail with its middle moved so far that it stays within the picture. */
export function held({ zoom, x, y }: Detail): Detail {
  const half = 0.5 / zoom;
  const within = (share: number): number => Math.min(1 - half, Math.max(half, share));
  return { zoom, x: within(x), y: within(y) };
}
