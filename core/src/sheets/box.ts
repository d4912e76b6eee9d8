/**
 * The box in parts: what to saw, from the wood's real thickness, with the joint the maker chose, and the back that holds
 * the film. Every part is an outline with its holes, so that paper, saw list and laser all take the same numbers.
 *
 *   inside depth = f − holder depth + film − seat of the plate (camera/box.ts)
 */
import type { Frame } from '../camera/geometry.ts';
import { InputError } from '../errors.ts';
import type { Place } from './drawing.ts';
import { FORMER_BACK_MM } from './plan.ts';
import type { BuildPlan, Joint } from './plan.ts';

export interface PartHole {
  readonly name: string;
  readonly centre: Place;
  readonly diameterMm: number;
}

export interface BoxPart {
  readonly name: string;
  readonly count: number;
  readonly thicknessMm: number;
  /** Over all, for saw and board. */
  readonly widthMm: number;
  readonly heightMm: number;
  /** Counter-clockwise, lower left corner of the overall rectangle at (0, 0). */
  readonly outline: readonly Place[];
  readonly openings: readonly (readonly Place[])[];
  readonly holes: readonly PartHole[];
  /** Lines to which something is cut half through or glued: rebates, guides. */
  readonly scores: readonly (readonly [Place, Place])[];
  readonly note: string;
}

export interface BoxLayout {
  /** Clear inside the walls. */
  readonly inside: Frame;
  /** Over the walls, as the front board shows. */
  readonly outside: Frame;
  /** Front to back of the side walls. */
  readonly wallDepthMm: number;
  /** True where a board with the frame's opening is the seat; false where the walls' own edges are. */
  readonly hasSeatBoard: boolean;
  readonly parts: readonly BoxPart[];
  readonly notes: readonly string[];
}

/** Round the image, so that walls stay out of the light: common practice, no source. */
const AIR_MM = 5;
/** Beside the holder, for its guides. */
const GUIDE_MM = 10;
/** A spool of 120 film between its flanges and over them: from memory; measure yours. */
const SPOOL_LENGTH_MM = 66;
const SPOOL_ROOM_MM = 30;
const TRAP_MM = 6;

/** Bores for the barrel of a nut with three or four prongs: common practice; measure the one you bought. */
const NUT_BORE_MM = { '1/4': 8, '3/8': 11.5 } as const;

function rectangleOutline(widthMm: number, heightMm: number): readonly Place[] {
  return [[0, 0], [widthMm, 0], [widthMm, heightMm], [0, heightMm]];
}

function centredOpening(widthMm: number, heightMm: number, opening: Frame, shift: Place = [0, 0]): readonly Place[] {
  const [l, b] = [widthMm / 2 + shift[0] - opening.widthMm / 2, heightMm / 2 + shift[1] - opening.heightMm / 2];
  return [[l, b], [l, b + opening.heightMm], [l + opening.widthMm, b + opening.heightMm], [l + opening.widthMm, b]];
}

function circleOutline(centre: Place, diameterMm: number): PartHole {
  return { name: 'opening', centre, diameterMm };
}

function plainPart(name: string, widthMm: number, heightMm: number, thicknessMm: number, more: Partial<BoxPart> = {}): BoxPart {
  return {
    name, count: 1, thicknessMm, widthMm, heightMm, outline: rectangleOutline(widthMm, heightMm), openings: [], holes: [],
    scores: [], note: '', ...more,
  };
}

/**
 * The middle of the frame stands in the middle of the box; the hole stands off it by the shift (turned round: seen from the
 * front). Film bent about the hole keeps the hole in the middle between the walls, whichever part of the bend it fills.
 */
export function holeOnFront(plan: BuildPlan, outside: Frame): Place {
  const { xMm, yMm } = plan.camera.holeShift;
  // The shift is told from the film side; from the front left and right change.
  return [outside.widthMm / 2 - (bent(plan) ? 0 : xMm), outside.heightMm / 2 + yMm];
}

