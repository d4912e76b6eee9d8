import { describe, expect, test } from 'vitest';
import {
  bestHole,
  centredCamera,
  criterionFacts,
  degreesToRad,
  falloffAt,
  oneWavelength,
  roundOtf,
  thickHoleShare,
} from '#core';
import type { Criterion } from '#core';
import { besselJ } from '../../core/src/numeric/bessel.ts';
import { gaussLegendre } from '../../core/src/numeric/quadrature.ts';
import { brentRoot } from '../../core/src/numeric/roots.ts';
import { highestFrequencyAt, sharpestHoleAt } from '../../core/src/optics/envelope.ts';
import { overlapOtf, overlapOtfSlope } from '../../core/src/optics/round-hole.ts';
import data from './data.json';

interface Row {
  readonly family: string;
  readonly name: string;
  readonly inputs: Readonly<Record<string, number | string | null>>;
  readonly value: number;
}

const rows = data.rows as unknown as readonly Row[];

/**
 * Largest error allowed per family, and where the residual comes from. The values themselves are good to 16 digits
 * (energy optima: about 12).
 */
const TOLERANCES: Readonly<Record<string, { readonly absolute: number; readonly why: string }>> = {
  c_otf_on_axis: { absolute: 1e-13, why: 'rounding of the sum' },
  f_thick_hole: { absolute: 1e-14, why: 'rounding' },
  g_constants: { absolute: 1e-9, why: 'roots found to about 1e-13; energy optima are flat, so about 1e-10' },
  g_envelope: { absolute: 1e-11, why: 'root of a slope that is small at small q' },
  g_envelope_contrast: { absolute: 1e-13, why: 'rounding' },
  g_optimum_diameter: { absolute: 1e-9, why: 'as g_constants, in mm' },
  g_highest_frequency: { absolute: 1e-10, why: 'root of the envelope, times up to 8.5 per mm' },
  g_sharpest_diameter: { absolute: 1e-11, why: 'as g_envelope, in mm' },
  g_sharpest_contrast: { absolute: 1e-13, why: 'rounding' },
  h_falloff_flat: { absolute: 1e-14, why: 'rounding' },
};

const NAMED: Readonly<Record<string, Criterion>> = {
  petzval: 'petzval',
  rayleigh: 'rayleigh',
  brightest: 'brightest',
  'peak-energy': 'peak-energy',
  airy: 'airy',
  'highest-frequency-at-50': 'contrast-50',
  'highest-frequency-at-20': 'detail-20',
  'highest-frequency-at-10': 'detail-10',
};

const RULE = gaussLegendre(48);

/** Share of the light within ρ √(λ f), or its slope in c: 2π ρ ∫ OTF J1(2π ρ q) dq with q = c sin t. */
function energy(otf: (c: number, q: number) => number, c: number, rho: number): number {
  let sum = 0;
  for (let i = 0; i < 48; i++) {
    const t = (Math.PI / 4) * (1 + (RULE.nodes[i] as number));
    const q = c * Math.sin(t);
    sum += (RULE.weights[i] as number) * otf(c, q) * besselJ(1, 2 * Math.PI * rho * q) * c * Math.cos(t);
  }
  return (Math.PI / 4) * 2 * Math.PI * rho * sum;
}

/** The hole that gathers a share of the light in the smallest circle: c and the circle's ρ. */
function tightestHole(share: number, near: number): { readonly c: number; readonly rho: number } {
  const rho = (c: number): number => brentRoot((r) => energy(overlapOtf, c, r) - share, 0.2, 2);
  const c = brentRoot((x) => energy(overlapOtfSlope, x, rho(x)), near - 0.02, near + 0.02);
  return { c, rho: rho(c) };
}

const AIRY_RADIUS = criterionFacts('airy').constant / Math.SQRT2;

