/** `camerawright log add`, `give`, `judge`, `put-away` and `bring-back`: writing into a workshop file. */
import {
  InputError,
  exposureWith,
  formatTime,
  giveAsPlanned,
  giveExposure,
  judgeExposure,
  moveToTrash,
  parseDensityReadings,
  parseLength,
  restoreFromTrash,
  roundedTimeS,
  thawed,
  trashedName,
} from '#core';
import type { Draft, ExposureRecord, Judgement, Workshop } from '#core';
import { newId, nodeClock } from '#io/node';
import type { Answer } from './answer.ts';
import { given, read, readSeconds } from './exposure-reading.ts';
import { inWorkshop, recordNamed, workshopFile } from './log-file.ts';
import { parseKind, parseVerdict } from './log.ts';

/** As the maker wrote them. */
export interface AddOptions {
  readonly workshop?: string;
  readonly name?: string;
  readonly camera?: string;
  readonly film?: string;
  readonly ev?: string;
  readonly plannedS?: string;
  readonly givenS?: string;
  readonly sheet?: string;
  readonly holder?: string;
  readonly side?: string;
  readonly weather?: string;
  readonly place?: string;
  readonly notes?: string;
  readonly depthMm?: string;
  readonly gaugeStepMm?: string;
  readonly drawnMm?: string;
  readonly printedXMm?: string;
  readonly printedYMm?: string;
  readonly dpi?: string;
}

const named = ({ name }: { readonly name: string }): string => name;

function required(text: string | undefined, option: string, what: string): string {
  if (text !== undefined && text.trim() !== '') return text.trim();
  throw new InputError('missing', `Say ${what}: ${option}.`, { path: option });
}

const lengthMm = (text: string, option: string): number => parseLength(text, { defaultUnit: 'mm', path: option }).mm;

/** Two of one name could not be told apart by it. @throws InputError conflict */
function requireNew(records: readonly { readonly name: string }[], name: string, what: string): void {
  if (!records.some((record) => record.name.trim().toLowerCase() === name.trim().toLowerCase())) return;
  throw new InputError('conflict', `There is a ${what} named “${name}” already. Give this one another name.`, { path: '--name', got: name });
}

function exposureOf(options: AddOptions, workshop: Workshop): Draft<ExposureRecord> {
  const head = { id: newId(), at: nodeClock.now(), timeZone: nodeClock.zone() };
  const camera = options.camera === undefined ? null : recordNamed(workshop.cameras, options.camera, 'camera', named);
  const record: Draft<ExposureRecord> = thawed(camera === null ? head : exposureWith(camera, workshop, head));
  const ev = read(options.ev, '--ev');
  const sheet = workshop.filmSheets.find(({ number }) => number === options.sheet);
  const film = workshop.films.find(({ name }) => name.toLowerCase() === options.film?.toLowerCase());
  if (options.film !== undefined) {
    delete record.filmId;
    delete record.filmName;
  }
  Object.assign(
    record,
    given({
      light: ev === undefined ? undefined : { kind: 'ev' as const, ev100Ev: ev },
      planned: options.plannedS === undefined ? undefined : { correctedS: readSeconds(options.plannedS, '--planned-s') },
      given: options.givenS === undefined ? undefined : { timeS: readSeconds(options.givenS, '--given-s'), endedAt: head.at },
      filmId: film?.id,
      filmName: film === undefined ? options.film : undefined,
      sheetId: sheet?.id,
      sheet: sheet === undefined ? options.sheet : undefined,
      weather: options.weather,
      place: options.place,
      notes: options.notes,
    }),
  );
  return record;
}

/** The factor of a check bar along one axis. */
function factorOf(drawnMm: number, printed: string, option: string): number {
  return lengthMm(printed, option) / drawnMm;
}

