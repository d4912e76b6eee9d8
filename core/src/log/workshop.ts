/**
 * The workshop as everybody outside this room sees it: plain, deeply read-only data. Unknown fields are there
 * at run time but not in the types, so that a misspelt name is an error and not a new field.
 */
import type * as z from 'zod';
import type { filmSheetSchema, holderSchema, printerSchema, scannerSchema } from './equipment-records.ts';
import type {
  cameraSchema,
  exposureSchema,
  figuresSchema,
  filmSchema,
  frontSchema,
  layerSchema,
  mountingSchema,
  passSchema,
  plateSchema,
  questionSchema,
  scanRecordSchema,
  sheetChoicesSchema,
  trashSchema,
  verdictRecordSchema,
  workshopSchema,
} from './records.ts';

type Scalar = string | number | boolean | null | undefined;
type Named<K> = string extends K ? never : number extends K ? never : K;
type Stripped<T> = { [K in keyof T as Named<K>]: T[K] };

/** Read-only all the way down, without the index signature of open objects. */
type Frozen<T> = T extends Scalar
  ? T
  : T extends readonly unknown[]
    ? { readonly [I in keyof T]: Frozen<T[I]> }
    : [keyof Stripped<T>] extends [never]
      ? { readonly [K in keyof T]: Frozen<T[K]> }
      : { readonly [K in keyof T as Named<K>]: Frozen<T[K]> };

/**
 * The same, open to change: what a recipe of a store works on. Lists of records can be added to and taken from;
 * every other array (an outline, a range) is one value and is replaced as a whole.
 */
export type Draft<T> = T extends Scalar
  ? T
  : T extends readonly (infer E)[]
    ? E extends { readonly id: string }
      ? Draft<E>[]
      : T
    : { -readonly [K in keyof T]: Draft<T[K]> };

export type Workshop = Frozen<z.output<typeof workshopSchema>>;
export type CameraRecord = Frozen<z.output<typeof cameraSchema>>;
export type MountingRecord = Frozen<z.output<typeof mountingSchema>>;
export type FrontRecord = Frozen<z.output<typeof frontSchema>>;
export type LayerRecord = Frozen<z.output<typeof layerSchema>>;
export type PlateRecord = Frozen<z.output<typeof plateSchema>>;
export type PassRecord = Frozen<z.output<typeof passSchema>>;
export type PassFigures = Frozen<z.output<typeof figuresSchema>>;
export type ScanRecord = Frozen<z.output<typeof scanRecordSchema>>;
export type VerdictRecord = Frozen<z.output<typeof verdictRecordSchema>>;
export type FilmRecord = Frozen<z.output<typeof filmSchema>>;
export type ExposureRecord = Frozen<z.output<typeof exposureSchema>>;
export type SheetChoicesRecord = Frozen<z.output<typeof sheetChoicesSchema>>;
export type QuestionRecord = Frozen<z.output<typeof questionSchema>>;
export type ScannerRecord = Frozen<z.output<typeof scannerSchema>>;
export type PrinterRecord = Frozen<z.output<typeof printerSchema>>;
export type HolderRecord = Frozen<z.output<typeof holderSchema>>;
export type FilmSheetRecord = Frozen<z.output<typeof filmSheetSchema>>;
export type TrashRecord = Frozen<z.output<typeof trashSchema>>;
export type WorkshopDraft = Draft<Workshop>;

/** The lists of a workshop that hold records; the trash stands beside them. */
export const LIST_NAMES = ['cameras', 'plates', 'films', 'exposures', 'scanners', 'printers', 'filmHolders', 'filmSheets'] as const;

/** A workshop with nothing in it yet. Id and time come from outside: the core has neither chance nor clock. */
export function emptyWorkshop(head: { readonly id: string; readonly name: string; readonly createdAt: string }): Workshop {
  return {
    format: 'camerawright-workshop',
    version: 1,
    id: head.id,
    name: head.name,
    createdAt: head.createdAt,
    cameras: [],
    plates: [],
    films: [],
    exposures: [],
    scanners: [],
    printers: [],
    filmHolders: [],
    filmSheets: [],
    trash: [],
  };
}

/** A copy of a record that a recipe may put into a draft and go on changing. */
export function thawed<T>(record: T): Draft<T> {
  if (Array.isArray(record)) return record.map(thawed) as Draft<T>;
  if (typeof record !== 'object' || record === null) return record as Draft<T>;
  return Object.fromEntries(Object.entries(record).map(([key, value]) => [key, thawed(value)])) as Draft<T>;
}
