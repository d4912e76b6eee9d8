import { describe, expect, test } from 'vitest';
import { FormatError, InputError, ModelError, isCamerawrightError } from '#core';
import type { Raster } from '#core';
import { memoryImageSource } from './memory/image-source.ts';
import { directPlateRoom, errorFrom, plainError } from './plate-room.ts';
import type { ImageSource, ScanRequest } from './ports.ts';

const MM_PER_PX = 25.4 / 4800;

/** A soft bright disc, 60 px wide, in light itself. */
function disc(widthPx: number, heightPx: number, column: number, row: number): Raster {
  const samples = new Uint16Array(widthPx * heightPx);
  for (let y = 0; y < heightPx; y++) {
    for (let x = 0; x < widthPx; x++) {
      const inside = 1 / (1 + Math.exp(-1.7 * (30 - Math.hypot(x + 0.5 - column, y + 0.5 - row))));
      samples[y * widthPx + x] = Math.round(65535 * (0.1 + 0.02 * Math.sin(x) * Math.cos(1.3 * y) + 0.7 * inside));
    }
  }
  return { widthPx, heightPx, channels: 1, samples, fullScale: 65535 };
}

const raster = disc(220, 190, 120.3, 80.7);
const scale = { xMmPerPx: MM_PER_PX, yMmPerPx: MM_PER_PX, source: 'file', detail: 'as stated' } as const;
const source = memoryImageSource({
  'stated.tif': { raster, scale, tone: { kind: 'linear' } },
  'bare.tif': { raster },
});
const bytes = Uint8Array.of(1, 2, 3);
const linear: ScanRequest = { tone: { kind: 'linear' } };

describe('measuring', () => {
  test('takes scale and tone from the file, and shows the hole', async () => {
    const words: string[] = [];
    const shares: number[] = [];
    const result = await directPlateRoom(source).measure(bytes, 'stated.tif', {}, (share, word) => {
      words.push(word);
      shares.push(share);
    });
    expect(shares).toEqual(shares.toSorted((a, b) => a - b));
    expect(result.facts).toMatchObject({ toneSource: 'file', illumination: 'unknown', scale: { source: 'file' } });
    expect(result.opened).toMatchObject({ fileName: 'stated.tif', widthPx: 220, heightPx: 190, bitsPerSample: 16 });
    expect(result.reading.holes).toHaveLength(1);
    expect(result.reading.holes[0]!.outlineDiameterMm / MM_PER_PX).toBeCloseTo(60, 0);
    expect(words.length).toBeGreaterThan(1);

    expect(result.previews).toHaveLength(1);
    const { window, shrink, picture } = result.previews[0]!;
    expect(shrink).toBe(1);
    expect([picture.widthPx, picture.heightPx]).toEqual([window.widthPx, window.heightPx]);
    // The hole with plate all round it, in the middle of the window.
    expect(window.columnPx).toBeLessThan(120.3 - 30 - 20);
    expect(window.columnPx + window.widthPx).toBeGreaterThan(120.3 + 30 + 20);
    // Light 0.8 and 0.1, encoded for a screen as sRGB: 0.906 and 0.349
    const at = (column: number, row: number): number =>
      picture.samples[(row - window.rowPx) * picture.widthPx + column - window.columnPx]!;
    expect(at(120, 80) / 255).toBeCloseTo(0.906, 1);
    expect(at(window.columnPx + 2, 80) / 255).toBeCloseTo(0.349, 1);
    expect(result.overview.picture.widthPx).toBe(220);
  });

  test("the maker's word wins over the file's", async () => {
    const room = directPlateRoom(source);
    const byDpi = await room.measure(bytes, 'stated.tif', { dpi: { x: 2400, y: 1200 }, illumination: 'backlit' });
    expect(byDpi.facts).toMatchObject({ scale: { source: 'given', xMmPerPx: 25.4 / 2400 }, illumination: 'backlit' });
    expect(byDpi.facts.scale.yMmPerPx).toBe(25.4 / 1200);
    const ruler = { xMmPerPx: 0.005, yMmPerPx: 0.005, source: 'ruler', detail: '1 mm of a rule' } as const;
    const byRuler = await room.measure(bytes, 'stated.tif', { ...linear, scale: ruler, dpi: { x: 100, y: 100 } });
    expect(byRuler.facts).toMatchObject({ scale: ruler, toneSource: 'given' });
  });

  test('what nobody states is asked for or estimated', async () => {
    const room = directPlateRoom(source);
    await expect(room.measure(bytes, 'bare.tif', linear)).rejects.toMatchObject({
      name: 'InputError',
      code: 'no-scale',
      message: expect.stringContaining('bare.tif: No scale') as string,
    });
    const look = await room.look(bytes, 'bare.tif');
    expect(look.opened.scale).toBeNull();
    expect(look.overview.picture).toMatchObject({ widthPx: 220, heightPx: 190, fullScale: 255 });
    const { facts, toneNote } = await room.measure(bytes, 'bare.tif', { dpi: { x: 4800, y: 4800 } });
    expect(facts.toneSource).toBe('estimated');
    expect(toneNote).toMatch(/\.$/);
  });

  test.each([
    { x: 0, y: 4800 },
    { x: 4800, y: -1 },
    { x: NaN, y: 4800 },
  ])('refuses %o px per inch', async (dpi) => {
    await expect(directPlateRoom(source).measure(bytes, 'stated.tif', { dpi })).rejects.toMatchObject({
      code: 'not-positive',
    });
  });
});

