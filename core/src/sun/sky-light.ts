/** The light of sun and moon at a place over some hours. */
import type { Place } from './place.ts';
import { moonPosition, sunPosition, tabulatedCourse } from './position.ts';
import { moonLightLux, sunLightLux } from './twilight.ts';

/** Ask so much earlier than the opening: an answer looks back for an opening in time. */
export const SKY_BEFORE_S = 5 * 3600;

/**
 * Light of sun and moon together on level ground under a clear sky, lx, over some hours; cheap to ask often.
 * @param fromS seconds since 1970-01-01T00:00Z
 * @throws InputError out-of-range
 * @source seidelmann1992
 */
export function skyLight(place: Place, fromS: number, untilS: number): (instantS: number) => number {
  const altitudeRad = tabulatedCourse((t) => sunPosition(place, t).altitudeRad, fromS, untilS);
  const moonLux = tabulatedCourse((t) => moonLightLux(moonPosition(place, t)), fromS, untilS);
  return (instantS) => sunLightLux(altitudeRad(instantS)) + Math.max(0, moonLux(instantS));
}
