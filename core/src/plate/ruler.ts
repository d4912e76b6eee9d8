/**
 * A millimetre scale lying in the scan, found by itself: rows of even marks, their pitch and direction. It gives the
 * scale of this very scan, in x and in y, better than any stated resolution.
 */
import { InputError, ModelError } from '../errors.ts';
import { formatNumber } from '../units/figures.ts';
import { lightOfRaster } from './tone.ts';
import { SOFTEST_MM } from './hole.ts';
import type { HoleReading, PixelSource, ScanScale, ToneCurve } from './scan.ts';

/** A family of even, parallel marks. */
export interface RulerMarks {
  /** Wave vector of the marks: divisions per pixel along the rows (to the right) and down the columns. */
  readonly perColumnPx: number;
  readonly perRowPx: number;
  /** Of the pitch, k = 1, as a share of it. */
  readonly relativeDeviation: number;
  readonly divisions: number;
  /** One division; `null` when longer marks do not tell (then it must be said). */
  readonly divisionMm: number | null;
}

const OVERVIEW_PX = 2e6;
/** Strips across the marks, px of the overview. */
const STRIP_PX = 8;
const LEAST_MARKS = 10;
/** Of the longer marks among them, which only tell what a division is. */
const LEAST_LONG_MARKS = 3;
/** Marks may miss their even place by this share of the pitch. */
const SLACK = 0.2;

/**
 * Families of even marks in a scan: none, one, or two square to each other (an angle, a grid, two rulers).
 * Valid: at least ten marks, six pixels or more apart.
 */
export async function findRuler(source: PixelSource, tone: ToneCurve): Promise<readonly RulerMarks[]> {
  const { widthPx, heightPx } = source;
  const shrink = Math.max(1, Math.ceil(Math.sqrt((widthPx * heightPx) / OVERVIEW_PX)));
  const raster = await source.read({ columnPx: 0, rowPx: 0, widthPx, heightPx }, shrink);
  const picture = {
    widthPx: raster.widthPx,
    heightPx: raster.heightPx,
    // Marks are told by contrast, so stored values serve as well and spread the dark more evenly.
    light: lightOfRaster(raster, source.channels >= 3 ? 1 : 0, tone.kind === 'linear' ? { kind: 'gamma', gamma: 1 / 2.2 } : { kind: 'linear' }),
  };
  const found: RulerMarks[] = [];
  for (const direction of markDirections(picture)) {
    const first = familyAlong(picture, direction);
    if (!first) continue;
    // Once more along the direction found, so that strips cut the marks squarely.
    const turned = Math.atan2(first.perRowPx, first.perColumnPx);
    const marks = familyAlong(picture, turned) ?? first;
    const angle = Math.atan2(marks.perRowPx, marks.perColumnPx);
    const apart = found.every((other) => {
      const turn = Math.abs(Math.sin(angle - Math.atan2(other.perRowPx, other.perColumnPx)));
      return turn > 0.7;
    });
    if (apart) found.push({ ...marks, perColumnPx: marks.perColumnPx / shrink, perRowPx: marks.perRowPx / shrink });
  }
  return found.slice(0, 2);
}

interface Picture {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly light: Float32Array;
}

/** Directions across which much changes, strongest first, radians in the picture (row down). */
function markDirections({ widthPx: w, heightPx: h, light }: Picture): number[] {
  const bins = new Float64Array(180);
  for (let y = 1; y < h - 1; y++) {
    for (let x = 1; x < w - 1; x++) {
      const i = y * w + x;
      const [a, b, c] = [i - w, i, i + w];
      // Weights 3 : 10 : 3 tell directions of thin lines with the least error.
      const gx = (3 * (light[a + 1]! - light[a - 1]! + light[c + 1]! - light[c - 1]!) + 10 * (light[b + 1]! - light[b - 1]!)) / 16;
      const gy = (3 * (light[c - 1]! - light[a - 1]! + light[c + 1]! - light[a + 1]!) + 10 * (light[c]! - light[a]!)) / 16;
      const size = gx * gx + gy * gy;
      if (size < 1e-4) continue;
      const angle = Math.atan2(gy, gx);
      bins[Math.floor((((angle + 2 * Math.PI) % Math.PI) / Math.PI) * 180) % 180]! += size;
    }
  }
  const smooth = bins.map((_, i) => [-2, -1, 0, 1, 2].reduce((sum, k) => sum + bins[(i + k + 180) % 180]!, 0));
  const peaks = Array.from(smooth.keys())
    .filter((i) => smooth[i]! >= Math.max(...[-3, -2, -1, 1, 2, 3].map((k) => smooth[(i + k + 180) % 180]!)))
    .sort((a, b) => smooth[b]! - smooth[a]!);
  const kept: number[] = [];
  for (const peak of peaks) {
    const apart = kept.every((other) => Math.min(Math.abs(peak - other), 180 - Math.abs(peak - other)) > 8);
    if (apart && smooth[peak]! > 0.02 * smooth[peaks[0]!]!) kept.push(peak);
  }
  return kept.slice(0, 6).map((peak) => ((peak + 0.5) / 180) * Math.PI);
}

