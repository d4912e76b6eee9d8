import { describe, expect, it } from 'vitest';
import { outlineShape, roundShape } from '../optics/hole-shape.ts';
import { roundOtf } from '../optics/round-point-image.ts';
import { oneWavelength } from '../optics/seen-light.ts';
import { filmRay } from './film-ray.ts';
import { photograph } from './photograph.ts';
import type { ScenePhotograph } from './photograph.ts';
import { printGainStops, printTone, printTone16 } from './print.ts';

const light = oneWavelength(550);
const camera = { frame: { widthMm: 127, heightMm: 102 }, focalLengthMm: 106, holeShift: { xMm: 0, yMm: 0 } };
const view = { camera, shape: roundShape(0.43), objectDistanceMm: Infinity, light };

function scene(columns: number, rows: number, angleRad: number, value: (x: number, y: number) => number): ScenePhotograph {
  const samples = new Float32Array(columns * rows);
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      samples[row * columns + column] = value((column + 0.5) / columns - 0.5, 0.5 - (row + 0.5) / rows);
    }
  }
  return { columns, rows, channels: 1, samples, angleRad };
}

const ask = { view, channelShares: [0.3, 0.4, 0.3] as const, columns: 160 };

describe('a photograph through the hole', () => {
  it('an even scene stays even but for the falloff: no light is made or lost', () => {
    const picture = photograph({ ...ask, scene: scene(300, 300, 1.6, () => 0.5) });
    expect(picture.coveredShare).toBe(1);
    for (const [column, row] of [[80, 64], [4, 4], [155, 64], [150, 120]] as const) {
      const point = { xMm: -((column + 0.5) / 160 - 0.5) * 127, yMm: ((row + 0.5) / picture.rows - 0.5) * 102 };
      const value = (picture.light[row * 160 + column] as number) / 0.5;
      expect(Math.abs(value / filmRay(camera, point).lightShare - 1)).toBeLessThan(4e-3);
    }
  });

  it.each(['cylinder', 'can'] as const)('on a %s it falls off as the rays to it do', (filmPlane) => {
    const bent = { ...camera, filmPlane };
    const picture = photograph({ ...ask, view: { ...view, camera: bent }, scene: scene(300, 300, 2.2, () => 0.5) });
    expect(picture.coveredShare).toBe(1);
    for (const [column, row] of [[80, 64], [4, 4], [155, 64], [150, 120]] as const) {
      const point = { xMm: -((column + 0.5) / 160 - 0.5) * 127, yMm: ((row + 0.5) / picture.rows - 0.5) * 102 };
      const value = (picture.light[row * 160 + column] as number) / 0.5;
      expect(Math.abs(value / filmRay(bent, point).lightShare - 1)).toBeLessThan(4e-3);
    }
  });

  it('stands upright: what is right and above in the scene is right and above in the print', () => {
    const picture = photograph({ ...ask, scene: scene(200, 200, 1.2, (x, y) => (Math.hypot(x - 0.2, y - 0.1) < 0.03 ? 1 : 0)) });
    let brightest = 0;
    picture.light.forEach((value, i) => {
      if (value > (picture.light[brightest] as number)) brightest = i;
    });
    expect(brightest % 160).toBeGreaterThan(95);
    expect(Math.floor(brightest / 160)).toBeLessThan(picture.rows / 2 - 5);
    expect(picture.coveredShare).toBeGreaterThan(0.9);
  });

  it('an uneven hole draws its own image, turned with the print', () => {
    // two square holes side by side in the near field: two images, the large one more light
    const square = (x: number, size: number) =>
      [[-1, -1], [1, -1], [1, 1], [-1, 1]].map(([u, v]) => ({ xMm: x + size * (u as number), yMm: size * (v as number) }));
    const shape = outlineShape([square(-0.5, 0.2), square(0.5, 0.13)]);
    const small = { frame: { widthMm: 4, heightMm: 4 }, focalLengthMm: 50, holeShift: { xMm: 0, yMm: 0 } };
    const picture = photograph({
      ...ask,
      columns: 40,
      view: { ...view, camera: small, shape },
      scene: scene(300, 300, 0.15, (x, y) => (Math.hypot(x, y) < 0.02 ? 1 : 0)),
    });
    const within = (from: number, to: number): number =>
      picture.light.reduce((sum, value, i) => sum + (i % 40 >= from && i % 40 < to ? value : 0), 0);
    // left on the plate is left on the film, seen from the film side, and right in the upright print
    expect(within(21, 34) / within(6, 19)).toBeGreaterThan(1.8);
  });

  it('a slanted edge measured as ISO 12233 does gives back the contrast that made it', () => {
    const small = { frame: { widthMm: 12, heightMm: 8 }, focalLengthMm: 106, holeShift: { xMm: 0, yMm: 0 } };
    const slope = Math.tan((5 * Math.PI) / 180);
    const halfMm = 9;
    // a sharp edge, each sample its share of area along x; 0.006 mm for each sample
    const edge = scene(3000, 3000, 2 * Math.atan(halfMm / 106), (x, y) => {
      const away = (x - slope * y) * 3000;
      return Math.min(1, Math.max(0, away + 0.5));
    });
    const columns = 240;
    const picture = photograph({ ...ask, columns, view: { ...view, camera: small }, scene: edge });
    const pitchMm = 12 / columns;
    const measured = edgeContrast(picture.light, { columns, rows: picture.rows, slope, pitchMm }, [0.5, 1, 2, 3, 4]);
    const made = roundOtf({ diameterMm: 0.43, focalLengthMm: 106, objectDistanceMm: Infinity, light }, [0.5, 1, 2, 3, 4]);
    measured.forEach((value, i) => expect(Math.abs(value - (made[i] as number)), `${i}`).toBeLessThan(0.01));
  });

  it('weighs colours as the film does, and prints a negative', () => {
    const blue: ScenePhotograph = {
      columns: 2,
      rows: 2,
      channels: 3,
      samples: Uint8Array.from([0, 0, 255, 255, 0, 0, 0, 0, 255, 255, 0, 0]),
      angleRad: 1.8,
    };
    const picture = photograph({ ...ask, channelShares: [0, 0.1, 0.9], scene: blue });
    const row = Math.floor(picture.rows / 2) * 160;
    expect(picture.light[row + 20] as number).toBeGreaterThan(5 * (picture.light[row + 140] as number));
    const negative = printTone(picture, 'negative');
    const positive = printTone(picture, 'positive');
    expect(negative[row + 20] as number).toBeLessThan(negative[row + 140] as number);
    expect((positive[row + 20] as number) + (negative[row + 20] as number)).toBeCloseTo(255, -1);
    const deep = printTone16(picture, 'positive');
    positive.forEach((value, i) => expect(Math.abs((deep[i] as number) / 257 - value)).toBeLessThan(0.51));
    const bright = printTone16(picture, 'positive', printGainStops(picture));
    expect(bright.filter((value) => value === 65535).length / bright.length).toBeLessThan(0.01);
    expect(Math.max(...bright)).toBeGreaterThan(65000);
  });

  it('can be stopped, and tells how far it is', () => {
    const even = scene(50, 50, 1.2, () => 1);
    expect(() => photograph({ ...ask, scene: even, cancelled: () => true })).toThrow(/stopped/);
    const shares: number[] = [];
    photograph({ ...ask, columns: 64, scene: even, progress: (share) => shares.push(share) });
    expect(shares.at(-1)).toBe(1);
    expect([...shares].sort((a, b) => a - b)).toEqual(shares);
  });
});

