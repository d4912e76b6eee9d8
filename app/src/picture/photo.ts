/** The photograph to be drawn: a file of the maker's, or the demo garden. */
import type { ScenePhotograph } from '#core';

export interface Photo {
  readonly name: string;
  readonly demo: boolean;
  readonly columns: number;
  readonly rows: number;
  readonly samples: Uint8ClampedArray;
}

/** What the demo garden covers, by its recipe. */
export const DEMO_ANGLE_RAD = Math.PI / 2;
/** The main lens of most telephones, about 26 mm on 36 × 24. Common practice, no source. */
export const USUAL_ANGLE_RAD = (69 * Math.PI) / 180;

/** Above this a photograph is taken in smaller: no hole shows more. */
const MOST_PIXELS = 24e6;

async function decoded(bytes: Blob, name: string, demo: boolean): Promise<Photo> {
  const bitmap = await createImageBitmap(bytes);
  const shrink = Math.min(1, Math.sqrt(MOST_PIXELS / (bitmap.width * bitmap.height)));
  const columns = Math.max(1, Math.round(bitmap.width * shrink));
  const rows = Math.max(1, Math.round(bitmap.height * shrink));
  const canvas = new OffscreenCanvas(columns, rows);
  const pen = canvas.getContext('2d', { willReadFrequently: true });
  if (pen === null) {
    throw new Error('This browser gives no canvas to decode the photograph on.');
  }
  pen.drawImage(bitmap, 0, 0, columns, rows);
  bitmap.close();
  const { data } = pen.getImageData(0, 0, columns, rows);
  return { name, demo, columns, rows, samples: data };
}

/** @throws Error with a sentence for the maker */
export async function openPhoto(file: File): Promise<Photo> {
  try {
    return await decoded(file, file.name, false);
  } catch {
    throw new Error(`${file.name} is no photograph this browser can read. Open a JPEG, PNG or WebP.`);
  }
}

export async function demoPhoto(): Promise<Photo> {
  const answer = await fetch(new URL('demo/photographs/walled-garden.jpg', document.baseURI));
  if (!answer.ok) {
    throw new Error('The demo photograph is not at hand. Open a photograph of your own.');
  }
  return decoded(await answer.blob(), 'the walled garden', true);
}

export function sceneOf(photo: Photo, angleRad: number): ScenePhotograph {
  return { columns: photo.columns, rows: photo.rows, channels: 4, samples: photo.samples, angleRad };
}
