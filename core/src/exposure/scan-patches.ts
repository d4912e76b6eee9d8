/** Grey values of equal patches in a scan: the strips of a step sheet, or the steps of a wedge beside it. */
import { InputError } from '../errors.ts';
import type { PixelWindow, Raster } from '../plate/scan.ts';

/** Left out at each edge of a patch, so that neighbours and a slanting line do not enter. */
const MARGIN_SHARE = 0.2;
/** Pixels looked at in one patch: enough for the grain, few enough for any scan. */
const MOST_SAMPLES = 20_000;

/** Equal patches side by side somewhere in a scan. */
export interface PatchArea {
  readonly window: PixelWindow;
  readonly count: number;
  readonly along: 'columns' | 'rows';
}

/**
 * Median value of equal patches side by side in a window, in the scan's own values, channels averaged.
 * @param raster the scan, or the part of it that holds the window
 * @param question window inside the raster, 1 to 100 patches along its columns or rows
 * @throws InputError out-of-range
 */
export function patchValues(
  raster: Raster,
  question: PatchArea,
): number[] {
  const { window, count, along } = question;
  const inside =
    window.columnPx >= 0 &&
    window.rowPx >= 0 &&
    window.columnPx + window.widthPx <= raster.widthPx &&
    window.rowPx + window.heightPx <= raster.heightPx;
  const lengthPx = along === 'columns' ? window.widthPx : window.heightPx;
  const acrossPx = along === 'columns' ? window.heightPx : window.widthPx;
  if (!inside || !Number.isInteger(count) || count < 1 || count > 100 || lengthPx < 5 * count || acrossPx < 5) {
    throw new InputError(
      'out-of-range',
      `The patches do not fit: ${count} of them in ${window.widthPx} × ${window.heightPx} px at ${window.columnPx}, ${window.rowPx} ` +
        `of a scan of ${raster.widthPx} × ${raster.heightPx} px; each needs 5 px or more.`,
      { path: 'window', expected: `inside the scan, ${5 * count} px or more along the patches` },
    );
  }
  return Array.from({ length: count }, (_, i) => {
    const from = Math.ceil((lengthPx * (i + MARGIN_SHARE)) / count);
    const to = Math.max(from + 1, Math.floor((lengthPx * (i + 1 - MARGIN_SHARE)) / count));
    const low = Math.ceil(acrossPx * MARGIN_SHARE);
    const high = Math.max(low + 1, Math.floor(acrossPx * (1 - MARGIN_SHARE)));
    const stride = Math.max(1, Math.ceil(Math.sqrt(((to - from) * (high - low)) / MOST_SAMPLES)));
    const values: number[] = [];
    for (let a = from; a < to; a += stride) {
      for (let b = low; b < high; b += stride) {
        const column = window.columnPx + (along === 'columns' ? a : b);
        const row = window.rowPx + (along === 'columns' ? b : a);
        const at = (row * raster.widthPx + column) * raster.channels;
        let sum = 0;
        for (let channel = 0; channel < raster.channels; channel++) sum += raster.samples[at + channel] ?? 0;
        values.push(sum / raster.channels);
      }
    }
    values.sort((x, y) => x - y);
    return values[Math.floor(values.length / 2)] ?? 0;
  });
}
