/**
 * The promises of the picture, in one run with the usual way (Fourier transforms of the hole as an image, angular
 * spectrum): time and error of both. Times are processor time of the best of some runs.
 */
import { channelShares, edgeIntegral, filmLight, filmResponse, outlineShape, photograph, roundOtf, roundPointImage, roundShape, shapeImage } from '#core';
import type { RimPoint } from '#core';
import { tileFourier } from '../core/src/numeric/fourier.ts';

function bestMs(runs: number, job: () => void): number {
  let best = Infinity;
  for (let run = 0; run < runs; run++) {
    const before = process.cpuUsage();
    job();
    best = Math.min(best, process.cpuUsage(before).user / 1000);
  }
  return best;
}

const light = [400, 450, 500, 550, 600, 650, 700].map((wavelengthNm) => ({ wavelengthNm, weightShare: 1 / 7 }));
const base = { focalLengthMm: 106, objectDistanceMm: Infinity, light };
const outline: RimPoint[] = Array.from({ length: 720 }, (_, k) => {
  const t = (2 * Math.PI * k) / 720;
  const r = 0.2 * (1 + 0.05 * Math.cos(3 * t) + 0.02 * Math.sin(7 * t));
  return { xMm: r * Math.cos(t), yMm: r * Math.sin(t) };
});
const view = { ...base, shape: outlineShape([outline]) };

const radii = Float64Array.from({ length: 512 }, (_, i) => i / 640);
const frequencies = Float64Array.from({ length: 128 }, (_, i) => i / 14);
const roundMs = bestMs(10, () => {
  // fifty at once: one alone is shorter than the clock can tell
  for (let k = 0; k < 50; k++) {
    roundPointImage({ ...base, diameterMm: 0.43 }, radii);
    roundOtf({ ...base, diameterMm: 0.43 }, frequencies);
  }
}) / 50;
console.log(`round hole, 512 radii x 7 wavelengths and 128 frequencies: ${roundMs.toFixed(2)} ms (promised < 2 ms)`);

const grid = { columns: 256, rows: 256, pitchMm: 1.6 / 255 };
const places = Array.from({ length: 300 }, (_, i) => (i * 7919 + (i % 7) * 131) % (256 * 256));
const at = (place: number): RimPoint => ({ xMm: ((place % 256) - 127.5) * grid.pitchMm, yMm: (127.5 - Math.floor(place / 256)) * grid.pitchMm });
const exact = edgeIntegral(view, places.map(at)).intensity;
for (const [tolerance, promised] of [[1e-4, 20], [1e-6, 150], [1e-9, 150]] as const) {
  let image = shapeImage(view, grid, tolerance);
  const ms = bestMs(30, () => {
    image = shapeImage(view, grid, tolerance);
  });
  let peak = 0;
  for (const value of image.intensity) peak = Math.max(peak, value);
  const error = Math.max(...places.map((place, i) => Math.abs((image.intensity[place] as number) - (exact[i] as number)))) / peak;
  console.log(`outline of 720 corners, 256 x 256, 7 wavelengths, ${tolerance.toExponential(0)} asked: ${ms.toFixed(1)} ms, error ${error.toExponential(1)} (promised < ${promised} ms)`);
}

/** The usual way: the hole as pixels (each its covered share, 8 x 8 cuts), two transforms for each wavelength. */
function angularSpectrum(size: number, windowMm: number): Float64Array {
  const pitch = windowMm / size;
  const fourier = tileFourier(size);
  const hole = new Float64Array(2 * size * size);
  const radiusAt = (t: number): number => 0.2 * (1 + 0.05 * Math.cos(3 * t) + 0.02 * Math.sin(7 * t));
  for (let row = 0; row < size; row++) {
    for (let column = 0; column < size; column++) {
      const x = (column - size / 2) * pitch;
      const y = (row - size / 2) * pitch;
      if (Math.hypot(x, y) > 0.23) continue;
      let inside = 0;
      for (let k = 0; k < 64; k++) {
        const u = x + (((k % 8) + 0.5) / 8 - 0.5) * pitch;
        const v = y + ((Math.floor(k / 8) + 0.5) / 8 - 0.5) * pitch;
        if (Math.hypot(u, v) < radiusAt(Math.atan2(v, u))) inside++;
      }
      hole[2 * (row * size + column)] = inside / 64;
    }
  }
  const intensity = new Float64Array(size * size);
  fourier.forward(hole);
  for (const { wavelengthNm, weightShare } of light) {
    const field = hole.slice();
    for (let row = 0; row < size; row++) {
      const fy = (row < size / 2 ? row : row - size) / windowMm;
      for (let column = 0; column < size; column++) {
        const fx = (column < size / 2 ? column : column - size) / windowMm;
        const phase = -Math.PI * wavelengthNm * 1e-6 * base.focalLengthMm * (fx * fx + fy * fy);
        const i = 2 * (row * size + column);
        const re = field[i] as number;
        const im = field[i + 1] as number;
        field[i] = re * Math.cos(phase) - im * Math.sin(phase);
        field[i + 1] = re * Math.sin(phase) + im * Math.cos(phase);
      }
    }
    fourier.inverse(field);
    for (let i = 0; i < intensity.length; i++) {
      intensity[i] = (intensity[i] as number) + weightShare * ((field[2 * i] as number) ** 2 + (field[2 * i + 1] as number) ** 2);
    }
  }
  return intensity;
}

for (const [size, windowMm] of [[512, 3.2], [1024, 6.4]] as const) {
  let usual = angularSpectrum(size, windowMm);
  const ms = bestMs(2, () => {
    usual = angularSpectrum(size, windowMm);
  });
  const step = windowMm / size;
  const own = Array.from({ length: 200 }, (_, i) => [size / 2 - 127 + ((i * 37) % 255), size / 2 - 127 + ((i * 91) % 255)] as const);
  const truth = edgeIntegral(view, own.map(([column, row]) => ({ xMm: (column - size / 2) * step, yMm: (row - size / 2) * step }))).intensity;
  const error = Math.max(...own.map(([column, row], i) => Math.abs((usual[row * size + column] as number) - (truth[i] as number)))) / 3.06;
  console.log(`the same by Fourier transforms (angular spectrum), ${size}², window ${windowMm} mm: ${ms.toFixed(0)} ms, error ${error.toExponential(1)}`);
}

const film = { source: 'daylight', response: filmResponse('panchromatic') } as const;
const camera = { frame: { widthMm: 127, heightMm: 102 }, focalLengthMm: 106, holeShift: { xMm: 0, yMm: 0 } };
for (const [label, columns, sceneColumns, promised] of [['preview', 480, 1200, 200], ['12 megapixels', 3900, 3900, 5000]] as const) {
  const rows = Math.round(sceneColumns * 0.8);
  const samples = new Uint8Array(3 * sceneColumns * rows);
  for (let i = 0; i < samples.length; i++) samples[i] = Math.imul(i, 2654435761) >>> 24;
  const ms = bestMs(label === 'preview' ? 8 : 2, () =>
    photograph({
      view: { camera, shape: roundShape(0.43), objectDistanceMm: Infinity, light: filmLight({ ...film, count: 3 }) },
      scene: { columns: sceneColumns, rows, channels: 3, samples, angleRad: 1.08 },
      channelShares: channelShares(film),
      columns,
    }),
  );
  console.log(`photograph through the hole, ${label}: ${ms.toFixed(0)} ms (promised < ${promised} ms)`);
}
