/**
 * How far the fast point image lies from the line integral along the rim, on hundreds of outlines and as many cameras.
 * Prints median, 95 % and worst.
 */
import { edgeIntegral, shapeAreaMm2, shapeImage } from '#core';
import { generator, randomOutline } from './support/outlines.ts';

function accuracy(count: number, toleranceShare: number): { errors: number[]; worstAt: string } {
  const random = generator(20261125);
  const errors: number[] = [];
  let worst = 0;
  let worstAt = '';
  for (let index = 0; index < count; index++) {
    const shape = randomOutline(random);
    const focalLengthMm = 40 + 160 * random();
    const objectDistanceMm = random() < 0.3 ? 3 * focalLengthMm + 2000 * random() : Infinity;
    const light = [400 + 60 * random(), 550, 640 + 60 * random()].map((wavelengthNm) => ({ wavelengthNm, weightShare: 1 / 3 }));
    const view = { shape, focalLengthMm, objectDistanceMm, light };
    const widthMm = 1.2 + 0.8 * random();
    const grid = { columns: 128, rows: 128, pitchMm: widthMm / 127 };
    const { intensity } = shapeImage(view, grid, toleranceShare);
    // the four corners, where errors are largest, and anywhere
    const places = Array.from({ length: 40 }, (_, k) => ([0, 127, 128 * 127, 128 * 128 - 1][k] ?? Math.floor(128 * 128 * random())));
    const points = places.map((at) => ({
      xMm: ((at % 128) - 63.5) * grid.pitchMm,
      yMm: (63.5 - Math.floor(at / 128)) * grid.pitchMm,
    }));
    const exact = edgeIntegral(view, points, 1e-10).intensity;
    let peak = 0;
    for (const one of intensity) peak = Math.max(peak, one);
    let error = 0;
    places.forEach((at, k) => {
      error = Math.max(error, Math.abs((intensity[at] as number) - (exact[k] as number)) / peak);
    });
    errors.push(error);
    if (error > worst) {
      worst = error;
      worstAt = `outline ${index}: ${shape.rims.length} rims, ${shapeAreaMm2(shape).toFixed(4)} mm², f ${focalLengthMm.toFixed(0)} mm`;
    }
  }
  return { errors: errors.sort((a, b) => a - b), worstAt };
}

for (const tolerance of [1e-4, 1e-6, 1e-9]) {
  const { errors, worstAt } = accuracy(300, tolerance);
  const at = (share: number): string => (errors[Math.floor(share * (errors.length - 1))] as number).toExponential(1);
  console.log(
    `asked ${tolerance.toExponential(0)} of the peak: median ${at(0.5)}, 95 % ${at(0.95)}, worst of ${errors.length} ${at(1)} (${worstAt})`,
  );
}
