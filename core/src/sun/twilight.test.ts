import { describe, expect, test } from 'vitest';
import { sunLightLux } from './twilight.ts';

const DEG = Math.PI / 180;

describe('the sun’s law', () => {
  test('never rises as the sun sinks, but for what its pieces differ where they meet (1.4 % at most)', () => {
    let before = Infinity;
    for (let altitudeDeg = 90; altitudeDeg >= -20; altitudeDeg -= 0.02) {
      const lux = sunLightLux(altitudeDeg * DEG);
      expect(lux).toBeLessThan(before * 1.015);
      before = lux;
    }
  });

  test('holds its last value through the night', () => {
    expect(sunLightLux(-60 * DEG)).toBe(sunLightLux(-18 * DEG));
  });
});
