/** Drawn pictures as canvases to look at: one print time for both holes, grey or, in the darkroom, red. */
import type { Photograph, PrintTone } from '#core';
import { printTone } from '#core';

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
