/**
 * The heavy figures, drawn in two threads: a quick one for what follows a hand (point image, contrast of an outline,
 * a first look at the photograph), where only the newest question is answered, and a patient one for the photograph
 * at its full size, which is stopped as soon as anything changes.
 */
import type { FieldContrast, FieldView, FilmPoint, ImageGrid, Photograph, ShapeImage } from '#core';
import { isCamerawrightError } from '#core';
import { openPictureRoom } from '#io/browser';
import type { PictureRequest, PictureRoom } from '#io/ports';
import type { Photo } from './photo.ts';
import { sceneOf } from './photo.ts';

export interface Question {
  readonly views: readonly FieldView[];
  readonly shares: readonly [number, number, number];
  readonly frequenciesPerMm: Float64Array;
  readonly place: FilmPoint;
  readonly grid: ImageGrid;
  readonly photo: Photo | null;
  readonly photoAngleRad: number;
}

export interface Work {
  readonly share: number;
  readonly word: string;
}

const PREVIEW_COLUMNS = 300;
/** Finer than any hole of a common format resolves; more is only enlarging. */
export const FULL_COLUMNS = 2000;
/** Longer than any hole for a picture takes. */
const PATIENCE_MS = 1500;
/** The hand rests. */
const REST_MS = 350;

export class PictureJobs {
  readonly #open: () => PictureRoom;
  #quick: PictureRoom | null = null;
  #patient: PictureRoom | null = null;
  #turn = 0;
  /** Counts only what changes the photograph: looking at another place does not stop its drawing. */
  #pictureTurn = 0;
  #asked: Question | null = null;
  /** The photograph of this turn has had its first look. */
  #looked = false;
  #waiting: Question | null = null;
  #running = false;
  /** When the quick thread began on the question it has, ms. */
  #begun = 0;
  #placed: { photo: Photo; angleRad: number } | null = null;
  #rest: ReturnType<typeof setTimeout> | undefined;

  images = $state.raw<readonly (ShapeImage | null)[]>([]);
  /** The grid's rays: which place the images belong to. */
  imagePlace = $state.raw<FilmPoint | null>(null);
  contrasts = $state.raw<readonly (readonly FieldContrast[])[]>([]);
  frequenciesPerMm = $state.raw<Float64Array>(new Float64Array());
  pictures = $state.raw<readonly Photograph[]>([]);
  /** `null` while nothing is drawn. */
  work = $state.raw<Work | null>(null);
  trouble = $state<string | null>(null);
  /** The picture shown is a first look. */
  rough = $state(true);
  stopped = $state(false);

  constructor(open: () => PictureRoom = openPictureRoom) {
    this.#open = open;
  }