/** Adds one record. What is in the way is said before anything is written. */
export async function addCommand(kindText: string, options: AddOptions): Promise<Answer> {
  const kind = parseKind(kindText);
  const path = await workshopFile(options.workshop);
  const [id, at] = [newId(), nodeClock.now()];
  const notes = given({ notes: options.notes });
  const record = await inWorkshop(path, (store) => {
    const workshop = store.read();
    switch (kind) {
      case 'exposures': {
        const exposure = exposureOf(options, workshop);
        store.change('exposure', (draft) => void draft.exposures.push(exposure));
        break;
      }
      case 'cameras': {
        const name = required(options.name, '--name', 'the name of the camera');
        requireNew(workshop.cameras, name, 'camera');
        store.change('new camera', (draft) => void draft.cameras.push({ id, name, createdAt: at, mountings: [], ...notes }));
        break;
      }
      case 'plates': {
        const name = required(options.name, '--name', 'the name of the plate');
        requireNew(workshop.plates, name, 'plate');
        store.change('new plate', (draft) => void draft.plates.push({ id, name, createdAt: at, passes: [], ...notes }));
        break;
      }
      case 'holders':
        addHolder(store.read(), options, (label, change) => store.change(label, (draft) => change(draft.filmHolders)), { id, at });
        break;
      case 'sheets': {
        const number = required(options.name, '--name', 'the number of the sheet');
        const holder = options.holder === undefined ? undefined : recordNamed(workshop.filmHolders, options.holder, 'holder', named);
        const loaded = holder === undefined ? undefined : { at, holderId: holder.id, ...given({ side: options.side }) };
        store.change('sheet', (draft) => void draft.filmSheets.push({ id, number, createdAt: at, ...given({ filmName: options.film, loaded }), ...notes }));
        break;
      }
      case 'printers': {
        const name = required(options.name, '--name', 'the name of the printer');
        const drawnMm = lengthMm(options.drawnMm ?? '100', '--drawn-mm');
        const xFactor = factorOf(drawnMm, required(options.printedXMm, '--printed-x-mm', 'how long the bar across the paper came out'), '--printed-x-mm');
        const yFactor = factorOf(drawnMm, required(options.printedYMm, '--printed-y-mm', 'how long the bar along the paper came out'), '--printed-y-mm');
        store.change('printer', (draft) => {
          const known = draft.printers.find((printer) => printer.name.toLowerCase() === name.toLowerCase());
          const calibration = { id: newId(), at, xFactor, yFactor, ...notes };
          if (known === undefined) draft.printers.push({ id, name, createdAt: at, calibrations: [calibration] });
          else known.calibrations.push(calibration);
        });
        break;
      }
      case 'scanners': {
        const name = required(options.name, '--name', 'the name of the scanner');
        const parts = required(options.dpi, '--dpi', 'its true resolution, pixels per inch, N or X,Y').split(',');
        const [x, y] = [read(parts[0], '--dpi'), read(parts[1] ?? parts[0], '--dpi')];
        if (x === undefined || y === undefined || x <= 0 || y <= 0) {
          throw new InputError('not-positive', `--dpi “${options.dpi ?? ''}” must be greater than 0.`, { path: '--dpi', got: options.dpi });
        }
        store.change('scanner', (draft) => {
          const known = draft.scanners.find((scanner) => scanner.name.toLowerCase() === name.toLowerCase());
          const calibration = { id: newId(), at, xMmPerPx: 25.4 / x, yMmPerPx: 25.4 / y, ...notes };
          if (known === undefined) draft.scanners.push({ id, name, createdAt: at, calibrations: [calibration] });
          else known.calibrations.push(calibration);
        });
        break;
      }
      case 'films':
      case 'trash':
        throw new InputError('not-understood', kind === 'films' ? 'Films are kept by camerawright exposure film --add FILE.' : 'What is put away comes from camerawright log put-away.', {
          path: 'list',
          got: kindText,
        });
    }
    const list = kind === 'sheets' ? store.read().filmSheets : kind === 'holders' ? store.read().filmHolders : store.read()[kind];
    return list.at(-1);
  });
  return { json: record, text: `Written into ${path}: ${kind.slice(0, -1)} ${record?.id.slice(-8) ?? ''}.`, notes: [] };
}

