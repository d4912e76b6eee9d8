/**
 * The door of the plate room: from the pixels of a scan to its holes.
 */
import { leastSquaresCircle } from '../geometry/circles.ts';
import type { Point } from '../geometry/points.ts';
import { ModelError } from '../errors.ts';
import { plainFit, readHole, seeHole, type PlainFit, type SeenHole } from './hole.ts';
import { candidates, pyramidOf, type Candidate, type Overview, type Pyramid } from './locate.ts';
import { drawnCross } from './drawn-cross.ts';
import { plateMiddle } from './plate-middle.ts';
import { lightOfRaster } from './tone.ts';
import type { CancelCheck, HoleReading, PixelSource, Progress, ScanFacts, ScanReading } from './scan.ts';

export interface MeasureOptions {
  readonly progress?: Progress;
  readonly cancelled?: CancelCheck;
  /**
   * `single`: holes largest first; `sheet`: many holes of one rank in reading order.
   * Without it six or more holes make a sheet.
   */
  readonly expect?: 'single' | 'sheet';
}

const OVERVIEW_PX = 2e6;
/** Larger overviews are halved for the search; their smallest holes still show, and are looked at in full. */
const HALVED_FROM_PX = 1.5e5;
const MOST_CANDIDATES = 160;
const SHEET_FROM = 6;
/** Light of a plate below which nothing drawn on it can be seen. */
const DARK_PLATE = 0.05;
/** Fewer pixels than this across the hole carry too little of the rim. */
const LEAST_ACROSS_PX = 6.5;

/**
 * Finds and measures the holes of a scan: an overview tells where they are, then windows at full
 * depth tell how large. Memory does not grow with the scan.
 * Valid: rims that every ray from the middle meets once; blur narrower than a quarter of the hole.
 * @throws ModelError no-hole, cut-by-border, too-few-pixels, cancelled
 */
export async function measureScan(
  source: PixelSource,
  facts: ScanFacts,
  options: MeasureOptions = {},
): Promise<ScanReading> {
  const tell = (share: number, word: string): void => {
    if (options.cancelled?.()) throw new ModelError('cancelled', 'Measuring was stopped.');
    options.progress?.(share, word);
  };
  tell(0, 'reading the overview');
  const channel = source.channels >= 3 ? 1 : 0;
  const overview = await readOverview(source, facts, channel);
  tell(0.35, 'looking for holes');
  const aspect = facts.scale.xMmPerPx / facts.scale.yMmPerPx;
  const levels = pyramidOf(overview);
  const [, half, ...coarser] = levels;
  const places = (from: Pyramid): Candidate[] => candidates(from, aspect, MOST_CANDIDATES);
  const large = overview.widthPx * overview.heightPx > HALVED_FROM_PX;
  let seen = await seeAll(source, places(large && half ? [half, ...coarser] : levels), facts, channel, tell);
  if (large && seen.holes.length === 0 && seen.cut.length === 0) seen = await seeAll(source, places(levels), facts, channel, tell);
  const chosen = realHoles(seen.holes);
  const cut = cutRadiusPx(seen.cut, chosen);
  if (cut > 0 && (chosen.length === 0 || (chosen.length < SHEET_FROM && cut > chosen[0]!.radiusPx))) {
    throw new ModelError(
      'cut-by-border',
      'The hole is cut by the edge of the picture. Scan again with some of the plate all round the hole.',
    );
  }
  if (chosen.length === 0) {
    throw new ModelError(
      'no-hole',
      'No hole was found in this picture: nothing round stands out from its surroundings with a sharp rim.',
    );
  }
  const fits = new Map<SeenHole, PlainFit>();
  if (await isLinear(source, chosen[0]!, facts, channel, fits)) {
    return measureScan(source, { ...facts, tone: { kind: 'linear' } }, options);
  }
  const across = (2 * chosen[0]!.radiusPx) / Math.max(Math.sqrt(aspect), 1 / Math.sqrt(aspect));
  if (across < LEAST_ACROSS_PX) {
    throw new ModelError(
      'too-few-pixels',
      `The hole is only ${across.toFixed(1)} pixels across; at least 7 are needed, and 50 are good. ` +
        'Scan again at a higher resolution.',
      { got: across, expected: 'at least 7 px across' },
    );
  }
  const kept = chosen.filter((hole) => 2 * hole.radiusPx >= LEAST_ACROSS_PX);
  const holes: HoleReading[] = [];
  for (const [i, hole] of kept.entries()) {
    tell(0.55 + (0.45 * i) / kept.length, 'measuring');
    holes.push(readHole(hole, facts, fits.get(hole)));
  }
  tell(1, 'done');
  const sheet = options.expect === 'sheet' || (options.expect === undefined && holes.length >= SHEET_FROM);
  return {
    scale: facts.scale,
    tone: facts.tone,
    toneSource: facts.toneSource,
    illumination: facts.illumination,
    polarity: kept[0]!.polarity,
    plate: plateMiddle(
      overview,
      {
        column: kept[0]!.column,
        row: kept[0]!.row,
        radiusPx: kept[0]!.radiusPx,
        holeLight: kept[0]!.rim.holeLight,
        plateLight: kept[0]!.rim.plateLight,
      },
      facts.scale,
    ),
    // Lit from behind a plate is dark, and what is drawn on it unseen.
    middle: kept[0]!.rim.plateLight > DARK_PLATE ? drawnCross(levels, kept, facts.scale) : null,
    holes: sheet ? readingOrder(holes) : holes.sort((a, b) => b.outlineDiameterMm - a.outlineDiameterMm),
    cautions: cut > 0 ? ['Another hole is cut by the edge of the picture and was left out.'] : [],
  };
}

