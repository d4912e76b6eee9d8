/** A film or paper of the workshop's own: from the exposure room's words to a record that is kept. */
import type { Film } from '../exposure/film.ts';
import { filmFrom } from '../exposure/film-record.ts';
import type { FilmRecord } from './workshop.ts';

export interface OwnFilmHead {
  readonly id: string;
  readonly name: string;
  /** The film's name in the list when its figures follow it. */
  readonly listName?: string;
  /** Speed the maker sets, where it is not the film's. */
  readonly exposureIndex?: number;
  /** The speed was learnt in a pinhole camera, so the bare hole is in it. */
  readonly learntInPinhole?: boolean;
}

/** Fields that a record holds as they are; what is `null` is left out. */
const FACTS = [
  'maker', 'kind', 'iso', 'exposureIndexRange', 'noCorrectionUpToS', 'notRecommendedFromS', 'source', 'evidence',
  'status', 'development',
] as const;

/**
 * The record that keeps a film in the workshop; the film it gives back by `filmOf` is the one it was made from.
 * @param film checked anew, so that nothing impossible is kept
 * @throws InputError as `filmFrom`
 */
export function ownFilmRecord(film: Film, head: OwnFilmHead): FilmRecord {
  const checked = filmFrom({ ...film, id: head.id, name: head.name });
  const facts = Object.fromEntries(FACTS.flatMap((key) => (checked[key] === null ? [] : [[key, checked[key]]])));
  const record = {
    id: head.id,
    name: head.name,
    ...(head.listName === undefined ? {} : { listName: head.listName }),
    ...facts,
    ...(head.exposureIndex === undefined ? {} : { exposureIndex: head.exposureIndex }),
    ...(head.learntInPinhole === true ? { learntInPinhole: true } : {}),
    law: checked.law,
    ...(checked.alternates.length === 0 ? {} : { alternates: checked.alternates }),
    ...(checked.note === null ? {} : { notes: checked.note }),
  };
  // plain data, as a file would give it back
  return JSON.parse(JSON.stringify(record)) as FilmRecord;
}

/** What a record says by itself; everything else in it is somebody else's and survives a change. */
const OWN_KEYS = ['listName', ...FACTS, 'exposureIndex', 'learntInPinhole', 'law', 'alternates', 'notes'] as const;

/**
 * A film of the workshop's own after a change: what the record says of the film is said anew, what it holds beside that
 * stays, and so does its id. Its figures are its own from now on and follow no listed film any more.
 * @param film as changed; its name is the record's new name
 * @param exposureIndex the speed the maker sets, `null`: the film's own; one that was learnt stays learnt while unchanged
 * @throws InputError as `filmFrom`
 */
export function revisedFilmRecord(before: FilmRecord, film: Film, exposureIndex: number | null): FilmRecord {
  const kept: Record<string, unknown> = { ...before };
  for (const key of OWN_KEYS) delete kept[key];
  const record = ownFilmRecord(film, {
    id: before.id,
    name: film.name,
    ...(exposureIndex !== null && { exposureIndex }),
    ...(exposureIndex !== null && exposureIndex === before.exposureIndex && { learntInPinhole: before.learntInPinhole === true }),
  });
  return { ...kept, ...record } as FilmRecord;
}
