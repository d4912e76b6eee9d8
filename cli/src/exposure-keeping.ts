/** `camerawright exposure film` and `given`: what a workshop keeps of films, papers and exposures. */
import {
  FormatError,
  InputError,
  answeredExposure,
  exposureTime,
  exposuresCsv,
  filmFrom,
  formatTime,
  moveToTrash,
  ownFilmRecord,
  ownFilms,
  revisedFilmRecord,
  roundedTimeS,
  thawed,
} from '#core';
import type { CameraRecord, ExposureRecord, Film, FilmRecord, Workshop } from '#core';
import { newId, nodeClock, openWorkshopFile } from '#io/node';
import type { Store } from '#io/ports';
import type { Answer } from './answer.ts';
import { given, holeOf, readSeconds } from './exposure-reading.ts';
import type { ExposureOptions } from './exposure-reading.ts';
import { questionOf } from './exposure.ts';
import { inWorkshop } from './log-file.ts';
import { csv } from './printing.ts';
import { readText } from './tables.ts';

/** What a workshop says beside the options. */
export interface Loaded {
  readonly film: Film | null;
  /** The workshop's own, found before the list. */
  readonly own: readonly Film[];
  readonly workshop: Workshop | null;
  readonly camera: CameraRecord | null;
}

export interface FilmOptions {
  readonly workshop?: string;
  readonly add?: string;
  readonly remove?: string;
  /** Name of a film to be changed, by the fields in `set`. */
  readonly change?: string;
  readonly set?: string;
}

export interface GivenOptions extends ExposureOptions {
  readonly workshop?: string;
  readonly givenS?: string;
  readonly started?: string;
  readonly sheet?: string;
  readonly notes?: string;
}

function workshopPath(path: string | undefined): string {
  if (path !== undefined) return path;
  throw new InputError('missing', 'Say in which workshop: --workshop FILE.', { path: '--workshop' });
}

function sameName(a: string, b: string): boolean {
  return a.trim().toLowerCase() === b.trim().toLowerCase();
}

/**
 * Keeps a film in a workshop file; one of the same name is replaced.
 * @returns a sentence that says so
 */
export async function keepFilm(path: string | undefined, name: string, film: Film): Promise<string> {
  const file = workshopPath(path);
  const store = await openWorkshopFile(file);
  try {
    store.change('film', (draft) => {
      const at = draft.films.findIndex((known) => sameName(known.name, name));
      const record = thawed(
        ownFilmRecord(film, {
          id: draft.films[at]?.id ?? newId(),
          name,
          ...(film.evidence === 'tested' ? { learntInPinhole: true } : {}),
          ...given({ exposureIndex: film.evidence === 'tested' ? (film.iso ?? undefined) : undefined }),
        }),
      );
      if (at < 0) draft.films.push(record);
      else draft.films[at] = record;
    });
    await store.flush();
  } finally {
    await store.close();
  }
  return `Kept “${name}” in ${file}.`;
}

/** Films of a JSON file, each checked. */
async function filmsFrom(path: string): Promise<Film[]> {
  const text = await readText(path, '--add');
  let parsed: unknown;
  try {
    parsed = JSON.parse(text);
  } catch {
    throw new FormatError('not-understood', `${path} is not JSON: it should hold one film with its name, or a list of films.`);
  }
  return (Array.isArray(parsed) ? parsed : [parsed]).map((record: unknown, i) => filmFrom(record, `film ${i + 1}`));
}

/** Fields to be changed: JSON, in the call or in a file. */
async function fieldsFrom(text: string | undefined): Promise<Record<string, unknown>> {
  if (text === undefined) {
    throw new InputError('missing', 'Say what to change: --set \'{"iso": 80}\', or --set FILE with such a record.', { path: '--set' });
  }
  const written = text.trimStart().startsWith('{') ? text : await readText(text, '--set');
  try {
    const fields: unknown = JSON.parse(written);
    if (typeof fields === 'object' && fields !== null && !Array.isArray(fields)) return fields as Record<string, unknown>;
  } catch {
    // said below
  }
  throw new InputError('not-understood', '--set is not a JSON record of fields and their values, like {"iso": 80}. null takes a figure away.', { path: '--set', got: text });
}

/** Where a film of this name is among a workshop's own. */
function ownNamed(store: Store, name: string, option: string): FilmRecord {
  const { films } = store.read();
  const record = films.find((known) => sameName(known.name, name));
  if (record !== undefined) return record;
  throw new InputError('unknown-name', `There is no film “${name}” of the workshop’s own. It holds: ${films.map((film) => film.name).join(', ') || 'none'}.`, {
    path: option,
    got: name,
  });
}

function setSpeed(value: unknown, before: number | undefined): number | null {
  if (value === undefined) return before ?? null;
  if (value === null || (typeof value === 'number' && value > 0 && Number.isFinite(value))) return value;
  throw new InputError('out-of-range', `exposureIndex must be a number greater than 0, or null for none, but is ${JSON.stringify(value)}.`, {
    path: '--set',
    got: value,
  });
}

