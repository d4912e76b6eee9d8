/**
 * A cross drawn on the plate to mark its middle: two straight lines (scribed, pencil or pen), square to each other, that
 * cross anywhere in the picture; the crossing itself may be missing (a hole, four ticks).
 */
import type { Overview, Pyramid } from './locate.ts';
import type { MarkedMiddle, ScanScale } from './scan.ts';

/** What is not plate: discs in pixels of the scan. */
export interface HoleDisc {
  readonly column: number;
  readonly row: number;
  readonly radiusPx: number;
}

/** Lines are searched for on so many pixels; their places are told on the overview itself. */
const SEARCH_PX = 2e5;
const LEVELS = 3;
const LEAST_SIDE_PX = 40;
/** Lines looked at of one kind (dark or bright) and one scale. */
const MOST_LINES = 6;
/** Lines are square to each other within this. @source engineering-judgement */
const SQUARE_RAD = (5 * Math.PI) / 180;
/** Two guesses together are off by less. @source engineering-judgement */
const GUESSED_RAD = (10 * Math.PI) / 180;
/** One pen draws both: width and contrast alike within this factor. @source engineering-judgement */
const ALIKE = 2.5;
/** Least width times contrast, which blur does not change: scratches take less light away. @source engineering-judgement */
const LEAST_INK_MM = 0.008;
const LEAST_CONTRAST = 0.05;
/** Slices that must show the line on each side of the crossing, and their share of the arm: a hole may lie on it. */
const LEAST_SLICES = 10;
const ARM_SHARE = 0.55;
/** A line's middle tells where it was meant to be within this share of its width (k = 1). @source engineering-judgement */
const DRAWN_SHARE = 0.1;
/** Another crossing as good as this makes it doubtful which one is meant. */
const RIVAL_SHARE = 0.5;
/** Slices across a line at the first look and at the second. */
const SLICES = [200, 600] as const;
/** Bend of the light, as a share of it, that the faintest line has. */
const LEAST_BEND = 0.04;
/** Places asked at most, as lines from corner to corner one px wide; every how many tells the limit: a prime, past any grid. */
const MOST_ASKED = 40;
const BEND_STRIDE = 23;
/** Lines with fewer votes than this share of the best are not followed. */
const FEW_VOTES = 0.12;

/**
 * Finds the cross. Valid: lines at least about 0.03 mm wide that differ from the plate by a twentieth of its light.
 * @returns null when there is none, or more than one
 */
export function drawnCross(levels: Pyramid, holes: readonly HoleDisc[], scale: ScanScale): MarkedMiddle | null {
  const [overview] = levels;
  const searched = levels.filter(
    ({ widthPx, heightPx }) => widthPx * heightPx <= SEARCH_PX && Math.min(widthPx, heightPx) >= LEAST_SIDE_PX,
  );
  // Thin lines are seen on the finest level, broad ones on the coarser.
  const all = searched.slice(0, LEVELS).flatMap((level) =>
    guesses(level, holes).map((guess) => ({ guess, factor: level.shrink / overview.shrink })),
  );
  const lines: Line[] = [];
  for (const { guess, factor } of all) {
    // The streaks of a brushed plate are lines, too, but all run one way.
    if (!all.some((other) => mayCross(guess, other.guess, scale))) continue;
    const line = followed(overview, guess, factor, holes);
    if (!line) continue;
    const known = lines.findIndex((other) => sameLine(other, line));
    if (known < 0) lines.push(line);
    // Of two looks at one line the one that saw more of its ink did not miss its sides.
    else if (line.contrast * line.width > lines[known]!.contrast * lines[known]!.width) lines[known] = line;
  }
  return bestCross(lines, overview, scale);
}

type Sign = 1 | -1;

/** Of normals a degree apart. */
const COSINES = Float64Array.from({ length: 180 }, (_, i) => Math.cos((Math.PI * i) / 180));
const SINES = Float64Array.from({ length: 180 }, (_, i) => Math.sin((Math.PI * i) / 180));
/** Steps of about 2.5 px along them. */
const ASIDE = Array.from({ length: 180 }, (_, i) => [Math.round(2.5 * COSINES[i]!), Math.round(2.5 * SINES[i]!)] as const);

