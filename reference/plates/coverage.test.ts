/**
 * Does the stated uncertainty cover the truth? 200 rendered scans here; thousands by `npm run coverage`, whose figures are
 * committed (bench/coverage-figures.json) and must keep what is promised: 94 to 97 % inside 2 u, at most 0.6 % beyond 3 u.
 */
import { beforeAll, describe, expect, it } from 'vitest';
import { coverageOf, measured } from '../../bench/coverage-runs.ts';
import type { Covered } from '../../bench/coverage-runs.ts';
import figures from '../../bench/coverage-figures.json' with { type: 'json' };

const SCANS = 200;
const FIRST_SEED = 90_001;
/** Holes no wider than this: the rim of a wide one costs time and tells nothing new. */
const WIDEST_PX = 30;
const CHANCE = 0.005;

/** Chance of `most` or fewer hits in `trials`, each with the chance `p` (binomial distribution, summed term by term). */
function atMost(most: number, trials: number, p: number): number {
  let term = (1 - p) ** trials;
  let sum = 0;
  for (let k = 0; k <= most; k++) {
    sum += term;
    term *= ((trials - k) / (k + 1)) * (p / (1 - p));
  }
  return sum;
}

/** Fewest and most hits that chance alone would not explain away at 0.5 % on either side. */
function bounds(trials: number, least: number, most: number): { fewest: number; most: number } {
  let fewest = 0;
  while (atMost(fewest, trials, least) < CHANCE) fewest++;
  let highest = trials;
  while (highest > 0 && 1 - atMost(highest - 1, trials, most) < CHANCE) highest--;
  return { fewest, most: highest };
}

describe('the binomial bounds', () => {
  // Worked by hand: chance of no head in three throws 1/8, of at most one 1/2.
  it('sum the distribution', () => {
    expect(atMost(0, 3, 0.5)).toBeCloseTo(0.125, 12);
    expect(atMost(1, 3, 0.5)).toBeCloseTo(0.5, 12);
    expect(atMost(3, 3, 0.3)).toBeCloseTo(1, 12);
  });
});

describe(`${SCANS} rendered scans`, () => {
  let counted: ReturnType<typeof coverageOf>;
  beforeAll(async () => {
    const outcomes = [];
    for (let index = 0; index < SCANS; index++) outcomes.push(await measured(index, FIRST_SEED, WIDEST_PX));
    counted = coverageOf(outcomes);
  });

  const holds = ({ scans, within2Share, beyond3Share }: Covered): void => {
    const inside = bounds(scans, 0.94, 0.97);
    const within2 = Math.round(within2Share * scans);
    expect(within2).toBeGreaterThanOrEqual(inside.fewest);
    expect(within2).toBeLessThanOrEqual(inside.most);
    expect(Math.round(beyond3Share * scans)).toBeLessThanOrEqual(bounds(scans, 0, 0.006).most);
  };

  it('are all measured', () => expect(counted.families.reduce((sum, { lost }) => sum + lost, 0)).toBe(0));
  it('lie inside what the picture leaves in doubt, scale and edge taken as exact', () => holds(counted.imagePart));
  it('lie inside the whole uncertainty, scale and edge drawn from their terms', () => holds(counted.total));
});

describe('the committed figures', () => {
  it.each([
    ['image part', figures.imagePart],
    ['total', figures.total],
  ])('keep the promise: %s', (_name, { scans, within2Share, beyond3Share }) => {
    expect(scans).toBeGreaterThanOrEqual(2000);
    expect(within2Share).toBeGreaterThanOrEqual(0.94);
    expect(within2Share).toBeLessThanOrEqual(0.97);
    expect(beyond3Share).toBeLessThanOrEqual(0.006);
  });
});
