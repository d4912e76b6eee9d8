/** Folders as a browser hands them over: piece by piece, with other things and other folders in them. */
import { expect, it } from 'vitest';
import { scansOf } from './dropped.ts';
import type { Folder } from './dropped.ts';

type Tree = readonly (string | readonly [string, Tree])[];

function folder(name: string, tree: Tree): Folder {
  const entries = tree.map((item) =>
    typeof item === 'string'
      ? { isDirectory: false, name: item, file: (found: (file: File) => void) => found(new File([], item)) }
      : folder(item[0], item[1]),
  );
  return {
    isDirectory: true,
    name,
    createReader: () => ({ readEntries: (found) => found(entries.splice(0, 100)) }),
  };
}

it('gives every scan of a folder and of those in it, whatever else lies there', async () => {
  const many = Array.from({ length: 230 }, (_, i) => `plate-${230 - i}.tif`);
  const files = await scansOf([folder('class', [...many, 'notes.txt', ['retakes', ['a.JPG', 'b.png', 'c.workshop.json']]])]);
  expect(files).toHaveLength(232);
  expect(files.slice(0, 3).map(({ name }) => name)).toEqual(['plate-1.tif', 'plate-2.tif', 'plate-3.tif']);
  expect(files.slice(-2).map(({ name }) => name)).toEqual(['a.JPG', 'b.png']);
  expect(await scansOf([folder('empty', [])])).toEqual([]);
});
