import fc from 'fast-check';
import sharp from 'sharp';
import { describe, expect, test } from 'vitest';
import { isCamerawrightError, readWindow } from '#core';
import type { Raster } from '#core';
import { nodeImageSource } from '../node/image-source.ts';
import { unpackBits, unpackLzw } from './tiff-codecs.ts';
import { packBits, packLzw } from './tiff-packers.ts';
import { writeTiff } from './tiff-writer.ts';
import type { TiffRecipe } from './tiff-writer.ts';

/** A picture without symmetry, with smooth parts (runs) and rough ones. */
function scene(widthPx: number, heightPx: number, channels: number, bits: 1 | 8 | 16): number[] {
  const most = 2 ** bits - 1;
  const samples: number[] = [];
  let seed = 12345;
  for (let y = 0; y < heightPx; y++) {
    for (let x = 0; x < widthPx; x++) {
      for (let k = 0; k < channels; k++) {
        seed = (seed * 1103515245 + 12345) & 0x7fffffff;
        const flat = x < widthPx / 3 ? 0.75 : (x / widthPx) * 0.5 + (y / heightPx) * 0.3 + k * 0.05;
        const value = y % 7 === 3 ? (seed / 0x7fffffff) * most : flat * most;
        samples.push(Math.round(value) % (most + 1));
      }
    }
  }
  return samples;
}

async function whole(bytes: Uint8Array): Promise<Raster> {
  const opened = await nodeImageSource().open(bytes, 'scan.tif');
  const { widthPx, heightPx } = opened.pixels;
  return opened.pixels.read({ columnPx: 0, rowPx: 0, widthPx, heightPx }, 1);
}

/** The outside referee: libvips and libtiff, native. */
async function referee(bytes: Uint8Array, bits: number): Promise<{ data: number[]; channels: number }> {
  const picture = sharp(bytes, { failOn: 'error' });
  const { space } = await picture.metadata();
  const { data, info } = await picture
    .toColourspace(
      space === 'grey16' || space === 'b-w' ? (bits === 16 ? 'grey16' : 'b-w') : bits === 16 ? 'rgb16' : 'srgb',
    )
    .raw({ depth: bits === 16 ? 'ushort' : 'uchar' })
    .toBuffer({ resolveWithObject: true });
  const values = bits === 16 ? new Uint16Array(data.buffer, data.byteOffset, data.length / 2) : data;
  return { data: Array.from(values), channels: info.channels };
}

interface Kind extends Partial<TiffRecipe> {
  readonly name: string;
  /** The referee has no reader for it; the samples written are the truth. */
  readonly beyondReferee?: boolean;
}

const kinds: Kind[] = [];
for (const compression of ['none', 'lzw', 'deflate', 'packbits'] as const) {
  for (const bigEndian of [false, true]) {
    for (const bits of [8, 16] as const) {
      for (const channels of [1, 3]) {
        for (const layout of ['strips', 'tiles'] as const) {
          const order = bigEndian ? 'MM' : 'II';
          kinds.push({
            name: `${compression} ${order} ${bits} bit ${channels === 1 ? 'gray' : 'RGB'} ${layout}`,
            compression,
            bigEndian,
            bits,
            channels,
            ...(layout === 'tiles' ? { tile: { widthPx: 32, heightPx: 16 } } : { rowsPerStrip: 7 }),
          });
        }
      }
    }
  }
}
const common = { widthPx: 75, heightPx: 41, channels: 1, bits: 8 as const };
const rgb = { channels: 3 };
const deep = { bits: 16 as const };
const lzw = { compression: 'lzw' as const, predictor: true };
const zip = { compression: 'deflate' as const, predictor: true };
kinds.push(
  { name: 'lzw with predictor, RGB 8 bit', ...rgb, ...lzw, rowsPerStrip: 10 },
  { name: 'deflate with predictor, gray 16 bit MM', ...deep, ...zip, bigEndian: true },
  { name: 'deflate with predictor, RGB 16 bit tiles', ...rgb, ...deep, ...zip, tile: { widthPx: 16, heightPx: 16 } },
  { name: 'planar RGB 8 bit strips', ...rgb, planar: true, rowsPerStrip: 9 },
  { name: 'planar RGB 16 bit deflate', ...rgb, ...deep, planar: true, compression: 'deflate', rowsPerStrip: 9 },
  {
    name: 'planar RGB 8 bit tiles',
    ...rgb,
    ...lzw,
    planar: true,
    tile: { widthPx: 32, heightPx: 32 },
    beyondReferee: true,
  },
  { name: 'white is zero, 8 bit', photometric: 0 },
  { name: 'white is zero, 16 bit', ...deep, photometric: 0 },
  { name: 'BigTIFF, gray 8 bit', bigTiff: true, rowsPerStrip: 5 },
  {
    name: 'BigTIFF MM, RGB 16 bit lzw',
    ...rgb,
    ...deep,
    bigTiff: true,
    bigEndian: true,
    compression: 'lzw',
    rowsPerStrip: 5,
  },
  { name: 'one strip', compression: 'deflate' },
);

