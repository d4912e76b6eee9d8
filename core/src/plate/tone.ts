/**
 * From the numbers of a file to light: tone curves and what to assume when the file states none.
 */
import { InputError, unreachable } from '../errors.ts';
import type { Raster, ToneCurve } from './scan.ts';

export interface ToneEstimate {
  readonly tone: ToneCurve;
  /** Sentence for the maker: what was assumed and why. */
  readonly reason: string;
}

/**
 * Light, 0…1, for a stored value 0…1.
 *   sRGB: v / 12.92 up to 0.04045, then ((v + 0.055) / 1.055)^2.4
 * @throws InputError out-of-range for a gamma outside 0.2…5
 * @source iec61966-2-1
 */
export function lightOfValue(tone: ToneCurve, value: number): number {
  switch (tone.kind) {
    case 'linear':
      return value;
    case 'srgb':
      return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
    case 'gamma':
      if (!(tone.gamma >= 0.2 && tone.gamma <= 5)) {
        throw new InputError('out-of-range', `A tone curve of gamma ${tone.gamma} is outside 0.2…5.`, {
          path: 'tone.gamma',
          got: tone.gamma,
          expected: '0.2…5',
        });
      }
      return Math.max(0, value) ** tone.gamma;
    default:
      return unreachable(tone);
  }
}

/** Stored value 0…1 for light 0…1. */
export function valueOfLight(tone: ToneCurve, light: number): number {
  switch (tone.kind) {
    case 'linear':
      return light;
    case 'srgb':
      return light <= 0.0031308 ? 12.92 * light : 1.055 * light ** (1 / 2.4) - 0.055;
    default:
      return light ** (1 / tone.gamma);
  }
}

/** Light of one channel of a raster, row after row, 0…1. */
export function lightOfRaster(raster: Raster, channel: number, tone: ToneCurve): Float32Array {
  const { samples, channels, fullScale } = raster;
  const out = new Float32Array(raster.widthPx * raster.heightPx);
  if (samples instanceof Float32Array) {
    for (let i = 0, k = channel; i < out.length; i++, k += channels) out[i] = lightOfValue(tone, samples[k]! / fullScale);
    return out;
  }
  const table = lightTable(tone, samples instanceof Uint8Array ? 256 : 65536, fullScale);
  for (let i = 0, k = channel; i < out.length; i++, k += channels) out[i] = table[samples[k]!]!;
  return out;
}

function lightTable(tone: ToneCurve, length: number, fullScale: number): Float32Array {
  const table = new Float32Array(length);
  for (let i = 0; i < length; i++) table[i] = lightOfValue(tone, i / fullScale);
  return table;
}

/**
 * The tone curve of a scan that states none: sRGB, until the rim of a hole tells otherwise (`measureScan`). Pass it on with
 * `toneSource: 'estimated'`, so that the doubt enters the uncertainty.
 */
export function estimateTone(): ToneEstimate {
  return {
    tone: { kind: 'srgb' },
    reason: 'The file does not state its tone curve; sRGB is assumed, as for most scanners.',
  };
}
