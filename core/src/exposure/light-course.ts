/**
 * How the light goes on: from readings alone, or from the sky's law scaled to them. A course gives EV at ISO 100 at
 * any instant, with the range in which it may truly lie.
 */
import { InputError } from '../errors.ts';
import { FASTEST_CHANGE_STOPS, largestBend } from '../sun/twilight.ts';
import { evOfIlluminance } from './light.ts';
import { requireWithin } from './limits.ts';

/** A light read at an instant. */
export interface LightReading {
  /** Seconds since 1970-01-01T00:00Z. */
  readonly instantS: number;
  readonly ev100Ev: number;
}

/** By which way a course was found. */
export type CourseKind = 'steady' | 'sky' | 'two readings' | 'curve' | 'uneven';

export interface LightCourse {
  readonly kind: CourseKind;
  /** EV at ISO 100. */
  evAt(instantS: number): number;
  /** From dimmest to brightest, k = 2, for the course alone: what all readings have in common is not in it. */
  spanAt(instantS: number): readonly [number, number];
  /** How it was found, a sentence. */
  readonly words: string;
  readonly cautions: readonly string[];
}

/** Judgement, no source: how far two readings by the same hand with the same meter differ, k = 1, stops. */
const READING_STOPS = 0.1;
/** Judgement, no source: a scene follows the sky's law to a tenth of the change, k = 1. */
const LAW_SHARE = 0.1;
/** Judgement: least doubt of a gain found from readings. */
const LEAST_GAIN_DOUBT = 0.05;
/** Change of the law between readings from which on they tell how strongly the scene follows it. */
const GAIN_FROM_EV = 1;
const GAIN_LIMITS = [0.4, 2] as const;
/** Readings that miss a smooth curve, or turn, by more than this go up and down. Judgement. */
const UNEVEN_STOPS = 0.4;
const COVERAGE = 2;

function sorted(readings: readonly LightReading[]): LightReading[] {
  const first = readings[0];
  if (first === undefined) {
    throw new InputError('missing', 'Give at least one reading of the light, with its time.', {
      path: 'readings', expected: 'time and EV at ISO 100',
    });
  }
  for (const reading of readings) {
    requireWithin(reading.ev100Ev, 'ev100Ev');
    if (!Number.isFinite(reading.instantS)) {
      throw new InputError('not-understood', 'A reading has no time.', { path: 'readings', got: reading.instantS });
    }
  }
  const inOrder = [...readings].sort((a, b) => a.instantS - b.instantS);
  inOrder.slice(1).forEach((reading, i) => {
    const before = inOrder[i] ?? first;
    if (reading.instantS - before.instantS >= 1) return;
    throw new InputError('conflict', 'Two readings have the same time. Leave one out, or take its right time.', {
      path: 'readings', got: reading.instantS, expected: 'times at least a second apart',
    });
  });
  return inOrder;
}

/** A light that stays as it is. */
export function steadyCourse(ev100Ev: number): LightCourse {
  requireWithin(ev100Ev, 'ev100Ev');
  return {
    kind: 'steady',
    evAt: () => ev100Ev,
    spanAt: () => [ev100Ev, ev100Ev],
    words: 'The light is taken to stay as it is.',
    cautions: [],
  };
}

function lineThrough(points: readonly { readonly x: number; readonly y: number }[]): { slope: number; xBar: number; yBar: number; sxx: number } {
  const n = points.length;
  const xBar = points.reduce((sum, { x }) => sum + x, 0) / n;
  const yBar = points.reduce((sum, { y }) => sum + y, 0) / n;
  const sxx = points.reduce((sum, { x }) => sum + (x - xBar) ** 2, 0);
  const sxy = points.reduce((sum, { x, y }) => sum + (x - xBar) * (y - yBar), 0);
  return { slope: sxx > 0 ? sxy / sxx : 0, xBar, yBar, sxx };
}

/**
 * The sky's law scaled to readings of the scene.
 *   EV(t) = EV̄ + g·(law(t) − law̄), g = 1, or fitted when the readings span a stop of the law or more
 * The doubt grows with the distance from the readings along the law.
 * Valid: a sky that stays as clear, or as evenly covered, as it was at the readings.
 * @param illuminanceLux light of the sky on level ground at an instant (seconds since 1970-01-01T00:00Z), > 0
 * @throws InputError missing, conflict, out-of-range
 * @source seidelmann1992
 */