interface Row {
  /** Dark marks (−1) or bright ones, or the gaps between. */
  readonly sign: 1 | -1;
  /** Middle of the strip, across the direction. */
  readonly v: number;
  readonly pitch: number;
  /** Place of one mark near the row's middle. */
  readonly at: number;
  readonly count: number;
  readonly deviation: number;
}

/** The finest family of even marks along a direction. */
function familyAlong(picture: Picture, direction: number): RulerMarks | null {
  const rows = evenRows(picture, direction);
  const finest = commonPitch(rows);
  if (finest === null) return null;
  const own = oneForEachStrip(rows.filter((row) => row.count >= LEAST_MARKS && Math.abs(row.pitch / finest - 1) < 0.02));
  // Neighbouring strips see the same marks shifted by the tilt between them and the strips' direction.
  const tilt = tiltOf(own, finest);
  const longest = [...own].sort((a, b) => b.count - a.count).slice(0, Math.max(3, Math.ceil(own.length / 3)));
  const weight = longest.reduce((sum, row) => sum + row.deviation ** -2, 0);
  const spacing = longest.reduce((sum, row) => sum + row.pitch * row.deviation ** -2, 0) / weight;
  const pitch = spacing * Math.cos(tilt);
  const spread = Math.sqrt(longest.reduce((sum, row) => sum + (row.pitch - spacing) ** 2, 0) / longest.length);
  const deviation = Math.max(spread / Math.sqrt(longest.length), Math.sqrt(1 / weight));
  const angle = direction - tilt;
  return {
    perColumnPx: Math.cos(angle) / pitch,
    perRowPx: Math.sin(angle) / pitch,
    relativeDeviation: deviation / spacing,
    divisions: Math.max(...longest.map(({ count }) => count)) - 1,
    divisionMm: divisionOf(rows, finest),
  };
}

/** The marks themselves or the gaps, whichever lie more evenly, and of each strip the longest run. */
function oneForEachStrip(rows: readonly Row[]): Row[] {
  const quality = (sign: 1 | -1): number =>
    rows.filter((row) => row.sign === sign).reduce((sum, row) => sum + row.count / row.deviation, 0);
  const sign = quality(-1) >= quality(1) ? -1 : 1;
  const best = new Map<number, Row>();
  for (const row of rows) {
    if (row.sign === sign && row.count > (best.get(row.v)?.count ?? 0)) best.set(row.v, row);
  }
  return [...best.values()];
}

