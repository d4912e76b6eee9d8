/** What a can takes in place of boards: the strip that marks its wall, the paper inside, discs of black paper, a flap of tape. */
import { caution } from './cautions.ts';
import { CENTRE, EDGE, FOLD, HIDDEN, OUTLINE, Pen, THIN } from './drawing.ts';
import { captioned, flowed, lengthsIn, tables, words } from './flow.ts';
import type { Room } from './flow.ts';
import type { Leaf } from './page.ts';
import type { BuildPlan, SheetRequest } from './plan.ts';

/** Round the opening of the wall, so that tape holds and keeps light out: common practice, no source. */
const TAPE_OVERLAP_MM = 12;
const PULL_TAB_MM = 15;
/** Less than the can, so that a disc goes in. */
const DISC_PLAY_MM = 0.5;

/** A can laid flat: the paper's lower edge is its bottom, the hole stands in the middle. */
export interface CanWall {
  /** Round the outside, and round the inside where the paper lies. */
  readonly outsideRoundMm: number;
  readonly insideRoundMm: number;
  /** Between the paper's ends, the hole in its middle. */
  readonly gapMm: number;
  /** The same gap on the outside of the wall. */
  readonly gapOutsideMm: number;
  readonly holeHeightMm: number;
  /** Of the hole from the middle of that gap, on the outside, to the right as seen from outside. */
  readonly holeAsideMm: number;
  readonly openingMm: number;
}

/**
 * The hole of a can is behind the point of the paper that lies opposite: half the way round. What is seen at one angle from
 * the can's middle is longer outside than inside by the wall.
 * @param plan of a camera whose film lies along a can
 * @source sheet-notes
 */
export function canWall({ camera, boardMm, stack }: BuildPlan): CanWall {
  const { frame, focalLengthMm: inside, holeShift } = camera;
  const outside = inside + 2 * boardMm;
  const gapMm = Math.PI * inside - frame.widthMm;
  return {
    outsideRoundMm: Math.PI * outside,
    insideRoundMm: Math.PI * inside,
    gapMm,
    gapOutsideMm: (gapMm * outside) / inside,
    holeHeightMm: frame.heightMm / 2 + holeShift.yMm,
    // the foot to the right of the paper's middle, seen from behind, leaves the hole to the right of the gap's, seen from outside
    holeAsideMm: (holeShift.xMm * outside) / inside,
    openingMm: stack[0]?.openingMm ?? 0,
  };
}

/** The wall's strip, 1:1. */
export function canWallSheet({ plan, lengths: unit }: SheetRequest, room: Room): readonly Leaf[] {
  const lengths = lengthsIn(unit);
  const wall = canWall(plan);
  const [l, top] = [wall.outsideRoundMm, Math.max(plan.camera.frame.heightMm, wall.holeHeightMm + wall.openingMm / 2 + 8)];
  const x = l / 2 + wall.holeAsideMm;
  const pen = new Pen().rectangle(EDGE, 0, 0, l, top);
  pen.circle(EDGE, [x, wall.holeHeightMm], wall.openingMm / 2).cross([x, wall.holeHeightMm], wall.openingMm / 2 + 4, { layer: 'drill', line: 'centre' });
  for (const side of [-1, 1]) {
    const end = l / 2 + (side * wall.gapOutsideMm) / 2;
    pen.line(HIDDEN, [end, 0], [end, top]);
  }
  pen.dimension('can, round the outside', [0, 0], [l, 0], -14, lengths.bare(l));
  pen.dimension('can, hole over the lower edge', [x, 0], [x, wall.holeHeightMm], x + 7, lengths.bare(wall.holeHeightMm));
  pen.dimension('can, between the ends of the paper', [l / 2 - wall.gapOutsideMm / 2, 0], [l / 2 + wall.gapOutsideMm / 2, 0], -6, lengths.bare(wall.gapOutsideMm));
  return flowed('Wall of the can', '1:1', [
    captioned('Strip round the can, seen from outside', pen, [
      'Its ends meet at the back, where the middle of the paper lies inside. Dashed: where the paper ends inside.',
    ]),
    words([
      { text: `For a can ${lengths.full(plan.camera.focalLengthMm)} wide inside with a wall of ${lengths.full(plan.boardMm)}: ${lengths.full(wall.insideRoundMm)} round inside. `
        + `The ends of the strip must just meet; where they do not, measure the can and print again.` },
      ...plan.assumed,
      { text: 'Wrap it round the can with its lower edge as high as the bottom lies inside, and tape it. Prick the middle of the cross.', mark: '1.' },
      { text: `Open the wall to ${lengths.full(wall.openingMm)} there, from a block of wood held inside, and file the edge: it clears the view with ${lengths.full(plan.clearanceMm)} all round.`, mark: '2.' },
      { text: 'Tape the plate inside, its hole in the middle of the opening, the sharp edge to the paper. Black tape round it, and over the can\'s seam.', mark: '3.' },
      { text: `Can edges cut: gloves, file, tape. ${caution(['metal shim, dust, burrs'])}`, bold: true, aboveMm: 1 },
    ], room.widthMm),
  ], room);
}

