/**
 * How deep the box must be. Along the axis, from the scene to the film: the front board (thickness w), its
 * inner face, the empty inside (what is asked), the seat of the holder on the back of the box, then the
 * holder's own depth T down to the septum that the film lies on.
 *
 *   focal length = s + inside + T − film thickness
 *
 * with s from the inner face forward to the hole's sharp edge: s = w for a hole flush with the outer face, 0 for
 * one on the inner face, negative behind it.
 */
import { InputError, inWords, requirePositive } from '../errors.ts';

export interface FilmSeat {
  /** Holder depth T, from its seating face to the septum, ≥ 0. 0 where the film lies on the box itself. */
  readonly holderDepthMm: number;
  /** Film or paper, ≥ 0: the picture forms on its front. */
  readonly filmThicknessMm: number;
  /** s: the hole's sharp edge in front of the inner face of the front board; negative behind it. */
  readonly plateSeatMm: number;
}

export interface BoxDepth {
  /** Inner face of the front board to the seat of the holder. */
  readonly insideDepthMm: number;
  /** Outer face of the front board to the seat of the holder. */
  readonly outsideDepthMm: number;
  /** What a maker should look at again, as sentences; empty when all is plain. */
  readonly notes: readonly string[];
}

/** @throws InputError negative, out-of-range, conflict */
function requireSeat(seat: FilmSeat): void {
  for (const path of ['holderDepthMm', 'filmThicknessMm'] as const) {
    const got = seat[path];
    if (!(Number.isFinite(got) && got >= 0)) {
      const message = `${inWords(path)} must be 0 mm or more, but is ${got}.`;
      throw new InputError('negative', message, { path, got, expected: '≥ 0 mm' });
    }
  }
  if (!Number.isFinite(seat.plateSeatMm)) {
    throw new InputError('out-of-range', `plateSeatMm must be a finite length, but is ${seat.plateSeatMm}.`, {
      path: 'plateSeatMm',
      got: seat.plateSeatMm,
      expected: 'a finite length, negative behind the board',
    });
  }
  if (seat.holderDepthMm > 0 && seat.filmThicknessMm >= seat.holderDepthMm) {
    throw new InputError(
      'conflict',
      `The film (${seat.filmThicknessMm} mm) is as thick as the holder is deep (${seat.holderDepthMm} mm); `
        + 'film is about 0.2 mm, paper up to 0.4 mm.',
      { path: 'filmThicknessMm', got: seat.filmThicknessMm, expected: `< ${seat.holderDepthMm} mm` },
    );
  }
}

/**
 * Inside depth of the box, from the inner face of the front board to the seat of the holder.
 *   inside = f − T + film thickness − s
 * @param of focal length > 0, holder and film ≥ 0, seat of either sign
 * @throws InputError not-positive, negative, out-of-range, conflict
 * @source camera-notes
 */
export function insideDepthMm(of: FilmSeat & { readonly focalLengthMm: number }): number {
  requirePositive(of.focalLengthMm, 'focalLengthMm', 'mm');
  requireSeat(of);
  const depth = of.focalLengthMm - of.holderDepthMm + of.filmThicknessMm - of.plateSeatMm;
  if (depth > 0) return depth;
  throw new InputError(
    'conflict',
    `With a focal length of ${of.focalLengthMm} mm there is no room for the box: the holder takes `
      + `${of.holderDepthMm} mm and the plate sits ${of.plateSeatMm} mm in front of the inner face. Make the focal `
      + 'length longer or seat the plate further in.',
    { path: 'focalLengthMm', got: of.focalLengthMm, expected: `> ${of.focalLengthMm - depth} mm` },
  );
}

/**
 * Focal length of a box in hand.
 *   f = s + inside + T − film thickness
 * @param of inside depth > 0, holder and film ≥ 0, seat of either sign
 * @throws InputError not-positive, negative, out-of-range, conflict
 * @source camera-notes
 */
export function focalLengthFromInsideDepthMm(of: FilmSeat & { readonly insideDepthMm: number }): number {
  requirePositive(of.insideDepthMm, 'insideDepthMm', 'mm');
  requireSeat(of);
  const focal = of.plateSeatMm + of.insideDepthMm + of.holderDepthMm - of.filmThicknessMm;
  if (focal > 0) return focal;
  throw new InputError(
    'conflict',
    `A plate ${-of.plateSeatMm} mm behind the front board would touch the film in a box `
      + `${of.insideDepthMm} mm deep.`,
    { path: 'plateSeatMm', got: of.plateSeatMm, expected: `> ${of.plateSeatMm - focal} mm` },
  );
}

/**
 * Focal length from the depth that can be measured over all, wood included.
 *   f = s + (outside − w) + T − film thickness
 * @param of outside depth and board > 0, holder and film ≥ 0, seat of either sign
 * @throws InputError not-positive, negative, out-of-range, conflict
 * @source camera-notes
 */
export function focalLengthFromOutsideDepthMm(
  of: FilmSeat & { readonly outsideDepthMm: number; readonly boardThicknessMm: number },
): number {
  requirePositive(of.outsideDepthMm, 'outsideDepthMm', 'mm');
  requirePositive(of.boardThicknessMm, 'boardThicknessMm', 'mm');
  const insideDepth = of.outsideDepthMm - of.boardThicknessMm;
  if (!(insideDepth > 0)) {
    throw new InputError(
      'conflict',
      `A box ${of.outsideDepthMm} mm deep over all has no inside behind a board of ${of.boardThicknessMm} mm.`,
      { path: 'outsideDepthMm', got: of.outsideDepthMm, expected: `> ${of.boardThicknessMm} mm` },
    );
  }
  return focalLengthFromInsideDepthMm({ ...of, insideDepthMm: insideDepth });
}

/**
 * Both depths of the box, with what looks unlikely about it.
 * @param of focal length and board > 0, holder and film ≥ 0, seat of either sign
 * @throws InputError not-positive, negative, out-of-range, conflict
 * @source camera-notes
 */
export function boxDepth(
  of: FilmSeat & { readonly focalLengthMm: number; readonly boardThicknessMm: number },
): BoxDepth {
  requirePositive(of.boardThicknessMm, 'boardThicknessMm', 'mm');
  const inside = insideDepthMm(of);
  const notes: string[] = [];
  const { plateSeatMm: s, boardThicknessMm: w } = of;
  if (s > w) {
    notes.push(`The hole stands ${tidy(s - w)} mm in front of the outer face of the board (seat ${s}, board ${w} mm).`);
  }
  if (s < -5) {
    notes.push(`The hole sits ${tidy(-s)} mm behind the front board: is the sign of the seat right?`);
  }
  if (of.filmThicknessMm > 0.6) {
    notes.push(`A film ${of.filmThicknessMm} mm thick is unusual: film 0.2, paper up to 0.4, glass 1 to 3 mm.`);
  }
  if (of.holderDepthMm > 12) {
    notes.push(`A holder depth of ${of.holderDepthMm} mm is unusual: sheet film holders have 5 to 8 mm.`);
  }
  return { insideDepthMm: inside, outsideDepthMm: inside + w, notes };
}

function tidy(lengthMm: number): string {
  return String(Number(lengthMm.toFixed(2)));
}
