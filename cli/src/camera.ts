/** `camerawright camera`: what a box sees, its best hole, and how deep it must be. */
import {
  CENTRED,
  CRITERIA,
  DEFAULT_CRITERION,
  FORMATS,
  InputError,
  SHEET_FILM_THICKNESS_MM,
  UM_PER_MM,
  describeCamera,
  dimpleOf,
  focalLengthForAngleMm,
  focalLengthFromInsideDepthMm,
  formatById,
  formatLength,
  formatNumber,
  holderFor,
  holeInWords,
  mountedPlate,
  parseAngle,
  parseCriterion,
  parseLength,
  radToDegrees,
  requirePositive,
  wallThicknessMm,
} from '#core';
import type {
  AngleAlong,
  BestHole,
  CameraDescription,
  CameraLight,
  CameraQuestion,
  CameraRecord,
  Countersink,
  FilmFormat,
  FilmPlane,
  FilmPoint,
  FilmSeat,
  Frame,
  HolesQuestion,
  Workshop,
} from '#core';
import type { Answer } from './answer.ts';
import { chosenFilmPlane, parseFrame, parseHole } from './camera-choice.ts';
import { chosenCameraLight } from './light-choice.ts';
import { table } from './printing.ts';

/** As the maker wrote them: every value still text. */
export interface CameraCommandOptions {
  readonly frame?: string;
  /** Instead of the frame: the id of a format. */
  readonly format?: string;
  readonly focalMm?: string;
  /** Instead of the focal length: a wanted angle of view, degrees … */
  readonly angleDeg?: string;
  /** … and which one: horizontal, vertical or diagonal. */
  readonly across?: string;
  /** A hole in hand, µm; without a focal length it gives the one it suits. */
  readonly holeUm?: string;
  /** Instead of the focal length: a box in hand. */
  readonly insideDepth?: string;
  readonly shift?: string;
  readonly thicknessMm?: string;
  /** flat, cylinder (bent about the hole) or can (along its wall, hole opposite). */
  readonly filmPlane?: string;
  /** Of the whole plate, where its edge was thinned; counts with the slope. */
  readonly sheetMm?: string;
  readonly slopeDeg?: string;
  readonly objectMm?: string;
  readonly wavelengthNm?: string;
  readonly criterion?: string;
  readonly film?: string;
  readonly wood?: string;
  readonly holderDepth?: string;
  readonly filmThickness?: string;
  readonly seat?: string;
  readonly inches?: boolean;
  readonly listFormats?: boolean;
}

const ALONG: readonly AngleAlong[] = ['horizontal', 'vertical', 'diagonal'];

/**
 * Answers for the camera that the options give, or else for the one of a workshop.
 * @throws InputError when an option is missing, not understood or at odds with another
 */
export function cameraCommand(
  options: CameraCommandOptions,
  record: CameraRecord | null = null,
  workshop: Workshop | null = null,
): Answer {
  if (options.listFormats === true) return formatList(options.inches === true);
  const notes: string[] = [];
  const chosen = chosenFrame(options, record);
  if (chosen.note !== null) notes.push(chosen.note);
  const light = chosenLight(options, record, workshop);
  notes.push(...light.notes);
  const seat = chosenSeat(options, record, chosen.format);
  if (seat.asked) notes.push(...seat.notes);
  const shift = chosenShift(options, record);
  const diameterMm = options.holeUm === undefined ? undefined : parseHole(options.holeUm, '--hole-um');
  const focal = focalLength(options, record, { frame: chosen.frame, shift, filmPlane: chosenFilmPlane(options.filmPlane, record), light, diameterMm, seat: seat.value });
  const plate = record === null || workshop === null ? null : mountedPlate(record, workshop);
  const thicknessMm =
    options.thicknessMm === undefined ? wallThicknessMm(plate) : length(options.thicknessMm, '--thickness-mm');
  const countersink = chosenCountersink(options) ?? (options.thicknessMm === undefined ? dimpleOf(plate) : undefined);
  const wood = options.wood === undefined ? record?.woodThicknessMm : positive(options.wood, '--wood', 'mm');
  const question: CameraQuestion = {
    camera: { frame: chosen.frame, focalLengthMm: focal.focalLengthMm, holeShift: shift, filmPlane: chosenFilmPlane(options.filmPlane, record) },
    criterion: light.criterion,
    light: light.light,
    objectDistanceMm: light.objectDistanceMm,
    lengths: options.inches === true ? 'in' : 'mm',
    ...(diameterMm === undefined ? {} : { diameterMm }),
    ...(thicknessMm === undefined ? {} : { thicknessMm, countersink }),
    ...(seat.asked || wood !== undefined
      ? { box: { ...seat.value, ...(wood === undefined ? {} : { boardThicknessMm: wood }) } }
      : {}),
  };
  const described = describeCamera(question);
  const holes = CRITERIA.map(({ id }) =>
    light.light.holes.best({ criterion: id, objectDistanceMm: light.objectDistanceMm, focalLengthMm: focal.focalLengthMm }),
  );
  return {
    json: document({ ...question, light: light.light }, described, holes, focal.from),
    text: text(question, described, holes, focal.sentence),
    notes,
  };
}

