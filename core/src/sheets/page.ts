/**
 * Pages: paper, margins, check bars and title block, the printer's correction per axis, and drawings larger than a page
 * laid over several with overlap and trim marks.
 *
 * A page is laid out in the lengths of the thing drawn; the correction stretches everything about the page's lower left
 * corner afterwards. So a printer that shrinks by the same share gives every length back.
 */
import { InputError } from '../errors.ts';
import { MM_PER_INCH } from '../units/length.ts';
import { OUTLINE, Pen, THIN, boxOf, letteringCorners } from './drawing.ts';
import type { Box, Drawing, Item, Place } from './drawing.ts';
import { fitted } from './letters.ts';
import { IN_PLACE, drawingBox, walk } from './walker.ts';
import type { Placement, Sink } from './walker.ts';

export const PAPERS = {
  a4: { name: 'A4', widthMm: 210, heightMm: 297 },
  letter: { name: 'Letter', widthMm: 215.9, heightMm: 279.4 },
} as const;
export type PaperName = keyof typeof PAPERS;

/** No printer reaches the edge. */
export const MARGIN_MM = 10;
/** Common to two neighbouring pages. */
export const OVERLAP_MM = 15;
/** Strip round a tile for its trim marks. */
const TRIM_STRIP_MM = 5;
const TITLE_HEIGHT_MM = 25;
const BAR_STRIP_MM = 14;
const GAP_MM = 3;
const BAR_THICK_MM = 1.4;
export const CHECK_BAR_MM = 100;
export const CHECK_BAR_IN_MM = 4 * MM_PER_INCH;

/** How far a printer's page is stretched beforehand so that it comes out right. */
export interface PrintFactors {
  readonly xFactor: number;
  readonly yFactor: number;
}

export const UNCORRECTED: PrintFactors = { xFactor: 1, yFactor: 1 };

/** A printer off by more than this does something else than it says. */
const LARGEST_OFF = 0.25;

/**
 * The correction from what the maker measured on a printed page: factor = printed factor × 100 / measured.
 * @param measured length of the bar that should be 100 mm, per axis, and the correction that page was printed with
 * @throws InputError out-of-range when the bar is off by more than a quarter: that page was not printed at 100 %
 */
export function printFactors(measured: {
  readonly acrossMm: number;
  readonly upMm: number;
  readonly printedWith?: PrintFactors;
}): PrintFactors {
  const before = measured.printedWith ?? UNCORRECTED;
  const factor = (barMm: number, was: number, axis: string): number => {
    const next = (was * CHECK_BAR_MM) / barMm;
    if (Math.abs(barMm - CHECK_BAR_MM) <= LARGEST_OFF * CHECK_BAR_MM && Math.abs(next - 1) <= 2 * LARGEST_OFF) return next;
    throw new InputError(
      'out-of-range',
      `The 100 mm bar ${axis} cannot measure ${barMm} mm on a page printed at 100 %. Print again without fitting to the `
        + 'page and measure that bar from end to end in mm.',
      { path: axis, got: barMm, expected: '75 to 125 mm' },
    );
  };
  return { xFactor: factor(measured.acrossMm, before.xFactor, 'across'), yFactor: factor(measured.upMm, before.yFactor, 'up') };
}

export interface PageSetup extends PrintFactors {
  readonly paper: PaperName;
  /** False for a cutter: one page, as large as the drawing needs. */
  readonly tiled: boolean;
}

/** What stands on every page. The date comes from outside: the core has no clock. */
export interface PageHead {
  readonly camera: string;
  readonly date: string;
  readonly version: string;
  readonly lengths: 'mm' | 'in';
  readonly printer: string | null;
}

/** One drawing as a sheet gives it. */
export interface Leaf {
  readonly title: string;
  /** `1:1`, `1:5`, or `no scale`. */
  readonly scale: string;
  readonly drawing: Drawing;
  /** Where the drawing's room begins; absent: its own outline, set in the middle of the page. */
  readonly room?: Box;
}

/** A drawing on a page, cut off at a window (page coordinates) where it runs over several. */
export interface Block {
  readonly drawing: Drawing;
  readonly placement: Placement;
  readonly window: Box | null;
}

export interface Page {
  readonly widthMm: number;
  readonly heightMm: number;
  readonly title: string;
  /** `2` or `3, tile A1 of B2`. */
  readonly name: string;
  readonly blocks: readonly Block[];
}

