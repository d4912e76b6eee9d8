import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { InputError } from '../errors.ts';
import { besselJ } from '../numeric/bessel.ts';
import { gaussLegendre } from '../numeric/quadrature.ts';
import { diffractionDistanceMm, fresnelNumber } from './conjugates.ts';
import { roundOtf } from './round-point-image.ts';
import {
  cutoffFrequencyPerMm,
  firstCrossing,
  limitingFrequencyPerMm,
  lowestContrastUpTo,
  overlapOtf,
  overlapOtfSlope,
} from './round-hole.ts';
import type { RoundHole } from './round-hole.ts';
import { oneWavelength } from './seen-light.ts';

/** Contrast in light of one wavelength. */
function roundHoleOtf(of: RoundHole, frequencyPerMm: number): number {
  return roundOtf({ ...of, light: oneWavelength(of.wavelengthNm) }, [frequencyPerMm])[0] as number;
}

/** Evenly spread: drawn as doubles, numbers about 0 are nearly all tiny. */
const between = (min: number, max: number): fc.Arbitrary<number> =>
  fc.integer({ min: 0, max: 1e6 }).map((k) => min + ((max - min) * k) / 1e6);
const hole = between(0.05, 9);
const share = between(0, 1.2);

/** The same integral with many times the points. */
function denseOtf(c: number, q: number): number {
  const t0 = Math.asin(q / c);
  const { nodes, weights } = gaussLegendre(40);
  const panels = 12 + Math.ceil(c * c);
  const half = (Math.PI / 2 - t0) / (2 * panels);
  let sum = 0;
  for (let panel = 0; panel < panels; panel++) {
    for (let i = 0; i < 40; i++) {
      const t = t0 + (2 * panel + 1 + (nodes[i] as number)) * half;
      sum += (weights[i] as number) * Math.cos(Math.PI * q * (c * Math.sin(t) - q)) * Math.cos(t) ** 2;
    }
  }
  return ((4 / Math.PI) * half) * sum;
}

describe('the transfer function of a round hole', () => {
  test('is 1 at no detail, 0 from the cutoff on, never beyond 1, the same for both signs', () => {
    fc.assert(
      fc.property(hole, share, (c, part) => {
        const otf = overlapOtf(c, part * c);
        expect(Math.abs(otf)).toBeLessThanOrEqual(1);
        expect(overlapOtf(c, -part * c)).toBe(otf);
        expect(overlapOtf(c, 0)).toBe(1);
        if (part >= 1) expect(otf).toBe(0);
      }),
    );
  });

  test('the points follow the arguments: as good as with many times as many', () => {
    fc.assert(
      fc.property(hole, between(0.001, 0.999), (c, part) => {
        // what is left is rounding: of the phase, up to π c² / 2 with c to 40, and of the two different sums
        expect(Math.abs(overlapOtf(c, part * c) - denseOtf(c, part * c))).toBeLessThan(1e-13);
      }),
      { numRuns: 300 },
    );
    expect(Math.abs(overlapOtf(40, 20) - denseOtf(40, 20))).toBeLessThan(1e-13);
  });

  test('far away it is the ideal round pupil', () => {
    fc.assert(
      fc.property(between(0.01, 0.99), (s) => {
        const ideal = (2 / Math.PI) * (Math.acos(s) - s * Math.sqrt(1 - s * s));
        // phase at most π c² / 4, so a relative loss of its square over 2
        expect(Math.abs(overlapOtf(0.02, 0.02 * s) - ideal)).toBeLessThan(1e-6);
      }),
    );
  });

  test('very near it is the geometric disc, 2 J1(z) / z with z = π c q', () => {
    for (const z of [0.5, 2, 5, 8]) {
      const c = 60;
      expect(overlapOtf(c, z / (Math.PI * c))).toBeCloseTo((2 * besselJ(1, z)) / z, 2);
    }
  });

  test('its slope in c is what differences say', () => {
    fc.assert(
      fc.property(between(0.3, 4), between(0.05, 0.9), (c, part) => {
        const q = part * c;
        const h = 1e-5;
        const difference = (overlapOtf(c + h, q) - overlapOtf(c - h, q)) / (2 * h);
        expect(Math.abs(overlapOtfSlope(c, q) - difference)).toBeLessThan(1e-7);
      }),
    );
  });

  test('the first crossing is the first: nothing below it falls to the contrast', () => {
    fc.assert(
      fc.property(between(0.2, 5), between(0.02, 0.9), (c, contrast) => {
        const q = firstCrossing(c, contrast);
        expect(Math.abs(overlapOtf(c, q) - contrast)).toBeLessThan(1e-9);
        expect(lowestContrastUpTo(c, q)).toBeGreaterThan(contrast - 1e-8);
        for (let k = 1; k < 200; k++) expect(overlapOtf(c, (q * k) / 200)).toBeGreaterThan(contrast - 1e-9);
      }),
      { numRuns: 60 },
    );
  });

  test('a dip that only just touches the contrast is found, before the curve turns negative', () => {
    let dips = 0;
    for (let c = 1.95; c < 2.3; c += 0.013) {
      const step = c / 4000;
      for (let k = 1; k < 4000; k++) {
        const here = overlapOtf(c, k * step);
        if (here < 0.01) break;
        if (here > overlapOtf(c, (k - 1) * step) || here > overlapOtf(c, (k + 1) * step)) continue;
        dips += 1;
        // the very bottom lies less than 1e-6 below the nearest of 4000 samples
        const touched = firstCrossing(c, here + 1e-6);
        expect(Math.abs(touched - k * step)).toBeLessThan(0.03);
        expect(firstCrossing(c, here - 1e-6) - touched).toBeGreaterThan(0.05);
        expect(lowestContrastUpTo(c, (k + 20) * step)).toBeLessThanOrEqual(here);
        break;
      }
    }
    expect(dips).toBeGreaterThan(5);
  });
});

