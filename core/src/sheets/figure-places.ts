/**
 * Finds room for the figures of dimensions. A dimension says what is measured and where its line is wanted; in a small or
 * a slender part the wanted place may lie over an edge or over another figure. Then the figure goes to the line's other
 * end, or the line farther out, to the first place where nothing meets.
 */
import { boxOf, letteringCorners } from './drawing.ts';
import type { Box, Dimension, Drawing, Item, Lettering, Place } from './drawing.ts';
import { IN_PLACE, walk } from './walker.ts';

/** Farther out by these, as asked first. A figure with its arrows needs about 6 mm. */
const FARTHER_MM = [0, 6, 12, 18, 24] as const;
/** Between a letter and a line. */
const AIR_MM = 0.5;

interface Ink {
  readonly lines: readonly (readonly [Place, Place])[];
  readonly words: readonly Lettering[];
}

/** @returns the drawing with every dimension where its figure can be read, as far as there is such a place */
export function withFiguresPlaced(drawing: Drawing): Drawing {
  const items = [...drawing.items];
  const inks = items.map(inkOf);
  items.forEach((item, i) => {
    if (item.kind !== 'dimension' || item.silent === true) return;
    const others = inks.filter((_, other) => other !== i);
    let least = Infinity;
    for (const choice of choicesOf(item)) {
      const ink = inkOf(choice);
      const met = meetings(ink, others);
      if (met >= least) continue;
      [items[i], inks[i], least] = [choice, ink, met];
      if (met === 0) break;
    }
  });
  return { ...drawing, items };
}

function choicesOf(dimension: Dimension): readonly Dimension[] {
  const out = Math.sign(dimension.offsetMm);
  return FARTHER_MM.flatMap((farther) => {
    const offsetMm = dimension.offsetMm + out * farther;
    return [
      { ...dimension, offsetMm },
      { ...dimension, offsetMm, figure: 'after' as const },
      { ...dimension, offsetMm, figure: 'before' as const },
    ];
  });
}

/** How often a figure meets a line or another's words, or a line of it others' words. */
function meetings(own: Ink, others: readonly Ink[]): number {
  let met = 0;
  for (const { lines, words } of others) {
    for (const word of own.words) {
      met += lines.filter(([a, b]) => runsThrough(a, b, word)).length;
      met += words.filter((other) => overlap(boxOf(letteringCorners(word))!, boxOf(letteringCorners(other))!)).length;
    }
    for (const word of words) met += own.lines.filter(([a, b]) => runsThrough(a, b, word)).length;
  }
  return met;
}

function overlap(a: Box, b: Box): boolean {
  return a.leftMm < b.rightMm + AIR_MM && b.leftMm < a.rightMm + AIR_MM
    && a.bottomMm < b.topMm + AIR_MM && b.bottomMm < a.topMm + AIR_MM;
}

/** Whether the way from a to b enters the box of a text, in the text's own directions. */
function runsThrough(a: Place, b: Place, text: Lettering): boolean {
  const [c, s] = [Math.cos(text.angleRad), Math.sin(text.angleRad)];
  const turned = ([x, y]: Place): Place => [x * c + y * s, y * c - x * s];
  const box = boxOf(letteringCorners(text).map(turned))!;
  const [from, to] = [turned(a), turned(b)];
  let [low, high] = [0, 1];
  for (const [axis, least, most] of [[0, box.leftMm, box.rightMm], [1, box.bottomMm, box.topMm]] as const) {
    const way = to[axis] - from[axis];
    const [near, far] = [least - AIR_MM - from[axis], most + AIR_MM - from[axis]];
    if (way === 0) {
      if (near > 0 || far < 0) return false;
      continue;
    }
    low = Math.max(low, Math.min(near / way, far / way));
    high = Math.min(high, Math.max(near / way, far / way));
  }
  return low < high;
}

function inkOf(item: Item): Ink {
  const lines: (readonly [Place, Place])[] = [];
  const words: Lettering[] = [];
  const way = (places: readonly Place[], closed: boolean): void => {
    places.forEach((place, i) => {
      const next = i + 1 < places.length ? places[i + 1] : closed ? places[0] : undefined;
      if (next !== undefined) lines.push([place, next]);
    });
  };
  walk({ items: [item] }, IN_PLACE, {
    path: (_, places, closed) => way(places, closed),
    arc: (_, [x, y], [rx, ry], from, to) => {
      const steps = Math.max(8, Math.ceil((to - from) / 0.05));
      way(Array.from({ length: steps + 1 }, (__, i): Place => {
        const angle = from + ((to - from) * i) / steps;
        return [x + rx * Math.cos(angle), y + ry * Math.sin(angle)];
      }), false);
    },
    fill: (_, places) => way(places, true),
    text: (text) => words.push(text),
  });
  return { lines, words };
}
