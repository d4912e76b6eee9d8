/** What a hand drops on the page: scans one by one, or folders of them. */

interface Entry {
  readonly isDirectory: boolean;
  readonly name: string;
}

/** A folder as the browser gives it: at most a hundred entries at a time, an empty list at the end. */
export interface Folder extends Entry {
  createReader(): { readEntries(found: (entries: Entry[]) => void, failed: (error: Error) => void): void };
}

interface FileInFolder extends Entry {
  file(found: (file: File) => void, failed: (error: Error) => void): void;
}

export function isScan({ name }: { readonly name: string }): boolean {
  return /\.(tiff?|png|jpe?g)$/i.test(name);
}

/** All scans of folders and of the folders in them, by name within each folder. */
export async function scansOf(folders: readonly Folder[]): Promise<File[]> {
  const found: File[] = [];
  for (const folder of folders) {
    const reader = folder.createReader();
    const entries: Entry[] = [];
    for (;;) {
      const more = await new Promise<Entry[]>((resolve, reject) => reader.readEntries(resolve, reject));
      if (more.length === 0) break;
      entries.push(...more);
    }
    entries.sort((a, b) => a.name.localeCompare(b.name, 'en', { numeric: true }));
    for (const entry of entries) {
      if (entry.isDirectory) found.push(...(await scansOf([entry as Folder])));
      else if (isScan(entry)) found.push(await new Promise<File>((resolve, reject) => (entry as FileInFolder).file(resolve, reject)));
    }
  }
  return found;
}
