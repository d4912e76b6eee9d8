/**
 * A section through a camera as shapes in millimetres: first axis along the light (0 at the hole's sharp edge,
 * positive to the scene), second axis across it (0 in the middle of the frame). What is not given yet is not drawn.
 */
import { cutDirection, filmCut } from '#core';
import type { CutAlong, FilmPlane } from '#core';

export type Cut = CutAlong;

export interface SectionInput {
  readonly frameWidthMm: number;
  readonly frameHeightMm: number;
  readonly focalLengthMm: number;
  /** Bent film is drawn bent; default flat. */
  readonly filmPlane?: FilmPlane;
  readonly holeShiftXMm: number;
  readonly holeShiftYMm: number;
  readonly woodThicknessMm: number | null;
  readonly holderDepthMm: number | null;
  readonly filmThicknessMm: number;
  readonly plateSeatMm: number;
  /** Larger of cut size and image area: what must find room between the walls. */
  readonly sheetWidthMm: number;
  readonly sheetHeightMm: number;
}

type Corner = readonly [number, number];

export interface Section {
  readonly cut: Cut;
  /** Ends of the image area across the light. */
  readonly film: readonly [number, number];
  /** The image area from its low end to its high one: two corners where it is straight. */
  readonly filmLine: readonly Corner[];
  /** Inside of the can whose wall carries film and hole; `null` for a box. */
  readonly can: readonly Corner[] | null;
  /** The hole across the light. */
  readonly hole: number;
  readonly filmPlane: number;
  /** Back of the film, where the holder's depth ends. */
  readonly filmBack: number;
  /** Where the holder or the back board begins; `null` while the holder's depth is not known. */
  readonly seat: number | null;
  readonly innerFace: number;
  readonly outerFace: number | null;
  /** Inner faces of the walls. */
  readonly walls: readonly [number, number];
  /** Cut wood: side walls, the two halves of the front board, the back board where there is no holder. */
  readonly sideWalls: readonly (readonly Corner[])[];
  readonly frontBoard: readonly (readonly Corner[])[];
  readonly backBoard: readonly Corner[] | null;
  /** Outline of the film holder, drawn as a neighbouring part. */
  readonly holder: readonly Corner[] | null;
  /** Half width of the plate as drawn. */
  readonly plateHalf: number;
  /** Slopes of the two outermost rays (second axis per first axis), lower and upper on the scene side. */
  readonly slopes: readonly [number, number];
}

/** Room between the sheet and the walls as drawn; the real one is the holder's business. */
export const CLEAR_MM = 4;
/** Air between the edge of the light and the edge of an opening as drawn. */
const OPENING_AIR_MM = 1.5;

/** The image area's ends and the hole along the section's second axis. Seen from above, +x points down. */
function across(input: SectionInput, cut: Cut): { half: number; sheetHalf: number; hole: number } {
  switch (cut) {
    case 'vertical':
      return { half: input.frameHeightMm / 2, sheetHalf: input.sheetHeightMm / 2, hole: input.holeShiftYMm };
    case 'horizontal':
      return { half: input.frameWidthMm / 2, sheetHalf: input.sheetWidthMm / 2, hole: -input.holeShiftXMm };
    case 'diagonal': {
      const diagonal = Math.hypot(input.frameWidthMm, input.frameHeightMm);
      const along =
        (input.holeShiftXMm * input.frameWidthMm + input.holeShiftYMm * input.frameHeightMm) / diagonal;
      return { half: diagonal / 2, sheetHalf: Math.hypot(input.sheetWidthMm, input.sheetHeightMm) / 2, hole: along };
    }
  }
}

/** The film where it is bent in this cut; `null` where it is straight. */
function bentFilm(input: SectionInput, cut: Cut, hole: number): readonly Corner[] | null {
  if (input.filmPlane === undefined || input.filmPlane === 'flat' || cut === 'vertical') return null;
  const camera = cameraOf(input);
  return filmCut(camera, cutDirection(camera, cut)).map(({ zMm, acrossMm }) => [zMm, hole + acrossMm] as const);
}

function cameraOf(input: SectionInput) {
  return {
    frame: { widthMm: input.frameWidthMm, heightMm: input.frameHeightMm },
    focalLengthMm: input.focalLengthMm,
    holeShift: { xMm: input.holeShiftXMm, yMm: input.holeShiftYMm },
    filmPlane: input.filmPlane ?? ('flat' as const),
  };
}

/** A can as wide as the focal length, cut: round from above, drawn out corner to corner, two walls from the side. */
function canOf(input: SectionInput, cut: Cut, hole: number, half: number): readonly Corner[] {
  const f = input.focalLengthMm;
  if (cut === 'vertical') {
    const reach = Math.max(half, Math.abs(hole), input.sheetHeightMm / 2) + CLEAR_MM;
    return [[-f, -reach], [0, -reach], [0, reach], [-f, reach]];
  }
  const { xShare } = cutDirection(cameraOf(input), cut);
  return Array.from({ length: 96 }, (_, i): Corner => {
    const angle = (2 * Math.PI * i) / 96;
    return [-f / 2 + (f / 2) * Math.cos(angle), hole + ((f / 2) * Math.sin(angle)) / Math.abs(xShare)];
  });
}

