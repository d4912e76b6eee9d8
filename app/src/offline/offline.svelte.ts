/** Whether the app is on this device as a whole, so that it opens without a network. */

const reloadedKey = 'camerawright.reloaded-for-isolation';

export class Offline {
  #ready = $state(false);

  get ready(): boolean {
    return this.#ready;
  }

  /** Hands the app to the service worker; what fails here costs only the use without a network. */
  async settle(): Promise<void> {
    if (!('serviceWorker' in navigator)) {
      return;
    }
    try {
      await navigator.serviceWorker.register(new URL('service-worker.js', document.baseURI));
      await navigator.serviceWorker.ready;
      this.#ready = true;
      this.#isolate();
    } catch {
      // A page opened from a file or a browser without service workers: the app needs its network then.
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