interface Guess {
  /** Dark lines (1) or bright ones. */
  readonly sign: Sign;
  /** Normal of the line, and its distance along the normal from the middle of the picture, px of the searched level. */
  readonly angle: number;
  readonly distance: number;
}

/** Two guesses of one pen that may prove square to each other on the plate once they are followed. */
function mayCross(a: Guess, b: Guess, { xMmPerPx, yMmPerPx }: ScanScale): boolean {
  const along = ({ angle }: Guess): Direction => ({ directionX: -Math.sin(angle), directionY: Math.cos(angle) });
  return a.sign === b.sign && areSquare(along(a), along(b), xMmPerPx, yMmPerPx, SQUARE_RAD + GUESSED_RAD);
}

type Direction = Pick<Line, 'directionX' | 'directionY'>;

/** Square on the plate, not in pixels that may be oblong. */
function areSquare(a: Direction, b: Direction, xMm: number, yMm: number, withinRad: number): boolean {
  const turn = Math.atan2(a.directionY * yMm, a.directionX * xMm) - Math.atan2(b.directionY * yMm, b.directionX * xMm);
  return Math.abs(Math.cos(turn)) <= Math.sin(withinRad);
}

/** Votes for directions up to three degrees off. */
const NEARBY = [0.25, 0.5, 0.75, 1, 0.75, 0.5, 0.25] as const;

/** Ridges vote for the lines they may lie on, each only near its own direction. */
function guesses(level: Overview, holes: readonly HoleDisc[]): Guess[] {
  const { widthPx: w, heightPx: h } = level;
  const light = binomial(level.light, w, h);
  const free = freeOf(level, holes);
  const reach = Math.ceil(Math.hypot(w, h) / 2) + 2;
  const across = 2 * reach;
  const votes = { 1: new Float32Array(180 * across), [-1]: new Float32Array(180 * across) };
  const [middleX, middleY] = [w / 2 - 0.5, h / 2 - 0.5];
  const least = leastBend(light, free, w, h);
  for (let y = 3; y < h - 3; y++) {
    for (let x = 3; x < w - 3; x++) {
      const i = y * w + x;
      const here = light[i]!;
      const xx = light[i - 2]! + light[i + 2]! - 2 * here;
      const yy = light[i - 2 * w]! + light[i + 2 * w]! - 2 * here;
      const bend = Math.abs(xx) + Math.abs(yy);
      // Most places end here; what else they would be measured by is no less than their light.
      if (bend < least * here || free[i] === 0) continue;
      const base = Math.max(1e-3, here + Math.max(0, xx, yy) / 2);
      if (bend < least * base) continue;
      const xy = (light[i - w - 1]! + light[i + w + 1]! - light[i - w + 1]! - light[i + w - 1]!);
      const mean = (xx + yy) / 2;
      const spread = Math.sqrt(((xx - yy) / 2) ** 2 + xy * xy);
      const strong = mean >= 0 ? mean + spread : mean - spread;
      const weak = mean >= 0 ? mean - spread : mean + spread;
      if (Math.abs(weak) > 0.5 * Math.abs(strong)) continue;
      // A step bends too, but its light lies between that of its sides: a line lies beyond both.
      const angle = 0.5 * Math.atan2(2 * xy, xx - yy) + (strong >= 0 ? 0 : Math.PI / 2);
      const bin = ((angle * 180) / Math.PI + 180.5) | 0;
      const [asideX, asideY] = ASIDE[bin % 180]!;
      const aside = asideY * w + asideX;
      const [a, b] = [light[i - aside]!, light[i + aside]!];
      const sign: Sign = strong >= 0 ? 1 : -1;
      const beyond = sign * ((sign > 0 ? Math.min(a, b) : Math.max(a, b)) - here);
      if (beyond < 0.02 * base) continue;
      const weight = Math.min(0.3, beyond / base);
      const table = sign > 0 ? votes[1] : votes[-1];
      for (let k = -3; k <= 3; k++) {
        const direction = (bin + k) % 180;
        const d = (x - middleX) * COSINES[direction]! + (y - middleY) * SINES[direction]! + reach;
        const low = d | 0;
        const part = d - low;
        const share = weight * NEARBY[k + 3]!;
        table[direction * across + low]! += (1 - part) * share;
        table[direction * across + low + 1]! += part * share;
      }
    }
  }
  return ([1, -1] as const).flatMap((sign) => strongest(votes[sign], across, reach).map((line) => ({ ...line, sign })));
}

