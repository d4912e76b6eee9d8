/**
 * What hangs together in a workshop: the plate that is in a camera, its last pass, the numbers that follow.
 * An absence is a value with its reason in words, never an exception: a maker fills a workshop bit by bit.
 */
import { InputError } from '../errors.ts';
import type { Film } from '../exposure/film.ts';
import { filmFrom } from '../exposure/film-record.ts';
import { findFilm } from '../exposure/films.ts';
import type { Countersink } from '../optics/thick-hole.ts';
import { decidingFigures } from './same-state.ts';
import type { CameraRecord, FilmRecord, MountingRecord, PassRecord, PlateRecord, Workshop } from './workshop.ts';

/** The last mounting of a camera by its date; of two at the same instant the later in the list. */
export function lastMounting(camera: CameraRecord): MountingRecord | null {
  let last: MountingRecord | null = null;
  for (const mounting of camera.mountings) {
    if (last === null || Date.parse(mounting.mountedAt) >= Date.parse(last.mountedAt)) last = mounting;
  }
  return last;
}

/** The plate that is in the camera now; `null`: none, taken out, or in the trash. */
export function mountedPlate(camera: CameraRecord, workshop: Workshop): PlateRecord | null {
  const plateId = lastMounting(camera)?.plateId;
  return workshop.plates.find((plate) => plate.id === plateId) ?? null;
}

/** Of the hole's wall: the plate's edge, or its sheet where the edge was not measured, which is the worst case. */
export function wallThicknessMm(plate: PlateRecord | null): number | undefined {
  return plate?.edgeThicknessMm ?? plate?.sheetThicknessMm;
}

/** The slope beyond the hole's edge, where edge, sheet and slope are all stated; without it nothing beyond the edge is counted. */
export function dimpleOf(plate: PlateRecord | null): Countersink | undefined {
  const { edgeThicknessMm, sheetThicknessMm, dimpleSlopeRad } = plate ?? {};
  if (edgeThicknessMm === undefined || sheetThicknessMm === undefined || dimpleSlopeRad === undefined) return undefined;
  return sheetThicknessMm > edgeThicknessMm ? { sheetThicknessMm, slopeRad: dimpleSlopeRad } : undefined;
}

/** The camera a plate is in now; of several (a slip of the maker's) the first in the list. */
export function cameraOf(plate: PlateRecord, workshop: Workshop): CameraRecord | null {
  return workshop.cameras.find((camera) => lastMounting(camera)?.plateId === plate.id) ?? null;
}

/**
 * The pass added last. The order of the list counts, not the dates: a clock may have gone wrong,
 * and the maker measured in the order in which passes were added.
 */
export function latestPass(plate: PlateRecord): PassRecord | null {
  return plate.passes.at(-1) ?? null;
}

/** The last pass in which the hole was measured. */
export function latestMeasuredPass(plate: PlateRecord): PassRecord | null {
  return plate.passes.findLast((pass) => pass.figures !== undefined) ?? null;
}

/** What the f-number and the verdict are made of. */
export type CameraNumbers =
  | {
      readonly kind: 'measured';
      readonly plateId: string;
      readonly passId: string;
      readonly focalLengthMm: number;
      /** Outline, debris removed. */
      readonly diameterMm: number;
      /** k = 1; `null` when the pass does not state it. */
      readonly standardUncertaintyMm: number | null;
      /** Clear area, debris left in; `null` when the pass does not state it. */
      readonly clearDiameterMm: number | null;
    }
  | {
      readonly kind: 'missing';
      readonly what: 'focal length' | 'plate' | 'pass';
      /** What to do about it. */
      readonly sentence: string;
    };

/** The numbers of a camera by the last measured pass of the plate in it, or the first thing that is missing. */
export function numbersOf(camera: CameraRecord, workshop: Workshop): CameraNumbers {
  if (camera.focalLengthMm === undefined) {
    return {
      kind: 'missing',
      what: 'focal length',
      sentence: 'Needed for the f-number: the distance from the hole to the film.',
    };
  }
  const plate = mountedPlate(camera, workshop);
  if (plate === null) {
    return { kind: 'missing', what: 'plate', sentence: 'No plate is in this camera: mount one, or measure a scan.' };
  }
  const pass = latestMeasuredPass(plate);
  const figures = pass === null ? undefined : decidingFigures(pass);
  if (pass === null || figures === undefined) {
    return {
      kind: 'missing',
      what: 'pass',
      sentence: `Plate ${plate.name} is not measured yet: scan it and measure the hole.`,
    };
  }
  return {
    kind: 'measured',
    plateId: plate.id,
    passId: pass.id,
    focalLengthMm: camera.focalLengthMm,
    diameterMm: figures.outlineDiameterMm,
    standardUncertaintyMm: figures.outlineStandardUncertaintyMm ?? null,
    clearDiameterMm: figures.clearDiameterMm ?? null,
  };
}

export interface CameraFilm {
  readonly film: Film;
  /** Speed the maker sets: for this camera, else for this film; `null`: the film's own. */
  readonly exposureIndex: number | null;
  /** That speed was learnt in a pinhole camera, so the bare hole is in it. */
  readonly learntInPinhole: boolean;
}

/** A film of the workshop's own in the words of the exposure room, over the figures of the listed film it follows. */
function ownFilm(record: FilmRecord): Film {
  const { notes, listName, ...facts } = record;
  const listed = listName === undefined ? null : listedFilm(listName);
  return filmFrom({ ...listed, ...facts, note: notes ?? listed?.note ?? null });
}

/**
 * The films and papers of the workshop's own, each with the speed the maker sets for it.
 * @throws InputError when one has figures that cannot be right
 */
export function ownFilms(workshop: Workshop): (CameraFilm & { readonly id: string })[] {
  return workshop.films.map((record) => ({
    id: record.id,
    film: ownFilm(record),
    exposureIndex: record.exposureIndex ?? null,
    learntInPinhole: record.learntInPinhole === true,
  }));
}

function listedFilm(name: string): Film | null {
  try {
    return findFilm(name);
  } catch (error) {
    if (error instanceof InputError && error.code === 'unknown-name') return null;
    throw error;
  }
}

/**
 * The film or paper a camera is loaded with; `null` when none is said, or when its name is in no list:
 * a missing film is never a dead end.
 * @throws InputError when a film of the workshop's own has figures that cannot be right
 */
export function filmOf(camera: CameraRecord, workshop: Pick<Workshop, 'films'>): CameraFilm | null {
  const record = workshop.films.find((film) => film.id === camera.filmId);
  const film = record === undefined ? (camera.filmName === undefined ? null : listedFilm(camera.filmName)) : ownFilm(record);
  return film === null
    ? null
    : {
        film,
        exposureIndex: camera.exposureIndex ?? record?.exposureIndex ?? null,
        // an index of the camera's own may come from anywhere
        learntInPinhole: camera.exposureIndex === undefined && record?.learntInPinhole === true,
      };
}
