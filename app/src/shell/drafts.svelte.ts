/**
 * Half-typed text. What a field cannot read yet is not part of the workshop, but it is the maker's
 * work: it is kept on this device and stands in the field again after a reload. A draft belongs to the
 * value it was typed over; when that value is changed from elsewhere (drawing, undo) the draft is void.
 */
interface Draft {
  readonly text: string;
  readonly over: string;
}

const key = 'camerawright.drafts';

function read(): Record<string, Draft> {
  try {
    const stored: unknown = JSON.parse(localStorage.getItem(key) ?? '{}');
    const entries = Object.entries(stored !== null && typeof stored === 'object' ? stored : {});
    return Object.fromEntries(
      entries.filter((entry): entry is [string, Draft] => {
        const draft: unknown = entry[1];
        return typeof draft === 'object' && draft !== null && 'text' in draft && 'over' in draft;
      }),
    );
  } catch {
    return {};
  }
}

export class Drafts {
  #all = $state<Record<string, Draft>>(read());

  /** @param path which field; @param over the value it would replace */
  get(path: string, over: number | string | null): string | null {
    const draft = this.#all[path];
    return draft !== undefined && draft.over === String(over) ? draft.text : null;
  }

  set(path: string, text: string, over: number | string | null): void {
    this.#all = { ...this.#all, [path]: { text, over: String(over) } };
    this.#keep();
  }

  drop(path: string): void {
    if (path in this.#all) {
      this.#all = Object.fromEntries(Object.entries(this.#all).filter(([other]) => other !== path));
      this.#keep();
    }
  }

  #keep(): void {
    try {
      localStorage.setItem(key, JSON.stringify(this.#all));
    } catch {
      // Without storage a draft lives as long as the page.
    }
  }
}
