import type { Clock } from '../ports.ts';

/** A clock that stands where it is set. */
export function memoryClock(now: string, zone = 'UTC'): Clock & { set(now: string): void } {
  let shown = now;
  return {
    now: () => shown,
    zone: () => zone,
    set(next) {
      shown = next;
    },
  };
}