/** The flap that shuts it, 1:1. */
export function canFlapSheet({ plan, lengths: unit }: SheetRequest, room: Room): readonly Leaf[] {
  const lengths = lengthsIn(unit);
  const { openingMm } = canWall(plan);
  const side = openingMm + 2 * TAPE_OVERLAP_MM;
  const pen = new Pen().rectangle(EDGE, 0, 0, side, side + PULL_TAB_MM).line(FOLD, [0, PULL_TAB_MM], [side, PULL_TAB_MM]);
  pen.circle(HIDDEN, [side / 2, PULL_TAB_MM + side / 2], openingMm / 2);
  pen.dimension('flap of tape, width', [0, 0], [side, 0], -6, lengths.bare(side));
  pen.dimension('flap of tape, height', [0, 0], [0, side + PULL_TAB_MM], 6, lengths.bare(side + PULL_TAB_MM));
  return flowed('Shutter parts', '1:1', [
    captioned('Flap of black tape', pen, ['Folded on itself below the dashed line: the tab to pull. Thin dashes: the opening.']),
    words([
      `It covers the opening by ${lengths.full(TAPE_OVERLAP_MM)} all round. Nothing slides, nothing stands before the hole when it is off.`,
      'Rub it down before you carry the can. Where it is to come off in half a year, fold the tab twice and tape the corners only.',
    ], room.widthMm),
  ], room);
}

/** Paper and discs, 1:1. */
export function canPaperSheet({ plan, lengths: unit }: SheetRequest, room: Room): readonly Leaf[] {
  const lengths = lengthsIn(unit);
  const { frame, focalLengthMm: inside, holeShift } = plan.camera;
  const wall = canWall(plan);
  const [w, h] = [frame.widthMm, frame.heightMm];
  // Seen from the emulsion, the hole's side: left and right change.
  const foot = [w / 2 - holeShift.xMm, h / 2 + holeShift.yMm] as const;
  const paper = new Pen().rectangle(OUTLINE, 0, 0, w, h).line(CENTRE, [foot[0], 0], [foot[0], h]);
  paper.cross(foot, 5, THIN);
  paper.dimension('can, paper width', [0, 0], [w, 0], -6, lengths.bare(w));
  paper.dimension('can, paper height', [0, 0], [0, h], 6, lengths.bare(h));
  const discMm = inside - DISC_PLAY_MM;
  const disc = new Pen().circle(EDGE, [0, 0], discMm / 2).cross([0, 0], 4, THIN);
  disc.dimension('can, disc', [-discMm / 2, 0], [discMm / 2, 0], -discMm / 2 - 6, lengths.bare(discMm));
  return flowed('Can: paper and discs', '1:1', [
    ...tables([{ title: 'of the can', grow: 1 }, { title: 'length', align: 'end' }], [
      ['wide inside, which is the focal length', lengths.bare(inside)],
      ['round inside', lengths.bare(wall.insideRoundMm)],
      ['paper along the wall', lengths.bare(w)],
      ['gap between its ends, the hole in it', lengths.bare(wall.gapMm)],
      ['hole over the paper\'s lower edge', lengths.bare(wall.holeHeightMm)],
    ], room),
    captioned('Paper laid flat, emulsion up', paper, ['The cross lies opposite the hole. Tape all four corners.']),
    captioned('2 × disc of black paper', disc, ['For the bottom and the lid, so that nothing shines.']),
  ], room);
}
