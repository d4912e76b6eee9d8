/** Sheet 12: the two-sided handout for a class, the test for light-tightness, and the chart from symptom to cause. */
import { holeStop } from '../exposure/f-number.ts';
import { formatTime, roundedTimeS } from '../exposure/duration.ts';
import { exposureTime } from '../exposure/exposure-time.ts';
import { formatNumber } from '../units/figures.ts';
import { CAUTIONS } from './cautions.ts';
import { CENTRE, HIDDEN, OUTLINE, Pen, THIN } from './drawing.ts';
import type { Drawing, Place } from './drawing.ts';
import { blank, flowed, lengthsIn, tables, words } from './flow.ts';
import type { Lengths, Room } from './flow.ts';
import type { Leaf } from './page.ts';
import type { BuildPlan, SheetRequest } from './plan.ts';

const STEP_MM = 30;

/** Five little drawings of the making of a hole, in section. */
function makingSteps(): Drawing {
  const pen = new Pen();
  const titles = ['dimple', 'flip and sand', 'pierce', 'turn the tip', 'look'];
  const sheet = (x: number, bump: number, openMm: number): void => {
    const [left, right] = [x + 2, x + 26];
    const mid = x + 14;
    const gap = Math.max(openMm / 2, 0);
    pen.line(OUTLINE, [left, 0], [mid - 5, 0]).line(OUTLINE, [mid + 5, 0], [right, 0]);
    pen.line(OUTLINE, [mid - 5, 0], [mid - gap, -bump]).line(OUTLINE, [mid + gap, -bump], [mid + 5, 0]);
  };
  const needle = (x: number, tipY: number): void => {
    const mid = x + 14;
    pen.path(THIN, [[mid - 1.2, tipY + 10], [mid, tipY], [mid + 1.2, tipY + 10]]);
  };
  [0, 1, 2, 3, 4].forEach((i) => {
    const x = i * STEP_MM;
    sheet(x, [3, -3, 3, 3, 3][i] ?? 3, [0, 0, 0.8, 1.4, 1.4][i] ?? 0);
    if (i === 0) needle(x, -1.5);
    if (i === 2) needle(x, -3.4);
    if (i === 3) {
      needle(x, -3.6);
      pen.arc(THIN, [x + 14, 4.5], 4, 0.5, 2.6);
    }
    if (i === 1) pen.rectangle(THIN, x + 6, 3.4, 16, 3.5);
    if (i === 4) {
      pen.line(CENTRE, [x + 14, -8], [x + 14, 9]);
    }
    pen.text([x + 1, 14.5], `${i + 1} ${titles[i] ?? ''}`, { sizeMm: 3.2, bold: true });
  });
  return pen;
}

/** Outlines to compare with: one good, five bad. */
function outlines(): Drawing {
  const pen = new Pen();
  const at = (i: number): Place => [i * 26 + 10, 0];
  const ring = (i: number, radius: (angle: number) => number): void => {
    const [cx, cy] = at(i);
    const places = Array.from({ length: 120 }, (_, k): Place => {
      const angle = (2 * Math.PI * k) / 120;
      return [cx + radius(angle) * Math.cos(angle), cy + radius(angle) * Math.sin(angle)];
    });
    pen.path(OUTLINE, places, true);
  };
  const bump = (angle: number, where: number, width: number): number => {
    const off = Math.atan2(Math.sin(angle - where), Math.cos(angle - where));
    return Math.exp(-((off / width) ** 2));
  };
  ring(0, () => 6);
  ring(1, (a) => 36 / Math.hypot(5 * Math.cos(a), 7.2 * Math.sin(a)));
  ring(2, (a) => 6 - 2.2 * bump(a, 0.8, 0.12) - 1.4 * bump(a, 3.5, 0.1));
  ring(3, (a) => 6 + 2.6 * bump(a, 2.2, 0.16) + 1.6 * bump(a, 5.1, 0.12));
  ring(4, () => 6);
  const [px, py] = at(4);
  pen.fill(Array.from({ length: 40 }, (_, k): Place => {
    const angle = (2 * Math.PI * k) / 40;
    const r = 2.1 + 0.6 * Math.sin(3 * angle);
    return [px + 2 + r * Math.cos(angle), py - 1 + r * Math.sin(angle)];
  }));
  ['round: keep', 'oval: turn the tip', 'burr: sand, turn', 'torn: begin anew', 'dust: blow, brush'].forEach((title, i) => {
    pen.text([at(i)[0], -11.5], title, { sizeMm: 2.9, anchor: 'middle' });
  });
  return pen;
}

