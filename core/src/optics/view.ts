/** What every picture of a point needs beside the hole: film, object and light. */
import { InputError, requirePositive } from '../errors.ts';
import { requireObjectDistance } from './conjugates.ts';
import { mixedLight } from './seen-light.ts';
import type { SeenLight } from './seen-light.ts';

export interface HoleView {
  /** Hole to film, > 0. */
  readonly focalLengthMm: number;
  /** Hole to object, > 0; `Infinity` for a distant scene. */
  readonly objectDistanceMm: number;
  /** What the film sees; the shares add to 1. */
  readonly light: SeenLight;
}

/**
 * @param view as declared
 * @param size a further length that must be positive, with its name
 * @throws InputError not-positive, missing
 */
export function requireView(view: HoleView, size?: readonly [string, number]): void {
  if (size !== undefined) requirePositive(size[1], size[0], 'mm');
  requirePositive(view.focalLengthMm, 'focalLengthMm', 'mm');
  requireObjectDistance(view.objectDistanceMm);
  mixedLight(view.light);
  const sum = view.light.reduce((total, line) => total + line.weightShare, 0);
  if (Math.abs(sum - 1) > 1e-9) {
    throw new InputError('out-of-range', `The shares of the light must add to 1, but add to ${sum}.`, {
      path: 'light',
      got: sum,
      expected: 'shares that add to 1',
    });
  }
}
