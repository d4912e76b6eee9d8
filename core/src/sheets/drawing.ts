/**
 * The one neutral drawing from which every output is made: plain data in mm, x right, y up. A walker (walker.ts) takes it
 * apart into a few strokes that every sink (PDF, SVG, DXF, the tests) understands; a new output touches nothing else.
 */
import { ASCENT_EM, DESCENT_EM, printable, textWidthMm } from './letters.ts';

/** x to the right, y up. */
export type Place = readonly [xMm: number, yMm: number];

/** What a tool does with a line; `note` is for the eye only. */
export const LAYERS = ['cut', 'score', 'fold', 'drill', 'engrave', 'note'] as const;
export type Layer = (typeof LAYERS)[number];

/** Line types of ISO 128: thick and thin continuous, dashed (hidden), long-dashed dotted (axis), double-dotted (elsewhere). */
export type LineType = 'thick' | 'thin' | 'dashed' | 'centre' | 'phantom';

export interface Stroke {
  readonly layer: Layer;
  readonly line: LineType;
}

export type Item =
  | { readonly kind: 'path'; readonly stroke: Stroke; readonly places: readonly Place[]; readonly closed: boolean }
  /** Counter-clockwise from `fromRad` to `toRad`; a whole turn is a circle. */
  | {
      readonly kind: 'arc';
      readonly stroke: Stroke;
      readonly centre: Place;
      readonly radiusMm: number;
      readonly fromRad: number;
      readonly toRad: number;
    }
  /** Solid black. */
  | { readonly kind: 'fill'; readonly layer: Layer; readonly places: readonly Place[] }
  /** Thin parallel lines inside closed loops (even-odd). */
  | {
      readonly kind: 'hatch';
      readonly loops: readonly (readonly Place[])[];
      readonly angleRad: number;
      readonly spacingMm: number;
    }
  | Lettering
  | Dimension;

export interface Lettering {
  readonly kind: 'text';
  readonly layer: Layer;
  /** Left end, middle or right end of the baseline. */
  readonly at: Place;
  readonly text: string;
  /** Of the em. */
  readonly sizeMm: number;
  readonly anchor: 'start' | 'middle' | 'end';
  readonly angleRad: number;
  readonly bold: boolean;
}

/**
 * A measured length in the manner of ISO 129-1: extension lines, dimension line with closed arrow heads, figure above it.
 * The line lies `offsetMm` to the left of the way from → to (negative: to the right).
 */
export interface Dimension {
  readonly kind: 'dimension';
  /** Tells it from the others of the sheet: `front board, width`. */
  readonly name: string;
  readonly from: Place;
  readonly to: Place;
  readonly offsetMm: number;
  readonly text: string;
  /** Where the figure stands: beyond `to` or before `from`, on the line's own way; absent: between them where it fits, else after. */
  readonly figure?: 'after' | 'before';
  /** Its line is drawn already by other strokes: only its name and ends are told. */
  readonly silent?: true;
}

export interface Drawing {
  readonly items: readonly Item[];
  /** On a page nothing stands beside it: running words, tables. */
  readonly ownRow?: boolean;
}

export interface Box {
  readonly leftMm: number;
  readonly bottomMm: number;
  readonly rightMm: number;
  readonly topMm: number;
}

export const EDGE: Stroke = { layer: 'cut', line: 'thick' };
export const THIN: Stroke = { layer: 'note', line: 'thin' };
export const CENTRE: Stroke = { layer: 'note', line: 'centre' };
export const HIDDEN: Stroke = { layer: 'note', line: 'dashed' };
export const PHANTOM: Stroke = { layer: 'note', line: 'phantom' };
export const OUTLINE: Stroke = { layer: 'note', line: 'thick' };
export const SCORE: Stroke = { layer: 'score', line: 'thin' };
export const FOLD: Stroke = { layer: 'fold', line: 'dashed' };
export const DRILL: Stroke = { layer: 'drill', line: 'thick' };

/** Em of the figures on dimensions and of plain words. */
export const FIGURE_MM = 3.4;
/** Proportions of a dimension: arrow head, gap before and overshoot of the extension line, lift of the figure. */
export const ARROW = { lengthMm: 2.6, halfWidthMm: 0.45, gapMm: 0.8, overshootMm: 1.4, liftMm: 0.9 } as const;

const WHOLE_TURN = 2 * Math.PI;

export interface TextChoice {
  readonly sizeMm?: number;
  readonly anchor?: Lettering['anchor'];
  readonly angleRad?: number;
  readonly bold?: boolean;
  readonly layer?: Layer;
}

/** Draws: gathers items one after the other. */
export class Pen {
  readonly items: Item[] = [];

  constructor(readonly ownRow = false) {}

