/** One plate desk for as long as the page lives, so that leaving the room does not stop what is being read. */
import { openPlateRoom, openScanShelf } from '#io/browser';
import type { Bench } from '../shell/index.ts';
import { PlateDesk } from './plate-desk.svelte.ts';

const desks = new WeakMap<Bench['workshop'], PlateDesk>();

export function plateDesk(bench: Bench): PlateDesk {
  const known = desks.get(bench.workshop);
  if (known !== undefined) {
    return known;
  }
  const desk = new PlateDesk(bench, {
    shelf: openScanShelf(),
    openRoom: openPlateRoom,
  });
  desks.set(bench.workshop, desk);
  return desk;
}
