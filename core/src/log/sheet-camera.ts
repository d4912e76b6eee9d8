/** A camera of the workshop as the sheets take it: its measured hole where there is one, the best hole where there is none. */
import { formatById } from '../camera/formats.ts';
import type { CameraLight } from '../camera/camera-light.ts';
import { InputError } from '../errors.ts';
import { DEFAULT_CRITERION } from '../optics/criteria.ts';
import type { Criterion } from '../optics/criteria.ts';
import { UNCORRECTED } from '../sheets/page.ts';
import type { PrintFactors } from '../sheets/page.ts';
import type { BoardPlace } from '../exposure/cards.ts';
import type { BuildChoices, SheetCamera, SheetHole, SheetLayer } from '../sheets/plan.ts';
import { lightOfCamera } from './camera-light.ts';
import { filmOf, lastMounting, mountedPlate, numbersOf } from './lookup.ts';
import type { CameraRecord, PrinterRecord, SheetChoicesRecord, Workshop } from './workshop.ts';

/**
 * @param record needs a frame and a focal length; everything else may be missing
 * @throws InputError missing
 */
export function sheetCamera(record: CameraRecord, workshop: Workshop): SheetCamera {
  const { frame, focalLengthMm } = record;
  if (frame?.widthMm === undefined || frame.heightMm === undefined || focalLengthMm === undefined) {
    const what = focalLengthMm === undefined ? 'focal length' : 'frame';
    throw new InputError('missing', `The sheets need the ${what} of ${record.name}: give it on the Camera page.`, { path: what });
  }
  const loaded = filmOf(record, workshop);
  const cut = record.cutSize;
  return {
    name: record.name,
    frame: { widthMm: frame.widthMm, heightMm: frame.heightMm },
    focalLengthMm,
    holeShift: { xMm: record.holeShift?.xMm ?? 0, yMm: record.holeShift?.yMm ?? 0 },
    hole: holeOf(record, workshop),
    formatId: record.formatId ?? null,
    formatName: typeof record.formatId === 'string' ? nameOf(record.formatId) : null,
    cutSize: cut?.widthMm === undefined || cut.heightMm === undefined ? null : { widthMm: cut.widthMm, heightMm: cut.heightMm },
    light: lightOfCamera(record, workshop),
    film: loaded?.film ?? null,
    exposureIndex: loaded?.exposureIndex ?? record.exposureIndex ?? null,
    wood: record.wood ?? null,
    boardThicknessMm: record.woodThicknessMm ?? null,
    holderDepthMm: record.holderDepthMm ?? null,
    filmThicknessMm: record.filmThicknessMm ?? null,
    plateSeatMm: record.plateSeatMm ?? null,
    layers: layersOf(record),
    filmPlane: record.filmPlane?.kind ?? 'flat',
  };
}

/** The measured layers; one whose place or thickness is missing is left out. */
function layersOf(record: CameraRecord): readonly SheetLayer[] {
  return (record.front?.layers ?? []).flatMap(({ name, side, distanceMm, thicknessMm, opening }) => {
    if (distanceMm === undefined || thicknessMm === undefined) return [];
    const sign = side === 'front' ? 1 : -1;
    const zMm = [sign * distanceMm, sign * (distanceMm + thicknessMm)] as const;
    return [{ name, zMm, roundOpeningMm: opening?.shape === 'circle' ? (opening.diameterMm ?? null) : null }];
  });
}

function nameOf(formatId: string): string | null {
  try {
    return formatById(formatId).name;
  } catch (error) {
    // A format of a later version: its name is not known here, its sizes are in the record.
    if (error instanceof InputError) return null;
    throw error;
  }
}

function holeOf(record: CameraRecord, workshop: Workshop): SheetHole {
  const numbers = numbersOf(record, workshop);
  const plate = { plateName: mountedPlate(record, workshop)?.name ?? null, mountedAt: lastMounting(record)?.mountedAt ?? null };
  if (numbers.kind === 'measured') {
    return { diameterMm: numbers.diameterMm, standardUncertaintyMm: numbers.standardUncertaintyMm, measured: true, ...plate };
  }
  if (record.fNumber !== undefined && record.focalLengthMm !== undefined) {
    return { diameterMm: record.focalLengthMm / record.fNumber, standardUncertaintyMm: null, measured: false, stated: true, ...plate };
  }
  const best = wishedHole({
    focalLengthMm: record.focalLengthMm ?? 0,
    objectDistanceMm: record.objectDistanceMm ?? Infinity,
    light: lightOfCamera(record, workshop),
    criterion: record.criterion ?? DEFAULT_CRITERION,
  });
  return { ...best, ...plate };
}

/** The best hole in place of one that is not measured yet. @throws InputError as `describeCamera` */
export function wishedHole(of: {
  readonly focalLengthMm: number;
  readonly objectDistanceMm: number;
  readonly light: CameraLight;
  readonly criterion: Criterion;
}): SheetHole {
  const { light, ...question } = of;
  return { diameterMm: light.holes.best(question).diameterMm, standardUncertaintyMm: null, measured: false, plateName: null, mountedAt: null };
}

/** How the maker builds, as the workshop says it; every camera with a measured hole or a stated f-number has its line on the class board. */
export function sheetChoices(workshop: Workshop): BuildChoices {
  const said: SheetChoicesRecord = workshop.sheets ?? {};
  const places = workshop.cameras.flatMap((camera): BoardPlace[] => {
    const numbers = numbersOf(camera, workshop);
    if (numbers.kind === 'measured') return [{ name: camera.name, diameterMm: numbers.diameterMm, focalLengthMm: numbers.focalLengthMm }];
    return camera.fNumber === undefined ? [] : [{ name: camera.name, fNumber: camera.fNumber }];
  });
  const known = BUILD_FIELDS.filter((field) => said[field] !== undefined).map((field) => [field, said[field]]);
  return {
    ...(Object.fromEntries(known) as BuildChoices),
    ...(said.boards === undefined || said.boards.length === 0 ? {} : { boards: said.boards }),
    ...(places.length > 1 ? { boardPlaces: places } : {}),
  };
}

const BUILD_FIELDS = [
  'joint', 'shutter', 'back', 'tripodThread', 'kerfMm', 'sawKerfMm', 'holderWidthMm', 'plateBlankMm', 'gaugeHeightMm',
  'spoolCoreMm', 'rollThicknessMm', 'contact', 'from', 'to',
] as const;

/** The stretch a printer's pages need: its last calibration the other way round. `null`: no printer. */
export function printerStretch(printer: PrinterRecord | null): PrintFactors {
  const last = printer?.calibrations.at(-1);
  return last === undefined ? UNCORRECTED : { xFactor: 1 / last.xFactor, yFactor: 1 / last.yFactor };
}