/** Lines with the most votes, each with its neighbourhood taken out before the next. */
function strongest(table: Float32Array, across: number, reach: number): Omit<Guess, 'sign'>[] {
  const found: Omit<Guess, 'sign'>[] = [];
  // Where the most votes of each direction lie.
  const peaks = Int32Array.from({ length: 180 }, (_, direction) => peakOf(table, direction * across, across));
  let most = 0;
  for (let n = 0; n < MOST_LINES; n++) {
    let best = peaks[0]!;
    for (const peak of peaks) if (table[peak]! > table[best]!) best = peak;
    most = Math.max(most, table[best]!);
    if (table[best]! <= FEW_VOTES * most) break;
    const direction = Math.floor(best / across);
    const place = best % across;
    found.push({ angle: (direction * Math.PI) / 180, distance: place - reach });
    for (let k = -8; k <= 8; k++) {
      const turned = direction + k;
      // Past half a turn the normal points the other way.
      const flipped = turned < 0 || turned >= 180;
      const row = ((turned + 180) % 180) * across;
      const middle = flipped ? across - place : place;
      table.fill(0, row + Math.max(0, middle - 6 - Math.abs(k)), row + Math.min(across, middle + 7 + Math.abs(k)));
      peaks[row / across] = peakOf(table, row, across);
    }
  }
  return found;
}

function peakOf(table: Float32Array, from: number, count: number): number {
  let best = from;
  for (let i = from + 1; i < from + count; i++) if (table[i]! > table[best]!) best = i;
  return best;
}

/**
 * Bend of the light, as a share of it, from which on a place may lie on a line: lines are few, so that of a plate full of
 * streaks only the sharpest places are asked.
 */
function leastBend(light: Float32Array, free: Uint8Array, w: number, h: number): number {
  const some: number[] = [];
  for (let i = 3 * w + 3; i < (h - 3) * w - 3; i += BEND_STRIDE) {
    if (free[i] === 0) continue;
    const here = light[i]!;
    const xx = light[i - 2]! + light[i + 2]! - 2 * here;
    const yy = light[i - 2 * w]! + light[i + 2 * w]! - 2 * here;
    some.push((Math.abs(xx) + Math.abs(yy)) / Math.max(1e-3, here + Math.max(0, xx, yy) / 2));
  }
  const share = Math.min(1, (MOST_ASKED * Math.hypot(w, h)) / (w * h));
  const sorted = Float64Array.from(some).sort();
  return Math.max(LEAST_BEND, sorted[Math.floor((1 - share) * sorted.length)] ?? 0);
}

/** 0 where a hole or its rim lies. */
function freeOf({ widthPx: w, heightPx: h, shrink }: Overview, holes: readonly HoleDisc[]): Uint8Array {
  const free = new Uint8Array(w * h).fill(1);
  for (const hole of holes) {
    const reach = clearance(hole) / shrink + 2;
    const [cx, cy] = [hole.column / shrink, hole.row / shrink];
    for (let y = Math.max(0, Math.floor(cy - reach)); y <= Math.min(h - 1, cy + reach); y++) {
      for (let x = Math.max(0, Math.floor(cx - reach)); x <= Math.min(w - 1, cx + reach); x++) {
        if (Math.hypot(x + 0.5 - cx, y + 0.5 - cy) < reach) free[y * w + x] = 0;
      }
    }
  }
  return free;
}

function clearance(hole: HoleDisc): number {
  return 1.25 * hole.radiusPx + 4;
}

