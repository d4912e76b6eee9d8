/** The workshop as a file: opened by choice or by dropping, saved under the workshop's name. */
import { isCamerawrightError } from '#core';
import type { Saver } from '#io/ports';
import type { Notices } from './notice.svelte.ts';
import type { OpenWorkshop } from './workshop.svelte.ts';

/** Far above any workshop without scans, far below what would stall the page. */
const LARGEST_BYTES = 64 * 1024 * 1024;

export class WorkshopFiles {
  readonly #workshop: OpenWorkshop;
  readonly #notices: Notices;
  readonly #saver: Saver;
  /** Whether the browser promised not to clear this site's storage. */
  #persisted = $state<boolean | null>(null);

  constructor(parts: { readonly workshop: OpenWorkshop; readonly notices: Notices; readonly saver: Saver }) {
    this.#workshop = parts.workshop;
    this.#notices = parts.notices;
    this.#saver = parts.saver;
    void this.#askToKeep();
  }

  async #askToKeep(): Promise<void> {
    try {
      this.#persisted = (await navigator.storage.persisted()) || (await navigator.storage.persist());
    } catch {
      this.#persisted = null;
    }
  }

  /** Where the workshop is and how safe it is there, in a sentence. */
  get keeping(): string {
    if (this.#workshop.status.kind === 'failed') {
      return this.#workshop.status.message;
    }
    const place = 'It is kept on this device, in this browser.';
    switch (this.#persisted) {
      case true:
        return `${place} The browser has granted lasting storage.`;
      case false:
        return `${place} The browser has not granted lasting storage and may clear it when room runs out: save a file now and then.`;
      case null:
        return `${place} Save a file now and then, to have it elsewhere too.`;
    }
  }

  /** The same in a few words, for the head of the page. */
  get short(): string {
    switch (this.#workshop.status.kind) {
      case 'saved':
        return 'Saved on this device';
      case 'saving':
        return 'Saving …';
      case 'failed':
        return 'Not saved';
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
      const before = this.#workshop.document.name;
      this.#workshop.replace('open a file', opened);
      this.#notices.show(`Opened “${opened.name}” in place of “${before}”.`, {
        label: 'Go back',
        run: () => {
          this.#workshop.undo();
        },
      });
    } catch (error) {
      if (!isCamerawrightError(error)) {
        throw error;
      }
      this.#notices.show(error.message);
    }
  }
}
