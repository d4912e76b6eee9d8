/**
 * The open workshop as the rooms see it: a plain, frozen document, the chosen camera, and edits as named
 * changes that can be undone.
 */
import type { Camera, WorkshopDocument } from './standin.ts';

const storeKey = 'camerawright.standin';

export class Workshop {
  #document = $state.raw<WorkshopDocument>(starter());
  #past = $state.raw<{ document: WorkshopDocument; what: string }[]>([]);
  #future = $state.raw<{ document: WorkshopDocument; what: string }[]>([]);
  #cameraId = $state('');
  #group: string | null = null;

  constructor() {
    const stored = localStorage.getItem(storeKey);
    if (stored !== null) {
      this.#document = JSON.parse(stored) as WorkshopDocument;
    }
    this.#cameraId = this.#document.cameras[0]?.id ?? '';
  }

  get document(): WorkshopDocument {
    return this.#document;
  }

  get camera(): Camera | null {
    return this.#document.cameras.find((camera) => camera.id === this.#cameraId) ?? this.#document.cameras[0] ?? null;
  }

  choose(cameraId: string): void {
    this.#cameraId = cameraId;
  }

  /** @param what in the maker's words, for undo: `focal length`; @param group joins repeated changes to one step */
  edit(what: string, change: (draft: WorkshopDocument) => void, group: string | null = null): void {
    const draft = structuredClone(this.#document);
    change(draft);
    if (group === null || group !== this.#group) {
      this.#past = [...this.#past, { document: this.#document, what }];
    }
    this.#group = group;
    this.#future = [];
    this.#document = draft;
    localStorage.setItem(storeKey, JSON.stringify(draft));
  }

  editCamera(what: string, change: (camera: Camera) => void, group: string | null = null): void {
    const id = this.camera?.id;
    this.edit(
      what,
      (draft) => {
        const camera = draft.cameras.find((candidate) => candidate.id === id);
        if (camera !== undefined) {
          change(camera);
        }
      },
      group,
    );
  }

  get undoable(): string | null {
    return this.#past.at(-1)?.what ?? null;
  }

  get redoable(): string | null {
    return this.#future.at(-1)?.what ?? null;
  }

  undo(): void {
    const last = this.#past.at(-1);
    if (last !== undefined) {
      this.#past = this.#past.slice(0, -1);
      this.#future = [...this.#future, { document: this.#document, what: last.what }];
      this.#document = last.document;
      this.#group = null;
    }
  }

  redo(): void {
    const next = this.#future.at(-1);
    if (next !== undefined) {
      this.#future = this.#future.slice(0, -1);
      this.#past = [...this.#past, { document: this.#document, what: next.what }];
      this.#document = next.document;
      this.#group = null;
    }
  }
}

function starter(): WorkshopDocument {
  return {
    id: 'standin',
    name: 'Bench by the window',
    cameras: [
      {
        id: 'standin-1',
        name: 'Half-plate, walnut',
        formatId: 'custom',
        frameWidthMm: 163,
        frameHeightMm: 118.5,
        focalLengthMm: 106,
        holeShiftXMm: 0,
        holeShiftYMm: 8,
        woodThicknessMm: 9,
        holderDepthMm: 5.79,
        filmThicknessMm: 0.25,
        plateSeatMm: 0,
        objectDistanceMm: null,
        wavelengthNm: 550,
        criterion: 'detail-10',
        typed: {},
      },
    ],
  };
}
