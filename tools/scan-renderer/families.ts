/**
 * Families of scans: each draws hole, plate, scanner and trouble at random within stated ranges, so that
 * bias and coverage can be measured on as many as wanted.
 */
import { mmPerPxAt } from './files.ts';
import { Random } from './random.ts';
import type { Bump, Fibre, HoleShape, Island, RimScratch, ScanRecipe } from './recipe.ts';

export const FAMILIES = [
  'clean',
  'tiny',
  'sixteen-bit',
  'reflective',
  'white-lid',
  'burrs',
  'burrs-reflective',
  'island',
  'fibre',
  'scratch',
  'saturated',
  'sharpened',
  'noisy',
  'uneven-scale',
  'colour',
  'front-lit-trouble',
] as const;

export type Family = (typeof FAMILIES)[number];

const REFLECTIVE: readonly Family[] = ['reflective', 'burrs-reflective', 'colour', 'uneven-scale', 'front-lit-trouble'];

const MOST_PX = { wide: 150, snug: 90 } as const;

/**
 * A scan of one family.
 * @param crop `wide`: plenty of plate about the hole, as scans come; `snug`: no more than the blur needs, so that
 *   thousands can be measured
 * @param mostPx widest hole
 */
export function randomRecipe(family: Family, seed: number, crop: 'wide' | 'snug' = 'wide', mostPx: number = MOST_PX[crop]): ScanRecipe {
  const random = new Random(seed * 7919 + FAMILIES.indexOf(family) * 104729 + 17);
  const dpi = family === 'tiny' ? 1200 : [1200, 2400, 2400, 4800, 4800, 4800, 6400, 6400, 9600, 12800][random.whole(0, 9)]!;
  const mm = mmPerPxAt(dpi);
  const stretch = family === 'uneven-scale' ? random.between(0.7, 1.4) : 1;
  const xMmPerPx = mm;
  const yMmPerPx = mm * stretch;
  // No hole narrower than ten blur widths: nobody makes them, and a scan does not show them.
  const most = Math.max(0.175, Math.min(0.52, mostPx * mm));
  let diameterMm = family === 'tiny' ? random.between(0.15, 0.24) : random.between(Math.max(0.17, 9 * mm), most);
  const isBurred = family === 'burrs' || family === 'burrs-reflective';
  if (isBurred || family === 'fibre' || family === 'island' || family === 'scratch') {
    diameterMm = Math.max(diameterMm, 30 * mm);
  }
  const reflective = REFLECTIVE.includes(family);
  const across = [diameterMm / xMmPerPx, diameterMm / yMmPerPx] as const;
  const spare = [random.between(60, 90), random.between(60, 90)] as const;
  const sigmaMm = Math.max(random.between(0.0045, 0.009), 0.36 * mm);
  const ratio = random.between(0.9, 1.25);
  const sidePx = (i: 0 | 1, mmPerPx: number): number =>
    Math.round(
      crop === 'wide' ? 2.7 * across[i] + spare[i] : 1.25 * across[i] + 30 * Math.max((sigmaMm * 1.1) / mmPerPx, 0.8) + 0.3 * spare[i],
    );
  const widthPx = sidePx(0, xMmPerPx);
  const heightPx = sidePx(1, yMmPerPx);
  const hole: HoleShape = {
    columnPx: crop === 'wide' ? widthPx * random.between(0.42, 0.58) : widthPx / 2 + random.between(-2, 2),
    rowPx: crop === 'wide' ? heightPx * random.between(0.42, 0.58) : heightPx / 2 + random.between(-2, 2),
    diameterMm,
    ...(random.chance(0.3) ? { axisRatio: random.between(0.88, 1), axisAngleRad: random.between(0, Math.PI) } : {}),
    harmonics: random.chance(0.15) ? [] : harmonics(random, random.between(0.001, 0.006)),
    ...(isBurred ? bumps(random, diameterMm) : {}),
  };
  const white = family === 'white-lid';
  return {
    seed: seed + 1000 * FAMILIES.indexOf(family),
    widthPx,
    heightPx,
    xMmPerPx,
    yMmPerPx,
    holes: [hole],
    ...troubles(family, random, hole, xMmPerPx, yMmPerPx),
    holeLight: white ? random.between(0.7, 0.85) : reflective ? random.between(0.008, 0.03) : random.between(0.75, 0.92),
    plateLight: white ? random.between(0.3, 0.45) : reflective ? random.between(0.4, 0.6) : random.between(0.004, 0.026),
    grainShare: random.between(0.03, 0.085),
    grainAngleRad: random.between(0, Math.PI),
    scratches: random.whole(0, 6),
    gradientShare: random.between(0, 0.06),
    gradientAngleRad: random.between(0, 2 * Math.PI),
    sigmaXMm: Math.max(sigmaMm, 0.35 * xMmPerPx),
    sigmaYMm: Math.max(sigmaMm * ratio, 0.35 * yMmPerPx),
    tailShare: random.between(0, 0.03),
    flareShare: random.between(0, 0.03),
    exposure: family === 'saturated' ? random.between(1.25, 1.9) : 1,
    fullWellElectrons: family === 'noisy' ? random.between(500, 900) : random.between(10000, 30000),
    readElectrons: random.between(9, 30),
    tone: family === 'sixteen-bit' && random.chance(0.6) ? { kind: 'linear' } : { kind: 'srgb' },
    bits: family === 'sixteen-bit' || (family === 'colour' && random.chance(0.5)) ? 16 : 8,
    channels: family === 'colour' ? 3 : 1,
    ...(family === 'colour'
      ? {
          misregistrationPx: [
            [random.between(-0.15, 0.15), random.between(-0.2, 0.2)],
            [random.between(-0.15, 0.15), random.between(-0.2, 0.2)],
          ] as const,
        }
      : {}),
    ...(family === 'sharpened'
      ? { sharpen: { amountShare: random.between(0.3, 0.9), radiusPx: random.between(0.8, 1.6) } }
      : {}),
  };
}

