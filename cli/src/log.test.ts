import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { roundedTimeS } from '#core';
import type { ExposureRecord, Workshop } from '#core';
import { parseWorkshop } from '#core/schema';
import { runCommandLine } from './main.ts';

const demo = fileURLToPath(new URL('../../demo/', import.meta.url));
let folder = '';
let file = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'log-'));
});
afterAll(async () => {
  await rm(folder, { recursive: true, force: true });
});
beforeEach(async () => {
  file = join(folder, `${Math.random().toString(36).slice(2)}.workshop.json`);
  await writeFile(file, await readFile(join(demo, 'demo-workshop.json')));
});

interface Said {
  readonly code: number;
  readonly out: string;
  readonly err: string;
  readonly json: never;
}

async function log(...args: readonly string[]): Promise<Said> {
  let [out, err] = ['', ''];
  const code = await runCommandLine(['log', ...args], { out: (text) => void (out += text), err: (text) => void (err += text) });
  return { code, out, err, json: (out.startsWith('{') || out.startsWith('[') ? JSON.parse(out) : null) as never };
}

const workshop = async (): Promise<Workshop> => parseWorkshop(await readFile(file, 'utf8'));

describe('in the field', () => {
  test('planned, given as planned, judged; then found, compared and put away', async () => {
    const first = (await log('add', 'exposure', '--workshop', file, '--camera', 'pear 6×12', '--planned-s', '4', '--ev', '12', '--place', 'quay', '--json')).json as ExposureRecord;
    const second = (await log('add', 'exposure', '--workshop', file, '--camera', 'Pear 6×12', '--planned-s', '8', '--ev', '12', '--json')).json as ExposureRecord;
    expect(first).toMatchObject({ filmName: 'HP5 Plus', planned: { correctedS: 4 }, light: { kind: 'ev', ev100Ev: 12 } });
    expect((await log('give', first.id.slice(-8), '--workshop', file)).out).toBe('Written down: 4 s given.\n');
    expect((await log('give', first.id, '--workshop', file)).err).toMatch(/given already/);
    await log('give', second.id, '--workshop', file, '--time-s', '1/2');
    await log('judge', first.id, '--workshop', file, '--verdict', 'too dark', '--off-stops', '-1', '--density', '0.2,0.35');
    const { exposures } = await workshop();
    expect(exposures.map(({ given }) => given?.timeS)).toEqual([4, 0.5]);
    expect(exposures[0]?.result).toMatchObject({ verdict: 'too dark', offStops: -1, densityReadings: [{ density: 0.2 }, { density: 0.35 }] });
    expect((await log('list', '--workshop', file, '--text', 'QUAY', '--json')).json as unknown[]).toHaveLength(1);
    expect((await log('list', '--workshop', file, '--stage', 'given')).out).toMatch(/^1 of 2 exposures, the newest first\./);
    expect((await log('compare', 'exposures', first.id, second.id, '--workshop', file)).out).toMatch(/^Two things changed: time given \(3\.0 stops less\) and place\./);
    await log('put-away', 'exposure', first.id, '--workshop', file);
    expect((await workshop()).exposures).toHaveLength(1);
    const trash = (await log('list', 'trash', '--workshop', file, '--json')).json as { id: string }[];
    await log('bring-back', trash[0]?.id ?? '', '--workshop', file);
    expect((await workshop()).exposures.map(({ id }) => id).sort()).toEqual([first.id, second.id].sort());
  });

  test('the answer of `exposure` is planned as it stands, and given as planned', async () => {
    const ask = async (...more: readonly string[]): Promise<{ code: number; out: string; err: string }> => {
      let [out, err] = ['', ''];
      const code = await runCommandLine(['exposure', '--ev', '12', ...more], { out: (text) => void (out += text), err: (text) => void (err += text) });
      return { code, out, err };
    };
    const asked = await ask('--workshop', file, '--camera', 'Pear 6×12', '--f-number', '250', '--plan', '--json');
    expect([asked.code, asked.err]).toEqual([0, expect.stringMatching(/Planned in the log of .* as [0-9a-f]{8}\. Once it is given: camerawright log give/)]);
    const { correctedS, plannedExposure: { id } } = JSON.parse(asked.out) as { correctedS: number; plannedExposure: { id: string } };
    const { cameras, exposures } = await workshop();
    const camera = cameras.find(({ name }) => name === 'Pear 6×12');
    expect(exposures).toEqual([
      expect.objectContaining({ id, cameraId: camera?.id, fNumber: 250, filmName: 'HP5 Plus', light: { kind: 'ev', ev100Ev: 12 }, planned: expect.objectContaining({ correctedS }) as object }),
    ]);
    expect((await log('list', '--workshop', file, '--stage', 'planned', '--json')).json as unknown[]).toHaveLength(1);
    expect((await log('give', id.slice(-8), '--workshop', file)).code).toBe(0);
    // For the time that is shown, not for its thousandths.
    expect((await workshop()).exposures[0]?.given?.timeS).toBe(roundedTimeS(correctedS));
    const nowhere = await ask('--f-number', '250', '--iso', '400', '--plan');
    expect([nowhere.code, nowhere.out, nowhere.err]).toEqual([2, '', expect.stringMatching(/--workshop FILE/)]);
  });

  test('holders with their depth, numbered sheets, a printer and a scanner', async () => {
    await log('add', 'holder', '--workshop', file, '--name', '7', '--depth-mm', '5.02, 4.99,5.01', '--gauge-step-mm', '0.01');
    await log('add', 'holder', '--workshop', file, '--name', '7', '--depth-mm', '5.05', '--side', 'B');
    await log('add', 'sheet', '--workshop', file, '--name', '12', '--holder', '7', '--side', 'A', '--film', 'HP5 Plus');
    await log('add', 'printer', '--workshop', file, '--name', 'Office', '--printed-x-mm', '99.7', '--printed-y-mm', '99.9');
    await log('add', 'scanner', '--workshop', file, '--name', 'Flatbed', '--dpi', '4780,4795');
    const { filmHolders: holders, filmSheets, printers, scanners } = await workshop();
    expect(holders).toHaveLength(1);
    expect(holders[0]?.depths).toHaveLength(2);
    expect(filmSheets[0]).toMatchObject({ number: '12', loaded: { holderId: holders[0]?.id, side: 'A' } });
    expect(printers[0]?.calibrations[0]).toMatchObject({ xFactor: 0.997, yFactor: 0.9990000000000001 });
    expect(scanners[0]?.calibrations[0]?.xMmPerPx).toBeCloseTo(25.4 / 4780, 15);
    expect((await log('list', 'sheets', '--workshop', file)).out).toMatch(/Sheet 12 is loaded in holder 7, side A and not exposed/);
  });
});

