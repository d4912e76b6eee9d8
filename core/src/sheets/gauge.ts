/**
 * Sheet 1: the gauge of the clear view, cut from card. Its flanks lie on the true cone of the hole, half width
 * d/2 + z (D/2 + d/2)/f at the distance z; the tip is cut away and feet stand on the plate, so that nothing touches the rim.
 */
import { clearHalfWidthMm, flatWedgeAlarmMm } from '../front/gauge.ts';
import type { ViewLimit } from '../front/gauge.ts';
import { formatAngle } from '../units/angle.ts';
import { EDGE, FIGURE_MM, FOLD, Pen, SCORE } from './drawing.ts';
import type { Drawing, Place } from './drawing.ts';
import { captioned, flowed, lengthsIn, words } from './flow.ts';
import type { Lengths, Room } from './flow.ts';
import { printable, textWidthMm } from './letters.ts';
import type { Leaf } from './page.ts';
import type { BuildPlan, SheetRequest } from './plan.ts';

/** The clear view along one direction of the frame. */
export interface ClearCone {
  readonly diameterMm: number;
  /** From the foot of the hole to the farthest film point in this direction: D/2. */
  readonly halfFrameMm: number;
  readonly focalLengthMm: number;
}

/** Half width of the clear cone at a distance in front of the hole. */
export function halfWidthAtMm({ diameterMm, halfFrameMm, focalLengthMm }: ClearCone, distanceMm: number): number {
  return clearHalfWidthMm({ zMm: distanceMm, focalLengthMm, holeDiameterMm: diameterMm, farthestFilmMm: halfFrameMm });
}

function slopeOf({ diameterMm, halfFrameMm, focalLengthMm }: ClearCone): number {
  return (halfFrameMm + diameterMm / 2) / focalLengthMm;
}

/**
 * Angle between the flanks: 2 atan((D + d)/2f), a little more than the angle of view.
 * @source sheet-notes
 */
export function gaugeAngleRad(cone: ClearCone): number {
  return 2 * Math.atan(slopeOf(cone));
}

/** Of the foot: what card can be cut to. */
const LEAST_FOOT_MM = 1.5;
const HOLE_CLEAR_MM = 1;

export interface WedgeShape {
  readonly footHeightMm: number;
  readonly heightMm: number;
  /** Half of the gap between the feet. */
  readonly gapHalfMm: number;
  readonly bottomHalfMm: number;
  readonly topHalfMm: number;
  /** Closed, the plate at y = 0, the axis at x = 0. */
  readonly outline: readonly Place[];
}

/** @param heightMm wanted; made larger where the feet need it, smaller where the page is too narrow for it */
export function wedgeShape(cone: ClearCone, heightMm: number, widestMm = 160): WedgeShape {
  const slope = slopeOf(cone);
  const gap = cone.diameterMm / 2 + HOLE_CLEAR_MM;
  const foot = Math.ceil(2 * Math.max(2, (gap + LEAST_FOOT_MM - cone.diameterMm / 2) / slope)) / 2;
  const height = Math.max(foot + 8, Math.min(heightMm + foot, (widestMm - cone.diameterMm) / (2 * slope)));
  const [bottom, top] = [halfWidthAtMm(cone, foot), halfWidthAtMm(cone, height)];
  return {
    footHeightMm: foot,
    heightMm: height,
    gapHalfMm: gap,
    bottomHalfMm: bottom,
    topHalfMm: top,
    outline: [
      [-bottom, 0], [-gap, 0], [-gap, foot], [gap, foot], [gap, 0], [bottom, 0], [bottom, foot], [top, height], [-top, height],
      [-bottom, foot],
    ],
  };
}

/** On the card itself, so that it stays with the part that is cut out: across it, or up its axis where it is slender. */
function nameWedge(pen: Pen, label: string, { topHalfMm, footHeightMm, heightMm }: WedgeShape): void {
  const width = textWidthMm(printable(label), FIGURE_MM);
  if (width + 4 <= 2 * topHalfMm * (1 - 8 / heightMm)) {
    pen.text([0, heightMm - 7], label, { anchor: 'middle', layer: 'engrave' });
    return;
  }
  const sizeMm = FIGURE_MM * Math.min(1, (heightMm - footHeightMm - 2) / width);
  pen.text([sizeMm * 0.35, (heightMm + footHeightMm) / 2], label, { anchor: 'middle', layer: 'engrave', angleRad: Math.PI / 2, sizeMm });
}