function bent({ camera }: BuildPlan): boolean {
  return camera.filmPlane === 'cylinder';
}

const ARC_STEPS = 60;
const STEEPEST_FORMER_RAD = (88 * Math.PI) / 180;

/**
 * The edge that the film's back lies against: an arc about the hole with the focal length and the film's thickness for radius,
 * as far as the film goes and a little more.
 * @returns half of what it spans, and how far its ends stand before its deepest place
 */
export function formerArc({ camera, filmThicknessMm }: BuildPlan): {
  readonly radiusMm: number;
  readonly halfAngleRad: number;
  readonly halfWidthMm: number;
  readonly sagittaMm: number;
} {
  const radiusMm = camera.focalLengthMm + filmThicknessMm;
  const along = camera.frame.widthMm / 2 + Math.abs(camera.holeShift.xMm) + AIR_MM;
  const halfAngleRad = Math.min(STEEPEST_FORMER_RAD, along / camera.focalLengthMm);
  return { radiusMm, halfAngleRad, halfWidthMm: radiusMm * Math.sin(halfAngleRad), sagittaMm: radiusMm * (1 - Math.cos(halfAngleRad)) };
}

/** Its straight edge lies on the back, its hollow one looks to the hole. */
function formerPart(plan: BuildPlan, widthMm: number): BoxPart {
  const { radiusMm, halfAngleRad, sagittaMm } = formerArc(plan);
  const heightMm = FORMER_BACK_MM + sagittaMm;
  const arc = Array.from({ length: ARC_STEPS + 1 }, (_, i): Place => {
    const angle = halfAngleRad * (1 - (2 * i) / ARC_STEPS);
    return [widthMm / 2 + radiusMm * Math.sin(angle), FORMER_BACK_MM + radiusMm * (1 - Math.cos(angle))];
  });
  return plainPart('former', widthMm, heightMm, plan.boardMm, {
    count: 2,
    outline: [[0, 0], [widthMm, 0], [widthMm, heightMm], ...arc, [0, heightMm]].filter(([x, y], i, all) => {
      const [px, py] = all[(i + all.length - 1) % all.length]!;
      return Math.hypot(x - px, y - py) > 1e-6;
    }) as readonly Place[],
    note: `Hollow edge: radius ${radiusMm.toFixed(2)} mm about the hole. Glue them flat along the lower and the upper edge of the back lid, `
      + 'half a millimetre inside, so that they slide into the box and keep light out there. The back of the film lies against both hollow '
      + 'edges; strips of thin card hold it down along them.',
  });
}

/**
 * All parts of the box.
 * @throws InputError conflict when there is no room for the walls
 */