type LightChoice = Pick<HolesQuestion, 'criterion' | 'objectDistanceMm'> & {
  readonly light: CameraLight;
  readonly notes: readonly string[];
};

/** The slope beyond the hole's edge, by sheet and slope together. */
function chosenCountersink(options: CameraCommandOptions): Countersink | undefined {
  const { sheetMm, slopeDeg } = options;
  if (sheetMm === undefined && slopeDeg === undefined) return undefined;
  if (sheetMm === undefined || slopeDeg === undefined) {
    throw new InputError('missing', 'The slope of a dimple needs --sheet-mm and --slope-deg together.', { path: sheetMm === undefined ? '--sheet-mm' : '--slope-deg' });
  }
  return { sheetThicknessMm: positive(sheetMm, '--sheet-mm', 'mm'), slopeRad: parseAngle(slopeDeg, { path: '--slope-deg' }).angleRad };
}

function chosenLight(options: CameraCommandOptions, record: CameraRecord | null, workshop: Workshop | null): LightChoice {
  return {
    ...chosenCameraLight(options, record, workshop),
    criterion: parseCriterion(options.criterion ?? record?.criterion ?? DEFAULT_CRITERION),
    objectDistanceMm:
      options.objectMm === undefined ? (record?.objectDistanceMm ?? Infinity) : distance(options.objectMm),
  };
}

function length(given: string, option: string): number {
  return parseLength(given, { defaultUnit: 'mm', path: option }).mm;
}

function positive(given: string, option: string, defaultUnit: 'mm' | 'um'): number {
  const lengthMm = parseLength(given, { defaultUnit, path: option }).mm;
  requirePositive(lengthMm, option, 'mm');
  return lengthMm;
}

function distance(given: string): number {
  return /^\s*(inf|infinity|infinite|∞)\s*$/i.test(given) ? Infinity : positive(given, '--object-mm', 'mm');
}

interface FrameChoice {
  readonly frame: Frame;
  readonly format: FilmFormat | null;
  readonly note: string | null;
}

function chosenFrame(options: CameraCommandOptions, record: CameraRecord | null): FrameChoice {
  if (options.frame !== undefined && options.format !== undefined) {
    throw new InputError('conflict', 'Give --frame or --format, not both: the format brings its own frame.', {
      path: '--format',
      got: options.format,
    });
  }
  if (options.frame !== undefined) {
    const frame = parseFrame(options.frame);
    requirePositive(frame.widthMm, '--frame width', 'mm');
    requirePositive(frame.heightMm, '--frame height', 'mm');
    return { frame, format: null, note: cutSizeNote(frame) };
  }
  if (options.format !== undefined) {
    const format = formatById(options.format);
    return { frame: format.imageArea, format, note: format.note };
  }
  const format = FORMATS.find(({ id }) => id === record?.formatId) ?? null;
  const { widthMm, heightMm } = record?.frame ?? {};
  const own = widthMm === undefined || heightMm === undefined ? undefined : { widthMm, heightMm };
  const frame = own ?? format?.imageArea;
  if (frame !== undefined) return { frame, format, note: null };
  throw new InputError(
    'missing',
    'The frame is missing: give the image area with --frame WxH in mm, like 120x95, or a film with --format ID '
      + '(--list-formats lists them).',
    { path: '--frame', expected: 'width x height' },
  );
}

/** A maker who types the sheet's size gets more picture promised than the holder's rails let through. */
function cutSizeNote(frame: Frame): string | null {
  const near = (a: number, b: number): boolean => Math.abs(a - b) <= 2;
  const [long, short] = [Math.max(frame.widthMm, frame.heightMm), Math.min(frame.widthMm, frame.heightMm)];
  const sheet = FORMATS.find(
    ({ areaBound, cutSize }) =>
      areaBound === 'holder-rails' && cutSize !== null && near(cutSize.widthMm, long) && near(cutSize.heightMm, short),
  );
  if (sheet === undefined) return null;
  const { widthMm, heightMm } = sheet.imageArea;
  return (
    `The frame given is about the cut size of ${sheet.name}; in a holder the picture is only about `
    + `${widthMm} × ${heightMm} mm (--format ${sheet.id}).`
  );
}

