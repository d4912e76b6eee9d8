import { expect, test } from 'vitest';
import { FormatError } from '#core';
import type { RowDecoder } from './row-decoder.ts';
import { scanSource } from './scan-source.ts';

/** Counts what it is asked; sample = row number. */
function decoder(sequential: boolean, failAt = Infinity): RowDecoder & { decodedRows: number } {
  const made = {
    widthPx: 10,
    heightPx: 300,
    channels: 1 as const,
    bitsPerSample: 8 as const,
    sequential,
    decodedRows: 0,
    rows: async (
      window: { rowPx: number; heightPx: number; widthPx: number },
      take: (row: Uint8Array, rowPx: number) => boolean,
    ) => {
      for (let row = window.rowPx; row < window.rowPx + window.heightPx; row++) {
        made.decodedRows += 1;
        if (row >= failAt) throw new FormatError('damaged', 'The picture is damaged.');
        if (!take(new Uint8Array(window.widthPx).fill(row), row)) return;
      }
      await Promise.resolve();
    },
    close() {},
  };
  return made;
}

const whole = { columnPx: 0, rowPx: 0, widthPx: 10, heightPx: 300 };
const window = { columnPx: 2, rowPx: 250, widthPx: 3, heightPx: 2 };

test('what can only be read from the top is decoded once', async () => {
  const rows = decoder(true);
  const source = scanSource(rows);
  await Promise.all([source.read(whole, 8), source.read(window, 1), source.read(window, 2)]);
  expect(Array.from((await source.read(window, 1)).samples)).toEqual([250, 250, 250, 251, 251, 251]);
  expect(rows.decodedRows).toBe(300);
});

test('what is too large to keep is decoded where it is asked', async () => {
  const rows = decoder(true);
  const source = scanSource(rows, { keepAtMostBytes: 2999 });
  await source.read(whole, 8);
  expect((await source.read(window, 1)).samples[0]).toBe(250);
  expect(rows.decodedRows).toBe(302);
});

test('what can be read anywhere is', async () => {
  const rows = decoder(false);
  await scanSource(rows).read(window, 1);
  expect(rows.decodedRows).toBe(2);
});

test('progress is told, and stopping stops', async () => {
  const shares: number[] = [];
  let stop = false;
  const rows = decoder(true);
  const source = scanSource(rows, { progress: (share) => shares.push(share), cancelled: () => stop });
  stop = true;
  await expect(source.read(whole, 8)).rejects.toMatchObject({ name: 'ModelError', code: 'cancelled' });
  expect(rows.decodedRows).toBe(1);
  stop = false;
  expect((await source.read(whole, 100)).samples).toHaveLength(3);
  expect(shares.slice(1)).toEqual([0, 64, 128, 192, 256].map((row) => row / 300));
});

test('a failed decoding is not kept as the picture', async () => {
  const rows = decoder(true, 100);
  const source = scanSource(rows);
  await expect(source.read(window, 1)).rejects.toMatchObject({ code: 'damaged' });
  await expect(source.read(window, 1)).rejects.toMatchObject({ code: 'damaged' });
});
