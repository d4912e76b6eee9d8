/** Sheets 7 to 9 and 11: the exposure card and class board, the camera's own sheet, the step test, the solargraph's label. */
import { encode } from 'uqr';
import { describeCamera } from '../camera/describe.ts';
import { cutDirection, filmCut } from '../camera/film-cut.ts';
import type { CutPoint } from '../camera/film-cut.ts';
import { cameraCard, cellWords, classBoard } from '../exposure/cards.ts';
import type { BoardPlace, CardMaterial } from '../exposure/cards.ts';
import { formatTime } from '../exposure/duration.ts';
import { holeStop } from '../exposure/f-number.ts';
import { exposureTime } from '../exposure/exposure-time.ts';
import { findFilm } from '../exposure/films.ts';
import { findScene } from '../exposure/scenes.ts';
import { planStepTest } from '../exposure/step-test.ts';
import { formatAngle } from '../units/angle.ts';
import { fixed, formatNumber } from '../units/figures.ts';
import { UM_PER_MM } from '../units/length.ts';
import { CENTRE, EDGE, HIDDEN, OUTLINE, Pen, THIN } from './drawing.ts';
import type { Drawing, Place } from './drawing.ts';
import { testFigure } from './field-sheets.ts';
import { blank, captioned, flowed, lengthsIn, tables, words } from './flow.ts';
import type { Lengths, Room } from './flow.ts';
import type { Leaf } from './page.ts';
import type { BuildPlan, SheetHole, SheetRequest } from './plan.ts';

/** A paper that stands for papers where the camera names no film: its index is a range of practice. */
const USUAL_PAPER_INDEX = 6;

function materialOf(plan: BuildPlan): CardMaterial {
  const { film, exposureIndex } = plan.camera;
  if (film === null) return { film: null, exposureIndex: exposureIndex ?? USUAL_PAPER_INDEX };
  const needsIndex = film.iso === null && film.exposureIndexRange === null;
  return { film, ...(exposureIndex !== null ? { exposureIndex } : needsIndex ? { exposureIndex: USUAL_PAPER_INDEX } : {}) };
}

function fNumberOf({ camera }: BuildPlan): number {
  return holeStop({ diameterMm: camera.hole.diameterMm, focalLengthMm: camera.focalLengthMm }).fNumber;
}

/** The card cut out: a frame round the table, sized to the back of the camera where that is large enough. */
export function cardSheet({ plan }: SheetRequest, room: Room): readonly Leaf[] {
  const fNumber = fNumberOf(plan);
  const own = materialOf(plan);
  const others: readonly CardMaterial[] = [
    { film: null, exposureIndex: 6 },
    { film: null, exposureIndex: 100 },
    { film: findFilm('HP5 Plus') },
  ];
  const materials = [own, ...others.filter(({ film, exposureIndex }) => film?.name !== own.film?.name || (film === null && exposureIndex !== own.exposureIndex))].slice(0, 3);
  const card = cameraCard({ fNumber, materials });
  const width = Math.min(150, room.widthMm - 6);
  const [table] = tables(
    [{ title: 'light', grow: 1 }, ...card.columns.map(({ title, iso }) => ({ title: /^ISO/.test(title) ? `index ${formatNumber(iso)}` : `${title} at ${formatNumber(iso)}`, align: 'end' as const, grow: 0.62 }))],
    card.lines.map(({ words: light, cells }) => [light, ...cells.map(cellWords)]),
    { widthMm: width, heightMm: 400 },
    3.5,
  );
  const pen = new Pen();
  pen.text([0, 4], `${plan.camera.name}: f/${formatNumber(fNumber, { significant: 3 })}`, { sizeMm: 5, bold: true });
  if (table !== undefined) pen.place(table, 0, 1);
  const foot = lowest(pen);
  pen.place(words([
    ...card.notes,
    'From the published guide in words and the published figures of each film; reciprocity is in the times. Filter: multiply first, then look the longer time up.',
  ].map((text) => ({ text, sizeMm: 3 })), width), 0, foot - 1);
  const bottom = lowest(pen) - 2;
  pen.rectangle(EDGE, -3, bottom, width + 6, 12 - bottom);
  return [
    ...flowed('Exposure card', '1:1', [pen], room),
    ...boardLeaves(plan, own, room),
  ];
}

const BOARD_LIGHTS = ['bright-sun', 'hazy-sun', 'cloudy-bright', 'open-shade'] as const;
const BOARD_PLACES = 20;

