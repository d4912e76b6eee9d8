/** The normal distribution, as fast as a fit of many thousand pixels needs it. */

const SQRT_2PI = Math.sqrt(2 * Math.PI);

/** Density of the standard normal distribution. */
export function normalDensity(z: number): number {
  return Math.exp(-0.5 * z * z) / SQRT_2PI;
}

/**
 * Share of the normal distribution below z; absolute error < 1e-7.
 * Rational Chebyshev fit of erfc, relative error < 1.2e-7, from memory.
 */
export function normalShare(z: number): number {
  if (z > 7) return 1;
  if (z < -7) return 0;
  const x = Math.abs(z) / Math.SQRT2;
  const t = 1 / (1 + 0.5 * x);
  const tail =
    t *
    Math.exp(
      -x * x -
        1.26551223 +
        t *
          (1.00002368 +
            t *
              (0.37409196 +
                t *
                  (0.09678418 +
                    t *
                      (-0.18628806 +
                        t * (0.27886807 + t * (-1.13520398 + t * (1.48851587 + t * (-0.82215223 + t * 0.17087277)))))))),
    );
  return z > 0 ? 1 - tail / 2 : tail / 2;
}
