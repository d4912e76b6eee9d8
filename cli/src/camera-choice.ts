/** Which camera is meant: one of a workshop file, or a frame and a focal length given on the spot. */
import { FILM_PLANES, InputError, parseLength } from '#core';
import type { CameraRecord, FilmPlane, Workshop } from '#core';
import { readWorkshopFile } from '#io/node';

/** As the maker wrote them. */
export interface CameraOptions {
  readonly workshop?: string;
  readonly camera?: string;
  readonly frame?: string;
  readonly focalMm?: string;
}

/** A camera of a workshop file. */
export interface CameraOfWorkshop {
  readonly workshop: Workshop;
  readonly record: CameraRecord;
}

/** The camera named by `--workshop FILE --camera NAME`; `null` when no workshop is given. */
export async function cameraOfWorkshop(options: CameraOptions): Promise<CameraOfWorkshop | null> {
  if (options.workshop === undefined) {
    if (options.camera === undefined) return null;
    throw new InputError('missing', '--camera NAME needs --workshop FILE, in which the camera stands.', {
      path: 'workshop',
    });
  }
  const workshop = await readWorkshopFile(options.workshop);
  const names = workshop.cameras.map((camera) => camera.name);
  const wanted = options.camera?.toLowerCase();
  const found =
    wanted === undefined && workshop.cameras.length === 1
      ? workshop.cameras[0]
      : workshop.cameras.find((camera) => camera.name.toLowerCase() === wanted || camera.id === wanted);
  if (found !== undefined) return { workshop, record: found };
  const list = names.length === 0 ? 'It holds no camera.' : `It holds: ${names.join(', ')}.`;
  throw new InputError(
    'unknown-name',
    options.camera === undefined
      ? `Say which camera of ${options.workshop} is meant with --camera NAME. ${list}`
      : `There is no camera named "${options.camera}" in ${options.workshop}. ${list}`,
    { path: 'camera', got: options.camera, expected: names.join(', ') },
  );
}

/** How the film lies: as said, else as the camera has it, else flat. */
export function chosenFilmPlane(word: string | undefined, record: CameraRecord | null): FilmPlane {
  if (word === undefined) return record?.filmPlane?.kind ?? 'flat';
  const found = FILM_PLANES.find((plane) => plane === word.trim().toLowerCase());
  if (found !== undefined) return found;
  throw new InputError('unknown-name', `--film-plane "${word}" is not known. Give ${FILM_PLANES.join(', ')}.`, {
    path: '--film-plane',
    got: word,
    expected: FILM_PLANES.join(', '),
  });
}

/** `127x102`, `127 × 102 mm` or `5in x 4in`: width by height of the image area. */
export function parseFrame(text: string): { readonly widthMm: number; readonly heightMm: number } {
  const sides = text.split(/\s*[x×*]\s*/i);
  const [width, height] = sides;
  if (sides.length !== 2 || !width || !height) {
    throw new InputError('not-understood', `--frame "${text}" was not understood. Give width x height, like 127x102.`, {
      path: 'frame',
      got: text,
      expected: 'width x height, mm',
    });
  }
  const side = (value: string): number => parseLength(value, { defaultUnit: 'mm', path: 'frame' }).mm;
  return { widthMm: side(width), heightMm: side(height) };
}

/** A number of an option, or an InputError that names it. */
export function parseNumber(text: string, option: string): number {
  const value = /^(inf|infinity|∞)$/i.test(text.trim()) ? Infinity : Number(text.trim().replace(',', '.'));
  if (text.trim() === '' || Number.isNaN(value)) {
    throw new InputError('not-understood', `${option} "${text}" is not a number.`, { path: option, got: text });
  }
  return value;
}
