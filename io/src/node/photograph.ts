/** A photograph of the maker's as the picture room takes it. */
import { readFile } from 'node:fs/promises';
import { basename } from 'node:path';
import { InputError, lightOfValue } from '#core';
import type { ScenePhotograph } from '#core';
import { nodeImageSource, vipsLibrary } from './image-source.ts';

/** Above this a photograph is taken in smaller: no hole shows more. */
const MOST_PIXELS = 24e6;

/**
 * Reads a TIFF, PNG or JPEG.
 * @param angleRad that it covers from left to right, > 0 and < π
 * @throws InputError missing when the file cannot be read
 * @throws FormatError truncated, damaged, unsupported, too-large
 */
export async function openPhotograph(
  path: string,
  angleRad: number,
): Promise<{ readonly scene: ScenePhotograph; readonly warnings: readonly string[] }> {
  const bytes = await readFile(path).catch(() => {
    throw new InputError('missing', `${path} could not be read. Check the name and the folder.`, { path: 'photo', got: path });
  });
  // drawings are written after it, and the library of a process starts only once
  await vipsLibrary({ drawings: true });
  const opened = await nodeImageSource().open(new Uint8Array(bytes), basename(path));
  try {
    const { widthPx, heightPx } = opened.pixels;
    const shrink = Math.max(1, Math.ceil(Math.sqrt((widthPx * heightPx) / MOST_PIXELS)));
    const raster = await opened.pixels.read({ columnPx: 0, rowPx: 0, widthPx, heightPx }, shrink);
    const { channels, samples, fullScale } = raster;
    if (channels !== 1 && channels !== 3) {
      throw new InputError('unsupported', `${basename(path)} has ${channels} channels: save it as grey or RGB.`, { path: 'photo', got: channels });
    }
    const tone = opened.tone ?? { kind: 'srgb' };
    const plain = tone.kind === 'srgb' && samples instanceof Uint8Array;
    return {
      scene: {
        columns: raster.widthPx,
        rows: raster.heightPx,
        channels,
        samples: plain ? samples : Float32Array.from(samples, (value) => lightOfValue(tone, value / fullScale)),
        // a last column that hangs over covers a little more; the angle is that of the whole
        angleRad,
      },
      warnings: opened.warnings,
    };
  } finally {
    opened.close();
  }
}
