import { spawn } from 'node:child_process';
import { randomInt } from 'node:crypto';
import { chmod, mkdir, mkdtemp, readFile, readdir, rm, stat, symlink, utimes, writeFile } from 'node:fs/promises';
import { hostname, tmpdir } from 'node:os';
import { join } from 'node:path';
import { build } from 'vite';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { FormatError } from '#core';
import { parseWorkshop, serialiseWorkshop } from '#core/schema';
import { openWorkshopFile, readWorkshopFile } from './node.ts';
import { smallWorkshop, storeContract } from './store.contract.ts';

let folder = '';
let files = 0;
const freshPath = (): string => join(folder, `bench-${++files}.workshop.json`);

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'workshop-'));
});

afterAll(async () => {
  await rm(folder, { recursive: true, force: true });
});

async function fileWith(text = serialiseWorkshop(smallWorkshop())): Promise<string> {
  const path = freshPath();
  await writeFile(path, text);
  return path;
}

const beside = async (path: string): Promise<string[]> => {
  const names = await readdir(folder);
  return names.map((name) => join(folder, name)).filter((name) => name !== path && name.startsWith(path)).map((name) => name.slice(path.length)).sort();
};

describe('the store in a file', () => {
  storeContract(async (workshop) => {
    const path = freshPath();
    let nowMs = 0;
    const store = await openWorkshopFile(path, { create: workshop, nowMs: () => nowMs });
    return { store, advanceMs: (ms) => void (nowMs += ms), reopen: () => openWorkshopFile(path) };
  }, 15);
});

describe('the file', () => {
  it('is the readable document, exactly as the core writes it', async () => {
    const path = freshPath();
    const store = await openWorkshopFile(path, { create: smallWorkshop() });
    expect(await readFile(path, 'utf8')).toBe(serialiseWorkshop(smallWorkshop()));
    store.change('name', (draft) => void (draft.name = 'Shed'));
    await store.flush();
    expect(await readFile(path, 'utf8')).toBe(serialiseWorkshop({ ...smallWorkshop(), name: 'Shed' }));
    await store.close();
    expect(await beside(path)).toEqual([]);
  });

  it('stays untouched until something changes', async () => {
    const text = JSON.stringify(smallWorkshop());
    const path = await fileWith(text);
    const store = await openWorkshopFile(path);
    await store.flush();
    await store.close();
    expect(await readFile(path, 'utf8')).toBe(text);
    expect(await beside(path)).toEqual([]);
  });

  it('keeps as .bak what was there when this opening began to change it', async () => {
    const path = await fileWith();
    const before = await readFile(path, 'utf8');
    const store = await openWorkshopFile(path);
    for (const name of ['a', 'b', 'c']) {
      store.change('name', (draft) => void (draft.name = name));
      await store.flush();
    }
    await store.close();
    expect(await readFile(`${path}.bak`, 'utf8')).toBe(before);
    expect((await readWorkshopFile(path)).name).toBe('c');
  });

  it('keeps its rights, and a link to it stays a link', async () => {
    const path = await fileWith();
    await chmod(path, 0o640);
    const link = freshPath();
    await symlink(path, link);
    const store = await openWorkshopFile(link);
    store.change('name', (draft) => void (draft.name = 'Shed'));
    await store.close();
    expect((await stat(path)).mode & 0o777).toBe(0o640);
    expect((await readWorkshopFile(path)).name).toBe('Shed');
    expect((await readWorkshopFile(link)).name).toBe('Shed');
  });

  it('is not overwritten when another program has changed it', async () => {
    const path = await fileWith();
    const store = await openWorkshopFile(path);
    const theirs = serialiseWorkshop({ ...smallWorkshop(), name: 'theirs' });
    await writeFile(path, theirs);
    await utimes(path, new Date(1e9), new Date(1e9));
    store.change('name', (draft) => void (draft.name = 'ours'));
    await expect(store.flush()).rejects.toThrow(/changed by another program/);
    expect(store.status).toMatchObject({ kind: 'failed', message: expect.stringMatching(/^Not saved: /) as string });
    await expect(store.close()).rejects.toThrow(/changed by another program/);
    expect(await readFile(path, 'utf8')).toBe(theirs);
    expect(await beside(path)).toEqual([]);
  });

  it('says what hinders it, and goes on when that is over', async () => {
    const path = await fileWith();
    const store = await openWorkshopFile(path);
    const before = await readFile(path, 'utf8');
    // A folder in the way of the backup copy: no rights are needed to try it, and root is hindered too.
    await mkdir(join(`${path}.bak`, 'in the way'), { recursive: true });
    store.change('name', (draft) => void (draft.name = 'Shed'));
    await expect(store.flush()).rejects.toMatchObject({ code: 'storage' });
    expect(store.status.kind).toBe('failed');
    expect(await readFile(path, 'utf8')).toBe(before);
    await rm(`${path}.bak`, { recursive: true });
    await store.flush();
    expect(store.status.kind).toBe('saved');
    expect((await readWorkshopFile(path)).name).toBe('Shed');
    await store.close();
  });

  it('is refused with a sentence when it is missing, a folder or no workshop', async () => {
    await expect(openWorkshopFile(freshPath())).rejects.toThrow(/There is no file .*\.workshop\.json\./);
    await expect(openWorkshopFile(join(folder, 'nowhere', 'x.workshop.json'), { create: smallWorkshop() })).rejects.toThrow(
      /cannot be opened for changes: the folder is not there\./,
    );
    await expect(readWorkshopFile(folder)).rejects.toThrow(/cannot be read: it is a folder\./);
    const path = await fileWith('{"format": "recipe-book"}');
    await expect(openWorkshopFile(path)).rejects.toThrow(FormatError);
    expect(await beside(path)).toEqual([]);
  });
});

