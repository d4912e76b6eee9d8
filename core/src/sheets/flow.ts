/** Lays words, tables and figures on pages: rows from left to right and from top to bottom, a new page when one is full. */
import { Pen, THIN } from './drawing.ts';
import type { Drawing } from './drawing.ts';
import { DESCENT_EM, fitted, printable, textWidthMm, wrapped } from './letters.ts';
import type { Leaf } from './page.ts';
import { withFiguresPlaced } from './figure-places.ts';
import { drawingBox } from './walker.ts';
import { formatLength } from '../units/length.ts';
import { fixed, withoutTrailingZeros } from '../units/figures.ts';

export interface Room {
  readonly widthMm: number;
  readonly heightMm: number;
}

/** Em of running words. */
export const WORDS_MM = 3.4;
const LEADING = 1.36;
const FIGURE_GAP_MM = 7;

/** Lengths as a sheet writes them: bare on dimensions (the title block tells the unit), with unit in sentences. */
export interface Lengths {
  readonly unit: 'mm' | 'in';
  bare(lengthMm: number): string;
  full(lengthMm: number): string;
}

export function lengthsIn(unit: 'mm' | 'in'): Lengths {
  return {
    unit,
    bare: (lengthMm) => withoutTrailingZeros(unit === 'mm' ? fixed(lengthMm, 2) : fixed(lengthMm / 25.4, 3)),
    full: (lengthMm) => formatLength(lengthMm, { unit }),
  };
}

export interface Paragraph {
  readonly text: string;
  readonly bold?: boolean;
  readonly sizeMm?: number;
  /** Stands out to the left: `1.`, `–`; a box to tick with `[]`. */
  readonly mark?: string;
  /** Room above, mm. */
  readonly aboveMm?: number;
}

/** Running words in a column, its upper left corner at (0, 0). */
export function words(paragraphs: readonly (Paragraph | string)[], widthMm: number): Drawing {
  const pen = new Pen(true);
  let y = 0;
  for (const entry of paragraphs) {
    const one: Paragraph = typeof entry === 'string' ? { text: entry } : entry;
    const { bold = false, sizeMm = WORDS_MM, mark } = one;
    y -= one.aboveMm ?? 0;
    const indent = mark === undefined ? 0 : mark === '[]' ? sizeMm * 1.5 : Math.max(sizeMm * 1.1, textWidthMm(printable(mark), sizeMm) + 1.2);
    const lines = wrapped(one.text, sizeMm, widthMm - indent, bold);
    lines.forEach((line, i) => {
      y -= sizeMm * LEADING;
      const base = y + sizeMm * 0.3;
      if (i === 0 && mark === '[]') pen.rectangle(THIN, 0.2, base - 0.3, sizeMm * 0.8, sizeMm * 0.8);
      else if (i === 0 && mark !== undefined) pen.text([0, base], mark, { sizeMm, bold });
      pen.text([indent, base], line, { sizeMm, bold });
    });
  }
  return pen;
}

export interface Column {
  readonly title: string;
  readonly align?: 'start' | 'end';
  /** Share of the width that is left over; absent: as wide as its words. */
  readonly grow?: number;
}

/**
 * A table with thin rules, upper left corner at (0, 0); cut into pieces no higher than `heightMm`, each with the header.
 * A cell wider than its column is wrapped.
 */
export function tables(
  columns: readonly Column[],
  rows: readonly (readonly string[])[],
  room: Room,
  sizeMm: number = WORDS_MM,
): readonly Drawing[] {
  const pad = 2;
  const widths = columnWidths(columns, rows, room.widthMm, sizeMm, pad);
  const lefts = widths.map((_, i) => widths.slice(0, i).reduce((a, b) => a + b, 0));
  const total = widths.reduce((a, b) => a + b, 0);
  const cells = (row: readonly string[], bold: boolean): readonly (readonly string[])[] =>
    columns.map((_, i) => wrapped(row[i] ?? '', sizeMm, (widths[i] ?? 0) - pad, bold));
  const heightOf = (row: readonly (readonly string[])[]): number =>
    Math.max(...row.map((lines) => lines.length)) * sizeMm * LEADING + 1.6;
  const head = cells(columns.map(({ title }) => title), true);
  const pieces: Drawing[] = [];
  let pen = new Pen(true);
  let y = 0;
  const put = (row: readonly (readonly string[])[], bold: boolean): void => {
    row.forEach((lines, i) => {
      const end = columns[i]?.align === 'end';
      const x = (lefts[i] ?? 0) + (end ? (widths[i] ?? 0) - pad : 0);
      lines.forEach((line, n) => {
        if (line === '') return;
        pen.text([x, y - 0.5 - (n + 1) * sizeMm * LEADING + sizeMm * 0.3], line, { sizeMm, bold, anchor: end ? 'end' : 'start' });
      });
    });
    y -= heightOf(row);
    pen.line(THIN, [0, y], [total, y]);
  };
  put(head, true);
  for (const row of rows.map((one) => cells(one, false))) {
    if (-y + heightOf(row) > room.heightMm) {
      pieces.push(pen);
      pen = new Pen(true);
      y = 0;
      put(head, true);
    }
    put(row, false);
  }
  return [...pieces, pen];
}

