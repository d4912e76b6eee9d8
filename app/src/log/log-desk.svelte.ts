/** What is looked at on the Log page, and the edits that come from it. */
import { exposureLines, exposureWith, filterExposures, giveAsPlanned, moveToTrash, restoreFromTrash, thawed } from '#core';
import type { Draft, ExposureFilter, ExposureLine, ExposureRecord } from '#core';
import type { Bench } from '../shell/index.ts';

export type View = 'exposures' | 'plates' | 'cameras' | 'holders';

export class LogDesk {
  readonly #bench: Bench;
  view = $state<View>('exposures');
  text = $state('');
  stage = $state<'any' | NonNullable<ExposureFilter['stage']>>('any');
  cameraId = $state('');
  verdict = $state<'any' | NonNullable<ExposureFilter['verdict']>>('any');
  /** The exposure that is open, and one to hold against it. */
  openId = $state<string | null>(null);
  besideId = $state<string | null>(null);
  #before: readonly ExposureLine[] = [];
  readonly all: readonly ExposureLine[] = $derived.by(() => {
    // Kept outside the reactive state: only a store of what was made before.
    this.#before = exposureLines(this.#bench.workshop.document, this.#before);
    return this.#before;
  });
  readonly shown: readonly ExposureLine[] = $derived(
    filterExposures(this.all, {
      text: this.text,
      ...(this.stage !== 'any' && { stage: this.stage }),
      ...(this.verdict !== 'any' && { verdict: this.verdict }),
      ...(this.cameraId !== '' && { cameraId: this.cameraId }),
    }),
  );
  readonly open: ExposureLine | null = $derived(this.all.find(({ record }) => record.id === this.openId) ?? null);
  readonly beside: ExposureLine | null = $derived(this.all.find(({ record }) => record.id === this.besideId) ?? null);
  readonly waiting: readonly ExposureLine[] = $derived(this.all.filter(({ stage }) => stage === 'planned'));

  constructor(bench: Bench) {
    this.#bench = bench;
  }

  /** How many exposures each camera has made or is to make. */
  countsByCamera(): Readonly<Record<string, number>> {
    const counts: Record<string, number> = {};
    for (const { record } of this.all) {
      const id = record.cameraId ?? '';
      counts[id] = (counts[id] ?? 0) + 1;
    }
    return counts;
  }

  /** An exposure with the camera on the bench, open for writing. */
  begin(): void {
    const { workshop, newId, clock } = this.#bench;
    const head = { id: newId(), at: clock.now(), timeZone: clock.zone() };
    const record = workshop.camera === null ? head : exposureWith(workshop.camera, workshop.document, head);
    workshop.edit('new exposure', (draft) => void draft.exposures.push(thawed<ExposureRecord>(record)));
    this.openId = head.id;
  }

  /** The open one once more, to be given or planned anew: everything but what came of it. */
  again(record: ExposureRecord): void {
    const { workshop, newId, clock } = this.#bench;
    const copy: Draft<ExposureRecord> = { ...thawed(record), id: newId(), at: clock.now(), timeZone: clock.zone() };
    for (const key of ['given', 'result', 'sheet', 'sheetId', 'notes'] as const) delete copy[key];
    workshop.edit('exposure once more', (draft) => void draft.exposures.push(copy));
    this.openId = copy.id;
  }

  give(id: string): void {
    const { workshop, clock } = this.#bench;
    workshop.edit('given as planned', (draft) => giveAsPlanned(draft, id, clock.now()));
  }

  edit(what: string, recipe: (exposure: Draft<ExposureRecord>) => void): void {
    this.#bench.workshop.edit(what, (draft) => {
      const exposure = draft.exposures.find(({ id }) => id === this.openId);
      if (exposure !== undefined) {
        recipe(exposure);
      }
    });
  }

  putAway(id: string): void {
    const { workshop, notices, newId, clock } = this.#bench;
    const entryId = newId();
    workshop.edit('put away an exposure', (draft) => {
      moveToTrash(draft, 'exposures', id, { id: entryId, trashedAt: clock.now() });
    });
    this.openId = null;
    notices.show('The exposure is put away; the workshop keeps it.', {
      label: 'Bring it back',
      run: () => {
        workshop.edit('bring back an exposure', (draft) => restoreFromTrash(draft, entryId));
        this.openId = id;
      },
    });
  }
}

/** `1 May 2026, 14:30`, in the time that was written down, not in today's zone. */
export function dateWords(at: string): string {
  const [day = '', time = ''] = at.split('T');
  const [year, month, date] = day.split('-').map(Number);
  const months = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];
  return `${date ?? ''} ${months[(month ?? 1) - 1] ?? ''} ${year ?? ''}, ${time.slice(0, 5)}`;
}
