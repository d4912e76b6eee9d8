/**
 * What the sheets are about: one camera, and how its maker builds it. What is not said is taken from common practice and
 * named as such on the sheet, so that nobody saws by a number that nobody gave.
 */
import { boxDepth } from '../camera/box.ts';
import type { CameraLight } from '../camera/camera-light.ts';
import { requireCamera } from '../camera/geometry.ts';
import type { CameraGeometry, FilmPlane, FilmPoint, Frame } from '../camera/geometry.ts';
import { InputError, requirePositive } from '../errors.ts';
import { viewLimits } from '../front/gauge.ts';
import type { GaugePlane, ViewLimit } from '../front/gauge.ts';
import { smallestRoundOpeningMm } from '../front/openings.ts';
import type { BoardPlace } from '../exposure/cards.ts';
import type { Film } from '../exposure/film.ts';
import { formatAngle } from '../units/angle.ts';
import { parseLength } from '../units/length.ts';

export interface SheetHole {
  readonly diameterMm: number;
  /** k = 1; `null` when not known. */
  readonly standardUncertaintyMm: number | null;
  /** False: the best hole for the focal length, none being measured; or as stated. */
  readonly measured: boolean;
  /** Not measured, but as large as the f-number says that the maker stated. */
  readonly stated?: true;
  readonly plateName: string | null;
  /** ISO 8601; when the plate was put in. */
  readonly mountedAt: string | null;
}

export interface SheetCamera {
  readonly name: string;
  readonly frame: Frame;
  readonly focalLengthMm: number;
  readonly holeShift: FilmPoint;
  readonly hole: SheetHole;
  readonly formatName: string | null;
  readonly formatId: string | null;
  readonly cutSize: Frame | null;
  readonly film: Film | null;
  /** What the best hole is reckoned for; absent: light of 550 nm. */
  readonly light?: CameraLight;
  readonly exposureIndex: number | null;
  readonly wood: string | null;
  readonly boardThicknessMm: number | null;
  readonly holderDepthMm: number | null;
  readonly filmThicknessMm: number | null;
  readonly plateSeatMm: number | null;
  /** Default flat. */
  readonly filmPlane?: FilmPlane;
  /** The front as it is on the bench, from the maker's own measuring; absent: the sheets' own stack stands alone. */
  readonly layers?: readonly SheetLayer[];
}

/** A layer of the maker's: its faces from the hole's sharp edge, + to the scene, and its opening where it is round. */
export interface SheetLayer {
  readonly name: string;
  readonly zMm: readonly [near: number, far: number];
  readonly roundOpeningMm: number | null;
}

export const JOINTS = ['butt', 'rebate', 'finger'] as const;
export type Joint = (typeof JOINTS)[number];
export const SHUTTERS = ['slide', 'flap', 'pivot'] as const;
export type ShutterKind = (typeof SHUTTERS)[number];

/** A board the maker owns. */
export interface OwnedBoard {
  readonly name: string;
  readonly lengthMm: number;
  readonly widthMm: number;
  readonly thicknessMm: number;
  readonly count: number;
}

/** How the camera is built; what is absent is chosen and told. */
export interface BuildChoices {
  readonly joint?: Joint;
  readonly shutter?: ShutterKind;
  readonly back?: 'holder' | 'roll-film';
  /** Width of the laser's cut; drawn lines are moved out by half of it. */
  readonly kerfMm?: number;
  /** Width of the saw's cut, between parts on a board. */
  readonly sawKerfMm?: number;
  readonly boards?: readonly OwnedBoard[];
  /** Of the holder, across the way it slides. */
  readonly holderWidthMm?: number;
  readonly tripodThread?: '1/4' | '3/8';
  /** Side of the square plate blank. */
  readonly plateBlankMm?: number;
  /** Play of the shutter blade, so that it never rubs. */
  readonly shutterPlayMm?: number;
  readonly shutterBladeMm?: number;
  /** Round the clear cone, against centring errors. */
  readonly clearanceMm?: number;
  readonly gaugeHeightMm?: number;
  /** Of the roll-film spool's core, and of film and paper together. */
  readonly spoolCoreMm?: number;
  readonly rollThicknessMm?: number;
  /** Cameras of a class, each with its own hole; absent: twenty like this one. */
  readonly boardPlaces?: readonly BoardPlace[];
  readonly contact?: string;
  /** ISO dates of a long exposure. */
  readonly from?: string;
  readonly to?: string;
}

