/** What this room accepts, and the sentences with which it refuses the rest. */
import { InputError, inWords } from '../errors.ts';

export interface Limits {
  readonly name: string;
  readonly unit: string;
  readonly min: number;
  readonly max: number;
  /** What to do about a value outside. */
  readonly remedy: string;
}

/** Wide enough for anything under the sky and in the camera; outside stands a slip of the pen. */
export const LIMITS = {
  fNumber: {
    name: 'The f-number of the hole',
    unit: '',
    min: 1,
    max: 10_000,
    remedy: 'It is the focal length divided by the hole diameter, both in the same unit.',
  },
  meterFNumber: {
    name: 'The f-number on the meter',
    unit: '',
    min: 0.5,
    max: 10_000,
    remedy: 'Give the f-number at which the time was read, for example 16.',
  },
  ev100Ev: {
    name: 'EV at ISO 100',
    unit: 'EV',
    min: -16,
    max: 24,
    remedy: 'Full sun is 15, a dark room 3, a moonlit field −3; check that the meter was set to ISO 100.',
  },
  iso: {
    name: 'The speed or exposure index',
    unit: 'ISO',
    min: 0.01,
    max: 102_400,
    remedy: 'Paper lies near 3, film between 25 and 3200.',
  },
  meteredS: {
    name: 'The metered time',
    unit: 's',
    min: 1e-5,
    max: 1e7,
    remedy: 'Give seconds, for example 0.5 for half a second.',
  },
  filterFactor: {
    name: 'The filter factor',
    unit: '',
    min: 1,
    max: 1e7,
    remedy: 'A filter can only take light away: 1 is no filter, 8 is three stops.',
  },
  filterStops: {
    name: 'The filter',
    unit: 'stops',
    min: 0,
    max: 24,
    remedy: 'A filter can only take light away: give the stops it costs, 0 or more.',
  },
  falloffStops: {
    name: 'The falloff',
    unit: 'stops',
    min: 0,
    max: 20,
    remedy: 'Give the stops lost at the part of the frame that matters, 0 or more.',
  },
  illuminanceLux: {
    name: 'The illuminance',
    unit: 'lx',
    min: 1e-4,
    max: 2e7,
    remedy: 'Full sun is about 100 000 lx, a living room 100 lx.',
  },
  luminanceCdPerM2: {
    name: 'The luminance',
    unit: 'cd/m²',
    min: 2e-6,
    max: 2e6,
    remedy: 'A sunlit landscape is about 4000 cd/m².',
  },
  standardUncertaintyStops: {
    name: 'The standard uncertainty',
    unit: 'stops',
    min: 0,
    max: 5,
    remedy: 'Give stops, for example 0.17 for a third of a stop at k = 2.',
  },
  bracketStops: {
    name: 'The step of the bracket',
    unit: 'stops',
    min: 0.25,
    max: 4,
    remedy: 'Half a stop or whole stops are usual.',
  },
  handReactionS: {
    name: 'The error of the hand on the shutter',
    unit: 's',
    min: 0,
    max: 10,
    remedy: 'About 0.3 s for a hand, 0 for a shutter that needs none.',
  },
} as const satisfies Readonly<Record<string, Limits>>;

/** @throws InputError out-of-range, with the remedy of that quantity */
export function requireWithin(value: number, quantity: keyof typeof LIMITS): void {
  const { name, unit, min, max, remedy } = LIMITS[quantity];
  if (Number.isFinite(value) && value >= min && value <= max) return;
  const tail = unit === '' ? '' : ` ${unit}`;
  throw new InputError(
    'out-of-range',
    `${name} must lie between ${min} and ${max}${tail}, but is ${value}. ${remedy}`,
    { path: quantity, got: value, expected: `${min}…${max}${tail}` },
  );
}

/** @throws InputError `negative` unless `value` is finite and ≥ 0 */
export function requireNonNegative(value: number, path: string, unit: string): void {
  if (Number.isFinite(value) && value >= 0) return;
  throw new InputError('negative', `${inWords(path)} must be 0 ${unit} or more, but is ${value}.`, {
    path,
    got: value,
    expected: `≥ 0 ${unit}`,
  });
}