/** Strips in which a long run of even marks lies. */
function evenRows(picture: Picture, direction: number): Row[] {
  const { widthPx: w, heightPx: h, light } = picture;
  const c = Math.cos(direction);
  const s = Math.sin(direction);
  const reach = Math.ceil(Math.hypot(w, h) / 2);
  const strips = Math.ceil((2 * reach) / STRIP_PX);
  const length = 2 * reach + 2;
  const sums = Array.from({ length: strips }, () => new Float64Array(length));
  const counts = Array.from({ length: strips }, () => new Float64Array(length));
  for (let y = 0; y < h; y++) {
    for (let x = 0; x < w; x++) {
      const dx = x + 0.5 - w / 2;
      const dy = y + 0.5 - h / 2;
      const u = dx * c + dy * s + reach;
      const strip = Math.floor((dy * c - dx * s + reach) / STRIP_PX);
      const low = Math.floor(u);
      const part = u - low;
      if (strip < 0 || strip >= strips || low < 0 || low + 1 >= length) continue;
      const value = light[y * w + x]!;
      sums[strip]![low]! += (1 - part) * value;
      counts[strip]![low]! += 1 - part;
      sums[strip]![low + 1]! += part * value;
      counts[strip]![low + 1]! += part;
    }
  }
  const rows: Row[] = [];
  for (let strip = 0; strip < strips; strip++) {
    const v = (strip + 0.5) * STRIP_PX - reach;
    const from = counts[strip]!.findIndex((n) => n > 1);
    const to = counts[strip]!.findLastIndex((n) => n > 1);
    if (from < 0 || to - from < 60) continue;
    const line = Float64Array.from({ length: to - from + 1 }, (_, i) =>
      counts[strip]![from + i]! > 0.5 ? sums[strip]![from + i]! / counts[strip]![from + i]! : 0,
    );
    for (const window of [12, 40, 130]) {
      if (line.length < 3 * window) continue;
      for (const sign of [-1, 1] as const) {
        const marks = marksIn(line, window, sign);
        const run = longestEvenRun(marks, LEAST_MARKS) ?? longestEvenRun(marks, LEAST_LONG_MARKS);
        // Seen against too short a mean the light on both sides of each mark passes for a mark: half the pitch.
        if (run && run.pitch < 1.1 * window) rows.push({ v, sign, ...run, at: run.at + from });
      }
    }
  }
  return rows;
}

/** Middles of the runs that stand out from the mean about them, darker (−1) or brighter (1). */
function marksIn(line: Float64Array, window: number, sign: 1 | -1): number[] {
  const n = line.length;
  const total = new Float64Array(n + 1);
  for (let i = 0; i < n; i++) total[i + 1] = total[i]! + line[i]!;
  const height = Float64Array.from(line, (value, i) => {
    const a = Math.max(0, i - window);
    const b = Math.min(n, i + window + 1);
    return sign * (value - (total[b]! - total[a]!) / (b - a));
  });
  const sorted = Array.from(height).sort((a, b) => a - b);
  // Three marks have more than five pixels between them.
  const top = sorted[n - 5]!;
  const usual = sorted[Math.floor(0.5 * n)]!;
  const level = usual + 0.45 * (top - usual);
  if (!(top - usual > 0.015)) return [];
  const marks: number[] = [];
  for (let i = 0; i < n; ) {
    if (height[i]! <= level) {
      i++;
      continue;
    }
    let weight = 0;
    let moment = 0;
    while (i < n && height[i]! > level) {
      weight += height[i]! - level;
      moment += (height[i]! - level) * i;
      i++;
    }
    marks.push(moment / weight);
  }
  return marks;
}

/** The longest run of marks that keep one distance, with the line through their places. */
function longestEvenRun(marks: readonly number[], least: number): Omit<Row, 'v' | 'sign'> | null {
  let best: { from: number; to: number } | null = null;
  for (let from = 0; from + least <= marks.length; ) {
    let to = from + 1;
    let pitch = marks[to]! - marks[from]!;
    while (to + 1 < marks.length && Math.abs(marks[to + 1]! - marks[to]! - pitch) < SLACK * pitch) {
      to++;
      pitch = (marks[to]! - marks[from]!) / (to - from);
    }
    if (to - from + 1 >= least && (best === null || to - from > best.to - best.from)) best = { from, to };
    from = Math.max(from + 1, to - 1);
  }
  if (!best) return null;
  const run = marks.slice(best.from, best.to + 1);
  const n = run.length;
  const middle = (n - 1) / 2;
  const mean = run.reduce((a, b) => a + b, 0) / n;
  let kk = 0;
  let kx = 0;
  for (const [k, x] of run.entries()) {
    kk += (k - middle) ** 2;
    kx += (k - middle) * (x - mean);
  }
  const pitch = kx / kk;
  if (pitch < 6) return null;
  const square = run.reduce((sum, x, k) => sum + (x - mean - (k - middle) * pitch) ** 2, 0) / Math.max(1, n - 2);
  if (Math.sqrt(square) > 0.12 * pitch) return null;
  return { pitch, at: mean - (middle - Math.floor(middle)) * pitch, count: n, deviation: Math.sqrt(Math.max(square, 0.02 ** 2) / kk) };
}

