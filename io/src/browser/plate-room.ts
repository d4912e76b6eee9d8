import * as Comlink from 'comlink';
import { ModelError } from '#core';
import type { Progress } from '#core';
import { errorFrom } from '../plate-room.ts';
import type { PlateRoom, ScanMeasurement } from '../ports.ts';
import type { Answer, PlateWorker } from './plate-worker.ts';

interface Running {
  readonly worker: Worker;
  readonly remote: Comlink.Remote<PlateWorker>;
  /** Ends the promises that the thread will not answer any more. */
  readonly stops: Set<(error: Error) => void>;
}

/**
 * The plate room in a thread of its own, started when first needed. Cancelling ends the thread; the next call starts
 * a new one.
 */
export function openPlateRoom(): PlateRoom {
  let running: Running | null = null;

  const start = (): Running => {
    const worker = new Worker(new URL('./plate-worker.ts', import.meta.url), { type: 'module', name: 'plate-room' });
    const started: Running = { worker, remote: Comlink.wrap<PlateWorker>(worker), stops: new Set() };
    worker.addEventListener('error', (event) => {
      event.preventDefault();
      // A thread that cannot start or has run out of memory answers nothing: say so instead of waiting.
      end(started, new Error(`The scan reader has stopped${event.message ? `: ${event.message}` : ''}. Try again.`));
    });
    return started;
  };

  const end = (which: Running | null, error: Error): void => {
    if (!which) return;
    if (running === which) running = null;
    which.worker.terminate();
    for (const stop of which.stops) stop(error);
    which.stops.clear();
  };

  const call = <T>(ask: (remote: Comlink.Remote<PlateWorker>) => Promise<Answer<T>>): Promise<T> =>
    new Promise((resolve, reject) => {
      running ??= start();
      const { remote, stops } = running;
      stops.add(reject);
      ask(remote)
        .then((result) => ('answer' in result ? resolve(result.answer) : reject(errorFrom(result.error))), reject)
        .finally(() => stops.delete(reject));
    });

  /** Words still on their way when a job has ended are for nobody. */
  const measured = (progress: Progress | undefined, ask: (relay: Progress | null) => Promise<ScanMeasurement>) => {
    if (!progress) return ask(null);
    let ended = false;
    const relay: Progress = (share, word) => {
      if (!ended) progress(share, word);
    };
    return ask(Comlink.proxy(relay)).finally(() => {
      ended = true;
    });
  };

  const stopped = (): Error => new ModelError('cancelled', 'Measuring was stopped.');

  return {
    measure: (bytes, fileName, request, onProgress) =>
      measured(onProgress, (relay) => call((remote) => remote.measure(bytes, fileName, request, relay))),
    look: (bytes, fileName) => call((remote) => remote.look(bytes, fileName)),
    patches: (bytes, fileName, areas) => call((remote) => remote.patches(bytes, fileName, areas)),
    rule: (bytes, fileName) => call((remote) => remote.rule(bytes, fileName)),
    cancel() {
      // An idle thread keeps its decoder and its last scan.
      if (running && running.stops.size > 0) end(running, stopped());
    },
    close() {
      end(running, stopped());
    },
  };
}