describe('every kind of TIFF reads like the referee', () => {
  test.each(kinds)('$name', async (kind) => {
    const { widthPx, heightPx } = common;
    const bits = kind.bits ?? 8;
    const channels = kind.channels ?? 1;
    const samples = scene(widthPx, heightPx, channels, bits);
    const bytes = writeTiff({ ...kind, widthPx, heightPx, samples, channels, bits });
    const ours = await whole(bytes);
    expect(ours.fullScale).toBe(bits === 16 ? 65535 : 255);
    expect(ours.channels).toBe(channels);
    if (!kind.beyondReferee) {
      const theirs = await referee(bytes, bits);
      expect(theirs.channels).toBe(channels);
      expect(Array.from(ours.samples)).toEqual(theirs.data);
    }
    if (kind.photometric !== 0) expect(Array.from(ours.samples)).toEqual(samples);
  });

  test('1 bit becomes 0 and 255, in either photometric', async () => {
    const samples = scene(75, 41, 1, 1);
    for (const photometric of [0, 1]) {
      const ours = await whole(writeTiff({ widthPx: 75, heightPx: 41, samples, channels: 1, bits: 1, photometric }));
      expect(Array.from(ours.samples)).toEqual(samples.map((bit) => (bit === photometric ? 255 : 0)));
    }
  });

  test('alpha is left behind', async () => {
    for (const channels of [2, 4]) {
      const samples = scene(20, 10, channels, 8);
      const ours = await whole(writeTiff({ widthPx: 20, heightPx: 10, samples, channels, bits: 8 }));
      const kept = channels - 1;
      expect(ours.channels).toBe(kept);
      expect(Array.from(ours.samples)).toEqual(samples.filter((_, i) => i % channels < kept));
    }
  });

  test('a colour table becomes gray by luminance', async () => {
    const table = Array.from({ length: 768 }, (_, i) => ((i * 37 + (i >> 8) * 50) % 256) * 257);
    const samples = scene(20, 10, 1, 8);
    const bytes = writeTiff({
      widthPx: 20,
      heightPx: 10,
      samples,
      channels: 1,
      bits: 8,
      photometric: 3,
      extra: [{ tag: 320, type: 3, values: table }],
    });
    const ours = await whole(bytes);
    expect(ours.channels).toBe(1);
    const { data, channels } = await referee(bytes, 8);
    expect(channels).toBe(3);
    const luma = samples.map((_, i) => {
      const [red, green, blue] = data.slice(3 * i, 3 * i + 3) as [number, number, number];
      return Math.round(0.2126 * red + 0.7152 * green + 0.0722 * blue);
    });
    expect(Array.from(ours.samples)).toEqual(luma);
  });
});

test('windows and shrunk windows are those of the whole', async () => {
  const recipe = { widthPx: 61, heightPx: 47, channels: 3, bits: 16 as const, bigEndian: true };
  const samples = scene(61, 47, 3, 16);
  for (const layout of [
    { tile: { widthPx: 16, heightPx: 16 } },
    { rowsPerStrip: 5 },
    { rowsPerStrip: 5, planar: true },
  ]) {
    for (const compression of ['none', 'lzw'] as const) {
      const opened = await nodeImageSource().open(
        writeTiff({ ...recipe, samples, ...layout, compression }),
        'scan.tif',
      );
      const all = await opened.pixels.read({ columnPx: 0, rowPx: 0, widthPx: 61, heightPx: 47 }, 1);
      await fc.assert(
        fc.asyncProperty(
          fc.nat(60),
          fc.nat(46),
          fc.nat(60),
          fc.nat(46),
          fc.integer({ min: 1, max: 9 }),
          async (...at) => {
            const [x, y, w, h, shrink] = at;
            const window = { columnPx: x, rowPx: y, widthPx: 1 + (w % (61 - x)), heightPx: 1 + (h % (47 - y)) };
            const ours = await opened.pixels.read(window, shrink);
            const expected = readWindow(all, window, shrink);
            expect(ours.widthPx).toBe(expected.widthPx);
            expect(Array.from(ours.samples)).toEqual(Array.from(expected.samples));
          },
        ),
        { numRuns: 40 },
      );
    }
  }
});

describe('the packings', () => {
  const bytes = fc.uint8Array({ minLength: 1, maxLength: 6000 });
  const runs = fc
    .array(fc.tuple(fc.nat(3), fc.integer({ min: 1, max: 300 })), { minLength: 1, maxLength: 40 })
    .map((list) => Uint8Array.from(list.flatMap(([value, count]) => Array.from({ length: count }, () => value))));

  test('LZW gives back what was packed', () => {
    fc.assert(
      fc.property(fc.oneof(bytes, runs), (raw) => void expect(unpackLzw(packLzw(raw), raw.length)).toEqual(raw)),
      { numRuns: 150 },
    );
  });
  test('PackBits gives back what was packed', () => {
    fc.assert(
      fc.property(fc.oneof(bytes, runs), (raw) => void expect(unpackBits(packBits(raw, 97), raw.length)).toEqual(raw)),
      { numRuns: 150 },
    );
  });
  test('damaged packings end in a sentence, or in as many bytes as asked', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 300 }), fc.nat(5000), (packed, length) => {
        for (const unpack of [unpackLzw, unpackBits]) {
          try {
            expect(unpack(packed, length)).toHaveLength(length);
          } catch (error) {
            expect(isCamerawrightError(error)).toBe(true);
          }
        }
      }),
      { numRuns: 1000 },
    );
  });
});
