/**
 * What the sun draws on paper in months: one track a day, on the sheet as it lies unrolled; whether the highest sun
 * stays on it, how far the days lie apart, and when to open and to close.
 */
import { InputError, requirePositive } from '../errors.ts';
import { encircledShare } from '../optics/round-point-image.ts';
import { oneWavelength } from '../optics/seen-light.ts';
import { landing, requireSunCamera } from './paper.ts';
import type { Direction, Landing, SunCamera } from './paper.ts';
import { requireInstant, requirePlace } from './place.ts';
import { seasonStarts, sunDay, sunPosition } from './position.ts';
import { tracksSentence } from './tracks-sentence.ts';
import type { DaySpacing, DayTrack, HourLine, NoonFall, SunTracks, TrackPoint, TracksQuestion } from './tracks-answer.ts';

const DAY_S = 86_400;
const HOUR_S = 3600;
/** A dot of the track every four minutes: a degree of the sky. */
const STEP_S = 240;
/** An hour line needs no more than a dot every five days. */
const HOUR_LINE_DAYS = 5;
const LONGEST_S = 3 * 366 * DAY_S;
/** Paper sees blue. */
const PAPER_NM = 430;
/** A hole blurs as wide as the circle that holds so much of its light. Judgement. */
const BLUR_SHARE = 0.8;
/** Sun behind the skyline draws nothing; nor does it in the first degree above, where haze eats it. Judgement. */
const DRAWS_FROM_RAD = 0;

/** @throws InputError out-of-range */
function check(question: TracksQuestion): void {
  requirePlace(question.place);
  requireSunCamera(question.camera);
  requireInstant(question.fromS, 'from');
  requireInstant(question.toS, 'to');
  if (!(question.toS > question.fromS) || question.toS - question.fromS > LONGEST_S) {
    throw new InputError('out-of-range', 'The last day must come after the first, and within three years.', {
      path: 'to', got: (question.toS - question.fromS) / DAY_S, expected: '1 day to 3 years',
    });
  }
  if (question.holeDiameterMm !== undefined) requirePositive(question.holeDiameterMm, 'diameter of the hole', 'mm');
}

/**
 * Height of the skyline in a direction: straight between the corners that were measured, all round; level where none was.
 * @source sun-notes 3
 */
export function skylineRad(horizon: readonly Direction[], azimuthRad: number): number {
  const full = 2 * Math.PI;
  const turn = (value: number): number => ((value % full) + full) % full;
  const corners = [...horizon].map((corner) => ({ ...corner, azimuthRad: turn(corner.azimuthRad) })).sort((a, b) => a.azimuthRad - b.azimuthRad);
  const [first] = corners;
  const last = corners[corners.length - 1];
  if (first === undefined || last === undefined) return 0;
  const at = turn(azimuthRad);
  const i = corners.findIndex((corner) => corner.azimuthRad >= at);
  const after = corners[i] ?? { ...first, azimuthRad: first.azimuthRad + full };
  const before = i > 0 ? (corners[i - 1] ?? last) : i === 0 ? { ...last, azimuthRad: last.azimuthRad - full } : last;
  const gap = after.azimuthRad - before.azimuthRad;
  if (gap <= 0) return after.altitudeRad;
  return before.altitudeRad + ((after.altitudeRad - before.altitudeRad) * (at - before.azimuthRad)) / gap;
}

function pointAt(question: TracksQuestion, instantS: number): TrackPoint {
  const { apparentAltitudeRad: altitudeRad, azimuthRad } = sunPosition(question.place, instantS);
  const drawn = altitudeRad > Math.max(DRAWS_FROM_RAD, skylineRad(question.horizon ?? [], azimuthRad));
  return { instantS, altitudeRad, azimuthRad, drawn, landing: landing(question.camera, { altitudeRad, azimuthRad }) };
}

function dayTrack(question: TracksQuestion, instantS: number, name: string | null): DayTrack {
  const { riseS, noonS, setS } = sunDay(question.place, instantS);
  const up = sunPosition(question.place, noonS).apparentAltitudeRad > 0;
  const from = riseS ?? (up ? noonS - DAY_S / 2 : noonS);
  const to = setS ?? (up ? noonS + DAY_S / 2 : noonS);
  const points: TrackPoint[] = [];
  if (up) {
    const count = Math.max(1, Math.ceil((to - from) / STEP_S));
    for (let i = 0; i <= count; i++) points.push(pointAt(question, from + ((to - from) * i) / count));
  }
  return { name, noon: pointAt(question, noonS), riseS, setS, points };
}