function chosenShift(options: CameraCommandOptions, record: CameraRecord | null): FilmPoint {
  if (options.shift === undefined) {
    return { xMm: record?.holeShift?.xMm ?? CENTRED.xMm, yMm: record?.holeShift?.yMm ?? CENTRED.yMm };
  }
  const parts = options.shift.split(options.shift.includes(';') ? ';' : ',');
  const [x, y] = parts;
  if (parts.length !== 2 || x === undefined || y === undefined) {
    throw new InputError(
      'not-understood',
      `--shift "${options.shift}" was not understood. Give x,y like 0,10 (or 0;10,5 with decimal commas): right `
        + 'and up, seen from the film side.',
      { path: '--shift', got: options.shift, expected: 'x,y' },
    );
  }
  return { xMm: length(x, '--shift'), yMm: length(y, '--shift') };
}

interface SeatChoice {
  readonly value: FilmSeat;
  /** True when anything was said about the box, so that an answer about it is wanted. */
  readonly asked: boolean;
  /** What was taken for granted. */
  readonly notes: readonly string[];
}

function chosenSeat(
  options: CameraCommandOptions,
  record: CameraRecord | null,
  format: FilmFormat | null,
): SeatChoice {
  const notes: string[] = [];
  const holder = format === null ? null : holderFor(format.id);
  const assumed = (given: number | undefined, otherwise: number, note: string): number => {
    if (given === undefined) notes.push(note);
    return given ?? otherwise;
  };
  const optional = (given: string | undefined, option: string): number | undefined =>
    given === undefined ? undefined : length(given, option);
  const holderDepthMm = assumed(
    optional(options.holderDepth, '--holder-depth') ?? record?.holderDepthMm,
    holder?.holderDepthMm ?? 0,
    holder === null
      ? 'No --holder-depth given: the film is taken to lie on the back of the box itself.'
      : `Holder depth ${formatLength(holder.holderDepthMm, { unit: 'mm' })} ± `
        + `${formatLength(holder.toleranceMm, { unit: 'mm' })} taken for a ${holder.name}: measure yours.`,
  );
  const filmThicknessMm = assumed(
    optional(options.filmThickness, '--film-thickness') ?? record?.filmThicknessMm,
    SHEET_FILM_THICKNESS_MM,
    `Film thickness ${SHEET_FILM_THICKNESS_MM} mm taken (--film-thickness).`,
  );
  const plateSeatMm = assumed(
    optional(options.seat, '--seat') ?? record?.plateSeatMm,
    0,
    'The hole is taken to lie on the inner face of the front board (--seat).',
  );
  const asked = [options.insideDepth, options.wood, options.holderDepth, options.filmThickness, options.seat].some(
    (given) => given !== undefined,
  );
  return {
    value: { holderDepthMm, filmThicknessMm, plateSeatMm },
    asked: asked || record?.holderDepthMm !== undefined,
    notes,
  };
}

interface FocalLength {
  readonly focalLengthMm: number;
  readonly from: 'given' | 'angle' | 'hole' | 'inside-depth' | 'workshop';
  /** How it was found, when it was. */
  readonly sentence: string | null;
}

interface FocalClues {
  readonly frame: Frame;
  readonly shift: FilmPoint;
  readonly filmPlane: FilmPlane;
  readonly light: LightChoice;
  readonly diameterMm: number | undefined;
  readonly seat: FilmSeat;
}

