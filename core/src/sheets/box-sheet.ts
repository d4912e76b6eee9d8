/** Sheet 4: the parts of the box at true size, the cut list with totals, and how they lie on the boards. */
import { formatLength } from '../units/length.ts';
import { fixed } from '../units/figures.ts';
import { nested } from './boards.ts';
import { boxLayout, cutTotals, kerfOutline } from './box.ts';
import type { BoxLayout, BoxPart } from './box.ts';
import { caution } from './cautions.ts';
import { DRILL, EDGE, OUTLINE, Pen, SCORE, THIN } from './drawing.ts';
import type { Drawing } from './drawing.ts';
import { captioned, flowed, lengthsIn, tables, words } from './flow.ts';
import type { Lengths, Room } from './flow.ts';
import { fitted, textWidthMm } from './letters.ts';
import type { Leaf } from './page.ts';
import { FORMER_BACK_MM } from './plan.ts';
import type { BuildPlan, SheetRequest } from './plan.ts';

function partDrawing(part: BoxPart, kerfMm: number, lengths: Lengths): Drawing {
  const pen = new Pen().path(EDGE, kerfOutline(part.outline, kerfMm), true);
  const { widthMm: w, heightMm: h, name } = part;
  for (const opening of part.openings) pen.path(EDGE, kerfOutline(opening, kerfMm), true);
  for (const hole of part.holes) {
    const r = hole.diameterMm / 2;
    pen.circle(EDGE, hole.centre, r - kerfMm / 2).cross(hole.centre, Math.min(r + 3, r * 1.5 + 2), { ...DRILL, line: 'thin' });
    if (hole.name === 'opening') {
      pen.dimension(`${name}, hole from the left`, [0, hole.centre[1]], hole.centre, h - hole.centre[1] + 6, lengths.bare(hole.centre[0]));
      pen.dimension(`${name}, hole from below`, [hole.centre[0], 0], hole.centre, hole.centre[0] - w - 6, lengths.bare(hole.centre[1]));
    }
  }
  for (const [from, to] of part.scores) pen.line(SCORE, from, to);
  pen.dimension(`${name}, width`, [0, 0], [w, 0], -7, lengths.bare(w));
  pen.dimension(`${name}, height`, [0, 0], [0, h], 7, lengths.bare(h));
  const opening = part.openings[0];
  if (opening !== undefined) {
    const [a, , c] = opening;
    if (a !== undefined && c !== undefined) {
      pen.dimension(`${name}, opening width`, a, [c[0], a[1]], 5, lengths.bare(c[0] - a[0]));
      pen.dimension(`${name}, opening height`, [a[0], a[1]], [a[0], c[1]], -5, lengths.bare(c[1] - a[1]));
    }
  }
  const holes = part.holes.map(({ name: what, diameterMm }) => `${what === 'opening' ? 'hole' : what}: Ø ${lengths.bare(diameterMm)}`);
  const caption = `${part.count > 1 ? `${part.count} × ` : ''}${part.name}, ${lengths.full(part.thicknessMm)} thick`;
  return captioned(caption, pen, [...holes, ...(part.note === '' ? [] : [part.note])]);
}

/** The boards with the parts on them, made smaller to fit the page. */
function boardDrawings(plan: BuildPlan, layout: BoxLayout, room: Room, lengths: Lengths): readonly Drawing[] {
  const nesting = nested(layout.parts, plan.boards, plan.sawKerfMm);
  const figures = nesting.boards.map(({ board, index, parts, usedShare }) => {
    const scale = [2, 2.5, 4, 5, 8, 10, 20, 50].find((by) => board.lengthMm / by <= room.widthMm - 1 && board.widthMm / by <= 90) ?? 100;
    const pen = new Pen().rectangle(OUTLINE, 0, 0, board.lengthMm / scale, board.widthMm / scale);
    parts.forEach((part, i) => {
      const [x, y, w, h] = [part.xMm, part.yMm, part.widthMm, part.heightMm].map((value) => value / scale) as [number, number, number, number];
      pen.rectangle(THIN, x, y, w, h);
      const sizeMm = Math.min(2.6, h * 0.7);
      const number = `${i + 1}`;
      const label = fitted(`${number} ${part.name}`, sizeMm, w - 1);
      const shown = label.length > number.length + 2 ? label : textWidthMm(number, sizeMm) < w - 0.6 ? number : '';
      if (shown !== '' && sizeMm > 1) pen.text([x + w / 2, y + h / 2 - sizeMm * 0.3], shown, { sizeMm, anchor: 'middle' });
    });
    const list = parts.map((part, i) => `${i + 1} ${part.name}: ${lengths.bare(part.widthMm)} × ${lengths.bare(part.heightMm)}`
      + ` at ${lengths.bare(part.xMm)}, ${lengths.bare(part.yMm)}`).join('; ');
    return captioned(
      `${board.name} ${index}, scale 1:${scale}: ${lengths.bare(board.lengthMm)} × ${lengths.bare(board.widthMm)}, `
        + `${fixed(100 * usedShare, 0)} % used`,
      pen,
      [`From the lower left corner, a saw cut of ${lengths.full(plan.sawKerfMm)} between parts. ${list}.`],
    );
  });
  if (nesting.left.length === 0) return figures;
  return [...figures, words([{ text: `No board of the right thickness and size is left for: ${nesting.left.join(', ')}.`, bold: true }], room.widthMm)];
}

