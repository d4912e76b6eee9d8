/** Falloff to the part of the frame that matters: by its name or by its place on the film. */
import { InputError, unreachable } from '../errors.ts';
import { falloffAt, frameFalloff } from '../camera/falloff.ts';
import type { ThickPlate } from '../camera/falloff.ts';
import type { CameraGeometry, FilmPoint } from '../camera/geometry.ts';

/** Straight behind the hole; the frame's middle; half of what the darkest corner loses; that corner; or a place. */
export type FramePart = 'behind the hole' | 'middle' | 'half-way' | 'corner' | FilmPoint;

export const FRAME_PARTS = ['behind the hole', 'middle', 'half-way', 'corner'] as const;

/**
 * Stops to make up for so that a part of the frame is exposed as metered.
 * Valid: as `falloffAt`.
 * @param camera frame and focal length > 0
 * @param part a named part, or a place seen from the film side
 * @param plate the edge of the hole; leave out for a thin one
 * @throws InputError not-positive, out-of-range; missing where no light arrives
 * @source optics-notes 2
 */
export function partFalloffStops(camera: CameraGeometry, part: FramePart, plate?: ThickPlate): number {
  const lit = (found: { readonly falloffStops: number | null; readonly reason: string | null }): number => {
    if (found.falloffStops !== null) return found.falloffStops;
    throw new InputError('missing', found.reason ?? 'No light arrives there.', { path: 'part' });
  };
  if (typeof part === 'object') return lit(falloffAt(camera, part, plate));
  switch (part) {
    case 'behind the hole':
      return 0;
    case 'middle':
      return lit(falloffAt(camera, { xMm: 0, yMm: 0 }, plate));
    case 'half-way':
      return lit(frameFalloff(camera, plate).worst) / 2;
    case 'corner':
      return lit(frameFalloff(camera, plate).worst);
    default:
      return unreachable(part);
  }
}
