/** An exposure that is running: where it stands by the time since its start, and what an overrun means on this film. */
import { requirePositive } from '../errors.ts';
import { formatTime, roundedTimeS } from './duration.ts';
import type { Film } from './film.ts';
import { requireNonNegative } from './limits.ts';
import { effectiveTimeS } from './reciprocity.ts';

export interface TimerQuestion {
  /** Since the start was pressed, by a clock and not by counting: true after lock, sleep and another tab. */
  readonly elapsedS: number;
  /** Counted down before the shutter opens. */
  readonly preCountS: number;
  /** To give. */
  readonly timeS: number;
  readonly film: Film | null;
}

export interface TimerState {
  /** Counting down to the opening, shutter open, or past the end. */
  readonly phase: 'count-in' | 'open' | 'over';
  /** To the opening, to the closing, or past it; never negative. */
  readonly leftS: number;
  /** How long the shutter has been open. */
  readonly openS: number;
  /** What has been given more than planned, in stops of exposure on this film; 0 before the end. */
  readonly overStops: number;
  /** The digits to show: `4:05`, `0:07`, `1:02:03`. */
  readonly digits: string;
  /** `Open for 1:20 of 4:00.` */
  readonly sentence: string;
}

/** Minutes and seconds, hours where there are any; rounded up while counting down, so that 0:00 means now. */
export function clockDigits(timeS: number, round: 'up' | 'down' = 'up'): string {
  const whole = Math.max(0, round === 'up' ? Math.ceil(timeS - 1e-6) : Math.floor(timeS + 1e-6));
  const two = (value: number): string => String(value).padStart(2, '0');
  const hours = Math.floor(whole / 3600);
  const minutes = Math.floor(whole / 60) % 60;
  return hours > 0 ? `${hours}:${two(minutes)}:${two(whole % 60)}` : `${minutes}:${two(whole % 60)}`;
}

/**
 * What a longer or shorter exposure is worth against the planned one, stops on this film; positive = more.
 *   log2(t_worth(given) / t_worth(planned)): a film that tires gains less than the clock says
 * @param givenS > 0
 * @param plannedS > 0
 * @throws InputError not-positive
 */
export function differenceStops(film: Film | null, givenS: number, plannedS: number): number {
  return Math.log2(effectiveTimeS(film, givenS) / effectiveTimeS(film, plannedS));
}

/** An overrun below this is nothing. */
const NOTHING_STOPS = 0.05;

/**
 * Where a running exposure stands.
 * @param question times ≥ 0, timeS > 0
 * @throws InputError not-positive, negative
 */
export function timerState(question: TimerQuestion): TimerState {
  const { elapsedS, preCountS, timeS, film } = question;
  requirePositive(timeS, 'the time to give', 's');
  requireNonNegative(preCountS, 'the count before opening', 's');
  requireNonNegative(elapsedS, 'the time since the start', 's');
  if (elapsedS < preCountS) {
    const leftS = preCountS - elapsedS;
    return {
      phase: 'count-in',
      leftS,
      openS: 0,
      overStops: 0,
      digits: String(Math.ceil(leftS - 1e-6)),
      sentence: `Open in ${clockDigits(leftS)}; then ${formatTime(timeS)}.`,
    };
  }
  const openS = elapsedS - preCountS;
  if (openS < timeS) {
    return {
      phase: 'open',
      leftS: timeS - openS,
      openS,
      overStops: 0,
      digits: clockDigits(timeS - openS),
      sentence: `Open for ${clockDigits(openS, 'down')} of ${clockDigits(timeS)}.`,
    };
  }
  const leftS = openS - timeS;
  const overStops = leftS === 0 ? 0 : Math.max(0, differenceStops(film, openS, timeS));
  return {
    phase: 'over',
    leftS,
    openS,
    overStops,
    digits: clockDigits(leftS, 'down'),
    sentence:
      overStops < NOTHING_STOPS
        ? 'Close now.'
        : `Close now: ${formatTime(roundedTimeS(leftS))} over, ${overStops.toFixed(1)} stop${overStops.toFixed(1) === '1.0' ? '' : 's'} too much.`,
  };
}
