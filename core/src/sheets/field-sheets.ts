/** Sheets 5, 6 and 10: view lines and sighting triangles, plate blanks for the scanner bed, winding of roll film. */
import { fieldOfView } from '../camera/field-of-view.ts';
import type { CameraGeometry } from '../camera/geometry.ts';
import { wireFrame } from '../front/finder.ts';
import type { ViewLimit } from '../front/gauge.ts';
import { formatAngle } from '../units/angle.ts';
import { fixed } from '../units/figures.ts';
import { CENTRE, EDGE, HIDDEN, OUTLINE, Pen, SCORE, THIN, boxOf } from './drawing.ts';
import type { Drawing, Place } from './drawing.ts';
import { captioned, flowed, lengthsIn, tables, words } from './flow.ts';
import type { Lengths, Room } from './flow.ts';
import type { Leaf } from './page.ts';
import { rollThicknessMm, spoolCoreMm } from './plan.ts';
import type { BuildPlan, SheetRequest } from './plan.ts';

/** A sighting triangle: apex to the eye, legs along the edges of the view to each side of the axis. */
function triangle(name: string, sides: readonly [number, number], lengthMm: number, endWords: readonly [string, string], lengths: Lengths): Drawing {
  const [left, right] = [-lengthMm * Math.tan(sides[0]), lengthMm * Math.tan(sides[1])];
  const pen = new Pen().path(EDGE, [[0, 0], [right, lengthMm], [left, lengthMm]], true);
  pen.line(CENTRE, [0, 2], [0, lengthMm - 2]);
  pen.dimension(`view triangle ${name}, width`, [left, lengthMm], [right, lengthMm], 12, lengths.bare(right - left));
  pen.dimension(`view triangle ${name}, length`, [right, 0], [right, lengthMm], -8, lengths.bare(lengthMm));
  // The sides are named where there is room for both words.
  if (right - left > 24) {
    pen.text([left + 0.8, lengthMm + 2], endWords[0], { sizeMm: 3 });
    pen.text([right - 0.8, lengthMm + 2], endWords[1], { sizeMm: 3, anchor: 'end' });
  }
  return captioned(
    `View triangle, ${name}: ${formatAngle(sides[0] + sides[1], { digits: 1 })}`,
    pen,
    [`${formatAngle(sides[0], { digits: 1 })} ${endWords[0]}, ${formatAngle(sides[1], { digits: 1 })} ${endWords[1]} of the axis (dash-dotted).`],
  );
}

const TRIANGLE_WIDEST_MM = 150;
/** Half a view wider than this no flat frame of wire shows, and no triangle whose legs a hand can lay on wood. */
const WIDEST_FINDER_RAD = (75 * Math.PI) / 180;

function wireFinder(geometry: CameraGeometry, lengths: Lengths): Drawing {
  // As it stands one unit before the eye.
  const seen = wireFrame(geometry, { eyeDistanceMm: 1 }).outline.map(({ xMm, yMm }): Place => [xMm, yMm]);
  if (seen.some(([x, y]) => Math.hypot(x, y) > Math.tan(WIDEST_FINDER_RAD))) {
    return words([{ text: 'The view is too wide for a frame of wire: sight along the triangles, or pin the view lines on the top of the camera.' }], 90);
  }
  const box = boxOf(seen)!;
  const [wide, high] = [box.rightMm - box.leftMm, box.topMm - box.bottomMm];
  const eyeMm = Math.min(0.5 * geometry.focalLengthMm, 110 / wide, 70 / high);
  const wire = new Pen().path(OUTLINE, seen.map(([x, y]): Place => [eyeMm * (x - box.leftMm), eyeMm * (y - box.bottomMm)]), true);
  // A hole moved up looks up, and the eye stands as much below the wire's middle.
  wire.cross([-eyeMm * box.leftMm, -eyeMm * box.bottomMm], 4, THIN);
  wire.dimension('wire finder, width', [0, 0], [eyeMm * wide, 0], -6, lengths.bare(eyeMm * wide));
  wire.dimension('wire finder, height', [0, 0], [0, eyeMm * high], 6, lengths.bare(eyeMm * high));
  return captioned('Wire frame finder', wire, [
    `Eye ${lengths.full(eyeMm)} behind the wire, opposite the cross.`,
  ]);
}

