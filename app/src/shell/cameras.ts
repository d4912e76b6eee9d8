/** What can be done with whole cameras: new, copied, put away and brought back. */
import { moveToTrash, restoreFromTrash, thawed } from '#core';
import type { Bench } from './bench.svelte.ts';

type Parts = Pick<Bench, 'workshop' | 'notices' | 'newId' | 'clock'>;

function freeName({ workshop }: Parts, base: string): string {
  const names = new Set(workshop.document.cameras.map(({ name }) => name));
  let name = base;
  for (let number = 2; names.has(name); number += 1) {
    name = `${base} ${number}`;
  }
  return name;
}

export function addCamera(parts: Parts): void {
  const { workshop, newId, clock } = parts;
  const id = newId();
  const name = freeName(parts, 'New camera');
  workshop.edit('new camera', (draft) => {
    draft.cameras.push({ id, name, createdAt: clock.now(), mountings: [] });
  });
  workshop.choose(id);
}

/** The copy is a plan: the plate stays in the camera it is in. */
export function duplicateCamera(parts: Parts): void {
  const { workshop, newId, clock } = parts;
  const { camera } = workshop;
  if (camera === null) {
    return;
  }
  const id = newId();
  const name = freeName(parts, `${camera.name}, copy`);
  const copy = { ...thawed(camera), id, name, createdAt: clock.now(), mountings: [] };
  workshop.edit('copy of a camera', (draft) => {
    draft.cameras.splice(draft.cameras.findIndex((other) => other.id === camera.id) + 1, 0, copy);
  });
  workshop.choose(id);
}

export function putAwayCamera(parts: Parts): void {
  const { workshop, notices, newId, clock } = parts;
  const { camera } = workshop;
  if (camera === null) {
    return;
  }
  const entryId = newId();
  const { id, name } = camera;
  workshop.edit('put away a camera', (draft) => {
    moveToTrash(draft, 'cameras', id, { id: entryId, trashedAt: clock.now() });
  });
  notices.show(`“${name}” is put away; the workshop keeps it.`, {
    label: 'Bring it back',
    run: () => {
      workshop.edit('bring back a camera', (draft) => {
        restoreFromTrash(draft, entryId);
      });
      workshop.choose(id);
    },
  });
}