function boardLeaves(plan: BuildPlan, material: CardMaterial, room: Room): readonly Leaf[] {
  const given = plan.choices.boardPlaces ?? [];
  const fNumber = fNumberOf(plan);
  const places: readonly BoardPlace[] = given.length > 0
    ? given
    : Array.from({ length: BOARD_PLACES }, (_, i) => ({ name: `${i + 1}`, fNumber }));
  const boards = BOARD_LIGHTS.map((scene) => classBoard({ light: { kind: 'scene', scene }, material, places }));
  const rows = places.map((place, i) => {
    const line = boards[0]?.lines[i];
    return [
      place.name, '', line?.fNumber === null || line === undefined ? '' : `f/${formatNumber(line.fNumber)}`,
      ...boards.map((board) => {
        const cell = board.lines[i]?.cell;
        return cell === null || cell === undefined ? '' : cellWords(cell);
      }),
    ];
  });
  const errors = boards[0]?.lines.flatMap(({ error }) => (error === null ? [] : [error])) ?? [];
  const notes = [...new Set(boards.flatMap((board) => board.notes)), ...errors];
  const used = material.film === null ? `exposure index ${material.exposureIndex ?? ''}` : material.film.name;
  return flowed('Class board', 'no scale', [
    words([{ text: `Seconds for every camera, on ${used}`, bold: true, sizeMm: 5 }], room.widthMm),
    ...tables([
      { title: 'no.' }, { title: 'name', grow: 1 }, { title: 'hole', align: 'end' },
      ...['full sun', 'hazy sun', 'bright cloud', 'open shade'].map((title) => ({ title, align: 'end' as const })),
    ], rows, room, 4.4),
    words([...notes, given.length > 0 ? '' : 'All holes are taken as this one; give each camera its own f-number in the workshop for its own seconds.'].filter(Boolean).map((text) => ({ text, sizeMm: 3 })), room.widthMm),
  ], room);
}

function lowest(pen: Pen): number {
  let low = 0;
  for (const item of pen.items) {
    if (item.kind === 'text') low = Math.min(low, item.at[1] - 1);
    if (item.kind === 'path') for (const [, y] of item.places) low = Math.min(low, y);
  }
  return low;
}

/** The camera as text: what the QR says, one line for each fact, to be read years later without this program. */
export function cameraText(plan: BuildPlan, date: string): string {
  const { camera } = plan;
  const { hole } = camera;
  const mm = (value: number): string => String(Number(value.toFixed(4)));
  return [
    'CAMERAWRIGHT CAMERA 1',
    `name: ${camera.name}`,
    `frame mm: ${mm(camera.frame.widthMm)} x ${mm(camera.frame.heightMm)}`,
    `focal length mm: ${mm(camera.focalLengthMm)}`,
    ...(camera.filmPlane === undefined || camera.filmPlane === 'flat'
      ? []
      : [camera.filmPlane === 'can' ? 'film: along the wall of a can, inside width = focal length' : 'film: bent about the hole, radius = focal length']),
    `hole shift mm: ${mm(camera.holeShift.xMm)}, ${mm(camera.holeShift.yMm)} (seen from the film side)`,
    `hole um: ${mm(hole.diameterMm * UM_PER_MM)}${hole.standardUncertaintyMm === null ? '' : ` +- ${mm(hole.standardUncertaintyMm * UM_PER_MM)} (k=1)`}${hole.measured ? '' : hole.stated ? ' (by the stated f-number)' : ' (wished for, not measured)'}`,
    ...(hole.plateName === null ? [] : [`plate: ${plateWords(hole, hole.plateName)}`]),
    `f-number: ${mm(fNumberOf(plan))}`,
    ...(camera.film === null ? [] : [`film: ${camera.film.name}${camera.exposureIndex === null ? '' : ` at ${camera.exposureIndex}`}`]),
    ...(camera.filmPlane === 'can' ? [] : [`inside depth mm: ${mm(plan.insideDepthMm)}`]),
    `date: ${date.slice(0, 10)}`,
  ].join('\n');
}

/** A plate can be in the camera before it is measured; then the hole beside it is the one wished for. */
function plateWords({ measured, mountedAt }: SheetHole, plateName: string): string {
  return `${plateName}${mountedAt === null ? '' : `, in since ${mountedAt.slice(0, 10)}`}${measured ? '' : ', not measured yet'}`;
}

const QR_MODULE_MM = 0.8;