export function skyCourse(
  illuminanceLux: (instantS: number) => number,
  readings: readonly LightReading[],
): LightCourse {
  const read = sorted(readings);
  const law = (instantS: number): number => Math.log2(illuminanceLux(instantS));
  const points = read.map(({ instantS, ev100Ev }) => ({ x: law(instantS), y: ev100Ev }));
  const spread = Math.max(...points.map(({ x }) => x)) - Math.min(...points.map(({ x }) => x));
  const { slope, xBar, yBar, sxx } = lineThrough(points);
  const fitted = read.length > 1 && spread >= GAIN_FROM_EV;
  const gain = fitted ? Math.min(GAIN_LIMITS[1], Math.max(GAIN_LIMITS[0], slope)) : 1;
  const misses = points.map(({ x, y }) => y - yBar - gain * (x - xBar));
  const rest = Math.hypot(...misses) / Math.sqrt(Math.max(1, read.length - (fitted ? 2 : 1)));
  const readingDoubt = Math.max(READING_STOPS, read.length > 1 ? rest : 0);
  const gainDoubt = fitted ? Math.max(LEAST_GAIN_DOUBT, readingDoubt / Math.sqrt(sxx)) : LAW_SHARE;
  const evAt = (instantS: number): number => yBar + gain * (law(instantS) - xBar);
  const cautions: string[] = [];
  if (fitted && slope !== gain) {
    cautions.push('Your readings change far otherwise than a clear sky; leave the place out and trust the readings alone.');
  } else if (fitted && Math.abs(gain - 1) > 0.15) {
    cautions.push(
      `Your scene changes ${gain.toFixed(2)} times as fast as light on level ground under a clear sky, and is carried on so.`,
    );
  }
  return {
    kind: 'sky',
    evAt,
    spanAt(instantS) {
      const half = COVERAGE * Math.hypot(readingDoubt / Math.sqrt(read.length), gainDoubt * (law(instantS) - xBar));
      const ev = evAt(instantS);
      return [ev - half, ev + half];
    },
    words:
      `Sun and moon for this place and date, by the law for a clear sky, scaled to your reading` +
      `${read.length > 1 ? 's' : ''}.`,
    cautions,
  };
}

/** Judgement: what a landscape under a clear sky meters against level ground, k = 1. */
export const UNREAD_SKY_STOPS = 0.75;
/** Darker than any night: nothing meters it. */
const DARKEST_LUX = 1e-4;

/**
 * The sky's law as it is, where nobody has read the light: that on level ground, with a doubt of `UNREAD_SKY_STOPS`
 * beside its own.
 * @source seidelmann1992
 */
export function unreadSkyCourse(illuminanceLux: (instantS: number) => number, openAtS: number): LightCourse {
  const ev100Ev = evOfIlluminance(Math.max(DARKEST_LUX, illuminanceLux(openAtS)));
  return {
    ...skyCourse(illuminanceLux, [{ instantS: openAtS, ev100Ev }]),
    words: 'Sun and moon for this place and date, by the law for a clear sky on level ground; nothing was read.',
  };
}

function fromTwo([a, b]: readonly [LightReading, LightReading]): LightCourse {
  const slope = (b.ev100Ev - a.ev100Ev) / (b.instantS - a.instantS);
  const evAt = (instantS: number): number => a.ev100Ev + slope * (instantS - a.instantS);
  const bend = largestBend(slope) * slope * slope;
  /** What the largest bend takes away, until the fastest fall there is. */
  const bentAway = (instantS: number): number => {
    const outside = instantS > b.instantS ? instantS - b.instantS : instantS < a.instantS ? a.instantS - instantS : 0;
    if (outside === 0) return 0;
    // a falling light bends on into the dark; before its first reading it bent less
    const over = outside + (b.instantS - a.instantS);
    const free = 0.5 * bend * outside * over;
    // falling: no faster than a clear sky can; rising: never back into falling
    const room = slope < 0 ? Math.max(0, FASTEST_CHANGE_STOPS + slope) : slope;
    return Math.min(free, room * outside);
  };
  const doubtAt = (instantS: number): number => {
    const w = (instantS - a.instantS) / (b.instantS - a.instantS);
    return COVERAGE * READING_STOPS * Math.hypot(1 - w, w);
  };
  return {
    kind: 'two readings',
    evAt,
    spanAt(instantS) {
      const ev = evAt(instantS);
      const half = doubtAt(instantS);
      return [ev - Math.hypot(half, bentAway(instantS)), ev + half];
    },
    words: 'Your two readings, carried on at the same number of stops a minute.',
    cautions: [
      slope < 0
        ? 'At dusk the light falls faster and faster, so this is the shortest it can be; a third reading, or the place, tells the bend.'
        : 'Two readings cannot tell how the change itself changes; a third, or the place, tells the bend.',
    ],
  };
}

