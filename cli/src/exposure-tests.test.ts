import { mkdtemp, readFile, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { beforeAll, describe, expect, test } from 'vitest';
import { correctedTimeS, emptyWorkshop, findFilm } from '#core';
import type { ExposureAnswer, Learnt, StepTestPlan, Workshop } from '#core';
import { parseWorkshop, serialiseWorkshop } from '#core/schema';
import { learnCommand, planCommand } from './exposure-tests.ts';
import { runCommandLine } from './main.ts';

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'learn-'));
});

async function call(...args: string[]): Promise<{ code: number; json: unknown; err: string }> {
  const out: string[] = [];
  const err: string[] = [];
  const code = await runCommandLine(['exposure', ...args, '--json'], { out: (text) => void out.push(text), err: (text) => void err.push(text) });
  return { code, json: out.length === 0 ? null : JSON.parse(out.join('')), err: err.join('') };
}

async function workshopFile(name: string, change: (workshop: Workshop) => Workshop = (workshop) => workshop): Promise<string> {
  const path = join(folder, name);
  const empty = emptyWorkshop({ id: '0193a000-0000-7000-8000-0000000000aa', name: 'W', createdAt: '2026-01-02T03:04:05Z' });
  await writeFile(path, serialiseWorkshop(change(empty)));
  return path;
}

const opened = async (path: string): Promise<Workshop> => parseWorkshop(await readFile(path, 'utf8'));

describe('plan', () => {
  test('around a given time, or the chain’s own', () => {
    const plan = planCommand({ aroundS: '60', strips: '5', step: '1', length: '120' }).json as StepTestPlan;
    expect(plan.strips.map(({ totalS }) => totalS)).toEqual([15, 30, 60, 120, 240]);
    const asked = planCommand({ fNumber: '250', ev: '10', film: 'HP5 Plus', length: '4.7 in', strips: '3' });
    const middle = (asked.json as StepTestPlan).strips[1]?.totalS ?? NaN;
    expect(Math.log2(middle / correctedTimeS(findFilm('HP5 Plus'), 250 ** 2 / 2 ** 10 / 4))).toBeCloseTo(0, 1);
    expect(asked.csv?.split('\r\n').length).toBe(5);
    expect(() => planCommand({ aroundS: '60' })).toThrow(/--length/);
    expect(() => planCommand({ aroundS: '60', length: '120', way: 'sideways' })).toThrow(/push-in or pull-out/);
  });
});