export function boxLayout(plan: BuildPlan): BoxLayout {
  const t = plan.boardMm;
  const { frame } = plan.camera;
  const roll = plan.back === 'roll-film';
  const air = 2 * (AIR_MM + Math.max(Math.abs(plan.camera.holeShift.xMm), Math.abs(plan.camera.holeShift.yMm)));
  const inside: Frame = bent(plan) ? bentInside(plan) : roll
    ? { widthMm: frame.widthMm + 2 * (SPOOL_ROOM_MM + 3), heightMm: Math.max(frame.heightMm + 2 * AIR_MM, SPOOL_LENGTH_MM) }
    : {
        widthMm: frame.widthMm + air,
        heightMm: Math.max(frame.heightMm + air, plan.holderWidthMm + 2 * GUIDE_MM - 2 * t),
      };
  const outside: Frame = { widthMm: inside.widthMm + 2 * t, heightMm: inside.heightMm + 2 * t };
  const hasSeatBoard = !bent(plan) && plan.insideDepthMm - t >= 8;
  const wallDepthMm = hasSeatBoard ? plan.insideDepthMm - t : plan.insideDepthMm;
  if (!(wallDepthMm > 0)) {
    throw new InputError('conflict', 'The box has no depth: the focal length is too short for this holder and board.', { path: 'focalLengthMm' });
  }
  const walls = wallParts(plan.joint, t, inside, outside, wallDepthMm);
  const middle = holeOnFront(plan, outside);
  const front = withFront(walls.front, plan, middle, outside);
  const notes = [
    ...walls.notes,
    ...(bent(plan)
      ? ['The film is bent about the hole: it lies on two formers, top and bottom, in front of the back lid. Cut it as much higher than the picture as both are thick.']
      : []),
    ...(hasSeatBoard || bent(plan) ? [] : ['The box is so shallow that the edges of its walls are the seat of the film; there is no seat board.']),
    ...(roll && plan.insideDepthMm < SPOOL_ROOM_MM
      ? [`Between front and film are ${plan.insideDepthMm.toFixed(1)} mm, but a spool needs about 27: let the spool chambers stand out to the back.`]
      : []),
  ];
  const nut = NUT_BORE_MM[plan.tripodThread];
  const bottom: BoxPart = {
    ...walls.bottom,
    holes: [{ name: `tripod nut ${plan.tripodThread} in`, centre: [walls.bottom.widthMm / 2, walls.bottom.heightMm / 2], diameterMm: nut }],
    note: `Bore ${nut} mm for the barrel of a ${plan.tripodThread} in nut; one side wall may get a second for upright pictures.`,
  };
  return {
    inside,
    outside,
    wallDepthMm,
    hasSeatBoard,
    parts: [
      front, walls.top, bottom, walls.left, walls.right,
      ...backParts(plan, inside, outside, hasSeatBoard),
      plainPart('pad under the tripod nut', 40, Math.min(40, Math.max(20, wallDepthMm - 4)), t, {
        holes: [{ name: 'tripod nut', centre: [20, Math.min(40, Math.max(20, wallDepthMm - 4)) / 2], diameterMm: nut }],
        note: 'Glued inside on the bottom, so that the nut has wood to hold.',
      }),
    ],
    notes,
  };
}

function withFront(front: BoxPart, plan: BuildPlan, middle: Place, outside: Frame): BoxPart {
  const bore = plan.stack.find(({ farMm }) => farMm < 0)?.openingMm ?? 2 * plan.clearanceMm + plan.camera.hole.diameterMm;
  const off = [(front.widthMm - outside.widthMm) / 2, (front.heightMm - outside.heightMm) / 2] as const;
  const centre: Place = [middle[0] + off[0], middle[1] + off[1]];
  return {
    ...front,
    holes: [circleOutline(centre, bore)],
    note: 'Bore from the outside; bevel or blacken the edge inside.',
  };
}

/** The formers' arc and, for roll film, its spools between the side walls; the formers between the film and top and bottom. */
function bentInside(plan: BuildPlan): Frame {
  const roll = plan.back === 'roll-film';
  const { frame } = plan.camera;
  return {
    widthMm: 2 * formerArc(plan).halfWidthMm + (roll ? 2 * (SPOOL_ROOM_MM + 3) : 2),
    heightMm: Math.max(frame.heightMm + 2 * plan.boardMm, roll ? SPOOL_LENGTH_MM : 0),
  };
}

interface Walls {
  readonly front: BoxPart;
  readonly top: BoxPart;
  readonly bottom: BoxPart;
  readonly left: BoxPart;
  readonly right: BoxPart;
  readonly notes: readonly string[];
}

