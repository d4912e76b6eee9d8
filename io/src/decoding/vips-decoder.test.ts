import fc from 'fast-check';
import sharp from 'sharp';
import { describe, expect, test } from 'vitest';
import { readWindow } from '#core';
import { nodeImageSource } from '../node/image-source.ts';

const WIDTH = 90;
const HEIGHT = 391;
const samples = Uint8Array.from({ length: WIDTH * HEIGHT * 3 }, (_, i) => ((i * 31) ^ (i >> 6)) & 255);
const picture = () => sharp(samples, { raw: { width: WIDTH, height: HEIGHT, channels: 3 } });

const files: [string, Buffer][] = [
  ['PNG', await picture().png().toBuffer()],
  ['interlaced PNG', await picture().png({ progressive: true }).toBuffer()],
  ['PNG with alpha', await picture().ensureAlpha(0.5).png().toBuffer()],
  ['PNG of a colour table', await picture().png({ palette: true, dither: 0 }).toBuffer()],
  ['JPEG', await picture().jpeg({ quality: 90 }).toBuffer()],
  ['progressive JPEG', await picture().jpeg({ progressive: true }).toBuffer()],
  ['gray JPEG', await picture().toColourspace('b-w').jpeg().toBuffer()],
];

describe.each(files)('%s', (_, file) => {
  const bytes = Uint8Array.from(file);

  test('windows from anywhere are those of the native decoder', async () => {
    const { data, info } = await sharp(file).removeAlpha().raw().toBuffer({ resolveWithObject: true });
    const native = {
      widthPx: WIDTH,
      heightPx: HEIGHT,
      channels: info.channels,
      samples: Uint8Array.from(data),
      fullScale: 255,
    };
    await fc.assert(
      fc.asyncProperty(fc.nat(WIDTH - 1), fc.nat(HEIGHT - 1), fc.nat(), fc.nat(), async (x, y, w, h) => {
        const window = { columnPx: x, rowPx: y, widthPx: 1 + (w % (WIDTH - x)), heightPx: 1 + (h % (HEIGHT - y)) };
        // Nothing kept: every window is decoded anew, from its own first row.
        const { pixels } = await nodeImageSource({ keepAtMostBytes: 0 }).open(bytes, 'scan');
        const ours = await pixels.read(window, 1);
        const theirs = readWindow(native, window, 1);
        const gray = ours.channels < theirs.channels;
        expect(Array.from(ours.samples)).toEqual(gray ? grayOf(theirs.samples) : Array.from(theirs.samples));
      }),
      { numRuns: 25 },
    );
  });
});

function grayOf(rgb: ArrayLike<number>): number[] {
  return Array.from({ length: rgb.length / 3 }, (_, i) =>
    Math.round(0.2126 * rgb[3 * i]! + 0.7152 * rgb[3 * i + 1]! + 0.0722 * rgb[3 * i + 2]!),
  );
}

test('a JPEG with broken data is refused, though its end is there', async () => {
  const broken = Uint8Array.from(files[4]![1]);
  for (let at = 3000; at < 3400; at += 7) broken[at] = (broken[at]! ^ 0x55) & 0x7f;
  const { pixels } = await nodeImageSource().open(broken, 'scan.jpg');
  await expect(pixels.read({ columnPx: 0, rowPx: 0, widthPx: WIDTH, heightPx: HEIGHT }, 1)).rejects.toMatchObject({
    name: 'FormatError',
    code: 'damaged',
  });
});

test('reading can be stopped, and begun again', async () => {
  let stop = true;
  const { pixels } = await nodeImageSource().open(Uint8Array.from(files[0]![1]), 'scan.png', { cancelled: () => stop });
  const whole = { columnPx: 0, rowPx: 0, widthPx: WIDTH, heightPx: HEIGHT };
  await expect(pixels.read(whole, 4)).rejects.toMatchObject({ code: 'cancelled' });
  stop = false;
  expect((await pixels.read(whole, 4)).widthPx).toBe(23);
});