function addHolder(
  workshop: Workshop,
  options: AddOptions,
  change: (label: string, recipe: (holders: Draft<Workshop['filmHolders']>) => void) => void,
  head: { readonly id: string; readonly at: string },
): void {
  const name = required(options.name, '--name', 'the name or number of the holder');
  const depths = options.depthMm?.split(/[,;]\s*/).filter((text) => text !== '').map((text) => ({ depthMm: lengthMm(text, '--depth-mm') })) ?? [];
  const gaugeStepMm = options.gaugeStepMm === undefined ? undefined : lengthMm(options.gaugeStepMm, '--gauge-step-mm');
  const depth = { id: newId(), at: head.at, readings: depths, ...given({ gaugeStepMm, side: options.side }) };
  const known = workshop.filmHolders.find((holder) => holder.name.toLowerCase() === name.toLowerCase());
  change('holder', (holders) => {
    const holder = holders.find((record) => record.id === known?.id);
    if (holder === undefined) holders.push({ id: head.id, name, createdAt: head.at, depths: depths.length === 0 ? [] : [depth], ...given({ notes: options.notes }) });
    else if (depths.length > 0) holder.depths.push(depth);
  });
}

const exposureNamed = (workshop: Workshop, text: string): ExposureRecord => recordNamed(workshop.exposures, text, 'exposure', ({ id }) => id.slice(-8));

/** Given as planned, or as long as said. */
export async function giveCommand(exposure: string, options: { readonly workshop?: string; readonly timeS?: string }): Promise<Answer> {
  const path = await workshopFile(options.workshop);
  const record = await inWorkshop(path, (store) => {
    const { id } = exposureNamed(store.read(), exposure);
    const at = nodeClock.now();
    store.change('given', (draft) => {
      if (options.timeS === undefined) giveAsPlanned(draft, id, at);
      else giveExposure(draft, id, { timeS: readSeconds(options.timeS, '--time-s'), at });
    });
    return exposureNamed(store.read(), id);
  });
  const timeS = record.given?.timeS;
  return { json: record, text: timeS === undefined ? 'Written down.' : `Written down: ${formatTime(roundedTimeS(timeS))} given.`, notes: [] };
}

export interface JudgeOptions {
  readonly workshop?: string;
  readonly verdict?: string;
  readonly offStops?: string;
  readonly density?: string;
  readonly notes?: string;
}

/** What came of an exposure. */
export async function judgeCommand(exposure: string, options: JudgeOptions): Promise<Answer> {
  const path = await workshopFile(options.workshop);
  const densityReadings = options.density === undefined ? undefined : parseDensityReadings(options.density);
  const judgement = given({
    verdict: parseVerdict(options.verdict),
    offStops: read(options.offStops, '--off-stops'),
    densityReadings,
    notes: options.notes,
  }) as Judgement;
  if (Object.keys(judgement).length === 0) {
    throw new InputError('missing', 'Say what came of it: --verdict, --off-stops, --density or --notes.', { path: '--verdict' });
  }
  const record = await inWorkshop(path, (store) => {
    const { id } = exposureNamed(store.read(), exposure);
    store.change('result', (draft) => judgeExposure(draft, id, { at: nodeClock.now(), ...judgement }));
    return exposureNamed(store.read(), id);
  });
  return { json: record, text: `Written down: ${record.result?.verdict ?? 'the result'}.`, notes: [] };
}

/** Puts a record into the trash, from which it comes back as it was. */
export async function putAwayCommand(kindText: string, name: string, file: string | undefined): Promise<Answer> {
  const kind = parseKind(kindText);
  if (kind === 'trash') throw new InputError('not-understood', 'What is in the trash is put away already.', { path: 'list', got: kindText });
  const list = kind === 'sheets' ? 'filmSheets' : kind === 'holders' ? 'filmHolders' : kind;
  const path = await workshopFile(file);
  const entry = { id: newId(), trashedAt: nodeClock.now() };
  await inWorkshop(path, (store) => {
    const records: readonly { readonly id: string; readonly name?: string; readonly number?: string }[] = store.read()[list];
    const record = recordNamed(records, name, kind.slice(0, -1), ({ id, name: own, number }) => own ?? number ?? id.slice(-8));
    store.change('put away', (draft) => moveToTrash(draft, list, record.id, entry));
  });
  return { json: entry, text: `Put away. It comes back with: camerawright log bring-back ${entry.id.slice(-8)}`, notes: [] };
}

export async function bringBackCommand(name: string, file: string | undefined): Promise<Answer> {
  const path = await workshopFile(file);
  const record = await inWorkshop(path, (store) => {
    const entry = recordNamed(store.read().trash, name, 'thing put away', trashedName);
    store.change('bring back', (draft) => restoreFromTrash(draft, entry.id));
    return entry.record;
  });
  return { json: record, text: 'Back in its list.', notes: [] };
}