/** Normal equations of a parabola, 3 × 3, by elimination. */
function solve3(matrix: number[][], right: number[]): number[] {
  const rows = matrix.map((row, i) => [...row, right[i] ?? 0]);
  for (let i = 0; i < 3; i++) {
    const pivot = rows.slice(i).reduce((best, row) => (Math.abs(row[i] ?? 0) > Math.abs(best[i] ?? 0) ? row : best));
    rows.splice(rows.indexOf(pivot), 1);
    rows.splice(i, 0, pivot);
    for (let j = 0; j < 3; j++) {
      if (j === i) continue;
      const share = (rows[j]?.[i] ?? 0) / (pivot[i] ?? 1);
      rows[j] = (rows[j] ?? []).map((value, k) => value - share * (pivot[k] ?? 0));
    }
  }
  return rows.map((row, i) => (row[3] ?? 0) / (row[i] ?? 1));
}

function uneven(read: readonly LightReading[]): LightCourse {
  const evs = read.map(({ ev100Ev }) => ev100Ev);
  // the mean of the light, not of the EV: a minute of sun counts for more than a minute of cloud
  const mean = Math.log2(evs.reduce((sum, ev) => sum + 2 ** ev, 0) / evs.length);
  const lo = Math.min(...evs);
  const hi = Math.max(...evs);
  const between = (instantS: number): number | null => {
    const i = read.findIndex((reading) => reading.instantS >= instantS);
    const after = read[i];
    const before = read[Math.max(0, i - 1)];
    if (after === undefined || before === undefined || instantS < (read[0]?.instantS ?? 0)) return null;
    const span = after.instantS - before.instantS;
    return span === 0
      ? after.ev100Ev
      : before.ev100Ev + ((after.ev100Ev - before.ev100Ev) * (instantS - before.instantS)) / span;
  };
  return {
    kind: 'uneven',
    evAt: (instantS) => between(instantS) ?? mean,
    spanAt(instantS) {
      const ev = between(instantS);
      if (ev !== null) return [ev - COVERAGE * READING_STOPS, ev + COVERAGE * READING_STOPS];
      // a mean of so many readings, each anywhere between the extremes
      const half = Math.max(COVERAGE * READING_STOPS, (COVERAGE * (hi - lo)) / Math.sqrt(12 * read.length));
      return [Math.max(lo, mean - half), Math.min(hi, mean + half)];
    },
    words: 'Your readings go up and down: followed from one to the next, and on at their mean.',
    cautions: ['Go on reading while the shutter is open; each reading makes the answer surer.'],
  };
}

