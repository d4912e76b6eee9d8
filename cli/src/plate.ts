/** `camerawright plate`: scans in, holes out, one entry for each file in the order given. */
import { readFile, readdir, stat } from 'node:fs/promises';
import { basename, join } from 'node:path';
import {
  InputError,
  UM_PER_MM,
  combineScans,
  degreesToRad,
  editedByHand,
  formatNumber,
  formatWithUncertainty,
  isCamerawrightError,
  judgeHole,
  middleOf,
  pixelStops,
  radToDegrees,
} from '#core';
import type { CameraLight, Criterion, EdgeTerm, HandEdit, HoleReading, HoleVerdict, Illumination, KnownMiddle, ScanReading, ToneCurve } from '#core';
import type { PlateRoom, ScanMeasurement, ScanRequest } from '#io/ports';
import type { Answer } from './answer.ts';
import { csv, table } from './printing.ts';

/** The camera that a hole is judged for. */
export interface JudgingCamera {
  readonly name: string | null;
  readonly focalLengthMm: number;
  readonly objectDistanceMm: number;
  readonly light: CameraLight;
  readonly criterion: Criterion;
}

export interface PlateQuestion {
  readonly files: readonly string[];
  readonly request: ScanRequest;
  /** All scans show one plate in one state. */
  readonly samePlate?: boolean;
  /** Which hole of a scan, 1 being the first; left out: all of them. */
  readonly hole?: number;
  readonly edits?: readonly AskedEdit[];
  readonly camera: JudgingCamera | null;
  /** What the reader should know of the camera's light. */
  readonly notes?: readonly string[];
}

/** An edit by hand as asked for: pieces of debris by their number in the answer. */
export type AskedEdit =
  | Extract<HandEdit, { readonly kind: 'nudge' | 'bridge' }>
  | { readonly kind: 'metal' | 'nothing'; readonly piece: number };

const SCAN_NAME = /\.(tiff?|png|jpe?g)$/i;

/** `4800`, `4800,2400`: pixels per inch, x and y. */
export function parseDpi(text: string): { readonly x: number; readonly y: number } {
  const parts = text.split(/[,x×]/).map((part) => Number(part.trim()));
  const [x, y = x] = parts;
  if (parts.length > 2 || x === undefined || y === undefined || !(x > 0 && y > 0 && x < Infinity && y < Infinity)) {
    throw new InputError('not-understood', `--dpi "${text}" was not understood. Give one number, like 4800, or two, like 4800,2400.`, {
      path: 'dpi',
      got: text,
    });
  }
  if (![x, y].every((one) => one >= LEAST_DPI && one <= MOST_DPI)) {
    throw new InputError('out-of-range', `--dpi ${text.trim()} is no scan of a hole: give from ${LEAST_DPI} to ${MOST_DPI} pixels per inch.`, {
      path: 'dpi',
      got: text,
      expected: `${LEAST_DPI}…${MOST_DPI}`,
    });
  }
  return { x, y };
}

/** From a picture of a large hole to a microscope's. */
const LEAST_DPI = 50;
const MOST_DPI = 200_000;

export function parseTone(text: string): ToneCurve {
  const word = text.trim().toLowerCase();
  if (word === 'srgb') return { kind: 'srgb' };
  if (word === 'linear') return { kind: 'linear' };
  const gamma = Number(word);
  if (gamma >= 0.2 && gamma <= 5) return gamma === 1 ? { kind: 'linear' } : { kind: 'gamma', gamma };
  throw new InputError('not-understood', `--tone "${text}" was not understood. Give srgb, linear, or a gamma from 0.2 to 5, like 2.2.`, {
    path: 'tone',
    got: text,
  });
}

export function parseIllumination(text: string): Illumination {
  const word = text.trim().toLowerCase();
  if (word === 'backlit' || word === 'reflective' || word === 'unknown') return word;
  throw new InputError('not-understood', `--illumination "${text}" was not understood. Give backlit (light through the hole) or reflective (light from the scanner's own side).`, {
    path: 'illumination',
    got: text,
  });
}