/**
 * Boards as a maker writes them: `600x300x6`, or `2*600x300x6; 4 in x 20 in x 3/4 in`: length, width, thickness.
 * @throws InputError not-understood, and as `parseLength`
 */
export function parseBoards(text: string, path = 'boards', defaultUnit: 'mm' | 'in' = 'mm'): readonly OwnedBoard[] {
  return text.split(/[;,]\s*/).filter((one) => one.trim() !== '').map((one, i) => {
    const match = /^(?:(\d{1,4})\s*\*\s*)?([^x×]+)[x×]([^x×]+)[x×]([^x×]+)$/i.exec(one.trim());
    const [, count = '1', length, width, thickness] = match ?? [];
    if (length === undefined || width === undefined || thickness === undefined) {
      throw new InputError(
        'not-understood',
        `The board “${one.trim()}” was not understood. Give length x width x thickness, like 2*600x300x6.`,
        { path, got: one, expected: 'length x width x thickness' },
      );
    }
    const mm = (part: string): number => parseLength(part.trim(), { defaultUnit, path }).mm;
    return { name: `board ${i + 1}`, lengthMm: mm(length), widthMm: mm(width), thicknessMm: mm(thickness), count: Number(count) };
  });
}

/** One layer of the front stack, from `nearMm` to `farMm` before (+) or behind (−) the hole's sharp edge. */
export interface StackLayer {
  readonly name: string;
  readonly nearMm: number;
  readonly farMm: number;
  /** Smallest round opening that clears every corner, clearance included. */
  readonly openingMm: number;
}

export interface BuildPlan {
  readonly camera: SheetCamera;
  readonly geometry: CameraGeometry;
  readonly joint: Joint;
  readonly shutter: ShutterKind;
  readonly back: 'holder' | 'roll-film';
  readonly boardMm: number;
  readonly kerfMm: number;
  readonly sawKerfMm: number;
  readonly boards: readonly OwnedBoard[];
  readonly holderWidthMm: number;
  readonly tripodThread: '1/4' | '3/8';
  readonly plateBlankMm: number;
  readonly bladeMm: number;
  readonly playMm: number;
  readonly clearanceMm: number;
  /** What bounds the view across, up and to the corner seen farthest aside, as far as it is kept clear. */
  readonly limits: Readonly<Record<GaugePlane, ViewLimit>>;
  /** Sharp edge in front of the inner face of the front board. */
  readonly seatMm: number;
  /** From the outer face of the board down to the plate; 0 where the plate is not let in from the front. */
  readonly recessMm: number;
  readonly insideDepthMm: number;
  readonly holderDepthMm: number;
  readonly filmThicknessMm: number;
  readonly stack: readonly StackLayer[];
  /** The maker's own layers with what each of them needs. */
  readonly ownLayers: readonly (SheetLayer & { readonly neededMm: number })[];
  /** Sentences: what was assumed because nobody said it. */
  readonly assumed: readonly string[];
  readonly choices: BuildChoices;
}

/** Common practice, no source: 6 mm birch ply is what most small boxes are made of. */
const USUAL_BOARD_MM = 6;
/** Tinplate of a food or tea can; from memory, measure yours. */
const USUAL_CAN_WALL_MM = 0.25;
/** Flatter rays are lost in the thickness of any plate that can be drilled: judgement, no source. */
const FLATTEST_CLEAR_RAD = (80 * Math.PI) / 180;
const COVER_MM = 3;
/** Wood behind the deepest place of a former's curve, so that it is not weak there. */
export const FORMER_BACK_MM = 10;
const USUAL_SPOOL_CORE_MM = 11.5;

/**
 * Everything the true-scale sheets need, with what had to be assumed.
 * @throws InputError not-positive, negative, out-of-range, conflict
 */