/** The same hour of the clock on every day: where the tracks of the months cross it. */
function hourLines(question: TracksQuestion): HourLine[] {
  const { fromS, toS, utcOffsetS } = question;
  const firstDay = Math.floor((fromS + utcOffsetS) / DAY_S);
  const lastDay = Math.floor((toS + utcOffsetS) / DAY_S);
  const days: number[] = [];
  for (let day = firstDay; day < lastDay; day += HOUR_LINE_DAYS) days.push(day);
  days.push(lastDay);
  return Array.from({ length: 24 }, (_, hour) => ({
    hour,
    points: days.map((day) => pointAt(question, day * DAY_S + hour * HOUR_S - utcOffsetS)),
  })).filter(({ points }) => points.some(({ drawn, landing: where }) => drawn && where?.onPaper === true));
}

function isTrue(value: number, list: readonly number[]): boolean {
  return list.some((other) => Math.abs(other - value) < DAY_S / 2);
}

/** Days worth a line of their own: first, last, solstices, equinoxes, and the 21st of each month between. */
function namedDays(question: TracksQuestion): { readonly instantS: number; readonly name: string | null }[] {
  const { fromS, toS, utcOffsetS } = question;
  const inside = (instantS: number): boolean => instantS >= fromS - DAY_S / 2 && instantS <= toS + DAY_S / 2;
  const firstYear = new Date(fromS * 1000).getUTCFullYear();
  const lastYear = new Date(toS * 1000).getUTCFullYear();
  const days: { instantS: number; name: string | null }[] = [];
  for (let year = firstYear; year <= lastYear; year++) {
    const seasons = seasonStarts({ year });
    days.push(
      { instantS: seasons.marchEquinoxS, name: 'March equinox' },
      { instantS: seasons.juneSolsticeS, name: 'June solstice' },
      { instantS: seasons.septemberEquinoxS, name: 'September equinox' },
      { instantS: seasons.decemberSolsticeS, name: 'December solstice' },
    );
  }
  const seasons = days.filter(({ instantS }) => inside(instantS));
  const ends = [
    { instantS: fromS, name: 'first day' },
    { instantS: toS, name: 'last day' },
  ].filter(({ instantS }) => !isTrue(instantS, seasons.map((season) => season.instantS)));
  const named = [...seasons, ...ends];
  const months: { instantS: number; name: null }[] = [];
  for (let year = firstYear; year <= lastYear; year++) {
    for (let month = 0; month < 12; month++) {
      const instantS = Date.UTC(year, month, 21, 12) / 1000 - utcOffsetS;
      if (inside(instantS) && !named.some((day) => Math.abs(day.instantS - instantS) < 4 * DAY_S)) months.push({ instantS, name: null });
    }
  }
  return [...named, ...months].sort((a, b) => a.instantS - b.instantS);
}

/** Distance of two landings across the way of a track there. */
function acrossMm(a: Landing, b: Landing, way: { readonly dx: number; readonly dy: number }): number {
  const along = Math.hypot(way.dx, way.dy);
  const [dx, dy] = [b.xMm - a.xMm, b.yMm - a.yMm];
  return along === 0 ? Math.hypot(dx, dy) : Math.abs(dx * way.dy - dy * way.dx) / along;
}

/**
 * How far the tracks of two neighbouring days lie apart at noon, across the track, and how wide a line each draws: the
 * disc as it falls on the slanting paper, and the hole, narrowed as the ray sees it and stretched as the paper lies.
 * @source sun-notes 2
 */
function spacingAt(question: TracksQuestion, track: DayTrack): DaySpacing {
  const { noon } = track;
  const { angularDiameterRad } = sunPosition(question.place, noon.instantS);
  const beside = (altitudeRad: number): Landing | null => landing(question.camera, { azimuthRad: noon.azimuthRad, altitudeRad });
  const upper = beside(noon.altitudeRad + angularDiameterRad / 2);
  const lower = beside(noon.altitudeRad - angularDiameterRad / 2);
  const soon = pointAt(question, noon.instantS + 300).landing;
  const tomorrow = pointAt(question, sunDay(question.place, noon.instantS + DAY_S).noonS).landing;
  const here = noon.landing;
  if (here === null || upper === null || lower === null || soon === null || tomorrow === null) {
    return { noonS: noon.instantS, spacingMm: null, discMm: null, blurMm: null, lineMm: null };
  }
  const way = { dx: soon.xMm - here.xMm, dy: soon.yMm - here.yMm };
  const discMm = acrossMm(upper, lower, way);
  const d = question.holeDiameterMm;
  const blurMm = d === undefined
    ? null
    : blurDiameterMm(d * Math.cos(here.offAxisRad), here.distanceMm) / Math.cos(here.incidenceRad);
  return { noonS: noon.instantS, spacingMm: acrossMm(here, tomorrow, way), discMm, blurMm, lineMm: discMm + (blurMm ?? 0) };
}

