/** What a hole is worth, in sentences with numbers. */
import { InputError, requirePositive } from '../errors.ts';
import { finestDetailPerMm } from '../optics/best-hole-colour.ts';
import { MM_PER_NM } from '../optics/conjugates.ts';
import type { ShapedHoleView } from '../optics/edge-integral.ts';
import { shapeBox } from '../optics/hole-shape.ts';
import type { RoundHoleView } from '../optics/round-point-image.ts';
import { shapeOtf } from '../optics/shape-otf.ts';
import { formatNumber, formatWithUncertainty } from '../units/figures.ts';
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
  /** What it may be when the diameter lies anywhere within twice its standard uncertainty. */
  readonly finestRangePerMm: readonly [number, number];
  /** Narrowest bar that shows beside a gap as wide. */
  readonly smallestBar: readonly {
    readonly objectDistanceMm: number;
    readonly barMm: number;
    readonly barRangeMm: readonly [number, number];
  }[];
  /** Widest print of the frame that looks crisp. */
  readonly crispPrint: readonly {
    readonly viewingDistanceMm: number;
    readonly neededPerMm: number;
    readonly enlargementFactor: number;
    readonly widthMm: number;
    readonly widthRangeMm: readonly [number, number];
  }[];
  readonly sentences: readonly string[];
}

/** Steps of the standard uncertainty at which a figure is looked at: it need not rise all the way. */
const STEPS_OF_UNCERTAINTY = [-2, -1, 0, 1, 2];

/**
 * What a round hole shows: on the film, of a thing 5 m and 50 m away, and in a print.
 *   bar = (u / f) / (2 ν₁₀(u));  enlargement = ν₁₀ / ν of a crisp print, 5 cycles/mm · 250 mm / viewing distance
 * Valid: as `finestDetailPerMm`, middle of the picture; film and printing take nothing away. Ranges hold for k = 2 of the
 * diameter, other doubts apart.
 * @param view all > 0; object distance may be infinite
 * @param frameWidthMm of the film’s image area, > 0
 * @param diameterStandardUncertaintyMm k = 1, ≥ 0 and less than a quarter of the diameter; default 0
 * @throws InputError not-positive, missing, out-of-range
 * @source optics-notes 2
 * @source jcgm100
 */
export function pictureInWords(view: RoundHoleView, frameWidthMm: number, diameterStandardUncertaintyMm = 0): PictureFigures {
  requirePositive(frameWidthMm, 'frameWidthMm', 'mm');
  if (!(diameterStandardUncertaintyMm >= 0 && diameterStandardUncertaintyMm < view.diameterMm / 4)) {
    throw new InputError('out-of-range', `The uncertainty of the diameter must be from 0 to a quarter of it, but is ${diameterStandardUncertaintyMm} mm.`, {
      path: 'diameterStandardUncertaintyMm',
      got: diameterStandardUncertaintyMm,
      expected: '0 ≤ u < d / 4',
    });
  }
  const steps = diameterStandardUncertaintyMm === 0 ? [0] : STEPS_OF_UNCERTAINTY;
  const about = (figure: (diameterMm: number) => number): readonly [number, number] => {
    const values = steps.map((step) => figure(view.diameterMm + step * diameterStandardUncertaintyMm));
    return [Math.min(...values), Math.max(...values)];
  };
  const finest = (diameterMm: number): number => finestDetailPerMm({ ...view, diameterMm }, SEEN_CONTRAST);
  const finestPerMm = finest(view.diameterMm);
  const finestRangePerMm = about(finest);
  const smallestBar = [5_000, 50_000].map((objectDistanceMm) => {
    const barMm = (diameterMm: number): number =>
      objectDistanceMm / view.focalLengthMm / (2 * finestDetailPerMm({ ...view, objectDistanceMm, diameterMm }, SEEN_CONTRAST));
    return { objectDistanceMm, barMm: barMm(view.diameterMm), barRangeMm: about(barMm) };
  });
  const crispPrint = [READING_DISTANCE_MM, ARM_LENGTH_MM].map((viewingDistanceMm) => {
    const neededPerMm = (CRISP_PER_MM_AT_READING * READING_DISTANCE_MM) / viewingDistanceMm;
    const enlargementFactor = finestPerMm / neededPerMm;
    const widthRangeMm = finestRangePerMm.map((perMm) => (perMm / neededPerMm) * frameWidthMm) as [number, number];
    return { viewingDistanceMm, neededPerMm, enlargementFactor, widthMm: enlargementFactor * frameWidthMm, widthRangeMm };
  });
  const sure = diameterStandardUncertaintyMm === 0;
  const figure = (value: number, [low, high]: readonly [number, number]): string =>
    sure
      ? formatNumber(value, { significant: 2 })
      : formatWithUncertainty(value, Math.max(high - value, value - low, 1e-3 * value) / 2).replace(/\s*\(.*$/, '');
  const mm = (lengthMm: number): string => formatLength(lengthMm, { unit: 'mm' });
  const bars = smallestBar.map(({ objectDistanceMm, barMm, barRangeMm }) =>
    `${figure(barMm, barRangeMm)} mm wide at ${formatNumber(objectDistanceMm / 1000)} m`);
  const prints = crispPrint.map(({ viewingDistanceMm, widthMm, enlargementFactor }) =>
    `${formatNumber(widthMm, { significant: 2 })} mm wide (${formatNumber(enlargementFactor, { significant: 2 })}×) `
    + `seen from ${formatNumber(viewingDistanceMm)} mm`);
  return {
    finestPerMm,
    finestRangePerMm,
    smallestBar,
    crispPrint,
    sentences: [
      `A hole of ${mm(view.diameterMm)} draws ${figure(finestPerMm, finestRangePerMm)} lines per mm on the film, the `
        + `finest that keep a tenth of their contrast${sure ? '' : ' (± for k = 2 of the measured diameter)'}.`,
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

/** Directions and frequencies at which an uneven hole is looked at. */
const DIRECTIONS = 8;
const FREQUENCIES = 96;

/**
 * The finest detail that a hole of any shape shows in the direction where it is worst, with a tenth of its contrast: to be
 * held against `finestDetailPerMm` of the round hole of its area.
 * Valid: as `shapeOtf`, on the axis; read between samples, to about 0.3 %.
 * @param view all > 0; object distance may be infinite
 * @throws InputError not-positive, out-of-range, missing
 * @source optics-notes 2
 */
export function shapeFinestPerMm(view: ShapedHoleView): number {
  const box = shapeBox(view.shape);
  const widest = Math.hypot(box.highXMm - box.lowXMm, box.highYMm - box.lowYMm);
  const shortest = Math.min(...view.light.map(({ wavelengthNm }) => wavelengthNm));
  const cutoff = widest / (shortest * MM_PER_NM * view.focalLengthMm);
  const frequencies = Float64Array.from({ length: FREQUENCIES }, (_, i) => (cutoff * i) / (FREQUENCIES - 1));
  let worst = Infinity;
  for (let direction = 0; direction < DIRECTIONS; direction++) {
    const { real } = shapeOtf(view, frequencies, (Math.PI * direction) / DIRECTIONS);
    for (let i = 1; i < real.length; i++) {
      const before = real[i - 1] as number;
      const after = real[i] as number;
      if (after >= SEEN_CONTRAST) continue;
      const at = (cutoff / (FREQUENCIES - 1)) * (i - 1 + (before - SEEN_CONTRAST) / (before - after));
      worst = Math.min(worst, at);
      break;
    }
  }
  return worst;
}
