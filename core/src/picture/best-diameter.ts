/** The best hole for what the maker wants, by computing it; with the whole curve and the band around the top. */
import type { CameraGeometry } from '../camera/geometry.ts';
import { InputError, requirePositive } from '../errors.ts';
import { brentMinimum } from '../numeric/roots.ts';
import { holesInLight, sharpestDiameter } from '../optics/best-hole-colour.ts';
import type { HolesInLight } from '../optics/best-hole-colour.ts';
import { DEFAULT_LOSS_SHARE, requireLossShare } from '../optics/best-hole.ts';
import { criterionFacts } from '../optics/criteria.ts';
import type { Criterion } from '../optics/criteria.ts';
import { roundShape } from '../optics/hole-shape.ts';
import { roundOtf } from '../optics/round-point-image.ts';
import type { HoleView } from '../optics/view.ts';
import { fieldContrast } from './field-contrast.ts';

/** What the hole shall be best at. */
export type PictureAim =
  /** Most contrast at this frequency in the print, on the axis. */
  | { readonly kind: 'contrast'; readonly printFrequencyPerMm: number }
  /** The worst place and direction of the frame as good as it can be at this frequency in the print. */
  | { readonly kind: 'even'; readonly printFrequencyPerMm: number }
  /** A criterion of `bestHole`, in the light that the film sees. */
  | { readonly kind: 'criterion'; readonly criterion: Criterion };

export interface DiameterQuestion {
  readonly camera: CameraGeometry;
  readonly objectDistanceMm: number;
  readonly light: HoleView['light'];
  /** `holesInLight` of the same light, where it is at hand already. */
  readonly holes?: HolesInLight;
  readonly aim: PictureAim;
  /** Width of the print of the whole frame, > 0; default a contact print. */
  readonly printWidthMm?: number;
  /** The hole in hand. */
  readonly ownDiameterMm?: number;
  /** How much of the merit the band may lose; 0 < share ≤ 0.5. Default 0.05. */
  readonly lossShare?: number;
}

export interface DiameterAnswer {
  readonly diameterMm: number;
  /** Contrast there, for the aims that are a contrast. */
  readonly contrast: number | null;
  /** The frequency on the film, for the aims that have one. */
  readonly frequencyPerMm: number | null;
  readonly bandMm: readonly [number, number];
  readonly bandLossShare: number;
  /** What the curve shows, in a maker’s words. */
  readonly meaning: string;
  /** Merit against diameter; 1 at the best. */
  readonly curve: { readonly diameterMm: Float64Array; readonly meritShare: Float64Array };
  /** The hole in hand on the curve. */
  readonly own: { readonly diameterMm: number; readonly meritShare: number; readonly lightStops: number } | null;
}

const CURVE_POINTS = 97;

function filmFrequency(question: DiameterQuestion, printFrequencyPerMm: number): number {
  requirePositive(printFrequencyPerMm, 'printFrequencyPerMm', 'cycles/mm');
  const { frame } = question.camera;
  return (printFrequencyPerMm * (question.printWidthMm ?? frame.widthMm)) / frame.widthMm;
}

interface Solved {
  readonly diameterMm: number;
  readonly merit: (diameterMm: number) => number;
  readonly contrast: number | null;
  readonly frequencyPerMm: number | null;
  readonly meaning: string;
}

