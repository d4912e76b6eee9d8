/**
 * The open workshop as the rooms see it: the store's frozen document as reactive state, the chosen camera,
 * and edits as named changes that can be undone.
 */
import { untrack } from 'svelte';
import type { CameraFilm, CameraLight, CameraRecord, Draft, PlateRecord, Workshop, WorkshopDraft } from '#core';
import { filmOf, isCamerawrightError, lightOfCamera, lightOfWavelength, mountedPlate } from '#core';
import type { Store, StoreStatus } from '#io/ports';

const chosenKey = 'camerawright.camera';

export class OpenWorkshop {
  #store: Store;
  #letGo: () => void = () => undefined;
  #document = $state.raw<Workshop>() as Workshop;
  #status = $state.raw<StoreStatus>({ kind: 'saved' });
  #undoLabel = $state<string | null>(null);
  #redoLabel = $state<string | null>(null);
  #cameraId = $state('');
  #trouble = $state<string | null>(null);

  constructor(store: Store) {
    this.#store = store;
    this.#listen();
    try {
      this.#cameraId = localStorage.getItem(chosenKey) ?? '';
    } catch {
      // Without storage the first camera is the chosen one.
    }
  }

  #listen(): void {
    this.#letGo();
    this.#letGo = this.#store.subscribe(() => this.#follow());
    this.#follow();
  }

  /** Lays another workshop on the bench; the one before it is kept and closed. */
  async take(store: Store): Promise<void> {
    const before = this.#store;
    this.#store = store;
    this.#listen();
    if (before !== store) {
      await before.close();
    }
  }

  #follow(): void {
    this.#document = this.#store.read();
    this.#status = this.#store.status;
    this.#undoLabel = this.#store.undoLabel;
    this.#redoLabel = this.#store.redoLabel;
  }

  get document(): Workshop {
    return this.#document;
  }

  get status(): StoreStatus {
    return this.#status;
  }

  /** The last edit that was refused, as a sentence; `null` after one that worked. */
  get trouble(): string | null {
    return this.#trouble;
  }

  get camera(): CameraRecord | null {
    const { cameras } = this.#document;
    return cameras.find((camera) => camera.id === this.#cameraId) ?? cameras[0] ?? null;
  }

  /** The plate that is in the chosen camera now. */
  get plate(): PlateRecord | null {
    return this.camera === null ? null : mountedPlate(this.camera, this.#document);
  }

  /** The film in the chosen camera; a film of the workshop's own whose figures cannot be right counts as none here. */
  get film(): CameraFilm | null {
    return this.camera === null ? null : sound(() => filmOf(this.camera as CameraRecord, this.#document));
  }

  /** All that the light depends on: other edits of the camera, a drag of its film plane, leave it alone. */
  readonly #lightParts: string = $derived.by(() => {
    const { camera } = this;
    const own = this.#document.films.find(({ id }) => id === camera?.filmId);
    return JSON.stringify([camera?.wavelengthNm, camera?.filmName, camera?.filmId, own]);
  });

  /** The light that holes of the chosen camera are reckoned for; the same object as long as nothing about it changes. */
  readonly light: CameraLight = $derived.by(() => {
    void this.#lightParts;
    return untrack(() => sound(() => lightOfCamera(this.camera, this.#document)) ?? lightOfWavelength());
  });

  choose(cameraId: string): void {
    this.#cameraId = cameraId;
    try {
      localStorage.setItem(chosenKey, cameraId);
    } catch {
      // see above
    }
  }

  /**
   * One named change. Changes of the same fields under the same name shortly after each other undo as one.
   * @param what in the maker's words: `focal length`
   */
  edit(what: string, recipe: (draft: WorkshopDraft) => void): void {
    this.#tried(() => this.#store.change(what, recipe));
  }

  /** What the program found unasked: kept, but no step for the maker to undo. */
  enter(recipe: (draft: WorkshopDraft) => void): void {
    this.#tried(() => this.#store.enter(recipe));
  }

  #tried(change: () => void): void {
    try {
      change();
      this.#trouble = null;
    } catch (error) {
      if (error instanceof Error) {
        this.#trouble = error.message;
      }
      throw error;
    }
  }

  /** A change of the chosen camera (or of the one named). */
  editCamera(what: string, recipe: (camera: Draft<CameraRecord>) => void, cameraId = this.camera?.id): void {
    this.edit(what, (draft) => {
      const camera = draft.cameras.find((candidate) => candidate.id === cameraId);
      if (camera !== undefined) {
        recipe(camera);
      }
    });
  }

  get undoLabel(): string | null {
    return this.#undoLabel;
  }

  get redoLabel(): string | null {
    return this.#redoLabel;
  }

  undo(): string | null {
    return this.#store.undo();
  }

  redo(): string | null {
    return this.#store.redo();
  }
}

function sound<T>(work: () => T): T | null {
  try {
    return work();
  } catch (error) {
    if (isCamerawrightError(error)) {
      return null;
    }
    throw error;
  }
}