function wedge(name: string, cone: ClearCone, heightMm: number, lengths: Lengths): Drawing {
  const shape = wedgeShape(cone, heightMm);
  const { topHalfMm: top, bottomHalfMm: bottom, footHeightMm: foot, heightMm: height } = shape;
  const pen = new Pen().path(EDGE, shape.outline, true);
  const label = `${name} ${formatAngle(gaugeAngleRad(cone), { digits: 2 })}`;
  nameWedge(pen, label, shape);
  pen.dimension(`gauge ${name}, top width`, [-top, height], [top, height], 6, lengths.bare(2 * top));
  pen.dimension(`gauge ${name}, bottom width`, [bottom, 0], [-bottom, 0], 6, lengths.bare(2 * bottom));
  pen.dimension(`gauge ${name}, height`, [-top, 0], [-top, height], 5, lengths.bare(height));
  pen.dimension(`gauge ${name}, foot`, [bottom, foot], [bottom, 0], 6, lengths.bare(foot));
  return captioned(`Wedge, ${name}`, pen);
}

/** The cone laid flat: a ring sector, a tab to glue, and a ring of card for it to stand on. */
export interface ConeShape {
  readonly standHeightMm: number;
  readonly heightMm: number;
  readonly innerRadiusMm: number;
  readonly outerRadiusMm: number;
  readonly sectorRad: number;
  readonly ringLengthMm: number;
}

const LEAST_RING_MM = 6;

/** @param cone along the diagonal: the widest */
export function coneShape(cone: ClearCone, heightMm: number, widestMm = 160): ConeShape {
  const slope = slopeOf(cone);
  const sine = slope / Math.hypot(1, slope);
  const stand = Math.ceil(2 * Math.max(2, (LEAST_RING_MM - cone.diameterMm / 2) / slope)) / 2;
  const largest = ((widestMm / 2) * sine - cone.diameterMm / 2) / slope;
  const height = Math.max(stand + 8, Math.min(heightMm + stand, largest));
  return {
    standHeightMm: stand,
    heightMm: height,
    innerRadiusMm: halfWidthAtMm(cone, stand) / sine,
    outerRadiusMm: halfWidthAtMm(cone, height) / sine,
    sectorRad: 2 * Math.PI * sine,
    ringLengthMm: 2 * Math.PI * halfWidthAtMm(cone, stand),
  };
}

const TAB_MM = 6;

function foldingCone(cone: ClearCone, heightMm: number, lengths: Lengths): Drawing[] {
  const { innerRadiusMm: inner, outerRadiusMm: outer, sectorRad, standHeightMm, ringLengthMm } = coneShape(cone, heightMm);
  const [from, to] = [Math.PI / 2 - sectorRad / 2, Math.PI / 2 + sectorRad / 2];
  const at = (radius: number, angle: number): Place => [radius * Math.cos(angle), radius * Math.sin(angle)];
  const pen = new Pen();
  pen.arc(EDGE, [0, 0], inner, from, to).arc(EDGE, [0, 0], outer, from, to);
  pen.line(EDGE, at(inner, to), at(outer, to));
  pen.line(FOLD, at(inner, from), at(outer, from));
  const [nx, ny] = [Math.sin(from), -Math.cos(from)];
  const tab = (radius: number): Place => [radius * Math.cos(from) + TAB_MM * nx, radius * Math.sin(from) + TAB_MM * ny];
  const slant = outer - inner;
  pen.path(EDGE, [at(inner, from), tab(inner + 0.12 * slant), tab(outer - 0.12 * slant), at(outer, from)]);
  const facets = Math.max(8, Math.round(sectorRad / (Math.PI / 9)));
  // Scored lines, but for the ones beside the words, help card to roll evenly.
  for (let i = 1; i < facets; i += 1) {
    const angle = from + (i * sectorRad) / facets;
    pen.line(SCORE, at(inner, angle), at(outer, angle));
  }
  pen.dimension('gauge cone, slant', at(inner, to), at(outer, to), 5, lengths.bare(slant));
  const ring = new Pen().path(EDGE, [
    [0, 0], [ringLengthMm, 0], [ringLengthMm + TAB_MM, 0.8], [ringLengthMm + TAB_MM, standHeightMm - 0.8],
    [ringLengthMm, standHeightMm], [0, standHeightMm],
  ], true);
  ring.line(FOLD, [ringLengthMm, 0], [ringLengthMm, standHeightMm]);
  ring.dimension('gauge cone, foot ring length', [0, 0], [ringLengthMm, 0], -6, lengths.bare(ringLengthMm));
  ring.dimension('gauge cone, foot ring height', [0, 0], [0, standHeightMm], 6, lengths.bare(standHeightMm));
  return [
    captioned(`Cone for round openings ${formatAngle(gaugeAngleRad(cone), { digits: 2 })}`, pen, ['Roll over the scored lines, glue the tab inside.']),
    captioned('Foot ring of the cone', ring, ['Glue it under the narrow end: the cone stands on it.']),
  ];
}

