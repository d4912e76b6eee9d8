/** A page with nothing but the browser's store, for trying it in a real browser. */
import { emptyWorkshop } from '#core';
import { newId } from '../../io/src/store/id.ts';
import { openShelf } from '../../io/src/store/browser.ts';
import type { Store } from '../../io/src/ports.ts';

const clock = { now: () => new Date().toISOString(), zone: () => 'UTC' };

async function open(): Promise<Store> {
  const shelf = await openShelf({ clock });
  return (await shelf.openLast()) ?? shelf.add(emptyWorkshop({ id: newId(), name: 'Bench', createdAt: clock.now() }));
}

declare global {
  interface Window {
    bench: { open: typeof open; newId: typeof newId; store?: Store };
  }
}

window.bench = { open, newId };