describe('the document', () => {
  test('is exported as it is, as a table, and as a zip, and comes back', async () => {
    await log('add', 'exposure', '--workshop', file, '--camera', 'Pear 6×12', '--planned-s', '4');
    expect((await log('export', file, '--json')).json).toEqual(await workshop());
    const zip = join(folder, 'a.workshop.zip');
    expect((await log('export', file, '--out', zip, '--scans', folder)).code).toBe(0);
    expect((await log('check', zip, '--json')).json).toMatchObject({ ok: true, problems: [] });
    const back = join(folder, 'back.workshop.json');
    await log('import', zip, '--workshop', back);
    expect(await readFile(back, 'utf8')).toBe(await readFile(file, 'utf8'));
    const table = join(folder, 'exposures.csv');
    await log('export', file, '--out', table);
    expect((await log('import', table, '--workshop', file)).out).toMatch(/0 exposures taken into .* 1 were in the log already/);
    await writeFile(table, 'at,camera\n2026-05-01 14:00,walnut half-plate\n2026-05-01,Oak\n');
    const taken = await log('import', table, '--workshop', file);
    expect([taken.code, taken.err]).toEqual([1, 'Line 3: there is no camera named “Oak” in this workshop.\n']);
    expect((await workshop()).exposures).toHaveLength(2);
    expect((await log('add', 'camera', '--workshop', zip, '--name', 'x')).err).toMatch(/is not written to\. Unpack it first/);
  });

  test('is checked: what cannot be read and what does not hang together is said, exit code 1', async () => {
    const bad = join(folder, 'bad.workshop.json');
    await writeFile(bad, (await readFile(file, 'utf8')).replace('"focalLengthMm": 135', '"focalLengthMm": -135'));
    const refused = await log('check', bad, '--json');
    expect([refused.code, refused.json]).toEqual([1, expect.objectContaining({ ok: false, problems: [expect.stringMatching(/is -135; it must be a number greater than 0/)] })]);
    await writeFile(bad, JSON.stringify({ ...(JSON.parse(await readFile(file, 'utf8')) as object), plates: [] }));
    const broken = await log('check', bad);
    expect([broken.code, broken.out]).toEqual([1, expect.stringMatching(/can be read, but .* not hang together\.\n.*holds a plate that is not in this workshop/s)]);
    expect((await log('check', join(folder, 'none.json'), '--json')).json).toMatchObject({ ok: false, problems: [expect.stringMatching(/There is no file/)] });
  });

  test('of an older order is brought to today’s, and the one before stays', async () => {
    const old = JSON.stringify(JSON.parse(await readFile(file, 'utf8')));
    await writeFile(file, old);
    expect((await log('migrate', file)).out).toMatch(/written anew in today’s order\. As it was it stands in/);
    expect(await readFile(`${file}.bak`, 'utf8')).toBe(old);
    expect((await log('migrate', file)).out).toMatch(/nothing to do/);
  });
});

describe('what is asked wrongly', () => {
  test.each<[string, readonly string[], RegExp]>([
    ['a list that is none', ['list', 'lenses'], /“lenses” is no list of a workshop/],
    ['a stage that is none', ['list', '--stage', 'dreamt'], /--stage “dreamt” is none of planned, given, judged/],
    ['a day that is none', ['list', '--from', 'May'], /--from “May” is no day/],
    ['a camera that is not there', ['list', '--camera', 'Oak'], /There is no camera “Oak” in this workshop\. It holds: Walnut half-plate/],
    ['an exposure that is not there', ['give', 'abcdef12'], /There is no exposure “abcdef12”/],
    ['nothing to judge', ['judge', 'abcdef12'], /Say what came of it/],
    ['lists that cannot be compared', ['compare', 'films', 'a', 'b'], /films cannot be compared/],
  ])('%s: exit code 2 and a sentence', async (_name, args, sentence) => {
    const said = await log(...args, '--workshop', file);
    expect([said.code, said.err]).toEqual([2, expect.stringMatching(sentence)]);
  });
});
