/** Sheets 2 and 3: the drilling and layout template of the front, and the parts of the shutter. */
import { boxLayout, holeOnFront } from './box.ts';
import { caution } from './cautions.ts';
import { CENTRE, DRILL, EDGE, HIDDEN, OUTLINE, PHANTOM, Pen, SCORE, THIN } from './drawing.ts';
import type { Drawing, Place } from './drawing.ts';
import { captioned, flowed, lengthsIn, tables, words } from './flow.ts';
import type { Lengths, Room } from './flow.ts';
import type { Leaf } from './page.ts';
import type { BuildPlan, SheetRequest } from './plan.ts';
import { formatAngle } from '../units/angle.ts';

/** Round the opening when the shutter is shut, so that light does not creep round: common practice, no source. */
const OVERLAP_SHUT_MM = 6;
const RAIL_MM = 8;
const SCREW_BORE_MM = 3;
const SCREW_INSET_MM = 5;
/** Lengths that shops keep. */
const SCREW_LENGTHS_MM = [6, 8, 10, 12, 16, 20, 25, 30] as const;
const COVER_MM = 3;

/** Sizes of the shutter that follow from the openings. */
export interface ShutterSizes {
  /** Clear opening of the cover behind the blade. */
  readonly coverOpeningMm: number;
  /** Clear opening of the front plate before the blade. */
  readonly frontOpeningMm: number;
  readonly bladeHeightMm: number;
  readonly bladeLengthMm: number;
  /** From shut to fully open. */
  readonly travelMm: number;
  readonly slotMm: number;
  readonly plateHeightMm: number;
  readonly plateLengthMm: number;
  /** The flap: its height below the hinge, and how far it must swing to leave the cone of view. */
  readonly flapMm: number;
  readonly flapAngleRad: number;
  /** The lever: pivot to the middle of its disc, disc, and swing. */
  readonly leverArmMm: number;
  readonly leverDiscMm: number;
  readonly leverAngleRad: number;
}

/**
 * Travel of a blade without a hole: its edge goes from one opening's edge plus overlap to the other's, O + overlap.
 * A flap hinged g above the cone at its plane clears it at φ = atan s + acos(g / (L √(1 + s²))); a lever's disc leaves
 * the opening when its middle has gone O + overlap: φ = 2 asin((O + overlap) / 2R).
 * @source sheet-notes
 */
export function shutterSizes(plan: BuildPlan): ShutterSizes {
  const { stack, limits, bladeMm, playMm, camera } = plan;
  const openingOf = (name: string): number => stack.find((layer) => layer.name === name)?.openingMm ?? 0;
  const coverOpeningMm = openingOf('cover over the plate');
  const blade = openingOf('shutter blade in its slot');
  const frontOpeningMm = openingOf('front plate');
  const bladeHeightMm = blade + 2 * OVERLAP_SHUT_MM;
  const travelMm = blade + OVERLAP_SHUT_MM;
  const bladeLengthMm = blade + 2 * OVERLAP_SHUT_MM + 16;
  const flapMm = frontOpeningMm + 2 * OVERLAP_SHUT_MM;
  const slope = (limits.diagonal.farthestFilmMm + camera.hole.diameterMm / 2) / limits.diagonal.focalLengthMm;
  const frontFace = Math.max(...stack.map(({ farMm }) => farMm));
  const gap = flapMm / 2 - (camera.hole.diameterMm / 2 + slope * frontFace);
  const flapAngleRad = Math.atan(slope) + Math.acos(Math.max(-1, Math.min(1, gap / (flapMm * Math.hypot(1, slope)))));
  const leverDiscMm = frontOpeningMm + 2 * OVERLAP_SHUT_MM;
  const leverArmMm = Math.max(frontOpeningMm + 2 * OVERLAP_SHUT_MM, leverDiscMm / 2 + 14);
  return {
    coverOpeningMm,
    frontOpeningMm,
    bladeHeightMm,
    bladeLengthMm,
    travelMm,
    slotMm: bladeMm + playMm,
    plateHeightMm: Math.max(bladeHeightMm + playMm + 2 * RAIL_MM, plan.plateBlankMm + 12),
    plateLengthMm: Math.max(bladeLengthMm + travelMm - 16, plan.plateBlankMm + 12),
    flapMm,
    flapAngleRad,
    leverArmMm,
    leverDiscMm,
    leverAngleRad: 2 * Math.asin((frontOpeningMm + OVERLAP_SHUT_MM) / (2 * leverArmMm)),
  };
}