function qr(text: string): Drawing {
  const { data, size } = encode(text, { ecc: 'M', border: 0 });
  const pen = new Pen();
  data.forEach((row, r) => {
    let from = -1;
    for (let c = 0; c <= size; c += 1) {
      const dark = row[c] === true;
      if (dark && from < 0) from = c;
      if (!dark && from >= 0) {
        const [x0, x1, y1, y0] = [from * QR_MODULE_MM, c * QR_MODULE_MM, -r * QR_MODULE_MM, -(r + 1) * QR_MODULE_MM];
        pen.fill([[x0, y0], [x1, y0], [x1, y1], [x0, y1]]);
        from = -1;
      }
    }
  });
  return pen;
}

/** How the film lies, for the tables; nothing for flat film. */
function bendWords({ camera }: BuildPlan, lengths: Lengths): string {
  if (camera.filmPlane === 'cylinder') return `, bent about the hole with a radius of ${lengths.full(camera.focalLengthMm)}`;
  return camera.filmPlane === 'can' ? `, along the wall of a can ${lengths.full(camera.focalLengthMm)} wide inside` : '';
}

/** Bent film from above, made smaller: the way it lies, the hole and the outermost rays. */
function levelSketch({ geometry }: BuildPlan): Drawing {
  const film = filmCut(geometry, cutDirection(geometry, 'horizontal'));
  const by = Math.min(1, 60 / geometry.focalLengthMm);
  const at = ({ zMm, acrossMm }: CutPoint): Place => [zMm * by, acrossMm * by];
  const pen = new Pen().path(OUTLINE, film.map(at));
  if (geometry.filmPlane === 'can') pen.circle(THIN, [(-geometry.focalLengthMm / 2) * by, 0], (geometry.focalLengthMm / 2) * by);
  for (const end of [film[0]!, film.at(-1)!]) {
    const [x, y] = at(end);
    const beyond = 14 / Math.hypot(x, y);
    pen.line(THIN, [x, y], [-x * beyond, -y * beyond]);
  }
  pen.line(CENTRE, [(-geometry.focalLengthMm - 4) * by, 0], [14, 0]);
  return captioned(`Section, level, 1:${formatNumber(1 / by, { significant: 2 })}`, pen, ['Scene to the right, its left above; the hole where the rays cross.']);
}

/** A section of the camera, made smaller: hole, film and the outermost rays. */
function sketch(plan: BuildPlan): Drawing {
  const { frame, focalLengthMm: f, holeShift } = plan.camera;
  const by = Math.min(1, 60 / f, 60 / (frame.heightMm + 20));
  const pen = new Pen();
  const half = (frame.heightMm / 2) * by;
  const hole: Place = [0, holeShift.yMm * by];
  const wall = half + Math.max(6, Math.abs(hole[1])) + 2;
  const t = Math.max(1.5, plan.boardMm * by);
  const film = -f * by;
  for (const side of [1, -1]) {
    pen.path(OUTLINE, [[film, side * wall], [t / 2, side * wall], [t / 2, side * (wall + t)], [film, side * (wall + t)]], true);
    pen.hatch([[[film, side * wall], [t / 2, side * wall], [t / 2, side * (wall + t)], [film, side * (wall + t)]]], 1.6);
  }
  pen.line(OUTLINE, [0, -wall], [0, hole[1] - 1]).line(OUTLINE, [0, hole[1] + 1], [0, wall]);
  pen.line(OUTLINE, [film, -half], [film, half]);
  for (const end of [half, -half]) {
    const slope = (hole[1] - end) / -film;
    pen.line(THIN, [film, end], [12, hole[1] + 12 * slope]);
  }
  pen.line(CENTRE, [film - 4, hole[1]], [14, hole[1]]);
  pen.text([film + 1, -wall - t - 4.5], 'film', { sizeMm: 3, anchor: 'end' });
  pen.text([-1, -wall - t - 4.5], 'hole', { sizeMm: 3 });
  return captioned(`Section, upright, 1:${formatNumber(1 / by, { significant: 2 })}`, pen, ['Scene to the right.']);
}