describe('learn', () => {
  test('verdicts, matches and step sheets of densities from one list', async () => {
    const list = join(folder, 'trials.csv');
    const film = findFilm('HP5 Plus');
    const right = (t: number): number => correctedTimeS(film, t * 2);
    await writeFile(
      list,
      ['metered_s,given_s,verdict,density,sheet,right_s,uncertainty_stops', `10,,,,,${right(10)},0.1`, `100,,,,,${right(100)},0.1`, `600,,,,,${right(600)},0.1`, '0.25,0.05,too light,,,,', ...[0.125, 0.25, 0.5, 1, 2].map((t) => `0.25,${t},,${0.7 + 0.6 * Math.log10(t / 0.5)},A,,`)].join('\n'),
    );
    const { json, text } = await learnCommand({ trials: list, film: 'HP5 Plus' });
    const learnt = json as Learnt & { trials: unknown[] };
    expect(learnt.trials.length).toBe(5);
    expect(learnt.telling).toBe('index and reciprocity');
    expect(Math.log2(learnt.exposureIndex / 200)).toBeCloseTo(0, 0);
    expect(Math.abs((learnt.lawParameter?.value ?? 0) - 1.31)).toBeLessThan(0.06);
    expect(text).toMatch(/^Expose HP5 Plus at \d+/);
  });

  test('a scan of a sheet with a wedge beside it', async () => {
    // value = 255·10^(−D/2): anything monotone would do, the wedge takes it out
    const value = (density: number): number => Math.round(255 * 10 ** (-density / 2));
    const wedge = [0.05, 0.35, 0.65, 0.95, 1.25];
    const strips = [4, 8, 16, 32, 64].map((t) => 0.7 + 0.6 * Math.log10(t / 16));
    const pixels = Buffer.alloc(200 * 100);
    for (let row = 0; row < 100; row++) {
      for (let column = 0; column < 200; column++) {
        const list = row < 50 ? strips : wedge;
        pixels[row * 200 + column] = value(list[Math.floor(column / 40)] ?? 0);
      }
    }
    const scan = join(folder, 'sheet.png');
    await writeFile(scan, await sharp(pixels, { raw: { width: 200, height: 100, channels: 1 } }).png().toBuffer());
    const answer = await learnCommand({
      scan, film: 'HP5 Plus', meteredS: '0.5', times: '4,8,16,32,64', wedge: wedge.join(), sheetWindow: '0,0,200,50', wedgeWindow: '0,50,200,50',
    });
    const { sheets } = answer.json as { sheets: { rightS: number }[] };
    expect(Math.log2((sheets[0]?.rightS ?? NaN) / 16)).toBeCloseTo(0, 1);
    await expect(learnCommand({ scan, film: 'HP5 Plus', meteredS: '1', times: '1,2', wedge: '0,1', sheetWindow: '0,0,900,50', wedgeWindow: '0,50,200,50' })).rejects.toThrow();
    await expect(learnCommand({ scan: join(folder, 'none.png'), film: 'HP5 Plus', times: '1,2', wedge: '0,1' })).rejects.toThrow(/could not be read/);
  });

  test('what was learnt is kept as a film, answers at once, and refuses the bare hole', async () => {
    const path = await workshopFile('keep.workshop.json');
    const list = join(folder, 'keep.csv');
    const film = findFilm('FP4 Plus');
    await writeFile(list, ['metered_s,right_s', ...[2, 20, 200, 1000].map((t) => `${t},${correctedTimeS(film, t * 2)}`)].join('\n'));
    const kept = await call('learn', '--film', 'FP4 Plus', '--trials', list, '--workshop', path, '--keep', 'FP4 in the tin');
    expect(kept.code).toBe(0);
    expect(kept.err).toContain('Kept “FP4 in the tin”');
    const [record] = (await opened(path)).films;
    expect(record).toMatchObject({ name: 'FP4 in the tin', evidence: 'tested', learntInPinhole: true });
    const asked = await call('--workshop', path, '--f-number', '250', '--ev', '8', '--film', 'fp4 in the tin');
    const answer = asked.json as ExposureAnswer;
    expect(answer.source).toContain('own tests');
    expect(Math.log2((answer.iso ?? NaN) / 62.5)).toBeCloseTo(0, 0);
    const bare = await call('--workshop', path, '--f-number', '250', '--ev', '8', '--film', 'FP4 in the tin', '--bare-hole');
    expect(bare.code).toBe(2);
    expect(bare.err).toContain('already holds the bare hole');
  });

  test('the log’s own verdicts, when there is no other test', async () => {
    const path = await workshopFile('log.workshop.json');
    for (const [given, verdict] of [['2', 'too light'], ['6', 'right'], ['30', 'too dark']] as const) {
      expect((await call('given', '--workshop', path, '--f-number', '250', '--ev', '12', '--film', 'HP5 Plus', '--given-s', given)).code).toBe(0);
      const workshop = await opened(path);
      const last = workshop.exposures.at(-1);
      const judged = { ...workshop, exposures: [...workshop.exposures.slice(0, -1), { ...last, result: { verdict } }] } as Workshop;
      await writeFile(path, serialiseWorkshop(judged));
    }
    const learnt = await call('learn', '--film', 'HP5 Plus', '--workshop', path);
    expect(learnt.code).toBe(0);
    expect((learnt.json as { trials: unknown[] }).trials.length).toBe(3);
    expect((await call('learn', '--film', 'FP4 Plus', '--workshop', path)).code).toBe(2);
  });
});

describe('films of a workshop’s own', () => {
  test('added from JSON, listed, used, put in the trash; a slip changes nothing', async () => {
    const path = await workshopFile('films.workshop.json');
    const good = join(folder, 'paper.json');
    await writeFile(good, JSON.stringify([{ name: 'Old paper', kind: 'paper', exposureIndexRange: [4, 8] }, { name: 'Tin film', iso: 50, law: { model: 'covington', p: 0.85 }, source: 'my notebook', evidence: 'tested' }]));
    expect((await call('film', '--workshop', path, '--add', good)).code).toBe(0);
    expect(((await call('--workshop', path, '--list-films')).json as { name: string }[]).slice(0, 2)).toMatchObject([{ name: 'Old paper' }, { name: 'Tin film' }]);
    const used = (await call('--workshop', path, '--f-number', '200', '--ev', '10', '--film', 'old paper')).json as ExposureAnswer;
    expect(used.iso).toBeCloseTo(Math.sqrt(32), 9);
    const bad = join(folder, 'bad.json');
    await writeFile(bad, JSON.stringify([{ name: 'Fine', iso: 100 }, { name: 'Not', iso: -1 }]));
    const refused = await call('film', '--workshop', path, '--add', bad);
    expect(refused.code).toBe(2);
    expect(refused.err).toContain('film 2.iso');
    expect((await opened(path)).films.length).toBe(2);
    await writeFile(bad, '{');
    expect((await call('film', '--workshop', path, '--add', bad)).err).toContain('is not JSON');
    expect((await call('film', '--workshop', path, '--remove', 'OLD PAPER')).code).toBe(0);
    const after = await opened(path);
    expect(after.films.map(({ name }) => name)).toEqual(['Tin film']);
    expect(after.trash.length).toBe(1);
    expect((await call('film', '--workshop', path, '--remove', 'nothing')).err).toContain('It holds: Tin film');
  });
});
