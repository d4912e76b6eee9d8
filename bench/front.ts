/**
 * The promise of the front: a map of 61 × 41 film points through 5 layers, exactly clipped, in less than 20 ms. Beside it, in the
 * same run, the same map by counting rays: 400 for every point, which tells shares to about 2 %. Times are processor time of the
 * best of some runs.
 */
import { transmissionMap } from '#core';
import type { FrontQuestion, Layer } from '#core';

function bestMs(runs: number, job: () => void): number {
  let best = Infinity;
  for (let run = 0; run < runs; run++) {
    const before = process.cpuUsage();
    job();
    best = Math.min(best, process.cpuUsage(before).user / 1000);
  }
  return best;
}

const camera = { frame: { widthMm: 120, heightMm: 95 }, focalLengthMm: 75, holeShift: { xMm: 0, yMm: 6 } };
const size = { columns: 61, rows: 41 };
const round = (name: string, nearMm: number, farMm: number, diameterMm: number, xMm = 0): Layer => ({
  name, nearMm, farMm, opening: { shape: 'circle', diameterMm }, shift: { xMm, yMm: 0 },
});

const circles: FrontQuestion = {
  camera,
  hole: { diameterMm: 0.35 },
  layers: [round('board', -3, -12, 22), round('slide', 1, 3, 6.2, 0.2), round('plate', 3, 8, 16.5, 0.4), round('cover', 8, 10, 21), round('ring', 10, 14, 30)],
};
const rectangles: FrontQuestion = {
  ...circles,
  layers: circles.layers.map((layer): Layer => ({
    ...layer,
    opening: layer.opening.shape === 'circle' ? { shape: 'rectangle', widthMm: layer.opening.diameterMm * 0.85, heightMm: layer.opening.diameterMm * 0.7, cornerRadiusMm: 1 } : layer.opening,
    rotationRad: 0.05,
    bevels: [{ face: 'far', angleRad: 0.4, depthMm: Math.abs(layer.farMm - layer.nearMm) / 2 }],
  })),
};
const outline = Array.from({ length: 720 }, (_, i) => {
  const t = (2 * Math.PI * i) / 720;
  const r = 0.175 * (1 + 0.03 * Math.cos(3 * t));
  return { xMm: r * Math.cos(t), yMm: r * Math.sin(t) };
});

/** Rays counted: 20 × 20 over the hole, each through both faces of every round layer. */
function counted(question: FrontQuestion): Float64Array {
  const shares = new Float64Array(size.columns * size.rows);
  const { focalLengthMm: f, frame, holeShift } = question.camera;
  const a = 0.175;
  for (let row = 0; row < size.rows; row++) {
    for (let column = 0; column < size.columns; column++) {
      const px = frame.widthMm * (column / (size.columns - 1) - 0.5) - holeShift.xMm;
      const py = frame.heightMm * (0.5 - row / (size.rows - 1)) - holeShift.yMm;
      let all = 0;
      let clear = 0;
      for (let i = 0; i < 20; i++) {
        for (let k = 0; k < 20; k++) {
          const x = a * ((i + 0.5) / 10 - 1);
          const y = a * ((k + 0.5) / 10 - 1);
          if (x * x + y * y > a * a) continue;
          all += 1;
          let open = true;
          for (const layer of question.layers) {
            if (layer.opening.shape !== 'circle') continue;
            const radius = layer.opening.diameterMm / 2;
            for (const z of [layer.nearMm, layer.farMm]) {
              const qx = x * (1 + z / f) - (px * z) / f - (layer.shift?.xMm ?? 0);
              const qy = y * (1 + z / f) - (py * z) / f;
              if (qx * qx + qy * qy > radius * radius) open = false;
            }
          }
          if (open) clear += 1;
        }
      }
      shares[row * size.columns + column] = clear / all;
    }
  }
  return shares;
}

const raysMs = bestMs(5, () => counted(circles));
const exact = transmissionMap(circles, size);
const rays = counted(circles);
const worst = rays.reduce((most, share, i) => Math.max(most, Math.abs(share - (exact.transmissionShare[i] as number))), 0);
const partly = exact.transmissionShare.filter((share) => share > 0 && share < 1).length;
console.log(`counting 400 rays a point: ${raysMs.toFixed(1)} ms, off by up to ${(100 * worst).toFixed(1)} %`);
for (const [name, question, promised] of [
  ['five round layers', circles, '< 20 ms'],
  ['five bevelled rounded rectangles', rectangles, '< 20 ms'],
  ['five round layers, outline of 720 corners', { ...circles, hole: { loopsMm: [outline] } }, 'no promise'],
] as const) {
  const ms = bestMs(12, () => transmissionMap(question, size));
  console.log(`${name}, 61 × 41 points exactly: ${ms.toFixed(1)} ms, ${(ms / raysMs).toFixed(3)} of the rays (promised ${promised})`);
}
console.log(`${partly} of ${exact.transmissionShare.length} points lie in a half shadow`);
