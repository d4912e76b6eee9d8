/**
 * The words in which scans and their readings are spoken of: what a decoder gives (`PixelSource`),
 * what the maker says about the scan (`ScanFacts`) and what is read off it (`ScanReading`).
 * Pixels are `{column, row}` (right, down; pixel 0,0 covers 0…1), lengths are mm.
 */

/** Samples as stored in the file: interleaved channels, row after row from the top. */
export interface Raster {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly channels: number;
  readonly samples: Uint8Array | Uint16Array | Float32Array;
  /** Value of full white: 255, 65535, or 1 for floats. */
  readonly fullScale: number;
}

export interface PixelWindow {
  readonly columnPx: number;
  readonly rowPx: number;
  readonly widthPx: number;
  readonly heightPx: number;
}

/**
 * An opened picture that gives its pixels piece by piece, so that a scan of 100 megapixels
 * need never be held whole. A decoder implements it; the plate room only reads.
 */
export interface PixelSource {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly channels: number;
  readonly bitsPerSample: 8 | 16;
  /**
   * A window at full resolution (`shrink` 1), or area-averaged by a whole factor: the result then has
   * ceil(width / shrink) × ceil(height / shrink) pixels.
   */
  read(window: PixelWindow, shrink: number): Promise<Raster>;
}

export type ToneCurve = { readonly kind: 'srgb' } | { readonly kind: 'linear' } | { readonly kind: 'gamma'; readonly gamma: number };
export type ToneSource = 'file' | 'given' | 'estimated';
export type ScaleSource = 'file' | 'given' | 'ruler' | 'scanner';
export type Polarity = 'bright-hole' | 'dark-hole';
export type Illumination = 'backlit' | 'reflective' | 'unknown';

export interface ScanScale {
  readonly xMmPerPx: number;
  readonly yMmPerPx: number;
  readonly source: ScaleSource;
  /** Where in the file or from whom, in words: `TIFF tags 282/283, inch`. */
  readonly detail: string;
  /** Standard uncertainty of the scale as a share of it (k = 1), when known better than the default of its source. */
  readonly relativeUncertainty?: number;
}

export interface ScanFacts {
  readonly scale: ScanScale;
  readonly tone: ToneCurve;
  readonly toneSource: ToneSource;
  readonly illumination: Illumination;
  /** Where the light says the edge is against where the metal ends, in the diameter; left out: by the illumination. */
  readonly edge?: EdgeTerm;
}

/** The edge term as the maker knows it better: from a comparison, or a plate of known thickness and bevel. */
export interface EdgeTerm {
  /** k = 1. */
  readonly standardUncertaintyMm: number;
  readonly reason: string;
}

/**
 * A change by hand of a measured outline. Angles counter-clockwise from +x, places from the top left corner, of the scan
 * as displayed.
 */
export type HandEdit =
  | {
      readonly kind: 'nudge';
      readonly angleRad: number;
      /** Half width at half height of the stretch that moves. */
      readonly widthRad: number;
      /** Outwards; negative: inwards. */
      readonly shiftMm: number;
    }
  | { readonly kind: 'bridge'; readonly angleRad: number; readonly widthRad: number }
  | { readonly kind: 'metal' | 'nothing'; readonly center: PointMm };

export interface PointMm {
  readonly xMm: number;
  readonly yMm: number;
}

/** One line of the uncertainty budget, k = 1, in the diameter of the outline. */
export interface BudgetLine {
  readonly name:
    | 'noise'
    | 'scale'
    | 'edge'
    | 'tone'
    | 'blur'
    | 'sharpening'
    | 'saturation'
    | 'texture'
    | 'debris'
    | 'repeatability'
    | 'hand';
  readonly standardUncertaintyMm: number;
  /** Where the figure comes from, in a sentence. */
  readonly reason: string;
}

export interface Burr {
  /** From +x, counter-clockwise as the scan is displayed. */
  readonly angleRad: number;
  readonly heightMm: number;
  readonly widthMm: number;
}

export interface Debris {
  readonly areaMm2: number;
  readonly center: PointMm;
  readonly kind: 'island' | 'fibre';
  /** Closed, inside the hole's outline, of the piece's area; from the scan's top left corner, x right, y down. */
  readonly outline: readonly PointMm[];
}

/** One wave of the rim about the least-squares centre: order lobes, r = … + amplitude · cos(order · θ − phase). */
export interface Lobes {
  readonly order: number;
  readonly amplitudeMm: number;
  /** Angles counter-clockwise from +x as the scan is displayed. */
  readonly phaseRad: number;
}

