/** The light that a film sees, as a few wavelengths with their shares. */
import { InputError, requirePositive } from '../errors.ts';

export interface SpectralLine {
  /** > 0 */
  readonly wavelengthNm: number;
  /** Share of the whole; all shares add to 1. */
  readonly weightShare: number;
}

/** One line or more; the shares add to 1. */
export type SeenLight = readonly SpectralLine[];

/**
 * Light of one wavelength.
 * @param wavelengthNm > 0
 * @throws InputError not-positive
 */
export function oneWavelength(wavelengthNm: number): SeenLight {
  requirePositive(wavelengthNm, 'wavelengthNm', 'nm');
  return [{ wavelengthNm, weightShare: 1 }];
}

/**
 * Light of several wavelengths; the weights are scaled to add to 1.
 * @param lines wavelengths > 0, weights ≥ 0 and not all 0
 * @throws InputError not-positive, negative, missing
 */
export function mixedLight(lines: SeenLight): SeenLight {
  let sum = 0;
  for (const { wavelengthNm, weightShare } of lines) {
    requirePositive(wavelengthNm, 'wavelengthNm', 'nm');
    if (!(weightShare >= 0 && weightShare < Infinity)) {
      throw new InputError('negative', `Each weight must be 0 or more, but one is ${weightShare}.`, {
        path: 'weights',
        got: weightShare,
        expected: '≥ 0',
      });
    }
    sum += weightShare;
  }
  if (!(sum > 0)) {
    throw new InputError('missing', 'No light is left: at least one wavelength needs a weight above 0.', {
      path: 'weights',
      got: lines,
    });
  }
  return lines.map(({ wavelengthNm, weightShare }) => ({ wavelengthNm, weightShare: weightShare / sum }));
}

/**
 * Mean wavelength of the light that a film sees, nm: the one number to give where only one fits.
 * @param light shares add to 1
 */
export function meanWavelengthNm(light: SeenLight): number {
  return light.reduce((sum, line) => sum + line.weightShare * line.wavelengthNm, 0);
}
