/** Several holes in one board: whose light falls on whose frame, and the septum that keeps them apart. */
import { InputError, requirePositive } from '../errors.ts';
import { distanceFromFootMm, frameCorners, requireCamera, requirePoint } from '../camera/geometry.ts';
import type { CameraGeometry, FilmPoint } from '../camera/geometry.ts';
import { lensArea } from '../geometry/regions.ts';
import { parseLength } from '../units/length.ts';

export interface HoleInBoard {
  readonly place: FilmPoint;
  readonly diameterMm: number;
}

/** A round image about each hole's foot: what the layers or the usable angle leave. */
export interface ImageOverlap {
  /** Places of the two holes in the list. */
  readonly first: number;
  readonly second: number;
  /** Of the two image circles on the film. */
  readonly overlapMm2: number;
  /** The overlap's width on the line between the feet; 0: the images do not meet. */
  readonly overlapWidthMm: number;
}

/**
 * Where the image circles of several holes overlap on a flat film: an area of two circles.
 * @param holes 2 or more
 * @param imageCircleMm diameter on the film about each foot, > 0
 * @throws InputError missing, not-positive, out-of-range
 * @source front-notes
 */
export function imageOverlaps(holes: readonly HoleInBoard[], imageCircleMm: number): ImageOverlap[] {
  requirePositive(imageCircleMm, 'imageCircleMm', 'mm');
  if (holes.length < 2) throw new InputError('missing', 'Images overlap from two holes on.', { path: 'holes', got: holes.length });
  const radius = imageCircleMm / 2;
  const found: ImageOverlap[] = [];
  for (const [i, first] of holes.entries()) {
    requirePoint(first.place, `holes[${i}].place`);
    for (let j = i + 1; j < holes.length; j++) {
      const second = holes[j] as HoleInBoard;
      const distance = Math.hypot(second.place.xMm - first.place.xMm, second.place.yMm - first.place.yMm);
      found.push({
        first: i,
        second: j,
        overlapMm2: lensArea(radius, radius, distance),
        overlapWidthMm: Math.max(0, 2 * radius - distance),
      });
    }
  }
  return found;
}

export interface SeptumQuestion {
  readonly focalLengthMm: number;
  /** The holes' places along the line between them, first < second. */
  readonly firstHoleMm: number;
  readonly secondHoleMm: number;
  readonly holeDiameterMm: number;
  /** Outer edges of the two frames on the same line. */
  readonly firstFrameEdgeMm: number;
  readonly secondFrameEdgeMm: number;
  /** Default 0: a thin septum. */
  readonly septumThicknessMm?: number;
}

export interface Septum {
  /** Middle of the septum: where the two frames may meet. */
  readonly placeMm: number;
  /** From the film towards the board at least. */
  readonly lengthMm: number;
  /** May stay open between its front edge and the board. */
  readonly gapToBoardMm: number;
  /** What its thickness keeps from the film: no picture there. */
  readonly lostMm: number;
  /** Half shadow of its front edge on the film, a side: from here on a frame has the whole hole. */
  readonly halfShadowMm: number;
}

/**
 * The septum between two holes: in the middle between them, so long that no ray from one hole reaches the other's frame.
 *   a ray from the hole's nearer rim at x₁ + a to the far frame edge X crosses the septum's face b at f (b − x₁ − a)/(X − x₁ − a) from
 *   the board; the septum must begin at or before that
 * Valid: flat film; the septum touches the film.
 * @param question first hole left of the second, frames reaching past the septum
 * @throws InputError not-positive, conflict
 * @source front-notes
 */