/** The ellipse of the same area and the same second moments. */
export interface EllipsePart {
  readonly longMm: number;
  readonly shortMm: number;
  /** Direction of the long axis, from +x counter-clockwise as displayed. */
  readonly angleRad: number;
}

export interface Circle {
  readonly center: PointMm;
  readonly diameterMm: number;
}

export interface HoleReading {
  /** Area-equivalent, debris removed: the verdict, the passes and (unless debris stays) the exposure use this. */
  readonly outlineDiameterMm: number;
  readonly outlineStandardUncertaintyMm: number;
  /** Area-equivalent of the clear area: outline minus debris. */
  readonly clearDiameterMm: number;
  readonly clearStandardUncertaintyMm: number;
  /** The part of the outline's uncertainty that is neither scale nor the edge term of the illumination. */
  readonly imageStandardUncertaintyMm: number;
  readonly budget: readonly BudgetLine[];
  /** From the scan's top left corner, x right, y down (as displayed). */
  readonly leastSquares: Circle;
  readonly maximumInscribed: Circle;
  readonly minimumCircumscribed: Circle;
  /** Minimum zone, difference of radii (ISO 12181). */
  readonly roundnessMm: number;
  readonly feretMinMm: number;
  readonly feretMaxMm: number;
  /** Direction of the longest width, from +x counter-clockwise as displayed. */
  readonly feretMaxAngleRad: number;
  readonly areaMm2: number;
  readonly perimeterMm: number;
  /** Centre of the outline's area. */
  readonly centroid: PointMm;
  readonly ellipse: EllipsePart;
  /** Orders 2…15. */
  readonly lobes: readonly Lobes[];
  /** Root mean square of the rim about its own form of orders 0…15. */
  readonly raggednessMm: number;
  readonly burrs: readonly Burr[];
  readonly chips: readonly Burr[];
  readonly debris: readonly Debris[];
  /** Standard deviation of the scan's blur, estimated from the edge itself. */
  readonly blurSigmaMm: number;
  /** Pixels across the outline, by the coarser axis. */
  readonly acrossPx: number;
  /** Signal to noise at the edge: contrast over the standard deviation of the plate's noise. */
  readonly contrastToNoise: number;
  /** Closed outline, about 720 points, from the scan's top left corner, x right, y down, mm. */
  readonly outline: readonly PointMm[];
  /** What the maker should know before trusting the figure, as sentences. */
  readonly cautions: readonly string[];
  /** Changes by hand that are in the figures. */
  readonly handEdits?: readonly HandEdit[];
}

/** A plate whose edges are all in the scan. */
export interface PlateMiddle {
  readonly shape: 'rectangle' | 'disc';
  /** From the scan's top left corner, x right, y down. */
  readonly center: PointMm;
  readonly widthMm: number;
  readonly heightMm: number;
  /** Of the middle, in each direction, k = 1. */
  readonly standardUncertaintyMm: number;
  /** Of a side, from +x counter-clockwise as displayed, 0 … π/2. */
  readonly angleRad: number;
}

/** The middle of a plate as its maker marked it. */
export interface MarkedMiddle {
  /** A cross found in the scan, or half-way between two places pointed at. */
  readonly by: 'cross' | 'points';
  /** From the scan's top left corner, x right, y down. */
  readonly center: PointMm;
  /** In each direction, k = 1. */
  readonly standardUncertaintyMm: number;
  /** Of one line of the cross, from +x counter-clockwise as displayed, 0 … π/2. */
  readonly angleRad?: number;
  /** Of the wider line. */
  readonly lineWidthMm?: number;
}

export interface ScanReading {
  readonly scale: ScanScale;
  readonly tone: ToneCurve;
  readonly toneSource: ToneSource;
  readonly illumination: Illumination;
  readonly polarity: Polarity;
  /** `null` when not all edges of the plate are in the scan. */
  readonly plate: PlateMiddle | null;
  /** `null` when no cross is drawn on the plate and nobody pointed at its middle. */
  readonly middle?: MarkedMiddle | null;
  /** Largest first on a single plate; reading order on a sheet. */
  readonly holes: readonly HoleReading[];
  readonly cautions: readonly string[];
}

/** Progress of a long job: a share 0…1 and a word for what is being done. */
export type Progress = (share: number, word: string) => void;

/** Asked between steps; true ends the job with ModelError `cancelled`. */
export type CancelCheck = () => boolean;
