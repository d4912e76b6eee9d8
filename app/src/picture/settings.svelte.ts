/**
 * What is chosen on the Picture page, as text by key, for each camera. It is a way of looking, not a part of the
 * camera: kept on this device like the ground, and never lost on reload.
 */
const storeKey = 'camerawright.picture';

type Kept = Readonly<Record<string, Readonly<Record<string, string>>>>;

function remembered(): Kept {
  try {
    const stored: unknown = JSON.parse(localStorage.getItem(storeKey) ?? '{}');
    if (typeof stored !== 'object' || stored === null) {
      return {};
    }
    const kept: Record<string, Record<string, string>> = {};
    for (const [camera, values] of Object.entries(stored)) {
      if (typeof values === 'object' && values !== null) {
        kept[camera] = Object.fromEntries(
          Object.entries(values).filter((entry): entry is [string, string] => typeof entry[1] === 'string'),
        );
      }
    }
    return kept;
  } catch {
    // A browser that forbids storage still draws; it only forgets.
    return {};
  }
}

export class PictureSettings {
  #kept = $state.raw<Kept>(remembered());

  get(cameraId: string, key: string): string | null {
    return this.#kept[cameraId]?.[key] ?? null;
  }

  /** `null` takes the choice back. */
  set(cameraId: string, key: string, value: string | null): void {
    const values = { ...this.#kept[cameraId] };
    if (value === null) {
      delete values[key];
    } else {
      values[key] = value;
    }
    this.#kept = { ...this.#kept, [cameraId]: values };
    try {
      localStorage.setItem(storeKey, JSON.stringify(this.#kept));
    } catch {
      // see above
    }
  }
}
