/** What ink a page carries, and where words meet lines or the margin; independent of every writer. */
import { walkPage } from '../../core/src/sheets/page.ts';
import type { Page } from '../../core/src/sheets/page.ts';
import { boxOf, letteringCorners } from '../../core/src/sheets/drawing.ts';
import type { Box, Lettering, Place } from '../../core/src/sheets/drawing.ts';

export interface PageInk {
  /** Straight pieces, cut off at the window they lie in; arcs in steps of 3°. */
  readonly segments: readonly (readonly [Place, Place])[];
  readonly texts: readonly Lettering[];
}

export function inkOf(page: Page): PageInk {
  const segments: (readonly [Place, Place])[] = [];
  const texts: Lettering[] = [];
  let window: Box | null = null;
  const add = (a: Place, b: Place): void => {
    const kept = window === null ? ([a, b] as const) : cut(a, b, window);
    if (kept !== null) segments.push(kept);
  };
  const way = (places: readonly Place[], closed: boolean): void => {
    for (let i = 0; i + 1 < places.length; i += 1) add(places[i]!, places[i + 1]!);
    if (closed && places.length > 1) add(places.at(-1)!, places[0]!);
  };
  walkPage(page, {
    window: (box) => (window = box),
    path: (_, places, closed) => way(places, closed),
    arc: (_, [x, y], [rx, ry], from, to) => {
      const steps = Math.max(8, Math.ceil((to - from) / 0.05));
      way(Array.from({ length: steps + 1 }, (__, i): Place => {
        const angle = from + ((to - from) * i) / steps;
        return [x + rx * Math.cos(angle), y + ry * Math.sin(angle)];
      }), false);
    },
    fill: (_, places) => way(places, true),
    text: (text) => texts.push(text),
  });
  return { segments, texts };
}

/** The part of a line in a box (Liang and Barsky), or `null`. */
export function cut(a: Place, b: Place, box: Box): readonly [Place, Place] | null {
  let [low, high] = [0, 1];
  const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
  for (const [p, q] of [[-dx, a[0] - box.leftMm], [dx, box.rightMm - a[0]], [-dy, a[1] - box.bottomMm], [dy, box.topMm - a[1]]] as const) {
    if (p === 0 && q < 0) return null;
    if (p < 0) low = Math.max(low, q / p);
    if (p > 0) high = Math.min(high, q / p);
  }
  if (low >= high) return null;
  return [[a[0] + low * dx, a[1] + low * dy], [a[0] + high * dx, a[1] + high * dy]];
}

/** Sentences: text outside the margin, a line through a text, a text on another. The letters' own height counts. */
export function clashes(page: Page, marginMm: number): readonly string[] {
  const { segments, texts } = inkOf(page);
  const found: string[] = [];
  for (const text of texts) {
    const corners = letteringCorners(text);
    const box = boxOf(corners)!;
    if (box.leftMm < marginMm || box.bottomMm < marginMm || box.rightMm > page.widthMm - marginMm || box.topMm > page.heightMm - marginMm) {
      found.push(`“${text.text}” leaves the margin`);
    }
    const [c, s] = [Math.cos(-text.angleRad), Math.sin(-text.angleRad)];
    const turned = ([x, y]: Place): Place => [x * c - y * s, x * s + y * c];
    const own = boxOf(corners.map(turned))!;
    const letters: Box = {
      leftMm: own.leftMm + 0.1, rightMm: own.rightMm - 0.1, bottomMm: own.bottomMm + 0.12 * text.sizeMm, topMm: own.topMm - 0.04 * text.sizeMm,
    };
    const line = segments.find(([a, b]) => cut(turned(a), turned(b), letters) !== null);
    if (line !== undefined) found.push(`a line runs through “${text.text}”`);
    const other = texts.find((one) => {
      if (one === text || one.angleRad !== text.angleRad) return false;
      const there = boxOf(letteringCorners(one).map(turned))!;
      return there.leftMm < letters.rightMm && there.rightMm > letters.leftMm
        && there.bottomMm + 0.12 * one.sizeMm < letters.topMm && there.topMm - 0.04 * one.sizeMm > letters.bottomMm;
    });
    if (other !== undefined) found.push(`“${text.text}” stands on “${other.text}”`);
  }
  return found;
}