function binomial(light: Float32Array, w: number, h: number): Float32Array {
  const rows = new Float32Array(light.length);
  const out = new Float32Array(light.length);
  for (let i = 1; i < light.length - 1; i++) rows[i] = (light[i - 1]! + 2 * light[i]! + light[i + 1]!) / 4;
  for (let i = w; i < w * (h - 1); i++) out[i] = (rows[i - w]! + 2 * rows[i]! + rows[i + w]!) / 4;
  return out;
}

interface Slice {
  /** Along the line from its foot, and across it, px of the overview. */
  readonly along: number;
  readonly across: number;
  /** Share of the plate's light that the line takes away or adds. */
  readonly contrast: number;
  readonly width: number;
}

/** A line followed on the overview: a point on it, its direction, where it was seen. */
interface Line {
  readonly sign: Sign;
  readonly x: number;
  readonly y: number;
  readonly directionX: number;
  readonly directionY: number;
  readonly slices: readonly Slice[];
  readonly contrast: number;
  /** px of the overview. */
  readonly width: number;
  /** Scatter of the slices across the line, px. */
  readonly scatter: number;
}

function followed(overview: Overview, guess: Guess, factor: number, holes: readonly HoleDisc[]): Line | null {
  const { widthPx: w, heightPx: h } = overview;
  let x = w / 2 + guess.distance * factor * Math.cos(guess.angle);
  let y = h / 2 + guess.distance * factor * Math.sin(guess.angle);
  let direction = guess.angle + Math.PI / 2;
  let line: Line | null = null;
  // The first look reaches as far across as the guess may be off; the second as far as the line is wide.
  for (const slices of SLICES) {
    const reach: number = line === null ? 4 * factor + 2 : Math.max(3, 2.2 * (line as Line).width + 2);
    line = lookAlong(overview, guess.sign, { x, y, direction }, { reach, slices }, holes);
    if (!line) return null;
    ({ x, y } = line);
    direction = Math.atan2(line.directionY, line.directionX);
  }
  return line;
}

function lookAlong(
  { widthPx: w, heightPx: h, light, shrink }: Overview,
  sign: Sign,
  from: { readonly x: number; readonly y: number; readonly direction: number },
  { reach: half, slices: wanted }: { readonly reach: number; readonly slices: number },
  holes: readonly HoleDisc[],
): Line | null {
  const [ux, uy] = [Math.cos(from.direction), Math.sin(from.direction)];
  const reach = Math.hypot(w, h);
  const step = Math.max(1, (2 * reach) / wanted);
  const count = 2 * Math.ceil(half) + 1;
  const profile = new Float64Array(count);
  const all: Slice[] = [];
  for (let along = -reach; along <= reach; along += step) {
    const px = from.x + along * ux;
    const py = from.y + along * uy;
    if (px < half + 2 || py < half + 2 || px > w - half - 2 || py > h - half - 2) continue;
    if (holes.some((hole) => Math.hypot(px * shrink - hole.column, py * shrink - hole.row) < clearance(hole) + half * shrink)) continue;
    for (let k = 0; k < count; k++) {
      const q = k - (count - 1) / 2;
      profile[k] = valueAt(light, w, px - q * uy, py + q * ux);
    }
    const slice = sliceOf(profile, sign, along);
    if (slice) all.push(slice);
  }
  if (all.length < 2 * LEAST_SLICES) return null;
  const contrasts = all.map(({ contrast }) => contrast).sort((a, b) => b - a);
  // Ticks may be short: the strongest tenth tells what the line is like.
  const typical = contrasts[Math.floor(contrasts.length / 10)]!;
  let kept = all.filter(({ contrast }) => contrast > 0.5 * typical);
  let fit = { offset: median(kept.map(({ across }) => across)), slope: 0 };
  let tolerance = half;
  for (let round = 0; round < 8; round++) {
    tolerance = Math.max(0.7, tolerance / 1.8);
    const near = kept.filter((slice) => Math.abs(slice.across - fit.offset - fit.slope * slice.along) < tolerance);
    if (near.length < 2 * LEAST_SLICES) return null;
    fit = lineThrough(near);
  }
  kept = kept.filter((slice) => Math.abs(slice.across - fit.offset - fit.slope * slice.along) < tolerance);
  const residuals = kept.map((slice) => slice.across - fit.offset - fit.slope * slice.along);
  const turn = Math.atan(fit.slope);
  return {
    sign,
    x: from.x - fit.offset * uy,
    y: from.y + fit.offset * ux,
    directionX: Math.cos(from.direction + turn),
    directionY: Math.sin(from.direction + turn),
    slices: kept.map((slice) => ({ ...slice, along: slice.along / Math.cos(turn) })),
    contrast: median(kept.map(({ contrast }) => contrast)),
    width: median(kept.map(({ width }) => width)),
    scatter: Math.sqrt(residuals.reduce((sum, r) => sum + r * r, 0) / residuals.length),
  };
}

