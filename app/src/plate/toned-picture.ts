/**
 * The pixels of a scan in the colours of the ground: a warm print on paper, dimmed at night, only red in the
 * darkroom. The ramps are straight, so what is lighter in the scan stays lighter on the screen.
 */
import type { Raster } from '#core';
import type { ThemeName } from '../shell/theme.svelte.ts';

type Ramp = readonly [black: readonly [number, number, number], white: readonly [number, number, number]];

const ramps: Readonly<Record<ThemeName, Ramp>> = {
  paper: [[24, 20, 16], [255, 252, 244]],
  night: [[8, 7, 6], [226, 215, 196]],
  darkroom: [[0, 0, 0], [255, 0, 0]],
};

/** Light as the eye weighs it (Rec. 709 luma, on encoded values: for the look only). */
function luma(red: number, green: number, blue: number): number {
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
}

/** @param raster 8 bits, one channel or three, encoded for a screen */
export function tonedPixels(raster: Raster, theme: ThemeName): Uint8ClampedArray<ArrayBuffer> {
  const { samples, channels, fullScale } = raster;
  const count = raster.widthPx * raster.heightPx;
  const out = new Uint8ClampedArray(count * 4);
  const [black, white] = ramps[theme];
  const mono = theme === 'darkroom' || channels < 3;
  for (let i = 0; i < count; i++) {
    const first = (samples[i * channels] ?? 0) / fullScale;
    const colour = mono && channels >= 3
      ? luma(first, (samples[i * channels + 1] ?? 0) / fullScale, (samples[i * channels + 2] ?? 0) / fullScale)
      : null;
    for (let k = 0; k < 3; k++) {
      const share = colour ?? (mono ? first : (samples[i * channels + k] ?? 0) / fullScale);
      const lo = black[k] ?? 0;
      out[i * 4 + k] = lo + share * ((white[k] ?? 0) - lo);
    }
    out[i * 4 + 3] = 255;
  }
  return out;
}

/** The raster on a canvas of its own size, ready to be drawn at any scale. */
export function tonedCanvas(raster: Raster, theme: ThemeName): HTMLCanvasElement {
  const canvas = document.createElement('canvas');
  canvas.width = raster.widthPx;
  canvas.height = raster.heightPx;
  const image = new ImageData(tonedPixels(raster, theme), raster.widthPx, raster.heightPx);
  canvas.getContext('2d')?.putImageData(image, 0, 0);
  return canvas;
}
