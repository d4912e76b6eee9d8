/**
 * The exposures of a log as lines to look through: newest first, with the names a maker knows them by, found by words
 * and by what they have in common. Made once and kept while the maker types; after an edit only what changed is anew.
 */
import { filmName, lightWords } from './comparison.ts';
import type { ExposureRecord, Workshop } from './workshop.ts';

/** `planned`: not given yet; `given`: no result yet; `judged`: with a verdict. */
export type ExposureStage = 'planned' | 'given' | 'judged';

export interface ExposureLine {
  readonly record: ExposureRecord;
  readonly stage: ExposureStage;
  readonly camera: string | null;
  readonly plate: string | null;
  readonly film: string | null;
  readonly sheet: string | null;
  /** All its words in lower case without accents. */
  readonly words: string;
}

export interface ExposureFilter {
  /** Every word must be found somewhere in the line. */
  readonly text?: string;
  readonly cameraId?: string;
  readonly plateId?: string;
  /** By its name. */
  readonly film?: string;
  readonly stage?: ExposureStage;
  readonly verdict?: NonNullable<NonNullable<ExposureRecord['result']>['verdict']>;
  /** `2026-05-01`: from this day on, by the date written in the record. */
  readonly fromDay?: string;
  /** Up to and with this day. */
  readonly toDay?: string;
}

const plain = (text: string): string => text.normalize('NFKD').replace(/\p{Mn}/gu, '').toLowerCase();

export function stageOf(exposure: ExposureRecord): ExposureStage {
  if (exposure.result?.verdict !== undefined) return 'judged';
  return exposure.given === undefined ? 'planned' : 'given';
}

function lineOf(record: ExposureRecord, names: Pick<ExposureLine, 'camera' | 'plate' | 'film' | 'sheet'>): ExposureLine {
  const stage = stageOf(record);
  const words = [
    record.at.slice(0, 10),
    ...Object.values(names),
    lightWords(record.light),
    record.filterName,
    record.weather,
    record.place,
    record.result?.verdict,
    record.result?.notes,
    record.notes,
    stage,
  ];
  return { record, stage, ...names, words: plain(words.filter((word) => word !== null && word !== undefined).join(' ')) };
}

/**
 * All exposures, the newest first; of two at the same instant the later in the list.
 * @param before the lines of an earlier state: what has not changed is taken from them
 */
export function exposureLines(workshop: Workshop, before: readonly ExposureLine[] = []): ExposureLine[] {
  const known = new Map(before.map((line) => [line.record, line]));
  const nameOf = (list: readonly { readonly id: string; readonly name: string }[]) => new Map(list.map(({ id, name }) => [id, name]));
  const [cameras, plates] = [nameOf(workshop.cameras), nameOf(workshop.plates)];
  const sheets = new Map(workshop.filmSheets.map(({ id, number }) => [id, number]));
  const lines = workshop.exposures.map((record) => {
    const names = {
      camera: cameras.get(record.cameraId ?? '') ?? null,
      plate: plates.get(record.plateId ?? '') ?? null,
      film: filmName(record, workshop),
      sheet: sheets.get(record.sheetId ?? '') ?? record.sheet ?? null,
    };
    const line = known.get(record);
    const same =
      line !== undefined && line.camera === names.camera && line.plate === names.plate && line.film === names.film && line.sheet === names.sheet;
    return same ? line : lineOf(record, names);
  });
  const at = new Map(lines.map((line, index) => [line, { ms: Date.parse(line.record.at), index }]));
  const order = (line: ExposureLine) => at.get(line) ?? { ms: 0, index: 0 };
  return lines.sort((a, b) => order(b).ms - order(a).ms || order(b).index - order(a).index);
}

/** The lines that have everything the filter asks for, in their order. */
export function filterExposures(lines: readonly ExposureLine[], filter: ExposureFilter): ExposureLine[] {
  const wanted = plain(filter.text ?? '').split(/\s+/).filter((word) => word !== '');
  const film = filter.film?.toLowerCase();
  return lines.filter(({ record, stage, words, film: loaded }) => {
    const day = record.at.slice(0, 10);
    return (
      (filter.stage === undefined || filter.stage === stage) &&
      (filter.cameraId === undefined || filter.cameraId === record.cameraId) &&
      (filter.plateId === undefined || filter.plateId === record.plateId) &&
      (film === undefined || film === loaded?.toLowerCase()) &&
      (filter.verdict === undefined || filter.verdict === record.result?.verdict) &&
      (filter.fromDay === undefined || filter.fromDay <= day) &&
      (filter.toDay === undefined || filter.toDay >= day) &&
      wanted.every((word) => words.includes(word))
    );
  });
}