/** Screws of the cover: at the corners round the plate, so that the plate can be changed. */
function coverScrews(size: ShutterSizes): readonly Place[] {
  const [x, y] = [size.plateLengthMm / 2 - SCREW_INSET_MM, size.plateHeightMm / 2 - SCREW_INSET_MM];
  return [[-x, -y], [x, -y], [x, y], [-x, y]];
}

function screws(pen: Pen, places: readonly Place[], off: Place, mirrored: boolean): void {
  for (const [x, y] of places) {
    const at: Place = [off[0] + (mirrored ? -x : x), off[1] + y];
    pen.circle({ ...DRILL, line: 'thin' }, at, SCREW_BORE_MM / 2).cross(at, 3, { ...DRILL, line: 'thin' });
  }
}

function boardView(plan: BuildPlan, lengths: Lengths): Drawing {
  const { outside } = boxLayout(plan);
  const hole = holeOnFront(plan, outside);
  const pen = new Pen();
  pen.rectangle(OUTLINE, 0, 0, outside.widthMm, outside.heightMm);
  const bore = plan.stack.find(({ farMm }) => farMm < 0)?.openingMm ?? 0;
  const p = plan.plateBlankMm;
  if (plan.recessMm > 0) pen.rectangle(SCORE, hole[0] - p / 2 - 0.25, hole[1] - p / 2 - 0.25, p + 0.5, p + 0.5);
  if (bore > 0) pen.circle(EDGE, hole, bore / 2);
  pen.cross(hole, Math.max(bore / 2, p / 2) + 4, { layer: 'drill', line: 'centre' });
  screws(pen, coverScrews(shutterSizes(plan)), hole, false);
  pen.dimension('template, hole from the left edge', [0, hole[1]], hole, outside.heightMm - hole[1] + 7, lengths.bare(hole[0]));
  pen.dimension('template, hole from the lower edge', [hole[0], 0], hole, hole[0] + 7, lengths.bare(hole[1]));
  pen.dimension('template, board width', [0, 0], [outside.widthMm, 0], -7, lengths.bare(outside.widthMm));
  pen.dimension('template, board height', [outside.widthMm, 0], [outside.widthMm, outside.heightMm], -7, lengths.bare(outside.heightMm));
  return captioned('Front board, seen from the front', pen, [
    bore > 0 ? `Bore Ø ${lengths.bare(bore)} through.` : 'The plate lies on the inner face: no bore of its own.',
    plan.recessMm > 0
      ? `Recess ${lengths.bare(p + 0.5)} square (thin lines), ${lengths.bare(plan.recessMm)} deep: the plate lies below the surface.`
      : 'No recess: the plate lies on the face.',
  ]);
}