/** One way only: two answers for one length would be a quarrel. */
function focalLength(options: CameraCommandOptions, record: CameraRecord | null, clues: FocalClues): FocalLength {
  const ways = (['focalMm', 'angleDeg', 'insideDepth'] as const).filter((way) => options[way] !== undefined);
  if (ways.length > 1) {
    const message = 'Give one of --focal-mm, --angle-deg and --inside-depth: each is a focal length.';
    throw new InputError('conflict', message, { path: '--focal-mm' });
  }
  const shown = (lengthMm: number): string =>
    formatLength(lengthMm, options.inches === true ? { unit: 'in' } : { unit: 'mm', digits: 1 });
  if (options.focalMm !== undefined) {
    return { focalLengthMm: positive(options.focalMm, '--focal-mm', 'mm'), from: 'given', sentence: null };
  }
  if (options.angleDeg !== undefined) {
    const along = angleAlong(options.across ?? 'diagonal');
    const { angleRad } = parseAngle(options.angleDeg, { path: '--angle-deg' });
    const focalLengthMm = focalLengthForAngleMm({ frame: clues.frame, holeShift: clues.shift, filmPlane: clues.filmPlane, along, angleRad });
    const sentence = `Focal length ${shown(focalLengthMm)} for ${formatNumber(radToDegrees(angleRad))}° ${along}ly.`;
    return { focalLengthMm, from: 'angle', sentence };
  }
  if (options.insideDepth !== undefined) {
    const insideDepth = positive(options.insideDepth, '--inside-depth', 'mm');
    const focalLengthMm = focalLengthFromInsideDepthMm({ ...clues.seat, insideDepthMm: insideDepth });
    const sentence = `Focal length ${shown(focalLengthMm)} in a box ${shown(insideDepth)} deep inside.`;
    return { focalLengthMm, from: 'inside-depth', sentence };
  }
  if (record?.focalLengthMm !== undefined) {
    return { focalLengthMm: record.focalLengthMm, from: 'workshop', sentence: null };
  }
  if (clues.diameterMm !== undefined) return suited(clues.diameterMm, clues.light, shown);
  throw new InputError(
    'missing',
    'The focal length is missing: give --focal-mm F, or what you want (--angle-deg 75), or what you have '
      + '(--hole-um 430, --inside-depth 100).',
    { path: '--focal-mm', expected: 'a focal length, or what it follows from' },
  );
}

function suited(diameterMm: number, light: LightChoice, shown: (focalLengthMm: number) => string): FocalLength {
  const { criterion, objectDistanceMm } = light;
  const found = light.light.holes.suited({ criterion, objectDistanceMm, diameterMm });
  if (found.focalLengthMm === null) {
    throw new InputError('out-of-range', `${found.reason ?? ''} Give --focal-mm, or a farther object.`, {
      path: '--hole-um',
      got: diameterMm,
    });
  }
  const [shortest, longest] = found.rangeMm ?? [found.focalLengthMm, found.focalLengthMm];
  const range = `from ${shown(shortest)} ${Number.isFinite(longest) ? `to ${shown(longest)}` : 'up'}`;
  const sentence = `Focal length ${shown(found.focalLengthMm)} suits the hole in hand best, anything ${range} is good.`;
  return { focalLengthMm: found.focalLengthMm, from: 'hole', sentence };
}

function angleAlong(given: string): AngleAlong {
  const found = ALONG.find((along) => along === given.trim().toLowerCase());
  if (found !== undefined) return found;
  throw new InputError('unknown-name', `--across "${given}" is not known. Give horizontal, vertical or diagonal.`, {
    path: '--across',
    got: given,
    expected: ALONG.join(', '),
  });
}

type LitQuestion = CameraQuestion & { readonly light: CameraLight };

function document(
  question: LitQuestion,
  { view, falloff, sentences, insideDepthMm, box }: CameraDescription,
  holes: readonly BestHole[],
  focalLengthFrom: FocalLength['from'],
): object {
  const { camera } = question;
  const objectDistanceMm = question.objectDistanceMm ?? Infinity;
  const inHand = question.diameterMm;
  return {
    angleHorizontalDeg: radToDegrees(view.horizontalRad),
    angleVerticalDeg: radToDegrees(view.verticalRad),
    angleDiagonalDeg: radToDegrees(view.diagonalRad),
    equivalent24x36Mm: view.equivalentByDiagonalMm,
    cornerFalloffStops: falloff.worst.falloffStops,
    cornerFalloffReason: falloff.worst.reason,
    bestHole: holes.map((hole) => ({
      criterion: hole.criterion,
      diameterUm: hole.diameterMm * UM_PER_MM,
      bandUm: hole.bandMm.map((edgeMm) => edgeMm * UM_PER_MM),
      bandLossShare: hole.bandLossShare,
      bandMeaning: hole.bandMeaning,
      fNumber: camera.focalLengthMm / hole.diameterMm,
      constant: hole.constant,
      source: hole.sourceKey,
    })),
    criterion: question.criterion,
    // the mean of what the film sees, where a film says it
    wavelengthNm: question.light.holes.meanWavelengthNm,
    film: question.light.filmName,
    filmResponse: question.light.response?.title ?? null,
    light: question.light.light,
    objectMm: Number.isFinite(objectDistanceMm) ? objectDistanceMm : null,
    frameMm: [camera.frame.widthMm, camera.frame.heightMm],
    focalLengthMm: camera.focalLengthMm,
    focalLengthFrom,
    holeShiftMm: [camera.holeShift.xMm, camera.holeShift.yMm],
    anglesFromAxisDeg: {
      left: radToDegrees(view.leftRad),
      right: radToDegrees(view.rightRad),
      up: radToDegrees(view.upRad),
      down: radToDegrees(view.downRad),
    },
    diagonalsDeg: view.diagonalsRad.map(radToDegrees),
    equivalentByWidthMm: view.equivalentByWidthMm,
    imageCircleMm: view.imageCircleMm,
    corners: view.corners.map(({ name, point, angleRad }) => ({
      name,
      filmMm: [point.xMm, point.yMm],
      angleDeg: radToDegrees(angleRad),
      falloffStops: falloff.corners[name].falloffStops,
    })),
    edgeFalloffStops: Object.fromEntries(
      Object.entries(falloff.edges).map(([name, at]) => [name, at.falloffStops]),
    ),
    thicknessMm: question.thicknessMm ?? null,
    holeInHand: inHand === undefined ? null : holeInHand(question, inHand),
    insideDepthMm,
    outsideDepthMm: box?.outsideDepthMm ?? null,
    sentences,
  };
}