/** The line in one profile across it: the deepest place against both sides. */
function sliceOf(profile: Float64Array, sign: Sign, along: number): Slice | null {
  const n = profile.length;
  const edge = Math.max(1, n >> 3);
  let left = 0;
  let right = 0;
  for (let k = 0; k < edge; k++) {
    left += profile[k]! / edge;
    right += profile[n - 1 - k]! / edge;
  }
  const depth = (k: number): number => sign * (left + ((right - left) * k) / (n - 1) - profile[k]!);
  let peak = 0;
  for (let k = 1; k < n - 1; k++) if (depth(k) > depth(peak)) peak = k;
  const base = (left + right) / 2;
  const top = depth(peak);
  if (!(base > 0) || top <= 0.3 * LEAST_CONTRAST * base || peak < edge || peak >= n - edge) return null;
  let [sum, moment] = [0, 0];
  const limit = 0.3 * top;
  for (const way of [1, -1]) {
    for (let k = peak + (way > 0 ? 0 : -1); k > 0 && k < n - 1 && depth(k) > limit; k += way) {
      sum += depth(k) - limit;
      moment += (depth(k) - limit) * k;
    }
  }
  return { along, across: moment / sum - (n - 1) / 2, contrast: top / base, width: sum / (0.7 * top) };
}

function valueAt(light: Float32Array, w: number, x: number, y: number): number {
  const column = Math.floor(x - 0.5);
  const row = Math.floor(y - 0.5);
  const s = x - 0.5 - column;
  const t = y - 0.5 - row;
  const i = row * w + column;
  return (1 - t) * ((1 - s) * light[i]! + s * light[i + 1]!) + t * ((1 - s) * light[i + w]! + s * light[i + w + 1]!);
}

function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[sorted.length >> 1] ?? 0;
}

function lineThrough(slices: readonly Slice[]): { offset: number; slope: number } {
  const n = slices.length;
  const meanT = slices.reduce((sum, s) => sum + s.along, 0) / n;
  const meanU = slices.reduce((sum, s) => sum + s.across, 0) / n;
  let [tt, tu] = [0, 0];
  for (const s of slices) {
    tt += (s.along - meanT) ** 2;
    tu += (s.along - meanT) * (s.across - meanU);
  }
  const slope = tt > 0 ? tu / tt : 0;
  return { offset: meanU - slope * meanT, slope };
}

/** Two looks at one line: nearly parallel, and one passes through the other's middle. */
function sameLine(a: Line, b: Line): boolean {
  if (a.sign !== b.sign || Math.abs(a.directionX * b.directionY - a.directionY * b.directionX) > 0.05) return false;
  const middle = b.slices[b.slices.length >> 1]!.along;
  const [dx, dy] = [b.x + middle * b.directionX - a.x, b.y + middle * b.directionY - a.y];
  return Math.abs(a.directionX * dy - a.directionY * dx) < 0.6 * (a.width + b.width) + 1;
}

interface Crossing {
  readonly x: number;
  readonly y: number;
  readonly score: number;
  readonly lines: readonly [Line, Line];
  readonly at: readonly [number, number];
}