function coverView(plan: BuildPlan, size: ShutterSizes, lengths: Lengths): Drawing {
  const { plateLengthMm: w, plateHeightMm: h } = size;
  const p = plan.plateBlankMm;
  const pen = new Pen();
  pen.rectangle(EDGE, -w / 2, -h / 2, w, h);
  pen.circle(EDGE, [0, 0], size.coverOpeningMm / 2);
  pen.cross([0, 0], size.coverOpeningMm / 2 + 3, { layer: 'drill', line: 'centre' });
  pen.rectangle(HIDDEN, -p / 2, -p / 2, p, p);
  screws(pen, coverScrews(size), [0, 0], false);
  const [sx, sy] = [w / 2 - SCREW_INSET_MM, h / 2 - SCREW_INSET_MM];
  pen.dimension('template, cover length', [-w / 2, h / 2], [w / 2, h / 2], 13, lengths.bare(w));
  pen.dimension('template, cover height', [-w / 2, -h / 2], [-w / 2, h / 2], 7, lengths.bare(h));
  pen.dimension('template, screws across', [-sx, sy], [sx, sy], SCREW_INSET_MM + 5, lengths.bare(2 * sx));
  pen.dimension('template, screws up', [sx, -sy], [sx, sy], -SCREW_INSET_MM - 6, lengths.bare(2 * sy));
  pen.dimension('template, plate blank', [-p / 2, -p / 2], [p / 2, -p / 2], -(h - p) / 2 - 6, lengths.bare(p));
  return captioned('Cover over the plate, seen from the front', pen, [
    `Opening Ø ${lengths.bare(size.coverOpeningMm)}. Four screws hold it: loosen them and the plate (dashed) can be changed.`,
  ]);
}

function shutterView(plan: BuildPlan, size: ShutterSizes, lengths: Lengths): Drawing {
  const { bladeHeightMm: b, bladeLengthMm: l, travelMm, plateLengthMm: w, coverOpeningMm: o } = size;
  const pen = new Pen();
  const railY = b / 2 + plan.playMm / 2;
  // Shut the blade's middle part lies over the opening; its handle stands out to the right.
  const left = -(b / 2);
  pen.rectangle(OUTLINE, left, -b / 2, l, b);
  pen.rectangle(PHANTOM, left + travelMm, -b / 2, l, b);
  pen.circle(HIDDEN, [0, 0], o / 2);
  for (const y of [railY, -railY - RAIL_MM]) pen.rectangle(THIN, -w / 2, y, w, RAIL_MM);
  pen.dimension('template, shutter travel', [left, -b / 2], [left + travelMm, -b / 2], -RAIL_MM - 7, lengths.bare(travelMm));
  pen.dimension('template, rails apart', [-w / 2, -railY], [-w / 2, railY], 7, lengths.bare(2 * railY));
  return captioned('Rails and travel, shut (thick) and open (double-dotted)', pen, [
    `The blade runs ${lengths.bare(travelMm)} to the right; its left edge must then clear the opening. Pin the end stops there.`,
  ]);
}

function insideView(plan: BuildPlan, size: ShutterSizes, lengths: Lengths): Drawing {
  const bore = plan.stack.find(({ farMm }) => farMm < 0)?.openingMm ?? 0;
  const { plateLengthMm: w, plateHeightMm: h } = size;
  const pen = new Pen();
  if (bore > 0) pen.circle(OUTLINE, [0, 0], bore / 2);
  pen.cross([0, 0], bore / 2 + 4, CENTRE);
  screws(pen, coverScrews(size), [0, 0], true);
  const [sx, sy] = [w / 2 - SCREW_INSET_MM, h / 2 - SCREW_INSET_MM];
  pen.dimension('template, through-points across', [-sx, -sy], [sx, -sy], -8, lengths.bare(2 * sx));
  pen.dimension('template, through-points up', [-sx, -sy], [-sx, sy], 8, lengths.bare(2 * sy));
  return captioned('Where screws come through, seen from the film side', pen, ['Cut off, plug and blacken what shows here.']);
}

