/** Taking the records of another workshop file into this one, without ever writing over what is here. */
import { jsonText, sortedCopy } from './json.ts';
import { LIST_NAMES, thawed } from './workshop.ts';
import type { Draft, Workshop, WorkshopDraft } from './workshop.ts';

export interface MergeOutcome {
  /** Names (or ids) of what came in: records, and plates and machines that got more passes or calibrations. */
  readonly added: readonly string[];
  /** Records both have with different content: those here stay as they are. */
  readonly kept: readonly string[];
}

/** Lists inside a record that are only ever appended to: what the other has more of is taken. */
const APPENDED = ['passes', 'mountings', 'calibrations', 'depths'] as const;

const withoutLists = (record: object): string =>
  jsonText(sortedCopy(Object.fromEntries(Object.entries(record).filter(([key]) => !(APPENDED as readonly string[]).includes(key)))));

type WithLists = { readonly id: string; [key: string]: unknown };

const nameOf = (record: object): string =>
  'name' in record && typeof record.name === 'string' ? record.name : 'id' in record ? String(record.id) : '';

function takeAppended(here: WithLists, there: WithLists): boolean {
  let added = false;
  for (const key of APPENDED) {
    const [mine, theirs] = [here[key], there[key]];
    if (!Array.isArray(mine) || !Array.isArray(theirs)) continue;
    const ids = new Set((mine as WithLists[]).map(({ id }) => id));
    for (const entry of theirs as WithLists[]) {
      if (ids.has(entry.id)) continue;
      (mine as unknown[]).push(thawed(entry));
      added = true;
    }
  }
  return added;
}

/**
 * Adds what the other workshop has and this one has not: cameras, plates with their passes, films, exposures, and
 * what stands around them. Inside a store's change.
 */
export function mergeWorkshop(draft: WorkshopDraft, other: Workshop): MergeOutcome {
  const added: string[] = [];
  const kept: string[] = [];
  const trashed = new Set(draft.trash.map((entry) => entry.record.id));
  for (const list of LIST_NAMES) {
    const here: WithLists[] = draft[list] as never;
    const byId = new Map(here.map((record) => [record.id, record]));
    for (const record of other[list]) {
      const mine = byId.get(record.id);
      if (mine === undefined) {
        // What was put away here is not brought back by a file.
        if (trashed.has(record.id)) continue;
        here.push(thawed(record) as Draft<WithLists>);
        added.push(nameOf(record));
        continue;
      }
      if (takeAppended(mine, record as unknown as WithLists)) added.push(nameOf(mine));
      if (withoutLists(mine) !== withoutLists(record)) kept.push(nameOf(mine));
    }
  }
  return { added, kept };
}