function numbersIn(option: string, text: string, least: number, most: number, wanted: string): number[] {
  const parts = text.split(',').map((part) => Number(part.trim()));
  if (parts.length < least || parts.length > most || !parts.every(Number.isFinite)) {
    throw new InputError('not-understood', `${option} "${text}" was not understood. Give ${wanted}.`, { path: option, got: text });
  }
  return parts;
}

const WIDE_DEG = 12;

/** `40,5` or `40,-3,20`: direction in degrees, outward shift in µm, half width in degrees. */
export function parseNudge(text: string): AskedEdit {
  const [angle, shift, width = WIDE_DEG] = numbersIn('--nudge', text, 2, 3, 'direction°,µm outwards[,half width°], like 40,-5') as [number, number, number?];
  return { kind: 'nudge', angleRad: degreesToRad(angle), widthRad: degreesToRad(width), shiftMm: shift / UM_PER_MM };
}

/** `40` or `40,30`: the middle of a false burr, and how many degrees of the rim are bridged. */
export function parseBridge(text: string): AskedEdit {
  const [angle, width = 2 * WIDE_DEG] = numbersIn('--bridge', text, 1, 2, 'direction°[,width°], like 40,30') as [number, number?];
  return { kind: 'bridge', angleRad: degreesToRad(angle), widthRad: degreesToRad(width) };
}

export function parsePiece(kind: 'metal' | 'nothing', text: string): AskedEdit {
  const [piece] = numbersIn(`--${kind}`, text, 1, 1, 'the number of a piece of debris, 1 being the first') as [number];
  return { kind, piece };
}

/** The edge term, µm, k = 1, with its reason. */
export function parseEdge(text: string): EdgeTerm {
  const [um] = numbersIn('--edge-um', text, 1, 1, 'the standard uncertainty of the edge in µm, like 1.5') as [number];
  if (um < 0) throw new InputError('negative', `--edge-um must not be negative, but is ${um}.`, { path: '--edge-um', got: um });
  return { standardUncertaintyMm: um / UM_PER_MM, reason: 'given on the command line' };
}

/** `120,80,1310,84,10`: two ends in pixels of the scan, and the millimetres between them. */
export function parseEnds(text: string): NonNullable<ScanRequest['ends']> {
  const [x1, y1, x2, y2, lengthMm] = numbersIn('--ends', text, 5, 5, 'x and y of two ends in pixels and the mm between them, like 120,80,1310,84,10') as [
    number, number, number, number, number,
  ];
  return { ends: [{ columnPx: x1, rowPx: y1 }, { columnPx: x2, rowPx: y2 }], lengthMm };
}

/** `40,40,1380,980`: two places between which the middle of the plate lies. */
export function parseMiddle(text: string): NonNullable<ScanRequest['middle']> {
  const [x1, y1, x2, y2] = numbersIn('--middle', text, 4, 4, 'x and y of two places in pixels, like 40,40,1380,980') as [number, number, number, number];
  return { between: [{ columnPx: x1, rowPx: y1 }, { columnPx: x2, rowPx: y2 }] };
}

/** Folders are taken apart into the scans they hold, by name. */
async function expand(files: readonly string[]): Promise<string[]> {
  const found: string[] = [];
  for (const file of files) {
    const info = await stat(file).catch(() => null);
    if (!info?.isDirectory()) {
      found.push(file);
      continue;
    }
    const names = (await readdir(file)).filter((name) => SCAN_NAME.test(name)).sort();
    if (names.length === 0) {
      throw new InputError('missing', `The folder ${file} holds no scan (.tif, .png or .jpg).`, { path: 'file', got: file });
    }
    found.push(...names.map((name) => join(file, name)));
  }
  return found;
}

function judge(
  hole: Pick<HoleReading, 'outlineDiameterMm' | 'outlineStandardUncertaintyMm'>,
  camera: JudgingCamera,
): HoleVerdict {
  const { focalLengthMm, objectDistanceMm, criterion, light } = camera;
  const best = light.holes.best({ focalLengthMm, objectDistanceMm, criterion });
  return judgeHole({
    focalLengthMm,
    objectDistanceMm,
    holes: light.holes,
    diameterMm: hole.outlineDiameterMm,
    standardUncertaintyMm: hole.outlineStandardUncertaintyMm,
    best,
  });
}