/** Contrast from a slanted edge: rows laid over each other along the edge, four bins for each pixel, derivative, Fourier sum. */
function edgeContrast(
  light: Float32Array,
  of: { columns: number; rows: number; slope: number; pitchMm: number },
  frequenciesPerMm: readonly number[],
): number[] {
  const { columns, rows, slope, pitchMm } = of;
  const bins = 4 * 120;
  const sum = new Float64Array(bins);
  const count = new Float64Array(bins);
  for (let row = 20; row < rows - 20; row++) {
    for (let column = 0; column < columns; column++) {
      const away = column + 0.5 - columns / 2 + slope * (row + 0.5 - rows / 2);
      const bin = Math.floor(4 * away * Math.cos(Math.atan(slope))) + bins / 2;
      if (bin < 0 || bin >= bins) continue;
      sum[bin] = (sum[bin] as number) + (light[row * columns + column] as number);
      count[bin] = (count[bin] as number) + 1;
    }
  }
  const edge = Array.from(sum, (value, i) => value / (count[i] as number));
  const spread = edge.slice(1).map((value, i) => value - (edge[i] as number));
  const total = spread.reduce((a, b) => a + b, 0);
  return frequenciesPerMm.map((frequency) => {
    let re = 0;
    let im = 0;
    spread.forEach((value, i) => {
      const phase = 2 * Math.PI * frequency * (i * pitchMm) / 4;
      re += value * Math.cos(phase);
      im += value * Math.sin(phase);
    });
    // bins of a quarter pixel, and differences from one to the next, take this away
    const x = (Math.PI * frequency * pitchMm) / 4;
    return Math.hypot(re, im) / total / (Math.sin(x) / x);
  });
}
