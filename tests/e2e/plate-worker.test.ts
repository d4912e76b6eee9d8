/**
 * The plate room's thread in a real browser, served as the app is: with isolation (the threaded decoder) and without
 * (the fallbacks). What it sees must be what Node sees.
 */
import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';
import type { Browser, Page } from 'playwright-core';
import sharp from 'sharp';
import { build } from 'vite';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { nodePlateRoom, serve } from '#io/node';
import type { Serving } from '#io/node';
import { writeTiff } from '../../io/src/decoding/tiff-writer.ts';
// Only its declaration of what the page offers.
import type {} from '../support/plate-room-page.ts';

const WIDTH = 150;
const HEIGHT = 130;
const DPI = 4800;
const srgb = { kind: 'srgb' } as const;

let folder = '';
let browser: Browser;
const servings: Serving[] = [];
const files = new Map<string, Uint8Array>();
const complaints: string[] = [];

/** A bright disc on a plate that is not even, in sRGB. */
function plate(channels: number, white: number): number[] {
  const samples: number[] = [];
  for (let y = 0; y < HEIGHT; y++) {
    for (let x = 0; x < WIDTH; x++) {
      const fromRim = 28 - Math.hypot(x + 0.5 - 71.3, y + 0.5 - 62.6);
      const inside = 1 / (1 + Math.exp(-1.6 * fromRim));
      const grain = 0.01 * Math.sin(x * 0.7) * Math.cos(y * 0.9);
      const light = 0.08 + grain + 0.75 * inside;
      const value = light <= 0.0031308 ? 12.92 * light : 1.055 * light ** (1 / 2.4) - 0.055;
      for (let k = 0; k < channels; k++) samples.push(Math.round(value * white * (1 - 0.02 * k)));
    }
  }
  return samples;
}

async function makeScans(): Promise<void> {
  const resolution = { x: [DPI, 1], y: [DPI, 1], unit: 2 } as const;
  const size = { widthPx: WIDTH, heightPx: HEIGHT, resolution };
  const gray = plate(1, 255);
  const rgb = plate(3, 255);
  const deep = { channels: 3, bits: 16, compression: 'deflate', rowsPerStrip: 20, predictor: true } as const;
  files.set('deflate.tif', writeTiff({ ...size, ...deep, samples: plate(3, 65535) }));
  files.set(
    'lzw.tif',
    writeTiff({ ...size, samples: gray, channels: 1, bits: 8, compression: 'lzw', bigEndian: true }),
  );
  const raw = (samples: number[], channels: 1 | 3) =>
    sharp(Buffer.from(samples), { raw: { width: WIDTH, height: HEIGHT, channels } }).withMetadata({ density: DPI });
  files.set('gray.png', await raw(gray, 1).toColourspace('b-w').png().toBuffer());
  files.set('rgb.png', await raw(rgb, 3).png({ adaptiveFiltering: true }).toBuffer());
  files.set('table.png', await raw(rgb, 3).png({ palette: true, dither: 0 }).toBuffer());
  files.set('interlaced.png', await raw(rgb, 3).png({ progressive: true }).toBuffer());
  files.set('gray.jpg', await raw(gray, 1).toColourspace('b-w').jpeg({ quality: 95 }).toBuffer());
  files.set('rgb.jpg', await raw(rgb, 3).jpeg({ quality: 95, chromaSubsampling: '4:4:4' }).toBuffer());
  const bare = sharp(Buffer.from(gray), { raw: { width: WIDTH, height: HEIGHT, channels: 1 } });
  files.set('no-scale.png', await bare.png().toBuffer());
  files.set('cut.png', files.get('rgb.png')!.subarray(0, 2000));
}

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'plate-worker-'));
  const page = join(folder, 'source');
  await mkdir(join(page, 'public', 'scans'), { recursive: true });
  await makeScans();
  for (const [name, bytes] of files) await writeFile(join(page, 'public', 'scans', name), bytes);
  const script = join(import.meta.dirname, '../support/plate-room-page.ts');
  await writeFile(
    join(page, 'index.html'),
    `<!doctype html><link rel="icon" href="data:,"><script type="module" src="${script}"></script>`,
  );
  await build({
    configFile: false,
    root: page,
    base: './',
    logLevel: 'error',
    build: {
      outDir: join(folder, 'app'),
      target: 'es2022',
      assetsInlineLimit: 0,
      modulePreload: { polyfill: false },
      minify: false,
    },
    worker: { format: 'es' },
  });
  browser = await chromium.launch({
    executablePath: process.env['CHROMIUM'] || '/usr/bin/chromium',
    args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking'],
  });
}, 180_000);

