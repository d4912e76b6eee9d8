import * as Comlink from 'comlink';
import { ModelError } from '#core';
import type { Progress, ScenePhotograph } from '#core';
import { errorFrom } from '../plate-room.ts';
import type { PictureRoom } from '../ports.ts';
import type { Answer, PictureWorker } from './picture-worker.ts';

interface Running {
  readonly worker: Worker;
  readonly remote: Comlink.Remote<PictureWorker>;
  /** Ends the promises that the thread will not answer any more. */
  readonly stops: Set<(error: Error) => void>;
}

/**
 * The picture room in a thread of its own, started when first needed. Cancelling ends the thread; the next call starts
 * a new one and hands it the scene again.
 */
export function openPictureRoom(): PictureRoom {
  let running: Running | null = null;
  let scene: ScenePhotograph | null = null;

  const end = (which: Running | null, error: Error): void => {
    if (!which) return;
    if (running === which) running = null;
    which.worker.terminate();
    for (const stop of which.stops) stop(error);
    which.stops.clear();
  };

  const start = (): Running => {
    const worker = new Worker(new URL('./picture-worker.ts', import.meta.url), { type: 'module', name: 'picture-room' });
    const started: Running = { worker, remote: Comlink.wrap<PictureWorker>(worker), stops: new Set() };
    worker.addEventListener('error', (event) => {
      event.preventDefault();
      // A thread that cannot start or has run out of memory answers nothing: say so instead of waiting.
      end(started, new Error(`Drawing has stopped${event.message ? `: ${event.message}` : ''}. Try again.`));
    });
    if (scene) void started.remote.place(scene);
    return started;
  };

  const call = <T>(ask: (remote: Comlink.Remote<PictureWorker>) => Promise<Answer<T>>): Promise<T> =>
    new Promise((resolve, reject) => {
      running ??= start();
      const { remote, stops } = running;
      stops.add(reject);
      ask(remote)
        .then((result) => ('answer' in result ? resolve(result.answer) : reject(errorFrom(result.error))), reject)
        .finally(() => stops.delete(reject));
    });

  const stopped = (): Error => new ModelError('cancelled', 'Drawing was stopped.');

  return {
    place(given) {
      scene = given;
      if (running) void running.remote.place(given);
    },
    pointImage: (view, point, grid) => call((remote) => remote.pointImage(view, point, grid)),
    contrast: (view, frequenciesPerMm) => call((remote) => remote.contrast(view, frequenciesPerMm)),
    draw(request, onProgress) {
      if (!onProgress) return call((remote) => remote.draw(request, null));
      let ended = false;
      // Words still on their way when a job has ended are for nobody.
      const relay: Progress = (share, word) => {
        if (!ended) onProgress(share, word);
      };
      return call((remote) => remote.draw(request, Comlink.proxy(relay))).finally(() => {
        ended = true;
      });
    },
    preview: (request) => call((remote) => remote.preview(request)),
    cancel() {
      if (running && running.stops.size > 0) end(running, stopped());
    },
    close() {
      end(running, stopped());
    },
  };
}