export function cameraSheet({ plan, lengths: unit, date }: SheetRequest, room: Room): readonly Leaf[] {
  const lengths = lengthsIn(unit);
  const { camera } = plan;
  const { hole } = camera;
  const about = describeCamera({
    camera: plan.geometry, diameterMm: hole.diameterMm, lengths: unit, ...(camera.light === undefined ? {} : { light: camera.light }),
  });
  const code = qr(cameraText(plan, date));
  const rows: readonly (readonly string[])[] = [
    ['picture', `${lengths.full(camera.frame.widthMm)} × ${lengths.full(camera.frame.heightMm)}${camera.formatName === null ? '' : `, ${camera.formatName}`}${bendWords(plan, lengths)}`],
    ['focal length', lengths.full(camera.focalLengthMm)],
    ['hole off the middle', `${lengths.full(camera.holeShift.xMm)} to the right, ${lengths.full(camera.holeShift.yMm)} up, seen from the film side`],
    ['angle of view', `${formatAngle(about.view.horizontalRad, { digits: 1 })} across, ${formatAngle(about.view.verticalRad, { digits: 1 })} up, ${formatAngle(about.view.diagonalRad, { digits: 1 })} corner to corner`],
    ['hole', `${hole.measured ? '' : hole.stated ? 'by the stated f-number, not measured: ' : 'best by calculation, not measured: '}${fixed(hole.diameterMm, 3)} mm${hole.standardUncertaintyMm === null ? '' : ` ± ${fixed(2 * hole.standardUncertaintyMm, 3)} mm (k = 2)`}`],
    ['plate', hole.plateName === null ? 'none in the camera' : plateWords(hole, hole.plateName)],
    ['f-number', `f/${formatNumber(fNumberOf(plan), { significant: 4 })}`],
    ['corners', `${fixed(about.falloff.worst.falloffStops ?? 0, 1)} stops darker than straight behind the hole`],
    ...(camera.filmPlane === 'can' ? [] : [['box', `inside depth ${lengths.full(plan.insideDepthMm)}, ${camera.filmPlane === 'cylinder' ? 'to the back lid' : `holder depth ${lengths.full(plan.holderDepthMm)}`}${camera.wood === null ? '' : `, ${camera.wood}`}`]]),
    ['film', camera.film === null ? '' : `${camera.film.name}${camera.exposureIndex === null ? '' : ` at ${formatNumber(camera.exposureIndex)}`}`],
  ];
  return flowed('Camera sheet', 'no scale', [
    words([{ text: camera.name, bold: true, sizeMm: 6 }, about.sentences[0] ?? ''], room.widthMm),
    ...tables([{ title: 'what' }, { title: 'value', grow: 1 }], rows, room),
    sketch(plan),
    ...(camera.filmPlane === undefined || camera.filmPlane === 'flat' ? [] : [levelSketch(plan)]),
    captioned('The camera as text', code, ['Any QR reader shows these numbers as plain text.']),
    words([{ text: 'Notes', bold: true }], room.widthMm),
    ruled(room.widthMm, 4),
  ], room);
}

function ruled(widthMm: number, lines: number): Drawing {
  const pen = new Pen();
  for (let i = 1; i <= lines; i += 1) pen.line(THIN, [0, -8 * i], [widthMm, -8 * i]);
  return pen;
}

const TEST_STRIPS = 5;

export function testSheet({ plan, lengths: unit }: SheetRequest, room: Room): readonly Leaf[] {
  const lengths = lengthsIn(unit);
  const scene = findScene('cloudy-bright');
  const material = materialOf(plan);
  const fNumber = fNumberOf(plan);
  const answer = exposureTime({
    fNumber, light: { kind: 'scene', scene: scene.id }, film: material.film,
    ...(material.exposureIndex === undefined ? {} : { exposureIndex: material.exposureIndex }),
  });
  const test = planStepTest({
    middleS: answer.correctedS, count: TEST_STRIPS, stepStops: 1, lengthMm: plan.camera.frame.widthMm, way: 'push-in',
  });
  const rows = test.moves.map(({ slideOutMm, exposureS }, i) => {
    const strip = test.strips[i];
    const sumS = strip?.totalS ?? 0;
    const stops = strip?.differenceStops ?? 0;
    return [
      `${i + 1}`, i === 0 ? 'quite out' : `${lengths.full(slideOutMm)} out, mark ${i}`, formatTime(exposureS), formatTime(sumS),
      `${stops > 0.05 ? '+' : ''}${fixed(stops, 1)}`, '',
    ];
  });
  const name = material.film === null ? `exposure index ${material.exposureIndex ?? ''}` : material.film.name;
  return flowed('Step test on one sheet', '1:1', [
    words([
      { text: `f/${formatNumber(fNumber)}, ${name}: at ${scene.words} the chain gives ${formatTime(answer.correctedS)}, which is strip 3.` },
      'Steady light, from a tripod. Give the first time with the dark slide quite out, push it in to the next mark, give the next, and so on; each strip keeps what it got before.',
      'In other light multiply every time by the same factor.',
      ...test.cautions,
    ], room.widthMm),
    ...tables([
      { title: 'no.', align: 'end' }, { title: 'dark slide', grow: 1 }, { title: 'give', align: 'end' }, { title: 'strip has', align: 'end' },
      { title: 'stops', align: 'end' }, { title: 'looks', grow: 1 },
    ], rows, room),
    captioned('Strips on the sheet and marks for the dark slide', testFigure(plan.camera.frame, TEST_STRIPS, lengths), [
      'Copy the short marks at the top to the dark slide; it comes in from the left. Strip 5 stays open longest.',
    ]),
    words([{ text: `Strip that looks right: ___   its sum: ___ s   in the light of EV ___: give it as the sheet's exposure in the log, and the index follows.`.replaceAll('___', '______'), aboveMm: 1 }], room.widthMm),
  ], room);
}

