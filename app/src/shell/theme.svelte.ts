/** The ground the drawing lies on, and which hand it is laid out for; remembered on this device, not in the workshop. */

export type ThemeName = 'paper' | 'night' | 'darkroom';
export type Hand = 'right' | 'left';
export type PlainUnit = 'mm' | 'in';

const themes: readonly ThemeName[] = ['paper', 'night', 'darkroom'];
const themeKey = 'camerawright.theme';
const handKey = 'camerawright.hand';
const unitKey = 'camerawright.plain-unit';

function remembered(key: string): string | null {
  try {
    return localStorage.getItem(key);
  } catch {
    // A browser that forbids storage still draws; it only forgets.
    return null;
  }
}

function remember(key: string, value: string): void {
  try {
    localStorage.setItem(key, value);
  } catch {
    // see above
  }
}

export class Appearance {
  #theme = $state<ThemeName>('paper');
  #hand = $state<Hand>('right');
  #plainUnit = $state<PlainUnit>('mm');

  constructor() {
    const stored = remembered(themeKey);
    const night = typeof matchMedia === 'function' && matchMedia('(prefers-color-scheme: dark)').matches;
    this.#theme = themes.find((name) => name === stored) ?? (night ? 'night' : 'paper');
    this.#hand = remembered(handKey) === 'left' ? 'left' : 'right';
    this.#plainUnit = remembered(unitKey) === 'in' ? 'in' : 'mm';
    this.#show();
  }

  get theme(): ThemeName {
    return this.#theme;
  }

  set theme(name: ThemeName) {
    this.#theme = name;
    remember(themeKey, name);
    this.#show();
  }

  get hand(): Hand {
    return this.#hand;
  }

  set hand(hand: Hand) {
    this.#hand = hand;
    remember(handKey, hand);
    this.#show();
  }

  /** True when drawings are mirrored and the drawing stands at the right of its figures. */
  get mirrored(): boolean {
    return this.#hand === 'left';
  }

  /** What a number without a unit means in a field for a length. */
  get plainUnit(): PlainUnit {
    return this.#plainUnit;
  }

  set plainUnit(unit: PlainUnit) {
    this.#plainUnit = unit;
    remember(unitKey, unit);
  }

  #show(): void {
    document.documentElement.dataset['theme'] = this.#theme;
    document.documentElement.dataset['hand'] = this.#hand;
  }
}
