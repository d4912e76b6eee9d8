/** Point images, encircled energy and contrast of round holes against values of 14 digits and more. */
import { describe, expect, it } from 'vitest';
import { encircledShare, mixedLight, oneWavelength, roundOtf, roundPointImage } from '#core';
import { family, number, worst } from './families.ts';
import type { Row } from './families.ts';

const view = (inputs: Record<string, unknown>) => ({
  diameterMm: number(inputs, 'd_mm'),
  focalLengthMm: number(inputs, 'f_mm'),
  objectDistanceMm: typeof inputs['object_mm'] === 'number' ? inputs['object_mm'] : Infinity,
  light:
    inputs['lambdas_nm'] === undefined
      ? oneWavelength(number(inputs, 'lambda_mm') * 1e6)
      : mixedLight((inputs['lambdas_nm'] as number[]).map((wavelengthNm) => ({ wavelengthNm, weightShare: 1 }))),
});

describe('round hole', () => {
  it('on the axis, 4 sin²(π N_F / 2), any object distance', () => {
    const rows = family('a_on_axis', 11);
    const error = worst(rows, ({ inputs, value }) => {
      if (inputs['N_F'] !== undefined) {
        // any hole with this Fresnel number
        const diameterMm = 2 * Math.sqrt(number(inputs, 'N_F') * 0.00055 * 100);
        const [got] = roundPointImage(
          { diameterMm, focalLengthMm: 100, objectDistanceMm: Infinity, light: oneWavelength(550) },
          [0],
        );
        return (got as number) - value;
      }
      return (roundPointImage(view(inputs), [0])[0] as number) - value;
    });
    expect(error).toBeLessThan(4e-9);
  });

  // peaks are up to 4; 1e-9 of them is asked for, the nodes leave 1e-11
  it('radial profiles, one radius at a time and all at once', () => {
    const rows = family('b_radial_profile', 81);
    expect(worst(rows, ({ inputs, value }) => (roundPointImage(view(inputs), [number(inputs, 'r_mm')])[0] as number) - value)).toBeLessThan(1e-10);
    const groups = new Map<string, Row[]>();
    for (const row of rows) {
      const key = JSON.stringify({ ...row.inputs, r_mm: 0 });
      groups.set(key, [...(groups.get(key) ?? []), row]);
    }
    for (const group of groups.values()) {
      // enough further radii that the image is had by interpolation
      const radii = [...group.map(({ inputs }) => number(inputs, 'r_mm')), ...Array.from({ length: 400 }, (_, i) => i / 500)];
      const image = roundPointImage(view((group[0] as Row).inputs), radii);
      group.forEach(({ value }, i) => expect(Math.abs((image[i] as number) - value)).toBeLessThan(1e-9));
    }
  });

  it('contrast', () => {
    const rows = family('c_mtf_on_axis', 27);
    const error = worst(rows, ({ inputs, value }) => {
      const object = inputs['object'] ?? inputs['object_mm'];
      const objectDistanceMm = typeof object === 'number' ? object : Infinity;
      const got = roundOtf({ ...view(inputs), objectDistanceMm }, [number(inputs, 'nu_cycles_per_mm')]);
      return (got[0] as number) - value;
    });
    expect(error).toBeLessThan(1e-12);
  });

  it('encircled energy', () => {
    const rows = family('d_encircled_energy', 40);
    const error = worst(rows, ({ inputs, value }) => (encircledShare(view(inputs), [number(inputs, 'R_mm')])[0] as number) - value);
    expect(error).toBeLessThan(1e-10);
  });

  it('several wavelengths', () => {
    const image = family('j_polychromatic_psf', 14);
    expect(worst(image, ({ inputs, value }) => (roundPointImage(view(inputs), [number(inputs, 'r_mm')])[0] as number) - value)).toBeLessThan(1e-10);
    const otf = family('j_polychromatic_mtf', 8);
    expect(worst(otf, ({ inputs, value }) => (roundOtf(view(inputs), [number(inputs, 'nu_cycles_per_mm')])[0] as number) - value)).toBeLessThan(1e-12);
  });
});
