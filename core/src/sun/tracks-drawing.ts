/**
 * The sheet with its tracks as lines and words in millimetres, for any drawing: the page on the screen and the file for
 * the printer draw the same.
 */
import { unreachable } from '../errors.ts';
import type { SunTracks, TrackPoint } from './tracks-answer.ts';

/**
 * Which way the paper is looked at: `film side` from behind, looking at the scene; `emulsion` as it lies before you,
 * emulsion up, the can's bottom below; `picture` turned as the finished picture hangs on the wall.
 */
export type PaperView = 'film side' | 'emulsion' | 'picture';

export const PAPER_VIEW_WORDS: Readonly<Record<PaperView, string>> = {
  'film side': 'seen from the film side, lower edge below',
  emulsion: 'emulsion up, lower edge below',
  picture: 'turned as the picture will be seen',
};

export interface Spot {
  /** From the middle of the paper, right in this view. */
  readonly xMm: number;
  /** Up in this view. */
  readonly yMm: number;
}

export type TrackLineKind = 'season' | 'day' | 'hour' | 'skyline';

export interface TrackLine {
  readonly kind: TrackLineKind;
  /** Pieces on the paper. */
  readonly pieces: readonly (readonly Spot[])[];
  /** Pieces that miss it, within a margin around. */
  readonly missed: readonly (readonly Spot[])[];
}

export interface TrackLabel extends Spot {
  readonly words: string;
  readonly kind: 'day' | 'hour';
  readonly anchor: 'start' | 'middle' | 'end';
}

export interface TracksDrawing {
  readonly widthMm: number;
  readonly heightMm: number;
  readonly marginMm: number;
  readonly view: PaperView;
  readonly lines: readonly TrackLine[];
  readonly labels: readonly TrackLabel[];
  /** Straight behind the hole. */
  readonly foot: Spot;
  readonly viewWords: string;
}

const MARGIN_MM = 14;
/** Of the writing on the printed sheet; a letter is about 0.6 of it wide, a line 1.15. */
const LETTERING_MM = 3;

function turned(view: PaperView, xMm: number, yMm: number): Spot {
  switch (view) {
    case 'film side':
      return { xMm, yMm };
    case 'emulsion':
      return { xMm: -xMm, yMm };
    case 'picture':
      return { xMm: -xMm, yMm: -yMm };
    default:
      return unreachable(view);
  }
}

/** The part of a stretch inside a rectangle about the origin (Liang–Barsky); `null`: none. */
function clipped(a: Spot, b: Spot, halfXMm: number, halfYMm: number): readonly [Spot, Spot] | null {
  const [dx, dy] = [b.xMm - a.xMm, b.yMm - a.yMm];
  let from = 0;
  let to = 1;
  for (const [p, q] of [
    [-dx, a.xMm + halfXMm], [dx, halfXMm - a.xMm], [-dy, a.yMm + halfYMm], [dy, halfYMm - a.yMm],
  ] as const) {
    if (p === 0) {
      if (q < 0) return null;
    } else if (p < 0) from = Math.max(from, q / p);
    else to = Math.min(to, q / p);
  }
  if (from > to) return null;
  const at = (s: number): Spot => ({ xMm: a.xMm + s * dx, yMm: a.yMm + s * dy });
  return [from === 0 ? a : at(from), to === 1 ? b : at(to)];
}

function same(a: Spot | undefined, b: Spot): boolean {
  return a !== undefined && a.xMm === b.xMm && a.yMm === b.yMm;
}

/** The runs of a line that lie inside a rectangle. */
function inside(spots: readonly (Spot | null)[], halfXMm: number, halfYMm: number): Spot[][] {
  const pieces: Spot[][] = [];
  spots.slice(1).forEach((b, i) => {
    const a = spots[i];
    if (a === null || a === undefined || b === null) return;
    const part = clipped(a, b, halfXMm, halfYMm);
    if (part === null) return;
    const run = pieces[pieces.length - 1];
    if (run !== undefined && same(run[run.length - 1], part[0])) run.push(part[1]);
    else pieces.push([...part]);
  });
  return pieces;
}

