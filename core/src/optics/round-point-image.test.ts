import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { besselJ, FIRST_ZERO_OF_J1 } from '../numeric/bessel.ts';
import { tabulatedJ0 } from '../numeric/bessel-table.ts';
import { cutoffFrequencyPerMm } from './round-hole.ts';
import { encircledShare, roundOtf, roundPointImage } from './round-point-image.ts';
import { mixedLight, oneWavelength } from './seen-light.ts';

const view = { diameterMm: 0.43, focalLengthMm: 106, objectDistanceMm: Infinity, light: oneWavelength(550) };

describe('point image of a round hole', () => {
  it('far away is the Airy pattern: first zero 1.22 λ N, 83.8 % of the light within (Born & Wolf §8.5)', () => {
    const far = { ...view, diameterMm: 0.1, focalLengthMm: 20_000 };
    const zeroMm = (FIRST_ZERO_OF_J1 / Math.PI) * 550e-6 * (20_000 / 0.1);
    expect(zeroMm / (550e-6 * 200_000)).toBeCloseTo(1.22, 3);
    const image = roundPointImage(far, [0, zeroMm, zeroMm / 2]);
    // N_F is 2e-4: what is left at the zero is of second order in it
    expect((image[1] as number) / (image[0] as number)).toBeLessThan(1e-6);
    const x = FIRST_ZERO_OF_J1 / 2;
    expect((image[2] as number) / (image[0] as number)).toBeCloseTo((2 * besselJ(1, x) / x) ** 2, 6);
    expect(encircledShare(far, [zeroMm])[0]).toBeCloseTo(0.838, 3);
    expect(encircledShare(far, [zeroMm])[0]).toBeCloseTo(1 - besselJ(0, FIRST_ZERO_OF_J1) ** 2, 6);
  });

  it('depends on N_F and v alone, objects near or far', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.3, max: 3, noNaN: true }),
        fc.double({ min: 150, max: 5000, noNaN: true }),
        (scale, objectDistanceMm) => {
          const radii = [0, 0.05, 0.2, 0.45];
          const one = roundPointImage({ ...view, objectDistanceMm }, radii);
          const other = roundPointImage(
            {
              ...view,
              diameterMm: scale * view.diameterMm,
              focalLengthMm: scale * scale * view.focalLengthMm,
              objectDistanceMm: scale * scale * objectDistanceMm,
            },
            radii.map((r) => r * scale),
          );
          one.forEach((value, i) => expect(other[i]).toBeCloseTo(value, 9));
        },
      ),
      { numRuns: 25 },
    );
  });

  it('holds all light in the end, more with each radius; contrast 1 at 0 and none past the cutoff', () => {
    const light = mixedLight([420, 530, 640].map((wavelengthNm) => ({ wavelengthNm, weightShare: 1 })));
    const radii = Array.from({ length: 40 }, (_, i) => 0.08 * i);
    const share = encircledShare({ ...view, light }, radii);
    expect(share[0]).toBe(0);
    for (let i = 1; i < share.length; i++) expect(share[i]).toBeGreaterThan(share[i - 1] as number);
    expect(share[39]).toBeGreaterThan(0.985);
    const cutoff = cutoffFrequencyPerMm({ ...view, wavelengthNm: 420 });
    expect([...roundOtf({ ...view, light }, [0, cutoff, 2 * cutoff])]).toEqual([1, 0, 0]);
  });

  it('gathers the area of the hole (Parseval), spread by m² for a near object', () => {
    // light within R by summing the image in rings
    const rings = 4000;
    const step = 0.4 / rings;
    for (const objectDistanceMm of [Infinity, 400]) {
      const radii = Float64Array.from({ length: rings }, (_, i) => (i + 0.5) * step);
      const image = roundPointImage({ ...view, objectDistanceMm }, radii);
      const sum = image.reduce((total, value, i) => total + 2 * Math.PI * (radii[i] as number) * step * value, 0);
      const m = 1 + 106 / objectDistanceMm;
      const expected = (encircledShare({ ...view, objectDistanceMm }, [0.4])[0] as number) * Math.PI * 0.215 ** 2 * m * m;
      expect(sum / expected).toBeCloseTo(1, 6);
    }
  });

  it('refuses radii and light that make no sense', () => {
    expect(() => roundPointImage(view, [-1])).toThrow(/0 mm or more/);
    expect(() => roundPointImage({ ...view, light: [{ wavelengthNm: 550, weightShare: 0.5 }] }, [0])).toThrow(/add to 1/);
    expect(() => mixedLight([{ wavelengthNm: 550, weightShare: 0 }])).toThrow(/No light/);
  });
});

describe('tabulated J0', () => {
  it('agrees with the integral to 2e-12, below and above the end of the table', () => {
    for (let x = 0; x < 120; x += 0.173) expect(Math.abs(tabulatedJ0(x) - besselJ(0, x))).toBeLessThan(2e-12);
  });
});