describe('the lock', () => {
  const lockOf = (fields: object): string => JSON.stringify({ pid: 1, host: hostname(), born: null, token: 't', ...fields });

  it('lets one in at a time, and says who is in', async () => {
    const path = await fileWith();
    const store = await openWorkshopFile(path);
    await expect(openWorkshopFile(path)).rejects.toThrow(new RegExp(`open in process ${process.pid}\\. Close it there first`));
    expect((await readWorkshopFile(path)).name).toBe('Bench');
    await store.close();
    await (await openWorkshopFile(path)).close();
  });

  it('lets exactly one of many in', async () => {
    const path = await fileWith();
    const tries = await Promise.allSettled(Array.from({ length: 8 }, () => openWorkshopFile(path)));
    const opened = tries.flatMap((result) => (result.status === 'fulfilled' ? [result.value] : []));
    expect(opened).toHaveLength(1);
    await opened[0]?.close();
  });

  it.each<[string, string, number, boolean]>([
    ['of a process that is gone', lockOf({ pid: 2 ** 22 + 1 }), 0, true],
    ['of a later process with the same number', lockOf({ pid: process.pid, born: '1' }), 0, true],
    ['of a process that lives', lockOf({ pid: process.pid }), 0, false],
    ['of another machine, touched just now', lockOf({ host: 'elsewhere' }), 0, false],
    ['of another machine, forgotten', lockOf({ host: 'elsewhere' }), 3600, true],
    ['cut off just now', '{"pid"', 0, false],
    ['cut off a while ago', '', 60, true],
  ])('%s', async (_name, content, ageS, free) => {
    const path = await fileWith();
    await writeFile(`${path}.lock`, content);
    const touched = new Date(Date.now() - ageS * 1000);
    await utimes(`${path}.lock`, touched, touched);
    if (!free) {
      await expect(openWorkshopFile(path)).rejects.toMatchObject({ code: 'conflict' });
      return;
    }
    const tries = await Promise.allSettled(Array.from({ length: 4 }, () => openWorkshopFile(path)));
    const opened = tries.flatMap((result) => (result.status === 'fulfilled' ? [result.value] : []));
    expect(opened).toHaveLength(1);
    await opened[0]?.close();
    expect(await beside(path)).toEqual([]);
  });
});

