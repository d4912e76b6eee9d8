/** Every command below `exposure`: one JSON document with --json, one even table with --csv where there is a table. */
import { copyFile, mkdtemp, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { runCommandLine } from './main.ts';

let folder: string;
let bench: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'outputs-'));
  bench = join(folder, 'bench.workshop.json');
  await copyFile(join(import.meta.dirname, '../../demo/demo-workshop.json'), bench);
  await writeFile(join(folder, 'trials.csv'), 'metered_s,right_s\n2,3\n20,60\n200,1200\n');
});

async function run(...args: string[]): Promise<{ code: number; out: string; err: string }> {
  const out: string[] = [];
  const err: string[] = [];
  const code = await runCommandLine(['exposure', ...args], { out: (text) => void out.push(text), err: (text) => void err.push(text) });
  return { code, out: out.join(''), err: err.join('') };
}

/** RFC 4180: cells of each line. */
function cells(text: string): string[][] {
  const lines: string[][] = [[]];
  for (const [, quoted, bare, end] of text.matchAll(/(?:"((?:[^"]|"")*)"|([^",\r\n]*))(,|\r\n|$)/g)) {
    lines.at(-1)?.push(quoted === undefined ? (bare ?? '') : quoted.replaceAll('""', '"'));
    if (end === '\r\n') lines.push([]);
    if (end === '') break;
  }
  expect(lines.pop()).toEqual(['']);
  return lines;
}

const hole = ['--f-number', '250', '--film', 'HP5 Plus'];
const tables: [string, () => string[], head: string, rows: number][] = [
  ['the chain', () => [...hole, '--ev', '10'], 'link,value,stops', 7],
  ['list of films', () => ['--list-films'], 'film,speed', 30],
  ['card', () => ['card', ...hole, '--ev', '4..16'], 'light,ev100', 13],
  ['board', () => ['board', '--workshop', bench, '--ev', '12'], 'name,camera', 4],
  ['plan', () => ['plan', '--around-s', '60', '--length', '120'], 'move,slide out mm', 5],
  ['learn', () => ['learn', '--film', 'HP5 Plus', '--trials', join(folder, 'trials.csv')], 'metered s,give s', 3],
  ['film', () => ['film', '--workshop', bench], 'film,kind', 1],
  ['given', () => ['given', '--workshop', bench, ...hole, '--ev', '10', '--given-s', '90'], 'id,at', 1],
  ['dusk', () => ['dusk', ...hole, '--reading', '17:40 EV 9', '--reading', '17:50 EV 7', '--date', '2026-10-31', '--zone', 'UTC'], 'time,ev_iso100', 10],
  ['sun-tracks', () => ['sun-tracks', '--workshop', bench, '--camera', 'Tea tin for the sun', '--to', '2026-07-10'], 'day,name', 30],
];

describe('what the commands print', () => {
  test.each(tables)('%s: a table as even as its head, and one document', async (_, call, head, rows) => {
    const table = await run(...call(), '--csv');
    // a camera of the demo has no hole yet: the board says so and ends with 1
    expect(table.code).toBe(call()[0] === 'board' ? 1 : 0);
    expect(table.out.startsWith(head)).toBe(true);
    const lines = cells(table.out);
    expect(new Set(lines.map((line) => line.length)).size).toBe(1);
    expect(lines.length - 1).toBeGreaterThanOrEqual(rows);
    const document = await run(...call(), '--json');
    expect(typeof JSON.parse(document.out)).toBe('object');
    // numbers never rounded, and never those that JSON does not know
    expect(document.out).not.toMatch(/NaN|Infinity/);
  });

  test.each([
    ['walker', ['--exposure-s', '60', '--focal-mm', '100', '--frame', '120x95', '--distance', '5 m']],
    ['shake', ['--diameter-um', '400', '--focal-mm', '100']],
    ['flash', ['--threshold-s', '4']],
    ['alarm', ['--exposure-s', '600', '--started', '2026-06-21T19:00:00+02:00']],
  ])('%s: one document', async (name, args) => {
    const { code, out } = await run(name, ...args, '--json');
    expect(code).toBe(0);
    expect(typeof JSON.parse(out)).toBe('object');
  });

  test('the document of an exposure has every field that others may count on', async () => {
    const { out } = await run('--f-number', '250', '--ev', '15', '--film', 'HP5 Plus', '--json');
    // 250² / 2^15 · 100/400 = 0.4768 s
    expect(JSON.parse(out)).toMatchObject({ meteredS: 250 ** 2 / 2 ** 15 / 4, extrapolated: false, rangeS: [expect.any(Number), expect.any(Number)], source: expect.any(String) as string });
    const bare = JSON.parse((await run('--f-number', '250', '--ev', '15', '--iso', '400', '--json')).out) as Record<string, unknown>;
    expect(bare['correctedS']).toBe(bare['meteredS']);
    expect(bare['source']).toMatch(/no film/i);
    const unknown = await run('--f-number', '250', '--ev', '15', '--film', 'HP6', '--json');
    expect([unknown.code, unknown.out]).toEqual([2, '']);
    expect(unknown.err).toContain('HP5 Plus');
  });
});

describe('a film of the workshop’s own, changed', () => {
  test('by fields; what was not said stays, a slip changes nothing', async () => {
    const path = join(folder, 'change.workshop.json');
    await copyFile(bench, path);
    const name = 'Paper negative, resin-coated, variable contrast';
    const changed = await run('film', '--workshop', path, '--change', name, '--set', '{"name": "RC paper, 2nd box", "exposureIndexRange": [6, 12], "exposureIndex": 8}', '--json');
    expect(changed.code).toBe(0);
    expect(JSON.parse(changed.out)).toMatchObject([{ name: 'RC paper, 2nd box', kind: 'paper', exposureIndexRange: [6, 12], exposureIndex: 8, evidence: 'memory' }]);
    const asked = JSON.parse((await run('--workshop', path, '--f-number', '250', '--ev', '12', '--film', 'rc paper, 2nd box', '--json')).out) as Record<string, unknown>;
    expect(asked['meteredS']).toBeCloseTo((250 ** 2 / 2 ** 12) * (100 / 8), 9);
    for (const [set, words] of [['{"iso": -4}', '--set.iso'], ['{iso: 3}', 'not a JSON record'], ['{"exposureIndex": "fast"}', 'exposureIndex']] as const) {
      const slip = await run('film', '--workshop', path, '--change', 'RC paper, 2nd box', '--set', set);
      expect(slip.code).toBe(2);
      expect(slip.err).toContain(words);
    }
    expect((await run('film', '--workshop', path, '--change', 'none such', '--set', '{}')).err).toContain('It holds: RC paper, 2nd box');
    expect((await run('film', '--workshop', path, '--set', '{}')).err).toContain('--change NAME');
    expect((await run('film', '--workshop', path, '--change', 'RC paper, 2nd box', '--set', '{"exposureIndex": null}', '--json')).out).toContain('"exposureIndex": null');
  });
});
