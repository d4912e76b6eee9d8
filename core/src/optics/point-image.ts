/**
 * The image of a point through a round hole: how bright its centre is and how its light spreads. Raw functions of
 * c and q first (see `conjugates.ts`). Intensity 1 = no screen at all.
 */
import { requirePositive } from '../errors.ts';
import { besselJ } from '../numeric/bessel.ts';
import { gaussLegendre } from '../numeric/quadrature.ts';
import { diffractionLengthMm, fresnelNumber } from './conjugates.ts';
import { overlapOtf } from './round-hole.ts';
import type { RoundHole } from './round-hole.ts';

/**
 * Intensity in the centre of a point image.
 *   I = 4 sin²(π N_F / 2)
 * Valid: Fresnel regime, thin round hole, one wavelength, on the axis.
 * @param hole all > 0; object distance may be infinite
 * @throws InputError not-positive
 * @source optics-notes 2
 */
export function centreIntensity(hole: RoundHole): number {
  return 4 * Math.sin((Math.PI * fresnelNumber(hole)) / 2) ** 2;
}

/**
 * Share of a point's light that falls within a circle on the film, 0…1.
 *   E(R) = 2π R ∫ OTF(ν) J1(2π R ν) dν from 0 to the cutoff
 * Valid: as `centreIntensity`.
 * @param hole all > 0; object distance may be infinite
 * @param radiusMm > 0
 * @throws InputError not-positive
 * @source optics-notes 2
 */
export function encircledEnergyShare(hole: RoundHole, radiusMm: number): number {
  requirePositive(hole.diameterMm, 'diameterMm', 'mm');
  requirePositive(radiusMm, 'radiusMm', 'mm');
  const lengthMm = diffractionLengthMm(hole);
  const magnification = 1 + hole.focalLengthMm / hole.objectDistanceMm;
  const c = hole.diameterMm / lengthMm;
  const turnRad = (2 * Math.PI * radiusMm * c) / (lengthMm * magnification);
  // q = c sin t makes the end of the OTF, a power 3/2 in q, smooth in t
  const rule = gaussLegendre(Math.ceil(24 + turnRad / 2 + (Math.PI * c * c) / 4));
  let sum = 0;
  for (let i = 0; i < rule.nodes.length; i++) {
    const t = (Math.PI / 4) * (1 + (rule.nodes[i] as number));
    const share = Math.sin(t);
    sum += (rule.weights[i] as number) * overlapOtf(c, c * share) * besselJ(1, turnRad * share) * Math.cos(t);
  }
  return (Math.PI / 4) * turnRad * sum;
}
