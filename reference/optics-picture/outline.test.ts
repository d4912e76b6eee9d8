/** Point images of squares, ellipses and an irregular polygon by the line integral along the rim. */
import { describe, expect, it } from 'vitest';
import { edgeIntegral, ellipseShape, oneWavelength, outlineShape, rectangleShape, roundPointImage, roundShape, shapeAreaMm2 } from '#core';
import type { HoleShape } from '#core';
import { family, number } from './families.ts';

const view = (shape: HoleShape, inputs: Record<string, unknown>) => ({
  shape,
  focalLengthMm: number(inputs, 'f_mm'),
  objectDistanceMm: Infinity,
  light: oneWavelength(number(inputs, 'lambda_mm') * 1e6),
});

/** r = 0.2 (1 + 0.05 cos 3t + 0.02 sin 7t), straight edges. */
export const irregular = (count: number): HoleShape =>
  outlineShape([
    Array.from({ length: count }, (_, k) => {
      const t = (2 * Math.PI * k) / count;
      const r = 0.2 * (1 + 0.05 * Math.cos(3 * t) + 0.02 * Math.sin(7 * t));
      return { xMm: r * Math.cos(t), yMm: r * Math.sin(t) };
    }),
  ]);

function check(name: string, count: number, shape: (inputs: Record<string, unknown>) => HoleShape): void {
  for (const { inputs, value, name: row } of family(name, count)) {
    if (row === 'area') continue;
    const point = { xMm: number(inputs, 'x_mm'), yMm: number(inputs, 'y_mm') };
    const { intensity, errorBoundShare } = edgeIntegral(view(shape(inputs), inputs), [point]);
    // the last digits of the truth: 1e-13 in families e and i, 7e-14 in k
    expect(Math.abs((intensity[0] as number) - value), row).toBeLessThan(1e-11);
    expect(errorBoundShare).toBeLessThan(1e-9);
  }
}

describe('line integral along the rim', () => {
  it('square', () => check('e_square', 15, (inputs) => rectangleShape({ widthMm: number(inputs, 'side_mm'), heightMm: number(inputs, 'side_mm') })));
  it('ellipse', () => check('i_ellipse', 30, (inputs) => ellipseShape({ widthMm: number(inputs, 'axis_x_mm'), heightMm: number(inputs, 'axis_y_mm') })));
  it('irregular 72-gon', () => check('k_polygon', 11, () => irregular(72)));
  it('area of the 72-gon', () => {
    const area = family('k_polygon', 11).find(({ name }) => name === 'area');
    expect(shapeAreaMm2(irregular(72))).toBeCloseTo(area?.value ?? NaN, 13);
  });

  it('is the round hole’s own image for a circle, near objects too', () => {
    const of = { focalLengthMm: 106, objectDistanceMm: 300, light: oneWavelength(480) };
    const radii = [0, 0.1, 0.2, 0.29, 0.5, 0.8];
    const round = roundPointImage({ ...of, diameterMm: 0.43 }, radii);
    const { intensity } = edgeIntegral({ ...of, shape: roundShape(0.43) }, radii.map((r) => ({ xMm: 0.6 * r, yMm: 0.8 * r })));
    radii.forEach((_, i) => expect(intensity[i]).toBeCloseTo(round[i] as number, 10));
  });
});
