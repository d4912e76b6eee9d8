/** Writing a file so that at every instant either the old or the new one is there, whole. */
import { copyFile, open, rename, stat, unlink } from 'node:fs/promises';
import { dirname } from 'node:path';
import { newId } from './id.ts';

/** The name of the file is only safe once its folder is written. Some systems cannot do that, and need not. */
async function syncFolder(path: string): Promise<void> {
  try {
    const folder = await open(dirname(path), 'r');
    try {
      await folder.sync();
    } finally {
      await folder.close();
    }
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    if (code !== 'EISDIR' && code !== 'EPERM' && code !== 'EINVAL' && code !== 'EACCES') throw error;
  }
}

/** Resolves when the new content is on the disk under the file's name, with the rights the old one had. */
export async function writeWhole(path: string, content: string): Promise<void> {
  const beside = `${path}.${newId()}.tmp`;
  const mode = await stat(path).then(
    (facts) => facts.mode & 0o777,
    () => null,
  );
  try {
    const handle = await open(beside, 'wx');
    try {
      if (mode !== null) await handle.chmod(mode);
      await handle.writeFile(content, 'utf8');
      await handle.sync();
    } finally {
      await handle.close();
    }
    await rename(beside, path);
  } catch (error) {
    await unlink(beside).catch(() => undefined);
    throw error;
  }
  await syncFolder(path);
}

/** A copy under another name, whole or not at all. */
export async function copyWhole(from: string, to: string): Promise<void> {
  const beside = `${to}.${newId()}.tmp`;
  try {
    await copyFile(from, beside);
    const handle = await open(beside, 'r+');
    try {
      await handle.sync();
    } finally {
      await handle.close();
    }
    await rename(beside, to);
  } catch (error) {
    await unlink(beside).catch(() => undefined);
    throw error;
  }
}
