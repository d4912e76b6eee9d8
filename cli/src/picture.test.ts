import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
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

  it('refuses what does not fit together', async () => {
    await expect(document({ ...camera })).rejects.toThrow(/which hole/);
    await expect(document({ ...camera, diameterUm: '430', ellipseUm: '1,2' })).rejects.toThrow(/one of them/);
    await expect(document({ ...camera, ellipseUm: '500,400', radiiMm: '0' })).rejects.toThrow(/round hole/);
    await expect(document({ diameterUm: '430' })).rejects.toThrow(/--focal-mm/);
    await expect(document({ ...camera, diameterUm: '0' })).rejects.toThrow(/greater than 0/);
  });
});
