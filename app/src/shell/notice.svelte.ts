/** One remark at the foot of the page, with at most one thing to do about it. */
export interface Notice {
  readonly text: string;
  readonly action?: { readonly label: string; readonly run: () => void } | undefined;
}

export class Notices {
  #current = $state.raw<Notice | null>(null);

  get current(): Notice | null {
    return this.#current;
  }

  /** Takes the place of the last one; stays until it is put away or its action is taken. */
  show(text: string, action?: Notice['action']): void {
    this.#current = { text, action };
  }

  dismiss(): void {
    this.#current = null;
  }
}
