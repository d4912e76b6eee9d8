import { mkdir, rename, rm, writeFile } from 'node:fs/promises';
import { basename, join } from 'node:path';
import { InputError } from '#core';
import type { Saver } from '../ports.ts';

/**
 * Writes files into a folder, which is made when it is missing. A file appears whole or not at all.
 * @throws InputError storage when the folder cannot be written, not-understood for a name with a path in it
 */
export function nodeSaver(folder: string): Saver {
  return {
    async save(fileName, _mediaType, bytes) {
      if (fileName === '' || fileName === '.' || fileName === '..' || basename(fileName) !== fileName) {
        throw new InputError('not-understood', `“${fileName}” is not a file name.`, {
          path: 'fileName',
          got: fileName,
          expected: 'a name without folders',
        });
      }
      const place = join(folder, fileName);
      const draft = `${place}.${process.pid}.part`;
      try {
        await mkdir(folder, { recursive: true });
        await writeFile(draft, bytes);
        await rename(draft, place);
      } catch (error) {
        await rm(draft, { force: true }).catch(() => {});
        throw new InputError(
          'storage',
          `${place} cannot be written (${(error as Error).message}). Choose another folder.`,
          {
            path: 'folder',
            got: folder,
          },
        );
      }
    },
  };
}
