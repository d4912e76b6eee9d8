/**
 * The store's one body: a Y.Doc, its undo manager and a frozen plain view of it. Where the document is kept
 * (nowhere, in the browser, in a file) is a keeper's business.
 */
import { Immer } from 'immer';
import * as Y from 'yjs';
import type { Workshop, WorkshopDraft } from '#core';
import { checkedChange, checkedWorkshop } from '#core/schema';
import type { Store, StoreStatus } from '../ports.ts';
import { PlainView, mapDifferences, sharedOf } from './tree.ts';
import type { Difference, Edits, Json } from './tree.ts';

/** Keeps a document. Told after each change; says how safe it is. */
export interface Keeper {
  readonly status: StoreStatus;
  /** @param origin where the change came from: `LOAD`, another window, or an edit here */
  changed(update: Uint8Array, origin: unknown): void;
  flush(): Promise<void>;
  close(): Promise<void>;
}

/** What a keeper may ask of the store it keeps. */
export interface KeeperHost {
  readonly doc: Y.Doc;
  read(): Workshop;
  /** To be called when the status has changed. */
  announce(): void;
}

/** Origin of a document's first content: neither an edit nor news. */
export const LOAD = Symbol('load');
const EDIT = Symbol('edit');
/** Origin of what the program enters by itself: kept as an edit is, but not the undo manager's business. */
const ENTRY = Symbol('entry');

/** Edits of the same fields closer together than this are one step to undo. */
const MERGE_WITHIN_MS = 1000;

const LABEL = 'label';

export function rootOf(doc: Y.Doc): Y.Map<unknown> {
  return doc.getMap('workshop');
}

/** What was changed in records that are one value. */
export function editsOf(doc: Y.Doc): Edits {
  return doc.getMap('edits');
}

/** Writes a workshop into an empty document. */
export function fillDocument(doc: Y.Doc, workshop: Workshop): void {
  const root = rootOf(doc);
  doc.transact(() => {
    for (const [key, value] of Object.entries(workshop)) {
      if (value !== undefined) root.set(key, sharedOf(value as Json, key));
    }
  }, LOAD);
}

interface Step {
  readonly label: string;
  readonly places: readonly string[];
  readonly atMs: number;
}

export interface DocumentStoreOptions {
  /** A document with a workshop in it. */
  readonly doc: Y.Doc;
  readonly keeper: (host: KeeperHost) => Keeper;
  /** A clock that never goes backwards, for telling one burst of edits from the next. */
  readonly nowMs?: () => number;
}

export class DocumentStore implements Store {
  readonly #doc: Y.Doc;
  readonly #root: Y.Map<unknown>;
  readonly #view: PlainView;
  readonly #undo: Y.UndoManager;
  readonly #keeper: Keeper;
  readonly #immer = new Immer({ autoFreeze: true });
  readonly #listeners = new Set<() => void>();
  readonly #nowMs: () => number;
  #lastStep: Step | null = null;

  constructor(options: DocumentStoreOptions) {
    this.#doc = options.doc;
    this.#root = rootOf(options.doc);
    this.#nowMs = options.nowMs ?? (() => performance.now());
    const edits = editsOf(options.doc);
    this.#view = new PlainView(edits);
    this.#undo = new Y.UndoManager([this.#root, edits], {
      // Which edits are one step is decided here, by their fields, and not by the manager's clock.
      captureTimeout: Number.MAX_SAFE_INTEGER,
      trackedOrigins: new Set([EDIT]),
    });
    this.#undo.on('stack-item-added', ({ stackItem, type }) => {
      const undone = this.#undo.currStackItem?.meta.get(LABEL) as string | undefined;
      const label = type === 'redo' || this.#undo.redoing ? undone : this.#lastStep?.label;
      stackItem.meta.set(LABEL, label ?? '');
    });
    this.#root.observeDeep((_events, transaction) => {
      for (const type of transaction.changedParentTypes.keys()) this.#view.forget(type);
    });
    edits.observe(({ keysChanged }) => this.#view.hearEdits(keysChanged));
    this.#keeper = options.keeper({ doc: this.#doc, read: () => this.read(), announce: () => this.#announce() });
    this.#doc.on('update', (update: Uint8Array, origin: unknown) => {
      this.#keeper.changed(update, origin);
      this.#announce();
    });
  }

  read(): Workshop {
    return this.#view.plain(this.#root) as unknown as Workshop;
  }

  subscribe(listener: () => void): () => void {
    const entry = (): void => listener();
    this.#listeners.add(entry);
    return () => this.#listeners.delete(entry);
  }

  change(label: string, recipe: (draft: WorkshopDraft) => void): void {
    const next = this.#drafted(recipe);
    if (next !== null) this.#write(label, next);
  }

  enter(recipe: (draft: WorkshopDraft) => void): void {
    const next = this.#drafted(recipe);
    if (next === null) return;
    const differences = this.#differencesTo(next);
    this.#doc.transact(() => {
      for (const { write } of differences) write();
    }, ENTRY);
  }

  replace(label: string, workshop: Workshop): void {
    this.#write(label, checkedWorkshop(workshop));
  }

  undo(): string | null {
    this.#lastStep = null;
    const step = this.#undo.undo();
    this.#announce();
    return step === null ? null : (step.meta.get(LABEL) as string);
  }

  redo(): string | null {
    const step = this.#undo.redo();
    this.#announce();
    return step === null ? null : (step.meta.get(LABEL) as string);
  }

  get undoLabel(): string | null {
    return (this.#undo.undoStack.at(-1)?.meta.get(LABEL) as string | undefined) ?? null;
  }

  get redoLabel(): string | null {
    return (this.#undo.redoStack.at(-1)?.meta.get(LABEL) as string | undefined) ?? null;
  }

  get status(): StoreStatus {
    return this.#keeper.status;
  }

  async flush(): Promise<void> {
    await this.#keeper.flush();
  }

  async close(): Promise<void> {
    try {
      await this.#keeper.close();
    } finally {
      this.#listeners.clear();
      this.#undo.destroy();
      this.#doc.destroy();
    }
  }

  /** The checked outcome of a recipe; `null` when it changes nothing. */
  #drafted(recipe: (draft: WorkshopDraft) => void): Workshop | null {
    const before = this.read();
    const next = this.#immer.produce(before, (draft) => {
      recipe(draft as unknown as WorkshopDraft);
    });
    return next === before ? null : checkedChange(next, before);
  }

  #differencesTo(next: Workshop): readonly Difference[] {
    return mapDifferences(this.#root, next as unknown as { readonly [key: string]: Json }, this.#view);
  }

  #write(label: string, next: Workshop): void {
    const differences = this.#differencesTo(next);
    if (differences.length === 0) return;
    if (!this.#continues(label, differences)) this.#undo.stopCapturing();
    this.#lastStep = { label, places: differences.map(({ place }) => place), atMs: this.#nowMs() };
    this.#doc.transact(() => {
      for (const { write } of differences) write();
    }, EDIT);
  }

  /** Whether an edit goes on with the last step: the same label, soon after, in no other fields. */
  #continues(label: string, differences: readonly Difference[]): boolean {
    const last = this.#lastStep;
    if (last === null || last.label !== label || this.#nowMs() - last.atMs > MERGE_WITHIN_MS) return false;
    return differences.every(({ place }) => last.places.some((earlier) => place === earlier || place.startsWith(`${earlier}/`)));
  }

  #announce(): void {
    for (const listener of [...this.#listeners]) listener();
  }
}
