import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { FrontOptions } from './front.ts';
import { frontCommand } from './front.ts';
import { runCommandLine } from './main.ts';

interface Document {
  pointsMm: [number, number][];
  transmission: number[];
  clippingLayer: (string | null)[];
  falloffStops: number[];
  openings: { layer: string; minimumMm: number; spareMm: number; cutter: string | null }[];
  imageCircleMm: number;
}

const stack = {
  frameMm: [120, 95],
  focalLengthMm: 75,
  holeShiftMm: [0, 0],
  hole: { diameterMm: 0.3 },
  layers: [
    { name: 'slide', zMm: [1, 3], opening: { shape: 'circle', diameterMm: 7 }, bevel: null, shiftMm: [0, 0], rotationDeg: 0 },
    { name: 'front plate', zMm: [3, 9], opening: { shape: 'circle', diameterMm: 16 }, bevel: null, shiftMm: [0.5, 0], rotationDeg: 0 },
  ],
  pointsMm: [[0, 0], [60, 47.5], [-60, 47.5]],
};

let folder = '';
let file = '';

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'front-'));
  file = join(folder, 'stack.json');
  await writeFile(file, JSON.stringify(stack));
});

afterAll(() => rm(folder, { recursive: true, force: true }));

async function ask(options: FrontOptions = {}): Promise<{ json: Document; text: string }> {
  const answer = await frontCommand({ stack: file, ...options });
  return { json: answer.json as Document, text: answer.text };
}

describe('the document for --json', () => {
  test('points, shares, who clips, falloff and openings as agreed', async () => {
    const { json } = await ask();
    expect(json.pointsMm).toEqual(stack.pointsMm);
    expect(json.transmission[0]).toBe(1);
    expect(json.transmission[1]).toBe(0);
    expect(json.clippingLayer).toEqual([null, 'front plate', 'front plate']);
    const tan2 = (60 ** 2 + 47.5 ** 2) / 75 ** 2;
    expect(json.falloffStops[1]).toBeCloseTo(2 * Math.log2(1 + tan2), 12);
    // Ø = 2 (|p z/f + s| + (d/2)(1 + z/f)) in the corner that the shift runs against
    const wanted = 2 * (Math.hypot((60 * 9) / 75 + 0.5, (47.5 * 9) / 75) + 0.15 * (1 + 9 / 75));
    expect(json.openings[1]!.minimumMm).toBeCloseTo(wanted, 9);
    expect(json.openings.map(({ layer }) => layer)).toEqual(['slide', 'front plate']);
  });

  test('the next drill up, and what if the hole sat elsewhere', async () => {
    const { json, text } = await ask({ cutters: 'metric, forstner; 3/4 in' });
    expect(json.openings[1]!.cutter).toBe('20 mm');
    expect(text).toMatch(/^Front plate stands 1\.\d\d mm in the view/);
    const moved = await ask({ moveHole: '0.5,0' });
    expect(moved.json.openings[1]!.minimumMm).toBeCloseTo(2 * (Math.hypot((60.5 * 9) / 75, (47.5 * 9) / 75) + 0.168), 9);
    const thin = await ask({ thickness: 'front plate=3' });
    expect(thin.json.openings[1]!.spareMm).toBeGreaterThan(0);
  });

  test('a stack that is none is refused with its place, a missing one with what to give', async () => {
    const bad = join(folder, 'bad.json');
    await writeFile(bad, JSON.stringify({ ...stack, layers: [{ ...stack.layers[0], opening: { shape: 'star' } }] }));
    let said = '';
    const streams = { out: () => undefined, err: (text: string) => void (said += text) };
    expect(await runCommandLine(['front', '--stack', bad, '--json'], streams)).toBe(1);
    expect(said).toMatch(/layers\[0\]\.opening\.shape/);
    expect(await runCommandLine(['front', '--json'], streams)).toBe(2);
    expect(said).toMatch(/--stack FILE/);
  });
});