/** Diameter of the circle that holds 80 % of a point's light, blue light, at a distance behind the hole. */
function blurDiameterMm(diameterMm: number, focalLengthMm: number): number {
  const view = { diameterMm, focalLengthMm, objectDistanceMm: Infinity, light: oneWavelength(PAPER_NM) };
  const share = (radiusMm: number): number => encircledShare(view, [radiusMm])[0] ?? 0;
  let lo = 0;
  let hi = diameterMm;
  while (share(hi) < BLUR_SHARE) hi *= 2;
  for (let step = 0; step < 30; step++) {
    const middle = (lo + hi) / 2;
    if (share(middle) < BLUR_SHARE) lo = middle;
    else hi = middle;
  }
  return lo + hi;
}

/** Highest noon sun of the days asked: where it falls and by how much it stays on the paper, or misses it. */
function highestNoon(question: TracksQuestion, tracks: readonly DayTrack[]): NoonFall | null {
  const highest = tracks.reduce<DayTrack | null>(
    (best, track) => (best === null || track.noon.altitudeRad > best.noon.altitudeRad ? track : best), null,
  );
  if (highest === null) return null;
  const { camera } = question;
  const where = highest.noon.landing;
  const marginMm = where === null
    ? null
    : Math.min(camera.paperHeightMm / 2 - Math.abs(where.yMm), camera.paperWidthMm / 2 - Math.abs(where.xMm));
  return { track: highest, marginMm, remedy: marginMm !== null && marginMm >= 0 ? null : remedyFor(question, highest) };
}

/** The least change that brings a noon sun back on the paper: tilt up, or the hole higher. */
function remedyFor(question: TracksQuestion, track: DayTrack): NoonFall['remedy'] {
  const { camera } = question;
  const { altitudeRad, azimuthRad } = track.noon;
  const on = (changed: SunCamera): boolean => landing(changed, { altitudeRad, azimuthRad })?.onPaper === true;
  const STEP = Math.PI / 360;
  let tiltRad: number | null = null;
  for (let step = 1; step <= 180 && tiltRad === null; step++) {
    const tried = [camera.tiltRad + step * STEP, camera.tiltRad - step * STEP].find(
      (tilt) => Math.abs(tilt) <= Math.PI / 2 && on({ ...camera, tiltRad: tilt }),
    );
    if (tried !== undefined) tiltRad = tried;
  }
  const where = track.noon.landing;
  const misses = where === null ? null : Math.abs(where.yMm) - camera.paperHeightMm / 2;
  const sideways = where === null || Math.abs(where.xMm) > camera.paperWidthMm / 2;
  const holeHeightMm = misses === null || sideways ? null : camera.holeHeightMm - Math.sign(where?.yMm ?? 0) * misses;
  return { tiltRad, holeHeightMm };
}

/**
 * The tracks of the sun on the paper.
 * Valid: thin hole; refraction of a usual day; the tracks of the days between lie between those shown.
 * @throws InputError out-of-range, not-positive, conflict
 * @source sun-notes
 */
export function sunTracks(question: TracksQuestion): SunTracks {
  check(question);
  const days = namedDays(question);
  const tracks = days.map(({ instantS, name }) => dayTrack(question, instantS, name));
  const spacings = tracks.map((track) => spacingAt(question, track));
  const horizonLine = Array.from({ length: 361 }, (_, i) => {
    const azimuthRad = question.camera.azimuthRad + ((i - 180) * Math.PI) / 180;
    return landing(question.camera, { azimuthRad, altitudeRad: skylineRad(question.horizon ?? [], azimuthRad) });
  });
  const seen = horizonLine.filter((where): where is Landing => where !== null);
  const figures = {
    camera: question.camera,
    tracks,
    hourLines: hourLines(question),
    horizon: seen.map(({ xMm, yMm, onPaper }) => ({ xMm, yMm, onPaper })),
    spacings,
    highestNoon: highestNoon(question, tracks),
  };
  return { ...figures, ...tracksSentence(figures, question) };
}
