import type { PassRecord } from '#core';
import { describe, expect, it } from 'vitest';
import { descriptionOf, marksOf, rimRadiusMm, unrolled } from './hole-drawing.ts';

function ellipse(a: number, b: number, count = 720): [number, number][] {
  return Array.from({ length: count }, (_, i) => {
    const t = (2 * Math.PI * i) / count;
    return [a * Math.cos(t), b * Math.sin(t)];
  });
}

describe('rim', () => {
  it('is found in every direction', () => {
    const outline = ellipse(0.2, 0.1);
    for (let deg = 0; deg < 360; deg += 7) {
      const t = (deg * Math.PI) / 180;
      const radius = 1 / Math.hypot(Math.cos(t) / 0.2, Math.sin(t) / 0.1);
      expect(rimRadiusMm(outline, t)).toBeCloseTo(radius, 4);
    }
    expect(rimRadiusMm([], 0)).toBeNull();
  });

  it('is unrolled clockwise from the top of the picture', () => {
    const samples = unrolled([[0, 1], [1, 0], [0, -1], [-1, 0]], ({ xMm, yMm }) => ({ x: xMm, y: -yMm }));
    expect(samples.map(({ turnRad }) => Math.round((turnRad * 180) / Math.PI))).toEqual([0, 90, 180, 270]);
  });

  it('carries a mark for each burr and chip', () => {
    const pass: PassRecord = {
      id: 'p', at: '2026-01-01T00:00:00Z', scan: null, outlineMm: ellipse(0.2, 0.2),
      figures: {
        outlineDiameterMm: 0.4,
        burrs: [{ angleRad: 0, heightMm: 0.01 }],
        chips: [{ angleRad: 1, heightMm: 0.02 }],
      },
    };
    const marks = marksOf(pass);
    expect(marks.map(({ kind }) => kind)).toEqual(['burr', 'chip']);
    expect(marks[0]?.rim.xMm).toBeCloseTo(0.2, 5);
  });

  it('is told in words', () => {
    const figures = { outlineDiameterMm: 0.43, roundnessMm: 0.004, burrs: [{ angleRad: 0, heightMm: 0.01 }] };
    expect(descriptionOf(figures, 'as scanned')).toBe(
      'The hole, as scanned: 430 µm across, round to 4 µm, one burr, no chips, nothing in it.',
    );
  });
});
