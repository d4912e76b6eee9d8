/** Which camera is meant: one of a workshop file, or a frame and a focal length given on the spot. */
import { FILM_PLANES, InputError, UM_PER_MM, formatNumber, parseLength } from '#core';
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

/** Below it a hole is a wavelength or two, above it a window: whoever writes so meant another unit. */
const LEAST_HOLE_MM = 0.001;
const LARGEST_HOLE_MM = 50;

/** The diameter of a hole: a plain number is µm; `0.43mm` and `17thou` are understood, too. Answers in mm. */
export function parseHole(text: string, option: string): number {
  const plain = /^\s*[+-]?[\d.]+e[+-]?\d+\s*$/i.test(text) ? Number(text) / UM_PER_MM : null;
  const mm = plain ?? parseLength(text, { defaultUnit: 'um', path: option }).mm;
  const um = formatNumber(mm * UM_PER_MM, { significant: 3 });
  if (!(mm > 0)) {
    throw new InputError('not-positive', `${option} must be greater than 0 µm, but is ${um} µm.`, { path: option, got: text, expected: '> 0 µm' });
  }
  if (mm < LEAST_HOLE_MM) {
    throw new InputError('out-of-range', `${option} “${text.trim()}” is ${um} µm, less than two wavelengths. Did you mean ${text.trim()} mm? Write ${text.trim()}mm.`, {
      path: option, got: text, expected: 'µm, like 430',
    });
  }
  if (mm > LARGEST_HOLE_MM) {
    throw new InputError('out-of-range', `${option} “${text.trim()}” is ${formatNumber(mm, { significant: 3 })} mm wide, which is no pinhole: give at most ${LARGEST_HOLE_MM} mm.`, {
      path: option, got: text, expected: 'µm, like 430',
    });
  }
  return mm;
}

/** What optics and film are reckoned for here, near ultraviolet to near infrared. */
export function parseWavelengthNm(text: string, option: string): number {
  const nm = parseNumber(text, option);
  if (nm >= 200 && nm <= 1200) return nm;
  throw new InputError('out-of-range', `${option} must lie between 200 and 1200 nm, but is ${text.trim()}. Give it in nanometres, like 550.`, {
    path: option, got: text, expected: '200…1200 nm',
  });
}

/** `127x102`, `127 × 102 mm`, `4x5 in` or `5in x 4in`: width by height of the image area; a unit at the end is that of both. */
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
  const high = parseLength(height, { defaultUnit: 'mm', path: '--frame' });
  const unit = /[a-z"”″'’′µ]/i.test(height) ? high.unit : 'mm';
  return { widthMm: parseLength(width, { defaultUnit: unit, path: '--frame' }).mm, heightMm: high.mm };
}

/** A number of an option, or an InputError that names it. */
export function parseNumber(text: string, option: string): number {
  const value = /^(inf|infinity|∞)$/i.test(text.trim()) ? Infinity : Number(text.trim().replace(',', '.'));
  if (text.trim() === '' || Number.isNaN(value)) {
    throw new InputError('not-understood', `${option} "${text}" is not a number.`, { path: option, got: text });
  }
  return value;
}
