/** A scale by two ends: on exact places, and within what is stated when a hand misses them. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { InputError } from '../errors.ts';
import { scaleOfEnds } from './two-ends.ts';

describe('two ends of a known length', () => {
  it('give the scale with what pointing is worth', () => {
    const scale = scaleOfEnds({ ends: [{ columnPx: 100, rowPx: 100 }, { columnPx: 100, rowPx: 1990 }], lengthMm: 10 });
    expect(scale.yMmPerPx).toBeCloseTo(10 / 1890, 12);
    expect(scale.source).toBe('ruler');
    // √2 · 0.5 px on 1890 px, 0.2 % for a rule askew, 0.15 % for pixels that are not square
    expect(scale.relativeUncertainty).toBeCloseTo(Math.hypot(0.000374, 0.002, 0.0015), 5);
  });

  it('keep the ratio of x to y that is stated, in whatever direction they lie', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.002, max: 0.05, noNaN: true }), fc.double({ min: 0.5, max: 2, noNaN: true }), fc.double({ min: 0, max: 7, noNaN: true }),
        (xMmPerPx, ratio, angleRad) => {
          const yMmPerPx = xMmPerPx / ratio;
          const b = { columnPx: 50 + (24.25 * Math.cos(angleRad)) / xMmPerPx, rowPx: 60 + (24.25 * Math.sin(angleRad)) / yMmPerPx };
          const scale = scaleOfEnds({ ends: [{ columnPx: 50, rowPx: 60 }, b], lengthMm: 24.25, stated: { xMmPerPx: ratio, yMmPerPx: 1 } });
          expect(scale.xMmPerPx / xMmPerPx).toBeCloseTo(1, 9);
          expect(scale.yMmPerPx / yMmPerPx).toBeCloseTo(1, 9);
        },
      ),
    );
  });

  it('that lie too near, or nothing between them, are refused with what to do', () => {
    expect(() => scaleOfEnds({ ends: [{ columnPx: 0, rowPx: 0 }, { columnPx: 3, rowPx: 0 }], lengthMm: 10 })).toThrow(/far apart/);
    expect(() => scaleOfEnds({ ends: [{ columnPx: 0, rowPx: 0 }, { columnPx: 300, rowPx: 0 }], lengthMm: 0 })).toThrow(InputError);
  });
});
