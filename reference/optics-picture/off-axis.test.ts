/** Slanting light against the exact Rayleigh–Sommerfeld integral, within the stated validity. */
import { describe, expect, it } from 'vitest';
import { edgeIntegral, oneWavelength, roundShape, slantedView } from '#core';
import { family, number } from './families.ts';

describe('off the axis', () => {
  it('point image of the slanted hole: 3e-3 to 60° (the coma-like term of third order remains)', () => {
    for (const { inputs, value, name } of family('l_offaxis_exact_RS', 24)) {
      const slantRad = (number(inputs, 'theta_deg') * Math.PI) / 180;
      const focalLengthMm = number(inputs, 'f_mm');
      const view = slantedView(
        {
          shape: roundShape(number(inputs, 'd_mm')),
          focalLengthMm,
          objectDistanceMm: Infinity,
          light: oneWavelength(number(inputs, 'lambda_mm') * 1e6),
        },
        { azimuthRad: 0, slantRad, distanceMm: focalLengthMm / Math.cos(slantRad) },
      );
      if (view === null) throw new Error(name);
      const point = { xMm: number(inputs, 'dx_film_mm') * Math.cos(slantRad), yMm: number(inputs, 'dy_film_mm') };
      expect(Math.abs((edgeIntegral(view, [point]).intensity[0] as number) - value), name).toBeLessThan(3e-3);
    }
  });

  it('on the axis Fresnel errs by less than 3e-4 for f/100 and slower', () => {
    for (const { inputs, value, name } of family('l_onaxis_exact_RS', 8)) {
      const view = {
        shape: roundShape(number(inputs, 'd_mm')),
        focalLengthMm: number(inputs, 'f_mm'),
        objectDistanceMm: Infinity,
        light: oneWavelength(number(inputs, 'lambda_mm') * 1e6),
      };
      const got = edgeIntegral(view, [{ xMm: 0, yMm: 0 }]).intensity[0] as number;
      expect(Math.abs(got - value), name).toBeLessThan(3e-4);
    }
  });
});