export function septum(question: SeptumQuestion): Septum {
  const { focalLengthMm: f, firstHoleMm, secondHoleMm, holeDiameterMm, firstFrameEdgeMm, secondFrameEdgeMm, septumThicknessMm: thick = 0 } = question;
  requirePositive(f, 'focalLengthMm', 'mm');
  requirePositive(holeDiameterMm, 'holeDiameterMm', 'mm');
  const half = (secondHoleMm - firstHoleMm) / 2;
  const a = holeDiameterMm / 2;
  if (!(half - thick / 2 > a)) {
    throw new InputError('conflict', `Between holes ${2 * half} mm apart there is no room for a septum of ${thick} mm.`, {
      path: 'septumThicknessMm',
      got: thick,
      expected: `< ${2 * (half - a)} mm`,
    });
  }
  const placeMm = firstHoleMm + half;
  if (!(secondFrameEdgeMm > placeMm + thick / 2 && firstFrameEdgeMm < placeMm - thick / 2)) {
    throw new InputError('conflict', 'The frames must lie to both sides of the septum: the first left of it, the second right.', {
      path: 'secondFrameEdgeMm',
      got: [firstFrameEdgeMm, secondFrameEdgeMm],
    });
  }
  // the steepest ray that must be stopped leaves the rim farther from the septum: it meets the septum nearest to the board
  const gap = (reachMm: number): number => (f * (half - thick / 2 + a)) / (reachMm + a);
  const gapToBoardMm = Math.min(gap(secondFrameEdgeMm - firstHoleMm), gap(secondHoleMm - firstFrameEdgeMm), f);
  const face = half - thick / 2;
  // rays from the two rims past the front edge of the septum on its own side
  const behind = f - gapToBoardMm;
  const shadow = (behind * holeDiameterMm) / gapToBoardMm;
  const fromOwn = gapToBoardMm > 0 && face > 0 ? Math.max(0, shadow - (face * behind) / gapToBoardMm) : 0;
  return { placeMm, lengthMm: f - gapToBoardMm, gapToBoardMm, lostMm: thick, halfShadowMm: fromOwn };
}

export interface FrameOverlap {
  readonly first: number;
  readonly second: number;
  /** Of the piece of film that lies in both frames. */
  readonly widthMm: number;
  readonly heightMm: number;
}

/** A wall between neighbours, standing on the film. */
export interface BoardSeptum extends Septum {
  /** The two holes nearest to each other that it parts, as places in the list. */
  readonly first: number;
  readonly second: number;
  /** `upright`: between holes side by side, its place counted to the right; `level`: between holes one above the other, up. */
  readonly stands: 'upright' | 'level';
  /** From where to where it must run along the board: past the frames of all neighbours that it parts. */
  readonly spanMm: readonly [number, number];
}

export interface HoleBoard {
  /** About each hole's foot: as given, else what reaches the corners of a frame. */
  readonly imageCircleMm: number;
  readonly images: readonly ImageOverlap[];
  /** Frames that share film; empty where each has its own. */
  readonly frames: readonly FrameOverlap[];
  readonly septa: readonly BoardSeptum[];
}

/**
 * Walls by the nearest pairs first; a pair that has a wall between its holes already needs none of its own, since its rays cross
 * that wall, or the last one on their way, no nearer to the board than those of the pair it was made for.
 */
function septaOf(camera: CameraGeometry, places: readonly FilmPoint[], more: { readonly holeDiameterMm: number; readonly septumThicknessMm?: number }): BoardSeptum[] {
  const { frame, holeShift } = camera;
  const sizes = { upright: frame.widthMm, level: frame.heightMm };
  const along = ({ xMm, yMm }: FilmPoint, stands: BoardSeptum['stands']): number => (stands === 'upright' ? xMm : yMm);
  // the frame's middle lies beside the hole by its shift, the other way
  const frameOf = (place: FilmPoint, stands: BoardSeptum['stands']): readonly [number, number] => {
    const middle = along(place, stands) - along(holeShift, stands);
    return [middle - sizes[stands] / 2, middle + sizes[stands] / 2];
  };
  const pairs = places
    .flatMap((a, first) => places.slice(first + 1).map((b, i) => ({ a, b, first, second: first + 1 + i })))
    .sort((p, q) => Math.hypot(p.b.xMm - p.a.xMm, p.b.yMm - p.a.yMm) - Math.hypot(q.b.xMm - q.a.xMm, q.b.yMm - q.a.yMm));
  const walls: BoardSeptum[] = [];
  for (const { a, b, first, second } of pairs) {
    const stands = Math.abs(b.xMm - a.xMm) / sizes.upright >= Math.abs(b.yMm - a.yMm) / sizes.level ? 'upright' : 'level';
    const other = stands === 'upright' ? 'level' : 'upright';
    const spans = [...frameOf(a, other), ...frameOf(b, other)];
    const parts = (wall: BoardSeptum): boolean =>
      Math.min(along(a, wall.stands), along(b, wall.stands)) < wall.placeMm && wall.placeMm < Math.max(along(a, wall.stands), along(b, wall.stands));
    const between = walls.findIndex((wall) => wall.stands === stands && parts(wall));
    const standing = walls[between];
    if (standing !== undefined) {
      walls[between] = { ...standing, spanMm: [Math.min(...spans, ...standing.spanMm), Math.max(...spans, ...standing.spanMm)] };
      continue;
    }
    if (walls.some(parts)) continue;
    const [low, high] = along(a, stands) <= along(b, stands) ? [a, b] : [b, a];
    walls.push({
      first,
      second,
      stands,
      spanMm: [Math.min(...spans), Math.max(...spans)],
      ...septum({
        focalLengthMm: camera.focalLengthMm,
        firstHoleMm: along(low, stands),
        secondHoleMm: along(high, stands),
        firstFrameEdgeMm: frameOf(low, stands)[0],
        secondFrameEdgeMm: frameOf(high, stands)[1],
        ...more,
      }),
    });
  }
  return walls.sort((p, q) => (p.stands === q.stands ? p.placeMm - q.placeMm : p.stands === 'upright' ? -1 : 1));
}