function blanks(rows: readonly (readonly (readonly [string, number])[])[]): Drawing {
  const pen = new Pen();
  rows.forEach((row, r) => {
    let x = 0;
    for (const [label, widthMm] of row) {
      blank(pen, [x, -6 - r * 7.5], label, widthMm);
      x += widthMm + 4;
    }
  });
  return pen;
}

function boxWithBlanks(plan: BuildPlan, lengths: Lengths): Drawing {
  const pen = new Pen().rectangle(OUTLINE, 0, 0, 52, 24);
  pen.line(OUTLINE, [6, 3], [6, 21]);
  pen.line(THIN, [6, 3], [52, 13.2]).line(THIN, [6, 21], [52, 10.8]);
  pen.line(HIDDEN, [52, 11.5], [52, 12.5]);
  pen.text([58, 16], `f = ______ mm (here ${lengths.full(plan.camera.focalLengthMm)})`);
  pen.text([58, 9], `hole ______ mm (here ${formatNumber(plan.camera.hole.diameterMm, { significant: 3 })} mm)`);
  const fNumber = holeStop({ diameterMm: plan.camera.hole.diameterMm, focalLengthMm: plan.camera.focalLengthMm }).fNumber;
  pen.text([58, 2], `f-number = f / hole = ______ (here ${formatNumber(fNumber)})`);
  return pen;
}

function sideOne(plan: BuildPlan, lengths: Lengths, room: Room): readonly Drawing[] {
  const w = room.widthMm;
  return [
    words([{ text: 'My pinhole camera: build', bold: true, sizeMm: 5.2 }], w),
    blanks([[['Name', w * 0.45], ['camera no.', w * 0.2], ['date', w * 0.15], ['group', w * 0.2 - 12]]]),
    boxWithBlanks(plan, lengths),
    words([{ text: 'The hole in five steps', bold: true }], w),
    makingSteps(),
    words([
      { text: 'Press a needle into thin brass on card until a bump shows behind, not through.', mark: '1' },
      { text: 'Turn it over, sand the bump flat with wet fine paper. Repeat until it just breaks open.', mark: '2' },
      { text: 'Pierce with the tip only, from the dimple.', mark: '3' },
      { text: 'Turn the tip between the fingers, from both sides; sand the burr away.', mark: '4' },
      { text: 'Hold it to a lamp, never to the sun, and compare:', mark: '5' },
    ], w),
    outlines(),
    words([
      { text: 'Mark the middle of the front and of the plate, tape the plate over the opening, edge to the film side as your teacher says.', mark: '[]' },
      { text: 'Inside black, all edges too. Shutter shuts and stays shut.', mark: '[]' },
      { text: 'Light test: eye in the dark, torch inside the shut box. Tape, lid, corners, shutter: no light anywhere.', mark: '[]' },
      { text: 'View triangles from the sheet "View lines" stuck on top and side.', mark: '[]' },
      { text: `Safety: needle tips and cut brass or can edges cut: cork on the needle, file and tape the edges. ${CAUTIONS['class'] ?? ''}`, bold: true, aboveMm: 1 },
    ], w),
  ];
}

const CLASS_LIGHTS = [
  ['full sun', 15], ['thin cloud', 14], ['overcast', 12.5], ['open shade', 12], ['indoors by a window', 8],
] as const;

