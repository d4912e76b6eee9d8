/** Where strips and wedge lie in a scan: rectangles in per cent of its width and height, as typed and as drawn. */
import { InputError } from '#core';
import type { PatchArea } from '#core';

export interface Area {
  readonly left: number;
  readonly top: number;
  readonly width: number;
  readonly height: number;
}

/** Until the maker says: strips above, wedge below. */
export const FIRST_AREAS = { strips: { left: 0, top: 0, width: 100, height: 50 }, wedge: { left: 0, top: 50, width: 100, height: 50 } };

export function areaText({ left, top, width, height }: Area): string {
  return [left, top, width, height].map((share) => String(Number(share.toFixed(1)))).join(', ');
}

/** Numbers of a list; a comma may stand inside them where semicolons or spaces part them. */
function numbersOf(text: string): number[] {
  const spaced = text.trim().split(text.includes(';') ? ';' : /\s+/).map((part) => part.trim().replace(/,$/, ''));
  const parts = spaced.length > 1 ? spaced.map((part) => part.replace(',', '.')) : text.split(',');
  return parts.filter((part) => part.trim() !== '').map(Number);
}

/**
 * `0, 0, 100, 50`: left, top, width, height in per cent of the scan.
 * @throws InputError not-understood, out-of-range
 */
export function areaOf(text: string): Area {
  const sides = numbersOf(text.replaceAll('%', ' '));
  const [left = NaN, top = NaN, width = NaN, height = NaN] = sides;
  if (sides.length !== 4 || sides.some(Number.isNaN)) {
    throw new InputError('not-understood', `“${text}” is not a rectangle. Give left, top, width and height in % of the scan, like 0, 50, 100, 50.`, { got: text });
  }
  if (left < 0 || top < 0 || width <= 0 || height <= 0 || left + width > 100.05 || top + height > 100.05) {
    throw new InputError('out-of-range', `The rectangle ${areaText({ left, top, width, height })} does not lie within the scan, which is 100 % wide and 100 % high.`, { got: text });
  }
  return { left, top, width, height };
}

/** The rectangle between two places, wherever it was begun. */
export function areaBetween(a: { readonly x: number; readonly y: number }, b: { readonly x: number; readonly y: number }): Area {
  const within = (share: number): number => Math.min(100, Math.max(0, share));
  const [left, right] = [within(Math.min(a.x, b.x)), within(Math.max(a.x, b.x))];
  const [top, bottom] = [within(Math.min(a.y, b.y)), within(Math.max(a.y, b.y))];
  return { left, top, width: right - left, height: bottom - top };
}

/** In whole pixels of the scan; patches lie along its longer side. */
export function patchArea(area: Area, count: number, scan: { readonly widthPx: number; readonly heightPx: number }): PatchArea {
  const columnPx = Math.round((area.left / 100) * scan.widthPx);
  const rowPx = Math.round((area.top / 100) * scan.heightPx);
  const widthPx = Math.min(scan.widthPx - columnPx, Math.round((area.width / 100) * scan.widthPx));
  const heightPx = Math.min(scan.heightPx - rowPx, Math.round((area.height / 100) * scan.heightPx));
  return { window: { columnPx, rowPx, widthPx, heightPx }, count, along: widthPx >= heightPx ? 'columns' : 'rows' };
}

/**
 * `0.05, 0.35, 0.65`, in the order in which the steps lie.
 * @throws InputError not-understood
 */
export function densitiesOf(text: string): number[] {
  const list = numbersOf(text);
  if (list.length < 2 || list.some((density) => !(density >= 0 && density <= 6))) {
    throw new InputError('not-understood', `“${text}” are not the densities of a wedge. Give two or more in the order in which they lie, like 0.05, 0.35, 0.65.`, { got: text });
  }
  return list;
}
