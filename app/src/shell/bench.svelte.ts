/** What every room is given: the workshop and the things that belong to this device. */
import { getContext, setContext } from 'svelte';
import type { Clock } from '#io/ports';
import type { Offline } from '../offline/offline.svelte.ts';
import type { Drafts } from './drafts.svelte.ts';
import type { WorkshopFiles } from './files.svelte.ts';
import type { Notices } from './notice.svelte.ts';
import type { Router } from './router.svelte.ts';
import type { Appearance } from './theme.svelte.ts';
import type { OpenWorkshop } from './workshop.svelte.ts';

export interface Bench {
  readonly workshop: OpenWorkshop;
  readonly drafts: Drafts;
  readonly appearance: Appearance;
  readonly router: Router;
  readonly notices: Notices;
  readonly files: WorkshopFiles;
  readonly offline: Offline;
  /** The present. */
  readonly clock: Clock;
  /** A new id for a record: random, sortable, never used before. */
  readonly newId: () => string;
  readonly version: string;
}

const key = Symbol('bench');

export function provideBench(bench: Bench): void {
  setContext(key, bench);
}

/** The bench; only while a component is being set up. */
export function useBench(): Bench {
  return getContext<Bench>(key);
}
