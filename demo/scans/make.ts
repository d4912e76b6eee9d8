/**
 * Renders the scans of the demo workshop and writes their truths beside them:
 * `node tools/run.mjs demo/scans/make.ts`
 */
import { writeFile } from 'node:fs/promises';
import { mmPerPxAt, writePng, writeTiff } from '../../tools/scan-renderer/files.ts';
import type { ScanRecipe } from '../../tools/scan-renderer/recipe.ts';
import { renderScan } from '../../tools/scan-renderer/render.ts';

const turn = Math.PI / 180;

const backlit = {
  holeLight: 0.84,
  plateLight: 0.018,
  grainShare: 0.09,
  tailShare: 0.012,
  flareShare: 0.02,
  fullWellElectrons: 14000,
  readElectrons: 16,
  tone: { kind: 'srgb' },
  bits: 8,
  channels: 1,
} as const;

const reflective = {
  ...backlit,
  holeLight: 0.02,
  plateLight: 0.5,
  grainShare: 0.05,
  scratches: 5,
  fullWellElectrons: 5000,
  readElectrons: 22,
} as const;

function at(dotsPerInch: number): { xMmPerPx: number; yMmPerPx: number; sigmaXMm: number; sigmaYMm: number } {
  const mm = mmPerPxAt(dotsPerInch);
  return { xMmPerPx: mm, yMmPerPx: mm, sigmaXMm: 0.0062, sigmaYMm: 0.0068 };
}

interface DemoScan {
  readonly file: string;
  readonly note: string;
  readonly recipe: ScanRecipe;
}

const SCANS: readonly DemoScan[] = [
  {
    file: 'wb-1.png',
    note: 'walnut half-plate box, first plate: drilled with care, lit from behind, 4800 dpi',
    recipe: {
      ...backlit,
      ...at(4800),
      seed: 11,
      widthPx: 470,
      heightPx: 440,
      grainAngleRad: 28 * turn,
      holes: [
        {
          columnPx: 251.37,
          rowPx: 214.82,
          diameterMm: 0.478,
          harmonics: [
            { order: 2, share: 0.004, phaseRad: 1.1 },
            { order: 3, share: 0.002, phaseRad: 0.4 },
            { order: 5, share: 0.001, phaseRad: 2.9 },
          ],
        },
      ],
    },
  },
  {
    file: 'wb-2.png',
    note: 'the second plate after two passes: a burr at two o’clock, still small, 4800 dpi',
    recipe: {
      ...backlit,
      ...at(4800),
      seed: 12,
      widthPx: 460,
      heightPx: 440,
      grainAngleRad: 64 * turn,
      holes: [
        {
          columnPx: 221.6,
          rowPx: 232.25,
          diameterMm: 0.4425,
          harmonics: [
            { order: 2, share: 0.007, phaseRad: 0.6 },
            { order: 3, share: 0.003, phaseRad: 2.2 },
            { order: 7, share: 0.001, phaseRad: 1.3 },
          ],
          burrs: [{ angleRad: 30 * turn, heightMm: 0.026, widthMm: 0.016 }],
        },
      ],
    },
  },
  {
    file: 'wb-3.png',
    note: 'the third plate, turned too far; lit from the front, noisy, 2400 dpi',
    recipe: {
      ...reflective,
      ...at(2400),
      seed: 13,
      widthPx: 430,
      heightPx: 400,
      grainAngleRad: 112 * turn,
      gradientShare: 0.06,
      fullWellElectrons: 1800,
      holes: [
        {
          columnPx: 203.18,
          rowPx: 188.44,
          diameterMm: 0.56,
          harmonics: [
            { order: 2, share: 0.006, phaseRad: 2.4 },
            { order: 4, share: 0.002, phaseRad: 0.8 },
          ],
        },
      ],
    },
  },
  {
    file: 'pn-1.tif',
    note: 'roll-film box, first plate: round and clean, lit from behind, 4800 dpi, the file states no tone curve',
    recipe: {
      ...backlit,
      ...at(4800),
      seed: 21,
      widthPx: 420,
      heightPx: 400,
      grainAngleRad: 155 * turn,
      holes: [
        {
          columnPx: 214.72,
          rowPx: 190.11,
          diameterMm: 0.318,
          harmonics: [
            { order: 2, share: 0.003, phaseRad: 0.2 },
            { order: 3, share: 0.002, phaseRad: 1.9 },
          ],
        },
      ],
    },
  },
  {
    file: 'pn-2.png',
    note: 'second plate: the needle stood askew, oval and too small, 6400 dpi',
    recipe: {
      ...backlit,
      ...at(6400),
      seed: 22,
      widthPx: 450,
      heightPx: 430,
      grainAngleRad: 8 * turn,
      holes: [
        {
          columnPx: 230.91,
          rowPx: 219.67,
          diameterMm: 0.29,
          axisRatio: 0.86,
          axisAngleRad: 38 * turn,
          harmonics: [{ order: 3, share: 0.003, phaseRad: 1 }],
        },
      ],
    },
  },
  {
    file: 'pn-3.png',
    note: 'third plate straight from the bench: a fibre across the hole and two specks of dust, 4800 dpi',
    recipe: {
      ...backlit,
      ...at(4800),
      seed: 23,
      widthPx: 430,
      heightPx: 420,
      grainAngleRad: 80 * turn,
      holes: [
        {
          columnPx: 207.45,
          rowPx: 216.3,
          diameterMm: 0.325,
          harmonics: [
            { order: 2, share: 0.004, phaseRad: 2 },
            { order: 4, share: 0.001, phaseRad: 0.5 },
          ],
        },
      ],
      fibres: [
        { fromPx: [168, 180], bendPx: [212, 222], toPx: [226, 262], widthMm: 0.017, lightShare: 0, overPlate: false },
      ],
      islands: [
        { columnPx: 222.5, rowPx: 203.5, lengthMm: 0.034, widthMm: 0.022, angleRad: 0.7 },
        { columnPx: 196.2, rowPx: 233.8, lengthMm: 0.02, widthMm: 0.018, angleRad: 0 },
      ],
    },
  },
];

const truths = [];
for (const { file, note, recipe } of SCANS) {
  const { raster, holes } = renderScan(recipe);
  const path = new URL(file, import.meta.url).pathname;
  await (file.endsWith('.png') ? writePng : writeTiff)(path, raster, recipe.xMmPerPx, recipe.yMmPerPx);
  truths.push({ file, note, xMmPerPx: recipe.xMmPerPx, yMmPerPx: recipe.yMmPerPx, holes });
}
await writeFile(new URL('truth.json', import.meta.url).pathname, `${JSON.stringify(truths, null, 1)}\n`);
