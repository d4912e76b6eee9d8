/** Putting records aside and taking them back. Both work on the draft of a workshop, inside a store's change. */
import { InputError } from '../errors.ts';
import type { Draft, TrashRecord, WorkshopDraft } from './workshop.ts';

export type ListName = TrashRecord['list'];

const KINDS: Readonly<Record<ListName, string>> = {
  cameras: 'Camera',
  plates: 'Plate',
  films: 'Film',
  exposures: 'Exposure',
  scanners: 'Scanner',
  printers: 'Printer',
  filmHolders: 'Holder',
  filmSheets: 'Sheet',
};

/** What was put away, as a maker calls it: `Holder A`, `Sheet 17`, `Exposure of 2026-05-01`. */
export function trashedName({ list, record }: TrashRecord): string {
  const facts = record as { readonly name?: unknown; readonly number?: unknown; readonly at?: unknown };
  const own = [facts.name, facts.number].find((word): word is string => typeof word === 'string');
  if (own !== undefined) return list === 'filmHolders' || list === 'filmSheets' ? `${KINDS[list]} ${own}` : own;
  return typeof facts.at === 'string' ? `${KINDS[list]} of ${facts.at.slice(0, 10)}` : KINDS[list];
}

/**
 * Moves a record to the trash, as it is.
 * @param entry id of the trash entry and the time, made outside the core
 * @throws InputError `missing` when there is no such record
 */
export function moveToTrash(
  draft: WorkshopDraft,
  list: ListName,
  recordId: string,
  entry: { readonly id: string; readonly trashedAt: string },
): void {
  const records: { id: string }[] = draft[list];
  const index = records.findIndex((record) => record.id === recordId);
  const [record] = index < 0 ? [] : records.splice(index, 1);
  if (record === undefined) {
    throw new InputError('missing', 'This is not in the workshop any more: it may have been put in the trash elsewhere.', {
      path: list,
      got: recordId,
    });
  }
  draft.trash.push({ id: entry.id, list, trashedAt: entry.trashedAt, record });
}

/**
 * Puts a record back at the end of its list.
 * @throws InputError `missing` when there is no such entry, `conflict` when the list has the record already
 */
export function restoreFromTrash(draft: WorkshopDraft, entryId: string): void {
  const index = draft.trash.findIndex((entry) => entry.id === entryId);
  const [entry] = index < 0 ? [] : draft.trash.splice(index, 1);
  if (entry === undefined) {
    throw new InputError('missing', 'This is not in the trash any more: it may have been restored elsewhere.', {
      path: 'trash',
      got: entryId,
    });
  }
  const records: Draft<{ readonly id: string }>[] = draft[entry.list];
  if (records.some((record) => record.id === entry.record.id)) {
    throw new InputError('conflict', 'The workshop already has this record: empty the trash instead of restoring it.', {
      path: entry.list,
      got: entry.record.id,
    });
  }
  records.push(entry.record);
}
