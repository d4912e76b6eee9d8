/** Whether the app is on this device as a whole, so that it opens without a network. */

const reloadedKey = 'camerawright.reloaded-for-isolation';

const toldKey = 'camerawright.told-ready-offline';

export class Offline {
  #ready = $state(false);
  #newer = $state(false);
  /** Called once in this browser, when the app is first kept as a whole. */
  onfirstready: () => void = () => undefined;

  get ready(): boolean {
    return this.#ready;
  }

  /**
   * True when a newer version is on this device. It opens once every window of this one is closed, so that no window
   * changes its program in the midst of work.
   */
  get newer(): boolean {
    return this.#newer;
  }

  /** Hands the app to the service worker; what fails here costs only the use without a network. */
  async settle(): Promise<void> {
    if (!('serviceWorker' in navigator)) {
      return;
    }
    try {
      const registration = await navigator.serviceWorker.register(new URL('service-worker.js', document.baseURI));
      this.#newer = registration.waiting !== null;
      registration.addEventListener('updatefound', () => {
        const coming = registration.installing;
        coming?.addEventListener('statechange', () => {
          this.#newer = coming.state === 'installed' && navigator.serviceWorker.controller !== null;
        });
      });
      await navigator.serviceWorker.ready;
      this.#ready = true;
      this.#isolate();
      this.#tell();
    } catch {
      // A page opened from a file or a browser without service workers: the app needs its network then.
    }
  }

  #tell(): void {
    try {
      if (localStorage.getItem(toldKey) === null) {
        localStorage.setItem(toldKey, 'yes');
        this.onfirstready();
      }
    } catch {
      // Without storage nothing is kept, and nothing is promised.
    }
  }

  /** Where the host sends no headers of isolation the service worker does; they count from the next load on. */
  #isolate(): void {
    if (crossOriginIsolated || sessionStorage.getItem(reloadedKey) !== null) {
      return;
    }
    sessionStorage.setItem(reloadedKey, 'yes');
    location.reload();
  }
}