async function readOverview(source: PixelSource, facts: ScanFacts, channel: number): Promise<Overview> {
  const { widthPx, heightPx } = source;
  const shrink = Math.max(1, Math.ceil(Math.sqrt((widthPx * heightPx) / OVERVIEW_PX)));
  const raster = await source.read({ columnPx: 0, rowPx: 0, widthPx, heightPx }, shrink);
  const light = lightOfRaster(raster, channel, facts.tone);
  return { widthPx: raster.widthPx, heightPx: raster.heightPx, shrink, light };
}

interface Seen {
  readonly holes: SeenHole[];
  /** Places that look like holes cut by the border. */
  readonly cut: readonly Candidate[];
}

async function seeAll(
  source: PixelSource,
  places: readonly Candidate[],
  facts: ScanFacts,
  channel: number,
  tell: (share: number, word: string) => void,
): Promise<Seen> {
  const holes: SeenHole[] = [];
  const cut: Candidate[] = [];
  const best = places.find((c) => !c.cut)?.score ?? 0;
  for (const [i, place] of places.entries()) {
    if (place.score < 0.12 * best) break;
    // Streaks and scratches at the border are round now and then; a hole there stands out as holes do.
    if (place.cut && place.score < 0.3 * best) continue;
    tell(0.4 + (0.15 * i) / places.length, 'looking at holes');
    if (holes.some((h) => h.clarity > 0 && Math.hypot(h.column - place.column, h.row - place.row) < h.radiusPx)) continue;
    const result = place.cut ? await seeCut(source, place, facts, channel) : await seeHole(source, place, facts, channel);
    if (result === 'cut') cut.push(place);
    else if (result) holes.push(result);
  }
  return { holes, cut };
}

/**
 * Radius of the largest hole that the border cuts, px; 0 for none. Beside a whole hole of its size what a bright scratch joins
 * to the border is not another, nor is anything of the other polarity: a plate has no bright and dark holes at once. A speck is
 * no such hole.
 */
function cutRadiusPx(cut: readonly Candidate[], whole: readonly SeenHole[]): number {
  const isOther = (place: Candidate): boolean =>
    !whole.some(
      (hole) =>
        hole.radiusPx > 0.6 * place.radiusPx &&
        (hole.polarity !== place.polarity || Math.hypot(hole.column - place.column, hole.row - place.row) < hole.radiusPx),
    );
  return cut.filter(isOther).reduce((most, { radiusPx }) => Math.max(most, radiusPx), 0);
}