/** Keeps, changes, puts aside or lists the films of a workshop. */
export async function filmCommand(options: FilmOptions): Promise<Answer> {
  const path = workshopPath(options.workshop);
  const notes: string[] = [];
  // read before anything is changed, so that a slip in the file changes nothing
  const added = options.add === undefined ? [] : await filmsFrom(options.add);
  for (const film of added) notes.push(await keepFilm(path, film.name, film));
  const store = await openWorkshopFile(path);
  try {
    const { remove, change } = options;
    if (change === undefined && options.set !== undefined) {
      throw new InputError('missing', 'Say which film: --change NAME beside --set.', { path: '--change' });
    }
    if (change !== undefined) {
      const record = ownNamed(store, change, '--change');
      const { exposureIndex, ...fields } = await fieldsFrom(options.set);
      const film = ownFilms(store.read()).find(({ id }) => id === record.id)?.film;
      const taken = store.read().films.find(({ id, name }) => id !== record.id && typeof fields['name'] === 'string' && sameName(name, fields['name']));
      if (taken !== undefined) throw new InputError('conflict', `There is a film “${taken.name}” already.`, { path: '--set', got: taken.name });
      const revised = revisedFilmRecord(record, filmFrom({ ...film, ...fields }, '--set'), setSpeed(exposureIndex, record.exposureIndex));
      store.change('film', (draft) => {
        draft.films[draft.films.findIndex(({ id }) => id === record.id)] = thawed(revised);
      });
      await store.flush();
      notes.push(`Changed “${revised.name}” in ${path}.`);
    }
    if (remove !== undefined) {
      const record = ownNamed(store, remove, '--remove');
      store.change('film', (draft) => moveToTrash(draft, 'films', record.id, { id: newId(), trashedAt: nodeClock.now() }));
      await store.flush();
      notes.push(`Put “${record.name}” in the trash of ${path}.`);
    }
    const films = ownFilms(store.read());
    return {
      json: films.map(({ id, film, exposureIndex, learntInPinhole }) => ({ ...film, id, exposureIndex, learntInPinhole })),
      text: films.length === 0 ? 'No films or papers of its own.' : films.map(({ film }) => film.name).join('\n'),
      csv: csv(
        ['film', 'kind', 'iso', 'index from', 'index to', 'exposed at', 'learnt in a pinhole camera', 'long exposures', 'evidence', 'source'],
        films.map(({ film, exposureIndex, learntInPinhole }) => [
          film.name, film.kind, film.iso, ...(film.exposureIndexRange ?? [null, null]), exposureIndex, String(learntInPinhole), film.law.model,
          film.evidence, film.source,
        ]),
      ),
      notes,
    };
  } finally {
    await store.close();
  }
}

/**
 * Appends an exposure to the log of a workshop file.
 * @returns the workshop with this one line, as the whole log would show it
 */
function appended(path: string, record: ExposureRecord): Promise<Workshop> {
  return inWorkshop(path, (store) => {
    store.change('exposure', (draft) => {
      draft.exposures.push(thawed(record));
    });
    return { ...store.read(), exposures: [record] };
  });
}

/** Writes an exposure that was given into the log of a workshop. */
export async function givenCommand(options: GivenOptions, loaded: Loaded): Promise<Answer> {
  const path = workshopPath(options.workshop);
  if (options.givenS === undefined) {
    throw new InputError('missing', 'Say how long it was: --given-s T.', { path: '--given-s' });
  }
  const givenS = readSeconds(options.givenS, '--given-s');
  const { camera, workshop } = loaded;
  const question = questionOf(options, holeOf(options), { loaded: loaded.film, own: loaded.own });
  const answer = exposureTime(question);
  const started = startOf(options.started);
  const record = answeredExposure({
    id: newId(),
    at: started ?? nodeClock.now(),
    timeZone: nodeClock.zone(),
    camera,
    workshop,
    question,
    answer,
    givenS,
    ...given({ startedAt: started, sheet: options.sheet, notes: options.notes }),
  });
  const written = await appended(path, record);
  return {
    json: record,
    text: `Written down: ${formatTime(givenS)} given, ${formatTime(roundedTimeS(answer.correctedS))} planned.`,
    csv: exposuresCsv(written),
    notes: [],
  };
}

/** Writes what was asked into the log as an exposure still to be given. */
export async function planExposure(
  options: ExposureOptions & { readonly workshop?: string },
  { film, own, camera, workshop }: Loaded,
): Promise<{ readonly record: ExposureRecord; readonly sentence: string }> {
  const file = workshopPath(options.workshop);
  const question = questionOf(options, holeOf(options), { loaded: film, own });
  const answer = exposureTime(question);
  const record = answeredExposure({ id: newId(), at: nodeClock.now(), timeZone: nodeClock.zone(), camera, workshop, question, answer });
  await appended(file, record);
  const name = record.id.slice(-8);
  return { record, sentence: `Planned in the log of ${file} as ${name}. Once it is given: camerawright log give ${name} --workshop ${file}` };
}

function startOf(text: string | undefined): string | undefined {
  if (text === undefined) return undefined;
  if (/^\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d(\.\d+)?)?(Z|[+-]\d\d:\d\d)$/.test(text) && !Number.isNaN(Date.parse(text))) return text;
  throw new InputError('not-understood', `--started “${text}” is not a time with its offset. Write it as 2026-06-21T14:05:00+02:00.`, {
    path: '--started',
    got: text,
  });
}
