/**
 * The heavy room in one place: from the bytes of a scan to its reading and the pictures that show it. The browser's
 * worker and Node run the same functions.
 */
import { InputError, estimateTone, findRuler, measureScan, middleBetween, requireLikelyDivision, requirePositive, rulerScale, scaleOfEnds, scannerScale } from '#core';
import type { HoleReading, PixelSource, PixelWindow, Raster, ScanFacts, ScanScale } from '#core';
import type {
  JobWatch,
  OpenedFacts,
  OpenedScan,
  RuleLook,
  ScanLook,
  ScanMeasurement,
  ScanPicture,
  ScanRequest,
} from './ports.ts';
import { screenPicture } from './screen-picture.ts';

const MM_PER_INCH = 25.4;
/** Longest side of the picture of the whole scan, and of one hole. */
const OVERVIEW_SIDE_PX = 1200;
const PREVIEW_SIDE_PX = 1024;
/** On a sheet of many holes: all previews together stay under about 20 MB. */
const PREVIEW_SIDE_ON_SHEET_PX = 480;
const SHEET_FROM = 7;
/** Plate to be seen round a hole, as a share of its width on each side. */
const MARGIN = 0.4;
const MARGIN_PX = 12;

/**
 * Overviews are asked for by the measurement and again by the page: the last ones are remembered (a few MB), because
 * on a large scan each is a pass through the whole file.
 */
export function rememberingOverviews(opened: OpenedScan): OpenedScan {
  const { pixels } = opened;
  const overviews = new Map<number, Promise<Raster>>();
  const remembered: PixelSource = {
    widthPx: pixels.widthPx,
    heightPx: pixels.heightPx,
    channels: pixels.channels,
    bitsPerSample: pixels.bitsPerSample,
    read(window, shrink) {
      const outPx = (pixels.widthPx / shrink) * (pixels.heightPx / shrink);
      const isWhole = window.widthPx === pixels.widthPx && window.heightPx === pixels.heightPx;
      if (!isWhole || outPx > MOST_REMEMBERED_PX) return pixels.read(window, shrink);
      let overview = overviews.get(shrink);
      if (!overview) {
        overview = pixels.read(window, shrink);
        overviews.set(shrink, overview);
        // What failed or was stopped must be tried anew next time.
        overview.catch(() => overviews.delete(shrink));
      }
      return overview;
    },
  };
  return { ...opened, pixels: remembered };
}

const MOST_REMEMBERED_PX = 4e6;

/** Facts of an opened scan as plain data. */
export function openedFacts(opened: OpenedScan, fileName: string): OpenedFacts {
  const { pixels, format, scale, scaleNote, tone, toneNote, warnings, sha256 } = opened;
  return {
    fileName,
    format,
    widthPx: pixels.widthPx,
    heightPx: pixels.heightPx,
    channels: pixels.channels,
    bitsPerSample: pixels.bitsPerSample,
    scale,
    scaleNote,
    tone,
    toneNote,
    warnings,
    sha256,
  };
}

/** A look at the whole scan: enough to ask for what it does not say. */
export async function lookAtScan(opened: OpenedScan, fileName: string): Promise<ScanLook> {
  const { pixels } = opened;
  const whole: PixelWindow = { columnPx: 0, rowPx: 0, widthPx: pixels.widthPx, heightPx: pixels.heightPx };
  // The factor that the measurement will ask for too, so that one pass through the file serves both.
  const shrink = Math.max(1, Math.ceil(Math.sqrt((pixels.widthPx * pixels.heightPx) / 2e6)));
  const raster = await pixels.read(whole, shrink);
  return {
    opened: openedFacts(opened, fileName),
    overview: screenPicture(raster, whole, shrink, opened.tone, OVERVIEW_SIDE_PX),
  };
}

/**
 * Measures an opened scan. The maker's word wins over the file's, the file's over an estimate.
 * @throws InputError no-scale, with the remedy, when neither says how large a pixel is
 * @throws ModelError no-hole, cut-by-border, too-few-pixels, cancelled
 */
