/**
 * Several scans of one plate in one state, laid on the glass in other ways: 0°, 90°, flipped. What they differ by is
 * what no single scan can know of itself (the lamp's direction, the lid's shadow, a carriage that slips), so it
 * takes its place in the budget.
 */
import { InputError } from '../errors.ts';

/** What is needed of each scan; lengths k = 1. */
export interface ScanOfPlate {
  readonly outlineDiameterMm: number;
  readonly clearDiameterMm: number;
  readonly budget: readonly NamedUncertainty[];
}

/** A line of a budget as it is stored. */
export interface NamedUncertainty {
  readonly name: string;
  readonly standardUncertaintyMm: number;
  readonly reason: string;
}

export interface SamePlate {
  /** Mean of the scans. */
  readonly outlineDiameterMm: number;
  readonly clearDiameterMm: number;
  readonly outlineStandardUncertaintyMm: number;
  /** Standard uncertainty of the mean from the differences between the scans. */
  readonly repeatabilityMm: number;
  /** Largest less smallest diameter. */
  readonly spreadMm: number;
  readonly scans: number;
  readonly budget: readonly NamedUncertainty[];
}

/**
 * Half the factor of Student's distribution for 95.45 %, by degrees of freedom from 1 (table G.2), so that twice the
 * result still covers 95 in 100. For two scans that of three is taken: one difference alone would give 7, which no
 * maker's spread deserves while the edge term stands beside it (judgement).
 * @source jcgm100 G.4
 */
const STUDENT_HALF = [2.26, 2.26, 1.65, 1.43, 1.33, 1.26, 1.22, 1.19, 1.16, 1.14] as const;
/** From so many scans on, in different poses, the edge term is halved. @source engineering-judgement */
const POSES_FOR_HALF_EDGE = 3;
/** Lines that every scan of one plate on one scanner has in common. */
const COMMON = new Set(['scale', 'edge', 'tone']);

/**
 * Mean diameter of scans of one plate, with the difference between them in the budget:
 *   u_r = (t / 2) s / √n; the images' own parts, averaged, are in it already and are not counted twice
 * Valid: nothing was done to the plate between the scans.
 * @param scans at least two
 * @throws InputError missing
 * @source jcgm100 4.2
 */
export function combineScans(scans: readonly ScanOfPlate[]): SamePlate {
  const n = scans.length;
  const [first] = scans;
  if (first === undefined || n < 2) {
    throw new InputError('missing', 'Two or more scans of the same plate are needed to compare them.', { got: n, expected: 'at least 2' });
  }
  const diameters = scans.map(({ outlineDiameterMm }) => outlineDiameterMm);
  const mean = average(diameters);
  const deviation = Math.sqrt(diameters.reduce((sum, d) => sum + (d - mean) ** 2, 0) / (n - 1));
  const repeatabilityMm = (STUDENT_HALF[Math.min(n - 2, STUDENT_HALF.length - 1)]! * deviation) / Math.sqrt(n);
  const names = [...new Set(scans.flatMap(({ budget }) => budget.map(({ name }) => name)))];
  const lines: NamedUncertainty[] = [];
  let ownSquare = 0;
  for (const name of names) {
    const found = scans.map(({ budget }) => budget.find((line) => line.name === name));
    const square = average(found.map((line) => (line?.standardUncertaintyMm ?? 0) ** 2));
    const reason = found.find((line) => line !== undefined)?.reason ?? '';
    if (!COMMON.has(name)) ownSquare += square / n;
    const halved = name === 'edge' && n >= POSES_FOR_HALF_EDGE;
    lines.push({
      name,
      standardUncertaintyMm: COMMON.has(name) ? Math.sqrt(square) / (halved ? 2 : 1) : Math.sqrt(square / n),
      reason: halved ? `${reason}; halved, because the scans in other poses show part of it` : reason,
    });
  }
  const beyond = Math.sqrt(Math.max(0, repeatabilityMm ** 2 - ownSquare));
  lines.push({
    name: 'repeatability',
    standardUncertaintyMm: beyond,
    reason: `${n} scans of the same plate differ by ${((Math.max(...diameters) - Math.min(...diameters)) * 1000).toFixed(2)} µm`,
  });
  lines.sort((a, b) => b.standardUncertaintyMm - a.standardUncertaintyMm);
  return {
    outlineDiameterMm: mean,
    clearDiameterMm: average(scans.map(({ clearDiameterMm }) => clearDiameterMm)),
    outlineStandardUncertaintyMm: Math.sqrt(lines.reduce((sum, line) => sum + line.standardUncertaintyMm ** 2, 0)),
    repeatabilityMm,
    spreadMm: Math.max(...diameters) - Math.min(...diameters),
    scans: n,
    budget: lines,
  };
}

function average(values: readonly number[]): number {
  return values.reduce((sum, v) => sum + v, 0) / values.length;
}
