import type { PassFigures, PassRecord } from '#core';
import { lightOfWavelength } from '#core';
import { describe, expect, it } from 'vitest';
import { adviceFor } from './advice.ts';
import { sightOf } from './sight.ts';
import { standingOf } from './verdict.ts';

const pass: PassRecord = { id: 'p', at: '2026-01-01T00:00:00Z', scan: null };
const sight = sightOf(pass, 'film');
const burr = { angleRad: Math.PI / 6, heightMm: 0.009, widthMm: 0.02 };

function advice(figures: Partial<PassFigures> & { readonly outlineDiameterMm: number }): string {
  const whole: PassFigures = { outlineStandardUncertaintyMm: 0.002, ...figures };
  const standing = standingOf(whole, { id: 'c', name: 'Box', focalLengthMm: 135, mountings: [] }, lightOfWavelength(550));
  return adviceFor(whole, sight, standing).map(({ seen, remedy }) => `${seen}. ${remedy}`).join('\n');
}

describe('advice', () => {
  it('lets a small hole grow, and warns when it is near, and stops when it is reached', () => {
    expect(advice({ outlineDiameterMm: 0.3, burrs: [burr] })).toBe(
      'Burr at 2 o’clock, 9.0\u00a0µm. Sand the back flat first, then one light turn, which grows the whole hole.',
    );
    expect(advice({ outlineDiameterMm: 0.42, burrs: [burr] })).toContain('growth cannot be undone');
    expect(advice({ outlineDiameterMm: 0.48, burrs: [burr] })).toContain('only sand the back flat and clean the rim');
    expect(advice({ outlineDiameterMm: 0.42 })).toContain('Smallest steps from here');
  });

  it('has debris blown out first, and counts fibres and grains apart', () => {
    const thing = { areaMm2: 0.001, center: { xMm: 0, yMm: 0 } };
    const said = advice({
      outlineDiameterMm: 0.48,
      debris: [{ ...thing, kind: 'fibre' }, { ...thing, kind: 'island' }, { ...thing, kind: 'island' }],
      burrs: [burr],
    });
    expect(said.split('\n')[0]).toMatch(/^There is a fibre and 2 grains in the hole\. Blow it out, .+ and scan again\./);
  });

  it('names the three highest burrs', () => {
    const burrs = [0.002, 0.009, 0.004, 0.003, 0.001].map((heightMm) => ({ ...burr, heightMm }));
    expect(advice({ outlineDiameterMm: 0.3, burrs })).toMatch(
      /^Burrs at 2 o’clock, 9\.0\sµm; .*4\.0.*; .*3\.0.*, and 2 smaller\./,
    );
  });

  it('is silent about a clean round hole of the right size', () => {
    expect(advice({ outlineDiameterMm: 0.48, feretMinMm: 0.478, feretMaxMm: 0.482 })).toBe('');
    const oval = { feretMinMm: 0.44, feretMaxMm: 0.52, feretMaxAngleRad: 0 };
    expect(advice({ outlineDiameterMm: 0.48, ...oval })).toContain('Longer by 80');
  });
});