function bestCross(lines: readonly Line[], overview: Overview, scale: ScanScale): MarkedMiddle | null {
  const xMm = scale.xMmPerPx * overview.shrink;
  const yMm = scale.yMmPerPx * overview.shrink;
  const meanMm = Math.sqrt(xMm * yMm);
  const inked = lines.filter(
    ({ contrast, width, scatter }) =>
      contrast >= LEAST_CONTRAST && contrast * width * meanMm >= LEAST_INK_MM && scatter < 0.35 * width + 0.5,
  );
  const crossings: Crossing[] = [];
  for (const [i, a] of inked.entries()) {
    for (const b of inked.slice(i + 1)) {
      const found = crossing(a, b, overview, xMm, yMm);
      if (found) crossings.push(found);
    }
  }
  crossings.sort((a, b) => b.score - a.score);
  const [best] = crossings;
  if (best === undefined) return null;
  const rival = crossings.some(
    (other) =>
      other.score > RIVAL_SHARE * best.score &&
      Math.hypot(other.x - best.x, other.y - best.y) > best.lines[0].width + best.lines[1].width,
  );
  if (rival) return null;
  const width = Math.max(best.lines[0].width, best.lines[1].width);
  const fits = best.lines.map((line, i) => placeDeviation(line, best.at[i]!));
  const [first] = best.lines;
  const angle = Math.atan2(-first.directionY * yMm, first.directionX * xMm);
  const quarter = Math.PI / 2;
  return {
    by: 'cross',
    center: { xMm: best.x * xMm, yMm: best.y * yMm },
    standardUncertaintyMm: meanMm * Math.hypot(Math.max(...fits), DRAWN_SHARE * width, 0.05),
    angleRad: ((angle % quarter) + quarter) % quarter,
    lineWidthMm: width * meanMm,
  };
}

/** Deviation of the fitted line across itself at a place along it; neighbouring slices share their noise. */
function placeDeviation({ slices, scatter }: Line, along: number): number {
  const n = slices.length;
  const mean = slices.reduce((sum, s) => sum + s.along, 0) / n;
  const square = slices.reduce((sum, s) => sum + (s.along - mean) ** 2, 0);
  return 2 * scatter * Math.sqrt(1 / n + (along - mean) ** 2 / square);
}

function crossing(a: Line, b: Line, overview: Overview, xMm: number, yMm: number): Crossing | null {
  if (a.sign !== b.sign) return null;
  const ratio = (p: number, q: number): number => Math.max(p, q) / Math.min(p, q);
  if (ratio(a.contrast, b.contrast) > ALIKE || ratio(a.width, b.width) > ALIKE) return null;
  if (!areSquare(a, b, xMm, yMm, SQUARE_RAD)) return null;
  const det = a.directionX * b.directionY - a.directionY * b.directionX;
  const s = ((b.x - a.x) * b.directionY - (b.y - a.y) * b.directionX) / det;
  const t = ((b.x - a.x) * a.directionY - (b.y - a.y) * a.directionX) / det;
  const x = a.x + s * a.directionX;
  const y = a.y + s * a.directionY;
  if (x < 0 || y < 0 || x > overview.widthPx || y > overview.heightPx) return null;
  const arms = [...armsOf(a, s), ...armsOf(b, t)];
  if (arms.some((arm) => arm.count < LEAST_SLICES || arm.share < ARM_SHARE)) return null;
  const length = Math.min(...arms.map(({ count }) => count));
  return { x, y, score: length * Math.min(a.contrast * a.width, b.contrast * b.width), lines: [a, b], at: [s, t] };
}

/** What is seen of a line on either side of a place along it. */
function armsOf({ slices }: Line, at: number): { readonly count: number; readonly share: number }[] {
  return [1, -1].map((way) => {
    const own = slices.map(({ along }) => way * (along - at)).filter((d) => d > 0).sort((p, q) => p - q);
    const steps = own.slice(1).map((d, i) => d - own[i]!);
    const usual = median(steps);
    const span = own.length > 1 ? (own.at(-1)! - own[0]!) / Math.max(usual, 1e-9) + 1 : 1;
    return { count: own.length, share: own.length / span };
  });
}
