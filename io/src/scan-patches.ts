/** Grey values of patches in a scan, read where they are and nowhere else. */
import { patchValues } from '#core';
import type { PatchArea, PixelSource } from '#core';

/**
 * @returns for each area the values of its patches in the scan's own scale, in the order in which they lie
 * @throws InputError out-of-range where an area does not fit into the scan
 */
export async function scanPatches(pixels: PixelSource, areas: readonly PatchArea[]): Promise<number[][]> {
  const found: number[][] = [];
  for (const { window, count, along } of areas) {
    const raster = await pixels.read(window, 1);
    found.push(patchValues(raster, { window: { ...window, columnPx: 0, rowPx: 0 }, count, along }));
  }
  return found;
}