function sideTwo(plan: BuildPlan, room: Room): readonly Drawing[] {
  const w = room.widthMm;
  const { film, exposureIndex, hole, focalLengthMm } = plan.camera;
  const fNumber = holeStop({ diameterMm: hole.diameterMm, focalLengthMm }).fNumber;
  const index = exposureIndex ?? (film === null || (film.iso === null && film.exposureIndexRange === null) ? 6 : null);
  const times = CLASS_LIGHTS.map(([name, ev100Ev]) => [
    name,
    formatTime(roundedTimeS(exposureTime({ fNumber, film, light: { kind: 'ev', ev100Ev }, ...(index === null ? {} : { exposureIndex: index }) }).correctedS)),
    '',
  ]);
  return [
    words([{ text: 'My pinhole camera: expose and look', bold: true, sizeMm: 5.2 }], w),
    words([{ text: `Times at f/${formatNumber(fNumber)}${film === null ? `, exposure index ${index ?? ''}` : ` on ${film.name}`}; write your own beside them.` }], w),
    ...tables([{ title: 'light', grow: 1 }, { title: 'time', align: 'end' }, { title: 'for my camera', grow: 1 }], times, room),
    words([
      { text: 'Before you open', bold: true },
      { text: 'Steady, on something heavy? Aimed by the triangles? Sun behind you?', mark: '[]' },
      { text: 'Paper in, shiny side to the hole? Shutter shut? Who counts the seconds, aloud?', mark: '[]' },
    ], w),
    words([{ text: 'My three tries: change one thing only', bold: true }], w),
    ...tables([{ title: 'no.' }, { title: 'light', grow: 1 }, { title: 'seconds', grow: 0.6 }, { title: 'what came out', grow: 1.3 }, { title: 'what I change', grow: 1.3 }],
      [['1', '', '', '', ''], ['2', '', '', '', ''], ['3', '', '', '', '']], room, 4.4),
    ...tables([{ title: 'the negative is', grow: 0.9 }, { title: 'because', grow: 1.2 }, { title: 'next', grow: 1.2 }], [
      ['white', 'too short, shutter shut, wrong side of the paper', 'four times the time'],
      ['black all over', 'much too long, or light got in', 'a quarter of the time; light test'],
      ['grey and flat', 'light in the box or the darkroom', 'light test; safelight test'],
      ['a black streak', 'a leak: it points at it', 'tape there'],
      ['cut off in a round', 'an opening in the way', 'wider opening, centre it'],
      ['soft everywhere', 'hole large or torn, camera moved', 'look at the hole; weight on the camera'],
      ['double', 'moved, or opened twice', 'fix it, shut between'],
    ], room, 3.1),
    words([
      { text: 'The picture stands on its head and is mirrored: draw why. Why does a smaller hole give a sharper picture, and why not the smallest?' },
      { text: `Safety: ${CAUTIONS['sun'] ?? ''} ${CAUTIONS['darkroom chemicals'] ?? ''} Wash your hands.`, bold: true, sizeMm: 3, aboveMm: 1 },
    ], w),
  ];
}

const SYMPTOMS: readonly (readonly [string, string, string])[] = [
  ['Nothing on the sheet', 'Shutter shut, far too short, wrong side to the hole, sheet exposed as empty', 'Four times the time; check the emulsion side; number the holders'],
  ['Black all over', 'Far too long, lid or holder open, safelight or torch', 'A quarter of the time; sun test; coin test of the safelight'],
  ['Fog from an edge, fading inwards', 'Lid, holder seat or light trap on that side (mirrored: the picture is turned round)', 'Felt or tape there; deeper rebate'],
  ['Sharp streak or fan', 'A pin-prick or crack; the fan points at it', 'Torch inside in the dark; tape; paint'],
  ['Even grey, weak blacks', 'Thin board or card lets light through, stray light inside, old paper', 'Foil and black paint; blacken edges; fresh paper'],
  ['Soft darkening to the corners', 'Falloff of the angle; a thick plate adds to it', 'Right so; thinner edge, longer focal length, or correct it in the print'],
  ['Corners cut off sharply', 'An opening too small or off centre', 'Gauge; file or bevel that side; centre the shutter'],
  ['One side dark', 'Shutter not fully open, front off centre', 'Stop at fully open; see the Front page'],
  ['Soft everywhere', 'Hole too large or torn, paper not flat, camera shaken', 'Measure the plate; tape the paper; weight and cord'],
  ['Soft in one direction', 'Oval hole or burr, camera turned or slipped', 'Turn the tip; fix the camera'],
  ['Double outlines', 'Camera moved, shutter opened twice, two leaks of the hole', 'Fix it; shut fully between'],
  ['Threads and rings of light', 'Shiny tube or edge near the hole, dust in the hole', 'Blacken edges; blow and brush the hole'],
  ['Dark stripes at the sheet\'s edge', 'Holder lips, tape, fingers', 'Hold it by the edges; cut the tape narrower'],
  ['Too contrasty', 'Graded or blue-sensitive paper in sun', 'Pre-flash, dull light, yellow filter, weaker developer'],
];

