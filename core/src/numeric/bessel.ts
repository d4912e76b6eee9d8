/**
 * Bessel functions of the first kind by the trapezoidal rule on their integral over a full turn:
 * for a periodic integrand its error is only the aliased J of an order near the number of points,
 * which falls below rounding as soon as that number exceeds the argument by a little.
 */
import { brentRoot } from './roots.ts';

/**
 * J_order(x) = (1/2π) ∫ cos(order t - x sin t) dt over a full turn. Absolute error below 1e-14 for |x| ≤ 1000.
 * @param order whole, 0…8
 * @param x finite
 * @source abramowitz1964 9.1.21
 */
export function besselJ(order: number, x: number): number {
  const size = Math.abs(x);
  // J of order n is below 1e-17 for n > x + 12 x^(1/3) + 20; an even count lets half a turn stand for all of it
  const half = Math.ceil((size + 12 * Math.cbrt(size) + 20 + order) / 2);
  const step = Math.PI / half;
  let sum = order % 2 === 0 ? 1 : 0;
  for (let k = 1; k < half; k++) sum += Math.cos(order * k * step - x * Math.sin(k * step));
  return sum / half;
}

/** First positive zero of J1, 3.8317…: where a distant round hole draws its first dark ring. */
export const FIRST_ZERO_OF_J1 = brentRoot((x) => besselJ(1, x), 3.5, 4.2);
