/**
 * What measuring a scan costs once it is decoded, beside a plain Gaussian blur of the same picture in the same run (17 taps
 * along rows and columns). Processor time of the best of some runs, so that what else the machine does counts little:
 *   node tools/run.mjs bench/plate-speed.ts [runs]
 */
import { readFile } from 'node:fs/promises';
import { basename } from 'node:path';
import { measureScan, rasterSource } from '#core';
import type { Raster, ScanFacts } from '#core';
import { nodeImageSource } from '#io/node';
import truth from '../reference/plates/data.json' with { type: 'json' };
import { DRAWN_FACTS, drawnScan } from '../tools/scan-renderer/drawn.ts';

const runs = Number(process.argv[2] ?? 5);
const TAPS = Array.from({ length: 9 }, (_, i) => Math.exp(-0.5 * (i / 3) ** 2));

async function costMs(job: () => unknown): Promise<number> {
  const before = process.cpuUsage();
  await job();
  const used = process.cpuUsage(before);
  return (used.user + used.system) / 1000;
}

/** The reference: rows, then columns; the border is left out. */
function blurred({ samples, widthPx: w, heightPx: h, channels }: Raster): Float32Array {
  const rows = new Float32Array(w * h);
  const out = new Float32Array(w * h);
  for (let y = 0; y < h; y++) {
    for (let x = 8; x < w - 8; x++) {
      let sum = TAPS[0]! * samples[(y * w + x) * channels]!;
      for (let k = 1; k < 9; k++) sum += TAPS[k]! * (samples[(y * w + x - k) * channels]! + samples[(y * w + x + k) * channels]!);
      rows[y * w + x] = sum;
    }
  }
  for (let y = 8; y < h - 8; y++) {
    for (let x = 0; x < w; x++) {
      let sum = TAPS[0]! * rows[y * w + x]!;
      for (let k = 1; k < 9; k++) sum += TAPS[k]! * (rows[(y - k) * w + x]! + rows[(y + k) * w + x]!);
      out[y * w + x] = sum;
    }
  }
  return out;
}

const scans: { readonly name: string; readonly raster: Raster; readonly facts: ScanFacts }[] = [];
for (const row of truth.rows) {
  const bytes = new Uint8Array(await readFile(new URL(`../reference/plates/${row.file}`, import.meta.url)));
  const { pixels } = await nodeImageSource().open(bytes, basename(row.file), {});
  scans.push({
    name: basename(row.file),
    raster: await pixels.read({ columnPx: 0, rowPx: 0, widthPx: pixels.widthPx, heightPx: pixels.heightPx }, 1),
    facts: {
      scale: { xMmPerPx: row.xUmPerPx / 1000, yMmPerPx: row.yUmPerPx / 1000, source: 'given', detail: 'the table' },
      tone: row.tone === 'linear' ? { kind: 'linear' } : { kind: 'srgb' },
      toneSource: 'given',
      illumination: row.lit === 'backlit' ? 'backlit' : 'reflective',
    },
  });
}
const large = { widthPx: 1600, heightPx: 1250, holes: [{ columnPx: 901.3, rowPx: 560.7, diameterPx: 76 }], blurSigmaPx: 1.3, noiseShare: 0.004 };
scans.push(
  { name: 'drawn, lit from behind', raster: drawnScan({ ...large, holeLight: 0.85, plateLight: 0.01, streakShare: 0.06 }), facts: DRAWN_FACTS },
  { name: 'drawn, lit from the front', raster: drawnScan({ ...large, holeLight: 0.02, plateLight: 0.5, streakShare: 0.06 }), facts: DRAWN_FACTS },
);

console.log(`${''.padEnd(44)}     MP  measured  blurred   ratio`);
for (const { name, raster, facts } of scans) {
  let measuredMs = Infinity;
  let blurredMs = Infinity;
  for (let run = 0; run < runs; run++) {
    measuredMs = Math.min(measuredMs, await costMs(() => measureScan(rasterSource(raster), facts)));
    blurredMs = Math.min(blurredMs, await costMs(() => blurred(raster)));
  }
  const figures = [(raster.widthPx * raster.heightPx) / 1e6, measuredMs, blurredMs, measuredMs / blurredMs];
  console.log(name.padEnd(44) + figures.map((v, i) => v.toFixed(i === 0 || i === 3 ? 2 : 1).padStart(i === 0 ? 7 : 9)).join(''));
}
