import { mkdtemp, readFile, readdir, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest';
import { browserSaver } from '../browser/saver.ts';
import { memorySaver } from '../memory/saver.ts';
import { nodeSaver } from '../node/saver.ts';
import { saverContract } from './saver.contract.ts';

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'saver-'));
});
afterAll(async () => {
  await rm(folder, { recursive: true });
  vi.unstubAllGlobals();
});

describe('memory', () => {
  saverContract(() => {
    const saver = memorySaver();
    return Promise.resolve({
      saver,
      saved: (name) => Promise.resolve(saver.files.find(({ fileName }) => fileName === name)?.bytes ?? null),
    });
  });
});

describe('Node', () => {
  saverContract(() => {
    const place = join(folder, 'made', 'when', 'missing');
    return Promise.resolve({
      saver: nodeSaver(place),
      saved: async (name) => Uint8Array.from(await readFile(join(place, name))),
    });
  });

  test('leaves no drafts, and no half file where it cannot write', async () => {
    await nodeSaver(folder).save('a.csv', 'text/csv', Uint8Array.of(1));
    expect((await readdir(folder)).filter((name) => name.endsWith('.part'))).toEqual([]);
    await writeFile(join(folder, 'in-the-way'), 'a file, not a folder');
    await expect(
      nodeSaver(join(folder, 'in-the-way')).save('b.csv', 'text/csv', Uint8Array.of(1)),
    ).rejects.toMatchObject({ name: 'InputError', code: 'storage' });
  });

  test.each(['../a.csv', 'b/a.csv', '', '..'])('refuses “%s” as a name', async (name) => {
    await expect(nodeSaver(folder).save(name, 'text/csv', Uint8Array.of(1))).rejects.toMatchObject({
      code: 'not-understood',
    });
  });
});

describe('browser', () => {
  // The least of a page that a download needs; real downloads are tested with the app.
  saverContract(() => {
    const files = new Map<string, Uint8Array>();
    const blobs = new Map<string, Blob>();
    const pending: Promise<void>[] = [];
    vi.stubGlobal('document', {
      createElement: () => ({
        href: '',
        download: '',
        hidden: false,
        click(this: { href: string; download: string }) {
          const blob = blobs.get(this.href)!;
          pending.push(blob.arrayBuffer().then((buffer) => void files.set(this.download, new Uint8Array(buffer))));
        },
        remove() {},
      }),
      body: { append() {} },
    });
    vi.spyOn(URL, 'createObjectURL').mockImplementation((blob) => {
      const address = `blob:${blobs.size}`;
      blobs.set(address, blob as Blob);
      return address;
    });
    vi.spyOn(URL, 'revokeObjectURL').mockImplementation(() => {});
    return Promise.resolve({
      saver: browserSaver,
      saved: async (name) => {
        await Promise.all(pending);
        return files.get(name) ?? null;
      },
    });
  });
});