/**
 * Several holes in one board, each with a frame of this camera behind it: whose images and frames overlap, and where walls must
 * stand so that no hole lights another's frame.
 * @param camera one hole with its frame; flat film
 * @param of places of the holes on the board, seen from the film side, 2 or more; hole > 0
 * @throws InputError unsupported (bent film), missing, not-positive, out-of-range, conflict
 * @source front-notes
 */
export function holeBoard(
  camera: CameraGeometry,
  of: { readonly places: readonly FilmPoint[]; readonly holeDiameterMm: number; readonly imageCircleMm?: number | null; readonly septumThicknessMm?: number },
): HoleBoard {
  requireCamera(camera);
  if (camera.filmPlane !== undefined && camera.filmPlane !== 'flat') {
    throw new InputError('unsupported', 'Several holes are reckoned for flat film: behind a bent one every hole but that on its axis draws another picture.', {
      path: 'filmPlane',
      got: camera.filmPlane,
    });
  }
  const { frame } = camera;
  const { places, holeDiameterMm } = of;
  const imageCircleMm = of.imageCircleMm ?? 2 * Math.max(...Object.values(frameCorners(frame)).map((corner) => distanceFromFootMm(camera, corner)));
  const images = imageOverlaps(places.map((place) => ({ place, diameterMm: holeDiameterMm })), imageCircleMm);
  const frames = images.flatMap(({ first, second }): FrameOverlap[] => {
    const [a, b] = [places[first] as FilmPoint, places[second] as FilmPoint];
    const widthMm = frame.widthMm - Math.abs(a.xMm - b.xMm);
    const heightMm = frame.heightMm - Math.abs(a.yMm - b.yMm);
    return widthMm > 1e-9 && heightMm > 1e-9 ? [{ first, second, widthMm, heightMm }] : [];
  });
  return {
    imageCircleMm,
    images,
    frames,
    septa: septaOf(camera, places, { holeDiameterMm, ...(of.septumThicknessMm === undefined ? {} : { septumThicknessMm: of.septumThicknessMm }) }),
  };
}

/** `-30,0; 30,0; 0,1 1/2 in`: places of holes, x to the right and y up, seen from the film side. */
export function readPlaces(text: string, path = 'places'): FilmPoint[] {
  return text
    .split(/[;\n]/)
    .map((pair) => pair.trim())
    .filter((pair) => pair !== '')
    .map((pair) => {
      const [x, y, ...more] = pair.split(/\s*,\s*/);
      if (!x || !y || more.length > 0) {
        throw new InputError('not-understood', `“${pair}” is no place: give x,y and a semicolon before the next one, like -30,0; 30,0 (decimals with a point).`, {
          path,
          got: pair,
          expected: 'x,y; x,y',
        });
      }
      return { xMm: parseLength(x, { defaultUnit: 'mm', path }).mm, yMm: parseLength(y, { defaultUnit: 'mm', path }).mm };
    });
}