/** A region at the border is a cut hole when the part of its rim that is seen is an arc of a circle. */
async function seeCut(
  source: PixelSource,
  place: Candidate,
  facts: ScanFacts,
  channel: number,
): Promise<'cut' | null> {
  const shrink = Math.max(1, Math.ceil(place.radiusPx / 100));
  const columnPx = Math.max(0, Math.floor(place.column - 2 * place.halfWidthPx - 10));
  const rowPx = Math.max(0, Math.floor(place.row - 2 * place.halfHeightPx - 10));
  const widthPx = Math.min(source.widthPx, Math.ceil(place.column + 2 * place.halfWidthPx + 10)) - columnPx;
  const heightPx = Math.min(source.heightPx, Math.ceil(place.row + 2 * place.halfHeightPx + 10)) - rowPx;
  const raster = await source.read({ columnPx, rowPx, widthPx, heightPx }, shrink);
  const light = lightOfRaster(raster, channel, facts.tone);
  const [w, h] = [raster.widthPx, raster.heightPx];
  const at = (x: number, y: number): number => light[y * w + x]!;
  const cx = Math.min(w - 1, Math.max(0, Math.round((place.column - columnPx) / shrink)));
  const cy = Math.min(h - 1, Math.max(0, Math.round((place.row - rowPx) / shrink)));
  const inside = at(cx, cy);
  let outside = inside;
  for (const v of light) if (place.polarity === 'bright-hole' ? v < outside : v > outside) outside = v;
  const half = (inside + outside) / 2;
  const points: Point[] = [];
  const ratio = Math.sqrt(facts.scale.xMmPerPx / facts.scale.yMmPerPx);
  for (let i = 0; i < 180; i++) {
    const angle = (Math.PI * i) / 90;
    for (let r = 1; ; r += 0.5) {
      const x = Math.round(cx + r * Math.cos(angle));
      const y = Math.round(cy + r * Math.sin(angle));
      const atPictureEdge =
        columnPx + x * shrink < 1 ||
        rowPx + y * shrink < 1 ||
        columnPx + (x + 1) * shrink > source.widthPx - 1 ||
        rowPx + (y + 1) * shrink > source.heightPx - 1;
      if (x < 0 || y < 0 || x >= w || y >= h || atPictureEdge) break;
      if (at(x, y) > half !== inside > half) {
        points.push({ x: r * Math.cos(angle) * ratio, y: (r * Math.sin(angle)) / ratio });
        break;
      }
    }
  }
  if (points.length < 40) return null;
  const circle = leastSquaresCircle(points);
  const error = Math.sqrt(
    points.reduce((sum, p) => sum + (Math.hypot(p.x - circle.x, p.y - circle.y) - circle.radius) ** 2, 0) / points.length,
  );
  return circle.radius * shrink < 2.5 * place.radiusPx && error < Math.max(0.8, 0.06 * circle.radius) ? 'cut' : null;
}

/** A dark plate is darker than this share of the hole's light. */
const DARK_PLATE_SHARE = 0.2;
/** So much less must a rim read as linear leave unexplained. Rendered: linear files 0.5, others from 1.07 up. */
const CLEARLY_LESS = 0.75;

/**
 * A file that states no tone curve is read as sRGB, unless the rim says that it is linear: light blurred by a lens falls off
 * alike on both sides of an edge, and a wrong curve bends it. Only a bright hole in a dark plate tells; beside a bright plate
 * the plate's texture drowns it.
 * @param fits takes the fit of the rim as stored, for the reading to go on from
 */
async function isLinear(
  source: PixelSource,
  hole: SeenHole,
  facts: ScanFacts,
  channel: number,
  fits: Map<SeenHole, PlainFit>,
): Promise<boolean> {
  const { polarity, column, row, radiusPx, rim } = hole;
  const tells = facts.toneSource === 'estimated' && facts.tone.kind === 'srgb' && polarity === 'bright-hole';
  if (!tells || rim.plateLight > DARK_PLATE_SHARE * rim.holeLight) return false;
  const place = { polarity, column, row, radiusPx, halfWidthPx: radiusPx, halfHeightPx: radiusPx, score: 1, cut: false };
  const linear = await seeHole(source, place, { ...facts, tone: { kind: 'linear' } }, channel);
  if (linear === null || linear === 'cut') return false;
  const asStored = plainFit(hole);
  fits.set(hole, asStored);
  return plainFit(linear).fit.edgeResidualShare < CLEARLY_LESS * asStored.fit.edgeResidualShare;
}

/** The largest clear hole, and with it those of the same kind; specks and letters are not. */
function realHoles(seen: readonly SeenHole[]): SeenHole[] {
  const byContrast = [...seen].sort((a, b) => rank(b) - rank(a));
  const main = byContrast[0];
  if (!main) return [];
  const contrast = main.rim.holeLight - main.rim.plateLight;
  return seen
    .filter(
      (hole) =>
        hole === main ||
        (hole.polarity === main.polarity &&
          hole.rim.agreement > 0.8 &&
          Math.abs(hole.rim.holeLight - main.rim.holeLight) < 0.35 * Math.abs(contrast) &&
          (hole.rim.holeLight - hole.rim.plateLight) / contrast > 0.5),
    )
    .sort((a, b) => b.radiusPx - a.radiusPx);
}

function rank(hole: SeenHole): number {
  return hole.radiusPx * Math.min(hole.clarity, 30) * hole.rim.agreement ** 2;
}

/** Rows from the top, each from the left: holes belong to one row when their heights overlap. */
function readingOrder(holes: readonly HoleReading[]): HoleReading[] {
  const sorted = [...holes].sort((a, b) => a.leastSquares.center.yMm - b.leastSquares.center.yMm);
  const rows: HoleReading[][] = [];
  for (const hole of sorted) {
    const row = rows.at(-1);
    const last = row?.at(-1);
    const sameRow = last && hole.leastSquares.center.yMm - last.leastSquares.center.yMm < 0.5 * hole.outlineDiameterMm;
    if (row && sameRow) row.push(hole);
    else rows.push([hole]);
  }
  return rows.flatMap((row) => row.sort((a, b) => a.leastSquares.center.xMm - b.leastSquares.center.xMm));
}