/** A length drawn on a page, between the tips of its dimension line or the ends of its bar. */
export interface DrawnLength {
  readonly name: string;
  /** Of the thing itself. */
  readonly lengthMm: number;
  /** From the page's lower left corner. */
  readonly fromMm: readonly [number, number];
  readonly toMm: readonly [number, number];
}

interface Sheetlike {
  readonly widthMm: number;
  readonly heightMm: number;
}

/** Lengths of the page in the thing's own mm. */
function inside(setup: PageSetup, landscape: boolean): Sheetlike {
  const { widthMm, heightMm } = PAPERS[setup.paper];
  const [w, h] = landscape ? [heightMm, widthMm] : [widthMm, heightMm];
  return { widthMm: w / setup.xFactor, heightMm: h / setup.yFactor };
}

function areaOf(page: Sheetlike, setup: PageSetup): Box {
  const [mx, my] = [MARGIN_MM / setup.xFactor, MARGIN_MM / setup.yFactor];
  return {
    leftMm: mx + BAR_STRIP_MM,
    bottomMm: my + TITLE_HEIGHT_MM + GAP_MM,
    rightMm: page.widthMm - mx,
    topMm: page.heightMm - my,
  };
}

/** Room for a drawing on an upright page. */
export function pageRoom(setup: PageSetup): { readonly widthMm: number; readonly heightMm: number } {
  const area = areaOf(inside(setup, false), setup);
  return { widthMm: area.rightMm - area.leftMm, heightMm: area.topMm - area.bottomMm };
}

/** A black bar from end to end. The middles of its ends are corners too: readers that sharpen plain rectangles leave it be. */
function bar(pen: Pen, name: string, leftMm: number, bottomMm: number, lengthMm: number, up: boolean): void {
  const half = BAR_THICK_MM / 2;
  const at = (along: number, out: number): Place => (up ? [leftMm + half - out, bottomMm + along] : [leftMm + along, bottomMm + half + out]);
  const [from, to] = [at(0, 0), at(lengthMm, 0)];
  pen.fill([from, at(0, -half), at(lengthMm, -half), to, at(lengthMm, half), at(0, half)]);
  // The label stands beside the bar; its line only makes it one of the measured lengths.
  pen.items.push({ kind: 'dimension', name, from, to, offsetMm: 0, text: '', silent: true });
}

function checkBars(page: Sheetlike, setup: PageSetup): Drawing {
  const pen = new Pen();
  const [x, y] = [MARGIN_MM / setup.xFactor, MARGIN_MM / setup.yFactor];
  const sizeMm = 2.9;
  bar(pen, 'check bar 100 mm, across', x, y + 19, CHECK_BAR_MM, false);
  pen.text([x + CHECK_BAR_IN_MM + 1.5, y + 18.6], '100 mm', { sizeMm });
  bar(pen, 'check bar 4 in, across', x, y + 13.5, CHECK_BAR_IN_MM, false);
  pen.text([x + CHECK_BAR_IN_MM + 1.5, y + 13.1], '4 in', { sizeMm });
  const foot = y + TITLE_HEIGHT_MM + GAP_MM;
  const turned = Math.PI / 2;
  if (page.heightMm - foot - y > CHECK_BAR_IN_MM) {
    bar(pen, 'check bar 100 mm, up', x, foot, CHECK_BAR_MM, true);
    pen.text([x + 4.4, foot], '100 mm', { sizeMm, angleRad: turned });
    bar(pen, 'check bar 4 in, up', x + 6.2, foot, CHECK_BAR_IN_MM, true);
    pen.text([x + 10.6, foot], '4 in', { sizeMm, angleRad: turned });
  }
  pen.text([x, y + 7.6], 'Print at 100 %, without fitting to the page. Then measure the bars from end to', { sizeMm });
  pen.text([x, y + 3.6], 'end, across and up: if they are off, give what they measure and print again.', { sizeMm });
  return pen;
}

function titleBlock(page: Sheetlike, setup: PageSetup, head: PageHead, leaf: Leaf, name: string): Drawing {
  const pen = new Pen();
  const [x, y] = [MARGIN_MM / setup.xFactor, MARGIN_MM / setup.yFactor];
  const [right, top] = [page.widthMm - x, y + TITLE_HEIGHT_MM];
  const left = x + 116;
  const room = right - left;
  pen.line(OUTLINE, [x, top], [right, top]);
  const line = (upMm: number, words: string, sizeMm: number, bold = false): void => {
    pen.text([left, y + upMm], fitted(words, sizeMm, room, bold), { sizeMm, bold });
  };
  const corrected = setup.xFactor !== 1 || setup.yFactor !== 1;
  line(19, leaf.title, 4.4, true);
  line(13.8, head.camera, 3.4);
  line(9.4, `Scale ${leaf.scale}, lengths in ${head.lengths === 'mm' ? 'mm' : 'inches'}; page ${name}`, 2.9);
  line(5.4, `${head.date}; Camerawright ${head.version}`, 2.9);
  line(
    1.4,
    corrected
      ? `Corrected${head.printer === null ? '' : ` for ${head.printer}`}: across × ${setup.xFactor.toFixed(4)}, `
        + `up × ${setup.yFactor.toFixed(4)}`
      : 'Not corrected for a printer',
    2.9,
  );
  return pen;
}