export function planOf(camera: SheetCamera, choices: BuildChoices): BuildPlan {
  const filmPlane = camera.filmPlane ?? 'flat';
  const geometry: CameraGeometry = { frame: camera.frame, focalLengthMm: camera.focalLengthMm, holeShift: camera.holeShift, filmPlane };
  requireCamera(geometry);
  requirePositive(camera.hole.diameterMm, 'diameterMm', 'mm');
  requireChoices(choices);
  const assumed: string[] = [];
  const or = <Value>(value: Value | null | undefined, usual: Value, sentence: string): Value => {
    if (value !== null && value !== undefined) return value;
    assumed.push(sentence);
    return usual;
  };
  const boardMm = filmPlane === 'can'
    ? or(camera.boardThicknessMm, USUAL_CAN_WALL_MM, `Wall of the can taken as ${USUAL_CAN_WALL_MM} mm thick: measure yours.`)
    : or(camera.boardThicknessMm, USUAL_BOARD_MM, `Boards taken as ${USUAL_BOARD_MM} mm: measure yours by caliper.`);
  requirePositive(boardMm, 'boardThicknessMm', 'mm');
  const back = choices.back ?? (camera.formatId?.startsWith('120') === true ? 'roll-film' : 'holder');
  // Bent film lies on formers or on the wall of the can itself.
  const held = filmPlane === 'flat' && back === 'holder';
  const holderDepthMm = held
    ? or(camera.holderDepthMm, 5, 'Holder depth taken as 5 mm (0.197 in): measure yours from seat to septum.')
    : filmPlane === 'flat' ? (camera.holderDepthMm ?? 0) : 0;
  const filmThicknessMm = or(camera.filmThicknessMm, 0.2, 'Film or paper taken as 0.2 mm thick.');
  const seatMm = filmPlane === 'can'
    ? or(camera.plateSeatMm, 0, 'Plate taken as taped to the inside of the wall.')
    : or(camera.plateSeatMm, Math.max(0, boardMm - 1.5), 'Plate taken as let in 1.5 mm from the front of the board.');
  const cut = camera.cutSize ?? { widthMm: camera.frame.widthMm + 5, heightMm: camera.frame.heightMm + 5 };
  const holderWidthMm = held
    ? or(choices.holderWidthMm, cut.heightMm + 20, 'Holder taken as 20 mm wider than the sheet: measure yours.')
    : 0;
  const depth = boxDepth({
    focalLengthMm: camera.focalLengthMm, holderDepthMm, filmThicknessMm, plateSeatMm: seatMm, boardThicknessMm: boardMm,
  });
  const limits = clearLimits(geometry, camera.hole.diameterMm, assumed);
  const corner = limits.diagonal;
  const endsMm = Math.min(limits.horizontal.focalLengthMm, corner.focalLengthMm);
  if (filmPlane !== 'flat' && endsMm <= seatMm) {
    throw new InputError(
      'conflict',
      `The ends of the bent film would come to ${endsMm.toFixed(1)} mm behind the hole, but the inner face of the ${filmPlane === 'can' ? 'wall' : 'front board'} is ${seatMm} mm behind it: `
        + 'take thinner boards, seat the plate farther in, or take less film.',
      { path: 'plateSeatMm', got: seatMm, expected: `< ${endsMm.toFixed(1)} mm` },
    );
  }
  const clearanceMm = choices.clearanceMm ?? 1;
  const bladeMm = choices.shutterBladeMm ?? 2;
  const playMm = choices.shutterPlayMm ?? 0.5;
  const opening = (zMm: number): number => smallestRoundOpeningMm({
    zMm, farthestFilmMm: corner.farthestFilmMm, focalLengthMm: corner.focalLengthMm, holeDiameterMm: camera.hole.diameterMm,
    decentringMm: clearanceMm,
  });
  const frontFaceMm = Math.max(0, boardMm - seatMm);
  // A can is shut by a flap of tape on its wall.
  const faces = filmPlane === 'can' ? [['wall of the can', -seatMm, boardMm] as const] : [
    ['cover over the plate', frontFaceMm, COVER_MM] as const,
    ['shutter blade in its slot', frontFaceMm + COVER_MM, bladeMm + playMm] as const,
    ['front plate', frontFaceMm + COVER_MM + bladeMm + playMm, COVER_MM] as const,
  ];
  const stack: StackLayer[] = [
    ...(filmPlane !== 'can' && seatMm > 0 ? [{ name: 'hole in the board', nearMm: 0, farMm: -seatMm, openingMm: opening(-seatMm) }] : []),
    ...faces.map(([name, nearMm, thickMm]) => ({ name, nearMm, farMm: nearMm + thickMm, openingMm: opening(nearMm + thickMm) })),
  ];
  const widest = Math.max(...stack.map(({ openingMm }) => openingMm));
  return {
    camera,
    geometry,
    joint: choices.joint ?? 'butt',
    shutter: choices.shutter ?? 'slide',
    back,
    boardMm,
    kerfMm: choices.kerfMm ?? ((choices.joint ?? 'butt') === 'finger' ? 0.15 : 0),
    sawKerfMm: choices.sawKerfMm ?? 3,
    boards: choices.boards ?? [],
    holderWidthMm,
    tripodThread: choices.tripodThread ?? '1/4',
    plateBlankMm: choices.plateBlankMm ?? Math.max(25, Math.ceil(opening(-Math.max(seatMm, 0)) + 10)),
    bladeMm,
    playMm,
    clearanceMm,
    limits,
    seatMm,
    recessMm: frontFaceMm,
    insideDepthMm: depth.insideDepthMm + (filmPlane === 'cylinder' ? FORMER_BACK_MM : 0),
    holderDepthMm,
    filmThicknessMm,
    stack,
    ownLayers: (camera.layers ?? []).map((layer) => ({ ...layer, neededMm: Math.max(...layer.zMm.map(opening)) })),
    assumed: [...assumed, ...depth.notes, ...wideNotes(widest, camera.frame)],
    choices,
  };
}

