/** `camerawright log`: what was built, measured and exposed, looked at from the command line. */
import { readFile } from 'node:fs/promises';
import {
  compareCameras,
  compareExposures,
  comparePlates,
  exposureLines,
  exposuresCsv,
  filterExposures,
  filmName,
  formatNumber,
  formatTime,
  holderDepth,
  isCamerawrightError,
  mountedPlate,
  latestMeasuredPass,
  InputError,
  plateGrowth,
  sheetFacts,
  trashedName,
  workshopFindings,
} from '#core';
import type { Comparison, ExposureFilter, ExposureLine, Workshop } from '#core';
import { serialiseWorkshop } from '#core/schema';
import { nodeClock, openWorkshopFile, readWorkshopFile } from '#io/node';
import type { Answer } from './answer.ts';
import { recordNamed, workshopFile } from './log-file.ts';
import { table } from './printing.ts';

const KINDS = ['exposures', 'cameras', 'plates', 'films', 'scanners', 'printers', 'holders', 'sheets', 'trash'] as const;
export type ListKind = (typeof KINDS)[number];

export function parseKind(text: string): ListKind {
  const word = text.trim().toLowerCase();
  const kind = KINDS.find((name) => name === word || name === `${word}s`);
  if (kind !== undefined) return kind;
  throw new InputError('not-understood', `“${text}” is no list of a workshop. Lists are ${KINDS.join(', ')}.`, {
    path: 'list',
    got: text,
    expected: KINDS.join(', '),
  });
}

export interface ListOptions {
  readonly workshop?: string;
  readonly text?: string;
  readonly camera?: string;
  readonly film?: string;
  readonly stage?: string;
  readonly verdict?: string;
  readonly from?: string;
  readonly to?: string;
}

function oneOf<T extends string>(text: string | undefined, allowed: readonly T[], option: string): T | undefined {
  if (text === undefined) return undefined;
  const found = allowed.find((word) => word === text.trim().toLowerCase());
  if (found !== undefined) return found;
  throw new InputError('not-understood', `${option} “${text}” is none of ${allowed.join(', ')}.`, { path: option, got: text, expected: allowed.join(', ') });
}

const VERDICTS = ['too light', 'right', 'too dark', 'lost'] as const;
export const parseVerdict = (text: string | undefined) => oneOf(text, VERDICTS, '--verdict');

function dayOf(text: string | undefined, option: string): string | undefined {
  if (text === undefined || /^\d{4}-\d{2}-\d{2}$/.test(text)) return text;
  throw new InputError('not-understood', `${option} “${text}” is no day. Write it like 2026-05-01.`, { path: option, got: text, expected: 'YYYY-MM-DD' });
}

function filterOf(options: ListOptions, workshop: Workshop): ExposureFilter {
  const stage = oneOf(options.stage, ['planned', 'given', 'judged'] as const, '--stage');
  const verdict = parseVerdict(options.verdict);
  const [fromDay, toDay] = [dayOf(options.from, '--from'), dayOf(options.to, '--to')];
  return {
    ...(options.text !== undefined && { text: options.text }),
    ...(options.camera !== undefined && { cameraId: recordNamed(workshop.cameras, options.camera, 'camera', ({ name }) => name).id }),
    ...(options.film !== undefined && { film: options.film }),
    ...(stage !== undefined && { stage }),
    ...(verdict !== undefined && { verdict }),
    ...(fromDay !== undefined && { fromDay }),
    ...(toDay !== undefined && { toDay }),
  };
}

const time = (timeS: number | undefined): string => (timeS === undefined ? '' : formatTime(timeS));

function exposureRow({ record, camera, film, sheet }: ExposureLine): string[] {
  const { planned, given, result } = record;
  return [record.at.slice(0, 16).replace('T', ' '), camera ?? '', film ?? '', sheet ?? '', time(planned?.correctedS), time(given?.timeS), result?.verdict ?? '', record.id.slice(-8)];
}

/** The end of an id is enough to name a record: its beginning is only the time it was made. */
const shortId = (id: string): string => id.slice(-8);

