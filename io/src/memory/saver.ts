import type { Saver } from '../ports.ts';

export interface SavedFile {
  readonly fileName: string;
  readonly mediaType: string;
  readonly bytes: Uint8Array;
}

/** Keeps what is saved in a list, newest last. */
export function memorySaver(): Saver & { readonly files: readonly SavedFile[] } {
  const files: SavedFile[] = [];
  return {
    files,
    save(fileName, mediaType, bytes) {
      files.push({ fileName, mediaType, bytes: bytes.slice() });
      return Promise.resolve();
    },
  };
}
