/** Scene words for a maker without a meter: the published guide as data, each scene with its range. */
import { InputError } from '../errors.ts';
import { nearestNames, sameWords, wordsOf } from './names.ts';
import guide from './scenes.json';

export interface Scene {
  readonly id: string;
  readonly words: string;
  /** Lowest and highest EV at ISO 100 in the guide; equal where it prints one value. */
  readonly ev100Ev: readonly [number, number];
  /** Lit by the sun itself: side and back light may be asked for. */
  readonly directSun: boolean;
}

/** Where the sun stands to a scene in direct sun. */
export type Lighting = 'front' | 'side' | 'back';

/** @source ansi-ph2-7 side light −1 EV, back light −2 EV */
const LIGHTING_EV: Readonly<Record<Lighting, number>> = { front: 0, side: -1, back: -2 };

export const SCENE_SOURCE: string = guide.source;

/** The guide, brightest daylight first. */
export const SCENES: readonly Scene[] = guide.scenes as unknown as readonly Scene[];

/**
 * A scene by its id, its words, or words that fit one scene only (`overcast`).
 * @throws InputError unknown-name, with the nearest scenes
 */
export function findScene(words: string): Scene {
  const exact = SCENES.find((scene) => sameWords(scene.id, words) || sameWords(scene.words, words));
  if (exact !== undefined) return exact;
  const asked = wordsOf(words);
  const fitting = SCENES.filter((scene) => {
    const has = new Set([...wordsOf(scene.words), ...wordsOf(scene.id)]);
    return asked.length > 0 && asked.every((word) => has.has(word));
  });
  const [only] = fitting;
  if (only !== undefined && fitting.length === 1) return only;
  const near =
    fitting.length > 1
      ? fitting.map((scene) => scene.words)
      : nearestNames(
          words,
          SCENES.map((scene) => scene.words),
        );
  const why = fitting.length > 1 ? `“${words}” fits several scenes` : `There is no scene “${words}”`;
  throw new InputError('unknown-name', `${why}; choose one of: ${near.join('; ')}.`, {
    path: 'scene',
    got: words,
    expected: 'a scene of the list',
  });
}

/**
 * What a scene is worth: the middle of the guide's range and half its width, widened by the half EV to
 * which the guide is rounded.
 *   u = (half range + 1/2) / √3, rectangular
 * @throws InputError conflict: side or back light asked of a scene without direct sun
 * @source ansi-ph2-7
 * @source jcgm100 4.3.7
 */
export function sceneEv(
  scene: Scene,
  lighting: Lighting = 'front',
): { readonly ev100Ev: number; readonly standardUncertaintyStops: number } {
  if (lighting !== 'front' && !scene.directSun) {
    throw new InputError(
      'conflict',
      `Side and back light are for scenes in direct sun; “${scene.words}” has none. Leave the direction out.`,
      { path: 'lighting', got: lighting, expected: 'front' },
    );
  }
  const [lo, hi] = scene.ev100Ev;
  return {
    ev100Ev: (lo + hi) / 2 + LIGHTING_EV[lighting],
    standardUncertaintyStops: ((hi - lo) / 2 + 0.5) / Math.sqrt(3),
  };
}
