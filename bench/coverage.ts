/**
 * How near the measured diameter is to the truth on scans rendered with exactly known outlines, and whether the stated
 * image part of the uncertainty (scale and edge term are exact here) covers it. By kind of scan, with fixed seeds:
 *   node tools/run.mjs bench/coverage.ts [scans of each kind] [first seed]
 */
import { measureScan, rasterSource } from '#core';
import { FAMILIES, randomRecipe } from '../tools/scan-renderer/families.ts';
import { renderScan } from '../tools/scan-renderer/render.ts';

const count = Number(process.argv[2] ?? 12);
const firstSeed = Number(process.argv[3] ?? 1001);
let all = 0;
let within2 = 0;
let beyond3 = 0;
console.log(`${count} scans of each kind, seeds from ${firstSeed}; errors of the outline's diameter in px of the scan`);
console.log('kind                  bias     RMS   worst   u RMS   in 2u  >3u  lost');
for (const family of FAMILIES) {
  const errorsPx: number[] = [];
  const statedPx: number[] = [];
  let in2 = 0;
  let out3 = 0;
  let lost = 0;
  for (let seed = firstSeed; seed < firstSeed + count; seed++) {
    const recipe = randomRecipe(family, seed);
    const { raster, holes } = renderScan(recipe);
    const pxMm = Math.sqrt(recipe.xMmPerPx * recipe.yMmPerPx);
    const trueMm = Math.max(...holes.map(({ equivalentDiameterMm }) => equivalentDiameterMm));
    try {
      const { holes: found } = await measureScan(rasterSource(raster), {
        scale: { xMmPerPx: recipe.xMmPerPx, yMmPerPx: recipe.yMmPerPx, source: 'given', detail: 'by the recipe' },
        tone: recipe.tone,
        toneSource: 'given',
        illumination: 'unknown',
      });
      const error = found[0]!.outlineDiameterMm - trueMm;
      const u = found[0]!.imageStandardUncertaintyMm;
      errorsPx.push(error / pxMm);
      statedPx.push(u / pxMm);
      if (Math.abs(error) <= 2 * u) in2 += 1;
      if (Math.abs(error) > 3 * u) out3 += 1;
    } catch {
      lost += 1;
    }
  }
  const rms = (values: readonly number[]): number => Math.sqrt(values.reduce((sum, v) => sum + v * v, 0) / values.length);
  const bias = errorsPx.reduce((sum, v) => sum + v, 0) / errorsPx.length;
  const worst = Math.max(...errorsPx.map(Math.abs));
  all += errorsPx.length;
  within2 += in2;
  beyond3 += out3;
  console.log(
    `${family.padEnd(18)} ${bias.toFixed(4).padStart(8)} ${rms(errorsPx).toFixed(4).padStart(7)} ` +
      `${worst.toFixed(4).padStart(7)} ${rms(statedPx).toFixed(4).padStart(7)} ` +
      `${`${in2}/${errorsPx.length}`.padStart(7)} ${String(out3).padStart(4)} ${String(lost).padStart(5)}`,
  );
}
console.log(`all: ${((100 * within2) / all).toFixed(1)} % within 2 u, ${((100 * beyond3) / all).toFixed(1)} % beyond 3 u, of ${all}`);