/** @returns two pages of handout, then the light test and the chart */
export function classSheet({ plan, lengths: unit }: SheetRequest, room: Room): readonly Leaf[] {
  const lengths = lengthsIn(unit);
  return [
    ...flowed('Class handout, side 1', 'no scale', sideOne(plan, lengths, room), room),
    ...flowed('Class handout, side 2', 'no scale', sideTwo(plan, room), room),
    ...flowed('Light-tightness test', 'no scale', [
      words([
        { text: 'Is it light-tight, and where is the leak?', bold: true, sizeMm: 4.6 },
        { text: 'Torch: in a dark room put a lit torch (not a hot lamp) into the box, shut it, wait three minutes for your eyes, and look along every joint, the lid, the holder seat and the shutter. Thin ply and card glow: foil and paint.', mark: '1.', aboveMm: 1.5 },
        { text: 'Outside in: head and box under a dark cloth, a strong lamp outside from every side; look in through the back.', mark: '2.', aboveMm: 1.5 },
        { text: 'In the sun: load paper, shutter shut. Turn each side to the sun for five minutes, six sides. Develop: any grey is a leak.', mark: '3.', aboveMm: 1.5 },
        { text: 'Blank first: develop one sheet straight from the box of paper, and one that was only loaded and unloaded. If these are grey it is the darkroom or the holder.', mark: '4.', aboveMm: 1.5 },
        { text: 'Find the place: the leak, the hole\'s side and the grey patch lie on one line. The sheet is seen turned round: mark its upper edge in the dark.', mark: '5.', aboveMm: 1.5 },
      ], room.widthMm),
      ...tables([{ title: 'side to the sun', grow: 1 }, { title: 'minutes', align: 'end' }, { title: 'grey where?', grow: 2 }],
        ['front', 'top', 'left', 'right', 'bottom', 'back'].map((side) => [side, '5', '']), room, 4.4),
      words([{ text: `${CAUTIONS['sun'] ?? ''}`, bold: true }], room.widthMm),
    ], room),
    ...flowed('Symptom chart', 'no scale', [
      ...tables([{ title: 'what the sheet shows', grow: 0.8 }, { title: 'what it can be', grow: 1.2 }, { title: 'what to do', grow: 1.1 }],
        SYMPTOMS, room, 3.2),
      words([{ text: 'Change one thing at a time and write down which. Common practice, no source.', aboveMm: 1 }], room.widthMm),
    ], room),
    ...flowed('Cautions', 'no scale', [
      words([
        { text: 'Before the work', bold: true, sizeMm: 4.6 },
        ...Object.entries(CAUTIONS).filter(([topic]) => topic !== 'class').map(([topic, line]) => ({ text: `${topic.charAt(0).toUpperCase()}${topic.slice(1)}: ${line}`, aboveMm: 2 })),
        { text: 'These are the usual cautions; the maker\'s safety sheet, the machine\'s manual and your local rules come first.', bold: true, aboveMm: 2 },
      ], room.widthMm),
    ], room),
  ];
}
