/** A steel rule across and down gives a scanner its scale, and the scale goes with its scans. */
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { emptyWorkshop } from '#core';
import { serialiseWorkshop } from '#core/schema';
import { nodePlateRoom } from '#io/node';
import { writePng } from '../../tools/scan-renderer/files.ts';
import { renderRuler } from '../../tools/scan-renderer/ruler.ts';
import { runCommandLine } from './main.ts';
import { calibrateCommand, scannerOf } from './plate-scanner.ts';
import { parseBridge, parseEdge, parseEnds, parseNudge, parsePiece, plateCommand } from './plate.ts';

const demo = join(import.meta.dirname, '../../demo/scans/wb-1.png');
const room = nodePlateRoom();
let folder: string;
let workshop: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'camerawright-'));
  workshop = join(folder, 'bench.workshop.json');
  await writeFile(
    workshop,
    serialiseWorkshop(emptyWorkshop({ id: '01999c9e-0000-7000-8000-000000000001', name: 'Bench', createdAt: '2026-05-01T10:00:00Z' })),
  );
});
afterAll(async () => {
  room.close();
  await rm(folder, { recursive: true });
});

interface Entry {
  readonly error: string | null;
  readonly scale: { readonly source: string; readonly xUmPerPx: number; readonly yUmPerPx: number };
  readonly samePlate?: { readonly scans: number; readonly outlineDiameterUm: number; readonly spreadUm: number };
  readonly holes: readonly {
    readonly outlineDiameterUm: number;
    readonly standardUncertaintyUm: number;
    readonly stopsPerPx: number;
    readonly harmonics: readonly unknown[];
    readonly budget: readonly { readonly name: string; readonly standardUncertaintyUm: number }[];
  }[];
}
const holesOf = (json: unknown): readonly Entry[] => json as readonly Entry[];

/** A scan of a rule on a scanner whose pixels are 0.4 % narrow and 0.3 % tall, which states 600 px per inch. */
async function ruleScan(name: string, turned: boolean): Promise<string> {
  const stated = 25.4 / 600;
  const [x, y] = [stated * 0.996, stated * 1.003];
  const path = join(folder, name);
  const raster = renderRuler({
    seed: 3,
    widthPx: Math.round(30 / x),
    heightPx: Math.round(30 / y),
    xMmPerPx: x,
    yMmPerPx: y,
    rules: [{ atMm: turned ? [20, 28] : [3, 24], angleRad: turned ? Math.PI / 2 : 0, lengthMm: 24 }],
    divisionMm: 1,
    noise: 0.015,
  });
  await writePng(path, raster, stated, stated);
  return path;
}

