/** A plate drawn with known edges: the hole's place on it comes out as drawn. */
import { describe, expect, it } from 'vitest';
import { degreesToRad } from '../units/angle.ts';
import { measureScan } from './measure.ts';
import { rasterSource } from './raster-source.ts';

const MM = 0.02;

/** Lit from behind: a dark plate with a hole, light all about it. */
function plate(shape: 'rectangle' | 'disc', turnDeg: number, cut = 0) {
  const [widthPx, heightPx] = [420, 360];
  const samples = new Uint8Array(widthPx * heightPx);
  const turn = degreesToRad(turnDeg);
  for (let row = 0; row < heightPx; row++) {
    for (let column = 0; column < widthPx; column++) {
      let sum = 0;
      for (let k = 0; k < 16; k++) {
        const x = (column + ((k % 4) + 0.5) / 4) * MM - 4.1 + cut;
        const y = 3.5 - (row + (Math.floor(k / 4) + 0.5) / 4) * MM;
        const u = x * Math.cos(turn) + y * Math.sin(turn);
        const v = y * Math.cos(turn) - x * Math.sin(turn);
        const onPlate = shape === 'disc' ? Math.hypot(u, v) < 2.8 : Math.abs(u) < 3 && Math.abs(v) < 2.2;
        // The hole is 0.4 mm right of the middle and 0.3 mm above it, along the plate's own sides.
        sum += onPlate && Math.hypot(u - 0.4, v - 0.3) > 0.25 ? 12 : 225;
      }
      samples[row * widthPx + column] = Math.round(sum / 16);
    }
  }
  return { widthPx, heightPx, channels: 1, samples, fullScale: 255 };
}

const facts = {
  scale: { xMmPerPx: MM, yMmPerPx: MM, source: 'given', detail: 'as drawn' },
  tone: { kind: 'linear' },
  toneSource: 'given',
  illumination: 'backlit',
} as const;

describe('the middle of a plate', () => {
  it.each([
    ['rectangle', 0],
    ['rectangle', 4],
    ['disc', 0],
  ] as const)('that is a %s turned by %i° is found by its edges', async (shape, turnDeg) => {
    const reading = await measureScan(rasterSource(plate(shape, turnDeg)), facts);
    expect(reading.plate?.shape).toBe(shape);
    const { center } = reading.holes[0]!.leastSquares;
    const [x, y] = [center.xMm - reading.plate!.center.xMm, reading.plate!.center.yMm - center.yMm];
    const turn = degreesToRad(turnDeg);
    // Edges are told to a pixel: half of one in the middle between two.
    expect(Math.abs(x * Math.cos(turn) + y * Math.sin(turn) - 0.4)).toBeLessThan(MM);
    expect(Math.abs(y * Math.cos(turn) - x * Math.sin(turn) - 0.3)).toBeLessThan(MM);
  });

  it('is not told when an edge is outside the picture', async () => {
    expect((await measureScan(rasterSource(plate('rectangle', 0, 2)), facts)).plate).toBeNull();
  });
});