  path(stroke: Stroke, places: readonly Place[], closed = false): this {
    this.items.push({ kind: 'path', stroke, places, closed });
    return this;
  }

  line(stroke: Stroke, from: Place, to: Place): this {
    return this.path(stroke, [from, to]);
  }

  rectangle(stroke: Stroke, leftMm: number, bottomMm: number, widthMm: number, heightMm: number): this {
    const [right, top] = [leftMm + widthMm, bottomMm + heightMm];
    return this.path(stroke, [[leftMm, bottomMm], [right, bottomMm], [right, top], [leftMm, top]], true);
  }

  arc(stroke: Stroke, centre: Place, radiusMm: number, fromRad: number, toRad: number): this {
    this.items.push({ kind: 'arc', stroke, centre, radiusMm, fromRad, toRad });
    return this;
  }

  circle(stroke: Stroke, centre: Place, radiusMm: number): this {
    return this.arc(stroke, centre, radiusMm, 0, WHOLE_TURN);
  }

  /** Two centre lines that cross, reaching `reachMm` from the middle. */
  cross(centre: Place, reachMm: number, stroke: Stroke = { layer: 'drill', line: 'thin' }): this {
    const [x, y] = centre;
    return this.line(stroke, [x - reachMm, y], [x + reachMm, y]).line(stroke, [x, y - reachMm], [x, y + reachMm]);
  }

  fill(places: readonly Place[], layer: Layer = 'note'): this {
    this.items.push({ kind: 'fill', layer, places });
    return this;
  }

  hatch(loops: readonly (readonly Place[])[], spacingMm = 2.5, angleRad = Math.PI / 4): this {
    this.items.push({ kind: 'hatch', loops, angleRad, spacingMm });
    return this;
  }

  text(at: Place, words: string, choice: TextChoice = {}): this {
    this.items.push({
      kind: 'text',
      layer: choice.layer ?? 'note',
      at,
      text: printable(words),
      sizeMm: choice.sizeMm ?? FIGURE_MM,
      anchor: choice.anchor ?? 'start',
      angleRad: choice.angleRad ?? 0,
      bold: choice.bold ?? false,
    });
    return this;
  }

  dimension(name: string, from: Place, to: Place, offsetMm: number, text: string): this {
    this.items.push({ kind: 'dimension', name, from, to, offsetMm, text: printable(text) });
    return this;
  }

  /** Another drawing, set off by (x, y). */
  place(drawing: Drawing, xMm: number, yMm: number): this {
    this.items.push(...drawing.items.map((item) => moved(item, xMm, yMm)));
    return this;
  }
}

function shifted(place: Place, xMm: number, yMm: number): Place {
  return [place[0] + xMm, place[1] + yMm];
}

/** The same item elsewhere. */
export function moved(item: Item, xMm: number, yMm: number): Item {
  const many = (places: readonly Place[]): readonly Place[] => places.map((place) => shifted(place, xMm, yMm));
  switch (item.kind) {
    case 'path':
    case 'fill':
      return { ...item, places: many(item.places) };
    case 'arc':
      return { ...item, centre: shifted(item.centre, xMm, yMm) };
    case 'hatch':
      return { ...item, loops: item.loops.map(many) };
    case 'text':
      return { ...item, at: shifted(item.at, xMm, yMm) };
    case 'dimension':
      return { ...item, from: shifted(item.from, xMm, yMm), to: shifted(item.to, xMm, yMm) };
  }
}

/** The corners of a text's box, counter-clockwise from the lower left as the text is read. */
export function letteringCorners(text: Lettering): readonly Place[] {
  const width = textWidthMm(text.text, text.sizeMm, text.bold);
  const start = { start: 0, middle: -width / 2, end: -width }[text.anchor];
  const [low, high] = [-DESCENT_EM * text.sizeMm, ASCENT_EM * text.sizeMm];
  const [c, s] = [Math.cos(text.angleRad), Math.sin(text.angleRad)];
  const corner = (along: number, up: number): Place => [text.at[0] + along * c - up * s, text.at[1] + along * s + up * c];
  return [corner(start, low), corner(start + width, low), corner(start + width, high), corner(start, high)];
}

/** The smallest upright box round places; `null` for none. */
export function boxOf(places: readonly Place[]): Box | null {
  if (places.length === 0) return null;
  const xs = places.map(([x]) => x);
  const ys = places.map(([, y]) => y);
  const low = (list: readonly number[]): number => list.reduce((a, b) => Math.min(a, b), Infinity);
  const high = (list: readonly number[]): number => list.reduce((a, b) => Math.max(a, b), -Infinity);
  return { leftMm: low(xs), bottomMm: low(ys), rightMm: high(xs), topMm: high(ys) };
}
