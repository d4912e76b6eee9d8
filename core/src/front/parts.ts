/**
 * What is asked of each part built about the hole: as the maker decided, else as the view needs it and as is usual. One place, so
 * that page and command reckon with the same.
 */
import type { BoxFaces } from './finder.ts';
import type { FrontReport } from './report.ts';
import type { SeatQuestion } from './seat.ts';
import { DEFAULT_NOT_HOME_MM, DEFAULT_OVERLAP_MM, DEFAULT_PLAY_MM, type SlideQuestion, type SwingQuestion } from './shutter.ts';
import type { FrontQuestion } from './transmission.ts';

type Kept<Key extends string> = { readonly [K in Key]?: number | undefined } | undefined;

/** What a maker decided, part by part; lengths in mm. */
export interface DecidedParts {
  readonly gauge?: Kept<'tipHeightMm'>;
  readonly plate?: Kept<'lossStops'>;
  readonly seat?: Kept<'boardOpeningMm' | 'plateThicknessMm' | 'glueThicknessMm' | 'landMm' | 'glueClearanceMm' | 'belowSurfaceMm'>;
  readonly shutter?: Kept<'slideThicknessMm' | 'playMm' | 'overlapMm' | 'notHomeMm' | 'holeProudMm' | 'pivotDistanceMm'>;
  /** Places as written: `readPlaces`. */
  readonly holes?: { readonly places?: string | undefined; readonly septumThicknessMm?: number | undefined } | undefined;
  readonly finder?: Kept<'outsideWidthMm' | 'outsideHeightMm' | 'behindFilmMm' | 'eyeDistanceMm' | 'eyeXMm' | 'eyeYMm' | 'objectDistanceMm'>;
}

export interface AskedParts {
  /** Diameter that the view needs of the layer next before the hole, where a slide runs; a usual one where there is no layer. */
  readonly neededMm: number;
  /** Null: as the gauge needs it. */
  readonly gaugeTipMm: number | null;
  readonly lossStops: number;
  readonly seat: SeatQuestion;
  readonly slide: SlideQuestion;
  readonly swing: SwingQuestion;
  /** As written. */
  readonly places: string;
  readonly septumThicknessMm: number;
  readonly box: BoxFaces;
  readonly eye: { readonly eyeDistanceMm: number; readonly eyeXMm: number; readonly eyeYMm: number; readonly objectDistanceMm?: number };
}

/** Taken where nobody decided. Common practice, no source. */
const USUAL = { lossStops: 0.33, openingMm: 6, sheetMm: 0.1, slideMm: 2, pivotMm: 30, woodMm: 9, besideFilmMm: 6 } as const;

/**
 * @param known of the board and the whole sheet of the plate, where measured
 */
export function askedParts(
  { camera, layers }: FrontQuestion,
  report: Pick<FrontReport, 'needs'>,
  decided: DecidedParts = {},
  known: { readonly boardMm?: number | null | undefined; readonly sheetMm?: number | null | undefined } = {},
): AskedParts {
  const { gauge, plate, seat, shutter, holes, finder } = decided;
  let next = -1;
  for (const [i, { nearMm, farMm }] of layers.entries()) {
    if (Math.max(nearMm, farMm) > 0 && (next < 0 || nearMm < layers[next]!.nearMm)) next = i;
  }
  const neededMm = report.needs[next]?.roundMm ?? USUAL.openingMm;
  const openingMm = seat?.boardOpeningMm ?? Math.max(neededMm, USUAL.openingMm);
  const overlapMm = shutter?.overlapMm ?? DEFAULT_OVERLAP_MM;
  const besideMm = 2 * (USUAL.besideFilmMm + (known.boardMm ?? USUAL.woodMm));
  const halfMm = Math.ceil(camera.frame.widthMm / 2);
  return {
    neededMm,
    gaugeTipMm: gauge?.tipHeightMm ?? null,
    lossStops: plate?.lossStops ?? USUAL.lossStops,
    seat: {
      boardOpeningMm: openingMm,
      plateThicknessMm: seat?.plateThicknessMm ?? known.sheetMm ?? USUAL.sheetMm,
      ...given({
        glueThicknessMm: seat?.glueThicknessMm,
        landMm: seat?.landMm,
        glueClearanceMm: seat?.glueClearanceMm,
        belowSurfaceMm: seat?.belowSurfaceMm,
        boardThicknessMm: known.boardMm ?? undefined,
      }),
    },
    slide: {
      openingAlongMm: openingMm,
      openingAcrossMm: openingMm,
      clearAlongMm: neededMm,
      clearAcrossMm: neededMm,
      slideThicknessMm: shutter?.slideThicknessMm ?? USUAL.slideMm,
      playMm: shutter?.playMm ?? DEFAULT_PLAY_MM,
      overlapMm,
      notHomeMm: shutter?.notHomeMm ?? DEFAULT_NOT_HOME_MM,
      ...given({ holeProudMm: shutter?.holeProudMm }),
    },
    swing: { openingMm, clearMm: neededMm, pivotDistanceMm: shutter?.pivotDistanceMm ?? USUAL.pivotMm, overlapMm },
    // Two holes as far apart as their frames need.
    places: holes?.places ?? `-${halfMm},0; ${halfMm},0`,
    septumThicknessMm: holes?.septumThicknessMm ?? 0,
    box: {
      outsideWidthMm: finder?.outsideWidthMm ?? camera.frame.widthMm + besideMm,
      outsideHeightMm: finder?.outsideHeightMm ?? camera.frame.heightMm + besideMm,
      behindFilmMm: finder?.behindFilmMm ?? 0,
    },
    eye: {
      eyeDistanceMm: finder?.eyeDistanceMm ?? camera.focalLengthMm,
      eyeXMm: finder?.eyeXMm ?? 0,
      eyeYMm: finder?.eyeYMm ?? 0,
      ...given({ objectDistanceMm: finder?.objectDistanceMm }),
    },
  };
}

/** Only the fields that have a value. */
function given<T extends Readonly<Record<string, number | undefined>>>(fields: T): { [K in keyof T]?: number } {
  return Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== undefined)) as { [K in keyof T]?: number };
}
