/** Best holes found by maximising, against optima found elsewhere in 30 digits. */
import { describe, expect, it } from 'vitest';
import { bestHoleInLight, finestDetailPerMm, oneWavelength, sharpestDiameter } from '#core';
import { family, number } from './families.ts';

const at = (inputs: Record<string, unknown>) => ({
  focalLengthMm: number(inputs, 'f_mm'),
  objectDistanceMm: Infinity,
  light: oneWavelength(number(inputs, 'lambda_mm') * 1e6),
});

describe('best hole computed', () => {
  it('the diameter that shows one frequency best', () => {
    const rows = family('g_optimum_diameter', 96).filter(({ inputs }) => inputs['nu_cycles_per_mm'] !== undefined);
    expect(rows).toHaveLength(18);
    for (const { inputs, value, name } of rows) {
      expect(Math.abs(sharpestDiameter(at(inputs), number(inputs, 'nu_cycles_per_mm')).diameterMm / value - 1), name).toBeLessThan(1e-9);
    }
  });

  it('the highest frequency at a contrast', () => {
    const criteria = { 50: 'contrast-50', 20: 'detail-20', 10: 'detail-10' } as const;
    for (const { inputs, value, name } of family('g_max_frequency', 24)) {
      const percent = Number(/MTF (\d+)%/.exec(name)?.[1]);
      if (!(percent in criteria)) continue;
      const view = at(inputs);
      const { diameterMm } = bestHoleInLight({ ...view, criterion: criteria[percent as keyof typeof criteria] });
      // the very best hole sits on the edge where the contrast just touches: a hair smaller, no longer there
      expect(Math.abs(finestDetailPerMm({ ...view, diameterMm }, percent / 100) / value - 1), name).toBeLessThan(1e-5);
    }
  });
});