/** @throws InputError conflict */
export function boxSheet({ plan, lengths: unit }: SheetRequest, room: Room): readonly Leaf[] {
  const lengths = lengthsIn(unit);
  const layout = boxLayout(plan);
  const kerf = plan.joint === 'finger' || plan.kerfMm > 0 ? plan.kerfMm : 0;
  const pairs = new Map<string, BoxPart>();
  for (const part of layout.parts) {
    // Top and bottom, left and right differ by a bore at most: equal ones share a figure.
    const key = JSON.stringify([part.outline, part.openings, part.holes, part.scores, part.thicknessMm]);
    const same = pairs.get(key);
    pairs.set(key, same === undefined ? part : { ...same, name: `${same.name} and ${part.name}`, count: same.count + part.count });
  }
  const rows = layout.parts.map((part) => [
    part.name, String(part.count), lengths.bare(part.widthMm), lengths.bare(part.heightMm), lengths.bare(part.thicknessMm),
  ]);
  const totals = cutTotals(layout.parts).map(({ thicknessMm, count, areaMm2 }) =>
    `${count} ${count === 1 ? 'piece' : 'pieces'} ${lengths.full(thicknessMm)} thick, ${unit === 'mm' ? `${fixed(areaMm2 / 100, 0)} cm²` : `${fixed(areaMm2 / 645.16, 0)} sq in`} without saw cuts`);
  const held = plan.camera.filmPlane === 'cylinder'
    ? ['back lid', `formers ${lengths.full(FORMER_BACK_MM)} thick at their deepest place`]
    : ['seat', `a holder depth of ${lengths.full(plan.holderDepthMm)}`];
  const intro = words([
    { text: `Inside depth ${formatLength(plan.insideDepthMm, { unit })} from the front board to the ${held[0]}, for a focal length of `
      + `${lengths.full(plan.camera.focalLengthMm)}, ${held[1]} and a plate ${lengths.full(plan.seatMm)} in front of the inner face.` },
    `Outside ${lengths.full(layout.outside.widthMm)} × ${lengths.full(layout.outside.heightMm)}, inside ${lengths.full(layout.inside.widthMm)} × ${lengths.full(layout.inside.heightMm)}.`,
    ...layout.notes,
    ...(kerf > 0 ? [`Kerf ${lengths.full(kerf)}: the cut lines lie half of it outside the sizes written, so that the parts come out right.`] : []),
    ...plan.assumed,
    { text: 'Measure the wood with a caliper before sawing; every part follows from it. Black matt inside, all edges too.', aboveMm: 1 },
  ], room.widthMm);
  return [
    ...flowed('Box: cut list and boards', 'no scale', [
      intro,
      ...tables([
        { title: 'part', grow: 1 }, { title: 'pieces', align: 'end' }, { title: 'width', align: 'end' }, { title: 'height', align: 'end' },
        { title: 'thick', align: 'end' },
      ], rows, room),
      words([{ text: `Totals: ${totals.join('; ')}.`, bold: true }], room.widthMm),
      ...boardDrawings(plan, layout, room, lengths),
      words([{ text: caution(kerf > 0 ? ['laser cutting', 'saws, drills, wood dust, paint'] : ['saws, drills, wood dust, paint']), bold: true }], room.widthMm),
    ], room),
    ...flowed('Box: parts', '1:1', [...pairs.values()].map((part) => partDrawing(part, kerf, lengths)), room),
  ];
}
