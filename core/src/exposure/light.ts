/**
 * From light to EV at ISO 100 and from EV to the metered time. The two meter constants are the calibration
 * of meters in general, not physics: ISO 2720 allows a range for each.
 */
import { requireWithin } from './limits.ts';

/** K, reflected light: N²/t = L·S/K. ISO 2720 allows 10.6…13.4; 12.5 and 14 are in use. @source iso2720 */
export const METER_CONSTANT_REFLECTED = 12.5;
/** C, incident light on a flat receptor: N²/t = E·S/C. 240…400 in use, from memory. @source iso2720 */
export const METER_CONSTANT_INCIDENT = 250;

/** Share of the subject's luminance that a lens brings to the film, by which meters are calibrated (from memory). */
const LENS_SHARE = 0.65;
/** The same for a bare hole on axis: no glass, no barrel. @source iso2721 derived */
const BARE_HOLE_SHARE = Math.PI / 4;

/**
 * What a bare hole passes more than a meter's lens constant assumes, stops: log2((π/4)/0.65) = 0.27.
 * Valid: on axis; an exposure index learnt in a pinhole camera already holds it.
 * @source iso2721
 */
export const BARE_HOLE_STOPS = Math.log2(BARE_HOLE_SHARE / LENS_SHARE);

/**
 * Metered time of a stop in a light on a speed, s.
 *   t = (N² / 2^EV) · (100 / S)
 * @param fNumber 1…10 000
 * @param ev100Ev −16…24, at ISO 100
 * @param iso 0.01…102 400
 * @throws InputError out-of-range
 * @source iso2720
 */
export function meteredTimeS(exposure: {
  readonly fNumber: number;
  readonly ev100Ev: number;
  readonly iso: number;
}): number {
  requireWithin(exposure.fNumber, 'fNumber');
  requireWithin(exposure.ev100Ev, 'ev100Ev');
  requireWithin(exposure.iso, 'iso');
  return (exposure.fNumber ** 2 / 2 ** exposure.ev100Ev) * (100 / exposure.iso);
}

/**
 * EV at ISO 100 of a time read at an f-number on a speed.
 *   EV = log2(N²/t) − log2(S/100)
 * @param meteredS 1e-5…1e7
 * @param fNumber 0.5…10 000
 * @throws InputError out-of-range
 */
export function evOfReading(reading: {
  readonly meteredS: number;
  readonly fNumber: number;
  readonly iso: number;
}): number {
  requireWithin(reading.meteredS, 'meteredS');
  requireWithin(reading.fNumber, 'meterFNumber');
  requireWithin(reading.iso, 'iso');
  return Math.log2(reading.fNumber ** 2 / reading.meteredS) - Math.log2(reading.iso / 100);
}

/**
 * EV at ISO 100 from the light falling on the subject:  E = C·2^EV/100.
 * Valid: flat receptor, C = 250.
 * @throws InputError out-of-range
 * @source iso2720
 */
export function evOfIlluminance(illuminanceLux: number): number {
  requireWithin(illuminanceLux, 'illuminanceLux');
  return Math.log2((illuminanceLux * 100) / METER_CONSTANT_INCIDENT);
}

/** Inverse of `evOfIlluminance`, lx. */
export function illuminanceLux(ev100Ev: number): number {
  requireWithin(ev100Ev, 'ev100Ev');
  return (METER_CONSTANT_INCIDENT * 2 ** ev100Ev) / 100;
}

/**
 * EV at ISO 100 from the light coming from the subject:  L = K·2^EV/100.
 * Valid: K = 12.5.
 * @throws InputError out-of-range
 * @source iso2720
 */
export function evOfLuminance(luminanceCdPerM2: number): number {
  requireWithin(luminanceCdPerM2, 'luminanceCdPerM2');
  return Math.log2((luminanceCdPerM2 * 100) / METER_CONSTANT_REFLECTED);
}

/** Inverse of `evOfLuminance`, cd/m². */
export function luminanceCdPerM2(ev100Ev: number): number {
  requireWithin(ev100Ev, 'ev100Ev');
  return (METER_CONSTANT_REFLECTED * 2 ** ev100Ev) / 100;
}
