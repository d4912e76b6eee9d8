import { describe, expect, it } from 'vitest';
import { fieldContrast, oneWavelength, roundShape } from '#core';
import { curvesOf, fallsThrough, valueAt } from './contrast.ts';

describe('reading the contrast curves', () => {
  it('reads between samples and nothing beyond them', () => {
    expect(valueAt([0, 1, 3], [1, 0.5, 0.1], 2)).toBeCloseTo(0.3, 12);
    expect(valueAt([0, 1, 3], [1, 0.5, 0.1], 3)).toBeCloseTo(0.1, 12);
    expect(valueAt([0, 1, 3], [1, 0.5, 0.1], 3.1)).toBeNull();
    expect(valueAt([0, 1], [1, 0.5, 0.1], 0.5)).toBeNull();
  });

  it('finds the first fall through a contrast, not a later one', () => {
    expect(fallsThrough([0, 1, 2, 3, 4], [1, 0.2, -0.1, 0.15, 0], 0.1)).toBeCloseTo(1 + 1 / 3, 12);
    expect(fallsThrough([0, 1], [1, 0.6], 0.1)).toBeNull();
  });

  it('names centre, edge and corner, the worse direction standing for the centre', () => {
    const camera = { frame: { widthMm: 120, heightMm: 95 }, focalLengthMm: 106, holeShift: { xMm: 0, yMm: 0 } };
    const view = { camera, shape: roundShape(0.43), objectDistanceMm: Infinity, light: oneWavelength(550) };
    const curves = curvesOf(fieldContrast(view, [0, 2, 4]));
    expect(curves.map(({ key }) => key)).toEqual(['centre', 'edge-t', 'edge-s', 'corner-t', 'corner-s']);
    for (const { values } of curves) expect(values[0]).toBeCloseTo(1, 9);
    const [, , , tangential, sagittal] = curves;
    expect(Number(tangential?.values[1])).toBeLessThan(Number(sagittal?.values[1]));
  });
});
