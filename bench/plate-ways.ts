/**
 * What the obvious ways of measuring a hole reach, beside ours: scale, polarity and tone curve are given to all of them.
 * Errors of the area-equivalent diameter in pixels, on the open scans with known outlines and on rendered ones:
 *   node tools/run.mjs bench/plate-ways.ts [rendered scans of each kind]
 */
import { readFile } from 'node:fs/promises';
import { basename } from 'node:path';
import { measureScan, minimumCircumscribedCircle, rasterSource, lightOfValue } from '#core';
import type { PixelSource, Point, Raster, ToneCurve } from '#core';
import { nodeImageSource } from '#io/node';
import truth from '../reference/plates/data.json' with { type: 'json' };
import { FAMILIES, randomRecipe } from '../tools/scan-renderer/families.ts';
import { renderScan } from '../tools/scan-renderer/render.ts';

interface Case {
  readonly name: string;
  readonly source: PixelSource;
  readonly xMmPerPx: number;
  readonly yMmPerPx: number;
  readonly tone: ToneCurve;
  readonly bright: boolean;
  readonly trueMm: number;
  /** Where the hole is, px. */
  readonly column: number;
  readonly row: number;
}

/** Stored values 0…1 and light of the channel that is measured. */
function channel(raster: Raster, tone: ToneCurve): { values: Float64Array; light: Float64Array } {
  const at = raster.channels >= 3 ? 1 : 0;
  const values = Float64Array.from({ length: raster.widthPx * raster.heightPx }, (_, i) => raster.samples[i * raster.channels + at]! / raster.fullScale);
  return { values, light: values.map((v) => lightOfValue(tone, v)) };
}

/** The threshold that parts the histogram into the two most compact classes. */
function otsuThreshold(values: Float64Array): number {
  const counts = new Float64Array(256);
  for (const v of values) counts[Math.min(255, Math.floor(v * 256))]! += 1;
  let best = 0;
  let level = 0;
  const total = values.length;
  const mean = counts.reduce((sum, n, i) => sum + n * i, 0) / total;
  let below = 0;
  let moment = 0;
  for (let i = 0; i < 255; i++) {
    below += counts[i]!;
    moment += counts[i]! * i;
    if (below === 0 || below === total) continue;
    const spread = (mean * below - moment) ** 2 / (below * (total - below));
    if (spread > best) {
      best = spread;
      level = (i + 1) / 256;
    }
  }
  return level;
}

/** Pixels beyond a threshold that hang together with the middle of the hole. */
function region(values: Float64Array, widthPx: number, threshold: number, bright: boolean, start: number): number[] {
  const inside = (i: number): boolean => values[i]! > threshold === bright;
  const seen = new Uint8Array(values.length);
  const found = inside(start) ? [start] : [];
  if (found.length > 0) seen[start] = 1;
  for (let k = 0; k < found.length; k++) {
    const i = found[k]!;
    const column = i % widthPx;
    for (const j of [column > 0 ? i - 1 : -1, column < widthPx - 1 ? i + 1 : -1, i - widthPx, i + widthPx]) {
      if (j >= 0 && j < values.length && seen[j] === 0 && inside(j)) {
        seen[j] = 1;
        found.push(j);
      }
    }
  }
  return found;
}

/** Area inside the line at half the way from plate to hole, by marching along rays, straight between pixels; px. */
function halfContourDiameter(values: Float64Array, widthPx: number, heightPx: number, c: Case): number {
  const at = (x: number, y: number): number => {
    const i = Math.min(widthPx - 2, Math.max(0, Math.floor(x - 0.5)));
    const j = Math.min(heightPx - 2, Math.max(0, Math.floor(y - 0.5)));
    const [u, v] = [x - 0.5 - i, y - 0.5 - j];
    const k = j * widthPx + i;
    return (values[k]! * (1 - u) + values[k + 1]! * u) * (1 - v) + (values[k + widthPx]! * (1 - u) + values[k + widthPx + 1]! * u) * v;
  };
  const radiusPx = c.trueMm / 2 / Math.sqrt(c.xMmPerPx * c.yMmPerPx);
  const [sx, sy] = [Math.sqrt(c.yMmPerPx / c.xMmPerPx), Math.sqrt(c.xMmPerPx / c.yMmPerPx)];
  const ring: number[] = [];
  const middle: number[] = [];
  for (let i = 0; i < 360; i++) {
    const [u, v] = [Math.cos((i * Math.PI) / 180), Math.sin((i * Math.PI) / 180)];
    middle.push(at(c.column + 0.4 * radiusPx * u * sx, c.row + 0.4 * radiusPx * v * sy));
    ring.push(at(c.column + 1.5 * radiusPx * u * sx, c.row + 1.5 * radiusPx * v * sy));
  }
  const half = (median(middle) + median(ring)) / 2;
  let square = 0;
  for (let i = 0; i < 720; i++) {
    const [u, v] = [Math.cos((i * Math.PI) / 360), Math.sin((i * Math.PI) / 360)];
    const value = (r: number): number => at(c.column + r * u * sx, c.row + r * v * sy);
    let r = 0.5 * radiusPx;
    while (r < 1.6 * radiusPx && value(r) > half === c.bright) r += 0.1;
    const [a, b] = [value(r - 0.1), value(r)];
    square += (r - 0.1 + (0.1 * (half - a)) / (b - a || 1)) ** 2;
  }
  return 2 * Math.sqrt(square / 720);
}

