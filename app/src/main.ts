import './styles/fonts.css';
import './styles/theme.css';
import './styles/base.css';
import './styles/fields.css';
import './styles/drawing.css';
import { emptyWorkshop, isCamerawrightError } from '#core';
import { browserClock as clock, browserSaver as saver, newId, openShelf } from '#io/browser';
import type { Store } from '#io/ports';
import { mount } from 'svelte';
import { Offline } from './offline/offline.svelte.ts';
import App from './shell/App.svelte';
import { Drafts } from './shell/drafts.svelte.ts';
import { WorkshopFiles } from './shell/files.svelte.ts';
import { Notices } from './shell/notice.svelte.ts';
import { rooms } from './shell/rooms.ts';
import { Router } from './shell/router.svelte.ts';
import { Appearance } from './shell/theme.svelte.ts';
import { OpenWorkshop } from './shell/workshop.svelte.ts';

const notices = new Notices();
const appearance = new Appearance();
const offline = new Offline();
const shelf = await openShelf({ clock });

/** The demo on the first visit, the last workshop on every later one. */
async function firstStore(): Promise<Store> {
  try {
    const last = await shelf.openLast();
    if (last !== null) {
      return last;
    }
  } catch (error) {
    if (!isCamerawrightError(error)) {
      throw error;
    }
    notices.show(`The last workshop could not be read: ${error.message}`);
  }
  try {
    const answer = await fetch(new URL('demo/demo-workshop.json', document.baseURI));
    if (answer.ok) {
      const { parseWorkshop } = await import('#core/schema');
      return await shelf.add(parseWorkshop(await answer.text()));
    }
  } catch {
    // Without the demo's file the first visit begins with an empty bench.
  }
  return shelf.add(emptyWorkshop({ id: newId(), name: 'My workshop', createdAt: clock.now() }));
}

const workshop = new OpenWorkshop(await firstStore());
const target = document.getElementById('app');
if (target === null) {
  throw new Error('The page has no place for the app.');
}
const bench = {
  workshop,
  notices,
  appearance,
  files: new WorkshopFiles({ workshop, notices, saver, shelf }),
  offline,
  drafts: new Drafts(),
  router: new Router(rooms),
  clock,
  newId,
  version: __APP_VERSION__,
};
mount(App, { target, props: { bench } });
offline.onfirstready = () => {
  if (notices.current === null) {
    notices.show('Ready offline: from now on this page opens here without a network.');
  }
};
if (import.meta.env.PROD) {
  void offline.settle();
}

// The demo's plates come without a figure: on the first visit they are measured, whichever room is open.
if (workshop.document.plates.some(({ passes }) => passes.length === 0)) {
  void import('./plate/desk-door.ts').then(({ plateDesk }) => plateDesk(bench).welcome());
}
