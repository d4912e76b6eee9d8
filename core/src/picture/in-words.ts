/** What a hole is worth, in sentences with numbers. */
import { requirePositive } from '../errors.ts';
import { finestDetailPerMm } from '../optics/best-hole-colour.ts';
import type { RoundHoleView } from '../optics/round-point-image.ts';
import { formatNumber } from '../units/figures.ts';
import { formatLength } from '../units/length.ts';

/** Fine detail counts as seen down to this contrast. */
const SEEN_CONTRAST = 0.1;
/** A print looks crisp that holds 5 cycles/mm at 250 mm. Common practice, no source. */
const CRISP_PER_MM_AT_READING = 5;
const READING_DISTANCE_MM = 250;
const ARM_LENGTH_MM = 600;

export interface PictureFigures {
  /** Finest detail on the film with a tenth of its contrast. */
  readonly finestPerMm: number;
  /** Narrowest bar that shows beside a gap as wide. */
  readonly smallestBar: readonly { readonly objectDistanceMm: number; readonly barMm: number }[];
  /** Widest print of the frame that looks crisp. */
  readonly crispPrint: readonly {
    readonly viewingDistanceMm: number;
    readonly neededPerMm: number;
    readonly enlargementFactor: number;
    readonly widthMm: number;
  }[];
  readonly sentences: readonly string[];
}

/**
 * What a round hole shows: on the film, of a thing 5 m and 50 m away, and in a print.
 *   bar = (u / f) / (2 ν₁₀(u));  enlargement = ν₁₀ / ν of a crisp print, 5 cycles/mm · 250 mm / viewing distance
 * Valid: as `finestDetailPerMm`, middle of the picture; film and printing take nothing away.
 * @param view all > 0; object distance may be infinite
 * @param frameWidthMm of the film’s image area, > 0
 * @throws InputError not-positive, missing
 * @source optics-notes 2
 */
export function pictureInWords(view: RoundHoleView, frameWidthMm: number): PictureFigures {
  requirePositive(frameWidthMm, 'frameWidthMm', 'mm');
  const finestPerMm = finestDetailPerMm(view, SEEN_CONTRAST);
  const smallestBar = [5_000, 50_000].map((objectDistanceMm) => {
    const perMm = finestDetailPerMm({ ...view, objectDistanceMm }, SEEN_CONTRAST);
    return { objectDistanceMm, barMm: objectDistanceMm / view.focalLengthMm / (2 * perMm) };
  });
  const crispPrint = [READING_DISTANCE_MM, ARM_LENGTH_MM].map((viewingDistanceMm) => {
    const neededPerMm = (CRISP_PER_MM_AT_READING * READING_DISTANCE_MM) / viewingDistanceMm;
    const enlargementFactor = finestPerMm / neededPerMm;
    return { viewingDistanceMm, neededPerMm, enlargementFactor, widthMm: enlargementFactor * frameWidthMm };
  });
  const mm = (lengthMm: number): string => formatLength(lengthMm, { unit: 'mm' });
  const bars = smallestBar.map(({ objectDistanceMm, barMm }) =>
    `${formatNumber(barMm, { significant: 2 })} mm wide at ${formatNumber(objectDistanceMm / 1000)} m`);
  const prints = crispPrint.map(({ viewingDistanceMm, widthMm, enlargementFactor }) =>
    `${formatNumber(widthMm, { significant: 2 })} mm wide (${formatNumber(enlargementFactor, { significant: 2 })}×) `
    + `seen from ${formatNumber(viewingDistanceMm)} mm`);
  return {
    finestPerMm,
    smallestBar,
    crispPrint,
    sentences: [
      `A hole of ${mm(view.diameterMm)} draws ${formatNumber(finestPerMm, { significant: 2 })} lines per mm on the film, the `
        + 'finest that keep a tenth of their contrast.',
      `The narrowest bars it shows apart are ${bars.join(' and ')}.`,
      `A print stays crisp up to ${prints.join(' and ')}: 5 lines per mm at reading distance, fewer from farther away.`,
    ],
  };
}

export interface HoleComparison {
  /** Finest detail of the other against the first, 1 = as fine. */
  readonly detailFactor: number;
  /** Light of the other against the first; positive is more. */
  readonly lightStops: number;
  readonly sentence: string;
}

/**
 * What another hole would cost in detail and gain in light.
 * Valid: as `pictureInWords`.
 * @param view with the first hole
 * @param otherDiameterMm > 0
 * @throws InputError not-positive, missing
 * @source optics-notes 2
 */
export function compareHoles(view: RoundHoleView, otherDiameterMm: number): HoleComparison {
  requirePositive(otherDiameterMm, 'otherDiameterMm', 'mm');
  const detailFactor =
    finestDetailPerMm({ ...view, diameterMm: otherDiameterMm }, SEEN_CONTRAST) / finestDetailPerMm(view, SEEN_CONTRAST);
  const lightStops = 2 * Math.log2(otherDiameterMm / view.diameterMm);
  const percent = Math.abs(detailFactor - 1) * 100;
  const detail =
    percent < 0.5 ? 'shows the same detail' : `shows ${formatNumber(percent, { significant: 2 })} % ${detailFactor < 1 ? 'less' : 'finer'} detail`;
  const stops = Math.abs(lightStops);
  const light =
    stops < 0.005 ? 'in the same light' : `and takes ${formatNumber(stops, { digits: 2 })} stops ${lightStops > 0 ? 'more' : 'less'} light`;
  return {
    detailFactor,
    lightStops,
    sentence:
      `${formatLength(otherDiameterMm, { unit: 'mm' })} instead of ${formatLength(view.diameterMm, { unit: 'mm' })} `
      + `${detail} ${light}.`,
  };
}