function holeJson(hole: HoleReading, camera: JudgingCamera | null) {
  const verdict = camera === null ? null : judge(hole, camera);
  const um = (lengthMm: number): number => lengthMm * UM_PER_MM;
  return {
    equivalentDiameterUm: um(hole.clearDiameterMm),
    outlineDiameterUm: um(hole.outlineDiameterMm),
    standardUncertaintyUm: um(hole.clearStandardUncertaintyMm),
    outlineStandardUncertaintyUm: um(hole.outlineStandardUncertaintyMm),
    imageUncertaintyUm: um(hole.imageStandardUncertaintyMm),
    centerMm: [hole.leastSquares.center.xMm, hole.leastSquares.center.yMm],
    leastSquaresDiameterUm: um(hole.leastSquares.diameterMm),
    maximumInscribedDiameterUm: um(hole.maximumInscribed.diameterMm),
    minimumCircumscribedDiameterUm: um(hole.minimumCircumscribed.diameterMm),
    roundnessUm: um(hole.roundnessMm),
    feretMinUm: um(hole.feretMinMm),
    feretMaxUm: um(hole.feretMaxMm),
    feretMaxAngleDeg: radToDegrees(hole.feretMaxAngleRad),
    areaUm2: hole.areaMm2 * UM_PER_MM ** 2,
    perimeterUm: um(hole.perimeterMm),
    centroidMm: [hole.centroid.xMm, hole.centroid.yMm],
    ellipse: {
      longUm: um(hole.ellipse.longMm),
      shortUm: um(hole.ellipse.shortMm),
      angleDeg: radToDegrees(hole.ellipse.angleRad),
    },
    harmonics: hole.lobes.map(({ order, amplitudeMm, phaseRad }) => ({
      order,
      amplitudeUm: um(amplitudeMm),
      phaseDeg: radToDegrees(phaseRad),
    })),
    raggednessUm: um(hole.raggednessMm),
    burrs: hole.burrs.map((burr) => ({
      angleDeg: radToDegrees(burr.angleRad),
      heightUm: um(burr.heightMm),
      widthUm: um(burr.widthMm),
    })),
    chips: hole.chips.map((chip) => ({
      angleDeg: radToDegrees(chip.angleRad),
      heightUm: um(chip.heightMm),
      widthUm: um(chip.widthMm),
    })),
    debris: hole.debris.map((piece) => ({
      areaUm2: piece.areaMm2 * UM_PER_MM ** 2,
      kind: piece.kind,
      centerMm: [piece.center.xMm, piece.center.yMm],
      outlineMm: piece.outline.map(({ xMm, yMm }) => [xMm, yMm]),
    })),
    acrossPx: hole.acrossPx,
    stopsPerPx: pixelStops(hole.acrossPx),
    handEdits: hole.handEdits?.length ?? 0,
    blurSigmaUm: um(hole.blurSigmaMm),
    budget: hole.budget.map((line) => ({
      name: line.name,
      standardUncertaintyUm: um(line.standardUncertaintyMm),
      reason: line.reason,
    })),
    cautions: hole.cautions,
    verdict: verdict?.word ?? null,
    verdictCriterion: verdict?.criterion ?? null,
    verdictSentence: verdict?.sentence ?? null,
    verdictWavelengthNm: camera?.light.holes.meanWavelengthNm ?? null,
    verdictFilm: camera?.light.filmName ?? null,
    suitedFocalLengthMm: verdict?.suitedFocalLengthMm ?? null,
  };
}

interface Measured {
  readonly file: string;
  readonly error: string | null;
  readonly measurement: ScanMeasurement | null;
}

