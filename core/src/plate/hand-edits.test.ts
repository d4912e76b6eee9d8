/** Edits by hand on a measured circle: what they do to the figures is known in closed form. */
import { beforeAll, describe, expect, it } from 'vitest';
import { randomRecipe } from '../../../tools/scan-renderer/families.ts';
import { renderScan } from '../../../tools/scan-renderer/render.ts';
import { editedByHand } from './hand-edits.ts';
import { measureScan } from './measure.ts';
import { rasterSource } from './raster-source.ts';
import type { HoleReading } from './scan.ts';

let clean: HoleReading;
let dusty: HoleReading;
async function read(family: 'clean' | 'island', seed: number): Promise<HoleReading> {
  const recipe = randomRecipe(family, seed, 'snug');
  const reading = await measureScan(rasterSource(renderScan(recipe).raster), {
    scale: { xMmPerPx: recipe.xMmPerPx, yMmPerPx: recipe.yMmPerPx, source: 'given', detail: 'by the recipe' },
    tone: recipe.tone,
    toneSource: 'given',
    illumination: 'backlit',
  });
  return reading.holes[0]!;
}
beforeAll(async () => {
  clean = await read('clean', 41);
  dusty = await read('island', 43);
});

describe('the rim', () => {
  it('pushed outwards grows by the mean of the push, and the doubt with it', () => {
    const [shiftMm, widthRad] = [0.01, 0.3];
    const edited = editedByHand(clean, [{ kind: 'nudge', angleRad: 1, widthRad, shiftMm }]);
    // Mean of a bell of half width w over the turn: w √(π / ln 2) / 2π; the diameter grows by twice that.
    const grown = 2 * shiftMm * ((widthRad * Math.sqrt(Math.PI / Math.LN2)) / (2 * Math.PI));
    // The area's second order adds a few per cent.
    expect((edited.outlineDiameterMm - clean.outlineDiameterMm) / grown).toBeCloseTo(1, 1);
    const hand = edited.budget.find(({ name }) => name === 'hand')!;
    expect(hand.standardUncertaintyMm).toBeGreaterThan(0.45 * grown);
    expect(edited.outlineStandardUncertaintyMm).toBeGreaterThan(clean.outlineStandardUncertaintyMm);
    expect(edited.feretMaxMm).toBeGreaterThan(clean.feretMaxMm);
    expect(edited.handEdits).toHaveLength(1);
    expect(edited.cautions.join(' ')).toContain('by hand');
  });

  it('pushed out and bridged again is where it was', () => {
    const edited = editedByHand(clean, [
      { kind: 'nudge', angleRad: 2, widthRad: 0.1, shiftMm: -0.02 },
      { kind: 'bridge', angleRad: 2, widthRad: 0.9 },
    ]);
    expect(edited.outlineDiameterMm).toBeCloseTo(clean.outlineDiameterMm, 3);
  });

  it('cannot be pushed through the middle', () => {
    expect(() => editedByHand(clean, [{ kind: 'nudge', angleRad: 0, widthRad: 0.3, shiftMm: -5 }])).toThrow(/middle of the hole/);
  });
});

describe('a piece of debris', () => {
  it('that is nothing leaves the clear area whole; that is metal stays out of the hole', () => {
    const [piece] = dusty.debris;
    const nothing = editedByHand(dusty, [{ kind: 'nothing', center: piece!.center }]);
    const metal = editedByHand(dusty, [{ kind: 'metal', center: piece!.center }]);
    expect(nothing.debris).toHaveLength(dusty.debris.length - 1);
    expect(nothing.outlineDiameterMm).toBeCloseTo(dusty.outlineDiameterMm, 5);
    expect(nothing.clearDiameterMm ** 2 - dusty.clearDiameterMm ** 2).toBeCloseTo((4 / Math.PI) * piece!.areaMm2, 5);
    expect(dusty.outlineDiameterMm ** 2 - metal.outlineDiameterMm ** 2).toBeCloseTo((4 / Math.PI) * piece!.areaMm2, 5);
    expect(metal.clearDiameterMm).toBeCloseTo(dusty.clearDiameterMm, 5);
  });

  it('has an outline of its area', () => {
    for (const { outline, areaMm2 } of dusty.debris) {
      let twice = 0;
      for (const [i, p] of outline.entries()) {
        const q = outline[(i + 1) % outline.length]!;
        twice += p.xMm * q.yMm - q.xMm * p.yMm;
      }
      expect(Math.abs(twice) / 2 / areaMm2).toBeGreaterThan(0.85);
      expect(Math.abs(twice) / 2 / areaMm2).toBeLessThan(1.15);
    }
  });
});
