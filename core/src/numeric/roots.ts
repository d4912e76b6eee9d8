/** Roots and maxima of functions of one variable, by methods that cannot run away. */
import { ModelError } from '../errors.ts';

/**
 * A root of a continuous function between two points of opposite sign (Brent's method: inverse quadratic
 * steps, bisection whenever they do not halve fast enough).
 * @param f continuous on [lo, hi]; f(lo) and f(hi) of opposite sign, or one of them 0
 * @param tolerance > 0, absolute in x
 * @throws ModelError not-converged when the signs are equal
 * @source brent1973 4
 */
export function brentRoot(f: (x: number) => number, lo: number, hi: number, tolerance = 1e-14): number {
  let a = lo;
  let b = hi;
  let fa = f(a);
  let fb = f(b);
  if (fa === 0) return a;
  if (fb === 0) return b;
  if (!(fa * fb < 0)) {
    throw new ModelError('not-converged', `No change of sign between ${lo} and ${hi}.`, { got: [fa, fb] });
  }
  let c = a;
  let fc = fa;
  let d = b - a;
  let e = d;
  for (let step = 0; step < 200; step++) {
    if (fb > 0 === fc > 0) {
      c = a;
      fc = fa;
      d = b - a;
      e = d;
    }
    if (Math.abs(fc) < Math.abs(fb)) {
      [a, b, c] = [b, c, b];
      [fa, fb, fc] = [fb, fc, fb];
    }
    const near = 2 * Number.EPSILON * Math.abs(b) + 0.5 * tolerance;
    const half = 0.5 * (c - b);
    if (Math.abs(half) <= near || fb === 0) return b;
    if (Math.abs(e) >= near && Math.abs(fa) > Math.abs(fb)) {
      const s = fb / fa;
      let p: number;
      let q: number;
      if (a === c) {
        p = 2 * half * s;
        q = 1 - s;
      } else {
        const t = fa / fc;
        const r = fb / fc;
        p = s * (2 * half * t * (t - r) - (b - a) * (r - 1));
        q = (t - 1) * (r - 1) * (s - 1);
      }
      if (p > 0) q = -q;
      p = Math.abs(p);
      if (2 * p < Math.min(3 * half * q - Math.abs(near * q), Math.abs(e * q))) {
        e = d;
        d = p / q;
      } else {
        d = half;
        e = half;
      }
    } else {
      d = half;
      e = half;
    }
    a = b;
    fa = fb;
    b += Math.abs(d) > near ? d : Math.sign(half) * near;
    fb = f(b);
  }
  return b;
}

export interface Extremum {
  readonly at: number;
  readonly value: number;
}

const GOLDEN = (3 - Math.sqrt(5)) / 2;

/**
 * The minimum of a function with one valley between two points (Brent: parabolic steps, golden section
 * as the fallback). A flat bottom limits `at` to about the square root of the rounding error.
 * @param f continuous, with a single valley on [lo, hi]
 * @param tolerance > 0, absolute in x
 * @source brent1973 5
 */
export function brentMinimum(f: (x: number) => number, lo: number, hi: number, tolerance = 1e-9): Extremum {
  let a = lo;
  let b = hi;
  let x = a + GOLDEN * (b - a);
  let w = x;
  let v = x;
  let fx = f(x);
  let fw = fx;
  let fv = fx;
  let d = 0;
  let e = 0;
  for (let step = 0; step < 200; step++) {
    const middle = 0.5 * (a + b);
    const near = tolerance + 1e-10 * Math.abs(x);
    if (Math.abs(x - middle) <= 2 * near - 0.5 * (b - a)) break;
    let parabola = false;
    if (Math.abs(e) > near) {
      const r = (x - w) * (fx - fv);
      let q = (x - v) * (fx - fw);
      let p = (x - v) * q - (x - w) * r;
      q = 2 * (q - r);
      if (q > 0) p = -p;
      q = Math.abs(q);
      if (Math.abs(p) < Math.abs(0.5 * q * e) && p > q * (a - x) && p < q * (b - x)) {
        e = d;
        d = p / q;
        const u = x + d;
        if (u - a < 2 * near || b - u < 2 * near) d = Math.sign(middle - x) * near;
        parabola = true;
      }
    }
    if (!parabola) {
      e = x >= middle ? a - x : b - x;
      d = GOLDEN * e;
    }
    const u = x + (Math.abs(d) >= near ? d : Math.sign(d) * near);
    const fu = f(u);
    if (fu <= fx) {
      if (u >= x) a = x;
      else b = x;
      [v, w, x] = [w, x, u];
      [fv, fw, fx] = [fw, fx, fu];
    } else {
      if (u < x) a = u;
      else b = u;
      if (fu <= fw || w === x) {
        [v, w] = [w, u];
        [fv, fw] = [fw, fu];
      } else if (fu <= fv || v === x || v === w) {
        v = u;
        fv = fu;
      }
    }
  }
  return { at: x, value: fx };
}
