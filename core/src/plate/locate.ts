/**
 * Where the holes may be: compact regions that stay the same over many grey levels, in either
 * polarity. Over-complete on purpose; the rim itself decides afterwards.
 */
import { brightRegions, type Region } from './component-tree.ts';
import type { Polarity } from './scan.ts';

export interface Candidate {
  readonly polarity: Polarity;
  /** Centre in pixels of the whole scan, corner origin. */
  readonly column: number;
  readonly row: number;
  /** Semi-axes of the region along x and y as a box, px. */
  readonly halfWidthPx: number;
  readonly halfHeightPx: number;
  /** Radius of the disc of equal area, px. */
  readonly radiusPx: number;
  readonly score: number;
  readonly cut: boolean;
}

export interface Overview {
  readonly widthPx: number;
  readonly heightPx: number;
  /** Pixels of the scan per pixel of the overview. */
  readonly shrink: number;
  /** Light, 0…1. */
  readonly light: Float32Array;
}

const MOST_PIECES = 60;
const MOST_SLIVERS = 20;

/** Narrower levels show nothing. */
const LEAST_LEVEL_PX = 3;

/** An overview and what is left of it when it is halved again and again: finest first, at least one. */
export type Pyramid = readonly [Overview, ...Overview[]];

export function pyramidOf(overview: Overview): Pyramid {
  const levels: [Overview, ...Overview[]] = [overview];
  for (let last = overview; Math.min(last.widthPx, last.heightPx) >= 2 * LEAST_LEVEL_PX; levels.push(last)) last = halved(last);
  return levels;
}

/** Averages 2 × 2; an odd last column or row is left out. */
function halved(overview: Overview): Overview {
  const widthPx = overview.widthPx >> 1;
  const heightPx = overview.heightPx >> 1;
  const light = new Float32Array(widthPx * heightPx);
  for (let y = 0; y < heightPx; y++) {
    for (let x = 0; x < widthPx; x++) {
      const i = 2 * y * overview.widthPx + 2 * x;
      const j = i + overview.widthPx;
      light[y * widthPx + x] =
        (overview.light[i]! + overview.light[i + 1]! + overview.light[j]! + overview.light[j + 1]!) / 4;
    }
  }
  return { widthPx, heightPx, shrink: overview.shrink * 2, light };
}

/** Larger levels of the search are not flooded whole: only where something small stands out. */
const TREE_PX = 8e4;
/** Side of a tile, and what is looked at round it: more than half of the smallest thing the next coarser level shows. */
const TILE = 32;
const TILE_MARGIN = 12;
/** Grey levels by which a region must last. */
const LEAST_PERSISTENCE = 10;
/** Small things fainter than this share of the clearest are not asked for. */
const SMALL_SHARE = 0.25;

type Graded = Region & { readonly polarity: Polarity; readonly score: number };

/**
 * Candidates, best first: the whole picture at a coarse level, then what is too small to be seen there.
 * @param levels from the finest that is to be searched
 * @param aspectXy width of a pixel over its height on the plate: a round hole then has that ratio inverted
 * @param most how many to return at most
 */
export function candidates(levels: Pyramid, aspectXy: number, most: number): Candidate[] {
  const small = levels.findIndex(({ widthPx, heightPx }) => widthPx * heightPx <= TREE_PX);
  const whole = small < 0 ? levels.length - 1 : small;
  const coarse = levels[whole]!;
  if (Math.min(coarse.widthPx, coarse.heightPx) < LEAST_LEVEL_PX) return [];
  const found = graded(greyLevels(coarse), coarse, aspectXy, most).map((r) => candidateOf(r, coarse, 0, 0));
  for (const level of levels.slice(0, whole).reverse()) found.push(...smallCandidates(level, found, aspectXy, most));
  return found.sort((a, b) => b.score - a.score).slice(0, most);
}

/** Things of a few pixels, in the tiles whose light has the range for them and that no candidate explains. */
function smallCandidates(level: Overview, known: readonly Candidate[], aspectXy: number, most: number): Candidate[] {
  const { widthPx, heightPx, shrink } = level;
  const levels = greyLevels(level);
  const clearest = known.reduce((best, { score }) => Math.max(best, score), 0);
  const range = Math.max(LEAST_PERSISTENCE, SMALL_SHARE * clearest);
  // What is only a few pixels of the coarser level is looked at again: there its size is hardly told.
  const explained = known.filter((c) => !c.cut && c.score > 0.5 * clearest && c.radiusPx > TILE_MARGIN * shrink);
  const out: Candidate[] = [];
  for (let row = 0; row < heightPx; row += TILE) {
    for (let column = 0; column < widthPx; column += TILE) {
      if (rangeOf(levels, widthPx, heightPx, column, row) < range) continue;
      const [x, y] = [(column + TILE / 2) * shrink, (row + TILE / 2) * shrink];
      if (explained.some((c) => Math.hypot(c.column - x, c.row - y) < 1.3 * c.radiusPx + 0.6 * TILE * shrink)) continue;
      const left = Math.max(0, column - TILE_MARGIN);
      const top = Math.max(0, row - TILE_MARGIN);
      const size = {
        widthPx: Math.min(widthPx, column + TILE + TILE_MARGIN) - left,
        heightPx: Math.min(heightPx, row + TILE + TILE_MARGIN) - top,
      };
      const window = new Uint8Array(size.widthPx * size.heightPx);
      for (let j = 0; j < size.heightPx; j++) {
        const from = (top + j) * widthPx + left;
        window.set(levels.subarray(from, from + size.widthPx), j * size.widthPx);
      }
      for (const r of graded(window, size, aspectXy, most)) {
        if (!r.touchesBorder && radiusOf(r) < TILE_MARGIN / 2) out.push(candidateOf(r, level, left, top));
      }
    }
  }
  return out;
}