function holeInHand(question: LitQuestion, diameterMm: number): object {
  const { holes } = question.light;
  const asked = {
    criterion: question.criterion ?? DEFAULT_CRITERION,
    objectDistanceMm: question.objectDistanceMm ?? Infinity,
    diameterMm,
  };
  const cost = holes.cost({ ...asked, focalLengthMm: question.camera.focalLengthMm });
  const { focalLengthMm, rangeMm } = holes.suited(asked);
  const [shortest = null, longest = null] = rangeMm ?? [];
  return {
    diameterUm: diameterMm * UM_PER_MM,
    fNumber: question.camera.focalLengthMm / diameterMm,
    band: cost.place,
    lossShare: cost.lossShare,
    lightStops: cost.lightStops,
    suitedFocalLengthMm: focalLengthMm,
    // an endless range has no number: null, and JSON has no infinity
    suitedRangeMm: rangeMm === null ? null : [shortest, longest === Infinity ? null : longest],
  };
}

function text(
  question: CameraQuestion,
  { sentences }: CameraDescription,
  holes: readonly BestHole[],
  found: string | null,
): string {
  const lengths = question.lengths ?? 'mm';
  const rows = holes.map((hole) => {
    const { hole: best, band } = holeInWords(hole, lengths);
    const title = CRITERIA.find(({ id }) => id === hole.criterion)?.title ?? '';
    const mark = hole.criterion === question.criterion ? '*' : ' ';
    const fNumber = formatNumber(question.camera.focalLengthMm / hole.diameterMm);
    return [`${mark} ${hole.criterion}`, best, band, fNumber, title];
  });
  return [
    ...(found === null ? [] : [found]),
    ...sentences,
    '',
    table(['  best by', 'hole', '5 % band', 'f/', 'what it is best in'], rows),
  ].join('\n');
}

function formatList(inches: boolean): Answer {
  const size = (frame: Frame | null): string => {
    if (frame === null) return '';
    const unit = inches ? 'in' : 'mm';
    const side = (sideMm: number): string => formatLength(sideMm, { unit }).replace(/ [a-z]+$/, '');
    return `${side(frame.widthMm)} × ${side(frame.heightMm)}`;
  };
  const unit = inches ? 'in' : 'mm';
  return {
    json: FORMATS.map((format) => ({
      id: format.id,
      name: format.name,
      imageAreaMm: [format.imageArea.widthMm, format.imageArea.heightMm],
      cutSizeMm: format.cutSize === null ? null : [format.cutSize.widthMm, format.cutSize.heightMm],
      areaBound: format.areaBound,
      evidence: format.evidence,
      source: format.sourceKey,
      note: format.note,
    })),
    text: table(
      ['format', 'name', `image area, ${unit}`, `cut size, ${unit}`, 'evidence'],
      FORMATS.map((format) => [
        format.id,
        format.name,
        size(format.imageArea),
        size(format.cutSize),
        format.evidence,
      ]),
    ),
    notes: ['Image areas inside a holder’s rails vary by 1 to 2 mm: measure yours.'],
  };
}
