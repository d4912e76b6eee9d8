import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { InputError } from '../errors.ts';
import { bestHole } from '../optics/best-hole.ts';
import { CRITERION_IDS } from '../optics/criteria.ts';
import { describeCamera, holeInWords } from './describe.ts';
import { centredCamera } from './field-of-view.ts';

const wide = centredCamera({ widthMm: 127, heightMm: 102 }, 106);
const ANSWER = 'Sees 75° on the diagonal, like about 28 mm on 24×36; best hole 0.43 mm, anything from 0.39 to 0.45 mm.';

describe('a camera in sentences', () => {
  test('the answer first', () => {
    const { sentences, box, insideDepthMm } = describeCamera({ camera: wide });
    expect(sentences[0]).toBe(ANSWER);
    expect(sentences).toHaveLength(5);
    expect(sentences[2]).toBe(
      'Best hole here means finest detail at 10 % contrast, for a distant scene in light of 550 nm, and gives f/247; '
        + 'between the two figures the finest detail that keeps 10 % contrast stays within 5 % of the best.',
    );
    expect([box, insideDepthMm]).toEqual([null, null]);
  });

  test('a hole in hand: its place, its cost and the camera it suits', () => {
    const inHand = (diameterMm: number): string | undefined => describeCamera({ camera: wide, diameterMm }).sentences[3];
    expect(inHand(0.5)).toBe(
      'Your hole of 0.5 mm (f/212) is larger than the band: 38 % off the best by this measure, 0.4 stop more light; it '
        + 'is the best hole for a focal length of 144 mm.',
    );
    expect(inHand(0.43)).toMatch(/within the band: as good as the best by this measure, the same light/);
    expect(inHand(0.3)).toMatch(/smaller than the band: .* 1\.0 stop less light/);
  });

  test('a shifted hole: to which side, and which corner is darkest', () => {
    const { sentences } = describeCamera({ camera: { ...wide, holeShift: { xMm: 0, yMm: 15 } } });
    expect(sentences[1]).toMatch(/; from the axis 31\.9° up and 18\.8° down, seen from behind the camera\.$/);
    expect(sentences[3]).toMatch(/^The darkest corner \(bottom-left, seen from the film side\) gets 1\.6 stops/);
    // atan((100 ± 60)/106): 20.7° to 56.5° on one side only
    const outside = describeCamera({ camera: { ...wide, frame: { widthMm: 120, heightMm: 95 }, focalLengthMm: 106, holeShift: { xMm: 100, yMm: 0 } } }).sentences[1];
    expect(outside).toMatch(/from the axis 20\.7° to 56\.5° to the right, seen from behind the camera\. The hole stands outside the frame/);
  });

  test('the box, with or without the wood', () => {
    const seat = { holderDepthMm: 5, filmThicknessMm: 0.18, plateSeatMm: 7 };
    const last = (box: Parameters<typeof describeCamera>[0]['box']): string | undefined =>
      describeCamera({ camera: wide, ...(box === undefined ? {} : { box }) }).sentences.at(-1);
    expect(last(seat)).toBe(
      'Inside depth of the box 94.18 mm (3.708 in, about 3 45/64), from the inner face of the front board to the seat '
        + 'of the holder.',
    );
    expect(last({ ...seat, boardThicknessMm: 18 })).toMatch(/; 112\.18 mm \(4\.417 in, about 4 27\/64\) over the wood\.$/);
    expect(last({ ...seat, plateSeatMm: 20, boardThicknessMm: 18 })).toMatch(/in front of the outer face/);
  });

  test('no light in the corner is said with the remedy', () => {
    const { sentences } = describeCamera({ camera: wide, thicknessMm: 1 });
    expect(sentences[3]).toMatch(/corner of the film stays black\. At 38° .* thin the edge/);
  });

  test('inches and thou', () => {
    const { sentences } = describeCamera({ camera: wide, lengths: 'in', objectDistanceMm: 3000 });
    expect(sentences[0]).toMatch(/best hole 16\.6 thou, anything from 15\.0 to 17\.4 thou\.$/);
    expect(sentences[2]).toMatch(/an object 118\.1 in away/);
  });

  test('every diameter named lies in the band, for every camera', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...CRITERION_IDS),
        fc.double({ min: 2, max: 5000, noNaN: true }),
        fc.constantFrom('mm' as const, 'in' as const),
        (criterion, focalLengthMm, lengths) => {
          const best = bestHole({ criterion, focalLengthMm, objectDistanceMm: Infinity, wavelengthNm: 550 });
          const { hole, band } = holeInWords(best, lengths);
          const unitMm = lengths === 'mm' ? 1 : 0.0254;
          const [low = NaN, high = NaN] = band.split(' to ').map((text) => parseFloat(text) * unitMm);
          expect(low).toBeGreaterThanOrEqual(best.bandMm[0] * (1 - 1e-6));
          expect(high).toBeLessThanOrEqual(best.bandMm[1] * (1 + 1e-6));
          expect(high).toBeGreaterThan(low);
          // rounding inwards may give away at most half of the band
          expect((high - low) / (best.bandMm[1] - best.bandMm[0])).toBeGreaterThan(0.5);
          expect(Math.abs(parseFloat(hole) * unitMm - best.diameterMm)).toBeLessThan(best.bandMm[1] - best.bandMm[0]);
        },
      ),
    );
  });

  test('refuses nonsense', () => {
    expect(() => describeCamera({ camera: wide, diameterMm: 0 })).toThrow(InputError);
    expect(() => describeCamera({ camera: centredCamera(wide.frame, 0) })).toThrow(/The focal length/);
  });
});