function framed(page: Sheetlike, setup: PageSetup, head: PageHead, leaf: Leaf, name: string, blocks: readonly Block[]): Page {
  const { xFactor, yFactor } = setup;
  const whole = { ...IN_PLACE, xFactor, yFactor };
  return {
    widthMm: page.widthMm * xFactor,
    heightMm: page.heightMm * yFactor,
    title: leaf.title,
    name,
    blocks: [
      ...blocks,
      { drawing: checkBars(page, setup), placement: whole, window: null },
      { drawing: titleBlock(page, setup, head, leaf, name), placement: whole, window: null },
    ],
  };
}

/** Pages of one sheet: each leaf upright where it fits, else lying, else over several pages (or one grown, for a cutter). */
export function pagesOf(leaves: readonly Leaf[], setup: PageSetup, head: PageHead): readonly Page[] {
  return leaves.flatMap((leaf, index) => leafPages(leaf, setup, head, `${index + 1}`, leaves.length));
}

function leafPages(leaf: Leaf, setup: PageSetup, head: PageHead, number: string, of: number): readonly Page[] {
  const box = leaf.room ?? drawingBox(leaf.drawing);
  if (box === null) return [];
  const [width, height] = [box.rightMm - box.leftMm, box.topMm - box.bottomMm];
  const name = `${number} of ${of}`;
  for (const landscape of [false, true]) {
    const page = inside(setup, landscape);
    const area = areaOf(page, setup);
    if (width > area.rightMm - area.leftMm + 1e-6 || height > area.topMm - area.bottomMm + 1e-6) continue;
    return [framed(page, setup, head, leaf, name, [centred(leaf, box, area, setup)])];
  }
  return setup.tiled ? tiles(leaf, box, setup, head, name) : [grown(leaf, box, setup, head, name)];
}

function centred(leaf: Leaf, box: Box, area: Box, setup: PageSetup): Block {
  const free = area.rightMm - area.leftMm - (box.rightMm - box.leftMm);
  return {
    drawing: leaf.drawing,
    placement: {
      xMm: area.leftMm + (leaf.room === undefined ? free / 2 : 0) - box.leftMm,
      yMm: area.topMm - box.topMm,
      xFactor: setup.xFactor,
      yFactor: setup.yFactor,
    },
    window: null,
  };
}

/** For a cutter: the page is as large as it must be. */
function grown(leaf: Leaf, box: Box, setup: PageSetup, head: PageHead, name: string): Page {
  const upright = inside(setup, false);
  const area = areaOf(upright, setup);
  const page = {
    widthMm: upright.widthMm + Math.max(0, box.rightMm - box.leftMm - (area.rightMm - area.leftMm)),
    heightMm: upright.heightMm + Math.max(0, box.topMm - box.bottomMm - (area.topMm - area.bottomMm)),
  };
  return framed(page, setup, head, leaf, name, [centred(leaf, box, areaOf(page, setup), setup)]);
}

const LETTERS = 'ABCDEFGHIJKLMNOPQRSTUVWXYZ';

function columnName(index: number): string {
  return LETTERS[index] ?? `${index + 1}-`;
}

/** How a length is laid over windows of one size: how many, and the step between their beginnings. */
function laid(lengthMm: number, windowMm: number): { readonly count: number; readonly stepMm: number } {
  const stepMm = windowMm - OVERLAP_MM;
  return { count: Math.max(1, Math.ceil((lengthMm - OVERLAP_MM) / stepMm - 1e-9)), stepMm };
}