function harmonics(random: Random, size: number): NonNullable<HoleShape['harmonics']> {
  return Array.from({ length: 11 }, (_, i) => ({
    order: i + 2,
    share: (size * random.normal()) / Math.sqrt(1 + i / 3),
    phaseRad: random.between(0, 2 * Math.PI),
  }));
}

function bumps(random: Random, diameterMm: number): { burrs: Bump[]; chips: Bump[] } {
  const count = random.whole(1, 4);
  const withChip = random.chance(0.35);
  const total = count + (withChip ? 1 : 0);
  const start = random.between(0, 2 * Math.PI);
  const all = Array.from({ length: total }, (_, i) => ({
    angleRad: (start + ((i + random.between(-0.18, 0.18)) * 2 * Math.PI) / total) % (2 * Math.PI),
    heightMm: Math.min(0.14 * diameterMm, random.between(0.01, 0.03)),
    widthMm: random.between(0.0075, 0.016),
  }));
  return { burrs: all.slice(0, count), chips: all.slice(count) };
}

function troubles(
  family: Family,
  random: Random,
  hole: HoleShape,
  xMmPerPx: number,
  yMmPerPx: number,
): Partial<Pick<ScanRecipe, 'islands' | 'fibres' | 'rimScratches' | 'bevel' | 'lidShadow' | 'jitterPx'>> {
  const r = hole.diameterMm / 2;
  const place = (x: number, y: number): [number, number] => [hole.columnPx + x / xMmPerPx, hole.rowPx - y / yMmPerPx];
  if (family === 'island') {
    const islands: Island[] = Array.from({ length: random.whole(1, 3) }, () => {
      const at = random.between(0, 2 * Math.PI);
      const far = r * random.between(0, 0.68);
      const [columnPx, rowPx] = place(far * Math.cos(at), far * Math.sin(at));
      const lengthMm = r * random.between(0.15, 0.4);
      return { columnPx, rowPx, lengthMm, widthMm: lengthMm * random.between(0.5, 1), angleRad: random.between(0, Math.PI) };
    });
    return { islands };
  }
  if (family === 'fibre') {
    const at = random.between(0, 2 * Math.PI);
    const off = r * random.between(-0.5, 0.5);
    const point = (t: number, side: number): [number, number] =>
      place(t * Math.cos(at) - side * Math.sin(at), t * Math.sin(at) + side * Math.cos(at));
    const fibre: Fibre = {
      fromPx: point(-r * 1.25, off),
      bendPx: point(0, off + r * random.between(-0.3, 0.3)),
      toPx: point(random.chance(0.75) ? r * 1.25 : r * random.between(0, 0.5), off + r * random.between(-0.3, 0.3)),
      widthMm: random.between(0.012, 0.026),
      lightShare: 0,
      overPlate: false,
    };
    return { fibres: [fibre] };
  }
  if (family === 'scratch') {
    const rimScratches: RimScratch[] = Array.from({ length: random.whole(1, 2) }, () => ({
      angleRad: random.between(0, 2 * Math.PI),
      lengthMm: random.between(0.08, 0.3),
      widthMm: random.between(0.008, 0.03),
      lightShare: random.between(0.1, 0.6),
    }));
    return { rimScratches };
  }
  if (family === 'front-lit-trouble') {
    return {
      bevel: { share: random.between(0.03, 0.12), widthMm: random.between(0.02, 0.08), angleRad: random.between(0, 6.28) },
      lidShadow: { share: random.between(0, 0.1), widthMm: random.between(0.03, 0.1) },
      jitterPx: random.between(0, 0.08),
    };
  }
  return {};
}