export function sectionOf(input: SectionInput, cut: Cut): Section {
  const { half, sheetHalf, hole } = across(input, cut);
  const f = input.focalLengthMm;
  const wood = input.woodThicknessMm;
  const innerFace = -input.plateSeatMm;
  const can = input.filmPlane === 'can' ? canOf(input, cut, hole, half) : null;
  // a can is no box: what is known of boards and holder has no place in it
  const outerFace = wood === null || can !== null ? null : innerFace + wood;
  const depth = can === null ? input.holderDepthMm : null;
  const seat = depth === null ? null : -f + depth - input.filmThicknessMm;
  const filmLine = bentFilm(input, cut, hole) ?? [[-f, -half], [-f, half]] as const;
  const bent = filmLine.length > 2;
  const [[lowZ, low], [highZ, high]] = [filmLine[0] as Corner, filmLine.at(-1) as Corner];
  const filmHalf = bent ? Math.max(...filmLine.map(([, v]) => Math.abs(v))) : sheetHalf;
  const wallHalf = can === null ? Math.max(filmHalf, Math.abs(hole)) + CLEAR_MM : Math.max(...can.map(([, v]) => Math.abs(v)));
  // the ray to the film's high end comes from below, and the other way round
  const slopes: [number, number] = [(high - hole) / highZ, (low - hole) / lowZ];

  // Edge of the light at a depth z: in front of the hole the picture is upside down.
  const upper = (z: number): number => hole + z * slopes[z >= 0 ? 1 : 0];
  const lower = (z: number): number => hole + z * slopes[z >= 0 ? 0 : 1];
  const plateHalf = Math.min(Math.max(6, half * 0.16), wallHalf * 0.6);

  const frontBoard: Corner[][] = [];
  if (outerFace !== null) {
    const outer = wallHalf + (wood ?? 0);
    const knots = [innerFace, ...(innerFace < 0 && outerFace > 0 ? [0] : []), outerFace];
    const air = OPENING_AIR_MM + Math.min(2, half * 0.02);
    frontBoard.push(
      [[innerFace, outer], ...knots.map((z): Corner => [z, Math.min(outer, upper(z) + air)]), [outerFace, outer]],
      [[innerFace, -outer], ...knots.map((z): Corner => [z, Math.max(-outer, lower(z) - air)]), [outerFace, -outer]],
    );
  }
  const sideWalls: Corner[][] = [];
  if (wood !== null && seat !== null && innerFace > seat) {
    sideWalls.push(
      [[seat, wallHalf], [innerFace, wallHalf], [innerFace, wallHalf + wood], [seat, wallHalf + wood]],
      [[seat, -wallHalf], [innerFace, -wallHalf], [innerFace, -wallHalf - wood], [seat, -wallHalf - wood]],
    );
  }
  const onBackBoard = depth === 0 && seat !== null && wood !== null;
  const backBoard: Corner[] | null = onBackBoard
    ? [[seat, wallHalf + wood], [seat - wood, wallHalf + wood], [seat - wood, -wallHalf - wood], [seat, -wallHalf - wood]]
    : null;
  const holder: Corner[] | null =
    depth !== null && depth > 0 && seat !== null
      ? [
          [seat, wallHalf + (wood ?? 2) * 0.6],
          [seat - 2 * depth, wallHalf + (wood ?? 2) * 0.6],
          [seat - 2 * depth, -wallHalf - (wood ?? 2) * 0.6],
          [seat, -wallHalf - (wood ?? 2) * 0.6],
        ]
      : null;
  return {
    cut, film: [low, high], filmLine, can, hole, filmPlane: -f, filmBack: -f - input.filmThicknessMm, seat, innerFace, outerFace,
    walls: [-wallHalf, wallHalf], sideWalls, frontBoard, backBoard, holder, plateHalf, slopes,
  };
}

export interface SectionExtent {
  readonly back: number;
  readonly front: number;
  readonly half: number;
}

/** The room a section takes, with a piece of the light in front of it. */
export function sectionExtent(section: Section, woodThicknessMm: number | null): SectionExtent {
  const wood = woodThicknessMm ?? 0;
  const backs = [section.filmPlane, ...(section.holder ?? []).map(([z]) => z), ...(section.backBoard ?? []).map(([z]) => z)];
  const back = Math.min(...backs);
  const front = Math.max(0, section.outerFace ?? 0);
  const length = front - back;
  return { back, front: front + Math.max(8, length * 0.3), half: section.walls[1] + wood };
}

/** Where a ray from the hole meets the right-hand end of the drawing or its top or bottom, whichever comes first. */
export function rayEnd(section: Section, which: 0 | 1, extent: SectionExtent): readonly [number, number] {
  const slope = section.slopes[which];
  const limit = slope >= 0 ? extent.half : -extent.half;
  const reach = slope === 0 ? Infinity : (limit - section.hole) / slope;
  const z = Math.min(extent.front, Math.max(reach, section.outerFace ?? 0));
  return [z, section.hole + slope * z];
}
