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
export { SKY_BEFORE_S, skyLight } from './sun/sky-light.ts';
export type { MoonPosition, SeasonStarts, SkyPosition, SunDay, SunPosition } from './sun/position.ts';
export { landing } from './sun/paper.ts';
export type { Direction, Landing, PaperSurface, SunCamera } from './sun/paper.ts';
export { SUN_CAUTIONS } from './sun/tracks-sentence.ts';
export type { Place } from './sun/place.ts';
export { skylineRad, sunTracks } from './sun/tracks.ts';
export type { DaySpacing, DayTrack, HourLine, NoonFall, SunTracks, TrackPoint, TracksQuestion } from './sun/tracks-answer.ts';
export { PAPER_VIEW_WORDS, tracksDrawing, tracksSvg } from './sun/tracks-drawing.ts';
export type { PaperView, Spot, TrackLabel, TrackLine, TrackLineKind, TracksDrawing } from './sun/tracks-drawing.ts';