describe('the room', () => {
  function counting(): { source: ImageSource; opened: () => number; closed: () => number } {
    let opened = 0;
    let closed = 0;
    return {
      source: {
        async open(given, fileName, watch) {
          opened += 1;
          const scan = await source.open(given, fileName, watch);
          return { ...scan, close: () => void (closed += 1) };
        },
      },
      opened: () => opened,
      closed: () => closed,
    };
  }

  test('opens one scan once, by its bytes, also from a Blob', async () => {
    const counted = counting();
    const room = directPlateRoom(counted.source);
    await room.look(bytes, 'bare.tif');
    await room.look(bytes.slice(), 'bare.tif');
    await room.look(new Blob([bytes]), 'bare.tif');
    expect([counted.opened(), counted.closed()]).toEqual([1, 0]);
    await room.look(Uint8Array.of(1, 2, 4), 'bare.tif');
    expect([counted.opened(), counted.closed()]).toEqual([2, 1]);
    room.close();
    expect(counted.closed()).toBe(2);
  });

  test('reads patches where they are, and says when they do not fit', async () => {
    const room = directPlateRoom(source);
    const { opened } = await room.look(bytes, 'bare.tif');
    const whole = { columnPx: 0, rowPx: 0, widthPx: opened.widthPx, heightPx: opened.heightPx };
    const [across = [], one = []] = await room.patches(bytes, 'bare.tif', [
      { window: whole, count: 4, along: 'columns' },
      { window: { ...whole, widthPx: 20, heightPx: 20 }, count: 1, along: 'rows' },
    ]);
    expect([across.length, one.length]).toEqual([4, 1]);
    // the ground in the corner is the ground of the first patch
    expect(Math.abs((one[0] ?? NaN) / (across[0] ?? NaN) - 1)).toBeLessThan(0.05);
    await expect(room.patches(bytes, 'bare.tif', [{ window: { ...whole, widthPx: 20 }, count: 9, along: 'columns' }])).rejects.toMatchObject({ code: 'out-of-range' });
  });

  test('cancel ends what runs and what waits, not what comes after', async () => {
    const room = directPlateRoom(source);
    const running = room.measure(bytes, 'stated.tif', {}, () => room.cancel());
    const waiting = room.look(bytes, 'bare.tif');
    await expect(running).rejects.toMatchObject({ name: 'ModelError', code: 'cancelled' });
    await expect(waiting).rejects.toMatchObject({ code: 'cancelled' });
    expect((await room.look(bytes, 'bare.tif')).opened.widthPx).toBe(220);
  });

  test('one failed scan does not stop the next', async () => {
    const room = directPlateRoom(source);
    const failed = room.look(bytes, 'unknown.tif');
    const good = room.look(bytes, 'bare.tif');
    await expect(failed).rejects.toMatchObject({ name: 'FormatError' });
    expect((await good).opened.fileName).toBe('bare.tif');
  });
});

test('errors cross between threads with class, code and sentence', () => {
  for (const error of [
    new InputError('no-scale', 'Say how large a pixel is.'),
    new FormatError('truncated', 'The file is cut short.'),
    new ModelError('no-hole', 'No hole was found.'),
  ]) {
    const crossed = errorFrom(structuredClone(plainError(error)));
    expect(crossed.constructor).toBe(error.constructor);
    expect(crossed).toMatchObject({ code: error.code, message: error.message });
    expect(isCamerawrightError(crossed)).toBe(true);
  }
  const bug = errorFrom(plainError(new TypeError('x is not a function')));
  expect(isCamerawrightError(bug)).toBe(false);
  expect(bug.message).toBe('x is not a function');
});
