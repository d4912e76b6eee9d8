/** Whatever is done to a file, the answer is a picture or a FormatError: never a crash, a hang, or wild memory. */
import fc from 'fast-check';
import sharp from 'sharp';
import { describe, expect, test } from 'vitest';
import { FormatError, InputError } from '#core';
import { browserImageSource } from '../browser/image-source.ts';
import { nodeImageSource, nodeInflate } from '../node/image-source.ts';
import type { ImageSource } from '../ports.ts';
import { readScanMetadata } from '../scan-metadata/index.ts';
import { curve, grayProfile, joinPng } from '../scan-metadata/scan-writer.ts';
import type { PngChunk } from '../scan-metadata/scan-writer.ts';
import { writeTiff } from './tiff-writer.ts';

const samples = Array.from({ length: 24 * 18 * 3 }, (_, i) => (i * 37 + (i >> 3)) & 255);
const size = { widthPx: 24, heightPx: 18 };
const resolution = { x: [4800, 1], y: [4800, 1], unit: 2 } as const;
const profile = { tag: 34675, type: 7, values: [...grayProfile(curve.gamma(2.2))] } as const;
const raw = { raw: { width: 24, height: 18, channels: 3 as const } };

const seeds: Uint8Array[] = [
  writeTiff({ ...size, samples, channels: 3, bits: 8, resolution, extra: [profile] }),
  writeTiff({ ...size, samples, channels: 1, bits: 8, compression: 'lzw', predictor: true, rowsPerStrip: 4 }),
  writeTiff({ ...size, samples, channels: 1, bits: 16, compression: 'deflate', bigEndian: true, rowsPerStrip: 4 }),
  writeTiff({ ...size, samples, channels: 3, bits: 8, compression: 'packbits', tile: { widthPx: 16, heightPx: 16 } }),
  writeTiff({ ...size, samples, channels: 3, bits: 8, bigTiff: true, planar: true }),
  writeTiff({ ...size, samples: samples.map((v) => v & 1), channels: 1, bits: 1 }),
  Uint8Array.from(await sharp(Uint8Array.from(samples), raw).png({ compressionLevel: 9 }).toBuffer()),
  Uint8Array.from(await sharp(Uint8Array.from(samples), raw).withIccProfile('srgb').png({ palette: true }).toBuffer()),
  Uint8Array.from(await sharp(Uint8Array.from(samples), raw).png({ progressive: true }).toBuffer()),
  Uint8Array.from(await sharp(Uint8Array.from(samples), raw).withMetadata({ density: 4800 }).jpeg().toBuffer()),
  Uint8Array.from(await sharp(Uint8Array.from(samples), raw).jpeg({ progressive: true }).toBuffer()),
];

/** Values that sit at the edges of what counts and places may be. */
const nasty = fc.constantFrom(0, 1, 2, 0x7f, 0x80, 0xff);

interface Change {
  readonly place: number;
  readonly bytes: readonly number[];
}

const changes = fc.array(
  fc.record({
    place: fc.double({ min: 0, max: 1, noNaN: true }),
    bytes: fc.array(fc.oneof(nasty, fc.nat(255)), { minLength: 1, maxLength: 4 }),
  }),
  { minLength: 1, maxLength: 6 },
);

/** Also cuts, and aims half of the changes at the first bytes, where headers and directories are. */
const damagedFile = fc
  .record({
    seed: fc.nat(seeds.length - 1),
    changes,
    keep: fc.double({ min: 0, max: 1.2, noNaN: true }),
    early: fc.boolean(),
  })
  .map(({ seed, changes: list, keep, early }) => damage(seeds[seed]!, list, keep, early));

function damage(file: Uint8Array, list: readonly Change[], keep: number, early: boolean): Uint8Array {
  const out = file.slice();
  const reach = early ? Math.min(out.length, 300) : out.length;
  for (const { place, bytes } of list) {
    const at = Math.min(out.length - 1, Math.floor(place * reach));
    bytes.forEach((value, i) => {
      if (at + i < out.length) out[at + i] = value;
    });
  }
  return keep < 1 ? out.slice(0, Math.ceil(keep * out.length)) : out;
}

/** Damage behind a right check sum reaches the decoder of PNG. */
const damagedPng = fc.record({ seed: fc.constantFrom(6, 7, 8), changes }).map(({ seed, changes: list }) => {
  const chunks = chunksOf(seeds[seed]!);
  return joinPng(
    chunks.map((c, i) =>
      i === 0 || c.type === 'IEND' ? c : { ...c, data: damage(c.data, c.data.length > 0 ? list : [], 2, false) },
    ),
  );
});

function chunksOf(png: Uint8Array): PngChunk[] {
  const view = new DataView(png.buffer, png.byteOffset);
  const chunks: PngChunk[] = [];
  for (let at = 8; at < png.length; at += 12 + view.getUint32(at)) {
    chunks.push({
      type: String.fromCharCode(...png.subarray(at + 4, at + 8)),
      data: png.slice(at + 8, at + 8 + view.getUint32(at)),
    });
  }
  return chunks;
}

function requireAnswer(error: unknown): void {
  if (!(error instanceof FormatError || error instanceof InputError)) throw error;
  expect(error.message).toMatch(/\.$/);
}

async function openAndRead(source: ImageSource, bytes: Uint8Array): Promise<void> {
  try {
    const { pixels, close } = await source.open(bytes, 'scan');
    const { widthPx, heightPx, channels } = pixels;
    // A shrunk whole costs no more memory than a small picture, whatever size the damage has made of it.
    const shrink = Math.max(1, Math.ceil(Math.sqrt((widthPx * heightPx) / 1e4)));
    const whole = await pixels.read({ columnPx: 0, rowPx: 0, widthPx, heightPx }, shrink);
    expect(whole.samples).toHaveLength(whole.widthPx * whole.heightPx * channels);
    close();
  } catch (error) {
    requireAnswer(error);
  }
}

describe('damaged files', () => {
  test('what they say of themselves', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.oneof({ weight: 6, arbitrary: damagedFile }, fc.uint8Array({ maxLength: 200 })),
        async (bytes) => {
          try {
            const { stored, scale, tone } = await readScanMetadata(bytes, 'scan', nodeInflate);
            expect(stored.widthPx * stored.heightPx).toBeLessThanOrEqual(1.2e9);
            if (scale)
              expect(scale.xMmPerPx > 0 && scale.yMmPerPx > 0 && Number.isFinite(scale.xMmPerPx + scale.yMmPerPx)).toBe(
                true,
              );
            if (tone?.kind === 'gamma') expect(tone.gamma).toBeGreaterThan(0);
          } catch (error) {
            requireAnswer(error);
          }
        },
      ),
      { numRuns: 6000 },
    );
  });

  const sources = { Node: nodeImageSource(), 'browser, not isolated': browserImageSource({ startVips: null }) };
  test.each(Object.entries(sources))('their pixels: %s', async (_, source) => {
    await fc.assert(
      fc.asyncProperty(fc.oneof({ weight: 3, arbitrary: damagedFile }, damagedPng), async (bytes) => {
        // The browser's own JPEG decoder is not here to be tested.
        if (source === sources['browser, not isolated'] && bytes[0] === 0xff) return;
        await openAndRead(source, bytes);
      }),
      { numRuns: 300 },
    );
  });

  test('undamaged ones open', async () => {
    for (const bytes of seeds) {
      const { pixels } = await sources.Node.open(bytes, 'scan');
      expect([pixels.widthPx, pixels.heightPx]).toEqual([24, 18]);
    }
  });
});
