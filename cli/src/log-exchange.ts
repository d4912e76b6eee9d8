/** `camerawright log export` and `import`: the document, a table, a zip with the scans, and back. */
import { readFile, readdir, stat } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import { InputError, emptyWorkshop, exposuresCsv, exposuresFromCsv, mergeWorkshop, thawed } from '#core';
import type { MergeOutcome } from '#core';
import { serialiseWorkshop } from '#core/schema';
import { endingOf, newId, nodeClock, nodeSaver, openWorkshopFile, packWorkshop, readWorkshopFile, scansOf, sha256Hex, unpackWorkshop } from '#io/node';
import type { KeptScan } from '#io/node';
import type { Answer } from './answer.ts';
import { inWorkshop, workshopFile } from './log-file.ts';

export interface ExportOptions {
  readonly workshop?: string;
  /** Write here instead of standard output. */
  readonly out?: string;
  /** With the scans found in this folder, as a zip. */
  readonly scans?: string;
}

const SCAN_NAME = /\.(tiff?|png|jpe?g)$/i;
const LARGEST_SCAN_BYTES = 1024 * 1024 * 1024;

/** The scans of a folder that the workshop names, known by their bytes and not by their names. */
async function scansIn(folder: string, wanted: ReadonlyMap<string, string>): Promise<KeptScan[]> {
  const names = await readdir(folder).catch(() => {
    throw new InputError('missing', `There is no folder ${folder}.`, { path: '--scans', got: folder });
  });
  const found: KeptScan[] = [];
  for (const name of names.filter((each) => SCAN_NAME.test(each))) {
    const path = join(folder, name);
    const facts = await stat(path);
    if (!facts.isFile() || facts.size > LARGEST_SCAN_BYTES) continue;
    const bytes = new Uint8Array(await readFile(path));
    const sha256 = sha256Hex(bytes);
    if (wanted.has(sha256) && !found.some((scan) => scan.sha256 === sha256)) found.push({ sha256, ending: endingOf(name), bytes });
  }
  return found;
}

async function save(path: string, mediaType: string, bytes: Uint8Array): Promise<void> {
  await nodeSaver(dirname(path)).save(basename(path), mediaType, bytes);
}

export async function exportCommand(file: string | undefined, options: ExportOptions): Promise<Answer> {
  const path = await workshopFile(file ?? options.workshop);
  const workshop = await readWorkshopFile(path);
  const { out } = options;
  if (options.scans !== undefined) {
    if (out === undefined) throw new InputError('missing', 'Say where the zip is to go: --out NAME.workshop.zip.', { path: '--out' });
    const wanted = new Map(scansOf(workshop).map(({ sha256, fileName }) => [sha256, fileName]));
    const scans = await scansIn(options.scans, wanted);
    await save(out, 'application/zip', packWorkshop(workshop, scans));
    const missing = [...wanted].filter(([sha256]) => !scans.some((scan) => scan.sha256 === sha256)).map(([, fileName]) => fileName);
    return {
      json: { file: out, scans: scans.map(({ sha256, ending }) => ({ sha256, fileName: wanted.get(sha256) ?? `${sha256}.${ending}` })), missing },
      text: `${out} holds the workshop and ${scans.length} of its ${wanted.size} scans.`,
      notes: missing.length === 0 ? [] : [`Not found in ${options.scans}: ${missing.join(', ')}.`],
    };
  }
  const text = serialiseWorkshop(workshop);
  if (out === undefined) return { json: workshop, text: text.trimEnd(), csv: exposuresCsv(workshop), notes: [] };
  const isTable = out.toLowerCase().endsWith('.csv');
  await save(out, isTable ? 'text/csv' : 'application/json', new TextEncoder().encode(isTable ? exposuresCsv(workshop) : text));
  return { json: { file: out }, text: `Written: ${out}.`, notes: [] };
}

const merged = ({ added, kept }: MergeOutcome): string =>
  `${added.length === 0 ? 'Nothing new was in it.' : `Taken in: ${added.length} record${added.length === 1 ? '' : 's'}.`}` +
  (kept.length === 0 ? '' : ` Left as they are here: ${kept.slice(0, 8).join(', ')}${kept.length > 8 ? ' …' : ''}.`);

export interface ImportOptions {
  readonly workshop?: string;
  /** Where the scans of a zip go: beside the workshop unless said. */
  readonly scans?: string;
}

/** Takes a table, a workshop file or a zip into a workshop, which is made when it is not there yet. */
export async function importCommand(source: string, options: ImportOptions): Promise<Answer> {
  const bytes = await readFile(source).catch(() => {
    throw new InputError('missing', `There is no file ${source}.`, { path: 'file', got: source });
  });
  if (/\.(csv|tsv|txt)$/i.test(source)) return importTable(source, new TextDecoder().decode(bytes), options);
  const zip = /\.zip$/i.test(source) ? await unpackWorkshop(bytes, sha256Hex) : null;
  const other = zip?.workshop ?? (await readWorkshopFile(source));
  const path = options.workshop ?? (zip === null ? await workshopFile(undefined) : source.replace(/(\.workshop)?\.zip$/i, '.workshop.json'));
  const store = await openWorkshopFile(path, { create: emptyWorkshop({ id: other.id, name: other.name, createdAt: other.createdAt }) });
  let outcome: MergeOutcome = { added: [], kept: [] };
  try {
    if (store.read().id === other.id && store.read().cameras.length + store.read().plates.length + store.read().exposures.length === 0) {
      // An empty one of the same name: the whole document, with what lies outside the lists too.
      store.replace('import', other);
      outcome = { added: [other.name], kept: [] };
    } else {
      store.change('import', (draft) => void (outcome = mergeWorkshop(draft, other)));
    }
    await store.flush();
  } finally {
    await store.close();
  }
  const folder = options.scans ?? dirname(path);
  for (const scan of zip?.scans ?? []) await nodeSaver(folder).save(`${scan.sha256}.${scan.ending}`, 'application/octet-stream', scan.bytes);
  const scans = zip === null || zip.scans.length === 0 ? '' : ` ${zip.scans.length} scans are in ${folder}, each under the SHA-256 of its bytes.`;
  return { json: { file: path, ...outcome, scans: zip?.scans.map(({ sha256, ending }) => `${sha256}.${ending}`) ?? [] }, text: `${path}: ${merged(outcome)}${scans}`, notes: zip?.notes ?? [] };
}

async function importTable(source: string, text: string, options: ImportOptions): Promise<Answer> {
  const path = await workshopFile(options.workshop);
  const offset = /(Z|[+-]\d\d:\d\d)$/.exec(nodeClock.now())?.[1] ?? 'Z';
  const read = await inWorkshop(path, (store) => {
    const table = exposuresFromCsv(text, store.read(), { newId, offset });
    if (table.exposures.length > 0) store.change('import', (draft) => void draft.exposures.push(...table.exposures.map((exposure) => thawed(exposure))));
    return table;
  });
  const known = read.known.length === 0 ? '' : ` ${read.known.length} were in the log already.`;
  return {
    json: { file: path, added: read.exposures.map(({ id }) => id), known: read.known, problems: read.problems },
    text: `${source}: ${read.exposures.length} exposures taken into ${path}.${known}`,
    notes: read.problems,
    someFailed: read.problems.length > 0,
  };
}