function constant(name: string): number {
  const criterion = NAMED[name];
  if (criterion !== undefined) return criterionFacts(criterion).constant;
  if (name === 'airy-radius') return AIRY_RADIUS;
  const level = Number(/(\d+)$/.exec(name)?.[1]) / 100;
  if (name.startsWith('highest-frequency')) return highestFrequencyAt(level).constant;
  if (name.startsWith('q-at')) return highestFrequencyAt(level).q;
  const near = { 50: 1.49, 70: 1.28, 80: 1.79 }[level * 100];
  if (near === undefined) throw new Error(`no constant ${name}`);
  return name.startsWith('least-radius') ? tightestHole(level, near).c : tightestHole(level, near).rho;
}

function computed({ family, name, inputs }: Row): number {
  const number = (key: string): number => inputs[key] as number;
  const lengthMm = Math.sqrt(number('wavelengthNm') * 1e-6 * number('focalLengthMm'));
  switch (family) {
    case 'c_otf_on_axis': {
      const view = {
        diameterMm: number('diameterMm'),
        focalLengthMm: number('focalLengthMm'),
        objectDistanceMm: (inputs['objectDistanceMm'] as number | null) ?? Infinity,
        light: oneWavelength(number('wavelengthNm')),
      };
      return roundOtf(view, [number('frequencyPerMm')])[0] as number;
    }
    case 'f_thick_hole':
      return thickHoleShare({
        diameterMm: 0.4,
        thicknessMm: 0.4 * number('thicknessInDiameters'),
        angleRad: degreesToRad(number('angleDeg')),
      });
    case 'g_constants':
      return constant(name);
    case 'g_optimum_diameter': {
      const criterion = NAMED[inputs['criterion'] as string];
      const of = { focalLengthMm: number('focalLengthMm'), wavelengthNm: 550, objectDistanceMm: Infinity };
      if (criterion !== undefined) return bestHole({ criterion, ...of }).diameterMm;
      return constant(inputs['criterion'] as string) * lengthMm;
    }
    case 'g_envelope':
      return sharpestHoleAt(number('q')).constant;
    case 'g_envelope_contrast':
      return sharpestHoleAt(number('q')).contrast;
    case 'g_highest_frequency':
      return highestFrequencyAt(number('contrast')).q / lengthMm;
    case 'g_sharpest_diameter':
      return sharpestHoleAt(number('frequencyPerMm') * lengthMm).constant * lengthMm;
    case 'g_sharpest_contrast':
      return sharpestHoleAt(number('frequencyPerMm') * lengthMm).contrast;
    case 'h_falloff_flat': {
      const point = { xMm: 0, yMm: 100 * Math.tan(degreesToRad(number('angleDeg'))) };
      return falloffAt(centredCamera({ widthMm: 10, heightMm: 10 }, 100), point).falloffStops as number;
    }
    default:
      throw new Error(`no computation for the family ${family}`);
  }
}

describe('round hole against 30-digit values', () => {
  test.each(Object.keys(TOLERANCES))('%s', (family) => {
    const limit = TOLERANCES[family]?.absolute as number;
    const bad = rows
      .filter((row) => row.family === family)
      .map((row) => ({ name: row.name, error: Math.abs(computed(row) - row.value) }))
      .filter(({ error }) => !(error <= limit));
    expect(bad).toEqual([]);
  });

  test('no row was dropped', () => {
    const counts: Record<string, number> = {};
    for (const { family } of rows) counts[family] = (counts[family] ?? 0) + 1;
    expect(counts).toEqual({
      c_otf_on_axis: 100,
      f_thick_hole: 48,
      g_constants: 20,
      g_envelope: 12,
      g_envelope_contrast: 12,
      g_optimum_diameter: 78,
      g_highest_frequency: 24,
      g_sharpest_diameter: 18,
      g_sharpest_contrast: 18,
      h_falloff_flat: 7,
    });
    expect(counts).toEqual(data.families);
    expect(Object.keys(counts).sort()).toEqual(Object.keys(TOLERANCES).sort());
  });
});
