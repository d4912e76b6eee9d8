import { expect, it } from 'vitest';
import { shiftSentence } from './middle.ts';

it('says where the hole is on its plate, by what, and what to do', () => {
  expect(shiftSentence({ xMm: 0.416, yMm: -0.3, by: 'cross', standardUncertaintyMm: 0.012 })).toBe(
    'The hole is 0.42 mm right of and 0.30 mm below the middle, seen from the film side (the middle from the drawn cross, ± 0.02 mm). ' +
      'Shift the plate by as much the other way.',
  );
  // Passes of earlier versions carry no uncertainty.
  expect(shiftSentence({ xMm: -1, yMm: 0, by: 'edges' })).toContain('1.00 mm left of and 0.00 mm above the middle, seen from the film side (the middle from the plate’s edges)');
});
