import './styles/fonts.css';
import './styles/theme.css';
import './styles/base.css';
import './styles/fields.css';
import './styles/drawing.css';
import { mount } from 'svelte';
import App from './shell/App.svelte';
import { v7 } from 'uuid';
import { Drafts } from './shell/drafts.svelte.ts';
import { WorkshopFiles } from './shell/files.svelte.ts';
import { Notices } from './shell/notice.svelte.ts';
import { rooms } from './shell/rooms.ts';
import { Router } from './shell/router.svelte.ts';
import { Appearance } from './shell/theme.svelte.ts';
import { StandinStore } from './shell/standin.ts';
import { OpenWorkshop } from './shell/workshop.svelte.ts';

const target = document.getElementById('app');
if (target === null) {
  throw new Error('The page has no place for the app.');
}

const workshop = new OpenWorkshop(new StandinStore());
const notices = new Notices();
const saver = { save: () => Promise.resolve() };
mount(App, {
  target,
  props: {
    bench: {
      workshop,
      notices,
      files: new WorkshopFiles({ workshop, notices, saver }),
      drafts: new Drafts(),
      appearance: new Appearance(),
      router: new Router(rooms),
      clock: { now: () => new Date().toISOString(), zone: () => 'Europe/Berlin' },
      newId: () => v7(),
      version: '0.1.0',
    },
  },
});