describe('a scanner', () => {
  it('is calibrated by a rule in both directions, kept in the workshop, and used at another resolution too', async () => {
    const files = [await ruleScan('across.png', false), await ruleScan('down.png', true)];
    const { json } = await calibrateCommand({ files, name: 'Flatbed', workshop }, room);
    const { calibration } = json as { calibration: { xMmPerPx: number; yMmPerPx: number; statedDpi: number } };
    const stated = 25.4 / 600;
    expect(calibration.xMmPerPx / stated).toBeCloseTo(0.996, 3);
    expect(calibration.yMmPerPx / stated).toBeCloseTo(1.003, 3);
    expect(calibration.statedDpi).toBeCloseTo(600, 1);
    const scanner = await scannerOf(workshop, 'flatbed');
    expect(scanner.calibrations).toHaveLength(1);
    expect(JSON.parse(await readFile(workshop, 'utf8'))).toMatchObject({ scanners: [{ name: 'Flatbed' }] });
    // The demo's scan states 4800 px per inch: the calibration is carried over.
    const [plain, own] = await Promise.all(
      [{}, { scanner }].map(async (request) => holesOf((await plateCommand({ files: [demo], request, camera: null }, room)).json)[0]!),
    );
    expect(own!.scale.source).toBe('scanner');
    expect(own!.scale.xUmPerPx / plain!.scale.xUmPerPx).toBeCloseTo(0.996, 3);
    expect(own!.holes[0]!.outlineDiameterUm / plain!.holes[0]!.outlineDiameterUm).toBeCloseTo(Math.sqrt(0.996 * 1.003), 3);
    expect(own!.holes[0]!.standardUncertaintyUm).toBeLessThan(plain!.holes[0]!.standardUncertaintyUm);
    await expect(scannerOf(workshop, 'other')).rejects.toThrow(/holds: Flatbed/);
  });

  it('leaves the workshop’s camera to judge the hole: its only one, and of several none, which is said', async () => {
    const told = JSON.parse(await readFile(workshop, 'utf8')) as Record<string, unknown>;
    const camera = (n: number, name: string) => ({ id: `01999c9e-0000-7000-8000-00000000001${n}`, name, createdAt: '2026-05-01T10:00:00Z', focalLengthMm: 135 });
    const ask = async (cameras: readonly unknown[], ...more: string[]) => {
      const path = join(folder, `cameras-${cameras.length}.workshop.json`);
      await writeFile(path, JSON.stringify({ ...told, cameras }));
      let [out, err] = ['', ''];
      const code = await runCommandLine(['plate', demo, '--scanner', 'Flatbed', '--workshop', path, '--json', ...more], {
        out: (text) => (out += text),
        err: (text) => (err += text),
      });
      expect(code).toBe(0);
      return { verdict: (JSON.parse(out) as { holes: { verdict: string | null }[] }[])[0]!.holes[0]!.verdict, err };
    };
    const one = await ask([camera(1, 'Walnut')]);
    expect(one).toMatchObject({ verdict: 'good', err: expect.stringContaining('Judged for Walnut') as string });
    const two = await ask([camera(1, 'Walnut'), camera(2, 'Tin')]);
    expect(two).toMatchObject({ verdict: null, err: expect.stringMatching(/--camera NAME\. It holds: Walnut, Tin/) as string });
    expect((await ask([camera(1, 'Walnut'), camera(2, 'Tin')], '--camera', 'tin')).verdict).toBe('good');
  });
});

describe('scans of one plate', () => {
  it('give their mean beside each', async () => {
    const { json, text } = await plateCommand({ files: [demo, demo], request: { edge: parseEdge('1') }, camera: null, samePlate: true }, room);
    const [first, second] = holesOf(json);
    expect(first!.samePlate).toMatchObject({ scans: 2, spreadUm: 0 });
    expect(second!.samePlate!.outlineDiameterUm).toBeCloseTo(first!.holes[0]!.outlineDiameterUm, 9);
    expect(first!.holes[0]!.budget.find(({ name }) => name === 'edge')!.standardUncertaintyUm).toBeCloseTo(1, 12);
    expect(first!.holes[0]!.harmonics).toHaveLength(14);
    expect(text).toContain('the mean of 2 scans');
  });
});

describe('an edit by hand', () => {
  it('is understood, and refused with what is wanted', () => {
    expect(parseNudge('40,-5')).toMatchObject({ kind: 'nudge', shiftMm: -0.005 });
    expect(parseBridge('90,30')).toMatchObject({ kind: 'bridge', angleRad: Math.PI / 2 });
    for (const bad of ['', '40', 'up,5', '1,2,3,4']) expect(() => parseNudge(bad), bad).toThrow(/µm outwards/);
    expect(() => parseEdge('-1')).toThrow(/not be negative/);
  });

  it('is no more than numbers: so are two ends of a known length', () => {
    expect(parseEnds('120,80,1310,84,10')).toEqual({ ends: [{ columnPx: 120, rowPx: 80 }, { columnPx: 1310, rowPx: 84 }], lengthMm: 10 });
    expect(() => parseEnds('120,80,10')).toThrow(/x and y of two ends/);
  });

  it('moves the figure of the hole that is asked for', async () => {
    const ask = async (edits: readonly ReturnType<typeof parseNudge>[]) =>
      holesOf((await plateCommand({ files: [demo], request: {}, camera: null, hole: 1, edits }, room)).json)[0]!;
    const [plain, pushed] = [await ask([]), await ask([parseNudge('0,10,60')])];
    expect(pushed.holes[0]!.outlineDiameterUm).toBeGreaterThan(plain.holes[0]!.outlineDiameterUm + 3);
    expect((await ask([parsePiece('metal', '9')])).error).toMatch(/no piece of debris number 9/);
  });
});