export function templateSheet({ plan, lengths: unit }: SheetRequest, room: Room): readonly Leaf[] {
  const lengths = lengthsIn(unit);
  const size = shutterSizes(plan);
  const wood = COVER_MM + plan.boardMm;
  const safe = SCREW_LENGTHS_MM.filter((length) => length <= wood - 1).at(-1);
  const screwRows = SCREW_LENGTHS_MM.map((length) => [
    lengths.bare(length),
    length > wood ? `comes through by ${lengths.full(length - wood)}: cut off, plug, blacken` : length > wood - 1 ? 'ends at the inner face: prick test first' : `stays ${lengths.full(wood - length)} inside the wood`,
  ]);
  return flowed('Front: drilling and layout', '1:1', [
    boardView(plan, lengths),
    coverView(plan, size, lengths),
    shutterView(plan, size, lengths),
    insideView(plan, size, lengths),
    ...tables([
      { title: 'layer', grow: 1 }, { title: 'from', align: 'end' }, { title: 'to', align: 'end' }, { title: 'smallest opening Ø', align: 'end' },
    ], plan.stack.map(({ name, nearMm, farMm, openingMm }) => [name, lengths.bare(nearMm), lengths.bare(farMm), lengths.bare(openingMm)]), room),
    ...(plan.ownLayers.length === 0 ? [] : [
      words([{ text: 'Your layers, from the Front page', bold: true }], room.widthMm),
      ...tables([
        { title: 'layer', grow: 1 }, { title: 'from', align: 'end' }, { title: 'to', align: 'end' }, { title: 'needs Ø', align: 'end' },
        { title: 'has Ø', align: 'end' },
      ], plan.ownLayers.map(({ name, zMm, neededMm, roundOpeningMm }) => [
        name, lengths.bare(zMm[0]), lengths.bare(zMm[1]), lengths.bare(neededMm), roundOpeningMm === null ? '' : lengths.bare(roundOpeningMm),
      ]), room),
    ]),
    words([
      `Distances from the sharp edge of the hole, + to the scene. Openings clear the frame's farthest corner with ${lengths.full(plan.clearanceMm)} all round.`,
      `Screws through cover and board (${lengths.full(wood)} of wood):`
        + (safe === undefined ? ' none of the usual lengths stays inside.' : ` ${lengths.full(safe)} is the longest that stays inside.`),
    ], room.widthMm),
    ...tables([{ title: 'screw', align: 'end' }, { title: 'in this stack', grow: 1 }], screwRows, room),
  ], room);
}

export function shutterSheet({ plan, lengths: unit }: SheetRequest, room: Room): readonly Leaf[] {
  const lengths = lengthsIn(unit);
  const size = shutterSizes(plan);
  const order = { slide: [slideParts, flapParts, leverParts], flap: [flapParts, slideParts, leverParts], pivot: [leverParts, slideParts, flapParts] }[plan.shutter];
  return flowed('Shutter parts', '1:1', [
    ...order.flatMap((parts) => parts(plan, size, lengths)),
    words([
      `Slot ${lengths.full(size.slotMm)} for a blade of ${lengths.full(plan.bladeMm)}: ${lengths.full(plan.playMm)} of play, so that it never rubs over the hole. `
      + `Shut, the blade covers the opening by ${lengths.full(OVERLAP_SHUT_MM)} all round.`,
      'Grain of the blade along its travel; wax it, do not paint the faces that run. Mark "to here and no further". A magnet or a rubber band keeps it shut in the bag.',
      { text: caution(['metal shim, dust, burrs', 'instant glue']), bold: true, aboveMm: 1 },
    ], room.widthMm),
  ], room);
}

