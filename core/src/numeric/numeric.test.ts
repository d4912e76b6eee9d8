import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { ModelError } from '../errors.ts';
import { FIRST_ZERO_OF_J1, besselJ } from './bessel.ts';
import { gaussLegendre } from './quadrature.ts';
import { brentMinimum, brentRoot } from './roots.ts';

describe('Gauss–Legendre', () => {
  test.each([1, 2, 5, 12, 64, 101])('%d points integrate every power they promise', (n) => {
    const { nodes, weights } = gaussLegendre(n);
    for (let power = 0; power < Math.min(2 * n, 60); power++) {
      let sum = 0;
      for (let i = 0; i < n; i++) sum += (weights[i] as number) * (nodes[i] as number) ** power;
      expect(sum).toBeCloseTo(power % 2 === 0 ? 2 / (power + 1) : 0, 13);
    }
    expect([...nodes]).toEqual([...nodes].sort((a, b) => a - b));
  });
});

describe('Brent', () => {
  test('finds roots to the last digits', () => {
    expect(brentRoot(Math.cos, 1, 2)).toBeCloseTo(Math.PI / 2, 15);
    expect(brentRoot((x) => x, 0, 1)).toBe(0);
    expect(brentRoot((x) => x - 1, 0, 1)).toBe(1);
    // a root so flat that only bisection gets near
    expect(Math.abs(brentRoot((x) => (x - 0.3) ** 9, 0, 1))).toBeCloseTo(0.3, 1);
  });

  test('refuses an interval without a change of sign', () => {
    expect(() => brentRoot((x) => x * x + 1, -1, 1)).toThrow(ModelError);
    expect(() => brentRoot(() => NaN, -1, 1)).toThrow(ModelError);
  });

  test('inverts any rising cubic', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: -5e5, max: 5e5 }).map((k) => k / 1e5),
        fc.nat(3000).map((k) => k / 1000),
        fc.double({ min: 0.01, max: 3, noNaN: true }),
        (root, cubic, linear) => {
          const f = (x: number): number => cubic * (x - root) ** 3 + linear * (x - root);
          expect(Math.abs(brentRoot(f, -7, 8) - root)).toBeLessThan(1e-12);
        },
      ),
    );
  });

  test('finds the bottom of a valley', () => {
    const found = brentMinimum((x) => Math.cosh(x - 0.7), -3, 5);
    expect(found.at).toBeCloseTo(0.7, 7);
    expect(found.value).toBeCloseTo(1, 15);
    expect(brentMinimum((x) => x, 2, 3).at).toBeCloseTo(2, 7);
  });
});

describe('Bessel functions', () => {
  // Abramowitz & Stegun, tables 9.1 and 9.2, and the zero j(1,1) of table 9.5
  test.each([
    [0, 1, 0.7651976865579666],
    [1, 1, 0.4400505857449335],
    [0, 50, 0.0558123276692518],
    [1, 100, -0.0771453520141121],
    [2, 10, 0.2546303136851206],
    [0, 0, 1],
    [1, 0, 0],
  ])('J%d(%d)', (order, x, expected) => {
    expect(besselJ(order, x)).toBeCloseTo(expected, 14);
  });

  test('first zero', () => {
    expect(FIRST_ZERO_OF_J1).toBeCloseTo(3.8317059702075123, 14);
  });

  test('three neighbours obey their recurrence, also far out', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 7 }), fc.double({ min: 0.5, max: 1000, noNaN: true }), (order, x) => {
        const sum = besselJ(order - 1, x) + besselJ(order + 1, x);
        expect(Math.abs(sum - (2 * order * besselJ(order, x)) / x)).toBeLessThan(1e-12);
      }),
    );
  });
});