/** @returns both sides no wider than the sheets keep clear */
function clearSides(sides: readonly [number, number], limit: ViewLimit): readonly [number, number] {
  const widest = Math.atan(limit.farthestFilmMm / limit.focalLengthMm);
  return [Math.min(sides[0], widest), Math.min(sides[1], widest)];
}

export function viewSheet({ plan, lengths: unit }: SheetRequest, room: Room): readonly Leaf[] {
  const lengths = lengthsIn(unit);
  const view = fieldOfView(plan.geometry);
  const level = clearSides([view.leftRad, view.rightRad], plan.limits.horizontal);
  const upright = clearSides([view.downRad, view.upRad], plan.limits.vertical);
  const lengthFor = ([a, b]: readonly [number, number]): number =>
    Math.min(90, TRIANGLE_WIDEST_MM / Math.max(0.05, Math.tan(a) + Math.tan(b)));
  return flowed('View lines and sighting triangles', '1:1', [
    triangle('top of the box', level, lengthFor(level), ['left', 'right'], lengths),
    triangle('side of the box', upright, lengthFor(upright), ['down', 'up'], lengths),
    wireFinder(plan.geometry, lengths),
    words([
      { text: 'Stick the triangles on the box, apex to the back and over the hole\'s line, dash-dotted line square to the front: one on top, one on the left side as seen from behind (turn it over for the right side). Look along the legs.', mark: '1.' },
      { text: 'Or draw the lines themselves on the wood; three pins make sights of each triangle.', mark: '2.' },
      { text: 'View lines are no frame: keep a tenth of the picture free all round. For near things the finder stands off the hole by its own height (parallax): point it as much higher.', mark: '3.' },
    ], room.widthMm),
  ], room);
}

function plateCell(sideMm: number, label: string, sizeMm: number): Drawing {
  const pen = new Pen().rectangle(OUTLINE, 0, 0, sideMm, sideMm);
  const middle: Place = [sideMm / 2, sideMm / 2];
  // The cross stops short of the hole, so that no ink lies where the rim is measured.
  const clear = Math.min(2, sideMm / 8);
  for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]] as const) {
    pen.line(THIN, [middle[0] + dx * clear, middle[1] + dy * clear], [middle[0] + dx * (sideMm / 2 - 1), middle[1] + dy * (sideMm / 2 - 1)]);
  }
  pen.fill([[sideMm - 3.5, sideMm - 1], [sideMm - 1, sideMm - 1], [sideMm - 1, sideMm - 3.5]]);
  return new Pen().place(pen, 0, 0).text([0.5, sideMm + 1.2], label, { sizeMm });
}