describe('a camera of a workshop, and the further parts', () => {
  test('the pear of the demo: its front plate was glued 0.8 mm off', async () => {
    const printed: string[] = [];
    const streams = { out: (text: string) => void printed.push(text), err: () => undefined };
    const args = ['front', '--workshop', 'demo/demo-workshop.json', '--camera', 'Pear 6×12', '--json'];
    const asked = ['--gauge', '--tolerances', '--trials', '200', '--plate-loss', '0.33', '--finder', '--holes', '-30,0;30,0'];
    const made = ['--seat', 'opening=10 plate=0.1', '--slide', 'opening=10 clear=6 thickness=2', '--flap', 'opening=10 clear=12 pivot=30', '--lever', 'opening=10 clear=12 pivot=30'];
    expect(await runCommandLine([...args, ...asked, ...made], streams)).toBe(0);
    const json = JSON.parse(printed.join('')) as Document & Record<string, unknown>;
    expect(json.openings.map(({ layer }) => layer)).toEqual(['board hole', 'shutter slide', 'front plate']);
    const wanted = 2 * (Math.hypot((59 * 8) / 60 + 0.8, (28 * 8) / 60) + ((1 + 8 / 60) * (json['holeDiameterMm'] as number)) / 2);
    expect(json.openings[2]!.minimumMm).toBeCloseTo(wanted, 9);
    expect(json.openings[2]!.cutter).toBe('20 mm');
    for (const part of ['gauge', 'tolerances', 'plate', 'finder', 'holes', 'seat', 'slide', 'flap', 'lever']) expect(json[part]).toBeTruthy();
    expect((json['slide'] as { travelMm: number }).travelMm).toBe(14);
  });

  test('sizes that are not said are those kept with the camera, else as the view needs', async () => {
    const workshop = JSON.parse(await readFile('demo/demo-workshop.json', 'utf8')) as { cameras: { name: string; front: Record<string, unknown> }[] };
    const pear = workshop.cameras.find(({ name }) => name === 'Pear 6×12')!;
    const file = join(folder, 'kept.json');
    const asked = async (...parts: string[]): Promise<Record<string, Record<string, number>>> => {
      await writeFile(file, JSON.stringify(workshop));
      const printed: string[] = [];
      const streams = { out: (text: string) => void printed.push(text), err: () => undefined };
      expect(await runCommandLine(['front', '--workshop', file, '--camera', 'Pear 6×12', '--json', ...parts], streams)).toBe(0);
      return JSON.parse(printed.join('')) as Record<string, Record<string, number>>;
    };
    const plain = await asked('--slide', '--seat', '--plate-loss');
    const neededMm = (plain['openings'] as unknown as { layer: string; minimumMm: number }[]).find(({ layer }) => layer === 'shutter slide')!.minimumMm;
    expect(plain['slide']!['windowAlongMm']).toBeCloseTo(neededMm + 2, 9);
    expect(plain['plate']!['lossStops']).toBe(0.33);
    pear.front['parts'] = { plate: { lossStops: 0.5 }, seat: { boardOpeningMm: 14, landMm: 6 }, shutter: { notHomeMm: 2, holeProudMm: -0.4 } };
    const kept = await asked('--slide', '--seat', 'land=5', '--plate-loss');
    expect(kept['slide']).toMatchObject({ closedPartMm: 24, holeClearanceMm: 0.4 });
    expect(kept['slide']!['windowAlongMm']).toBeCloseTo(neededMm + 4, 9);
    expect(kept['seat']!['blankMm']).toBe(24);
    expect(kept['plate']!['lossStops']).toBe(0.5);
  });

  test('places of holes that nobody kept are not made up', async () => {
    await expect(ask({ holes: 'kept' })).rejects.toThrow(/No places of holes are kept with this camera\. Give them/);
  });

  test('a part that cannot be read says what it takes', async () => {
    await expect(ask({ slide: 'hole=3' })).rejects.toThrow(/It takes opening=/);
  });
});

