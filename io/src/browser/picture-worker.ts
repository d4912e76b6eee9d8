/** The picture room's own thread in the browser. Started by picture-room.ts; nothing imports it but for its type. */
import * as Comlink from 'comlink';
import { InputError, fieldContrast, filmRay, photograph, pointImage, slantedView } from '#core';
import type {
  FieldContrast, FieldView, FilmPoint, ImageGrid, Photograph, Progress, ScenePhotograph, ShapeImage,
} from '#core';
import { plainError } from '../plate-room.ts';
import type { PictureRequest, PlainError } from '../ports.ts';
import { smallScene } from './picture-scene.ts';

/** An answer or an error as plain data: classes do not survive the way between threads. */
export type Answer<T> = { readonly answer: T } | { readonly error: PlainError };

let scene: ScenePhotograph | null = null;
let small: ScenePhotograph | null = null;

function answered<T>(work: () => T, buffers: (result: T) => readonly ArrayBufferLike[]): Answer<T> {
  try {
    const answer = work();
    return Comlink.transfer({ answer }, buffers(answer) as ArrayBuffer[]);
  } catch (error) {
    return { error: plainError(error) };
  }
}

function placed(): ScenePhotograph {
  if (scene === null) {
    throw new InputError('missing', 'There is no photograph to draw yet: open one.', { path: 'scene' });
  }
  return scene;
}

const worker = {
  place(given: ScenePhotograph): void {
    scene = given;
    small = null;
  },
  pointImage(view: FieldView, point: FilmPoint, grid: ImageGrid): Answer<ShapeImage | null> {
    return answered(
      () => {
        const slanted = slantedView({ ...view, focalLengthMm: view.camera.focalLengthMm }, filmRay(view.camera, point));
        return slanted === null ? null : pointImage(slanted, grid);
      },
      (image) => (image === null ? [] : [image.intensity.buffer]),
    );
  },
  contrast(view: FieldView, frequenciesPerMm: Float64Array): Answer<readonly FieldContrast[]> {
    return answered(() => fieldContrast(view, frequenciesPerMm), () => []);
  },
  draw(request: PictureRequest, onProgress: Progress | null): Answer<Photograph> {
    return answered(
      () => photograph({ ...request, scene: placed(), ...(onProgress !== null && { progress: onProgress }) }),
      ({ light }) => [light.buffer],
    );
  },
  preview(request: PictureRequest): Answer<Photograph> {
    return answered(
      () => {
        small ??= smallScene(placed());
        return photograph({ ...request, scene: small });
      },
      ({ light }) => [light.buffer],
    );
  },
};

export type PictureWorker = typeof worker;

Comlink.expose(worker);