export function plateSheet({ plan, lengths: unit }: SheetRequest, room: Room): readonly Leaf[] {
  const lengths = lengthsIn(unit);
  const side = plan.plateBlankMm;
  const blank = new Pen().place(plateCell(side, 'mark: upper right corner, seen from the film side', 3), 0, 0);
  blank.dimension('plate blank, side', [0, 0], [side, 0], -6, lengths.bare(side));
  blank.dimension('plate blank, height', [0, 0], [0, side], 6, lengths.bare(side));
  const one = flowed('Plate blank for the scanner bed', '1:1', [
    captioned('Plate blank', blank),
    words([
      { text: 'Cut the brass to the outline, mark the same corner with a scribe. Lay the page on the glass with the print up, the plate on it face to face, and scan both: the cross shows where the middle should be.', mark: '1.' },
      { text: 'Or cut the middle out between the arms of the cross and tape the plate behind it: the mark tells which way it lies in every pass.', mark: '2.' },
      { text: 'Lay a steel rule beside it, once across and once along: scanners seldom agree on both.', mark: '3.' },
      { text: 'Thin brass cuts: deburr the edges, wear eye protection, sand wet. Follow the safety sheet of the alloy and your local rules.', bold: true, aboveMm: 1.5 },
    ], room.widthMm),
  ], room);
  const columns = 4;
  const rows = 6;
  const cell = Math.min(room.widthMm / columns - 4, room.heightMm / rows - 8, Math.max(side, 12));
  const stepX = (room.widthMm - cell) / (columns - 1);
  const stepY = (room.heightMm - 6) / rows;
  const pen = new Pen();
  for (let i = 0; i < columns * rows; i += 1) {
    const [column, row] = [i % columns, Math.floor(i / columns)];
    pen.place(plateCell(cell, `${i + 1}`, 4), column * stepX, -(row + 1) * stepY);
  }
  pen.dimension('sheet of plates, cell', [0, -rows * stepY], [cell, -rows * stepY], -4.5, lengths.bare(cell));
  pen.dimension('sheet of plates, columns apart', [cell, -rows * stepY], [cell + stepX, -rows * stepY], -4.5, lengths.bare(stepX));
  return [
    ...one,
    {
      title: 'Sheet of 24 plates for one scan',
      scale: '1:1',
      drawing: pen,
      room: { leftMm: 0, rightMm: room.widthMm, topMm: 0, bottomMm: -room.heightMm },
    },
  ];
}

export interface Winding {
  /** Whole roll up to the middle of this frame, turns of the take-up spool since the film's start. */
  readonly frame: number;
  /** From the frame before (the first: from the start of the wound part). */
  readonly turns: number;
  readonly windMm: number;
}

/**
 * Turns of a spool on which film grows: n turns take L = π n (D + τ n), so n = (√(D² + 4 τ L/π) − D) / 2τ.
 * @param of core D and layer τ > 0, lengths ≥ 0
 * @source sheet-notes
 */
export function spoolTurns(of: { readonly lengthMm: number; readonly coreMm: number; readonly layerMm: number }): number {
  const { lengthMm, coreMm, layerMm } = of;
  return (Math.sqrt(coreMm ** 2 + (4 * layerMm * lengthMm) / Math.PI) - coreMm) / (2 * layerMm);
}

/** Between two pictures: common practice, no source. */
const FRAME_GAP_MM = 5;
/** Of 120 film, without leader and trailer of the paper; from memory. */
const FILM_LENGTH_MM = 815;
/** Paper before the film begins, on the spool when the arrows stand at the start marks; from memory. */
const LEADER_MM = 370;
const START_AFTER_FILM_MM = 30;
/** Numbers of the middle row of 120 backing paper stand this far apart; from memory. */
const ROW_6X6_MM = 63;

export function windingTable(plan: BuildPlan): readonly Winding[] {
  const pitch = plan.camera.frame.widthMm + FRAME_GAP_MM;
  const frames = Math.max(1, Math.floor((FILM_LENGTH_MM - START_AFTER_FILM_MM + FRAME_GAP_MM) / pitch));
  const at = (lengthMm: number): number => spoolTurns({ lengthMm, coreMm: spoolCoreMm(plan), layerMm: rollThicknessMm(plan) });
  return Array.from({ length: frames }, (_, i) => {
    const begin = i === 0 ? 0 : LEADER_MM + START_AFTER_FILM_MM + (i - 1) * pitch + plan.camera.frame.widthMm / 2;
    const end = LEADER_MM + START_AFTER_FILM_MM + i * pitch + plan.camera.frame.widthMm / 2;
    return { frame: i + 1, turns: at(end) - at(begin), windMm: end - begin };
  });
}

