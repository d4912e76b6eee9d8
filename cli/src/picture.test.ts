import { mkdtemp, readFile, readdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { greyFile } from '#io/node';
import { family, number } from '../../reference/optics-picture/families.ts';
import { pictureCommand } from './picture.ts';

interface Document {
  readonly radiiMm: number[];
  readonly intensity: number[];
  readonly frequenciesPerMm: number[];
  readonly otf: number[];
  readonly pointsMm: number[][];
  readonly objectDistanceMm: number | null;
  readonly meanWavelengthNm: number;
}

interface Worth {
  readonly areaMm2: number;
  readonly meanWavelengthNm: number;
  readonly diameterStandardUncertaintyUm: number;
  readonly finestPerMm: number;
  readonly finestRangePerMm: readonly [number, number];
  readonly shapeFinestPerMm: number;
  readonly comparison: { readonly lightStops: number };
}

const camera = { focalMm: '106', wavelengthNm: '550' };
const document = async (options: Parameters<typeof pictureCommand>[0]): Promise<Document> =>
  (await pictureCommand(options)).json as Document;

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'picture-'));
});
afterAll(async () => rm(folder, { recursive: true }));

describe('camerawright picture', () => {
  it('gives the values of the reference, in the order asked for, arrays always there', async () => {
    const answer = await document({ ...camera, diameterUm: '430', radiiMm: '0,0.1', frequencies: '1,2,4' });
    expect(answer.intensity[0]).toBeCloseTo(3.59134236163719, 9);
    expect(answer.otf[0]).toBeCloseTo(0.69662674, 7);
    expect(answer.frequenciesPerMm).toEqual([1, 2, 4]);
    expect(answer.pointsMm).toEqual([]);
    expect(answer.objectDistanceMm).toBeNull();
    const bare = await document({ ...camera, diameterUm: '430' });
    expect([bare.radiiMm, bare.intensity, bare.frequenciesPerMm, bare.otf, bare.pointsMm]).toEqual([[], [], [], [], []]);
  });

  it('mixes wavelengths by weight', async () => {
    const answer = await document({ focalMm: '106', diameterUm: '430', wavelengthNm: '450,550,650', weights: '1,1,1', radiiMm: '0' });
    expect(answer.intensity[0]).toBeCloseTo(3.53495261683744, 9);
    await expect(document({ ...camera, diameterUm: '430', weights: '1,2' })).rejects.toThrow(/one for each/);
  });

  it('draws ellipses and outlines at points', async () => {
    const rows = family('i_ellipse', 30).filter(({ inputs }) => inputs['f_mm'] === 106);
    const pointsMm = rows.map(({ inputs }) => `${number(inputs, 'x_mm')},${number(inputs, 'y_mm')}`).join(';');
    const answer = await document({ ...camera, ellipseUm: '500,400', pointsMm });
    rows.forEach(({ value }, i) => expect(answer.intensity[i]).toBeCloseTo(value, 9));
    const square = join(folder, 'square.csv');
    await writeFile(square, 'x,y\r\n-0.2,-0.2\r\n0.2,-0.2\r\n0.2,0.2\r\n-0.2,0.2\r\n\r\n');
    const drawn = await document({ ...camera, outline: square, pointsMm: '0,0' });
    expect(drawn.intensity[0]).toBeCloseTo(3.21853117678834, 9);
    const bad = join(folder, 'bad.csv');
    await writeFile(bad, '0,0\n1,0\nx,1\n');
    await expect(document({ ...camera, outline: bad })).rejects.toThrow(/Line 3/);
  });

  it('takes a film instead of a wavelength, and says that its curve is generic', async () => {
    const answer = await pictureCommand({ focalMm: '106', diameterUm: '430', film: 'orthochromatic', compareUm: '500' });
    expect((answer.json as Document).meanWavelengthNm).toBeCloseTo(465, -1);
    expect(answer.notes.join()).toMatch(/generic/);
    expect(answer.text).toMatch(/instead of 0\.43 mm/);
    await expect(document({ focalMm: '106', diameterUm: '430', film: 'HP5 Plus', wavelengthNm: '550' })).rejects.toThrow(/either/);
  });

  it('says in words and numbers what the hole is worth, with what its uncertainty leaves open', async () => {
    const answer = await pictureCommand({ ...camera, diameterUm: '430', uncertaintyUm: '5', frame: '127x102', compareUm: '500' });
    const json = answer.json as Worth;
    expect(json.finestPerMm).toBeCloseTo(5.369, 2);
    expect(json.finestRangePerMm[0]).toBeLessThan(json.finestPerMm);
    // beyond the best hole detail falls off a cliff: the range is wider below than above
    expect(json.finestPerMm - json.finestRangePerMm[0]).toBeGreaterThan(json.finestRangePerMm[1] - json.finestPerMm);
    expect(answer.text).toMatch(/draws 5\.\d+ ± 0\.\d+ lines per mm.*k = 2/);
    expect(answer.text).toMatch(/bars it shows apart are \d\.\d+ ± 0\.\d+ mm wide at 5 m/);
    expect(json.comparison.lightStops).toBeCloseTo(2 * Math.log2(500 / 430), 12);
    expect((await pictureCommand({ ...camera, diameterUm: '430' })).text).not.toContain('±');
  });

  it('takes the plate, the film and the frame of a camera in a workshop', async () => {
    const file = join(import.meta.dirname, '../../demo/demo-workshop.json');
    const { cameras } = JSON.parse(await readFile(file, 'utf8')) as { cameras: { name: string; focalLengthMm: number; frame: { widthMm: number } }[] };
    const [first] = cameras;
    const answer = await pictureCommand({ workshop: file, camera: first?.name ?? '', diameterUm: '430' });
    expect((answer.json as { focalLengthMm: number }).focalLengthMm).toBe(first?.focalLengthMm);
    expect((answer.json as { frameMm: number[] }).frameMm[0]).toBe(first?.frame.widthMm);
    const own = join(folder, 'own.json');
    const square = [[-0.2, -0.2], [0.2, -0.2], [0.2, 0.2], [-0.2, 0.2]];
    const stray = [[0.5, 0.5], [0.5, 0.6], [0.6, 0.6], [0.6, 0.5]];
    const pass = {
      id: '0193a000-0000-7000-8000-000000000003', at: '2026-01-02T03:04:05Z', scan: null, outlineMm: square, strayHoles: [{ outlineMm: stray }],
      figures: { outlineDiameterMm: 0.4514, outlineStandardUncertaintyMm: 0.002, debris: [{ areaMm2: 0.01, center: { xMm: 0.05, yMm: 0 }, kind: 'island' }] },
    };
    const plateId = '0193a000-0000-7000-8000-000000000002';
    const box = {
      id: '0193a000-0000-7000-8000-000000000001', name: 'Box', frame: { widthMm: 120, heightMm: 95 }, focalLengthMm: 106, filmName: 'HP5 Plus',
      mountings: [{ id: '0193a000-0000-7000-8000-000000000004', plateId, mountedAt: '2026-01-02T03:04:05Z' }],
    };
    await writeFile(own, JSON.stringify({
      format: 'camerawright-workshop', version: 1, id: '0193a000-0000-7000-8000-0000000000aa', name: 'w', createdAt: '2026-01-02T03:04:05Z',
      cameras: [box], plates: [{ id: plateId, name: 'P', passes: [pass] }],
    }));
    const mounted = (await pictureCommand({ workshop: own, camera: 'Box', pointsMm: '0,0' })).json as Worth;
    expect(mounted.areaMm2).toBeCloseTo(0.16, 12);
    expect(mounted.meanWavelengthNm).toBeCloseTo(508, -1);
    expect(mounted.diameterStandardUncertaintyUm).toBeCloseTo(2, 12);
    expect(mounted.shapeFinestPerMm).toBeGreaterThan(0.7 * mounted.finestPerMm);
    const left = (await pictureCommand({ workshop: own, camera: 'Box', debris: 'left-in' })).json as Worth;
    // a disc of 24 corners stands for a piece without an outline; the stray hole adds 0.1 mm × 0.1 mm
    expect(left.areaMm2).toBeCloseTo(0.16, 3);
    await expect(pictureCommand({ workshop: own, camera: 'Box', debris: 'in' })).rejects.toThrow(/blown-out or left-in/);
  });

  it('writes figures, numbers and the photograph', async () => {
    const photo = join(folder, 'grey.png');
    const samples = Uint8Array.from({ length: 64 * 48 }, (_, i) => (i % 64 < 32 ? 30 : 220));
    await writeFile(photo, await greyFile({ columns: 64, rows: 48, samples, pitchMm: null }, 'png'));
    const out = join(folder, 'out');
    const answer = await pictureCommand({
      ...camera, diameterUm: '430', frame: '120x95', out, photo, photoAngleDeg: '70', photoFormat: 'tiff16', columns: '96', thicknessMm: '0.05', filmPlane: 'cylinder',
    });
    const { files, photograph } = answer.json as { files: string[]; photograph: { columns: number; bits: number; coveredShare: number } };
    expect(files).toEqual([
      'point-image-linear.svg', 'point-image-linear.png', 'point-image-log.svg', 'point-image-log.png', 'point-image.csv',
      'contrast.svg', 'contrast.png', 'contrast.csv', 'best-hole.svg', 'best-hole.png', 'best-hole.csv', 'photograph.tif',
    ]);
    expect((await readdir(out)).sort()).toEqual([...files].sort());
    expect(photograph).toMatchObject({ columns: 96, bits: 16 });
    for (const name of files.filter((each) => each.endsWith('.svg'))) {
      const svg = await readFile(join(out, name), 'utf8');
      expect(svg).toMatch(/^<svg xmlns/);
      expect(svg).toContain('<text');
      expect(svg).not.toMatch(/NaN|undefined|Infinity/);
    }
    expect(await readFile(join(out, 'point-image-log.svg'), 'utf8')).toMatch(/\d+ µm on the film/);
    const drawing = await sharp(join(out, 'contrast.png')).stats();
    // letters are there without any face on the machine: ink in the band of the title
    const title = await sharp(join(out, 'contrast.png')).extract({ left: 20, top: 20, width: 900, height: 60 }).stats();
    expect([drawing.channels.length, title.channels[0]?.min]).toEqual([4, expect.any(Number)]);
    expect(title.channels[0]?.min).toBeLessThan(80);
    const [head, first] = (await readFile(join(out, 'contrast.csv'), 'utf8')).split('\r\n');
    expect(head).toBe('cyclesPerMm,centre,edge tangential,edge sagittal,corner tangential,corner sagittal');
    expect(first).toMatch(/^0,(1|0\.999\d*)/);
    const tiff = sharp(join(out, 'photograph.tif'));
    expect(await tiff.metadata()).toMatchObject({ width: 96, channels: 1, depth: 'ushort' });
    const { data } = await tiff.raw({ depth: 'ushort' }).toBuffer({ resolveWithObject: true });
    const row = new Uint16Array(data.buffer, data.byteOffset, data.length / 2).subarray(96 * 36, 96 * 37);
    expect(row[20]).toBeLessThan(row[70] as number);
    await expect(pictureCommand({ ...camera, diameterUm: '430', out, photoFormat: 'gif' })).rejects.toThrow(/png8, png16, tiff8 or tiff16/);
    await expect(pictureCommand({ ...camera, diameterUm: '430', out, photo: join(folder, 'gone.jpg') })).rejects.toThrow(/could not be read/);
  });

  it('refuses what does not fit together', async () => {
    await expect(document({ ...camera })).rejects.toThrow(/which hole/);
    await expect(document({ ...camera, diameterUm: '430', ellipseUm: '1,2' })).rejects.toThrow(/one of them/);
    await expect(document({ ...camera, ellipseUm: '500,400', radiiMm: '0' })).rejects.toThrow(/round hole/);
    await expect(document({ diameterUm: '430' })).rejects.toThrow(/--focal-mm/);
    await expect(document({ ...camera, diameterUm: '0' })).rejects.toThrow(/greater than 0/);
  });
});