/** The holes that were asked for, with the edits that were asked for. */
function asAsked(measurement: ScanMeasurement, { hole: wanted, edits = [] }: PlateQuestion): ScanMeasurement {
  const { holes } = measurement.reading;
  if (wanted === undefined && edits.length === 0) return measurement;
  const index = (wanted ?? 1) - 1;
  const chosen = holes[index];
  if (chosen === undefined) {
    throw new InputError('out-of-range', `There is no hole number ${index + 1}: ${holes.length === 1 ? 'one was' : `${holes.length} were`} found.`, {
      path: '--hole',
      got: index + 1,
    });
  }
  const told = edits.map((edit): HandEdit => {
    if (!('piece' in edit)) return edit;
    const piece = chosen.debris[edit.piece - 1];
    if (piece === undefined) {
      throw new InputError('out-of-range', `There is no piece of debris number ${edit.piece} in this hole: ${chosen.debris.length} were found.`, {
        path: `--${edit.kind}`,
        got: edit.piece,
      });
    }
    return { kind: edit.kind, center: piece.center };
  });
  const edited = editedByHand(chosen, told);
  return { ...measurement, reading: { ...measurement.reading, holes: wanted === undefined ? holes.map((hole) => (hole === chosen ? edited : hole)) : [edited] } };
}

async function measureFile(room: PlateRoom, file: string, question: PlateQuestion): Promise<Measured> {
  const { request } = question;
  try {
    const bytes = await readFile(file).catch(() => {
      throw new InputError('missing', `${file} could not be read. Check the name and the folder.`, { path: 'file', got: file });
    });
    const measurement = await room.measure(new Uint8Array(bytes), basename(file), request);
    return { file, error: null, measurement: asAsked(measurement, question) };
  } catch (error) {
    if (isCamerawrightError(error)) {
      const remedy = error.code === 'no-scale' ? ' Here: --dpi N, or --dpi X,Y; a rule in the scan: --ruler MM, or --ends X1,Y1,X2,Y2,MM.' : '';
      return { file, error: `${error.message}${remedy}`, measurement: null };
    }
    throw error;
  }
}

/** The mean over all scans of one plate; `null` when fewer than two could be used. */
function meanOf(measured: readonly Measured[], camera: JudgingCamera | null) {
  const holes = measured.flatMap(({ measurement }) => measurement?.reading.holes.slice(0, 1) ?? []);
  if (holes.length < 2) return null;
  const mean = combineScans(holes);
  const verdict = camera === null ? null : judge(mean, camera);
  return { ...mean, verdict };
}

function meanJson(mean: NonNullable<ReturnType<typeof meanOf>>) {
  const um = (lengthMm: number): number => lengthMm * UM_PER_MM;
  return {
    scans: mean.scans,
    outlineDiameterUm: um(mean.outlineDiameterMm),
    outlineStandardUncertaintyUm: um(mean.outlineStandardUncertaintyMm),
    clearDiameterUm: um(mean.clearDiameterMm),
    repeatabilityUm: um(mean.repeatabilityMm),
    spreadUm: um(mean.spreadMm),
    budget: mean.budget.map((line) => ({ name: line.name, standardUncertaintyUm: um(line.standardUncertaintyMm), reason: line.reason })),
    verdict: mean.verdict?.word ?? null,
    verdictSentence: mean.verdict?.sentence ?? null,
  };
}

function meanInWords(mean: NonNullable<ReturnType<typeof meanOf>>): string {
  const size = formatWithUncertainty(mean.outlineDiameterMm, mean.outlineStandardUncertaintyMm, { unit: 'mm' });
  const lines = mean.verdict === null ? [`The hole is ${size}`] : [`${mean.verdict.word}: ${mean.verdict.sentence}`, `Measured ${size}`];
  lines[lines.length - 1] += `, the mean of ${mean.scans} scans that differ by ${smallUm(mean.spreadMm)}.`;
  return [
    ...lines,
    'Uncertainty (k = 1), largest part first:',
    ...mean.budget.map((line) => `  ${smallUm(line.standardUncertaintyMm).padStart(9)}  ${line.name}: ${line.reason}`),
  ].join('\n');
}

/** The middle as the maker marked it: a drawn cross, or two places pointed at. */
function middleJson({ middle }: ScanReading) {
  if (!middle) return null;
  return {
    by: middle.by,
    centerMm: [middle.center.xMm, middle.center.yMm],
    standardUncertaintyUm: middle.standardUncertaintyMm * UM_PER_MM,
    angleDeg: middle.angleRad === undefined ? null : radToDegrees(middle.angleRad),
    lineWidthMm: middle.lineWidthMm ?? null,
  };
}