function tiles(leaf: Leaf, box: Box, setup: PageSetup, head: PageHead, name: string): readonly Page[] {
  const plans = [false, true].map((landscape) => {
    const page = inside(setup, landscape);
    const area = areaOf(page, setup);
    const view: Box = {
      leftMm: area.leftMm + TRIM_STRIP_MM,
      bottomMm: area.bottomMm + TRIM_STRIP_MM,
      rightMm: area.rightMm - TRIM_STRIP_MM,
      topMm: area.topMm - TRIM_STRIP_MM,
    };
    const across = laid(box.rightMm - box.leftMm, view.rightMm - view.leftMm);
    const down = laid(box.topMm - box.bottomMm, view.topMm - view.bottomMm);
    return { page, view, across, down };
  });
  const [upright, lying] = plans;
  if (upright === undefined || lying === undefined) return [];
  const plan = lying.across.count * lying.down.count < upright.across.count * upright.down.count ? lying : upright;
  const { page, view, across, down } = plan;
  const lastName = `${columnName(across.count - 1)}${down.count}`;
  const pages: Page[] = [];
  const onTile = tileDrawings(leaf.drawing, box, plan);
  for (let row = 0; row < down.count; row += 1) {
    for (let column = 0; column < across.count; column += 1) {
      const tile = `${columnName(column)}${row + 1}`;
      const { xFactor, yFactor } = setup;
      const placement: Placement = {
        xMm: view.leftMm - box.leftMm - column * across.stepMm,
        yMm: view.topMm - box.topMm + row * down.stepMm,
        xFactor,
        yFactor,
      };
      const window: Box = {
        leftMm: view.leftMm * xFactor,
        bottomMm: view.bottomMm * yFactor,
        rightMm: view.rightMm * xFactor,
        topMm: view.topMm * yFactor,
      };
      pages.push(framed(page, setup, head, leaf, `${name}, tile ${tile} of ${lastName}`, [
        { drawing: onTile(column, row), placement, window },
        {
          drawing: trimMarks(view, { left: column > 0, right: column + 1 < across.count, up: row > 0, down: row + 1 < down.count }, tile),
          placement: { ...IN_PLACE, xFactor, yFactor },
          window: null,
        },
      ]));
    }
  }
  return pages;
}

interface TilePlan {
  readonly view: Box;
  readonly across: { readonly count: number; readonly stepMm: number };
  readonly down: { readonly count: number; readonly stepMm: number };
}

/**
 * The drawing for each tile: lines as they are (the window cuts them), words only where they are whole. Words that no tile
 * would hold whole are moved along until the nearest one does.
 */
function tileDrawings(drawing: Drawing, box: Box, plan: TilePlan): (column: number, row: number) => Drawing {
  const [width, height] = [plan.view.rightMm - plan.view.leftMm, plan.view.topMm - plan.view.bottomMm];
  const viewOf = (column: number, row: number): Box => {
    const left = box.leftMm + column * plan.across.stepMm;
    const top = box.topMm - row * plan.down.stepMm;
    return { leftMm: left, rightMm: left + width, topMm: top, bottomMm: top - height };
  };
  const flat: Item[] = [];
  walk(drawing, IN_PLACE, {
    path: (stroke, places, closed) => flat.push({ kind: 'path', stroke, places, closed }),
    arc: (stroke, centre, [radiusMm], fromRad, toRad) => flat.push({ kind: 'arc', stroke, centre, radiusMm, fromRad, toRad }),
    fill: (layer, places) => flat.push({ kind: 'fill', layer, places }),
    text: (text) => flat.push(text),
    // Only its name and ends are told from here on: its strokes are in the list already.
    measured: (dimension, from, to) => flat.push({ ...dimension, from, to, offsetMm: 0, silent: true }),
  });
  const views: { readonly key: string; readonly view: Box }[] = [];
  for (let row = 0; row < plan.down.count; row += 1) {
    for (let column = 0; column < plan.across.count; column += 1) views.push({ key: `${column},${row}`, view: viewOf(column, row) });
  }
  const perTile = new Map<string, Item[]>(views.map(({ key }) => [key, []]));
  for (const item of flat) {
    if (item.kind !== 'text') {
      for (const list of perTile.values()) list.push(item);
      continue;
    }
    const own = boxOf(letteringCorners(item));
    if (own === null) continue;
    const whole = views.filter(({ view }) => holds(view, own));
    if (whole.length > 0) {
      for (const { key } of whole) perTile.get(key)?.push(item);
      continue;
    }
    const nearest = views
      .map(({ key, view }) => ({ key, by: toFit(view, own) }))
      .sort((a, b) => Math.hypot(...a.by) - Math.hypot(...b.by))[0];
    if (nearest === undefined) continue;
    const there: Item = { ...item, at: [item.at[0] + nearest.by[0], item.at[1] + nearest.by[1]] };
    const movedBox = boxOf(letteringCorners(there)) ?? own;
    for (const { key, view } of views) if (holds(view, movedBox)) perTile.get(key)?.push(there);
  }
  return (column, row) => ({ items: perTile.get(`${column},${row}`) ?? [] });
}

