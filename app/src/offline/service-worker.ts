/**
 * Keeps the whole app, decoders and fonts too, on the device: from the second visit on it works without a
 * network. It also adds the headers of isolation, for hosts that send only files.
 */

/** The part of a service worker's world that is used here; the compiler's own library for it excludes the page's. */
interface LifeEvent extends Event {
  waitUntil(work: Promise<unknown>): void;
}
interface AnswerableEvent extends Event {
  readonly request: Request;
  respondWith(answer: Promise<Response>): void;
}
interface WorkerWorld {
  readonly registration: ServiceWorkerRegistration;
  readonly clients: { claim(): Promise<void> };
  /** Put in by the build: every file of the app with a mark of its content. */
  readonly __WB_MANIFEST: readonly { readonly url: string; readonly revision: string | null }[];
  addEventListener(type: 'install' | 'activate', listener: (event: LifeEvent) => void): void;
  addEventListener(type: 'fetch', listener: (event: AnswerableEvent) => void): void;
}
declare const self: WorkerWorld;

// A file may be listed twice, and a cache refuses to take one twice.
const entries = [...new Map(self.__WB_MANIFEST.map((entry) => [entry.url, entry])).values()];
const cacheName = `camerawright-${mark(entries.map(({ url, revision }) => `${url}?${revision ?? ''}`).join('\n'))}`;
const page = new URL('index.html', self.registration.scope).href;

/** A short mark of a text (FNV-1a), so that each version of the app has a cache of its own. */
function mark(text: string): string {
  let hash = 0x811c9dc5;
  for (let i = 0; i < text.length; i += 1) {
    hash = Math.imul(hash ^ text.charCodeAt(i), 0x01000193);
  }
  return (hash >>> 0).toString(16);
}

function isolated(response: Response): Response {
  if (response.headers.has('Cross-Origin-Embedder-Policy')) {
    return response;
  }
  const headers = new Headers(response.headers);
  headers.set('Cross-Origin-Opener-Policy', 'same-origin');
  headers.set('Cross-Origin-Embedder-Policy', 'require-corp');
  headers.set('Cross-Origin-Resource-Policy', 'same-origin');
  return new Response(response.body, { status: response.status, statusText: response.statusText, headers });
}

self.addEventListener('install', (event) => {
  // Files with a mark in their name never change; the others are asked for anew.
  const requests = entries.map(({ url, revision }) => new Request(url, { cache: revision === null ? 'default' : 'reload' }));
  const isDemo = ({ url }: Request): boolean => url.startsWith(new URL('demo/', self.registration.scope).href);
  event.waitUntil(
    (async () => {
      const cache = await caches.open(cacheName);
      await cache.addAll(requests.filter((request) => !isDemo(request)));
      // The app is whole without the demo's pictures.
      await Promise.allSettled(requests.filter(isDemo).map((request) => cache.add(request)));
    })(),
  );
});

self.addEventListener('activate', (event) => {
  event.waitUntil(
    (async () => {
      for (const name of await caches.keys()) {
        if (name.startsWith('camerawright-') && name !== cacheName) {
          await caches.delete(name);
        }
      }
      await self.clients.claim();
    })(),
  );
});

self.addEventListener('fetch', (event) => {
  const { request } = event;
  if (request.method !== 'GET' || !request.url.startsWith(self.registration.scope)) {
    return;
  }
  event.respondWith(
    (async () => {
      const cache = await caches.open(cacheName);
      const kept = await cache.match(request.mode === 'navigate' ? page : request, { ignoreVary: true });
      return isolated(kept ?? (await fetch(request)));
    })(),
  );
});

export {};
