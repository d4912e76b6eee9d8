/** A seeded source of random numbers (mulberry32), so that every rendered scan can be made again. */
export class Random {
  #state: number;

  constructor(seed: number) {
    this.#state = seed >>> 0;
  }

  /** Even between 0 and 1. */
  unit(): number {
    this.#state = (this.#state + 0x6d2b79f5) >>> 0;
    let t = this.#state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  }

  between(low: number, high: number): number {
    return low + (high - low) * this.unit();
  }

  normal(): number {
    const u = Math.max(1e-12, this.unit());
    return Math.sqrt(-2 * Math.log(u)) * Math.cos(2 * Math.PI * this.unit());
  }

  chance(share: number): boolean {
    return this.unit() < share;
  }

  whole(low: number, high: number): number {
    return low + Math.floor(this.unit() * (high - low + 1));
  }
}

/** A random value −1…1 for a lattice point: the same for the same seed and place. */
export function latticeValue(seed: number, i: number, j: number): number {
  let h = Math.imul(i, 0x27d4eb2d) ^ Math.imul(j, 0x165667b1) ^ Math.imul(seed, 0x9e3779b1);
  h = Math.imul(h ^ (h >>> 15), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return ((h ^ (h >>> 16)) >>> 0) / 2147483648 - 1;
}

/** Smooth noise between lattice points, standard deviation about 0.4. */
export function smoothNoise(seed: number, u: number, v: number): number {
  const i = Math.floor(u);
  const j = Math.floor(v);
  const s = smooth(u - i);
  const t = smooth(v - j);
  const low = latticeValue(seed, i, j) * (1 - s) + latticeValue(seed, i + 1, j) * s;
  const high = latticeValue(seed, i, j + 1) * (1 - s) + latticeValue(seed, i + 1, j + 1) * s;
  return low * (1 - t) + high * t;
}

function smooth(t: number): number {
  return t * t * (3 - 2 * t);
}
