/** One rendered scan measured against its truth, and what many of them say of the stated uncertainty. */
import { measureScan, rasterSource } from '#core';
import { FAMILIES, randomRecipe } from '../tools/scan-renderer/families.ts';
import type { Family } from '../tools/scan-renderer/families.ts';
import { Random } from '../tools/scan-renderer/random.ts';
import { renderScan } from '../tools/scan-renderer/render.ts';

/** Their trouble is what scale and edge term stand for: lid shadow, bevel, carriage, tilt. */
const BEYOND_THE_IMAGE: readonly Family[] = ['front-lit-trouble'];

export interface Outcome {
  readonly family: Family;
  readonly seed: number;
  readonly pxMm: number;
  /** `null` when the hole was not found. */
  readonly image: { readonly errorMm: number; readonly statedMm: number } | null;
  readonly total: { readonly errorMm: number; readonly statedMm: number } | null;
}

/** Scan number `index`: the families in turn, each with seeds of its own. */
export async function measured(index: number, firstSeed: number, mostPx?: number): Promise<Outcome> {
  const family = FAMILIES[index % FAMILIES.length]!;
  const seed = firstSeed + Math.floor(index / FAMILIES.length);
  const recipe = randomRecipe(family, seed, 'snug', mostPx);
  const { raster, holes } = renderScan(recipe);
  const pxMm = Math.sqrt(recipe.xMmPerPx * recipe.yMmPerPx);
  const trueMm = Math.max(...holes.map(({ equivalentDiameterMm }) => equivalentDiameterMm));
  const backlit = recipe.holeLight > recipe.plateLight && recipe.plateLight < 0.1;
  const facts = {
    scale: { xMmPerPx: recipe.xMmPerPx, yMmPerPx: recipe.yMmPerPx, source: 'file' as const, detail: 'the recipe' },
    tone: recipe.tone,
    toneSource: 'given' as const,
    illumination: backlit ? ('backlit' as const) : ('reflective' as const),
  };
  try {
    const [hole] = (await measureScan(rasterSource(raster), facts)).holes;
    const line = (name: string): number => hole!.budget.find((part) => part.name === name)!.standardUncertaintyMm;
    const errorMm = hole!.outlineDiameterMm - trueMm;
    const random = new Random(seed * 31 + index);
    // A scale wrong by its stated share, an edge that is elsewhere than the light says by its stated term.
    const drawnMm = line('scale') * random.normal() + line('edge') * random.normal();
    return {
      family,
      seed,
      pxMm,
      image: BEYOND_THE_IMAGE.includes(family) ? null : { errorMm, statedMm: hole!.imageStandardUncertaintyMm },
      total: { errorMm: errorMm + drawnMm, statedMm: hole!.outlineStandardUncertaintyMm },
    };
  } catch {
    return { family, seed, pxMm, image: null, total: null };
  }
}

export interface Covered {
  readonly scans: number;
  readonly within2Share: number;
  readonly beyond3Share: number;
}

function covered(errors: readonly { readonly errorMm: number; readonly statedMm: number }[]): Covered {
  const scans = errors.length;
  return {
    scans,
    within2Share: errors.filter(({ errorMm, statedMm }) => Math.abs(errorMm) <= 2 * statedMm).length / scans,
    beyond3Share: errors.filter(({ errorMm, statedMm }) => Math.abs(errorMm) > 3 * statedMm).length / scans,
  };
}

export function coverageOf(outcomes: readonly Outcome[]) {
  const images = outcomes.flatMap(({ image }) => (image === null ? [] : [image]));
  const totals = outcomes.flatMap(({ total }) => (total === null ? [] : [total]));
  const families = FAMILIES.map((family) => {
    const own = outcomes.filter((outcome) => outcome.family === family);
    // Of scans whose trouble is not the image's, the total is told.
    const found = own.flatMap(({ image, total, pxMm }) => {
      const part = image ?? total;
      return part === null ? [] : [{ error: part.errorMm / pxMm, stated: part.statedMm / pxMm }];
    });
    const mean = (f: (o: { error: number; stated: number }) => number): number =>
      found.reduce((sum, o) => sum + f(o), 0) / Math.max(1, found.length);
    const rmsPx = Math.sqrt(mean(({ error }) => error ** 2));
    const statedPx = Math.sqrt(mean(({ stated }) => stated ** 2));
    return {
      family,
      scans: own.length,
      biasPx: mean(({ error }) => error),
      rmsPx,
      worstPx: found.reduce((worst, { error }) => Math.max(worst, Math.abs(error)), 0),
      statedPx,
      expandedOverRms: rmsPx > 0 ? (2 * statedPx) / rmsPx : 0,
      within2: mean(({ error, stated }) => (Math.abs(error) <= 2 * stated ? 1 : 0)),
      beyond3: found.filter(({ error, stated }) => Math.abs(error) > 3 * stated).length,
      lost: own.filter(({ total }) => total === null).length,
    };
  });
  return { imagePart: covered(images), total: covered(totals), families };
}

export function percent(share: number): string {
  return (100 * share).toFixed(2);
}