/**
 * @param dateWords the date of an instant for the ends of the lines: `21 Jun`
 * @param letteringMm height of the writing, so that no word lies on another
 */
export function tracksDrawing(
  tracks: SunTracks,
  view: PaperView,
  dateWords: (instantS: number) => string,
  letteringMm = LETTERING_MM,
): TracksDrawing {
  const { camera } = tracks;
  const [halfX, halfY] = [camera.paperWidthMm / 2, camera.paperHeightMm / 2];
  const spotOf = ({ drawn, landing }: TrackPoint): Spot | null =>
    drawn && landing !== null ? turned(view, landing.xMm, landing.yMm) : null;
  const line = (kind: TrackLineKind, spots: readonly (Spot | null)[]): TrackLine => ({
    kind,
    pieces: inside(spots, halfX, halfY),
    missed: kind === 'season' ? inside(spots, halfX + MARGIN_MM, halfY + MARGIN_MM) : [],
  });
  const days = tracks.tracks.map((track) => ({ track, line: line(track.name === null ? 'day' : 'season', track.points.map(spotOf)) }));
  const hours = tracks.hourLines.map((hourLine) => ({ hourLine, line: line('hour', hourLine.points.map(spotOf)) }));
  const skyline = line('skyline', tracks.horizon.map(({ xMm, yMm }) => turned(view, xMm, yMm)));

  const labels: TrackLabel[] = [];
  const boxes: { readonly xMm: number; readonly yMm: number; readonly halfMm: number }[] = [];
  /** Keeps a label unless it would lie on another. */
  const place = (label: TrackLabel): void => {
    const halfMm = label.words.length * 0.3 * letteringMm;
    const xMm = label.xMm + (label.anchor === 'start' ? halfMm : label.anchor === 'end' ? -halfMm : 0);
    if (boxes.some((box) => Math.abs(box.yMm - label.yMm) < 1.15 * letteringMm && Math.abs(box.xMm - xMm) < box.halfMm + halfMm)) return;
    boxes.push({ xMm, yMm: label.yMm, halfMm });
    labels.push(label);
  };
  // solstices and equinoxes are named first; a month between is left out where there is no room
  const byName = [...days].sort((one, other) => Number(other.track.name !== null) - Number(one.track.name !== null));
  for (const { track, line: drawn } of byName) {
    const ends = drawn.pieces.flatMap((piece) => [piece[0], piece[piece.length - 1]]).filter((spot) => spot !== undefined);
    const right = ends.reduce<Spot | null>((best, spot) => (best === null || spot.xMm > best.xMm ? spot : best), null);
    if (right === null) continue;
    const atEdge = right.xMm > halfX - 18;
    place({
      words: dateWords(track.noon.instantS), kind: 'day', anchor: atEdge ? 'end' : 'start',
      xMm: right.xMm + (atEdge ? -1 : 1), yMm: right.yMm + (atEdge ? 1 : -1),
    });
  }
  for (const { hourLine, line: drawn } of hours) {
    const spots = drawn.pieces.flat();
    if (spots.length === 0) continue;
    // where the sun is highest: at the foot of the paper, or at the head of the picture
    const end = spots.reduce((best, spot) => ((view === 'picture' ? spot.yMm > best.yMm : spot.yMm < best.yMm) ? spot : best));
    const yMm = view === 'picture' ? Math.min(halfY - letteringMm, end.yMm + 1.2) : Math.max(-halfY + 1.2, end.yMm - 1.15 * letteringMm);
    place({ xMm: end.xMm, yMm, words: String(hourLine.hour), kind: 'hour', anchor: 'middle' });
  }
  return {
    widthMm: camera.paperWidthMm,
    heightMm: camera.paperHeightMm,
    marginMm: MARGIN_MM,
    view,
    lines: [...hours.map((hour) => hour.line), ...days.map((day) => day.line), skyline],
    labels,
    foot: turned(view, 0, camera.holeHeightMm - halfY),
    viewWords: PAPER_VIEW_WORDS[view],
  };
}