export function windingSheet({ plan, lengths: unit }: SheetRequest, room: Room): readonly Leaf[] {
  const lengths = lengthsIn(unit);
  const rows = windingTable(plan);
  let sum = 0;
  const cells = rows.map(({ frame, turns, windMm }) => {
    sum += turns;
    const eighths = Math.round(turns * 8);
    return [String(frame), lengths.bare(windMm), fixed(turns, 2), `${Math.floor(eighths / 8)} ${['', '1/8', '1/4', '3/8', '1/2', '5/8', '3/4', '7/8'][eighths % 8] ?? ''}`.trim(), fixed(sum, 2), ''];
  });
  const w = plan.camera.frame.widthMm;
  const every = Math.max(1, Math.ceil((w + 2) / ROW_6X6_MM - 1e-9));
  const numbers = Array.from({ length: Math.floor(11 / every) + 1 }, (_, i) => 1 + i * every).filter((n) => n <= 12);
  const back = new Pen().rectangle(OUTLINE, 0, 0, Math.min(w, room.widthMm - 40), 63);
  const scaleX = Math.min(w, room.widthMm - 40);
  back.line(CENTRE, [-4, 31.5], [scaleX + 4, 31.5]);
  back.circle(EDGE, [scaleX / 2, 31.5], 4);
  back.dimension('window, from the edge of the paper', [0, 0], [0, 31.5], 8, lengths.bare(31.5));
  back.dimension('window, width of the paper', [scaleX, 0], [scaleX, 63], -12, lengths.bare(63));
  if (scaleX === w) back.dimension('window, picture', [0, 63], [w, 63], 6, lengths.bare(w));
  return flowed('Roll film: winding and window', '1:1', [
    words([
      { text: `Spool core ${lengths.full(spoolCoreMm(plan))}, film with paper ${lengths.full(rollThicknessMm(plan))}, picture ${lengths.full(w)}, ${lengths.full(FRAME_GAP_MM)} between pictures.` },
      'Core, layers, leader and paper rows are usual values from memory: measure your spool and ten layers of paper with a caliper, give them, and print again. Then check with one spoiled roll.',
      'Set the arrows of the paper to the start marks of the take-up spool, close the camera and count the turns of the take-up knob.',
    ], room.widthMm),
    ...tables([
      { title: 'picture', align: 'end' }, { title: 'wind', align: 'end' }, { title: 'turns', align: 'end' }, { title: 'in eighths', align: 'end' },
      { title: 'turns in all', align: 'end' }, { title: 'what was taken', grow: 1 },
    ], cells, room),
    captioned('Window in the back, seen from behind', back, [
      `Window Ø ${lengths.bare(8)} in the middle row of the backing paper, at half its width (dash-dotted). For pictures ${lengths.full(w)} wide stop at ${numbers.slice(0, Math.max(1, Math.floor(12 / every))).join(', ')}.`,
      `Its numbers stand about ${lengths.full(ROW_6X6_MM)} apart (common practice, no source). Other rows lie nearer the edges.`,
    ]),
    words([
      'Glaze the window deep red and cover it between winds; masking tape alone is not dark.',
    ], room.widthMm),
  ], room);
}

/** Frame and strips at true size; strip 1, with the least light, at the end where the slide comes in. */
export function testFigure(frame: { readonly widthMm: number; readonly heightMm: number }, strips: number, lengths: Lengths): Drawing {
  const { widthMm: w, heightMm: h } = frame;
  const step = w / strips;
  const pen = new Pen().rectangle(OUTLINE, 0, 0, w, h);
  for (let i = 1; i < strips; i += 1) pen.line(HIDDEN, [i * step, 0], [i * step, h]);
  for (let i = 0; i < strips; i += 1) pen.text([(i + 0.5) * step, h / 2], `${strips - i}`, { sizeMm: Math.min(6, step * 0.5), anchor: 'middle', bold: true });
  for (let i = 1; i < strips; i += 1) pen.line(SCORE, [i * step, h + 1], [i * step, h + 5]);
  pen.dimension('step test, strip', [0, 0], [step, 0], -6, lengths.bare(step));
  pen.dimension('step test, frame width', [0, 0], [w, 0], -14, lengths.bare(w));
  pen.dimension('step test, frame height', [0, 0], [0, h], 6, lengths.bare(h));
  return pen;
}
