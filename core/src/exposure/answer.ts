/** The words in which an exposure is asked for and answered: data only, so that every face can use them. */
import type { Evidence, Film } from './film.ts';
import type { FilmResponse, LightSourceId } from '../optics/film-light.ts';
import type { Lighting } from './scenes.ts';

/**
 * The light, as the maker knows it. Every kind may carry its own standard uncertainty (k = 1) in stops;
 * without one a stated judgement is used.
 */
export type Light =
  | { readonly kind: 'ev'; readonly ev100Ev: number; readonly standardUncertaintyStops?: number }
  | {
      readonly kind: 'meter';
      readonly meteredS: number;
      readonly fNumber: number;
      /** Speed the meter was set to; left out: the speed the film is exposed at. */
      readonly iso?: number;
      /** True when `fNumber` is a mark on a dial (f/22 then means 22.63); otherwise it is taken as given. */
      readonly isMark?: boolean;
      /** Light from the subject, or light on it; left out: not said. */
      readonly reading?: 'reflected' | 'incident';
      readonly standardUncertaintyStops?: number;
    }
  | { readonly kind: 'illuminance'; readonly illuminanceLux: number; readonly standardUncertaintyStops?: number }
  | { readonly kind: 'luminance'; readonly luminanceCdPerM2: number; readonly standardUncertaintyStops?: number }
  | {
      readonly kind: 'scene';
      /** Id or words of a scene in the published table. */
      readonly scene: string;
      /** Only for scenes in direct sun; left out: front. */
      readonly lighting?: Lighting;
      readonly standardUncertaintyStops?: number;
    };

export interface ExposureQuestion {
  readonly fNumber: number;
  /** k = 1, as an f-number; left out: the hole is taken as exact, and the chain says so. */
  readonly fNumberStandardUncertainty?: number;
  readonly light: Light;
  /** Left out or `null`: no reciprocity is applied, and the answer says so. */
  readonly film?: Film | null;
  /** Speed in use: needed without a film, and for materials without one speed. Overrules the film's. */
  readonly iso?: number;
  /** The maker's own exposure index; overrules `iso` and the film's speed. */
  readonly exposureIndex?: number;
  /** The index was learnt in a pinhole camera and already holds the bare-hole constant. */
  readonly exposureIndexLearntInPinhole?: boolean;
  /** k = 1, of the speed or index in use. */
  readonly speedStandardUncertaintyStops?: number;
  /** ≥ 1; not together with `filterStops`. */
  readonly filterFactor?: number;
  /** ≥ 0 */
  readonly filterStops?: number;
  /** The colour of the light, for a material that sees otherwise than the meter; left out or daylight: nothing. */
  readonly lightColour?: { readonly source: LightSourceId; readonly response: FilmResponse };
  /** Step of the bracket; left out: half or whole stops by the doubt. */
  readonly bracketStops?: number;
  /** ≥ 0, light lost on the way to the part of the frame that matters. */
  readonly falloffStops?: number;
  /** A bare hole passes 0.27 stop more than a meter's lens constant assumes. Off unless true. */
  readonly bareHole?: boolean;
  /** Half-width of the error of a hand on the shutter; left out: 0.3 s. 0 for a shutter that needs no hand. */
  readonly handReactionS?: number;
}

export type LinkName = 'light' | 'light colour' | 'hole' | 'filter' | 'falloff' | 'bare hole' | 'speed' | 'reciprocity' | 'hand';

/** One step on the way from light to seconds. The `stops` of all links add up to log2 of the corrected seconds. */
export interface ExposureLink {
  readonly name: LinkName;
  /** The value in words: `EV 15 at ISO 100`. */
  readonly words: string;
  /** What the link does to the time; positive = longer. */
  readonly stops: number;
  /** 2^stops */
  readonly factor: number;
  /** k = 1, of the link itself. */
  readonly standardUncertaintyStops: number;
  /** k = 1, as it arrives in the corrected time (reciprocity stretches what comes before it). */
  readonly timeStandardUncertaintyStops: number;
  /** Where the figure and its uncertainty come from, a sentence. */
  readonly reason: string;
}

/** Another published figure for the same film at the same metered time. */
export interface AlternateTime {
  readonly name: string;
  readonly correctedS: number;
  readonly source: string;
  readonly evidence: Evidence;
}

/**
 * What reciprocity did: `not-applied` no film named; `none-needed` within the maker's limit; `corrected` inside the
 * published range; `extrapolated` past it; `no-data` no figure at all: the metered time, with a range of practice.
 */
export type ReciprocityState = 'not-applied' | 'none-needed' | 'corrected' | 'extrapolated' | 'no-data';

export interface ExposureAnswer {
  /** For this hole in this light, filter, falloff and bare hole included, before reciprocity. */
  readonly meteredS: number;
  /** The same without the filter. */
  readonly unfilteredS: number;
  /** The time to give. Never below `meteredS`. */
  readonly correctedS: number;
  /** About 95 % (k = 2), uneven because reciprocity stretches the long side more. */
  readonly rangeS: readonly [number, number];
  readonly extrapolated: boolean;
  readonly state: ReciprocityState;
  readonly correctionStops: number;
  /** The document behind the correction, or why there is none. */
  readonly source: string;
  readonly evidence: Evidence;
  readonly film: string | null;
  /** Speed or exposure index in use; `null` when a reading at the film's own speed made it needless. */
  readonly iso: number | null;
  readonly notRecommended: boolean;
  readonly alternates: readonly AlternateTime[];
  readonly chain: readonly ExposureLink[];
  readonly largestUncertainty: LinkName;
  /** Step of a sensible bracket: half or whole stops of exposure. */
  readonly bracketStops: number;
  /** Times of that bracket: less, the answer, more (each through reciprocity). */
  readonly bracketS: readonly [number, number, number];
  /** `Expose 42 s; anything from 30 s to 60 s will do.` */
  readonly sentence: string;
  readonly cautions: readonly string[];
}
