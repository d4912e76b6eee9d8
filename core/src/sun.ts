/**
 * The door of the sky: where sun and moon stand. It stands apart from the rest of the core because it brings an
 * ephemeris with it, which a metered exposure does not need.
 */
export {
  moonPosition,
  seasonStarts,
  sunDay,
  sunPasses,
  sunPosition,
  tabulatedCourse,
} from './sun/position.ts';
export type { MoonPosition, SeasonStarts, SkyPosition, SunDay, SunPosition } from './sun/position.ts';
export type { Place } from './sun/place.ts';
