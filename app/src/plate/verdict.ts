/** The hole held against a camera: the word, what it costs, and the camera it would be best for, in sentences. */
import type {
  BandCost, BestHole, CameraLight, CameraRecord, Criterion, HoleVerdict, PassFigures, SuitedFocalLength, VerdictRecord,
} from '#core';
import {
  DEFAULT_CRITERION, criterionFacts, formatLength, formatNumber, formatWithUncertainty, judgeHole,
} from '#core';

export interface Standing {
  readonly criterion: Criterion;
  readonly verdict: HoleVerdict;
  readonly best: BestHole;
  readonly cost: BandCost;
}

export function criterionOf(camera: CameraRecord | null): Criterion {
  return camera?.criterion ?? DEFAULT_CRITERION;
}

type Measured = Pick<PassFigures, 'outlineDiameterMm' | 'outlineStandardUncertaintyMm'>;

/**
 * @param light of that camera: what its film sees, or the wavelength stated
 * @returns `null`: the camera has no focal length yet
 */
export function standingOf(figures: Measured, camera: CameraRecord, { holes }: CameraLight): Standing | null {
  const { focalLengthMm } = camera;
  if (focalLengthMm === undefined) {
    return null;
  }
  const criterion = criterionOf(camera);
  const question = { focalLengthMm, criterion, objectDistanceMm: camera.objectDistanceMm ?? Infinity };
  const best = holes.best(question);
  const diameterMm = figures.outlineDiameterMm;
  return {
    criterion,
    best,
    cost: holes.cost({ ...question, diameterMm }),
    verdict: judgeHole({
      diameterMm,
      standardUncertaintyMm: figures.outlineStandardUncertaintyMm ?? 0,
      best,
      holes,
      focalLengthMm,
      objectDistanceMm: question.objectDistanceMm,
    }),
  };
}

export function suitedOf(figures: Measured, camera: CameraRecord | null, { holes }: CameraLight): SuitedFocalLength {
  const diameterMm = figures.outlineDiameterMm;
  return holes.suited({ diameterMm, criterion: criterionOf(camera), objectDistanceMm: camera?.objectDistanceMm ?? Infinity });
}

/** The word of today, to be kept with the pass. */
export function verdictRecord(hole: Measured, camera: CameraRecord, light: CameraLight): VerdictRecord | null {
  const standing = standingOf(hole, camera, light);
  return standing === null
    ? null
    : {
        word: standing.verdict.word,
        criterion: standing.criterion,
        cameraId: camera.id,
        bestDiameterMm: standing.best.diameterMm,
        bandMm: [...standing.best.bandMm],
      };
}

/** `0.478` and `0.004`: a diameter in mm and its expanded uncertainty, ending at the same place. */
export function diameterParts(
  diameterMm: number,
  standardUncertaintyMm: number | undefined,
): { readonly value: string; readonly spread: string | null } {
  if (standardUncertaintyMm === undefined || !(standardUncertaintyMm > 0)) {
    return { value: formatNumber(diameterMm, { digits: 3 }), spread: null };
  }
  const [value = '', rest = ''] = formatWithUncertainty(diameterMm, standardUncertaintyMm).split(' ± ');
  return { value, spread: rest.replace(/\s*\(.*$/, '') };
}

/** `431 ± 4 µm` for a list or a table. */
export function micrometres(lengthMm: number, standardUncertaintyMm?: number): string {
  if (standardUncertaintyMm === undefined || !(standardUncertaintyMm > 0)) {
    const um = lengthMm * 1000;
    return `${formatNumber(um, { digits: Math.abs(um) < 9.95 ? 1 : 0 })}\u00a0µm`;
  }
  return `${formatWithUncertainty(lengthMm * 1000, standardUncertaintyMm * 1000).replace(/\s*\(.*$/, '')}\u00a0µm`;
}

function percent(share: number): string {
  return `${formatNumber(share * 100, { significant: 2 })} %`;
}

/** By which light the hole differs from the best one. */
function lightWords(stops: number): string {
  const size = Math.abs(stops);
  if (size < 0.03) {
    return 'as bright';
  }
  const amount = `${formatNumber(size, { digits: size < 1 ? 2 : 1 })} stop${size > 1 ? 's' : ''}`;
  return `${amount} ${stops < 0 ? 'darker' : 'brighter'}`;
}

/** What the hole costs against the best one, in the measure of its criterion. */
export function costSentence({ criterion, best, cost }: Standing): string {
  const { merit } = criterionFacts(criterion);
  const than = `the best hole, ${formatLength(best.diameterMm, { unit: 'mm', digits: 3 })}`;
  const light = lightWords(cost.lightStops);
  if (cost.lossShare < 0.002) {
    return `It is as good as ${than}, and ${light}.`;
  }
  const loss = percent(cost.lossShare);
  switch (merit.kind) {
    case 'limiting-frequency': {
      const kept = percent(1 - cost.lossShare);
      const contrast = `${percent(merit.contrast)} contrast`;
      return `It shows ${kept} of the fineness that ${than}, would show at ${contrast}, and is ${light}.`;
    }
    case 'peak-per-energy':
      return `For the light let in, the middle of each point is ${loss} less bright than with ${than}; it is ${light}.`;
    case 'centre':
      return `The middle of each point is ${loss} less bright than with ${than}; the picture is ${light}.`;
    case 'two-blurs':
      return `The blurs of hole and diffraction together are ${loss} wider than with ${than}; it is ${light}.`;
  }
}

/** How far it is to the band and to the best, for the next turn of the needle. */
export function roomSentence({ best, verdict }: Standing): string {
  const um = (mm: number): string => micrometres(Math.abs(mm));
  const [lo, hi] = best.bandMm;
  const d = verdict.diameterMm;
  const band = `The band runs from ${formatNumber(lo, { digits: 3 })} to ${formatNumber(hi, { digits: 3 })} mm`;
  switch (verdict.word) {
    case 'work on':
      return `${band}: ${um(lo - d)} to go to its edge, ${um(best.diameterMm - d)} to the best.`;
    case 'large':
      return `${band}: this hole is ${um(d - hi)} above it. It cannot be made smaller; it suits a longer camera.`;
    case 'good':
      return `${band}.`;
  }
}

/** `best for f 131 mm`, or why there is none. */
export function suitedWords(suited: SuitedFocalLength): string {
  return suited.focalLengthMm === null
    ? (suited.reason ?? '')
    : `best for f\u00a0${formatNumber(suited.focalLengthMm, { digits: suited.focalLengthMm < 20 ? 1 : 0 })}\u00a0mm`;
}