function holds(view: Box, own: Box): boolean {
  return own.leftMm >= view.leftMm - 1e-9 && own.rightMm <= view.rightMm + 1e-9
    && own.bottomMm >= view.bottomMm - 1e-9 && own.topMm <= view.topMm + 1e-9;
}

/** The least move that brings a box into a view (its left and top edge win where it is larger). */
function toFit(view: Box, own: Box): readonly [number, number] {
  const x = Math.max(view.leftMm - own.leftMm, Math.min(0, view.rightMm - own.rightMm));
  const y = Math.min(view.topMm - own.topMm, Math.max(0, view.bottomMm - own.bottomMm));
  return [x, y];
}

function trimMarks(
  view: Box,
  neighbour: { readonly left: boolean; readonly right: boolean; readonly up: boolean; readonly down: boolean },
  tile: string,
): Drawing {
  const pen = new Pen();
  const half = OVERLAP_MM / 2;
  const reach = 3.5;
  const upright = (x: number): void => {
    pen.line(THIN, [x, view.bottomMm - 0.5], [x, view.bottomMm - reach]);
    pen.line(THIN, [x, view.topMm + 0.5], [x, view.topMm + reach]);
  };
  const level = (y: number): void => {
    pen.line(THIN, [view.leftMm - 0.5, y], [view.leftMm - reach, y]);
    pen.line(THIN, [view.rightMm + 0.5, y], [view.rightMm + reach, y]);
  };
  if (neighbour.left) upright(view.leftMm + half);
  if (neighbour.right) upright(view.rightMm - half);
  if (neighbour.up) level(view.topMm - half);
  if (neighbour.down) level(view.bottomMm + half);
  const words = `${tile}: cut at the marks, lay mark on mark with the neighbours`;
  pen.text([view.leftMm + 2 * half + 3, view.topMm + 1.2], words, { sizeMm: 2.9 });
  return pen;
}

/** All that is drawn on a page, in order. A window is announced before what it cuts off, and lifted after. */
export interface PageSink extends Sink {
  window(box: Box | null): void;
}

export function walkPage(page: Page, sink: PageSink): void {
  for (const { drawing, placement, window } of page.blocks) {
    if (window !== null) sink.window(window);
    walk(drawing, placement, sink);
    if (window !== null) sink.window(null);
  }
}

/**
 * Every measured length that is drawn on the page. Of one that runs over the edge of a tile the part on this page is told,
 * up to the edge, and named so.
 */
export function drawnLengths(page: Page): readonly DrawnLength[] {
  const lengths: DrawnLength[] = [];
  for (const { drawing, placement, window } of page.blocks) {
    walk(drawing, placement, {
      path: () => undefined,
      arc: () => undefined,
      fill: () => undefined,
      text: () => undefined,
      measured: ({ name }, from, to) => {
        const part = window === null ? ([0, 1] as const) : partInside(from, to, window);
        if (part === null) return;
        const at = (share: number): readonly [number, number] => [
          from[0] + share * (to[0] - from[0]),
          from[1] + share * (to[1] - from[1]),
        ];
        const [fromMm, toMm] = [at(part[0]), at(part[1])];
        const { xFactor, yFactor } = placement;
        lengths.push({
          name: part[0] === 0 && part[1] === 1 ? name : `${name} (part on this page)`,
          lengthMm: Math.hypot((toMm[0] - fromMm[0]) / xFactor, (toMm[1] - fromMm[1]) / yFactor),
          fromMm,
          toMm,
        });
      },
    });
  }
  return lengths;
}

/** Shares of a line between which it lies in a box (Liang–Barsky); `null`: nowhere. */
function partInside(from: readonly [number, number], to: readonly [number, number], box: Box): readonly [number, number] | null {
  let [low, high] = [0, 1];
  const edges: readonly (readonly [number, number])[] = [
    [from[0] - to[0], from[0] - box.leftMm],
    [to[0] - from[0], box.rightMm - from[0]],
    [from[1] - to[1], from[1] - box.bottomMm],
    [to[1] - from[1], box.topMm - from[1]],
  ];
  for (const [p, q] of edges) {
    if (p === 0) {
      if (q < 0) return null;
    } else if (p < 0) low = Math.max(low, q / p);
    else high = Math.min(high, q / p);
  }
  return low < high - 1e-9 ? [low, high] : null;
}
