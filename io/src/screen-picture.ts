import { lightOfValue, readWindow } from '#core';
import type { PixelWindow, Raster, ToneCurve } from '#core';
import type { ScanPicture } from './ports.ts';

/**
 * A piece of a scan made ready for a screen: 8 bits, encoded as sRGB, no longer than `sidePx`.
 * @param raster what was read of the scan: `window`, shrunk by `shrink`
 * @param tone of the samples; null is taken as made for a screen already
 */
export function screenPicture(
  raster: Raster,
  window: PixelWindow,
  shrink: number,
  tone: ToneCurve | null,
  sidePx: number,
): ScanPicture {
  const further = Math.max(1, Math.ceil(Math.max(raster.widthPx, raster.heightPx) / sidePx));
  const all = { columnPx: 0, rowPx: 0, widthPx: raster.widthPx, heightPx: raster.heightPx };
  const small = further === 1 ? raster : readWindow(raster, all, further);
  const { widthPx, heightPx, channels } = small;
  const samples = forScreen(small, tone);
  return { window, shrink: shrink * further, picture: { widthPx, heightPx, channels, samples, fullScale: 255 } };
}

function forScreen({ samples, fullScale }: Raster, tone: ToneCurve | null): Uint8Array {
  const asStored = tone === null || tone.kind === 'srgb';
  // A copy in any case: the picture is given away to another thread.
  if (asStored && fullScale === 255) return Uint8Array.from(samples);
  const steps = fullScale === 255 ? 256 : 4096;
  const table = Uint8Array.from({ length: steps }, (_, i) => {
    const value = i / (steps - 1);
    return Math.round(255 * (asStored ? value : srgbValue(lightOfValue(tone, value))));
  });
  const factor = (steps - 1) / fullScale;
  const out = new Uint8Array(samples.length);
  for (let i = 0; i < samples.length; i++) out[i] = table[Math.round(samples[i]! * factor)]!;
  return out;
}

/** @source iec61966-2-1 */
function srgbValue(light: number): number {
  return light <= 0.0031308 ? 12.92 * light : 1.055 * light ** (1 / 2.4) - 0.055;
}