function curveThrough(read: readonly LightReading[]): LightCourse {
  const first = read[0] as LightReading;
  const last = read[read.length - 1] as LightReading;
  const scaleS = last.instantS - first.instantS;
  const x = (instantS: number): number => (instantS - last.instantS) / scaleS;
  const sums = [0, 1, 2, 3, 4].map((power) => read.reduce((sum, r) => sum + x(r.instantS) ** power, 0));
  const matrix = [0, 1, 2].map((i) => [0, 1, 2].map((j) => sums[i + j] ?? 0));
  const right = [0, 1, 2].map((i) => read.reduce((sum, r) => sum + x(r.instantS) ** i * r.ev100Ev, 0));
  const [c = 0, b = 0, a = 0] = solve3(matrix, right);
  const parabola = (t: number): number => c + t * (b + t * a);
  const misses = read.map((r) => r.ev100Ev - parabola(x(r.instantS)));
  const rest = Math.hypot(...misses) / Math.sqrt(Math.max(1, read.length - 3));
  const turns = read.slice(2).some((r, i) => {
    const [p, q] = [read[i] as LightReading, read[i + 1] as LightReading];
    const [up, down] = [q.ev100Ev - p.ev100Ev, r.ev100Ev - q.ev100Ev];
    return up * down < 0 && Math.min(Math.abs(up), Math.abs(down)) > UNEVEN_STOPS;
  });
  if (turns || rest > UNEVEN_STOPS) return uneven(read);
  // where the curve would turn back it levels off instead; nothing changes faster than a clear sky at dusk
  const turnAt = a === 0 ? Infinity : -b / (2 * a);
  const steepest = FASTEST_CHANGE_STOPS * scaleS;
  const steepAt = a === 0 ? Infinity : (Math.sign(a) * steepest - b) / (2 * a);
  const value = (t: number): number => {
    if (t <= 0) return parabola(Math.max(t, -2));
    const until = turnAt > 0 ? Math.min(t, turnAt) : t;
    if (turnAt <= 0 && steepAt > 0 && until > steepAt) {
      return parabola(steepAt) + Math.sign(a) * steepest * (until - steepAt);
    }
    return parabola(until);
  };
  const doubt = Math.max(READING_STOPS, rest);
  const halfAt = (t: number): number => {
    const powers = [1, t, t * t];
    const solved = solve3(matrix, powers);
    const variance = powers.reduce((sum, power, i) => sum + power * (solved[i] ?? 0), 0);
    return COVERAGE * doubt * Math.sqrt(Math.max(0, variance));
  };
  return {
    kind: 'curve',
    evAt: (instantS) => value(x(instantS)),
    spanAt(instantS) {
      const t = x(instantS);
      const ev = value(t);
      const half = halfAt(t);
      // however little the readings say, the light changes no faster than a clear sky's
      const free = Math.abs(t) * steepest + COVERAGE * doubt;
      return [
        Math.max(ev - half, Math.min(ev, (last.ev100Ev ?? ev) - free)),
        Math.min(ev + half, Math.max(ev, (last.ev100Ev ?? ev) + free)),
      ];
    },
    words: `A curve through your ${read.length} readings, carried on with the bend that they show.`,
    cautions: turnAt > 0 && Number.isFinite(turnAt) && turnAt < 2
      ? ['By your readings the change is slowing down; the light is taken to level off, not to turn.']
      : [],
  };
}

/**
 * A course from readings alone, without any place. Two give a steady number of stops a minute, and the range is
 * widened by the largest bend that a clear sky can have; three or more give the bend, by least squares; readings that
 * go up and down are followed from one to the next and carried on at their mean.
 * @throws InputError missing: fewer than two readings; conflict: two at the same time; out-of-range
 * @source jcgm100 5.1.2
 */
export function readingsCourse(readings: readonly LightReading[]): LightCourse {
  const read = sorted(readings);
  const [a, b] = read;
  if (a === undefined || b === undefined) {
    throw new InputError(
      'missing',
      'One reading does not tell how the light changes: give a second one some minutes later, or the place and time.',
      { path: 'readings', expected: 'two readings or more' },
    );
  }
  if (read.length === 2) return fromTwo([a, b]);
  return curveThrough(read);
}

/** How long a light is followed without a better end, and in which steps. */
const LONGEST_S = 14 * 3600;
const STEP_S = 300;
const LEAST_S = 3600;
/** So many stops down, what still comes is 1/4000 of what there was. */
const GONE_STOPS = 12;

/**
 * Until when light is worth waiting for: a light that falls at opening is followed to where it is least (then another
 * day begins) or twelve stops down, any other for fourteen hours.
 * @param openAtS seconds since 1970-01-01T00:00Z
 */
export function endOfLight(course: LightCourse, openAtS: number): number {
  const openEv = course.evAt(openAtS);
  const until = openAtS + LONGEST_S;
  if (course.evAt(openAtS + 60) >= openEv) return until;
  let at = openAtS;
  for (let t = openAtS; t <= until; t += STEP_S) {
    const ev = course.evAt(t);
    if (course.kind !== 'sky' && ev < openEv - GONE_STOPS) return Math.max(t, openAtS + LEAST_S);
    if (ev < course.evAt(at) - 1e-9) at = t;
  }
  return Math.max(at, openAtS + LEAST_S);
}