function wallParts(joint: Joint, t: number, inside: Frame, outside: Frame, depth: number): Walls {
  switch (joint) {
    case 'butt':
      return fourWalls(
        plainPart('front board', outside.widthMm, outside.heightMm, t),
        plainPart('top', outside.widthMm, depth, t),
        plainPart('side', depth, inside.heightMm, t),
        ['Butt joints: the front board covers all four walls, top and bottom cover the sides. Glue and screw, or pin.'],
      );
    case 'rebate': {
      // Half of the wood stays: a rebate t wide and t/2 deep along each edge that takes another board.
      const r = t / 2;
      const strips = (width: number): readonly (readonly [Place, Place])[] => [
        [[t, 0], [t, depth + t]], [[width - t, 0], [width - t, depth + t]], [[0, t], [width, t]],
      ];
      return fourWalls(
        plainPart('front board', inside.widthMm + t, inside.heightMm + t, t),
        plainPart('top', outside.widthMm, depth + t, t, { scores: strips(outside.widthMm), note: `Rebates ${t} wide, ${r} deep along the scored lines, on the inner face.` }),
        plainPart('side', depth + t, inside.heightMm + t, t, { scores: [[[t, 0], [t, inside.heightMm + t]]], note: `Rebate ${t} wide, ${r} deep at the front, on the inner face.` }),
        [`Rebates ${t} mm wide and ${r} mm deep: the front board and the sides sit in them, which keeps light out.`],
      );
    }
    case 'finger': {
      const wide = depth + t;
      const size = Math.max(t, 8);
      return fourWalls(
        fingerPart('front board', outside.widthMm, outside.heightMm, t, size, { bottom: 'out', right: 'out', top: 'out', left: 'out' }),
        fingerPart('top', outside.widthMm, wide, t, size, { bottom: 'in', right: 'out', top: 'plain', left: 'out' }),
        fingerPart('side', wide, outside.heightMm, t, size, { left: 'in', bottom: 'in', top: 'in', right: 'plain' }),
        ['Finger joints for saw jig or laser; the drawn lines already hold half the kerf.'],
      );
    }
  }
}

function fourWalls(front: BoxPart, top: BoxPart, side: BoxPart, notes: readonly string[]): Walls {
  return { front, top, bottom: { ...top, name: 'bottom' }, left: { ...side, name: 'side, left' }, right: { ...side, name: 'side, right' }, notes };
}

type EdgeKind = 'plain' | 'out' | 'in';

/** Odd number of fingers about `wishMm` wide over a length: the same for both boards of a joint. */
export function fingerCount(lengthMm: number, wishMm: number): number {
  return Math.max(3, 2 * Math.floor((lengthMm / wishMm - 1) / 2) + 1);
}

/**
 * A board with fingers. An `out` edge has a finger at each end, an `in` edge a gap: two boards, one of each, close without
 * a gap. Edges along the depth of the box are divided behind the front board only, whose corners it keeps.
 */
function fingerPart(name: string, widthMm: number, heightMm: number, t: number, wishMm: number, edges: Readonly<Record<'bottom' | 'right' | 'top' | 'left', EdgeKind>>): BoxPart {
  // On top and bottom the front is the lower edge, on the sides the left one: the joints along the depth begin behind it.
  const frontAt = name === 'top' ? 'bottom' : name === 'side' ? 'left' : null;
  const spans = (edge: 'bottom' | 'right' | 'top' | 'left'): readonly (readonly [number, number])[] => {
    const kind = edges[edge];
    const length = edge === 'bottom' || edge === 'top' ? widthMm : heightMm;
    if (kind === 'plain') return [[0, length]];
    const along = (frontAt === 'bottom' && (edge === 'left' || edge === 'right')) || (frontAt === 'left' && (edge === 'bottom' || edge === 'top'));
    const from = along ? t : 0;
    const count = fingerCount(length - from, wishMm);
    const step = (length - from) / count;
    return Array.from({ length: count }, (_, i) => i)
      .filter((i) => (i % 2 === 0) === (kind === 'out'))
      .map((i) => [from + i * step, from + (i + 1) * step] as const);
  };
  const full = (edge: 'bottom' | 'right' | 'top' | 'left', at: number): boolean => spans(edge).some(([a, b]) => at > a && at < b);
  const cutsX = cuts(widthMm, t, [...spans('bottom'), ...spans('top')]);
  const cutsY = cuts(heightMm, t, [...spans('left'), ...spans('right')]);
  const solid = (x: number, y: number): boolean => {
    const rules: boolean[] = [];
    if (y < t && edges.bottom !== 'plain') rules.push(full('bottom', x));
    if (y > heightMm - t && edges.top !== 'plain') rules.push(full('top', x));
    if (x < t && edges.left !== 'plain') rules.push(full('left', y));
    if (x > widthMm - t && edges.right !== 'plain') rules.push(full('right', y));
    return rules.every(Boolean);
  };
  return { ...plainPart(name, widthMm, heightMm, t), outline: traced(cutsX, cutsY, solid) };
}

