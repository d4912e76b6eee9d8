import { InputError, ModelError } from '#core';
import type { PixelSource, PixelWindow, Raster } from '#core';
import type { JobWatch } from '../ports.ts';
import { BoxAverage } from './box-average.ts';
import { emptySamples, fullScale } from './row-decoder.ts';
import type { RowDecoder, Samples } from './row-decoder.ts';

/** 100 megapixels of 16-bit colour: kept, so that every window after the first read is free. */
const KEEP_AT_MOST_BYTES = 640e6;

/** Rows between two looks at the clock of the caller: often enough to cancel, seldom enough to cost nothing. */
const ROWS_BETWEEN_WORDS = 64;

export interface SourceOptions extends JobWatch {
  readonly keepAtMostBytes?: number;
}

/**
 * A `PixelSource` over any row decoder. Formats that can only be read from the top are decoded once and kept (up to
 * a limit, beyond which each window is decoded anew); the others are read where they are asked.
 */
export function scanSource(decoder: RowDecoder, options: SourceOptions = {}): PixelSource {
  const { widthPx, heightPx, channels, bitsPerSample } = decoder;
  const bytes = widthPx * heightPx * channels * (bitsPerSample / 8);
  const keep = decoder.sequential && bytes <= (options.keepAtMostBytes ?? KEEP_AT_MOST_BYTES);
  let kept: Promise<Samples> | null = null;

  const watched = (window: PixelWindow, take: (row: Samples, rowPx: number) => void): Promise<void> =>
    watchedRows(decoder, window, options, take);

  const decodeAll = async (): Promise<Samples> => {
    const whole = emptySamples(bitsPerSample, widthPx * heightPx * channels);
    const everything = { columnPx: 0, rowPx: 0, widthPx, heightPx };
    await watched(everything, (row, rowPx) => whole.set(row, rowPx * widthPx * channels));
    return whole;
  };

  const rowsOf = async (window: PixelWindow, take: (row: Samples, rowPx: number) => void): Promise<void> => {
    if (!keep) return watched(window, take);
    // A failed or cancelled decoding must not be remembered as the picture.
    kept ??= decodeAll().catch((error: unknown) => {
      kept = null;
      throw error;
    });
    const whole = await kept;
    for (let row = window.rowPx; row < window.rowPx + window.heightPx; row++) {
      const start = (row * widthPx + window.columnPx) * channels;
      take(whole.subarray(start, start + window.widthPx * channels), row);
    }
  };

  return {
    widthPx,
    heightPx,
    channels,
    bitsPerSample,
    async read(window: PixelWindow, shrink: number): Promise<Raster> {
      requireInside(decoder, window, shrink);
      if (shrink === 1) {
        const rowLength = window.widthPx * channels;
        const samples = emptySamples(bitsPerSample, rowLength * window.heightPx);
        await rowsOf(window, (row, rowPx) => samples.set(row, (rowPx - window.rowPx) * rowLength));
        return {
          widthPx: window.widthPx,
          heightPx: window.heightPx,
          channels,
          samples,
          fullScale: fullScale(bitsPerSample),
        };
      }
      const average = new BoxAverage(window, channels, bitsPerSample, shrink);
      await rowsOf(window, (row) => average.take(row));
      average.finish();
      return {
        widthPx: average.widthPx,
        heightPx: average.heightPx,
        channels,
        samples: average.samples,
        fullScale: fullScale(bitsPerSample),
      };
    },
  };
}

async function watchedRows(
  decoder: RowDecoder,
  window: PixelWindow,
  watch: JobWatch,
  take: (row: Samples, rowPx: number) => void,
): Promise<void> {
  let cancelled = false;
  // Only a pass through the whole scan takes long enough to be told of.
  const tell = window.heightPx === decoder.heightPx ? watch.progress : undefined;
  await decoder.rows(window, (row, rowPx) => {
    const done = rowPx - window.rowPx;
    if (done % ROWS_BETWEEN_WORDS === 0) {
      cancelled = watch.cancelled?.() ?? false;
      tell?.(done / window.heightPx, 'reading the scan');
    }
    if (!cancelled) take(row, rowPx);
    return !cancelled;
  });
  if (cancelled) throw new ModelError('cancelled', 'Reading the scan was stopped.');
}

function requireInside(size: { widthPx: number; heightPx: number }, window: PixelWindow, shrink: number): void {
  const { columnPx, rowPx, widthPx, heightPx } = window;
  const inside =
    [columnPx, rowPx, widthPx, heightPx, shrink].every(Number.isInteger) &&
    columnPx >= 0 &&
    rowPx >= 0 &&
    widthPx >= 1 &&
    heightPx >= 1 &&
    shrink >= 1 &&
    columnPx + widthPx <= size.widthPx &&
    rowPx + heightPx <= size.heightPx;
  if (!inside) {
    throw new InputError(
      'out-of-range',
      `The window ${widthPx} × ${heightPx} px at ${columnPx}, ${rowPx} (shrink ${shrink}) is not inside the picture ` +
        `of ${size.widthPx} × ${size.heightPx} px.`,
      { path: 'window', got: window },
    );
  }
}
