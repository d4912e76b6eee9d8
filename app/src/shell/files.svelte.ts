/** The workshop as a file: opened by choice or by dropping, saved under the workshop's name. */
import { emptyWorkshop, isCamerawrightError } from '#core';
import type { Persistence, ShelfEntry, WorkshopShelf } from '#io/browser';
import type { Saver } from '#io/ports';
import type { Notices } from './notice.svelte.ts';
import type { OpenWorkshop } from './workshop.svelte.ts';

/** Far above any workshop without scans, far below what would stall the page. */
const LARGEST_BYTES = 64 * 1024 * 1024;

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
    const { name } = this.#workshop.document;
    const text = serialiseWorkshop(this.#workshop.document);
    const plain = name.normalize('NFKD').replace(/[^\p{L}\p{N}]+/gu, '-').replace(/^-+|-+$/g, '').toLowerCase();
    await this.#saver.save(`${plain === '' ? 'workshop' : plain}.workshop.json`, 'application/json', new TextEncoder().encode(text));
  }

  async open(file: File): Promise<void> {
    try {
      if (file.size > LARGEST_BYTES) {
        this.#notices.show(`“${file.name}” has ${Math.round(file.size / 1e6)} MB: that is no workshop file. Workshop files end in .workshop.json.`);
        return;
      }
      const { parseWorkshop } = await import('#core/schema');
      const opened = parseWorkshop(await file.text());
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