describe('what is said on the line', () => {
  test('a thinned edge and its slope: the sheet as it is loses most, the wall alone least', async () => {
    const lost = async (plate: FrontOptions): Promise<number> => {
      const { json } = await ask(plate);
      return -Math.log2((json as unknown as { plateShare: number[] }).plateShare[1] ?? NaN);
    };
    const sheet = await lost({ sheetMm: '0.1' });
    const edge = await lost({ edgeMm: '0.03' });
    const steep = await lost({ edgeMm: '0.03', sheetMm: '0.1', slopeDeg: '30' });
    expect(edge).toBeGreaterThan(0);
    expect(steep).toBeGreaterThan(edge);
    expect(sheet).toBeGreaterThan(steep);
    expect(await lost({ edgeMm: '0.03', sheetMm: '0.1', slopeDeg: '60' })).toBeCloseTo(edge, 9);
    await expect(ask({ slopeDeg: '45' })).rejects.toThrow(/--edge-mm/);
    await expect(ask({ edgeMm: '0.03', sharpEdge: 'up' })).rejects.toThrow(/film or scene/);
  });

  test('several holes, gauge and pins of film bent to a cylinder: reckoned for it, or refused with a sentence', async () => {
    const bent = join(folder, 'bent.json');
    await writeFile(bent, JSON.stringify({ ...stack, filmPlane: 'cylinder', layers: [] }));
    const { json } = await ask({ stack: bent, gauge: true, finder: true });
    const [level] = (json as unknown as { gauge: { angleRad: number }[] }).gauge;
    expect(level?.angleRad).toBeCloseTo(2 * Math.atan((75 * Math.sin(60 / 75) + 0.15) / (75 * Math.cos(60 / 75))), 9);
    await expect(ask({ stack: bent, holes: '-30,0;30,0' })).rejects.toThrow(/flat film/);
    const board = (await ask({ holes: '-60,0; 60,0; 0,4 in' })).json as unknown as { holes: { overlaps: unknown[]; septa: { stands: string }[] } };
    expect(board.holes.overlaps).toHaveLength(3);
    expect(board.holes.septa.map(({ stands }) => stands)).toEqual(['upright', 'level']);
  });
});

describe('files', () => {
  test('a map for each cause, each named after it', async () => {
    await ask({ mapSvg: join(folder, 'cause.svg'), mapCause: 'each', edgeMm: '0.05' });
    const said = await Promise.all(['all', 'falloff', 'plate', 'layers'].map((cause) => readFile(join(folder, `cause-${cause}.svg`), 'utf8')));
    expect(said.map((text) => /<title>Stops lost ([^,]*),/.exec(text)?.[1])).toEqual(['for all causes', 'to distance and slant', 'to the plate’s thickness', 'to the layers']);
    await expect(ask({ mapSvg: join(folder, 'x.svg'), mapCause: 'rain' })).rejects.toThrow(/falloff, plate, layers, each/);
  });

  test('PNG, SVG, CSV and flat field are written and read back', async () => {
    const at = (name: string): string => join(folder, name);
    await ask({ mapPng: at('map.png'), mapSvg: at('map.svg'), mapCsv: at('map.csv'), flatField: at('flat.tif'), pixels: '240' });
    const png = await sharp(at('map.png')).metadata();
    expect([png.width, png.height, png.format]).toEqual([240, 190, 'png']);
    const flat = await sharp(at('flat.tif')).raw({ depth: 'float' }).toBuffer({ resolveWithObject: true });
    expect([flat.info.width, flat.info.height]).toEqual([240, 190]);
    const pixels = new Float32Array(flat.data.buffer, flat.data.byteOffset, flat.data.byteLength / 4);
    const channels = flat.info.channels;
    const light = (x: number, y: number): number => pixels[(y * 240 + x) * channels]!;
    expect(light(120, 95)).toBeGreaterThan(0.999);
    // 30 mm to the right: cos⁴
    expect(light(180, 95)).toBeCloseTo((1 + (30 / 75) ** 2) ** -2, 2);
    expect(light(239, 0)).toBe(0);
    expect(await readFile(at('map.svg'), 'utf8')).toMatch(/seen from the film side/);
    const rows = (await readFile(at('map.csv'), 'utf8')).trim().split('\r\n');
    expect(rows).toHaveLength(1 + 61 * 41);
    expect(rows[0]).toBe('xMm,yMm,transmission,plateShare,falloffStops,totalStops,clippingLayer');
  });
});
