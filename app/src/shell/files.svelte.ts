/** The workshop as a file: opened by choice or by dropping, saved under the workshop's name. */
import { FormatError, counted, emptyWorkshop, isCamerawrightError } from '#core';
import type { Workshop } from '#core';
import type { KeptScan, Persistence, ShelfEntry, WorkshopShelf } from '#io/browser';
import type { Saver } from '#io/ports';
import type { Notices } from './notice.svelte.ts';
import type { OpenWorkshop } from './workshop.svelte.ts';

/** Far above any workshop without scans, far below what would stall the page. */
const LARGEST_BYTES = 64 * 1024 * 1024;
/** A zip is held whole while it is unpacked. */
const LARGEST_ZIP_BYTES = 1024 * 1024 * 1024;

export class WorkshopFiles {
  readonly #workshop: OpenWorkshop;
  readonly #notices: Notices;
  readonly #saver: Saver;
  readonly #shelf: WorkshopShelf;
  #persistence = $state<Persistence>('not offered');
  #kept = $state.raw<readonly ShelfEntry[]>([]);

  constructor(parts: {
    readonly workshop: OpenWorkshop;
    readonly notices: Notices;
    readonly saver: Saver;
    readonly shelf: WorkshopShelf;
  }) {
    this.#workshop = parts.workshop;
    this.#notices = parts.notices;
    this.#saver = parts.saver;
    this.#shelf = parts.shelf;
    void this.look();
  }

  /** Looks again at what is kept here and how safely. */
  async look(): Promise<void> {
    this.#persistence = await this.#shelf.persistence();
    this.#kept = await this.#shelf.list();
  }

  /** The other workshops kept in this browser, the last used first. */
  get others(): readonly ShelfEntry[] {
    return this.#kept.filter(({ id }) => id !== this.#workshop.document.id);
  }

  /** True where the browser can be asked to keep the workshops for good and has not promised yet. */
  get canAsk(): boolean {
    return this.#persistence === 'not granted';
  }

  async ask(): Promise<void> {
    this.#persistence = await this.#shelf.askPersistence();
    if (this.#persistence === 'not granted') {
      this.#notices.show('The browser has not granted lasting storage. Save the workshop as a file now and then.');
    }
  }

  /** Where the workshop is and how safe it is there, in a sentence. */
  get keeping(): string {
    if (this.#workshop.status.kind === 'failed') {
      return this.#workshop.status.message;
    }
    const place = 'It is kept on this device, in this browser.';
    switch (this.#persistence) {
      case 'granted':
        return `${place} The browser has granted lasting storage.`;
      case 'not granted':
        return `${place} The browser has not granted lasting storage and may clear it when room runs out: save a file now and then.`;
      case 'not offered':
        return `${place} Save a file now and then, to have it elsewhere too.`;
    }
  }

  /** The same in a word, and where there is room for it the place. */
  get short(): { readonly word: string; readonly where: string } {
    switch (this.#workshop.status.kind) {
      case 'saved':
        return { word: 'Saved', where: 'on this device' };
      case 'saving':
        return { word: 'Saving …', where: '' };
      case 'failed':
        return { word: 'Not saved', where: '' };
    }
  }

