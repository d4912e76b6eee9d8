/**
 * A generator of numbers from 0 to below 1 that gives the same row for the same seed everywhere (mulberry32, from memory).
 * For trials that must come out alike twice, not for secrets.
 * @param seed any whole number
 */
export function seeded(seed: number): () => number {
  let state = seed | 0;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}
