// Local stand-in for the browser store; goes as soon as #io/browser opens one.
import type { Workshop, WorkshopDraft } from '#core';
import { emptyWorkshop, thawed } from '#core';
import type { Store, StoreStatus } from '#io/ports';

const key = 'camerawright.standin';

export class StandinStore implements Store {
  #now: Workshop;
  #past: { document: Workshop; label: string; at: number }[] = [];
  #future: { document: Workshop; label: string }[] = [];
  #listeners = new Set<() => void>();
  readonly status: StoreStatus = { kind: 'saved' };

  constructor() {
    const stored = localStorage.getItem(key);
    this.#now =
      stored !== null
        ? (JSON.parse(stored) as Workshop)
        : {
            ...emptyWorkshop({ id: '018f0000-0000-7000-8000-000000000000', name: 'Bench by the window', createdAt: '2026-11-25T09:00:00+00:00' }),
            cameras: [
              {
                id: '018f0000-0000-7000-8000-000000000001',
                name: 'Walnut half-plate',
                formatId: null,
                frame: { widthMm: 163, heightMm: 118.5 },
                focalLengthMm: 106,
                holeShift: { xMm: 0, yMm: 8 },
                wood: 'walnut',
                woodThicknessMm: 9,
                holderDepthMm: 5.79,
                filmThicknessMm: 0.25,
                plateSeatMm: 0,
                criterion: 'detail-10',
                mountings: [],
              },
            ],
          };
  }
  read(): Workshop { return this.#now; }
  subscribe(listener: () => void): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }
  #tell(): void {
    localStorage.setItem(key, JSON.stringify(this.#now));
    for (const listener of this.#listeners) listener();
  }
  change(label: string, recipe: (draft: WorkshopDraft) => void): void {
    const draft = thawed(this.#now) as WorkshopDraft;
    recipe(draft);
    const last = this.#past.at(-1);
    if (last === undefined || last.label !== label || performance.now() - last.at > 1000) this.#past.push({ document: this.#now, label, at: performance.now() });
    else last.at = performance.now();
    this.#future = [];
    this.#now = draft as Workshop;
    this.#tell();
  }
  replace(label: string, workshop: Workshop): void {
    this.#past.push({ document: this.#now, label, at: 0 });
    this.#now = workshop;
    this.#tell();
  }
  undo(): string | null {
    const last = this.#past.pop();
    if (last === undefined) return null;
    this.#future.push({ document: this.#now, label: last.label });
    this.#now = last.document;
    this.#tell();
    return last.label;
  }
  redo(): string | null {
    const next = this.#future.pop();
    if (next === undefined) return null;
    this.#past.push({ document: this.#now, label: next.label, at: 0 });
    this.#now = next.document;
    this.#tell();
    return next.label;
  }
  get undoLabel(): string | null { return this.#past.at(-1)?.label ?? null; }
  get redoLabel(): string | null { return this.#future.at(-1)?.label ?? null; }
  flush(): Promise<void> { return Promise.resolve(); }
  close(): Promise<void> { return Promise.resolve(); }
}