function rowsOf(kind: Exclude<ListKind, 'exposures'>, workshop: Workshop): { readonly header: string[]; readonly rows: string[][]; readonly records: readonly unknown[] } {
  switch (kind) {
    case 'cameras':
      return {
        header: ['camera', 'focal length, mm', 'plate', 'film', 'id'],
        rows: workshop.cameras.map((camera) => [
          camera.name,
          camera.focalLengthMm === undefined ? '' : formatNumber(camera.focalLengthMm, { significant: 5 }),
          mountedPlate(camera, workshop)?.name ?? '',
          filmName(camera, workshop) ?? '',
          shortId(camera.id),
        ]),
        records: workshop.cameras,
      };
    case 'plates':
      return {
        header: ['plate', 'passes', 'hole, µm', 'verdict', 'id'],
        rows: workshop.plates.map((plate) => {
          const pass = latestMeasuredPass(plate);
          const um = pass?.figures === undefined ? '' : String(Math.round(pass.figures.outlineDiameterMm * 1000));
          return [plate.name, String(plate.passes.length), um, pass?.verdict?.word ?? '', shortId(plate.id)];
        }),
        records: workshop.plates,
      };
    case 'holders':
      return {
        header: ['holder', 'depth, mm', '± (k = 2)', 'id'],
        rows: workshop.filmHolders.map((holder) => {
          const depth = holderDepth(holder);
          return [holder.name, depth === null ? '' : depth.depthMm.toFixed(2), depth === null ? '' : (2 * depth.standardUncertaintyMm).toFixed(2), shortId(holder.id)];
        }),
        records: workshop.filmHolders.map((holder) => ({ ...holder, depth: holderDepth(holder) })),
      };
    case 'sheets':
      return {
        header: ['sheet', 'state', 'film', 'id'],
        rows: workshop.filmSheets.map((sheet) => [sheet.number, sheetFacts(sheet, workshop).sentence, filmName(sheet, workshop) ?? '', shortId(sheet.id)]),
        records: workshop.filmSheets.map((sheet) => ({ ...sheet, state: sheetFacts(sheet, workshop).state })),
      };
    case 'trash':
      return {
        header: ['put away', 'what', 'from', 'id'],
        rows: workshop.trash.map((entry) => [
          entry.trashedAt.slice(0, 10),
          trashedName(entry),
          entry.list,
          shortId(entry.id),
        ]),
        records: workshop.trash,
      };
    case 'films':
    case 'scanners':
    case 'printers':
      return { header: [kind.slice(0, -1), 'id'], rows: workshop[kind].map(({ name, id }) => [name, shortId(id)]), records: workshop[kind] };
  }
}

export async function listCommand(kind: ListKind, options: ListOptions): Promise<Answer> {
  const workshop = await readWorkshopFile(await workshopFile(options.workshop));
  if (kind !== 'exposures') {
    const { header, rows, records } = rowsOf(kind, workshop);
    return { json: records, text: rows.length === 0 ? `No ${kind} in ${workshop.name}.` : table(header, rows), notes: [] };
  }
  const all = exposureLines(workshop);
  const lines = filterExposures(all, filterOf(options, workshop));
  const header = ['date', 'camera', 'film', 'sheet', 'planned', 'given', 'verdict', 'id'];
  const exposures = lines.map(({ record }) => record);
  const count = lines.length === all.length ? `${all.length} exposure${all.length === 1 ? '' : 's'}` : `${lines.length} of ${all.length} exposures`;
  return {
    json: exposures,
    text: lines.length === 0 ? `No such exposures among ${all.length}.` : `${count}, the newest first.\n\n${table(header, lines.map(exposureRow))}`,
    csv: exposuresCsv({ ...workshop, exposures }),
    notes: [],
  };
}

/** Reads a file as strictly as the app does, then looks whether what is in it hangs together. */
export async function checkCommand(file: string | undefined): Promise<Answer> {
  const path = await workshopFile(file);
  try {
    const workshop = await readWorkshopFile(path);
    const findings = workshopFindings(workshop, nodeClock.now());
    const broken = findings.filter(({ kind }) => kind === 'broken');
    const doubtful = findings.filter(({ kind }) => kind === 'doubtful');
    const counts = `${workshop.cameras.length} cameras, ${workshop.plates.length} plates, ${workshop.exposures.length} exposures`;
    const head =
      broken.length > 0
        ? `${path} can be read, but ${broken.length === 1 ? 'one thing does' : `${broken.length} things do`} not hang together.`
        : `${path} is sound: ${counts}.`;
    return {
      json: {
        ok: broken.length === 0,
        problems: broken.map(({ sentence }) => sentence),
        remarks: doubtful.map(({ sentence }) => sentence),
        findings,
        version: workshop.version,
      },
      text: [head, ...broken.map(({ at, sentence }) => `${sentence} (${at})`), ...doubtful.map(({ at, sentence }) => `To look at: ${sentence} (${at})`)].join('\n'),
      notes: [],
      someFailed: broken.length > 0,
    };
  } catch (error) {
    if (!isCamerawrightError(error)) throw error;
    return { json: { ok: false, problems: [error.message], remarks: [], findings: [], version: null }, text: error.message, notes: [], someFailed: true };
  }
}

