/**
 * The door of the sheets: pages from a camera, and their SVG. Apart from the rest of the core, so that the app's first load
 * does without it; PDF and DXF are heavier still and have `pdf.ts`.
 */
export { JOINTS, SHUTTERS, parseBoards, planOf } from './sheets/plan.ts';
export type {
  BuildChoices,
  BuildPlan,
  Joint,
  OwnedBoard,
  SheetCamera,
  SheetHole,
  SheetRequest,
  ShutterKind,
  StackLayer,
} from './sheets/plan.ts';
export { PAPERS, UNCORRECTED, drawnLengths, printFactors } from './sheets/page.ts';
export type { DrawnLength, Page, PageHead, PageSetup, PaperName, PrintFactors } from './sheets/page.ts';
export { SHEETS, SHEET_NAMES, isSheetName, sheetNamed, sheetPages } from './sheets/sheets.ts';
export type { SheetKind, SheetName } from './sheets/sheets.ts';
export { SHEET_STYLE, svgOf } from './sheets/svg.ts';
export { printerStretch, sheetCamera, sheetChoices, wishedHole } from './log/sheet-camera.ts';
