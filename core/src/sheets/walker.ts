/**
 * The one walker: takes a drawing apart into strokes, fills and words, placed on the page and stretched per axis for the
 * printer, and hands them to a sink. Dimensions and hatches are made of the same strokes here and nowhere else, so that
 * PDF, SVG, DXF and the tests get the same lines.
 */
import { ARROW, FIGURE_MM, boxOf, letteringCorners } from './drawing.ts';
import type { Box, Dimension, Drawing, Item, Layer, Lettering, Place, Stroke } from './drawing.ts';
import { DESCENT_EM, textWidthMm } from './letters.ts';

/** Receives what the walker makes of a drawing; all places are on the page, mm from its lower left corner. */
export interface Sink {
  path(stroke: Stroke, places: readonly Place[], closed: boolean): void;
  /** An ellipse's arc with its axes along x and y, counter-clockwise; radii differ only for a corrected printer. */
  arc(stroke: Stroke, centre: Place, radiiMm: readonly [xMm: number, yMm: number], fromRad: number, toRad: number): void;
  fill(layer: Layer, places: readonly Place[]): void;
  text(text: Lettering): void;
  /** A measured length as drawn: the tips of its dimension line. */
  measured?(dimension: Dimension, from: Place, to: Place): void;
}

/** Where drawing coordinates land on the page: first moved, then stretched about the page's lower left corner. */
export interface Placement {
  readonly xMm: number;
  readonly yMm: number;
  readonly xFactor: number;
  readonly yFactor: number;
}

export const IN_PLACE: Placement = { xMm: 0, yMm: 0, xFactor: 1, yFactor: 1 };

const DIMENSION: Stroke = { layer: 'note', line: 'thin' };

/** @param drawing in mm; everything in it reaches the sink in order */
export function walk(drawing: Drawing, placement: Placement, sink: Sink): void {
  for (const item of drawing.items) walkItem(item, placement, sink);
}

function onPage(place: Place, at: Placement): Place {
  return [(place[0] + at.xMm) * at.xFactor, (place[1] + at.yMm) * at.yFactor];
}

function walkItem(item: Item, at: Placement, sink: Sink): void {
  const many = (places: readonly Place[]): readonly Place[] => places.map((place) => onPage(place, at));
  switch (item.kind) {
    case 'path':
      sink.path(item.stroke, many(item.places), item.closed);
      break;
    case 'arc': {
      const radii = [item.radiusMm * at.xFactor, item.radiusMm * at.yFactor] as const;
      sink.arc(item.stroke, onPage(item.centre, at), radii, item.fromRad, item.toRad);
      break;
    }
    case 'fill':
      sink.fill(item.layer, many(item.places));
      break;
    case 'hatch':
      for (const line of hatchLines(item.loops, item.angleRad, item.spacingMm)) sink.path(DIMENSION, many(line), false);
      break;
    case 'text':
      sink.text({ ...item, at: onPage(item.at, at), sizeMm: item.sizeMm * Math.min(at.xFactor, at.yFactor) });
      break;
    case 'dimension':
      walkDimension(item, at, sink);
      break;
  }
}