  async save(): Promise<void> {
    const { serialiseWorkshop } = await import('#core/schema');
    await this.hand(`${this.#plainName}.workshop.json`, 'application/json', serialiseWorkshop(this.#workshop.document));
  }

  /** The workshop as a zip with those of its scans and pictures that this browser has kept. */
  async saveWithScans(): Promise<void> {
    const { endingOf, openScanShelf, packWorkshop, scansOf } = await import('./archive.ts');
    const shelf = openScanShelf();
    const wanted = scansOf(this.#workshop.document);
    const scans: KeptScan[] = [];
    for (const { sha256, fileName } of wanted) {
      const blob = await shelf.scan(sha256);
      if (blob !== null) {
        scans.push({ sha256, ending: endingOf(fileName), bytes: new Uint8Array(await blob.arrayBuffer()) });
      }
    }
    await this.#saver.save(`${this.#plainName}.workshop.zip`, 'application/zip', packWorkshop(this.#workshop.document, scans));
    this.#notices.show(
      scans.length === wanted.length
        ? scans.length === 1 ? 'Saved with its one scan or picture.' : `Saved with all ${scans.length} scans and pictures.`
        : `Saved with ${scans.length} of ${wanted.length} scans and pictures; the others are not kept in this browser.`,
    );
  }

  /**
   * Lets go of scans and pictures in this browser that no workshop kept here names any more, trash and all. When one of
   * the workshops cannot be read, nothing is removed: it might name them.
   */
  async clearShelf(): Promise<void> {
    const { openScanShelf } = await import('./archive.ts');
    const shelf = openScanShelf();
    const texts = await this.#shelf.texts();
    const all = [...texts, JSON.stringify(this.#workshop.document)];
    const { scans, pictures } = await shelf.list();
    const unnamed = (key: string): boolean => all.every((text) => text !== null && !text.includes(key));
    const [loose, loosePictures] = [scans.filter(({ key }) => unnamed(key)), pictures.filter(({ key }) => unnamed(key))];
    await Promise.all([...loose.map(({ key }) => shelf.removeScan(key)), ...loosePictures.map(({ key }) => shelf.removePicture(key))]);
    const bytes = [...loose, ...loosePictures].reduce((sum, { byteCount }) => sum + byteCount, 0);
    const gone = loose.length + loosePictures.length;
    const left = scans.length + pictures.length - gone;
    this.#notices.show(
      gone === 0
        ? `Nothing to remove: ${left === 0 ? 'no scan is kept here' : 'every scan and picture kept here belongs to a workshop'}.`
        : `${counted(gone, 'scan or picture', 'scans and pictures')} of no workshop removed, ${Math.ceil(bytes / 1e6)} MB; ${left} kept.`,
    );
  }

  /** Hands a text to the person as a file. */
  async hand(fileName: string, mediaType: string, text: string): Promise<void> {
    await this.#saver.save(fileName, mediaType, new TextEncoder().encode(text));
  }

  get #plainName(): string {
    const plain = this.#workshop.document.name.normalize('NFKD').replace(/[^\p{L}\p{N}]+/gu, '-').replace(/^-+|-+$/g, '').toLowerCase();
    return plain === '' ? 'workshop' : plain;
  }

  /**
   * The workshop in a file, JSON or zip; the scans of a zip are put on this browser's shelf.
   * @throws FormatError with a sentence for the maker
   */
  async read(file: File): Promise<Workshop> {
    const isZip = /\.zip$/i.test(file.name);
    if (file.size > (isZip ? LARGEST_ZIP_BYTES : LARGEST_BYTES)) {
      throw new FormatError(
        'too-large',
        `“${file.name}” has ${Math.round(file.size / 1e6)} MB: that is no workshop file. Workshop files end in .workshop.json, or .workshop.zip with their scans.`,
      );
    }
    if (!isZip) {
      const { parseWorkshop } = await import('#core/schema');
      return parseWorkshop(await file.text());
    }
    const { openScanShelf, sha256Hex, unpackWorkshop } = await import('./archive.ts');
    const { workshop, scans } = await unpackWorkshop(new Uint8Array(await file.arrayBuffer()), sha256Hex);
    const shelf = openScanShelf();
    let missing = 0;
    for (const { sha256, bytes } of scans) {
      if ((await shelf.keepScan(sha256, new Blob([bytes as Uint8Array<ArrayBuffer>]))) !== 'kept') missing += 1;
    }
    if (missing > 0) {
      this.#notices.show(
        `The browser has no room for ${missing} of the ${scans.length} scans in “${file.name}”: the workshop is whole, but keep the file.`,
      );
    }
    return workshop;
  }

  async open(file: File): Promise<void> {
    try {
      const opened = await this.read(file);
      const before = this.#workshop.document;
      await this.#workshop.take(await this.#shelf.add(opened));
      await this.look();
      this.#notices.show(
        before.id === opened.id ? `Opened “${opened.name}” from its file.` : `Opened “${opened.name}”.`,
        before.id === opened.id
          ? { label: 'Undo', run: () => void this.#workshop.undo() }
          : { label: `Back to “${before.name}”`, run: () => void this.openKept(before.id) },
      );
    } catch (error) {
      if (!isCamerawrightError(error)) {
        throw error;
      }
      this.#notices.show(error.message);
    }
  }

  async openKept(id: string): Promise<void> {
    try {
      await this.#workshop.take(await this.#shelf.open(id));
      await this.look();
    } catch (error) {
      if (!isCamerawrightError(error)) {
        throw error;
      }
      this.#notices.show(error.message);
    }
  }

  /** A workshop with nothing in it, on the bench at once. */
  async openNew(head: { readonly id: string; readonly name: string; readonly createdAt: string }): Promise<void> {
    await this.#workshop.take(await this.#shelf.add(emptyWorkshop(head)));
    await this.look();
  }
}
