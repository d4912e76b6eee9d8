/** A page with nothing but the plate room, for the tests of its worker and decoders. */
import { openPlateRoom } from '#io/browser';
import type { ScanRequest } from '#io/ports';

type Outcome<T> =
  { readonly value: T } | { readonly name: string; readonly code: string | null; readonly message: string };

const room = openPlateRoom();

async function scan(name: string): Promise<Blob> {
  return (await fetch(`scans/${name}`)).blob();
}

async function outcome<T>(work: () => Promise<T>): Promise<Outcome<T>> {
  try {
    return { value: await work() };
  } catch (error) {
    const { name, code, message } = error as { name: string; code?: string; message: string };
    return { name, code: code ?? null, message };
  }
}

const plateBench = {
  isolated: globalThis.crossOriginIsolated,
  /** Everything of the look, its picture as plain numbers. */
  look: (name: string) =>
    outcome(async () => {
      const { opened, overview } = await room.look(await scan(name), name);
      return {
        opened,
        shrink: overview.shrink,
        channels: overview.picture.channels,
        samples: Array.from(overview.picture.samples),
      };
    }),
  measure: (name: string, request: ScanRequest) =>
    outcome(async () => {
      const words = new Set<string>();
      const { reading, previews } = await room.measure(await scan(name), name, request, (_, word) => words.add(word));
      return {
        diameterMm: reading.holes[0]!.outlineDiameterMm,
        words: [...words],
        previewWindow: previews[0]!.window,
        previewSamples: previews[0]!.picture.samples.length,
      };
    }),
  /** Cancels a measurement as soon as it says anything, then measures once more. */
  cancelled: (name: string, request: ScanRequest) =>
    outcome(async () => room.measure(await scan(name), name, request, () => room.cancel())),
};

declare global {
  interface Window {
    plateBench: typeof plateBench;
  }
}

Object.assign(window, { plateBench });
