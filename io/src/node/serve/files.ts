import { createHash } from 'node:crypto';
import { readFile, realpath, stat } from 'node:fs/promises';
import { join, resolve, sep } from 'node:path';
import { promisify } from 'node:util';
import { gzip } from 'node:zlib';
import { packs } from './headers.ts';

const gzipped = promisify(gzip);
/** Larger texts than this are sent as they are: packing would cost more than the way to the same computer. */
const PACK_AT_MOST_BYTES = 16e6;

export interface ServedFile {
  readonly path: string;
  readonly bytes: Buffer;
  readonly encoding: 'br' | 'gzip' | null;
  readonly tag: string;
}

/**
 * Finds the files below one folder and nothing outside it: neither by `..`, nor by an absolute path, nor through a
 * link that leads out.
 */
export class FileShelf {
  readonly #root: string;
  /** Packed texts by path and time of change. */
  readonly #packed = new Map<string, Buffer>();

  constructor(root: string) {
    this.#root = resolve(root);
  }

  /** @param pathname of the address, still encoded; null when there is no such file */
  async find(pathname: string, accepts: (encoding: string) => boolean): Promise<ServedFile | null> {
    const path = await this.#inside(pathname);
    if (path === null) return null;
    for (const encoding of ['br', 'gzip'] as const) {
      if (!packs(path) || !accepts(encoding)) continue;
      const packed = await this.#inside(`${pathname}${encoding === 'br' ? '.br' : '.gz'}`);
      if (packed) return this.#file(path, await readFile(packed), encoding);
    }
    const bytes = await readFile(path);
    if (!packs(path) || !accepts('gzip') || bytes.length < 1024 || bytes.length > PACK_AT_MOST_BYTES) {
      return this.#file(path, bytes, null);
    }
    const key = `${path} ${(await stat(path)).mtimeMs}`;
    const packed = this.#packed.get(key) ?? (await gzipped(bytes));
    this.#packed.set(key, packed);
    return this.#file(path, packed, 'gzip');
  }

  #file(path: string, bytes: Buffer, encoding: ServedFile['encoding']): ServedFile {
    const tag = `"${createHash('sha256').update(bytes).digest('base64url').slice(0, 22)}"`;
    return { path, bytes, encoding, tag };
  }

  async #inside(pathname: string): Promise<string | null> {
    let plain: string;
    try {
      plain = decodeURIComponent(pathname);
    } catch {
      return null;
    }
    if (plain.includes('\0') || plain.includes('\\')) return null;
    const path = resolve(join(this.#root, plain.endsWith('/') ? `${plain}index.html` : plain));
    if (!path.startsWith(this.#root + sep)) return null;
    try {
      const real = await realpath(path);
      const realRoot = await realpath(this.#root);
      if (!real.startsWith(realRoot + sep)) return null;
      return (await stat(real)).isFile() ? real : null;
    } catch {
      return null;
    }
  }
}
