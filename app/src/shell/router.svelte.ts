/** Addresses of the rooms: /camera, /plate, …, below wherever the app is served from. */

export interface Room {
  readonly path: string;
  /** One of the seven words, as the maker reads it. */
  readonly word: string;
}

export class Router {
  readonly rooms: readonly Room[];
  #base: string;
  #path = $state('');

  constructor(rooms: readonly Room[]) {
    this.rooms = rooms;
    this.#base = new URL('.', document.baseURI).pathname;
    this.#read();
    addEventListener('popstate', () => this.#read());
  }

  get path(): string {
    return this.#path;
  }

  get room(): Room {
    const room = this.rooms.find((candidate) => candidate.path === this.#path) ?? this.rooms[0];
    if (room === undefined) {
      throw new Error('The app has no rooms.');
    }
    return room;
  }

  href(path: string): string {
    return `${this.#base}${path}`;
  }

  go(path: string): void {
    if (path !== this.#path) {
      history.pushState(null, '', this.href(path));
      this.#path = path;
      scrollTo(0, 0);
    }
  }

  #read(): void {
    const named = location.pathname.slice(this.#base.length).replace(/\/$/, '');
    const known = this.rooms.some((room) => room.path === named);
    const first = this.rooms[0]?.path ?? '';
    this.#path = known ? named : first;
    if (!known) {
      history.replaceState(null, '', this.href(first));
    }
  }
}
