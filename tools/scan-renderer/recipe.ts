/** What a rendered scan is made of. Angles are counter-clockwise as displayed, 0 to the right. */
import type { ToneCurve } from '#core';

/** A bump of Gaussian form on the rim. */
export interface Bump {
  readonly angleRad: number;
  readonly heightMm: number;
  /** Standard deviation along the rim. */
  readonly widthMm: number;
}

export interface HoleShape {
  readonly columnPx: number;
  readonly rowPx: number;
  /** Of the smooth hole without harmonics and bumps: geometric mean of the axes. */
  readonly diameterMm: number;
  /** Short over long axis. */
  readonly axisRatio?: number;
  readonly axisAngleRad?: number;
  /** r(θ) = r₀(θ) (1 + Σ share cos(k θ − phase)). */
  readonly harmonics?: readonly { readonly order: number; readonly share: number; readonly phaseRad: number }[];
  /** Inward. */
  readonly burrs?: readonly Bump[];
  /** Outward. */
  readonly chips?: readonly Bump[];
}

/** A speck lying in the hole. */
export interface Island {
  readonly columnPx: number;
  readonly rowPx: number;
  readonly lengthMm: number;
  readonly widthMm: number;
  readonly angleRad: number;
}

/** A hair or thread: a bent line of even width (quadratic curve). */
export interface Fibre {
  readonly fromPx: readonly [number, number];
  readonly bendPx: readonly [number, number];
  readonly toPx: readonly [number, number];
  readonly widthMm: number;
  /** Light of the fibre as a share of the way from plate to hole; 0 is as the plate. */
  readonly lightShare: number;
  /** Seen on the plate too (lit from the front), not only in the hole. */
  readonly overPlate: boolean;
}

/** A scratch that runs from the rim outwards and lets some light through or shines. */
export interface RimScratch {
  readonly angleRad: number;
  readonly lengthMm: number;
  readonly widthMm: number;
  /** Share of the way from plate to hole. */
  readonly lightShare: number;
}

/** Two lines square to each other, or four ticks of them, as a maker draws or scribes them to mark the middle. */
export interface Cross {
  readonly columnPx: number;
  readonly rowPx: number;
  readonly angleRad: number;
  /** The second line's error against square. */
  readonly skewRad?: number;
  /** From the crossing outwards: where each arm begins and ends. */
  readonly fromMm: number;
  readonly toMm: number;
  readonly widthMm: number;
  /** The plate's light is multiplied by 1 + this: negative for ink and scratches that look dark. */
  readonly strength: number;
}

export interface ScanRecipe {
  readonly seed: number;
  readonly widthPx: number;
  readonly heightPx: number;
  readonly xMmPerPx: number;
  readonly yMmPerPx: number;
  readonly holes: readonly HoleShape[];
  readonly islands?: readonly Island[];
  readonly fibres?: readonly Fibre[];
  readonly rimScratches?: readonly RimScratch[];
  /** Light of hole and plate, 0…1 before exposure. */
  readonly holeLight: number;
  readonly plateLight: number;
  /** Standard deviation of the brushed grain as a share of the plate's light. */
  readonly grainShare: number;
  readonly grainAngleRad: number;
  /** Scratches anywhere on the plate. */
  readonly scratches?: number;
  /** Drawn on the plate. */
  readonly cross?: Cross;
  /** Fall of the light from one side of the picture to the other, share. */
  readonly gradientShare?: number;
  readonly gradientAngleRad?: number;
  /** Blur: standard deviation along columns' and rows' direction. */
  readonly sigmaXMm: number;
  readonly sigmaYMm: number;
  /** Share of light in a blur three times as wide. */
  readonly tailShare?: number;
  /** Share of light spread over about 0.15 mm (flare of glass and lid). */
  readonly flareShare?: number;
  /** Multiplies the light; above 1 / light it clips. */
  readonly exposure?: number;
  readonly fullWellElectrons: number;
  readonly readElectrons: number;
  readonly tone: ToneCurve;
  readonly bits: 8 | 16;
  readonly channels: 1 | 3;
  /** Shift of the red and the blue picture against the green one, px. */
  readonly misregistrationPx?: readonly [readonly [number, number], readonly [number, number]];
  /** Unsharp mask as drivers apply it, on stored values. */
  readonly sharpen?: { readonly amountShare: number; readonly radiusPx: number };
  /** A straight edge of the plate: beyond it lies open light (or the lid); distance from the picture's middle. */
  readonly plateEdge?: { readonly angleRad: number; readonly distancePx: number; readonly light: number };
  /** Slope round the rim that catches the light: plate × (1 + share cos(θ − angle) exp(−d / width)). */
  readonly bevel?: { readonly share: number; readonly widthMm: number; readonly angleRad: number };
  /** The lid's shadow: the plate darkens towards the rim all round. */
  readonly lidShadow?: { readonly share: number; readonly widthMm: number };
  /**
   * The plate stands off the glass on one side and is seen from straight above: foreshortened along the direction, and
   * smaller where it is farther from a lens `distanceMm` above its middle (left out: parallel rays, as in a flatbed's slit).
   * The figures of the holes stay those of the plate itself.
   */
  readonly tilt?: { readonly angleRad: number; readonly directionRad: number; readonly distanceMm?: number };
  /** Standard deviation of the carriage's error per line, px. */
  readonly jitterPx?: number;
}

/** The same plate scanned with `factor` times as many pixels per inch. */
export function atResolution(recipe: ScanRecipe, factor: number): ScanRecipe {
  const place = <T extends { readonly columnPx: number; readonly rowPx: number }>(thing: T): T => ({
    ...thing,
    columnPx: thing.columnPx * factor,
    rowPx: thing.rowPx * factor,
  });
  return {
    ...recipe,
    widthPx: Math.round(recipe.widthPx * factor),
    heightPx: Math.round(recipe.heightPx * factor),
    xMmPerPx: recipe.xMmPerPx / factor,
    yMmPerPx: recipe.yMmPerPx / factor,
    holes: recipe.holes.map(place),
    ...(recipe.islands && { islands: recipe.islands.map(place) }),
    ...(recipe.cross && { cross: place(recipe.cross) }),
  };
}
