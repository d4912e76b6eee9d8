/**
 * Where sun and moon stand. The ephemeris is a library's (truncated VSOP87 and a lunar theory, within 1′ by its own
 * account); this file gives it our units and our words. Instants are seconds since 1970-01-01T00:00Z.
 */
import {
  Body, Equator, GeoMoon, Horizon, Illumination, Observer, Refraction, SearchAltitude, SearchHourAngle, SearchRiseSet, Seasons,
} from 'astronomy-engine';
import { requireInstant, requirePlace } from './place.ts';
import type { Place } from './place.ts';

const DEG = Math.PI / 180;
const DAY_S = 86_400;
/** IAU 2015 nominal solar radius over the astronomical unit. @source iau2015-b3 */
const SUN_RADIUS_AU = 695_700 / 149_597_870.7;
const EARTH_RADIUS_AU = 6378.137 / 149_597_870.7;

export interface SkyPosition {
  /** Of the centre, without refraction; negative below the horizon. */
  readonly altitudeRad: number;
  /** As seen, lifted by refraction at 1010 mbar and 10 °C. */
  readonly apparentAltitudeRad: number;
  /** From true north through east, 0…2π. */
  readonly azimuthRad: number;
}

export interface SunPosition extends SkyPosition {
  readonly declinationRad: number;
  /** Of the whole disc. */
  readonly angularDiameterRad: number;
}

export interface MoonPosition extends SkyPosition {
  /** Sun–moon–earth: 0 at full moon, π at new moon. */
  readonly phaseAngleRad: number;
  /** By how much the earth's radius shows at the moon: says how far it is. */
  readonly horizontalParallaxRad: number;
}

function observer(place: Place): Observer {
  requirePlace(place);
  return new Observer(place.latitudeRad / DEG, place.longitudeRad / DEG, 0);
}

function dateOf(instantS: number): Date {
  requireInstant(instantS, 'instantS');
  return new Date(instantS * 1000);
}

function seen(body: Body, instantS: number, from: Observer): SkyPosition & { readonly declinationRad: number; readonly distanceAu: number } {
  const date = dateOf(instantS);
  const equator = Equator(body, date, from, true, true);
  const horizon = Horizon(date, from, equator.ra, equator.dec);
  return {
    altitudeRad: horizon.altitude * DEG,
    apparentAltitudeRad: (horizon.altitude + Refraction('normal', horizon.altitude)) * DEG,
    azimuthRad: horizon.azimuth * DEG,
    declinationRad: equator.dec * DEG,
    distanceAu: equator.dist,
  };
}

/**
 * The sun at an instant.
 * Valid: 1900…2200; sea level.
 * @throws InputError out-of-range
 * @source nrel-spa
 */
export function sunPosition(place: Place, instantS: number): SunPosition {
  const { distanceAu, ...position } = seen(Body.Sun, instantS, observer(place));
  return { ...position, angularDiameterRad: 2 * Math.asin(SUN_RADIUS_AU / distanceAu) };
}

/**
 * The moon at an instant, seen from the place itself.
 * @throws InputError out-of-range
 */
export function moonPosition(place: Place, instantS: number): MoonPosition {
  const date = dateOf(instantS);
  const { altitudeRad, apparentAltitudeRad, azimuthRad } = seen(Body.Moon, instantS, observer(place));
  return {
    altitudeRad, apparentAltitudeRad, azimuthRad,
    phaseAngleRad: Illumination(Body.Moon, date).phase_angle * DEG,
    horizontalParallaxRad: Math.asin(EARTH_RADIUS_AU / GeoMoon(date).Length()),
  };
}

/** One day of the sun at a place; what does not happen is `null`. */
export interface SunDay {
  /** Upper rim on a level horizon, refraction 34′. */
  readonly riseS: number | null;
  /** Highest. */
  readonly noonS: number;
  readonly setS: number | null;
}

/**
 * Rise, noon and set of the day that has this noon nearest to its middle.
 * @param nearS any instant of the local day, best its middle
 * @throws InputError out-of-range
 */
export function sunDay(place: Place, nearS: number): SunDay {
  const from = observer(place);
  const noonS = SearchHourAngle(Body.Sun, from, 0, dateOf(nearS - DAY_S / 2), 1).time.date.getTime() / 1000;
  const rise = SearchRiseSet(Body.Sun, from, 1, dateOf(noonS), -0.5);
  const set = SearchRiseSet(Body.Sun, from, -1, dateOf(noonS), 0.5);
  return {
    riseS: rise === null ? null : rise.date.getTime() / 1000,
    noonS,
    setS: set === null ? null : set.date.getTime() / 1000,
  };
}

/**
 * When the sun's centre next passes an altitude (without refraction), rising or sinking; `null` within the days asked.
 * @throws InputError out-of-range
 */
export function sunPasses(
  place: Place,
  question: { readonly altitudeRad: number; readonly rising: boolean; readonly fromS: number; readonly withinS: number },
): number | null {
  const found = SearchAltitude(
    Body.Sun, observer(place), question.rising ? 1 : -1, dateOf(question.fromS), question.withinS / DAY_S,
    question.altitudeRad / DEG,
  );
  return found === null ? null : found.date.getTime() / 1000;
}

export interface SeasonStarts {
  readonly marchEquinoxS: number;
  readonly juneSolsticeS: number;
  readonly septemberEquinoxS: number;
  readonly decemberSolsticeS: number;
}

/** @param calendar year 1900…2199 */
export function seasonStarts(calendar: { readonly year: number }): SeasonStarts {
  const seasons = Seasons(calendar.year);
  const second = (time: { readonly date: Date }): number => time.date.getTime() / 1000;
  return {
    marchEquinoxS: second(seasons.mar_equinox),
    juneSolsticeS: second(seasons.jun_solstice),
    septemberEquinoxS: second(seasons.sep_equinox),
    decemberSolsticeS: second(seasons.dec_solstice),
  };
}

/** Every third minute; a cubic between leaves less than a thousandth of a degree, also near the zenith. */
const COURSE_STEP_S = 180;

/**
 * A quantity of the sky over some hours as a smooth function, so that asking it ten thousand times costs little:
 * cubic through the four nearest of its values, taken every three minutes.
 * @param at the quantity itself
 */
export function tabulatedCourse(at: (instantS: number) => number, fromS: number, untilS: number): (instantS: number) => number {
  const count = Math.max(4, Math.ceil((untilS - fromS) / COURSE_STEP_S) + 4);
  const startS = fromS - COURSE_STEP_S;
  const values = Float64Array.from({ length: count }, (_, i) => at(startS + i * COURSE_STEP_S));
  return (instantS) => {
    const place = (instantS - startS) / COURSE_STEP_S;
    const i = Math.max(1, Math.min(count - 3, Math.floor(place)));
    const s = place - i;
    const [a = 0, b = 0, c = 0, d = 0] = values.subarray(i - 1, i + 3);
    // Lagrange through −1, 0, 1, 2
    return (
      (-s * (s - 1) * (s - 2) * a) / 6 + ((s + 1) * (s - 1) * (s - 2) * b) / 2 -
      ((s + 1) * s * (s - 2) * c) / 2 + ((s + 1) * s * (s - 1) * d) / 6
    );
  };
}
