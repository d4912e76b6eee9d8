/** Where a numbered piece of film or paper is on its way, told by what is written of it and of its exposures. */
import type { ExposureRecord, FilmSheetRecord, Workshop } from './workshop.ts';

export type SheetState = 'blank' | 'loaded' | 'exposed' | 'developed';

export interface SheetFacts {
  readonly state: SheetState;
  /** Exposures that name it and were given, in the order of the log: more than one is a double exposure. */
  readonly exposures: readonly ExposureRecord[];
  /** For the maker: `Sheet 12 is exposed: develop it.` */
  readonly sentence: string;
}

const wasGiven = (exposure: ExposureRecord): boolean => exposure.given !== undefined;

/** What is in a holder now: loaded in it and not yet developed. */
export function sheetsInHolder(holderId: string, workshop: Workshop): readonly FilmSheetRecord[] {
  return workshop.filmSheets.filter((sheet) => sheet.loaded?.holderId === holderId && sheet.developed === undefined);
}

export function sheetFacts(sheet: FilmSheetRecord, workshop: Workshop): SheetFacts {
  const exposures = workshop.exposures.filter((exposure) => exposure.sheetId === sheet.id && wasGiven(exposure));
  const holder = workshop.filmHolders.find(({ id }) => id === sheet.loaded?.holderId);
  const side = sheet.loaded?.side === undefined ? '' : `, side ${sheet.loaded.side}`;
  const inHolder = holder === undefined ? '' : ` in holder ${holder.name}${side}`;
  const name = `Sheet ${sheet.number}`;
  const twice = exposures.length > 1 ? ` It was exposed ${exposures.length} times.` : '';
  if (sheet.developed !== undefined) return { state: 'developed', exposures, sentence: `${name} is developed.${twice}` };
  if (exposures.length > 0 || sheet.exposed !== undefined) {
    return { state: 'exposed', exposures, sentence: `${name}${inHolder} is exposed: do not use it again, develop it.${twice}` };
  }
  if (sheet.loaded !== undefined) return { state: 'loaded', exposures, sentence: `${name} is loaded${inHolder} and not exposed.` };
  return { state: 'blank', exposures, sentence: `${name} is not loaded.` };
}
