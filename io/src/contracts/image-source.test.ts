import sharp from 'sharp';
import type { PngOptions } from 'sharp';
import { describe } from 'vitest';
import type { Raster } from '#core';
import { browserImageSource } from '../browser/image-source.ts';
import { writeTiff } from '../decoding/tiff-writer.ts';
import { memoryImageSource } from '../memory/image-source.ts';
import { nodeImageSource, sha256Hex } from '../node/image-source.ts';
import { imageSourceContract } from './image-source.contract.ts';
import type { ExpectedScan } from './image-source.contract.ts';

const WIDTH = 37;
const HEIGHT = 29;

function raster(channels: 1 | 3, bits: 8 | 16): Raster {
  const length = WIDTH * HEIGHT * channels;
  const fullScale = bits === 8 ? 255 : 65535;
  const value = (_: unknown, i: number): number => (i * 7919 + (i % 11) * 104729) % (fullScale + 1);
  const samples = bits === 8 ? Uint8Array.from({ length }, value) : Uint16Array.from({ length }, value);
  return { widthPx: WIDTH, heightPx: HEIGHT, channels, samples, fullScale };
}

function expected(fileName: string, bytes: Uint8Array, of: Raster, perInch: number | null): ExpectedScan {
  const scale = perInch === null ? null : { xMmPerPx: 25.4 / perInch, yMmPerPx: 25.4 / perInch };
  return { fileName, bytes: Uint8Array.from(bytes), raster: of, scale, sha256: sha256Hex(bytes) };
}

async function png(of: Raster, options: PngOptions = {}): Promise<Buffer> {
  const channels = of.channels as 1 | 3;
  const depth = of.fullScale === 255 ? 'uchar' : 'ushort';
  const space = channels === 1 ? (depth === 'uchar' ? 'b-w' : 'grey16') : depth === 'uchar' ? 'srgb' : 'rgb16';
  return sharp(of.samples as Uint8Array | Uint16Array, { raw: { width: WIDTH, height: HEIGHT, channels } })
    .toColourspace(space)
    .png(options)
    .toBuffer();
}

const gray = raster(1, 8);
const rgb = raster(3, 8);
const gray16 = raster(1, 16);
const rgb16 = raster(3, 16);
const resolution = { x: [4800, 1], y: [4800, 1], unit: 2 } as const;
const tiff = (of: Raster, more: Partial<Parameters<typeof writeTiff>[0]>): Uint8Array =>
  writeTiff({
    widthPx: WIDTH,
    heightPx: HEIGHT,
    samples: of.samples,
    channels: of.channels,
    bits: of.fullScale === 255 ? 8 : 16,
    ...more,
  });

const scans: ExpectedScan[] = [
  expected('gray.tif', tiff(gray, { resolution, rowsPerStrip: 6 }), gray, 4800),
  expected('rgb16.tif', tiff(rgb16, { resolution, compression: 'lzw', predictor: true }), rgb16, 4800),
  expected('no-unit.tif', tiff(gray16, { compression: 'deflate', bigEndian: true }), gray16, null),
  expected('gray.png', await png(gray), gray, null),
  expected('rgb.png', await png(rgb, { progressive: true }), rgb, null),
  expected('gray16.png', await png(gray16), gray16, null),
  expected('rgb16.png', await png(rgb16), rgb16, null),
];

describe('Node', () => imageSourceContract(nodeImageSource, scans));

// The browser's fallbacks run in Node too; its threaded decoder and its own JPEG are tested in a real browser.
describe('browser, not isolated', () => imageSourceContract(() => browserImageSource({ startVips: null }), scans));

describe('memory', () => {
  const known = Object.fromEntries(
    scans.map(({ fileName, raster: of, scale }) => [
      fileName,
      scale ? { raster: of, scale: { ...scale, source: 'file' as const, detail: 'as set' } } : { raster: of },
    ]),
  );
  imageSourceContract(() => memoryImageSource(known), scans);
});