describe('in millimetres', () => {
  const camera = { focalLengthMm: 106, objectDistanceMm: Infinity, wavelengthNm: 550 };

  test('cutoff is d / (λ f), limits lie below it', () => {
    const round = { ...camera, diameterMm: 0.43 };
    expect(cutoffFrequencyPerMm(round)).toBeCloseTo(0.43 / (550e-6 * 106), 10);
    expect(roundHoleOtf(round, cutoffFrequencyPerMm(round) * 1.0001)).toBe(0);
    expect(roundHoleOtf(round, limitingFrequencyPerMm(round, 0.1))).toBeCloseTo(0.1, 9);
  });

  test('near objects shorten the distance that diffraction sees, not the cutoff', () => {
    const near = { ...camera, objectDistanceMm: 400, diameterMm: 0.43 };
    expect(diffractionDistanceMm(near)).toBeCloseTo(1 / (1 / 106 + 1 / 400), 10);
    expect(cutoffFrequencyPerMm(near)).toBeCloseTo(0.43 / (550e-6 * 106), 10);
    expect(fresnelNumber(near)).toBeCloseTo(0.215 ** 2 / (550e-6 * diffractionDistanceMm(near)), 10);
  });

  test('everything scales: lengths times k, frequencies divided by k, when λ grows too', () => {
    fc.assert(
      fc.property(between(0.2, 5), between(0.1, 7), (k, nu) => {
        const one = { diameterMm: 0.43, focalLengthMm: 106, objectDistanceMm: 900, wavelengthNm: 550 };
        const other = {
          diameterMm: 0.43 * k,
          focalLengthMm: 106 * k,
          objectDistanceMm: 900 * k,
          wavelengthNm: 550 * k,
        };
        expect(roundHoleOtf(other, nu / k)).toBeCloseTo(roundHoleOtf(one, nu), 11);
      }),
    );
  });

  test('what cannot be is refused in words', () => {
    expect(() => roundHoleOtf({ ...camera, diameterMm: 0 }, 1)).toThrow(/The diameter must be greater than 0 mm/);
    expect(() => roundHoleOtf({ ...camera, diameterMm: 0.4 }, NaN)).toThrow(InputError);
    expect(() => limitingFrequencyPerMm({ ...camera, diameterMm: 0.4 }, 1)).toThrow(/between 0 and 1/);
    expect(() => fresnelNumber({ ...camera, objectDistanceMm: 0, diameterMm: 0.4 })).toThrow(/infinity/);
    expect(() => fresnelNumber({ ...camera, wavelengthNm: -550, diameterMm: 0.4 })).toThrow(InputError);
  });
});
