/** An exposure of the film as something to look at: a print of so many grey values, positive or negative. */
import type { GreyPicture } from './zone-blur.ts';

export type PrintTone = 'positive' | 'negative';

/** This share of the picture may be as bright as paper. */
const WHITE_SHARE = 0.995;
const BINS = 2048;

/** Stops that bring the brightest parts of a picture to white. */
export function printGainStops({ light }: GreyPicture): number {
  const brightest = light.reduce((most, value) => Math.max(most, value), 0);
  if (!(brightest > 0)) return 0;
  const bins = new Uint32Array(BINS + 1);
  for (const value of light) {
    const bin = Math.floor((BINS * value) / brightest);
    bins[bin] = (bins[bin] as number) + 1;
  }
  let held = 0;
  for (let i = 0; i <= BINS; i++) {
    held += bins[i] as number;
    if (held >= WHITE_SHARE * light.length) return -Math.log2((brightest * (i + 1)) / BINS);
  }
  return -Math.log2(brightest);
}

function printed(picture: GreyPicture, tone: PrintTone, gainStops: number, into: Uint8ClampedArray | Uint16Array, white: number): void {
  const gain = 2 ** gainStops;
  for (let i = 0; i < into.length; i++) {
    const value = Math.min(1, Math.max(0, (picture.light[i] as number) * gain));
    const shown = value <= 0.0031308 ? 12.92 * value : 1.055 * value ** (1 / 2.4) - 0.055;
    into[i] = Math.round(white * (tone === 'positive' ? shown : 1 - shown));
  }
}

/**
 * An exposure as grey bytes to look at (sRGB): positive as the eye saw it, negative as a paper negative before
 * printing. A plain curve, not a developed emulsion's.
 * @param picture from `photograph`
 * @param tone positive or negative
 * @param gainStops brighter by so many stops before it is cut at white; default 0
 */
export function printTone(picture: GreyPicture, tone: PrintTone, gainStops = 0): Uint8ClampedArray {
  const out = new Uint8ClampedArray(picture.light.length);
  printed(picture, tone, gainStops, out, 255);
  return out;
}

/** As `printTone`, in 16 bits: for further work, where 256 greys would show steps. */
export function printTone16(picture: GreyPicture, tone: PrintTone, gainStops = 0): Uint16Array {
  const out = new Uint16Array(picture.light.length);
  printed(picture, tone, gainStops, out, 65535);
  return out;
}