/** Where the hole is on the plate, seen as scanned: x right, y up. */
function offMiddle(hole: HoleReading, middle: KnownMiddle): { readonly xMm: number; readonly yMm: number; readonly standardUncertaintyMm: number } {
  const { center } = hole.leastSquares;
  return {
    xMm: center.xMm - middle.center.xMm,
    yMm: middle.center.yMm - center.yMm,
    standardUncertaintyMm: Math.hypot(middle.standardUncertaintyMm, hole.imageStandardUncertaintyMm),
  };
}

function fromMiddleJson(hole: HoleReading, middle: KnownMiddle | null) {
  if (middle === null) return null;
  const { xMm, yMm, standardUncertaintyMm } = offMiddle(hole, middle);
  return { by: middle.by, xMm, yMm, standardUncertaintyUm: standardUncertaintyMm * UM_PER_MM };
}

const MIDDLE_WORDS = { edges: 'by the plate’s edges', cross: 'by the drawn cross', points: 'as you marked it' } as const;

function middleInWords(hole: HoleReading, middle: KnownMiddle): string {
  const { xMm, yMm, standardUncertaintyMm } = offMiddle(hole, middle);
  const along = (mm: number, plus: string, minus: string): string => `${formatNumber(Math.abs(mm), { digits: 2 })} mm ${mm >= 0 ? plus : minus}`;
  return (
    `On the plate the hole is ${along(xMm, 'right of', 'left of')} and ${along(yMm, 'above', 'below')} the middle, as scanned ` +
    `(${MIDDLE_WORDS[middle.by]}, ± ${formatNumber(2 * standardUncertaintyMm, { digits: 2 })} mm).`
  );
}

function entryJson({ file, error, measurement }: Measured, camera: JudgingCamera | null) {
  if (measurement === null) {
    return { file, error, scale: null, tone: null, toneSource: null, polarity: null, illumination: null, holes: [] };
  }
  const { reading } = measurement;
  return {
    file,
    error: null,
    scale: {
      xUmPerPx: reading.scale.xMmPerPx * UM_PER_MM,
      yUmPerPx: reading.scale.yMmPerPx * UM_PER_MM,
      source: reading.scale.source,
      detail: reading.scale.detail,
    },
    tone: reading.tone.kind === 'gamma' ? reading.tone.gamma : reading.tone.kind,
    toneSource: reading.toneSource,
    polarity: reading.polarity,
    illumination: reading.illumination,
    plate:
      reading.plate === null
        ? null
        : {
            shape: reading.plate.shape,
            centerMm: [reading.plate.center.xMm, reading.plate.center.yMm],
            widthMm: reading.plate.widthMm,
            heightMm: reading.plate.heightMm,
            angleDeg: radToDegrees(reading.plate.angleRad),
            standardUncertaintyUm: reading.plate.standardUncertaintyMm * UM_PER_MM,
          },
    middle: middleJson(reading),
    cautions: reading.cautions,
    holes: reading.holes.map((hole) => ({ ...holeJson(hole, camera), fromMiddle: fromMiddleJson(hole, middleOf(reading)) })),
  };
}

const CSV_HEADER = [
  'file',
  'hole',
  'outlineDiameterUm',
  'outlineStandardUncertaintyUm',
  'clearDiameterUm',
  'roundnessUm',
  'feretMinUm',
  'feretMaxUm',
  'burrs',
  'debris',
  'verdict',
  'verdictCriterion',
  'error',
  'fromLeftMm',
  'fromTopMm',
] as const;

/** Scale, tone and what does not agree. */
function whatItStandsOn({ reading, toneNote, opened }: ScanMeasurement): string[] {
  const scale = formatNumber(reading.scale.xMmPerPx * UM_PER_MM, { significant: 4 });
  return [
    '',
    `Scale: ${scale} µm per pixel (${reading.scale.detail}). Tone: ${toneNote}`,
    ...[...new Set([...opened.warnings, ...reading.cautions])].map((caution) => `Note: ${caution}`),
  ];
}

