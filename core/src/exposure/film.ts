/**
 * What is known of a film, paper or plate for exposure: its speed and how it tires in long exposures,
 * each figure with the document it stands in and how it came to us. Plain data: the same type holds
 * the published films (`films.json`) and a maker's own.
 */

/**
 * How a figure came to us: read in the maker's document, quoted by somebody, from memory, fitted to the owner's own
 * tests, or there is none.
 */
export type Evidence = 'published' | 'second-hand' | 'memory' | 'tested' | 'none';

export type FilmKind =
  | 'bw-negative'
  | 'colour-negative'
  | 'colour-reversal'
  | 'colour-reversal-tungsten'
  | 'paper'
  | 'direct-positive-paper'
  | 'plate'
  | 'x-ray'
  | 'instant'
  | 'emulsion'
  | 'unspecified';

/** One published row: at this metered time, this correction. */
export interface ReciprocityRow {
  readonly meteredS: number;
  /** The document's corrected-time column; `null` where it prints stops only. */
  readonly correctedS: number | null;
  /** The document's stop column; `null` where it prints times only. */
  readonly correctionStops: number | null;
  /** What the document asks of development at this row, as printed. */
  readonly developmentChange: string | null;
  /** Colour correction filter asked for at this row, as printed. */
  readonly colourFilter: string | null;
}

/**
 * The law of the long exposure, t metered and T given, in seconds:
 * `table` rows between which log(T/t) is interpolated over log t; `power` T = t^exponent above `validFromS`;
 * `covington` T = (t + 1)^(1/p) − 1; `modified-schwarzschild` T = t + coefficient·t^exponent; `none`: no figure.
 */
export type ReciprocityLaw =
  | { readonly model: 'table'; readonly rows: readonly ReciprocityRow[] }
  | {
      readonly model: 'power';
      readonly exponent: number;
      readonly validFromS: number;
      readonly validToS: number | null;
    }
  | { readonly model: 'covington'; readonly p: number; readonly validToS: number | null }
  | {
      readonly model: 'modified-schwarzschild';
      readonly coefficient: number;
      readonly exponent: number;
      readonly validToS: number | null;
    }
  | { readonly model: 'none' };

/** Somebody else's figures for the same material, kept beside the maker's and never mixed into them. */
export interface AlternateFigures {
  readonly name: string;
  readonly law: ReciprocityLaw;
  readonly source: string;
  readonly evidence: Evidence;
  readonly note: string | null;
}

export interface Film {
  /** Stable, lower case, for saved records. */
  readonly id: string;
  readonly name: string;
  /** Other names under which it is found. */
  readonly alsoNamed: readonly string[];
  readonly maker: string | null;
  readonly kind: FilmKind;
  /** ISO film speed; `null` where the material has none or the entry covers several. */
  readonly iso: number | null;
  /** Range of exposure indices in use where there is no film speed (paper, plates, x-ray), lowest first. */
  readonly exposureIndexRange: readonly [number, number] | null;
  readonly law: ReciprocityLaw;
  /** Up to this metered time the document asks for no correction; `null`: not stated. */
  readonly noCorrectionUpToS: number | null;
  /** From this metered time on the maker advises against the material. */
  readonly notRecommendedFromS: number | null;
  /** The document the figures stand in. */
  readonly source: string;
  readonly evidence: Evidence;
  readonly status: string | null;
  readonly development: string | null;
  readonly note: string | null;
  readonly alternates: readonly AlternateFigures[];
}
