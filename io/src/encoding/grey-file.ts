/** Grey pictures as files: PNG and TIFF, 8 or 16 bits a sample, sRGB-encoded, with their size on paper. */

export interface GreyImage {
  readonly columns: number;
  readonly rows: number;
  /** Rows from the top. */
  readonly samples: Uint8Array | Uint8ClampedArray | Uint16Array;
  /** Size of a pixel on the film; null: not said. */
  readonly pitchMm: number | null;
}

export type GreyFormat = 'png' | 'tiff';

/** The file's bytes. */
export async function greyFile(image: GreyImage, format: GreyFormat): Promise<Uint8Array> {
  return format === 'png' ? pngOf(image) : tiffOf(image);
}

async function pngOf({ columns, rows, samples }: GreyImage): Promise<Uint8Array> {
  const { encode } = await import('fast-png');
  const data = samples instanceof Uint16Array ? samples : Uint8Array.from(samples);
  return encode({ width: columns, height: rows, data, channels: 1, depth: data instanceof Uint16Array ? 16 : 8 });
}

const LITTLE = true;
const ENTRY_BYTES = 12;

/**
 * Baseline TIFF, uncompressed, one strip, so that everything opens it.
 * @source tiff6-1992
 */
function tiffOf({ columns, rows, samples, pitchMm }: GreyImage): Uint8Array {
  const bytesEach = samples instanceof Uint16Array ? 2 : 1;
  const MM_PER_CM = 10;
  const perCm = pitchMm === null ? null : MM_PER_CM / pitchMm;
  const entries: (readonly [tag: number, type: 3 | 4 | 5, value: number])[] = [
    [256, 4, columns],
    [257, 4, rows],
    [258, 3, 8 * bytesEach],
    [259, 3, 1],
    [262, 3, 1],
    [273, 4, 0],
    [277, 3, 1],
    [278, 4, rows],
    [279, 4, columns * rows * bytesEach],
    ...(perCm === null ? [] : [[282, 5, perCm] as const, [283, 5, perCm] as const, [296, 3, 3] as const]),
  ];
  const directoryBytes = 2 + ENTRY_BYTES * entries.length + 4;
  const rationalsAt = 8 + directoryBytes;
  const dataAt = rationalsAt + (perCm === null ? 0 : 16);
  const file = new Uint8Array(dataAt + columns * rows * bytesEach);
  const view = new DataView(file.buffer);
  view.setUint16(0, 0x4949);
  view.setUint16(2, 42, LITTLE);
  view.setUint32(4, 8, LITTLE);
  view.setUint16(8, entries.length, LITTLE);
  let rational = rationalsAt;
  for (const [i, [tag, type, value]] of entries.entries()) {
    const at = 10 + ENTRY_BYTES * i;
    view.setUint16(at, tag, LITTLE);
    view.setUint16(at + 2, type, LITTLE);
    view.setUint32(at + 4, 1, LITTLE);
    if (type === 3) view.setUint16(at + 8, value, LITTLE);
    else if (type === 4) view.setUint32(at + 8, tag === 273 ? dataAt : value, LITTLE);
    else {
      view.setUint32(at + 8, rational, LITTLE);
      view.setUint32(rational, Math.round(value * 1000), LITTLE);
      view.setUint32(rational + 4, 1000, LITTLE);
      rational += 8;
    }
  }
  if (samples instanceof Uint16Array) for (let i = 0; i < samples.length; i++) view.setUint16(dataAt + 2 * i, samples[i] as number, LITTLE);
  else file.set(samples, dataAt);
  return file;
}