/** The smallest pitch that at least three strips share. */
function commonPitch(rows: readonly Row[]): number | null {
  const sorted = rows.filter(({ count }) => count >= LEAST_MARKS).sort((a, b) => a.pitch - b.pitch);
  for (const row of sorted) {
    const same = sorted.filter((other) => Math.abs(other.pitch / row.pitch - 1) < 0.015);
    if (new Set(same.map(({ v }) => v)).size >= 3) {
      const pitches = same.map(({ pitch }) => pitch).sort((a, b) => a - b);
      return pitches[Math.floor(pitches.length / 2)]!;
    }
  }
  return null;
}

/** Angle between the marks' own direction and the strips': from how far their places move from strip to strip. */
function tiltOf(rows: readonly Row[], pitch: number): number {
  const steps: number[] = [];
  const sorted = [...rows].sort((a, b) => a.v - b.v);
  for (let i = 1; i < sorted.length; i++) {
    const dv = sorted[i]!.v - sorted[i - 1]!.v;
    if (dv <= 0 || dv > 1.5 * STRIP_PX) continue;
    const shift = sorted[i]!.at - sorted[i - 1]!.at;
    steps.push((shift - pitch * Math.round(shift / pitch)) / dv);
  }
  if (steps.length === 0) return 0;
  steps.sort((a, b) => a - b);
  return Math.atan(steps[Math.floor(steps.length / 2)]!);
}

/** Longer marks at every fifth and tenth tell millimetres; at every second half of them; by twos only, an inch scale. */
function divisionOf(rows: readonly Row[], pitch: number): number | null {
  const has = (multiple: number): boolean =>
    new Set(rows.filter((row) => Math.abs(row.pitch / pitch / multiple - 1) < 0.015).map(({ v }) => v)).size >= 2;
  if (has(4) || has(8) || has(16)) return null;
  if (has(2) && (has(10) || has(20))) return 0.5;
  if (has(5) || has(10)) return 1;
  return null;
}

export interface RulerReading {
  /** One division; needed where the marks do not tell. */
  readonly divisionMm?: number;
  /** What file or maker say of the scale: its ratio of x to y serves where only one direction is seen. */
  readonly stated?: Pick<ScanScale, 'xMmPerPx' | 'yMmPerPx'> | null;
}

/** Marks of a good steel rule lie within about this of their place over its length. @source engineering-judgement */
const RULE_ERROR_MM = 0.02;
/** Doubt about the ratio of x to y when only one of them is seen. @source engineering-judgement */
export const RATIO_DOUBT = 0.003;
/** A stated resolution may be used to choose between whole divisions if it is this near. */
const STATED_NEAR = 0.08;

/**
 * The scale from one or two families of marks:
 *   (k_x / s_x)² + (k_y / s_y)² = 1 / d²   for each family, k divisions per pixel, s mm per pixel
 * Two families give s_x and s_y; one gives their size with the ratio that is stated, else square pixels.
 * @param marks from one scan, or from scans of the same rule across and down
 * @throws InputError missing without marks or without a division
 * @throws ModelError not-converged when two families contradict each other
 */