/** The parts of a dimension in drawing coordinates. */
function dimensionParts(dimension: Dimension): {
  readonly tips: readonly [Place, Place];
  readonly lines: readonly (readonly Place[])[];
  readonly heads: readonly (readonly Place[])[];
  readonly figure: Lettering;
} {
  const { from, to, offsetMm } = dimension;
  const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
  const [ux, uy] = length === 0 ? [1, 0] : [(to[0] - from[0]) / length, (to[1] - from[1]) / length];
  const [nx, ny] = [-uy, ux];
  const along = (place: Place, by: number, out: number): Place => [place[0] + by * ux + out * nx, place[1] + by * uy + out * ny];
  const tips = [along(from, 0, offsetMm), along(to, 0, offsetMm)] as const;
  const inside = length >= 3.2 * ARROW.lengthMm;
  const side = Math.sign(offsetMm);
  const head = (tip: Place, inward: number): readonly Place[] => {
    const back = (inside ? inward : -inward) * ARROW.lengthMm;
    return [tip, along(tip, back, ARROW.halfWidthMm), along(tip, back, -ARROW.halfWidthMm)];
  };
  // The figure stands above the line as read from below or from the right (ISO 129-1).
  const turned = ux < -1e-9 || (Math.abs(ux) <= 1e-9 && uy < 0);
  const angleRad = Math.atan2(turned ? -uy : uy, turned ? -ux : ux);
  const width = textWidthMm(dimension.text, FIGURE_MM);
  const fits = dimension.figure === undefined && width + 1 <= length - (inside ? 2 * ARROW.lengthMm : 0);
  const lift = ARROW.liftMm + DESCENT_EM * FIGURE_MM * 0.3;
  const up = turned ? -1 : 1;
  const reach = inside ? 0 : 2 * ARROW.lengthMm;
  // Where it does not fit between the arrows it stands beyond one of them, on the line's own way.
  const beyond = reach + 1 + width / 2;
  const middle = fits ? length / 2 : dimension.figure === 'before' ? -beyond : length + beyond;
  const figureAt = along(tips[0], middle, up * (fits ? lift : -0.35 * FIGURE_MM));
  const extension = (place: Place): readonly Place[] => [
    along(place, 0, side * ARROW.gapMm),
    along(place, 0, offsetMm + side * ARROW.overshootMm),
  ];
  return {
    tips,
    lines: [
      [along(tips[0], -reach, 0), along(tips[1], reach, 0)],
      ...(Math.abs(offsetMm) > ARROW.gapMm ? [extension(from), extension(to)] : []),
    ],
    heads: [head(tips[0], 1), head(tips[1], -1)],
    figure: {
      kind: 'text', layer: 'note', at: figureAt, text: dimension.text, sizeMm: FIGURE_MM,
      anchor: 'middle', angleRad, bold: false,
    },
  };
}

function walkDimension(dimension: Dimension, at: Placement, sink: Sink): void {
  const { tips, lines, heads, figure } = dimensionParts(dimension);
  const place = (one: Place): Place => onPage(one, at);
  if (dimension.silent !== true) {
    for (const line of lines) sink.path(DIMENSION, line.map(place), false);
    for (const head of heads) sink.fill('note', head.map(place));
    if (dimension.text !== '') walkItem(figure, at, sink);
  }
  sink.measured?.(dimension, place(tips[0]), place(tips[1]));
}

/** Parallel lines clipped to closed loops by the even-odd rule. */
function hatchLines(
  loops: readonly (readonly Place[])[],
  angleRad: number,
  spacingMm: number,
): readonly (readonly Place[])[] {
  const [c, s] = [Math.cos(angleRad), Math.sin(angleRad)];
  const turned = loops.map((loop) => loop.map(([x, y]): Place => [x * c + y * s, -x * s + y * c]));
  const box = boxOf(turned.flat());
  if (box === null) return [];
  const lines: (readonly Place[])[] = [];
  const back = (x: number, y: number): Place => [x * c - y * s, x * s + y * c];
  for (let y = (Math.floor(box.bottomMm / spacingMm) + 0.5) * spacingMm; y < box.topMm; y += spacingMm) {
    const crossings = turned.flatMap((loop) => loop.flatMap((a, i) => {
      const b = loop[(i + 1) % loop.length] ?? a;
      return (a[1] > y) === (b[1] > y) ? [] : [a[0] + ((y - a[1]) / (b[1] - a[1])) * (b[0] - a[0])];
    })).sort((p, q) => p - q);
    for (let i = 0; i + 1 < crossings.length; i += 2) lines.push([back(crossings[i] ?? 0, y), back(crossings[i + 1] ?? 0, y)]);
  }
  return lines;
}

/** Room a drawing takes, words included; `null` for an empty one. */
export function drawingBox(drawing: Drawing): Box | null {
  const places: Place[] = [];
  walk(drawing, IN_PLACE, {
    path: (_, path) => places.push(...path),
    arc: (_, centre, radii, fromRad, toRad) => places.push(...arcExtremes(centre, radii, fromRad, toRad)),
    fill: (_, path) => places.push(...path),
    text: (text) => places.push(...letteringCorners(text)),
  });
  return boxOf(places);
}

/** Ends of an arc and where it is farthest along an axis. */
function arcExtremes(centre: Place, radii: readonly [number, number], fromRad: number, toRad: number): readonly Place[] {
  const angles = [fromRad, toRad];
  for (let quarter = Math.ceil(fromRad / (Math.PI / 2)); quarter * (Math.PI / 2) <= toRad; quarter += 1) {
    angles.push(quarter * (Math.PI / 2));
  }
  return angles.map((angle) => [centre[0] + radii[0] * Math.cos(angle), centre[1] + radii[1] * Math.sin(angle)]);
}