/** The view's bounds in each plane; what is seen flatter than any plate lets through is told and left out. */
function clearLimits(geometry: CameraGeometry, holeDiameterMm: number, assumed: string[]): BuildPlan['limits'] {
  const steepest = Math.tan(FLATTEST_CLEAR_RAD);
  const seen = viewLimits(geometry, holeDiameterMm);
  const kept = seen.map((limit) => (limit.farthestFilmMm <= steepest * limit.focalLengthMm
    ? limit
    : { ...limit, farthestFilmMm: steepest * geometry.focalLengthMm, focalLengthMm: geometry.focalLengthMm }));
  if (kept.some((limit, i) => limit !== seen[i])) {
    const flattest = Math.max(...seen.map(({ farthestFilmMm, focalLengthMm }) => Math.atan(farthestFilmMm / focalLengthMm)));
    assumed.push(`The film reaches to ${formatAngle(flattest, { digits: 0 })} off the axis: gauge, openings and view lines stop at `
      + `${formatAngle(FLATTEST_CLEAR_RAD, { digits: 0 })}, because the plate's own thickness takes what comes flatter.`);
  }
  return Object.fromEntries(kept.map((limit) => [limit.plane, limit])) as BuildPlan['limits'];
}

function wideNotes(widestMm: number, frame: Frame): readonly string[] {
  const least = Math.min(frame.widthMm, frame.heightMm);
  if (widestMm < least) return [];
  return [`The widest opening is ${widestMm.toFixed(1)} mm, as large as the frame itself: use a thinner stack or bevel it.`];
}

function requireChoices(choices: BuildChoices): void {
  const lengths = [
    ['kerfMm', choices.kerfMm, true], ['sawKerfMm', choices.sawKerfMm, true], ['holderWidthMm', choices.holderWidthMm, false],
    ['plateBlankMm', choices.plateBlankMm, false], ['shutterPlayMm', choices.shutterPlayMm, true],
    ['shutterBladeMm', choices.shutterBladeMm, false], ['clearanceMm', choices.clearanceMm, true],
    ['gaugeHeightMm', choices.gaugeHeightMm, false], ['spoolCoreMm', choices.spoolCoreMm, false],
    ['rollThicknessMm', choices.rollThicknessMm, false],
  ] as const;
  for (const [path, got, zeroAllowed] of lengths) {
    if (got === undefined) continue;
    if (zeroAllowed && got === 0) continue;
    requirePositive(got, path, 'mm');
  }
  for (const { name, lengthMm, widthMm, thicknessMm, count } of choices.boards ?? []) {
    requirePositive(lengthMm, `board ${name}, length`, 'mm');
    requirePositive(widthMm, `board ${name}, width`, 'mm');
    requirePositive(thicknessMm, `board ${name}, thickness`, 'mm');
    if (!Number.isInteger(count) || count < 1 || count > 1000) {
      throw new InputError('out-of-range', `Board ${name}: say how many of it there are, from 1 to 1000.`, { path: 'boards', got: count });
    }
  }
}

/** Core of the take-up spool: from memory, common practice; measure yours. */
export function spoolCoreMm(plan: BuildPlan): number {
  return plan.choices.spoolCoreMm ?? USUAL_SPOOL_CORE_MM;
}

/** Film and backing paper together: from memory, common practice; measure ten layers of yours. */
export function rollThicknessMm(plan: BuildPlan): number {
  return plan.choices.rollThicknessMm ?? 0.21;
}

/** What every builder of a sheet is given. */
export interface SheetRequest {
  readonly plan: BuildPlan;
  readonly lengths: 'mm' | 'in';
  /** ISO 8601. */
  readonly date: string;
}