function solveAim(question: DiameterQuestion, view: HoleView): Solved {
  const { aim, camera } = question;
  switch (aim.kind) {
    case 'criterion': {
      const wanted = { ...view, criterion: aim.criterion };
      const holes = question.holes ?? holesInLight(question.light);
      return {
        diameterMm: holes.best(wanted).diameterMm,
        merit: holes.merit(wanted),
        contrast: null,
        frequencyPerMm: null,
        meaning: criterionFacts(aim.criterion).meaning,
      };
    }
    case 'contrast': {
      const frequencyPerMm = filmFrequency(question, aim.printFrequencyPerMm);
      const { diameterMm, contrast } = sharpestDiameter(view, frequencyPerMm);
      const merit = (d: number): number => (roundOtf({ ...view, diameterMm: d }, [frequencyPerMm])[0] as number) / contrast;
      return { diameterMm, merit, contrast, frequencyPerMm, meaning: 'Most contrast at this detail, in the middle of the picture.' };
    }
    case 'even': {
      const frequencyPerMm = filmFrequency(question, aim.printFrequencyPerMm);
      const worst = (d: number): number =>
        Math.min(
          ...fieldContrast({ ...question, shape: roundShape(d), camera }, [frequencyPerMm]).flatMap(({ contrast }) => [
            contrast?.tangential[0] ?? 0,
            contrast?.sagittal[0] ?? 0,
          ]),
        );
      const middle = sharpestDiameter(view, frequencyPerMm).diameterMm;
      let at = middle;
      for (let d = 0.5 * middle; d < 3 * middle; d *= 1.06) if (worst(d) > worst(at)) at = d;
      const { at: diameterMm, value } = brentMinimum((d) => -worst(d), at / 1.07, at * 1.07, 1e-9);
      if (!(value < 0)) {
        throw new InputError('out-of-range', `No hole shows ${frequencyPerMm} cycles/mm all over the frame: ask for coarser detail.`, {
          path: 'printFrequencyPerMm',
          got: aim.printFrequencyPerMm,
        });
      }
      const meaning = 'The worst place of the picture, corners and both directions of lines counted, as good as it can be.';
      return { diameterMm, merit: (d) => worst(d) / -value, contrast: -value, frequencyPerMm, meaning };
    }
  }
}

/**
 * The best hole for an aim, by maximising its merit; with the curve of merit against diameter.
 * Valid: thin round hole, Fresnel regime; the aim `even` as `slantedView`.
 * @param question lengths > 0; object distance may be infinite; 0 < lossShare ≤ 0.5
 * @throws InputError not-positive, out-of-range, unknown-name, missing
 * @throws ModelError not-converged where no hole is best for so fine or coarse a detail
 * @source optics-notes 1
 */
export function bestDiameter(question: DiameterQuestion): DiameterAnswer {
  const lossShare = question.lossShare ?? DEFAULT_LOSS_SHARE;
  requireLossShare(lossShare);
  if (question.printWidthMm !== undefined) requirePositive(question.printWidthMm, 'printWidthMm', 'mm');
  if (question.ownDiameterMm !== undefined) requirePositive(question.ownDiameterMm, 'ownDiameterMm', 'mm');
  const view = {
    focalLengthMm: question.camera.focalLengthMm,
    objectDistanceMm: question.objectDistanceMm,
    light: question.light,
  };
  const { diameterMm, merit, contrast, frequencyPerMm, meaning } = solveAim(question, view);
  const edge = (factor: number): number => {
    let inside = diameterMm;
    let outside = inside * factor;
    while (merit(outside) >= 1 - lossShare && outside < 20 * diameterMm && outside > diameterMm / 20) {
      inside = outside;
      outside *= factor;
    }
    while (Math.abs(outside - inside) > 1e-9) {
      const middle = (inside + outside) / 2;
      if (merit(middle) >= 1 - lossShare) inside = middle;
      else outside = middle;
    }
    return inside;
  };
  const diameters = Float64Array.from({ length: CURVE_POINTS }, (_, i) => diameterMm * (0.4 + (1.6 * i) / (CURVE_POINTS - 1)));
  return {
    diameterMm,
    contrast,
    frequencyPerMm,
    bandMm: [edge(1 / 1.03), edge(1.03)],
    bandLossShare: lossShare,
    meaning,
    curve: { diameterMm: diameters, meritShare: diameters.map(merit) },
    own:
      question.ownDiameterMm === undefined
        ? null
        : {
            diameterMm: question.ownDiameterMm,
            meritShare: merit(question.ownDiameterMm),
            lightStops: 2 * Math.log2(question.ownDiameterMm / diameterMm),
          },
  };
}