/** Brings a file to today's version and order; the one before stays beside it, ending in `.bak`. */
export async function migrateCommand(file: string | undefined): Promise<Answer> {
  const path = await workshopFile(file);
  const workshop = await readWorkshopFile(path);
  const before = await readFile(path, 'utf8');
  const isCurrent = before === serialiseWorkshop(workshop);
  const from = isZip(path) ? null : ((JSON.parse(before.replace(/^\uFEFF/, '')) as { readonly version?: number }).version ?? null);
  if (!isCurrent) await (await openWorkshopFile(path, { anew: true })).close();
  const text = isCurrent
    ? `${path} is of version ${workshop.version} and as this program writes it: nothing to do.`
    : `${path} is now of version ${workshop.version}${from === workshop.version ? ', written anew in today’s order' : `, it was of version ${from}`}. As it was it stands in ${path}.bak.`;
  return { json: { file: path, changed: !isCurrent, fromVersion: from, version: workshop.version }, text, notes: [] };
}

const isZip = (path: string): boolean => path.toLowerCase().endsWith('.zip');

function comparisonText(names: readonly [string, string], comparison: Comparison): string {
  const short = (text: string | null): string => (text !== null && text.length > 48 ? `${text.slice(0, 47)}…` : (text ?? ''));
  const rows = comparison.rows.map((row) => [row.differs ? '≠' : '', row.name, short(row.first), short(row.second), row.amount ?? '']);
  return `${comparison.sentence}\n\n${table(['', '', ...names, 'difference'], rows)}`;
}

/** Two cameras, two plates or two exposures side by side. */
export async function compareCommand(kindText: string, first: string, second: string, file: string | undefined): Promise<Answer> {
  const workshop = await readWorkshopFile(await workshopFile(file));
  const kind = parseKind(kindText);
  const named = ({ name }: { readonly name: string }): string => name;
  if (kind === 'cameras') {
    const [a, b] = [recordNamed(workshop.cameras, first, 'camera', named), recordNamed(workshop.cameras, second, 'camera', named)];
    const comparison = compareCameras(a, b, workshop);
    return { json: comparison, text: comparisonText([a.name, b.name], comparison), notes: [] };
  }
  if (kind === 'plates') {
    const [a, b] = [recordNamed(workshop.plates, first, 'plate', named), recordNamed(workshop.plates, second, 'plate', named)];
    const comparison = comparePlates(a, b);
    return { json: comparison, text: comparisonText([a.name, b.name], comparison), notes: [] };
  }
  if (kind === 'exposures') {
    const find = (text: string) => recordNamed(workshop.exposures, text, 'exposure', ({ id }) => shortId(id));
    const [a, b] = [find(first), find(second)];
    const comparison = compareExposures(a, b, workshop);
    return { json: comparison, text: comparisonText([shortId(a.id), shortId(b.id)], comparison), notes: [] };
  }
  throw new InputError('not-understood', `${kind} cannot be compared. Compare cameras, plates or exposures.`, { path: 'list', got: kindText });
}

/** How a plate's hole grew from pass to pass. */
export async function growthCommand(plateName: string, file: string | undefined): Promise<Answer> {
  const workshop = await readWorkshopFile(await workshopFile(file));
  const plate = recordNamed(workshop.plates, plateName, 'plate', ({ name }) => name);
  const growth = plateGrowth(plate);
  const um = (mm: number | null, digits = 0): string => (mm === null ? '' : (mm * 1000).toFixed(digits));
  const rows = growth.steps.map((step) => [
    String(step.index),
    step.at.slice(0, 10),
    step.work ?? '',
    um(step.diameterMm),
    step.grownMm === null ? '' : `${step.grownMm > 0 ? '+' : ''}${um(step.grownMm, 1)}`,
    step.grownStandardUncertaintyMm === null ? '' : `± ${um(2 * step.grownStandardUncertaintyMm, 1)}`,
    um(step.roundnessMm, 1),
    um(step.burrMm, 1),
    step.verdict ?? '',
  ]);
  const header = ['pass', 'date', 'work', 'hole, µm', 'grown', 'k = 2', 'out of round', 'burr', 'verdict'];
  return { json: { plate: plate.name, ...growth }, text: rows.length === 0 ? growth.sentence : `${growth.sentence}\n\n${table(header, rows)}`, notes: [] };
}