/** A scan of more holes than this is told as a table. */
const MOST_IN_FULL = 3;

/** A sentence for one scan, a table for several, and for a sheet of many holes. */
function forPeople(measured: readonly Measured[], camera: JudgingCamera | null): string {
  const lines: string[] = [];
  const most = Math.max(0, ...measured.map(({ measurement }) => measurement?.reading.holes.length ?? 0));
  if (measured.length === 1 && most <= MOST_IN_FULL) {
    const [one] = measured;
    if (one?.measurement) {
      const { reading } = one.measurement;
      const middle = middleOf(reading);
      reading.holes.forEach((hole, index) => {
        if (index > 0) lines.push('');
        lines.push(...oneHole(hole, camera));
        if (middle !== null) lines.push(middleInWords(hole, middle));
      });
      lines.push(...whatItStandsOn(one.measurement));
    }
    return lines.join('\n');
  }
  const rows: string[][] = [];
  for (const { file, error, measurement } of measured) {
    if (measurement === null) rows.push([basename(file), '', '', '', '', '', error ?? '']);
    for (const [index, hole] of (measurement?.reading.holes ?? []).entries()) {
      const { xMm, yMm } = hole.leastSquares.center;
      rows.push([
        most > 1 ? `${basename(file)}, hole ${index + 1}` : basename(file),
        most > 1 ? `${formatNumber(xMm, { digits: 1 })}, ${formatNumber(yMm, { digits: 1 })}` : '',
        formatWithUncertainty(hole.outlineDiameterMm, hole.outlineStandardUncertaintyMm, { unit: 'mm' }),
        `${formatNumber(hole.roundnessMm * UM_PER_MM, { significant: 2 })} µm`,
        String(hole.burrs.length),
        String(hole.debris.length),
        camera === null ? '' : judge(hole, camera).word,
      ]);
    }
  }
  const heads = ['scan', 'mm from left, top', 'diameter', 'roundness', 'burrs', 'debris', camera === null ? 'remark' : 'verdict'];
  const shown = (row: readonly string[]): string[] => row.filter((_, column) => column !== 1 || most > 1);
  lines.push(table(shown(heads), rows.map(shown)));
  const [only] = measured.length === 1 ? measured : [];
  if (only?.measurement) lines.push('', 'All figures of one of them: --hole N.', ...whatItStandsOn(only.measurement));
  if (camera !== null) lines.push('', `Verdicts: ${camera.criterion}, f ${formatNumber(camera.focalLengthMm, { significant: 4 })} mm, in ${camera.light.words}.`);
  return lines.join('\n');
}

/** The strongest wave of the rim beyond the ellipse: `3 of 1.2 µm`. */
function lobesInWords(hole: HoleReading): string {
  const [first] = [...hole.lobes].filter(({ order }) => order > 2).sort((a, b) => b.amplitudeMm - a.amplitudeMm);
  return first === undefined ? 'none' : `${first.order}, of ${smallUm(first.amplitudeMm)}`;
}

/** A part of the budget: two digits, and nothing finer than a hundredth of a micrometre. */
function smallUm(lengthMm: number): string {
  const lengthUm = lengthMm * UM_PER_MM;
  return lengthUm < 0.01 ? '< 0.01 µm' : `${formatNumber(lengthUm, { significant: 2 })} µm`;
}

/** As on a clock face over the scan as displayed: 12 is up, 3 to the right. */
function clock(angleRad: number): string {
  const hour = Math.round(((Math.PI / 2 - angleRad) / (2 * Math.PI)) * 12);
  return `${((hour + 11 + 24) % 12) + 1} o'clock`;
}