/** Range of the levels in a tile and a little round it. */
function rangeOf(levels: Uint8Array, widthPx: number, heightPx: number, column: number, row: number): number {
  const around = 4;
  let least = 255;
  let most = 0;
  const right = Math.min(widthPx, column + TILE + around);
  const bottom = Math.min(heightPx, row + TILE + around);
  for (let y = Math.max(0, row - around); y < bottom; y++) {
    for (let i = y * widthPx + Math.max(0, column - around); i < y * widthPx + right; i++) {
      const v = levels[i]!;
      if (v < least) least = v;
      if (v > most) most = v;
    }
  }
  return most - least;
}

function candidateOf(r: Graded, { shrink }: Overview, left: number, top: number): Candidate {
  return {
    polarity: r.polarity,
    column: (left + r.column) * shrink,
    row: (top + r.row) * shrink,
    halfWidthPx: 2 * Math.sqrt(r.varColumn) * shrink,
    halfHeightPx: 2 * Math.sqrt(r.varRow) * shrink,
    radiusPx: radiusOf(r) * shrink,
    score: r.score,
    cut: r.touchesBorder,
  };
}

/** Regions of both polarities that may be holes, best first. `levels` is turned to its negative. */
function graded(levels: Uint8Array, size: Pick<Overview, 'widthPx' | 'heightPx'>, aspectXy: number, most: number): Graded[] {
  const all: Graded[] = [];
  for (const polarity of ['bright-hole', 'dark-hole'] as const) {
    if (polarity === 'dark-hole') for (let i = 0; i < levels.length; i++) levels[i] = 255 - levels[i]!;
    const regions = brightRegions(levels, size.widthPx, size.heightPx, 6, LEAST_PERSISTENCE).map((r) => ({
      ...r,
      polarity,
      score: grade(r, aspectXy),
    }));
    regions.sort((a, b) => b.score - a.score || b.persistence - a.persistence);
    const own = regions.filter((r) => r.score > 0).slice(0, 40 * most);
    // What a fibre cuts off near the rim is too thin to be a hole, but may be a piece of one.
    const slivers = regions.filter((r) => r.score === 0 && isSliver(r, aspectXy, own[0]?.persistence ?? 0));
    // One piece appears at many levels; pairs are made of different pieces.
    all.push(...own, ...joined([...distinct(own, MOST_PIECES), ...distinct(slivers, MOST_SLIVERS)], aspectXy));
  }
  return distinct(all.sort((a, b) => b.score - a.score), most);
}

/** The best of those that are about the same thing, in the order given. */
function distinct<R extends Region>(regions: readonly R[], most: number): R[] {
  const kept: R[] = [];
  for (const r of regions) {
    const radius = radiusOf(r);
    const same = kept.some((k) => {
      const distance = Math.hypot(k.column - r.column, k.row - r.row);
      const other = radiusOf(k);
      return distance < 0.5 * Math.max(radius, other) && radius < 1.6 * other && other < 1.6 * radius;
    });
    if (!same) kept.push(r);
    if (kept.length >= most) break;
  }
  return kept;
}

function radiusOf(r: Region): number {
  return Math.sqrt(r.areaPx / Math.PI);
}

/** How full a region is (1 for any filled ellipse, less for what has arms, gaps or corners) and how long. */
function formOf(r: Region, aspectXy: number): { readonly compact: number; readonly aspect: number } | null {
  const vx = r.varColumn * aspectXy;
  const vy = r.varRow / aspectXy;
  const det = vx * vy - r.covariance ** 2;
  if (!(det > 0)) return null;
  const mean = (vx + vy) / 2;
  const spread = Math.sqrt(Math.max(0, mean * mean - det));
  return {
    compact: r.areaPx / (4 * Math.PI * Math.sqrt(det)),
    aspect: Math.sqrt((mean + spread) / Math.max(1e-9, mean - spread)),
  };
}

/** 0 for what cannot be a hole; else how clearly it stands out times how compact it is. */
function grade(r: Region, aspectXy: number): number {
  const form = formOf(r, aspectXy);
  if (!form) return 0;
  const { compact, aspect } = form;
  if (compact < 0.75 || aspect > 3) return 0;
  if (r.touchesBorder && (aspect > 2.2 || compact < 0.85)) return 0;
  return (r.persistence * compact ** 4) / aspect ** 0.5;
}