afterAll(async () => {
  await browser?.close();
  for (const serving of servings) await serving.close();
  await rm(folder, { recursive: true, force: true });
});

async function bench(isolated: boolean): Promise<Page> {
  const serving = await serve({ root: join(folder, 'app'), port: 0, isolated });
  servings.push(serving);
  const page = await browser.newPage();
  page.on('console', (message) => {
    if (message.type() === 'error') complaints.push(message.text());
  });
  page.on('pageerror', (error) => complaints.push(error.message));
  await page.goto(serving.url);
  await page.waitForFunction(() => 'plateBench' in window);
  return page;
}

describe.each([
  { name: 'isolated', isolated: true },
  { name: 'not isolated', isolated: false },
])('$name', ({ isolated }) => {
  let page: Page;
  beforeAll(async () => {
    page = await bench(isolated);
  });

  it('is what it should be', async () => {
    expect(await page.evaluate(() => window.plateBench.isolated)).toBe(isolated);
  });

  it.each(['deflate.tif', 'lzw.tif', 'gray.png', 'rgb.png', 'table.png', 'interlaced.png', 'gray.jpg', 'rgb.jpg'])(
    'sees %s as Node does',
    async (name) => {
      const here = await nodePlateRoom().look(files.get(name)!, name);
      const there = await page.evaluate((scan) => window.plateBench.look(scan), name);
      if (!('value' in there)) throw new Error(there.message);
      expect(there.value.opened).toEqual(here.opened);
      const expected = Array.from(here.overview.picture.samples);
      if (name.endsWith('.jpg') && !isolated) {
        // Another decoder may round the transform and the colours differently.
        const worst = expected.reduce((most, value, i) => Math.max(most, Math.abs(value - there.value.samples[i]!)), 0);
        expect(there.value.samples).toHaveLength(expected.length);
        expect(worst).toBeLessThanOrEqual(3);
      } else {
        expect(there.value.samples).toEqual(expected);
      }
    },
  );

  it('measures as Node does, and says what it is doing', async () => {
    const here = await nodePlateRoom().measure(files.get('rgb.jpg')!, 'rgb.jpg', { tone: srgb });
    const there = await page.evaluate(() => window.plateBench.measure('rgb.jpg', { tone: { kind: 'srgb' } }));
    if (!('value' in there)) throw new Error(there.message);
    const { outlineDiameterMm } = here.reading.holes[0]!;
    expect(Math.abs(there.value.diameterMm - outlineDiameterMm)).toBeLessThan(isolated ? 1e-9 : 1e-4);
    expect(there.value.previewWindow).toEqual(here.previews[0]!.window);
    expect(there.value.previewSamples).toBe(here.previews[0]!.picture.samples.length);
    expect(there.value.words.length).toBeGreaterThan(1);
  });

  it('gives errors back with class and code', async () => {
    const noScale = await page.evaluate(() => window.plateBench.measure('no-scale.png', {}));
    expect(noScale).toMatchObject({ name: 'InputError', code: 'no-scale' });
    const cut = await page.evaluate(() => window.plateBench.measure('cut.png', {}));
    expect(cut).toMatchObject({ name: 'FormatError', code: 'truncated' });
  });

  it('stops when told, and works again after', async () => {
    const stopped = await page.evaluate(() => window.plateBench.cancelled('rgb.png', {}));
    expect(stopped).toMatchObject({ name: 'ModelError', code: 'cancelled' });
    const again = await page.evaluate(() => window.plateBench.look('rgb.png'));
    expect(again).toHaveProperty('value');
  });

  it('asks for nothing that the policy forbids', () => {
    expect(complaints).toEqual([]);
  });
});