function median(values: readonly number[]): number {
  return [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)]!;
}

const WAYS = ['Otsu threshold, pixel count', 'minimum enclosing circle of that', '50 % contour, stored values', '50 % contour, linear light', 'ours'] as const;

async function errorsOf(c: Case): Promise<(number | null)[]> {
  const { widthPx, heightPx } = c.source;
  const raster = await c.source.read({ columnPx: 0, rowPx: 0, widthPx, heightPx }, 1);
  const { values, light } = channel(raster, c.tone);
  const pxMm = Math.sqrt(c.xMmPerPx * c.yMmPerPx);
  const truePx = c.trueMm / pxMm;
  const mask = region(values, widthPx, otsuThreshold(values), c.bright, Math.floor(c.row) * widthPx + Math.floor(c.column));
  const corners: Point[] = mask.map((i) => ({ x: ((i % widthPx) + 0.5) * Math.sqrt(c.xMmPerPx / c.yMmPerPx), y: (Math.floor(i / widthPx) + 0.5) * Math.sqrt(c.yMmPerPx / c.xMmPerPx) }));
  let own: number | null = null;
  try {
    const facts = { scale: { xMmPerPx: c.xMmPerPx, yMmPerPx: c.yMmPerPx, source: 'given' as const, detail: '' }, tone: c.tone, toneSource: 'given' as const, illumination: 'unknown' as const };
    own = (await measureScan(c.source, facts)).holes[0]!.outlineDiameterMm / pxMm - truePx;
  } catch {
    own = null;
  }
  return [
    mask.length > 0 ? 2 * Math.sqrt(mask.length / Math.PI) - truePx : null,
    corners.length > 0 ? 2 * minimumCircumscribedCircle(corners).radius + 1 - truePx : null,
    halfContourDiameter(values, widthPx, heightPx, c) - truePx,
    halfContourDiameter(light, widthPx, heightPx, c) - truePx,
    own,
  ];
}

/** Errors beyond this are another thing than the hole. */
const GROSS = 0.25;

function table(title: string, rows: readonly { readonly c: Case; readonly errors: readonly (number | null)[] }[]): void {
  console.log(`\n${title}\nway                                 RMS px   RMS µm  worst px  gross`);
  for (const [i, way] of WAYS.entries()) {
    const found = rows.flatMap(({ c, errors }) => {
      const pxMm = Math.sqrt(c.xMmPerPx * c.yMmPerPx);
      const e = errors[i]!;
      return e === null || Math.abs(e) > (GROSS * c.trueMm) / pxMm ? [] : [{ px: e, um: e * pxMm * 1000 }];
    });
    const rms = (f: (e: { px: number; um: number }) => number): string => Math.sqrt(found.reduce((sum, e) => sum + f(e) ** 2, 0) / Math.max(1, found.length)).toFixed(3);
    const worst = found.reduce((most, { px }) => Math.max(most, Math.abs(px)), 0);
    console.log(`${way.padEnd(34)} ${rms((e) => e.px).padStart(7)} ${rms((e) => e.um).padStart(8)} ${worst.toFixed(3).padStart(9)} ${String(rows.length - found.length).padStart(6)}`);
  }
}

const opened: { c: Case; errors: (number | null)[] }[] = [];
const source = nodeImageSource();
for (const row of truth.rows) {
  const scan = await source.open(new Uint8Array(await readFile(new URL(`../reference/plates/${row.file}`, import.meta.url))), basename(row.file), {});
  const c: Case = {
    name: row.file,
    source: scan.pixels,
    xMmPerPx: row.xUmPerPx / 1000,
    yMmPerPx: row.yUmPerPx / 1000,
    tone: row.tone === 'linear' ? { kind: 'linear' } : { kind: 'srgb' },
    bright: row.polarity === 'bright-hole',
    trueMm: row.outlineDiameterUm / 1000,
    column: row.centerPx[0]!,
    row: row.centerPx[1]!,
  };
  opened.push({ c, errors: await errorsOf(c) });
  scan.close();
}
table(`the ${opened.length} open scans (reference/plates)`, opened);

const rendered: { c: Case; errors: (number | null)[] }[] = [];
for (const family of FAMILIES) {
  for (let seed = 1; seed <= Number(process.argv[2] ?? 3); seed++) {
    const recipe = randomRecipe(family, 50_000 + seed, 'snug');
    const { raster, holes } = renderScan(recipe);
    const [hole] = holes;
    const { xMmPerPx, yMmPerPx, tone } = recipe;
    const c: Case = {
      name: `${family} ${seed}`,
      source: rasterSource(raster),
      xMmPerPx,
      yMmPerPx,
      tone,
      bright: recipe.holeLight > recipe.plateLight,
      trueMm: hole!.equivalentDiameterMm,
      column: hole!.columnPx,
      row: hole!.rowPx,
    };
    rendered.push({ c, errors: await errorsOf(c) });
  }
}
table(`${rendered.length} rendered scans of all kinds (tools/scan-renderer)`, rendered);