export function solargraphSheet({ plan }: SheetRequest, room: Room): readonly Leaf[] {
  const { contact, from, to } = plan.choices;
  const label = new Pen();
  const [w, h] = [120, 78];
  label.rectangle(EDGE, 0, 0, w, h);
  const middle = w / 2;
  label.text([middle, h - 13], 'PLEASE LEAVE IT HERE', { sizeMm: 8, bold: true, anchor: 'middle' });
  label.text([middle, h - 21], 'A harmless camera made of a can. It draws', { sizeMm: 4.2, anchor: 'middle' });
  label.text([middle, h - 27], 'the path of the sun on a sheet of paper.', { sizeMm: 4.2, anchor: 'middle' });
  label.text([middle, h - 33], 'No battery, no lens, no danger. Moving it spoils it.', { sizeMm: 4.2, anchor: 'middle' });
  const line = (y: number, name: string, value: string | undefined): void => {
    if (value === undefined || value === '') blank(label, [6, y], name, w - 12, 4.2);
    else label.place(words([{ text: `${name} ${value}`, sizeMm: 4.2 }], w - 12), 6, y + 4.5);
  };
  line(h - 44, 'Contact:', contact);
  line(h - 54, 'With leave of:', undefined);
  line(h - 64, 'Hung on:', from);
  line(h - 73, 'Taken down on:', to);
  const check = [
    'Leave asked from the owner; never near railways, airports or public buildings, where cans are taken for danger.',
    'Place and true north noted (not the compass\'s); hole to the arc of the sun between the dates, can tilted a little back.',
    'Paper cut a little short of the wall\'s way round, emulsion to the hole, all four corners taped, gap at the hole.',
    'Bottom of the can black; hole in thin sheet, 0.2 to 0.5 mm, its edge blackened, shut with tape until it hangs.',
    'Lid taped all round, drain hole at the lowest point, seam away from the weather.',
    'Two cable ties or wires, nothing that can swing; a second can elsewhere, because half come back.',
    'Start date written here, on the can and in the log; reminder set for the end.',
    'Ladder on firm ground, a second person; nothing over a path can fall.',
    'At the end: tape over the hole first, note the date, open in dim light.',
    'Scan once, fast, at full size, undeveloped; invert and flip; keep the paper dark.',
  ];
  return flowed('Solargraph: label and checklist', '1:1', [
    captioned('Label: cut out, cover with clear tape on both sides', label),
    words([
      { text: 'Checklist', bold: true, sizeMm: 4.2 },
      ...check.map((text) => ({ text, mark: '[]', aboveMm: 1.2 })),
      { text: 'Never look at the sun through the hole, a lens or an unfiltered finder. Can edges cut: gloves, file, tape. Follow local rules.', bold: true, aboveMm: 2.5 },
    ], room.widthMm),
    captioned('Paper laid flat, seen from the hole', paperStrip(), ['Middle: hole side and corners to tape.']),
  ], room);
}

function paperStrip(): Drawing {
  const pen = new Pen().rectangle(OUTLINE, 0, 0, 120, 24);
  for (const [x, y, dx, dy] of [[0, 0, 1, 1], [120, 0, -1, 1], [0, 24, 1, -1], [120, 24, -1, -1]] as const) {
    pen.line(HIDDEN, [x + 8 * dx, y], [x, y + 8 * dy]);
  }
  pen.arc(THIN, [60, -60], 74, Math.PI / 2 - 0.6, Math.PI / 2 + 0.6);
  pen.arc(THIN, [60, -60], 78, Math.PI / 2 - 0.6, Math.PI / 2 + 0.6);
  return pen;
}
