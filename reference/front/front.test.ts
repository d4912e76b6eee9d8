import { describe, expect, test } from 'vitest';
import { parseFrontStack, transmissionAt } from '#core';
import data from './data.json';

/** Largest error allowed, by the route the values were computed on. */
const TOLERANCES = {
  chords: { absolute: 1e-9, why: '300 000 chords: rounding and the curvature within a chord' },
  rays: { absolute: 6e-4, why: 'a million rays on a grid' },
} as const;

describe('what film points see, against chords and rays', () => {
  test('no case is dropped', () => {
    expect(data.cases).toHaveLength(19);
    expect(data.cases.flatMap(({ transmission }) => transmission)).toHaveLength(19 * 8);
  });

  for (const { name, how, stack, transmission } of data.cases) {
    test(name, () => {
      const { question, points } = parseFrontStack(JSON.stringify(stack));
      const seen = transmissionAt(question, points);
      const tolerance = TOLERANCES[how as keyof typeof TOLERANCES].absolute;
      for (const [i, { transmissionShare }] of seen.entries()) {
        expect.soft(Math.abs(transmissionShare - (transmission[i] as number)), `point ${i}: ${transmissionShare}, ${transmission[i]}`)
          .toBeLessThanOrEqual(tolerance);
      }
    });
  }
});
