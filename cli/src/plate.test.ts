/** The plate command's own part: what a maker writes is understood, and one bad scan spoils no other. */
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { InputError, lightOfWavelength } from '#core';
import { nodePlateRoom } from '#io/node';
import { writePng } from '../../tools/scan-renderer/files.ts';
import { randomRecipe } from '../../tools/scan-renderer/families.ts';
import { renderScan } from '../../tools/scan-renderer/render.ts';
import { parseDpi, parseIllumination, parseTone, plateCommand } from './plate.ts';

const scans = join(import.meta.dirname, '../../demo/scans');
const walnut = { name: null, focalLengthMm: 135, objectDistanceMm: Infinity, light: lightOfWavelength(550), criterion: 'detail-10' } as const;
const room = nodePlateRoom();
afterAll(() => room.close());

interface Entry {
  readonly file: string;
  readonly error: string | null;
  readonly scale: { readonly source: string } | null;
  readonly holes: readonly { readonly outlineDiameterUm: number; readonly verdict: string; readonly verdictCriterion: string }[];
}

describe('what a maker writes', () => {
  it('is a resolution, one or two', () => {
    expect(parseDpi('4800')).toEqual({ x: 4800, y: 4800 });
    expect(parseDpi('2400, 1800')).toEqual({ x: 2400, y: 1800 });
    for (const bad of ['', 'fine', '0', '-300', '1,2,3', 'Infinity', '1e9', '4800,20']) expect(() => parseDpi(bad), bad).toThrow(InputError);
  });

  it('is a tone curve', () => {
    expect(parseTone('sRGB')).toEqual({ kind: 'srgb' });
    expect(parseTone('2.2')).toEqual({ kind: 'gamma', gamma: 2.2 });
    expect(parseTone('1')).toEqual({ kind: 'linear' });
    for (const bad of ['', 'gamma', '0', '9']) expect(() => parseTone(bad), bad).toThrow(InputError);
  });

  it('is a way of lighting', () => {
    expect(parseIllumination('Backlit')).toBe('backlit');
    expect(() => parseIllumination('bright')).toThrow(/backlit .* reflective/);
  });
});

describe('a folder of scans', () => {
  it('is one table, with a verdict for each and one line for each in the CSV', async () => {
    const answer = await plateCommand({ files: [scans], request: {}, camera: walnut }, room);
    const entries = answer.json as Entry[];
    expect(entries.map(({ file }) => file.slice(scans.length + 1))).toEqual([
      'pn-1.tif', 'pn-2.png', 'pn-3.png', 'wb-1.png', 'wb-2.png', 'wb-3.png',
    ]);
    expect(entries.map(({ holes }) => holes[0]?.verdict)).toEqual(['work on', 'work on', 'work on', 'good', 'good', 'large']);
    expect(answer.csv?.trimEnd().split('\r\n')).toHaveLength(7);
    expect(answer.text).toMatch(/wb-1\.png +0\.478 ± /);
    expect(answer.someFailed).toBe(false);
  });

  it('names the criterion of each verdict', async () => {
    const brightest = { ...walnut, criterion: 'brightest' } as const;
    const answer = await plateCommand({ files: [join(scans, 'wb-3.png')], request: {}, camera: brightest }, room);
    const [entry] = answer.json as Entry[];
    // Brightest centre: d = 2 √(λ f) = 0.545 mm at 550 nm and 135 mm, so 0.560 mm lies in its band.
    expect(entry?.holes[0]).toMatchObject({ verdict: 'good', verdictCriterion: 'brightest' });
  });
});

describe('a sheet of twenty holes', () => {
  it('is one table in reading order, with each hole’s place, and one line for each in the CSV', async () => {
    const folder = await mkdtemp(join(tmpdir(), 'camerawright-'));
    const mm = 25.4 / 1200;
    const holes = Array.from({ length: 20 }, (_, i) => ({
      columnPx: 45 + 70 * (i % 5) + (i % 3), rowPx: 45 + 70 * Math.floor(i / 5) + (i % 2), diameterMm: 0.35 + 0.01 * ((7 * i) % 20),
    }));
    const { raster } = renderScan({ ...randomRecipe('clean', 3), widthPx: 370, heightPx: 300, xMmPerPx: mm, yMmPerPx: mm, sigmaXMm: 0.012, sigmaYMm: 0.012, bits: 8, channels: 1, scratches: 0, holes });
    const file = join(folder, 'sheet.png');
    await writePng(file, raster, mm, mm);
    const answer = await plateCommand({ files: [file], request: {}, camera: walnut }, room);
    await rm(folder, { recursive: true });
    const [entry] = answer.json as Entry[];
    expect(entry?.holes).toHaveLength(20);
    entry?.holes.forEach(({ outlineDiameterUm }, i) => expect(Math.abs(outlineDiameterUm / (1000 * holes[i]!.diameterMm) - 1)).toBeLessThan(0.015));
    expect(answer.text).toMatch(/sheet\.png, hole 20 +6\.\d, 5\.4 +0\.\d+ ± /);
    expect(answer.text).toContain('--hole N');
    expect(answer.text.split('\n').length).toBeLessThan(40);
    expect(answer.csv?.trimEnd().split('\r\n')).toHaveLength(21);
  });
});

describe('a scan that cannot be used', () => {
  it('has its reason in its own entry and spoils nothing else', async () => {
    const files = [join(scans, 'truth.json'), join(scans, 'wb-1.png'), join(scans, 'gone.png')];
    const answer = await plateCommand({ files, request: {}, camera: null }, room);
    const [text, good, gone] = answer.json as Entry[];
    expect(text?.error).toMatch(/not a TIFF, PNG or JPEG/);
    expect(good?.holes).toHaveLength(1);
    expect(gone?.error).toMatch(/could not be read/);
    expect(answer.someFailed).toBe(true);
    expect(answer.notes).toHaveLength(2);
  });

  it('takes the resolution given by hand before the one in the file', async () => {
    const request = { dpi: { x: 2400, y: 2400 } };
    const answer = await plateCommand({ files: [join(scans, 'wb-1.png')], request, camera: null }, room);
    const [entry] = answer.json as Entry[];
    expect(entry?.scale?.source).toBe('given');
    // The file states 4800: at half the resolution the same pixels are twice as large.
    expect((entry?.holes[0]?.outlineDiameterUm ?? 0) / 956).toBeCloseTo(1, 2);
  });
});