/** The cones of the camera: across, up, and to the corner seen farthest aside. */
export function conesOf({ camera, limits }: BuildPlan): Readonly<Record<'across' | 'up' | 'corner', ClearCone>> {
  const cone = ({ farthestFilmMm, focalLengthMm }: ViewLimit): ClearCone => {
    return { diameterMm: camera.hole.diameterMm, halfFrameMm: farthestFilmMm, focalLengthMm };
  };
  return { across: cone(limits.horizontal), up: cone(limits.vertical), corner: cone(limits.diagonal) };
}

/** @returns the wedges, the cone and how to read them */
export function gaugeSheet({ plan, lengths: unit }: SheetRequest, room: Room): readonly Leaf[] {
  const lengths = lengthsIn(unit);
  const height = plan.choices.gaugeHeightMm ?? 40;
  const cones = conesOf(plan);
  const d = plan.camera.hole.diameterMm;
  const shifted = plan.camera.holeShift.xMm !== 0 || plan.camera.holeShift.yMm !== 0;
  const falseAlarm = flatWedgeAlarmMm({ tipWidthMm: 2, holeDiameterMm: d, focalLengthMm: plan.camera.focalLengthMm, zMm: 0 });
  const reading = words([
    { text: 'How to use it', bold: true },
    { text: 'Glue the page to card, cut along the thick lines, cut the gap between the feet too.', mark: '1.' },
    { text: 'Stand the wedge with its feet on the plate, the gap over the hole, square to the plate. Turn it to the side that its '
      + 'name says. The cone with its ring serves round openings.', mark: '2.' },
    { text: 'It stands and touches nothing: every layer clears the frame. There is light all round it: that much clearance.', mark: '3.' },
    { text: 'An edge lifts or pushes it: that opening is too small, on that side by as much as it must be filed until the feet stand.', mark: '4.' },
    { text: `The flanks lie on the true cone of a hole ${lengths.full(d)} wide, so the angle is a little more than the angle of view. `
      + `A flat tip w wide with flanks at the bare angle of view would alarm falsely by (w − d)/2 a side: a tip of ${lengths.full(2)} `
      + `by ${lengths.full(falseAlarm)}.`, aboveMm: 1.5 },
    ...(shifted ? [{ text: 'The hole is off the middle of the frame: the gauges take the wider side, so they ask for a little more than needed on the other.' }] : []),
    { text: 'Never push the gauge into the hole; the rim of the hole is not touched by anything.', bold: true, aboveMm: 1.5 },
  ], room.widthMm);
  return flowed('View gauge', '1:1', [
    wedge('across', cones.across, height, lengths),
    wedge('up', cones.up, height, lengths),
    wedge('to the corner', cones.corner, height, lengths),
    ...foldingCone(cones.corner, height, lengths).reverse(),
    reading,
  ], room);
}