function cuts(lengthMm: number, t: number, spans: readonly (readonly [number, number])[]): readonly number[] {
  const all = [0, t, lengthMm - t, lengthMm, ...spans.flat()].sort((a, b) => a - b);
  return all.filter((value, i) => i === 0 || value - (all[i - 1] ?? 0) > 1e-9);
}

/** Outline of the solid cells of a grid, counter-clockwise, corners only. */
function traced(xs: readonly number[], ys: readonly number[], solid: (x: number, y: number) => boolean): readonly Place[] {
  const mid = (list: readonly number[], i: number): number => ((list[i] ?? 0) + (list[i + 1] ?? 0)) / 2;
  const filled = (i: number, j: number): boolean =>
    i >= 0 && j >= 0 && i < xs.length - 1 && j < ys.length - 1 && solid(mid(xs, i), mid(ys, j));
  // Directed edges with the solid on their left, keyed by where they begin.
  const next = new Map<string, readonly [number, number]>();
  for (let i = 0; i < xs.length - 1; i += 1) {
    for (let j = 0; j < ys.length - 1; j += 1) {
      if (!filled(i, j)) continue;
      if (!filled(i, j - 1)) next.set(`${i},${j}`, [i + 1, j]);
      if (!filled(i + 1, j)) next.set(`${i + 1},${j}`, [i + 1, j + 1]);
      if (!filled(i, j + 1)) next.set(`${i + 1},${j + 1}`, [i, j + 1]);
      if (!filled(i - 1, j)) next.set(`${i},${j + 1}`, [i, j]);
    }
  }
  const first = [...next.keys()][0];
  if (first === undefined) return [];
  const corners: Place[] = [];
  let key = first;
  do {
    const [i, j] = key.split(',').map(Number);
    corners.push([xs[i ?? 0] ?? 0, ys[j ?? 0] ?? 0]);
    const to = next.get(key);
    if (to === undefined) break;
    key = `${to[0]},${to[1]}`;
  } while (key !== first);
  return corners.filter((corner, i) => {
    const before = corners[(i + corners.length - 1) % corners.length] ?? corner;
    const after = corners[(i + 1) % corners.length] ?? corner;
    return Math.abs((corner[0] - before[0]) * (after[1] - corner[1]) - (corner[1] - before[1]) * (after[0] - corner[0])) > 1e-9;
  });
}

/**
 * An outline moved outwards (openings: inwards, given clockwise) by half the width of the cut, so that what the beam leaves
 * has the size asked for. Corners keep their angle.
 */
export function kerfOutline(outline: readonly Place[], kerfMm: number): readonly Place[] {
  if (kerfMm === 0) return outline;
  const half = kerfMm / 2;
  return outline.map((corner, i) => {
    const before = outline[(i + outline.length - 1) % outline.length] ?? corner;
    const after = outline[(i + 1) % outline.length] ?? corner;
    const out = (a: Place, b: Place): Place => {
      const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
      return [(b[1] - a[1]) / length, (a[0] - b[0]) / length];
    };
    const [p, q] = [out(before, corner), out(corner, after)];
    const by = half / (1 + p[0] * q[0] + p[1] * q[1]);
    return [corner[0] + by * (p[0] + q[0]), corner[1] + by * (p[1] + q[1])] as const;
  });
}

