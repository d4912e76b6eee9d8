import { expect, test } from 'vitest';
import type { Clock } from '../ports.ts';

/** What every `Clock` promises. */
export function clockContract(make: () => Clock): void {
  test('the time is ISO 8601 with its offset, and can be read back', () => {
    const now = make().now();
    expect(now).toMatch(/^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?[+-]\d\d:\d\d$/);
    expect(Number.isFinite(Date.parse(now))).toBe(true);
  });
  test('the zone is a name that calendars know', () => {
    const zone = make().zone();
    expect(() => new Intl.DateTimeFormat('en', { timeZone: zone })).not.toThrow();
  });
}
