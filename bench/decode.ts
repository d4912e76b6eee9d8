/**
 * Reading a scan of 100 megapixels: overview at 1:8 and a window, by our own way in, against the same decoder and a
 * native one unpacking the whole file. Each case runs in a process of its own, so that its memory can be seen.
 * Times are processor time (all threads), so that a busy machine matters less.
 */
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { nodeImageSource, nodePlateRoom } from '#io/node';

const SIDE = 10_000;
const PER_MM = 12_800 / 25.4;
const kinds = ['none.tif', 'lzw.tif', 'deflate.tif', 'tiles.tif', 'plain.png', 'plain.jpg'];
const whole = { columnPx: 0, rowPx: 0, widthPx: SIDE, heightPx: SIDE };
const window = { columnPx: 5000, rowPx: 5000, widthPx: 400, heightPx: 400 };

/** A grainy plate, brighter to one side, with one soft hole of 220 px off the middle. */
function plate(): Buffer {
  const samples = Buffer.alloc(SIDE * SIDE);
  let seed = 1;
  for (let y = 0; y < SIDE; y++) {
    for (let x = 0; x < SIDE; x++) {
      seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0;
      samples[y * SIDE + x] = 60 + ((x + y) >> 10) + (seed >>> 29);
    }
  }
  for (let y = 6900; y < 7200; y++) {
    for (let x = 3900; x < 4200; x++) {
      const inside = 1 / (1 + Math.exp(-0.6 * (110 - Math.hypot(x - 4050.3, y - 7049.6))));
      samples[y * SIDE + x] = Math.round(samples[y * SIDE + x]! + (235 - samples[y * SIDE + x]!) * inside);
    }
  }
  return samples;
}

async function write(folder: string): Promise<void> {
  const samples = plate();
  const picture = () => sharp(samples, { raw: { width: SIDE, height: SIDE, channels: 1 } }).toColourspace('b-w');
  const tiff = { xres: PER_MM, yres: PER_MM } as const;
  await picture()
    .tiff({ ...tiff, compression: 'none' })
    .toFile(join(folder, 'none.tif'));
  await picture()
    .tiff({ ...tiff, compression: 'lzw' })
    .toFile(join(folder, 'lzw.tif'));
  await picture()
    .tiff({ ...tiff, compression: 'deflate' })
    .toFile(join(folder, 'deflate.tif'));
  await picture()
    .tiff({ ...tiff, compression: 'deflate', tile: true })
    .toFile(join(folder, 'tiles.tif'));
  await picture().png({ compressionLevel: 3 }).toFile(join(folder, 'plain.png'));
  await picture().jpeg({ quality: 92 }).toFile(join(folder, 'plain.jpg'));
}

const jobs: Readonly<Record<string, (file: string) => Promise<unknown>>> = {
  /** What a measurement needs of the decoder. */
  ours: async (file) => {
    const { pixels } = await nodeImageSource().open(Uint8Array.from(readFileSync(file)), file);
    await pixels.read(whole, 8);
    await pixels.read(window, 1);
  },
  /** The same decoder, every row, nothing kept. */
  'ours, whole': async (file) => {
    const { pixels } = await nodeImageSource().open(Uint8Array.from(readFileSync(file)), file);
    await pixels.read(whole, SIDE);
  },
  'native, whole': (file) => sharp(readFileSync(file), { limitInputPixels: false }).raw().toBuffer(),
  measured: (file) =>
    nodePlateRoom().measure(Uint8Array.from(readFileSync(file)), file, {
      tone: { kind: 'srgb' },
      dpi: { x: 12800, y: 12800 },
    }),
};

function own(): { ms: number; peakMb: number } {
  const { user, system } = process.cpuUsage();
  return { ms: (user + system) / 1000, peakMb: process.resourceUsage().maxRSS / 1000 };
}

const [job, file] = process.argv.slice(2);
if (job !== undefined && file !== undefined) {
  const before = own();
  await jobs[job]!(file);
  const after = own();
  console.log(JSON.stringify({ ms: after.ms - before.ms, peakMb: after.peakMb, idleMb: before.peakMb }));
} else {
  const folder = mkdtempSync(join(tmpdir(), 'decode-'));
  try {
    await write(folder);
    for (const kind of kinds) {
      const path = join(folder, kind);
      const results: Record<string, { ms: number; peakMb: number; idleMb: number }> = {};
      for (const name of Object.keys(jobs)) {
        const output = execFileSync(process.execPath, ['tools/run.mjs', 'bench/decode.ts', name, path], {
          encoding: 'utf8',
        });
        results[name] = JSON.parse(output.trim().split('\n').at(-1)!) as { ms: number; peakMb: number; idleMb: number };
      }
      const { ours, measured } = results;
      const ratio = (other: string): string => (ours!.ms / results[other]!.ms).toFixed(2);
      console.log(
        `${kind.padEnd(12)} ${(statSync(path).size / 1e6).toFixed(0).padStart(4)} MB  overview + window ${ours!.ms.toFixed(0)} ms = ` +
          `${ratio('ours, whole')} × own whole = ${ratio('native, whole')} × native whole ` +
          `(${results['native, whole']!.ms.toFixed(0)} ms); peak ${ours!.peakMb.toFixed(0)} MB ` +
          `(${ours!.idleMb.toFixed(0)} before, native ${results['native, whole']!.peakMb.toFixed(0)}); ` +
          `measured ${measured!.ms.toFixed(0)} ms, ${measured!.peakMb.toFixed(0)} MB`,
      );
    }
  } finally {
    rmSync(folder, { recursive: true });
  }
}