const INK: Readonly<Record<TrackLineKind, string>> = {
  season: 'stroke-width="0.5"',
  day: 'stroke-width="0.25"',
  hour: 'stroke-width="0.18" stroke-dasharray="3 0.7 0.4 0.7"',
  skyline: 'stroke-width="0.35" stroke-dasharray="1.5 0.8"',
};

function number(value: number): string {
  return String(Number(value.toFixed(3)));
}

function escaped(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;');
}

function path(pieces: readonly (readonly Spot[])[], extra: string): string {
  const d = pieces.map((piece) => `M${piece.map((spot) => `${number(spot.xMm)} ${number(-spot.yMm)}`).join('L')}`).join('');
  return d === '' ? '' : `<path fill="none" stroke="#000" stroke-linejoin="round" ${extra} d="${d}"/>`;
}

/**
 * The drawing as SVG at true size: one unit is a millimetre.
 * @param caption under the sheet: what camera, place and months
 */
export function tracksSvg(drawing: TracksDrawing, caption: string): string {
  const { widthMm, heightMm, marginMm, foot } = drawing;
  const foottext = 14;
  const [left, top] = [-widthMm / 2 - marginMm, -heightMm / 2 - marginMm];
  const [wide, high] = [widthMm + 2 * marginMm, heightMm + 2 * marginMm + foottext];
  const bar = widthMm >= 60 ? 50 : 20;
  const under = heightMm / 2 + marginMm + 3;
  const parts = [
    `<?xml version="1.0" encoding="UTF-8"?>`,
    `<svg xmlns="http://www.w3.org/2000/svg" width="${number(wide)}mm" height="${number(high)}mm" viewBox="${number(left)} ${number(top)} ${number(wide)} ${number(high)}" font-family="Barlow, sans-serif" font-size="${LETTERING_MM}">`,
    `<title>${escaped(caption)}</title>`,
    `<rect x="${number(left)}" y="${number(top)}" width="${number(wide)}" height="${number(high)}" fill="#fff"/>`,
    ...drawing.lines.map(({ missed }) => path(missed, 'stroke-width="0.2" stroke-dasharray="4 1 0.5 1 0.5 1"')),
    `<rect x="${number(-widthMm / 2)}" y="${number(-heightMm / 2)}" width="${number(widthMm)}" height="${number(heightMm)}" fill="#fff" stroke="#000" stroke-width="0.7"/>`,
    ...drawing.lines.map(({ kind, pieces }) => path(pieces, INK[kind])),
    `<path stroke="#000" stroke-width="0.25" d="M${number(foot.xMm - 3)} ${number(-foot.yMm)}h6M${number(foot.xMm)} ${number(-foot.yMm - 3)}v6"/>`,
    ...drawing.labels.map(
      ({ xMm, yMm, words, anchor }) =>
        `<text x="${number(xMm)}" y="${number(-yMm)}" text-anchor="${anchor}" paint-order="stroke" stroke="#fff" stroke-width="1" stroke-linejoin="round">${escaped(words)}</text>`,
    ),
    `<path fill="none" stroke="#000" stroke-width="0.35" d="M${number(-widthMm / 2)} ${number(under - 1)}v2M${number(-widthMm / 2)} ${number(under)}h${bar}m0 -1v2"/>`,
    `<text x="${number(-widthMm / 2 + bar + 2)}" y="${number(under + 1)}">${bar} mm, true size; ${escaped(drawing.viewWords)}; cross: straight behind the hole</text>`,
    `<text x="${number(-widthMm / 2)}" y="${number(under + 7)}">${escaped(caption)}</text>`,
    `</svg>`,
  ];
  return `${parts.filter((part) => part !== '').join('\n')}\n`;
}