function lidTrap(name: string, widthMm: number, heightMm: number): BoxPart {
  return plainPart(name, widthMm, heightMm, 3, { count: 2, note: 'Inside the lid, a lip into the box.' });
}

function backParts(plan: BuildPlan, inside: Frame, outside: Frame, hasSeatBoard: boolean): readonly BoxPart[] {
  const t = plan.boardMm;
  const { frame } = plan.camera;
  const gate: Frame = { widthMm: frame.widthMm + 1, heightMm: frame.heightMm + 1 };
  if (bent(plan)) {
    return [
      formerPart(plan, 2 * formerArc(plan).halfWidthMm + 2),
      plainPart('back lid', outside.widthMm, outside.heightMm, t, {
        note: plan.back === 'roll-film' ? 'Window where the winding sheet says; deep red, with a slide over it.' : 'Holds the formers; taken off in the dark to load.',
      }),
      // Above and below the formers themselves are the lip.
      lidTrap('light trap, short', TRAP_MM, inside.heightMm - 1 - 2 * t),
    ];
  }
  if (plan.back === 'roll-film') {
    const deep = hasSeatBoard ? plan.insideDepthMm - t : plan.insideDepthMm;
    const gateWidth = frame.widthMm + 2 * 3 + 2 * 4;
    return [
      plainPart('film gate', gateWidth, inside.heightMm, t, {
        openings: [centredOpening(gateWidth, inside.heightMm, frame)],
        note: 'The film runs over its back face, which is the film plane; round and polish both upright edges.',
      }),
      plainPart('partition to a spool', Math.max(1, deep), inside.heightMm, 3, { count: 2, note: 'Keeps the light of the hole from the spools.' }),
      plainPart('back lid', outside.widthMm, outside.heightMm, t, { note: 'Window where the winding sheet says; deep red, with a slide over it.' }),
      lidTrap('light trap, long', inside.widthMm - 1, TRAP_MM),
      lidTrap('light trap, short', TRAP_MM, inside.heightMm - 1 - 2 * 3),
    ];
  }
  const seat = plainPart('seat board', outside.widthMm, outside.heightMm, t, {
    openings: [centredOpening(outside.widthMm, outside.heightMm, gate)],
    note: 'The holder lies on its back face: the seat. Line the light trap where your holder has its rib.',
    scores: [-1, 1].map((side) => {
      const y = outside.heightMm / 2 + (side * plan.holderWidthMm) / 2;
      return [[0, y], [outside.widthMm, y]] as const;
    }),
  });
  const guideHeight = Math.max(4, (outside.heightMm - plan.holderWidthMm) / 2 - 0.5);
  return [
    ...(hasSeatBoard ? [seat] : []),
    plainPart('holder guide', outside.widthMm, guideHeight, t, { count: 2, note: 'On the seat, above and below the holder, along the scored lines.' }),
    plainPart('light trap at the stop', 3, Math.max(10, plan.holderWidthMm - 2), 3, { note: 'A lip across the seat that the groove of the holder drops over; its place is that of your holder.' }),
  ];
}

/** One line of the cut list. */
export interface CutLine {
  readonly thicknessMm: number;
  readonly count: number;
  readonly areaMm2: number;
}

/** Totals by thickness: how many pieces, how much wood without the saw's share. */
export function cutTotals(parts: readonly BoxPart[]): readonly CutLine[] {
  const byThickness = new Map<number, { count: number; areaMm2: number }>();
  for (const { thicknessMm, count, widthMm, heightMm } of parts) {
    const line = byThickness.get(thicknessMm) ?? { count: 0, areaMm2: 0 };
    byThickness.set(thicknessMm, { count: line.count + count, areaMm2: line.areaMm2 + count * widthMm * heightMm });
  }
  return [...byThickness].map(([thicknessMm, line]) => ({ thicknessMm, ...line })).sort((a, b) => b.thicknessMm - a.thicknessMm);
}
