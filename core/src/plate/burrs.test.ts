/** Burrs and chips are told from the form of the rim, however many there are and wherever they stand. */
import { describe, expect, it } from 'vitest';
import { rimBumps } from './burrs.ts';

interface Bump {
  readonly deg: number;
  /** Inward positive, px. */
  readonly height: number;
  /** Standard deviation along the rim, px. */
  readonly width: number;
}

const HARMONICS = 48;
const PLACES = 1440;

interface Form {
  readonly ratio?: number;
  readonly turnDeg?: number;
  readonly bumps?: readonly Bump[];
}

/** Fourier outline of an oval with bumps. */
function outline(radius: number, { ratio = 1, turnDeg = 0, bumps = [] }: Form): Float64Array {
  const out = new Float64Array(1 + 2 * HARMONICS);
  for (let i = 0; i < PLACES; i++) {
    const angle = (2 * Math.PI * i) / PLACES;
    const turned = angle - (turnDeg * Math.PI) / 180;
    let r = radius / Math.hypot(Math.cos(turned) * Math.sqrt(ratio), Math.sin(turned) / Math.sqrt(ratio));
    for (const { deg, height, width } of bumps) {
      const away = angle - (deg * Math.PI) / 180;
      r -= height * Math.exp(-0.5 * ((Math.atan2(Math.sin(away), Math.cos(away)) * radius) / width) ** 2);
    }
    out[0]! += r / PLACES;
    for (let k = 1; k <= HARMONICS; k++) {
      out[2 * k - 1]! += (2 * r * Math.cos(k * angle)) / PLACES;
      out[2 * k]! += (2 * r * Math.sin(k * angle)) / PLACES;
    }
  }
  return out;
}

const even = (count: number, of: Omit<Bump, 'deg'>): Bump[] => Array.from({ length: count }, (_, i) => ({ deg: 20 + (360 * i) / count, ...of }));

describe('burrs', () => {
  it.each<[string, Form, number, number]>([
    ['none on an oval', { ratio: 0.88, turnDeg: 40 }, 0, 0],
    ['one at the end of an oval', { ratio: 0.93, turnDeg: 72, bumps: [{ deg: 267, height: 8.7, width: 7 }] }, 1, 0],
    ['three even ones, which are no three-cornered hole', { bumps: even(3, { height: 6, width: 5 }) }, 3, 0],
    ['four even ones, which are no four-cornered hole', { bumps: even(4, { height: 12, width: 7 }) }, 4, 0],
    ['four and a chip on more than half of the rim', { ratio: 0.92, bumps: [...even(5, { height: 9, width: 6 }).slice(0, 4), { deg: 308, height: -9, width: 6 }] }, 4, 1],
  ])('%s', (_, form, burrs, chips) => {
    const found = rimBumps(outline(42, form), 2, 0.02);
    expect(found.burrs).toHaveLength(burrs);
    expect(found.chips).toHaveLength(chips);
    expect(found.formRatio).toBeCloseTo(form.ratio ?? 1, 1);
  });

  it.each([3, 4])('none on a hole of %d corners', (order) => {
    const radius = outline(42, {});
    radius[2 * order - 1]! += 1.5;
    expect(rimBumps(radius, 2, 0.02)).toMatchObject({ burrs: [], chips: [] });
  });
});
