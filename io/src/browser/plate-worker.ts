// Wherever this file is compiled, the address of a file must have a type.
// eslint-disable-next-line @typescript-eslint/triple-slash-reference
/// <reference path="./assets.d.ts" />
/** The plate room's own thread in the browser. Started by plate-room.ts; nothing imports it but for its type. */
import * as Comlink from 'comlink';
import vipsWasm from 'wasm-vips/vips.wasm?url';
import type { PatchArea, Progress } from '#core';
import { directPlateRoom, plainError } from '../plate-room.ts';
import type { PlainError, RuleLook, ScanLook, ScanMeasurement, ScanPicture, ScanRequest } from '../ports.ts';
import { browserImageSource } from './image-source.ts';
import type { BrowserImageOptions } from './image-source.ts';

/** An answer or an error as plain data: classes do not survive the way between threads. */
export type Answer<T> = { readonly answer: T } | { readonly error: PlainError };

/** 64 MB of decoded picture for each GB that the device admits to, at most what 100 megapixels of colour need. */
const KEEP_BYTES_PER_GB = 64e6;
const KEEP_AT_MOST_BYTES = 512e6;

const startVips: BrowserImageOptions['startVips'] = async (start) => {
  const { default: startLibrary } = await import('wasm-vips');
  return startLibrary({ ...start, locateFile: (name: string) => (name.endsWith('vips.wasm') ? vipsWasm : name) });
};

const memoryGb = (navigator as { deviceMemory?: number }).deviceMemory ?? 8;
const room = directPlateRoom(
  browserImageSource({
    // Without isolation the library would wait for ever for memory it cannot share.
    startVips: globalThis.crossOriginIsolated ? startVips : null,
    keepAtMostBytes: Math.min(KEEP_AT_MOST_BYTES, KEEP_BYTES_PER_GB * memoryGb),
  }),
);

async function answered<T>(
  work: () => Promise<T>,
  pictures: (result: T) => readonly ScanPicture[],
): Promise<Answer<T>> {
  try {
    const answer = await work();
    const buffers = new Set(pictures(answer).map(({ picture }) => picture.samples.buffer));
    return Comlink.transfer({ answer }, [...buffers] as ArrayBuffer[]);
  } catch (error) {
    return { error: plainError(error) };
  }
}

const worker = {
  measure(
    bytes: Uint8Array | Blob,
    fileName: string,
    request: ScanRequest,
    onProgress: Progress | null,
  ): Promise<Answer<ScanMeasurement>> {
    return answered(
      () => room.measure(bytes, fileName, request, onProgress ?? undefined),
      ({ overview, previews }) => [overview, ...previews],
    );
  },
  look(bytes: Uint8Array | Blob, fileName: string): Promise<Answer<ScanLook>> {
    return answered(
      () => room.look(bytes, fileName),
      ({ overview }) => [overview],
    );
  },
  patches(bytes: Uint8Array | Blob, fileName: string, areas: readonly PatchArea[]): Promise<Answer<number[][]>> {
    return answered(
      () => room.patches(bytes, fileName, areas),
      () => [],
    );
  },
  rule(bytes: Uint8Array | Blob, fileName: string): Promise<Answer<RuleLook>> {
    return answered(
      () => room.rule(bytes, fileName),
      () => [],
    );
  },
};

export type PlateWorker = typeof worker;

Comlink.expose(worker);