/** A whole thin piece, about as clear as the clearest that may be a hole. */
function isSliver(r: Region, aspectXy: number, clearest: number): boolean {
  if (r.touchesBorder || r.persistence < 0.3 * clearest) return false;
  const form = formOf(r, aspectXy);
  return form !== null && form.compact > 0.75 && form.aspect < 8;
}

/** Two half-moons that make something round: the gap between them, a fibre, costs the whole its compactness. */
function isHalved(a: Region, b: Region, whole: Region, aspectXy: number): boolean {
  const [one, other, both] = [a, b, whole].map((r) => formOf(r, aspectXy));
  if (!one || !other || !both) return false;
  const halves = Math.min(one.aspect, other.aspect) > 1.35 && both.aspect < 1.3 && both.compact > 0.6;
  const [larger, smaller] = a.areaPx > b.areaPx ? [one, other] : [other, one];
  const cutOff = smaller.aspect > 2 && both.aspect < Math.min(1.3, larger.aspect) && both.compact > 0.8;
  return halves || cutOff;
}

/** A fibre across a hole cuts it in two: two neighbouring pieces that make a rounder whole are tried as one. */
function joined<R extends Region & { polarity: Polarity; score: number }>(regions: R[], aspectXy: number): R[] {
  const out: R[] = [];
  for (let i = 1; i < regions.length; i++) {
    for (let j = 0; j < i; j++) {
      const a = regions[i]!;
      const b = regions[j]!;
      const ratio = a.areaPx / b.areaPx;
      if (a.touchesBorder || b.touchesBorder || ratio > 12 || ratio < 1 / 12) continue;
      const distance = Math.hypot(a.column - b.column, a.row - b.row);
      if (distance > 1.3 * (radiusOf(a) + radiusOf(b)) || distance < 0.5 * Math.max(radiusOf(a), radiusOf(b))) continue;
      const area = a.areaPx + b.areaPx;
      const wa = a.areaPx / area;
      const wb = b.areaPx / area;
      const dx = a.column - b.column;
      const dy = a.row - b.row;
      const whole: R = {
        ...a,
        areaPx: area,
        column: wa * a.column + wb * b.column,
        row: wa * a.row + wb * b.row,
        varColumn: wa * a.varColumn + wb * b.varColumn + wa * wb * dx * dx,
        varRow: wa * a.varRow + wb * b.varRow + wa * wb * dy * dy,
        covariance: wa * a.covariance + wb * b.covariance + wa * wb * dx * dy,
        persistence: Math.min(a.persistence, b.persistence),
      };
      const score = grade(whole, aspectXy);
      const better = 1.02 * Math.max(a.score, b.score);
      if (score > better) out.push({ ...whole, score });
      else if (isHalved(a, b, whole, aspectXy)) out.push({ ...whole, score: better });
    }
  }
  return out;
}

/** Perceptual grey levels 0…255 of a lightly smoothed overview, stretched over its own range. */
function greyLevels({ light, widthPx, heightPx }: Overview): Uint8Array {
  const { smooth, most } = smoothed(light, widthPx, heightPx);
  const levels = new Uint8Array(smooth.length);
  if (!(most > 0)) return levels;
  const table = new Uint8Array(4097);
  for (let i = 0; i <= 4096; i++) table[i] = Math.round(255 * Math.sqrt(i / 4096));
  const perLight = 4096 / most;
  for (let i = 0; i < smooth.length; i++) {
    const v = smooth[i]!;
    levels[i] = v > 0 ? table[(v * perLight + 0.5) | 0]! : 0;
  }
  return levels;
}

/** Binomial over 3 × 3, the border repeated, and the most light it leaves. Three rows at a time are smoothed along. */
function smoothed(light: Float32Array, w: number, h: number): { readonly smooth: Float32Array; readonly most: number } {
  const smooth = new Float32Array(light.length);
  const rows = [new Float32Array(w), new Float32Array(w), new Float32Array(w)] as const;
  const along = (y: number): Float32Array => {
    const row = rows[y % 3]!;
    const o = y * w;
    row[0] = (light[o]! + 2 * light[o]! + light[o + Math.min(1, w - 1)]!) / 4;
    for (let x = 1; x < w - 1; x++) row[x] = (light[o + x - 1]! + 2 * light[o + x]! + light[o + x + 1]!) / 4;
    if (w > 1) row[w - 1] = (light[o + w - 2]! + 3 * light[o + w - 1]!) / 4;
    return row;
  };
  let most = 0;
  let up = along(0);
  let here = up;
  for (let y = 0; y < h; y++) {
    const down = y + 1 < h ? along(y + 1) : here;
    const o = y * w;
    for (let x = 0; x < w; x++) {
      const v = (up[x]! + 2 * here[x]! + down[x]!) / 4;
      smooth[o + x] = v;
      if (v > most) most = v;
    }
    up = here;
    here = down;
  }
  return { smooth, most };
}
