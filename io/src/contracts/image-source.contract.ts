import { expect, test } from 'vitest';
import type { Raster, ScanScale } from '#core';
import type { ImageSource } from '../ports.ts';

/** A scan as a source is given it, and what it must see in it. */
export interface ExpectedScan {
  readonly fileName: string;
  readonly bytes: Uint8Array;
  readonly raster: Raster;
  readonly scale: Pick<ScanScale, 'xMmPerPx' | 'yMmPerPx'> | null;
  readonly sha256: string;
}

/** What every `ImageSource` promises to those who read scans through it. */
export function imageSourceContract(make: () => ImageSource, scans: readonly ExpectedScan[]): void {
  test.each(scans.map((scan) => ({ ...scan, name: scan.fileName })))('$name: pixels, size and name', async (scan) => {
    const opened = await make().open(scan.bytes, scan.fileName);
    const { pixels } = opened;
    const { widthPx, heightPx, channels } = scan.raster;
    expect([pixels.widthPx, pixels.heightPx, pixels.channels]).toEqual([widthPx, heightPx, channels]);
    expect(opened.sha256).toBe(scan.sha256);
    const whole = await pixels.read({ columnPx: 0, rowPx: 0, widthPx, heightPx }, 1);
    expect(whole.fullScale).toBe(scan.raster.fullScale);
    expect(Array.from(whole.samples)).toEqual(Array.from(scan.raster.samples));
    if (scan.scale) expect(opened.scale).toMatchObject({ ...scan.scale, source: 'file' });
    else expect(opened.scale).toBeNull();
    expect(opened.scaleNote).not.toBe('');
    expect(opened.toneNote).not.toBe('');
    opened.close();
  });

  test('windows and averages are those of the whole, in any order', async () => {
    const { bytes, fileName, raster } = scans[0]!;
    const { pixels } = await make().open(bytes, fileName);
    const { widthPx, heightPx, channels, samples } = raster;
    const window = { columnPx: 3, rowPx: heightPx - 7, widthPx: widthPx - 5, heightPx: 6 };
    const part = await pixels.read(window, 1);
    expect([part.widthPx, part.heightPx]).toEqual([window.widthPx, window.heightPx]);
    for (let row = 0; row < window.heightPx; row++) {
      const from = ((window.rowPx + row) * widthPx + window.columnPx) * channels;
      const length = window.widthPx * channels;
      expect(Array.from(part.samples.subarray(row * length, (row + 1) * length))).toEqual(
        Array.from(samples.subarray(from, from + length)),
      );
    }
    const shrunk = await pixels.read({ columnPx: 0, rowPx: 0, widthPx, heightPx }, 4);
    expect([shrunk.widthPx, shrunk.heightPx]).toEqual([Math.ceil(widthPx / 4), Math.ceil(heightPx / 4)]);
    let sum = 0;
    for (let row = 4; row < 8; row++) for (let c = 8; c < 12; c++) sum += samples[(row * widthPx + c) * channels]!;
    expect(shrunk.samples[(1 * shrunk.widthPx + 2) * channels]).toBe(Math.round(sum / 16));
    // The last block hangs over the border and averages what there is of it.
    let rest = 0;
    let count = 0;
    for (let row = 4 * (shrunk.heightPx - 1); row < heightPx; row++) {
      for (let c = 4 * (shrunk.widthPx - 1); c < widthPx; c++, count++)
        rest += samples[(row * widthPx + c) * channels]!;
    }
    expect(shrunk.samples[shrunk.samples.length - channels]).toBe(Math.round(rest / count));
  });

  test('windows outside are refused', async () => {
    const { bytes, fileName, raster } = scans[0]!;
    const { pixels } = await make().open(bytes, fileName);
    for (const window of [
      { columnPx: -1, rowPx: 0, widthPx: 2, heightPx: 2 },
      { columnPx: 0, rowPx: 0, widthPx: raster.widthPx + 1, heightPx: 1 },
      { columnPx: 0, rowPx: 0.5, widthPx: 1, heightPx: 1 },
      { columnPx: 0, rowPx: 0, widthPx: 0, heightPx: 1 },
    ]) {
      // Refusing at once or by a rejected promise are both right.
      await expect((async () => pixels.read(window, 1))()).rejects.toMatchObject({ code: 'out-of-range' });
    }
  });

  test('what is no scan is a FormatError with a sentence', async () => {
    const text = new TextEncoder().encode('no scan');
    await expect(make().open(text, 'no-scan.tif')).rejects.toMatchObject({
      name: 'FormatError',
      code: 'unsupported',
      message: expect.stringMatching(/no-scan\.tif is not a TIFF, PNG or JPEG/) as string,
    });
  });
}
