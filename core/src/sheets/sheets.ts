/** All sheets by name, and the way from a camera and a paper to pages with their drawn lengths. */
import { InputError } from '../errors.ts';
import { boxSheet } from './box-sheet.ts';
import { canFlapSheet, canPaperSheet, canWallSheet } from './can-sheets.ts';
import { classSheet } from './class-sheets.ts';
import { plateSheet, viewSheet, windingSheet } from './field-sheets.ts';
import { shutterSheet, templateSheet } from './front-sheet.ts';
import { gaugeSheet } from './gauge.ts';
import { pageRoom, pagesOf } from './page.ts';
import type { Leaf, Page, PageHead, PageSetup } from './page.ts';
import type { Room } from './flow.ts';
import type { SheetRequest } from './plan.ts';
import { cameraSheet, cardSheet, solargraphSheet, testSheet } from './word-sheets.ts';

export interface SheetKind {
  readonly name: SheetName;
  readonly title: string;
  /** What it is for, a sentence. */
  readonly purpose: string;
  /** True where the lengths themselves are the point. */
  readonly trueSize: boolean;
}

/** In the order of the job. */
export const SHEET_NAMES = [
  'gauge', 'template', 'shutter', 'box', 'view', 'plate', 'card', 'camera', 'test', 'winding', 'solargraph', 'handout',
] as const;
export type SheetName = (typeof SHEET_NAMES)[number];

export const SHEETS: readonly SheetKind[] = [
  { name: 'gauge', title: 'View gauge', purpose: 'Wedge and cone of card that show on the real front whether anything stands in the view.', trueSize: true },
  { name: 'template', title: 'Front: drilling and layout', purpose: 'Hole, recess, screws, openings and shutter rails to prick through onto the wood.', trueSize: true },
  { name: 'shutter', title: 'Shutter parts', purpose: 'Slide, flap and pivot lever, cut to the openings of this front.', trueSize: true },
  { name: 'box', title: 'Box parts and cut list', purpose: 'Every board at true size, the cut list with totals, and how it lies on your boards.', trueSize: true },
  { name: 'view', title: 'View lines and sighting triangles', purpose: 'Triangles for top and side of the box, and a wire frame finder.', trueSize: true },
  { name: 'plate', title: 'Plate blanks for the scanner', purpose: 'A blank with a centring cross, and a numbered sheet for 24 plates.', trueSize: true },
  { name: 'card', title: 'Exposure card and class board', purpose: 'Times for the back of the camera, and for twenty cameras of a class.', trueSize: false },
  { name: 'camera', title: 'Camera sheet', purpose: 'All numbers of the camera, its plate with date, a sketch, and a QR that holds it as text.', trueSize: false },
  { name: 'test', title: 'Step test on one sheet', purpose: 'Strips, dark-slide marks and times that find the speed with one sheet.', trueSize: true },
  { name: 'winding', title: 'Roll film: winding and window', purpose: 'Turns for each picture on the growing spool, and where the window goes.', trueSize: true },
  { name: 'solargraph', title: 'Solargraph: label and checklist', purpose: 'A label that keeps the can where it is, and what is forgotten in six months.', trueSize: false },
  { name: 'handout', title: 'Class handout and charts', purpose: 'Two sides for every pupil, the light-tightness test, the symptom chart, the cautions.', trueSize: false },
];

type Builder = (request: SheetRequest, room: Room) => readonly Leaf[];

const BUILDERS: Readonly<Record<SheetName, Builder>> = {
  gauge: gaugeSheet,
  template: templateSheet,
  shutter: shutterSheet,
  box: boxSheet,
  view: viewSheet,
  plate: plateSheet,
  card: cardSheet,
  camera: cameraSheet,
  test: testSheet,
  winding: windingSheet,
  solargraph: solargraphSheet,
  handout: classSheet,
};

/** What takes the place of boards where the camera is a can. */
const CAN_BUILDERS: Partial<Record<SheetName, Builder>> = { template: canWallSheet, shutter: canFlapSheet, box: canPaperSheet };

export function isSheetName(text: string): text is SheetName {
  return SHEET_NAMES.some((name) => name === text);
}

/** @throws InputError unknown-name */
export function sheetNamed(text: string): SheetName {
  const wanted = text.trim().toLowerCase();
  const found = SHEET_NAMES.find((name) => name === wanted);
  if (found !== undefined) return found;
  throw new InputError('unknown-name', `There is no sheet “${text}”. There are ${SHEET_NAMES.join(', ')}, and all.`, {
    path: 'sheet', got: text, expected: SHEET_NAMES.join(', '),
  });
}

/**
 * One sheet on its pages.
 * @throws InputError as the numbers of the camera make it
 */
export function sheetPages(name: SheetName, request: SheetRequest, setup: PageSetup, head: PageHead): readonly Page[] {
  const can = request.plan.camera.filmPlane === 'can' ? CAN_BUILDERS[name] : undefined;
  return pagesOf((can ?? BUILDERS[name])(request, pageRoom(setup)), setup, head);
}
