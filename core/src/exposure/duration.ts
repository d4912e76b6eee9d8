/** Times as one says them with a watch in hand, rounded no finer than the exposure is known. */

/** Steps a watch, a wall clock and a calendar offer, seconds. */
const STEPS_S = [
  0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10_800, 21_600, 43_200, 86_400, 172_800,
  432_000, 864_000, 2_592_000, 8_640_000, 31_536_000,
];
/** Denominators of short shutter times. */
const PARTS = [
  2, 3, 4, 5, 6, 8, 10, 13, 15, 20, 25, 30, 40, 50, 60, 80, 100, 125, 160, 200, 250, 320, 400, 500, 640, 800, 1000,
  1250, 1600, 2000, 2500, 3200, 4000, 5000, 6400, 8000,
];
/** Below this a shutter speed is written as a fraction. */
const FRACTION_BELOW_S = 0.35;

/** Up to here one counts seconds: 64 s, 90 s. */
const SECONDS_BELOW_S = 99.5;

const MINUTE = 60;
const HOUR = 3600;
const DAY = 86_400;
const YEAR = 365.25 * DAY;

/**
 * A time rounded to a step people use, at most `share` of the time itself.
 * @param timeS > 0
 * @param share 0.05 for the time to give (0.07 stop), 0.2 for the ends of a range
 */
export function roundedTimeS(timeS: number, share = 0.05): number {
  if (timeS < FRACTION_BELOW_S) return 1 / nearestPart(timeS);
  const step = STEPS_S.filter((candidate) => candidate <= timeS * share).at(-1) ?? 0.1;
  // 58 × 0.1 is 5.800000000000001: the tenth is meant.
  return Number((Math.round(timeS / step) * step).toPrecision(12));
}

function nearestPart(timeS: number): number {
  const wanted = 1 / timeS;
  const apart = (part: number): number => Math.abs(Math.log(part / wanted));
  const nearest = PARTS.reduce((best, part) => (apart(part) < apart(best) ? part : best), 2);
  return apart(nearest) < 0.2 ? nearest : Number(wanted.toPrecision(2));
}

function decimals(value: number, digits: number): string {
  return String(Number(value.toFixed(digits)));
}

/** Larger unit and remainder in the smaller, remainder left out when 0: `2 h 40 min`. */
function twoUnits(time: {
  readonly whole: number;
  readonly rest: number;
  readonly big: string;
  readonly small: string;
}): string {
  return time.rest === 0 ? `${time.whole} ${time.big}` : `${time.whole} ${time.big} ${time.rest} ${time.small}`;
}

/**
 * A time in words as given, to the second below an hour: `1/4 s`, `2.5 s`, `42 s`, `6 min 30 s`, `2 h 40 min`,
 * `3 days 4 h`. Round first with `roundedTimeS` where a sentence wants round figures.
 * @param timeS ≥ 0
 */
export function formatTime(timeS: number): string {
  if (timeS < FRACTION_BELOW_S && timeS > 0) return `1/${nearestPart(timeS)} s`;
  if (timeS < 9.95) return `${decimals(timeS, 1)} s`;
  if (timeS < SECONDS_BELOW_S) return `${Math.round(timeS)} s`;
  if (timeS < HOUR - 0.5) {
    const seconds = Math.round(timeS);
    return twoUnits({ whole: Math.floor(seconds / MINUTE), rest: seconds % MINUTE, big: 'min', small: 's' });
  }
  if (timeS < DAY - MINUTE / 2) {
    const minutes = Math.round(timeS / MINUTE);
    return twoUnits({ whole: Math.floor(minutes / 60), rest: minutes % 60, big: 'h', small: 'min' });
  }
  if (timeS < 60 * DAY) {
    const hours = Math.round(timeS / HOUR);
    const whole = Math.floor(hours / 24);
    return twoUnits({ whole, rest: hours % 24, big: whole === 1 ? 'day' : 'days', small: 'h' });
  }
  if (timeS < 2 * YEAR) return `${Math.round(timeS / DAY)} days`;
  if (timeS < 1e4 * YEAR) return `${Math.round(timeS / YEAR)} years`;
  return 'more than 10 000 years';
}

/** A range in words, its ends rounded a little coarser than the time between them, never across it. */
export function formatRange(range: { readonly loS: number; readonly timeS: number; readonly hiS: number }): {
  readonly lo: string;
  readonly time: string;
  readonly hi: string;
} {
  const timeS = roundedTimeS(range.timeS);
  const edge = (edgeS: number, fits: (rounded: number) => boolean): number => {
    const coarse = roundedTimeS(edgeS, 0.2);
    if (fits(coarse)) return coarse;
    const fine = roundedTimeS(edgeS);
    return fits(fine) ? fine : timeS;
  };
  return {
    lo: formatTime(edge(range.loS, (rounded) => rounded <= timeS)),
    time: formatTime(timeS),
    hi: formatTime(edge(range.hiS, (rounded) => rounded >= timeS)),
  };
}