export function rulerScale(marks: readonly RulerMarks[], reading: RulerReading = {}): ScanScale {
  const [first] = marks;
  if (first === undefined) {
    throw new InputError('no-scale', 'No scale of even marks was found in this scan. Lay a steel rule beside the plate, or point out two ends of a known length.');
  }
  const { stated } = reading;
  const ratio = stated ? stated.xMmPerPx / stated.yMmPerPx : 1;
  const equations = marks.map((family) => {
    const divisionMm = reading.divisionMm ?? family.divisionMm ?? guessedDivision(family, stated);
    if (divisionMm === null) {
      throw new InputError('missing', 'A scale was found, but not what one of its divisions is. Say it: 1, 0.5 or 0.1 mm.');
    }
    return { ...family, divisionMm };
  });
  const widest = squareFamilies(equations);
  const u = Math.hypot(
    Math.max(...equations.map(({ relativeDeviation }) => relativeDeviation)),
    Math.max(...equations.map(({ divisions, divisionMm }) => RULE_ERROR_MM / Math.sqrt(3) / (divisions * divisionMm))),
  );
  const told = equations.map(({ divisions, divisionMm }) => `${divisions} divisions of ${divisionMm} mm`).join(' and ');
  if (widest) {
    const { xMmPerPx, yMmPerPx } = widest;
    return { xMmPerPx, yMmPerPx, source: 'ruler', detail: `a rule in the scan, ${told}, x and y apart`, relativeUncertainty: u };
  }
  const kx = first.perColumnPx * equations[0]!.divisionMm;
  const ky = first.perRowPx * equations[0]!.divisionMm;
  // With s_x = ratio · s_y: s_y² = (k_x / ratio)² + k_y².
  const yMmPerPx = Math.hypot(kx / ratio, ky);
  return {
    xMmPerPx: ratio * yMmPerPx,
    yMmPerPx,
    source: 'ruler',
    detail: `a rule in the scan, ${told}, in one direction`,
    // The diameter goes with the root of both scales: half of the ratio's doubt.
    relativeUncertainty: Math.hypot(u, RATIO_DOUBT / 2),
  };
}

/**
 * Evenly marked scales of tenths of a millimetre look like millimetre rules, only larger: where nobody said what a
 * division is, the blur of the hole's own edge must agree with millimetres, or it is asked.
 * @throws InputError no-scale
 */
export function requireLikelyDivision(hole: Pick<HoleReading, 'blurSigmaMm' | 'outlineDiameterMm'>, scale: ScanScale): void {
  const coarserPxMm = Math.max(scale.xMmPerPx, scale.yMmPerPx);
  if (hole.blurSigmaMm <= Math.max(SOFTEST_MM, coarserPxMm)) return;
  const um = (lengthMm: number): string => `${formatNumber(1000 * lengthMm, { significant: 2 })} µm`;
  throw new InputError(
    'no-scale',
    `A scale of even marks lies in this scan, but what one of its divisions is cannot be told. Read as ${scale.detail.replace('a rule in the scan, ', '')} ` +
      `the hole would be ${formatNumber(hole.outlineDiameterMm, { significant: 3 })} mm wide and its edge blurred by ${um(hole.blurSigmaMm)}, ` +
      `more than scanners do. Say what one division is: 1, 0.5 or 0.1 mm.`,
    { path: 'ruler', expected: 'one division of the scale, mm' },
  );
}

interface Equation extends RulerMarks {
  readonly divisionMm: number;
}

function guessedDivision(family: RulerMarks, stated: RulerReading['stated']): number | null {
  if (!stated) return null;
  const seen = 1 / Math.hypot(family.perColumnPx / stated.xMmPerPx, family.perRowPx / stated.yMmPerPx);
  return [1, 0.5, 10, 5].find((division) => Math.abs(seen / division - 1) < STATED_NEAR) ?? null;
}

/** Solves the two families that are most nearly square to each other; `null` when there are none. */
function squareFamilies(equations: readonly Equation[]): { xMmPerPx: number; yMmPerPx: number } | null {
  let best: { xMmPerPx: number; yMmPerPx: number } | null = null;
  let bestDet = 0.3;
  for (const [i, a] of equations.entries()) {
    for (const b of equations.slice(i + 1)) {
      const [ax, ay, bx, by] = [a.perColumnPx ** 2, a.perRowPx ** 2, b.perColumnPx ** 2, b.perRowPx ** 2];
      const [p, q] = [a.divisionMm ** -2, b.divisionMm ** -2];
      const det = ax * by - ay * bx;
      const share = Math.abs(det) / ((ax + ay) * (bx + by));
      if (share < bestDet) continue;
      const x = (p * by - q * ay) / det;
      const y = (ax * q - bx * p) / det;
      if (!(x > 0 && y > 0)) {
        throw new ModelError('not-converged', 'The two scales in this scan contradict each other. Say what one division is, or point out two ends of a known length.');
      }
      bestDet = share;
      best = { xMmPerPx: 1 / Math.sqrt(x), yMmPerPx: 1 / Math.sqrt(y) };
    }
  }
  return best;
}