export async function measureOpenedScan(
  opened: OpenedScan,
  fileName: string,
  request: ScanRequest,
  watch: JobWatch = {},
): Promise<ScanMeasurement> {
  const scale = await chosenScale(opened, fileName, request);
  const { tone, toneSource, toneNote } = chosenTone(opened, request);
  const assumed: ScanFacts = { scale, tone, toneSource, illumination: request.illumination ?? 'unknown', ...(request.edge && { edge: request.edge }) };
  const reading = await measureScan(opened.pixels, assumed, {
    ...(watch.progress ? { progress: watch.progress } : {}),
    ...(watch.cancelled ? { cancelled: watch.cancelled } : {}),
    ...(request.expect ? { expect: request.expect } : {}),
  });
  const facts: ScanFacts = { ...assumed, tone: reading.tone };
  const toldLinear = reading.tone.kind === 'linear' && toneSource === 'estimated';
  const [first] = reading.holes;
  const divisionUnsaid = scale.source === 'ruler' && !request.scale && !request.ends && request.ruler?.divisionMm === undefined;
  if (divisionUnsaid && opened.scale === null && first !== undefined) requireLikelyDivision(first, scale);
  const look = await lookAtScan(opened, fileName);
  const side = reading.holes.length >= SHEET_FROM ? PREVIEW_SIDE_ON_SHEET_PX : PREVIEW_SIDE_PX;
  const previews: ScanPicture[] = [];
  for (const hole of reading.holes) previews.push(await preview(opened, hole, facts, side));
  return {
    ...look,
    facts,
    toneNote: toldLinear ? 'The file does not state its tone curve; the edge of the hole is that of a linear scan.' : toneNote,
    reading: {
      ...reading,
      ...(request.middle && { middle: middleBetween(request.middle.between, scale, request.middle.shrink) }),
      cautions: [...opened.warnings, ...reading.cautions],
    },
    previews,
  };
}

/** A scan looked through for a rule. */
export async function lookForRule(opened: OpenedScan, fileName: string): Promise<RuleLook> {
  return { opened: openedFacts(opened, fileName), marks: await findRuler(opened.pixels, opened.tone ?? { kind: 'srgb' }) };
}

/** The maker's word, then a rule in the scan or the scanner's calibration, then the file, then a rule found unasked. */
async function chosenScale(opened: OpenedScan, fileName: string, request: ScanRequest): Promise<ScanScale> {
  if (request.scale) return request.scale;
  if (request.dpi) {
    const { x, y } = request.dpi;
    requirePositive(x, 'The resolution across', 'px per inch');
    requirePositive(y, 'The resolution down', 'px per inch');
    const detail = x === y ? `${x} px per inch, as given` : `${x} px per inch across and ${y} down, as given`;
    return { xMmPerPx: MM_PER_INCH / x, yMmPerPx: MM_PER_INCH / y, source: 'given', detail };
  }
  const { ends, ruler, scanner } = request;
  if (ends) return scaleOfEnds({ ...ends, stated: opened.scale });
  if (ruler) {
    const { marks } = await lookForRule(opened, fileName);
    return rulerScale(marks, { stated: opened.scale, ...(ruler.divisionMm !== undefined && { divisionMm: ruler.divisionMm }) });
  }
  if (scanner) return scannerScale(scanner, opened.scale);
  if (opened.scale) return opened.scale;
  const { marks } = await lookForRule(opened, fileName);
  if (marks.some(({ divisionMm }) => divisionMm !== null)) return rulerScale(marks.filter(({ divisionMm }) => divisionMm !== null));
  throw new InputError('no-scale', `${fileName}: ${opened.scaleNote}`, {
    path: 'dpi',
    expected: "the scanner's resolution in px per inch",
  });
}

function chosenTone(opened: OpenedScan, request: ScanRequest): Pick<ScanFacts, 'tone' | 'toneSource'> & { toneNote: string } {
  if (request.tone) return { tone: request.tone, toneSource: 'given', toneNote: 'The tone curve was given by hand.' };
  if (opened.tone) return { tone: opened.tone, toneSource: 'file', toneNote: opened.toneNote };
  const { tone, reason } = estimateTone();
  return { tone, toneSource: 'estimated', toneNote: reason };
}

/** The hole with some plate round it. */
async function preview(opened: OpenedScan, hole: HoleReading, facts: ScanFacts, sidePx: number): Promise<ScanPicture> {
  const { pixels } = opened;
  const columns = hole.outline.map(({ xMm }) => xMm / facts.scale.xMmPerPx);
  const rows = hole.outline.map(({ yMm }) => yMm / facts.scale.yMmPerPx);
  const across = span(columns, pixels.widthPx);
  const down = span(rows, pixels.heightPx);
  const window = { columnPx: across.from, rowPx: down.from, widthPx: across.length, heightPx: down.length };
  const shrink = Math.max(1, Math.ceil(Math.max(window.widthPx, window.heightPx) / sidePx));
  const raster = await pixels.read(window, shrink);
  return screenPicture(raster, window, shrink, facts.tone, sidePx);
}

function span(places: readonly number[], lengthPx: number): { from: number; length: number } {
  let least = Infinity;
  let most = -Infinity;
  for (const place of places) {
    least = Math.min(least, place);
    most = Math.max(most, place);
  }
  if (!(least <= most)) return { from: 0, length: lengthPx };
  const margin = MARGIN_PX + MARGIN * (most - least);
  const from = Math.min(lengthPx - 1, Math.max(0, Math.floor(least - margin)));
  const to = Math.max(from + 1, Math.min(lengthPx, Math.ceil(most + margin)));
  return { from, length: to - from };
}