function oneHole(hole: HoleReading, camera: JudgingCamera | null): string[] {
  const size = formatWithUncertainty(hole.outlineDiameterMm, hole.outlineStandardUncertaintyMm, { unit: 'mm' });
  const lines: string[] = [];
  if (camera === null) lines.push(`The hole is ${size}.`);
  else {
    const verdict = judge(hole, camera);
    lines.push(`${verdict.word}: ${verdict.sentence}`, `Measured ${size}; judged in ${camera.light.words}.`);
  }
  const um = (lengthMm: number): string => `${formatNumber(lengthMm * UM_PER_MM, { significant: 3 })} µm`;
  if (hole.debris.length > 0) {
    lines.push(`Debris leaves a clear area worth ${um(hole.clearDiameterMm)}: blow it out and scan again.`);
  }
  lines.push(
    '',
    table(
      ['figure', 'size'],
      [
        ['least-squares circle', um(hole.leastSquares.diameterMm)],
        ['largest pin that enters (maximum inscribed)', um(hole.maximumInscribed.diameterMm)],
        ['minimum circumscribed circle', um(hole.minimumCircumscribed.diameterMm)],
        ['roundness (minimum zone)', um(hole.roundnessMm)],
        ['narrowest and widest', `${um(hole.feretMinMm)} – ${um(hole.feretMaxMm)}`],
        ['ellipse part', `${um(hole.ellipse.longMm)} × ${um(hole.ellipse.shortMm)}, long towards ${formatNumber(radToDegrees(hole.ellipse.angleRad), { digits: 0 })}°`],
        ['strongest lobes', lobesInWords(hole)],
        ['raggedness of the rim', smallUm(hole.raggednessMm)],
        ...hole.burrs.map((burr) => [
          `burr at ${clock(burr.angleRad)} (${formatNumber(radToDegrees(burr.angleRad), { digits: 0 })}°)`,
          `${um(burr.heightMm)} high`,
        ]),
        ...hole.chips.map((chip) => [
          `chip at ${clock(chip.angleRad)} (${formatNumber(radToDegrees(chip.angleRad), { digits: 0 })}°)`,
          `${um(chip.heightMm)} deep`,
        ]),
        [
          'pixels across',
          `${formatNumber(hole.acrossPx, { significant: 3 })}, each worth ${formatNumber(pixelStops(hole.acrossPx), { significant: 2 })} stop`,
        ],
      ],
    ),
    '',
    'Uncertainty (k = 1), largest part first:',
    ...[...hole.budget]
      .sort((a, b) => b.standardUncertaintyMm - a.standardUncertaintyMm)
      .map((line) => `  ${smallUm(line.standardUncertaintyMm).padStart(9)}  ${line.name}: ${line.reason}`),
  );
  for (const caution of hole.cautions) lines.push(`Note: ${caution}`);
  return lines;
}

/** Measures every scan; a file that cannot be used has its reason in its own entry and spoils nothing else. */
export async function plateCommand(question: PlateQuestion, room: PlateRoom): Promise<Answer> {
  const { camera } = question;
  const measured: Measured[] = [];
  for (const file of await expand(question.files)) measured.push(await measureFile(room, file, question));
  const mean = question.samePlate === true ? meanOf(measured, camera) : null;
  const entries = measured.map((one) => ({
    ...entryJson(one, camera),
    ...(question.samePlate === true && { samePlate: mean === null ? null : meanJson(mean) }),
  }));
  return {
    json: entries,
    text: mean === null ? forPeople(measured, camera) : `${meanInWords(mean)}\n\n${forPeople(measured, camera)}`,
    csv: csv(
      CSV_HEADER,
      entries.flatMap((entry) =>
        entry.holes.length === 0
          ? [[entry.file, '', '', '', '', '', '', '', '', '', '', '', entry.error, '', '']]
          : entry.holes.map((hole, index) => [
              entry.file,
              index + 1,
              hole.outlineDiameterUm,
              hole.outlineStandardUncertaintyUm,
              hole.equivalentDiameterUm,
              hole.roundnessUm,
              hole.feretMinUm,
              hole.feretMaxUm,
              hole.burrs.length,
              hole.debris.length,
              hole.verdict,
              hole.verdictCriterion,
              null,
              ...hole.centerMm,
            ]),
      ),
    ),
    notes: [...(question.notes ?? []), ...measured.flatMap(({ file, error }) => (error === null ? [] : [`${file}: ${error}`]))],
    someFailed: measured.some(({ error }) => error !== null),
  };
}
