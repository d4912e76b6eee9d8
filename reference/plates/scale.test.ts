/**
 * Where a scan's scale comes from, through the same door as a maker's. The picture through a macro lens (README.md) states
 * no resolution, but shows a scale of 0.1 mm with its ends 1 mm apart at known places.
 */
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { memoryImageSource } from '#io/memory';
import { nodePlateRoom } from '#io/node';
import { directPlateRoom } from '../../io/src/plate-room.ts';
import { randomRecipe } from '../../tools/scan-renderer/families.ts';
import { renderScan } from '../../tools/scan-renderer/render.ts';
import { renderRuler } from '../../tools/scan-renderer/ruler.ts';
import truth from './data.json' with { type: 'json' };

const room = nodePlateRoom();
afterAll(() => room.close());

/** As rendered: middles of the first and last mark of the scale, px, and the length between them. */
const SCALE_ENDS = { ends: [{ columnPx: 47.9891, rowPx: 401.76 }, { columnPx: 402.3198, rowPx: 401.76 }], lengthMm: 1 } as const;

describe('a picture through a macro lens with a scale in it', () => {
  const row = truth.rows.find(({ file }) => file.includes('macro'))!;
  const name = 'macro.jpg';
  const bytes = readFile(join(import.meta.dirname, row.file));

  it.each([
    ['two ends of a known length', { ends: SCALE_ENDS }],
    ['its own marks, once their distance is said', { ruler: { divisionMm: 0.1 } }],
  ] as const)('is measured by %s', async (_, request) => {
    const { reading } = await room.measure(new Uint8Array(await bytes), name, { ...request, tone: { kind: 'srgb' } });
    const hole = reading.holes[0]!;
    expect(reading.scale.source).toBe('ruler');
    expect(Math.abs(reading.scale.xMmPerPx * 1000 / row.xUmPerPx - 1)).toBeLessThan(0.001);
    expect(Math.abs(1000 * hole.outlineDiameterMm - row.outlineDiameterUm)).toBeLessThan(2000 * hole.outlineStandardUncertaintyMm);
  });

  it('is not taken for a millimetre rule: it is asked', async () => {
    await expect(room.measure(new Uint8Array(await bytes), name, {})).rejects.toMatchObject({ code: 'no-scale' });
    await expect(room.measure(new Uint8Array(await bytes), name, { ruler: {} })).rejects.toThrow(/one of its divisions is/);
  });
});

/** Beside a hole lies a scale whose longer marks make it look like a millimetre rule, whatever its size. */
function withRule(mmPerPx: number, divisionMm: number, sigmaPx: number) {
  const recipe = { ...randomRecipe('clean', 3), channels: 1 as const, bits: 8 as const, tone: { kind: 'linear' } as const };
  const scale = divisionMm;
  const hole = { ...recipe.holes[0]!, columnPx: 200, rowPx: 120, diameterMm: 90 * mmPerPx };
  const [widthPx, heightPx] = [640, 440];
  const plate = renderScan({
    ...recipe, widthPx, heightPx, xMmPerPx: mmPerPx, yMmPerPx: mmPerPx, sigmaXMm: sigmaPx * mmPerPx, sigmaYMm: sigmaPx * mmPerPx,
    holes: [hole], scratches: 0, holeLight: 0.85, plateLight: 0.02,
  });
  const rule = renderRuler({
    seed: 3, widthPx, heightPx, xMmPerPx: mmPerPx / scale, yMmPerPx: mmPerPx / scale,
    rules: [{ atMm: [(20 * mmPerPx) / scale, (420 * mmPerPx) / scale], angleRad: 0, lengthMm: 30 }], divisionMm: 1, noise: 0.01,
  });
  const samples = plate.raster.samples.slice() as Uint8Array;
  // The rule's longest marks are seven divisions long: they end below the hole.
  for (let row = 235; row < heightPx; row++) samples.set(rule.samples.subarray(row * widthPx, (row + 1) * widthPx) as Uint8Array, row * widthPx);
  return { raster: { ...plate.raster, samples }, diameterMm: plate.holes[0]!.equivalentDiameterMm };
}

describe('a scan that states no scale', () => {
  const measure = (raster: ReturnType<typeof withRule>['raster']) =>
    directPlateRoom(memoryImageSource({ 'bare.tif': { raster, tone: { kind: 'linear' } } })).measure(Uint8Array.of(1), 'bare.tif', {});

  it('takes it from a millimetre rule that lies in it, found by itself', async () => {
    const { raster, diameterMm } = withRule(25.4 / 600, 1, 0.6);
    const { reading } = await measure(raster);
    const [hole] = reading.holes;
    expect(reading.scale).toMatchObject({ source: 'ruler', relativeUncertainty: expect.any(Number) as number });
    expect(Math.abs(hole!.outlineDiameterMm - diameterMm)).toBeLessThan(2 * hole!.outlineStandardUncertaintyMm);
  });

  it('asks when the edge is too soft for millimetres', async () => {
    // Ten times as fine: by its marks alone it cannot be told from the one before.
    const { raster } = withRule(25.4 / 6000, 0.1, 1.3);
    await expect(measure(raster)).rejects.toThrow(/what one of its divisions is cannot be told[\s\S]*0\.1 mm/);
  });
});