  /** Answers a question; one that is still waiting is dropped for it. */
  ask(question: Question): void {
    const before = this.#asked;
    this.#asked = question;
    this.#turn += 1;
    this.#waiting = question;
    if (before === null || !samePicture(before, question)) this.#drop();
    // A hole of millimetres, on the way to `3/16"`, can take long: nobody waits for it any more.
    if (this.#running && performance.now() - this.#begun > PATIENCE_MS) this.#quick?.cancel();
    void this.#serve();
  }

  /** Draws again after a stop. */
  again(question: Question): void {
    this.#drop();
    this.ask(question);
  }

  /** The picture drawn so far is for nobody. */
  #drop(): void {
    this.#pictureTurn += 1;
    this.#looked = false;
    this.stopped = false;
    this.work = null;
    clearTimeout(this.#rest);
    this.#patient?.cancel();
  }

  stop(): void {
    clearTimeout(this.#rest);
    this.stopped = true;
    this.work = null;
    this.#patient?.cancel();
  }

  close(): void {
    this.#turn += 1;
    this.#pictureTurn += 1;
    this.#asked = null;
    this.#waiting = null;
    clearTimeout(this.#rest);
    this.#quick?.close();
    this.#patient?.close();
    this.#quick = null;
    this.#patient = null;
    this.#placed = null;
  }

  async #serve(): Promise<void> {
    if (this.#running) {
      return;
    }
    this.#running = true;
    try {
      for (let question = this.#waiting; question !== null; question = this.#waiting) {
        this.#waiting = null;
        this.#begun = performance.now();
        await this.#quickly(question, this.#turn);
      }
    } finally {
      this.#running = false;
    }
  }

  async #quickly(question: Question, turn: number): Promise<void> {
    const newer = (): boolean => turn !== this.#turn;
    try {
      const room = (this.#quick ??= this.#open());
      const { photo, views } = question;
      if (photo !== null && (this.#placed?.photo !== photo || this.#placed.angleRad !== question.photoAngleRad)) {
        this.#patient ??= this.#open();
        const scene = sceneOf(photo, question.photoAngleRad);
        room.place(scene);
        this.#patient.place(scene);
        this.#placed = { photo, angleRad: question.photoAngleRad };
      }
      const images: (ShapeImage | null)[] = [];
      for (const view of views) {
        images.push(await room.pointImage(view, question.place, question.grid));
        if (newer()) return;
      }
      this.images = images;
      this.imagePlace = question.place;
      if (photo !== null && !this.#looked) {
        const pictures: Photograph[] = [];
        for (const view of views) {
          pictures.push(await room.preview(request(question, view, PREVIEW_COLUMNS)));
          if (newer()) return;
        }
        this.pictures = pictures;
        this.rough = true;
        this.#looked = true;
        const pictureTurn = this.#pictureTurn;
        this.#rest = setTimeout(() => void this.#fully(question, pictureTurn), REST_MS);
      }
      const contrasts: (readonly FieldContrast[])[] = [];
      for (const view of views) {
        contrasts.push(await room.contrast(view, question.frequenciesPerMm));
        if (newer()) return;
      }
      this.contrasts = contrasts;
      this.frequenciesPerMm = question.frequenciesPerMm;
      this.trouble = null;
    } catch (error) {
      if (!newer()) this.trouble = sentenceOf(error);
    }
  }

  async #fully(question: Question, turn: number): Promise<void> {
    const room = this.#patient;
    if (room === null || turn !== this.#pictureTurn) {
      return;
    }
    const { views } = question;
    try {
      const pictures: Photograph[] = [];
      for (const [i, view] of views.entries()) {
        const tell = (share: number, word: string): void => {
          if (turn === this.#pictureTurn && !this.stopped) this.work = { share: (i + share) / views.length, word };
        };
        tell(0, 'drawing');
        pictures.push(await room.draw(request(question, view, FULL_COLUMNS), tell));
      }
      if (turn === this.#pictureTurn) {
        this.pictures = pictures;
        this.rough = false;
      }
    } catch (error) {
      if (turn === this.#pictureTurn && !this.stopped) this.trouble = sentenceOf(error);
    } finally {
      if (turn === this.#pictureTurn) this.work = null;
    }
  }

  /** One picture as large as asked, for a file. */
  async large(question: Question, side: number, columns: number): Promise<Photograph | null> {
    const view = question.views[side];
    const room = this.#patient;
    if (view === undefined || room === null) {
      return null;
    }
    const turn = this.#pictureTurn;
    this.stopped = false;
    try {
      return await room.draw(request(question, view, columns), (share, word) => {
        if (turn === this.#pictureTurn && !this.stopped) this.work = { share, word };
      });
    } catch (error) {
      if (!(isCamerawrightError(error) && error.code === 'cancelled')) this.trouble = sentenceOf(error);
      return null;
    } finally {
      if (turn === this.#pictureTurn) this.work = null;
    }
  }
}

function samePicture(a: Question, b: Question): boolean {
  return a.views === b.views && a.shares === b.shares && a.photo === b.photo && a.photoAngleRad === b.photoAngleRad;
}

function request(question: Question, view: FieldView, columns: number): PictureRequest {
  return { view, channelShares: question.shares, columns };
}

function sentenceOf(error: unknown): string | null {
  if (isCamerawrightError(error)) {
    return error.code === 'cancelled' ? null : error.message;
  }
  return error instanceof Error ? error.message : String(error);
}