function columnWidths(
  columns: readonly Column[],
  rows: readonly (readonly string[])[],
  roomMm: number,
  sizeMm: number,
  pad: number,
): readonly number[] {
  const natural = columns.map(({ title }, i) =>
    Math.max(textWidthMm(printable(title), sizeMm, true), ...rows.map((row) => textWidthMm(printable(row[i] ?? ''), sizeMm))) + pad + 0.2);
  const growing = columns.reduce((sum, { grow }) => sum + (grow ?? 0), 0);
  if (growing === 0) {
    const sum = natural.reduce((a, b) => a + b, 0);
    return sum <= roomMm ? natural : natural.map((width) => (width * roomMm) / sum);
  }
  const fixedSum = columns.reduce((sum, { grow }, i) => sum + (grow === undefined ? (natural[i] ?? 0) : 0), 0);
  const left = Math.max(10 * growing, roomMm - fixedSum);
  return columns.map(({ grow }, i) => (grow === undefined ? (natural[i] ?? 0) : (left * grow) / growing));
}

/** A name over a figure, in its own words; the figure's dimensions find their room. */
export function captioned(caption: string, drawing: Drawing, noteLines: readonly string[] = []): Drawing {
  const figure = withFiguresPlaced(drawing);
  const box = drawingBox(figure);
  if (box === null) return drawing;
  const pen = new Pen().place(figure, 0, 0);
  const room = Math.max(box.rightMm - box.leftMm, 60);
  const lines = [
    ...wrapped(caption, 3.6, room, true).map((line) => ({ line, bold: true, sizeMm: 3.6 })),
    ...noteLines.flatMap((note) => wrapped(note, 3.1, room)).map((line) => ({ line, bold: false, sizeMm: 3.1 })),
  ];
  let y = box.topMm + 2.5 + lines.reduce((sum, { sizeMm }) => sum + sizeMm * LEADING, 0);
  for (const { line, bold, sizeMm } of lines) {
    y -= sizeMm * LEADING;
    pen.text([box.leftMm, y + sizeMm * DESCENT_EM], line, { sizeMm, bold });
  }
  return pen;
}

/** Figures in rows on as many pages as they need. One too large for a page gets its own. */
export function flowed(title: string, scale: string, figures: readonly Drawing[], room: Room): readonly Leaf[] {
  const leaves: Leaf[] = [];
  let pen = new Pen();
  let [x, y, shelf] = [0, 0, 0];
  const turnPage = (): void => {
    if (pen.items.length > 0) {
      leaves.push({ title, scale, drawing: pen, room: { leftMm: 0, rightMm: room.widthMm, topMm: 0, bottomMm: -room.heightMm } });
    }
    pen = new Pen();
    [x, y, shelf] = [0, 0, 0];
  };
  for (const figure of figures) {
    const box = drawingBox(figure);
    if (box === null) continue;
    const [w, h] = [box.rightMm - box.leftMm, box.topMm - box.bottomMm];
    if (w > room.widthMm + 1e-9 || h > room.heightMm + 1e-9) {
      turnPage();
      leaves.push({ title, scale, drawing: figure });
      continue;
    }
    if (x > 0 && (figure.ownRow === true || x + w > room.widthMm + 1e-9)) [x, y, shelf] = [0, y - shelf - FIGURE_GAP_MM, 0];
    if (h > room.heightMm + y + 1e-9) turnPage();
    pen.place(figure, x - box.leftMm, y - box.topMm);
    x += figure.ownRow === true ? room.widthMm + FIGURE_GAP_MM : w + FIGURE_GAP_MM;
    shelf = Math.max(shelf, h);
  }
  turnPage();
  return leaves;
}

/** A line for a pen: words, then a rule to the end of the room. */
export function blank(pen: Pen, at: readonly [number, number], label: string, widthMm: number, sizeMm: number = WORDS_MM): void {
  const shown = fitted(label, sizeMm, widthMm);
  const begin = at[0] + textWidthMm(shown, sizeMm) + (shown === '' ? 0 : 1.5);
  pen.text(at, shown, { sizeMm });
  pen.line(THIN, [begin, at[1] - 0.8], [at[0] + widthMm, at[1] - 0.8]);
}