function slideParts(plan: BuildPlan, size: ShutterSizes, lengths: Lengths): readonly Drawing[] {
  const { bladeHeightMm: b, bladeLengthMm: l, plateLengthMm: w, plateHeightMm: h } = size;
  const blade = new Pen().rectangle(EDGE, 0, 0, l, b).line(SCORE, [l - 16, 0], [l - 16, b]);
  blade.dimension('slide, blade length', [0, 0], [l, 0], -6, lengths.bare(l));
  blade.dimension('slide, blade height', [0, 0], [0, b], 6, lengths.bare(b));
  const rail = new Pen().rectangle(EDGE, 0, 0, w, RAIL_MM);
  rail.dimension('slide, rail length', [0, 0], [w, 0], -6, lengths.bare(w));
  rail.dimension('slide, rail width', [0, 0], [0, RAIL_MM], 6, lengths.bare(RAIL_MM));
  const front = new Pen().rectangle(EDGE, -w / 2, -h / 2, w, h).circle(EDGE, [0, 0], size.frontOpeningMm / 2);
  front.cross([0, 0], size.frontOpeningMm / 2 + 3, { layer: 'drill', line: 'centre' });
  screws(front, coverScrews(size), [0, 0], false);
  front.dimension('slide, front plate length', [-w / 2, -h / 2], [w / 2, -h / 2], -6, lengths.bare(w));
  front.dimension('slide, front plate height', [-w / 2, -h / 2], [-w / 2, h / 2], 6, lengths.bare(h));
  return [
    captioned('Slide: blade', blade, [`${lengths.full(plan.bladeMm)} thick; the part beyond the scored line is the handle.`]),
    captioned('Slide: 2 × rail', rail, [`${lengths.full(size.slotMm)} thick.`]),
    captioned('Slide: front plate', front, [`${lengths.full(COVER_MM)} thick, opening Ø ${lengths.bare(size.frontOpeningMm)}.`]),
  ];
}

function flapParts(_: BuildPlan, size: ShutterSizes, lengths: Lengths): readonly Drawing[] {
  const side = size.flapMm;
  const pen = new Pen().rectangle(EDGE, 0, 0, side, side + 10).line({ ...SCORE, layer: 'fold', line: 'dashed' }, [0, side], [side, side]);
  pen.circle(HIDDEN, [side / 2, side / 2], size.frontOpeningMm / 2);
  pen.dimension('flap, width', [0, 0], [side, 0], -6, lengths.bare(side));
  pen.dimension('flap, below the hinge', [0, 0], [0, side], 6, lengths.bare(side));
  return [captioned('Flap', pen, [
    `Hinge along the dashed line, above the opening (thin dashes). It must swing ${formatAngle(size.flapAngleRad, { digits: 0 })} from shut to leave the cone of view: give it a stop there.`,
  ])];
}

function leverParts(_: BuildPlan, size: ShutterSizes, lengths: Lengths): readonly Drawing[] {
  const { leverArmMm: arm, leverDiscMm: disc } = size;
  const r = disc / 2;
  const neck = Math.min(6, r * 0.6);
  const end = 8;
  const angle = Math.asin(neck / r);
  const pen = new Pen();
  // The disc, open where the arm joins it, and the arm with its round end at the pivot.
  pen.arc(EDGE, [0, 0], r, -Math.PI / 2 + angle, (3 * Math.PI) / 2 - angle);
  const endAngle = Math.asin(neck / end);
  pen.arc(EDGE, [0, -arm], end, Math.PI / 2 + endAngle, (5 * Math.PI) / 2 - endAngle);
  const [yDisc, yEnd] = [-r * Math.cos(angle), -arm + end * Math.cos(endAngle)];
  for (const side of [-neck, neck]) pen.line(EDGE, [side, yDisc], [side, Math.min(yDisc, yEnd)]);
  pen.circle({ ...DRILL, line: 'thin' }, [0, -arm], 2).cross([0, -arm], 4, { ...DRILL, line: 'thin' });
  pen.circle(HIDDEN, [0, 0], size.frontOpeningMm / 2);
  pen.dimension('lever, pivot to middle', [0, -arm], [0, 0], r + 6, lengths.bare(arm));
  pen.dimension('lever, disc', [-r, 0], [r, 0], r + 5, lengths.bare(disc));
  return [captioned('Pivot lever', pen, [
    `Disc Ø ${lengths.bare(disc)}; swing ${formatAngle(size.leverAngleRad, { digits: 0 })} about the Ø ${lengths.bare(4)} bore, a stop at each end.`,
  ])];
}