describe('a process killed while it writes', () => {
  // One process writes several files at once, each at another point of its write when the kill comes: as many torn
  // writes for a fraction of the starts. CAMERAWRIGHT_KILLS=200 with CAMERAWRIGHT_FILES=1 kills 200 processes.
  const kills = Number(process.env['CAMERAWRIGHT_KILLS'] ?? 20);
  const atOnce = Number(process.env['CAMERAWRIGHT_FILES'] ?? 10);
  let script = '';

  beforeAll(async () => {
    const out = await mkdtemp(join(folder, 'script-'));
    await build({
      configFile: false,
      logLevel: 'error',
      ssr: { noExternal: true },
      build: {
        ssr: join(import.meta.dirname, '../../../tests/support/workshop-writer.ts'),
        outDir: out,
        emptyOutDir: false,
        target: 'node20',
        rolldownOptions: { output: { entryFileNames: 'crash.mjs' } },
      },
    });
    script = join(out, 'crash.mjs');
  });

  /** Runs the process, kills it in the midst of its writing, and returns the last number it said was safe, by file. */
  async function lastAcknowledged(paths: readonly string[]): Promise<number[]> {
    const child = spawn(process.execPath, [script, ...paths], { stdio: ['ignore', 'pipe', 'pipe'] });
    let said = '';
    let complaint = '';
    child.stderr.on('data', (data: Buffer) => void (complaint += data.toString()));
    // It goes on writing while this is heard, so the kill strikes at any point of a write.
    const linesToHear = paths.length + randomInt(2, 2 + 2 * paths.length);
    let over = false;
    child.stdout.on('data', (data: Buffer) => {
      said += data.toString();
      if (!over && said.split('\n').length > linesToHear) {
        over = true;
        setTimeout(() => child.kill('SIGKILL'), randomInt(0, 4));
      }
    });
    await new Promise((done) => child.on('close', done));
    if (complaint !== '') throw new Error(complaint);
    // A line cut off by the kill was not said.
    const lines = said.split('\n').slice(1, -1).map((line) => line.split(' ').map(Number));
    return paths.map((_, file) => lines.findLast(([of]) => of === file)?.[1] ?? 0);
  }

  it(`loses nothing it had said was safe, ${kills * atOnce} times over`, async () => {
    const start = serialiseWorkshop({ ...smallWorkshop(), name: '0' });
    const paths = await Promise.all(Array.from({ length: atOnce }, () => fileWith(start)));
    const safe = paths.map(() => 0);
    let torn = 0;
    for (let kill = 0; kill < kills; kill++) {
      const acknowledged = await lastAcknowledged(paths);
      for (const [file, path] of paths.entries()) {
        const workshop = parseWorkshop(await readFile(path, 'utf8'));
        expect(Number(workshop.name)).toBeGreaterThanOrEqual(Math.max(safe[file] ?? 0, acknowledged[file] ?? 0));
        expect({ ...workshop, name: 'Bench' }).toEqual(smallWorkshop());
        safe[file] = Number(workshop.name);
        // What a write leaves beside the file until it is done: the kill fell into one.
        if ((await beside(path)).some((name) => name !== '.bak' && name !== '.lock')) torn += 1;
      }
    }
    expect(safe.reduce((sum, number) => sum + number, 0)).toBeGreaterThanOrEqual(kills * atOnce);
    // Otherwise the kills had struck between the writes, and nothing was tried.
    expect(torn).toBeGreaterThan(0);
    for (const path of paths) {
      const store = await openWorkshopFile(path);
      await store.close();
      expect((await beside(path)).filter((name) => name !== '.bak')).toEqual([]);
    }
  }, 60_000 + kills * 10_000);
});
