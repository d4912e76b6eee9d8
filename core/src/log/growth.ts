/**
 * How a hole grew from pass to pass, how round it was and what burr stood in it, with the doubt of each step.
 *
 * The growth is a difference of two measurements that share most of their errors when the plate was scanned in the
 * same way: the scale, and on which side of the edge light and dark are told apart. What is shared is left out of the
 * difference, what is not shared counts twice, and a step is only called growth when it stands out of its doubt.
 */
import type { PassRecord, PlateRecord } from './workshop.ts';

export interface GrowthStep {
  readonly passId: string;
  /** Counted from 1; readings of one scan that follow each other are one pass, and the last reading holds. */
  readonly index: number;
  readonly at: string;
  readonly work: string | null;
  readonly diameterMm: number;
  /** k = 1; `null` when the pass does not state it. */
  readonly diameterStandardUncertaintyMm: number | null;
  /** Against the measured pass before; `null` for the first. Negative: smaller than before. */
  readonly grownMm: number | null;
  /** k = 1; `null` when one of the two does not state its own. */
  readonly grownStandardUncertaintyMm: number | null;
  /** True when growth or shrinking is more than twice its standard uncertainty; `null` when that is not known. */
  readonly isSure: boolean | null;
  /** Difference of radii, minimum zone. */
  readonly roundnessMm: number | null;
  /** The highest burr, 0 when there is none. */
  readonly burrMm: number | null;
  readonly verdict: 'work on' | 'good' | 'large' | null;
}

export interface PlateGrowth {
  readonly steps: readonly GrowthStep[];
  /** From the first measured pass to the last; `null` with fewer than two. */
  readonly totalMm: number | null;
  readonly totalStandardUncertaintyMm: number | null;
  /** Mean of the passes in which the hole grew, for guessing the next one; `null` when it never did. */
  readonly perPassMm: number | null;
  /** For the maker: what the passes have done. */
  readonly sentence: string;
}

const COVERAGE = 2;

/** The passes as a maker counts them: one for each scan, whose last reading holds. */
function countedPasses(plate: PlateRecord): PassRecord[] {
  const passes: PassRecord[] = [];
  for (const pass of plate.passes) {
    const before = passes.at(-1);
    const sameScan = pass.scan !== null && before?.scan?.sha256 === pass.scan.sha256;
    if (sameScan) passes[passes.length - 1] = pass;
    else passes.push(pass);
  }
  return passes;
}

/** Whether scale and edge of two passes err alike: the same source of scale, the same scale, the same light. */
function measuredAlike(a: PassRecord, b: PassRecord): boolean {
  const [x, y] = [a.scale, b.scale];
  return (
    x !== undefined &&
    y !== undefined &&
    x.source === y.source &&
    x.xMmPerPx === y.xMmPerPx &&
    x.yMmPerPx === y.yMmPerPx &&
    a.illumination === b.illumination &&
    a.polarity === b.polarity
  );
}

/**
 * Standard uncertainty of the difference of two diameters, mm.
 *   u² = i₁² + i₂² + (s₁ − s₂)², with i what each picture adds and s the rest, which is shared;
 *   where nothing is known to be shared, u² = u₁² + u₂²
 * Valid: the shared part is fully correlated when both were measured in the same way, and not at all otherwise.
 * @source jcgm100 5.2.2
 */
function differenceUncertaintyMm(a: PassRecord, b: PassRecord): number | null {
  const [u1, u2] = [a.figures?.outlineStandardUncertaintyMm, b.figures?.outlineStandardUncertaintyMm];
  if (u1 === undefined || u2 === undefined) return null;
  const [i1, i2] = [a.figures?.imageStandardUncertaintyMm, b.figures?.imageStandardUncertaintyMm];
  if (i1 === undefined || i2 === undefined || !measuredAlike(a, b)) return Math.hypot(u1, u2);
  const shared = (u: number, i: number): number => Math.sqrt(Math.max(0, u * u - i * i));
  return Math.hypot(i1, i2, shared(u1, i1) - shared(u2, i2));
}

function stepOf(pass: PassRecord, before: PassRecord | null, index: number): GrowthStep | null {
  const { figures } = pass;
  if (figures === undefined) return null;
  const grownMm = before?.figures === undefined ? null : figures.outlineDiameterMm - before.figures.outlineDiameterMm;
  const doubtMm = before === null ? null : differenceUncertaintyMm(pass, before);
  return {
    passId: pass.id,
    index,
    at: pass.at,
    work: pass.work ?? null,
    diameterMm: figures.outlineDiameterMm,
    diameterStandardUncertaintyMm: figures.outlineStandardUncertaintyMm ?? null,
    grownMm,
    grownStandardUncertaintyMm: grownMm === null ? null : doubtMm,
    isSure: grownMm === null || doubtMm === null ? null : Math.abs(grownMm) > COVERAGE * doubtMm,
    roundnessMm: figures.roundnessMm ?? null,
    burrMm: figures.burrs === undefined ? null : figures.burrs.reduce((high, burr) => Math.max(high, burr.heightMm), 0),
    verdict: pass.verdict?.word ?? null,
  };
}

const micrometres = (mm: number): string => String(Math.round(mm * 1000));

function sentenceOf(steps: readonly GrowthStep[]): string {
  const last = steps.at(-1);
  if (last === undefined) return 'No pass of this plate is measured yet.';
  const first = steps[0];
  if (first === undefined || steps.length === 1) {
    return `One pass is measured: ${micrometres(last.diameterMm)} µm. The next one will show how much a pass takes.`;
  }
  const grown = last.grownMm ?? 0;
  const doubt = last.grownStandardUncertaintyMm;
  const around = doubt === null ? '' : ` ± ${micrometres(COVERAGE * doubt)}`;
  const way = grown < 0 ? 'took' : 'added';
  const step =
    last.isSure === false
      ? `the last pass changed nothing that could be measured (${micrometres(grown)}${around} µm)`
      : `the last pass ${way} ${micrometres(Math.abs(grown))}${around} µm`;
  return (
    `From ${micrometres(first.diameterMm)} to ${micrometres(last.diameterMm)} µm in ${steps.length} measured passes; ${step}.` +
    // A hole that gets smaller is either a burr folded in or another way of measuring.
    (last.isSure === true && grown < 0 ? ' A hole does not shrink by working: look for a burr pushed in, or another scale.' : '')
  );
}

/** The measured passes of a plate in their order, each against the one before. */
export function plateGrowth(plate: PlateRecord): PlateGrowth {
  const steps: GrowthStep[] = [];
  let before: PassRecord | null = null;
  let first: PassRecord | null = null;
  for (const [index, pass] of countedPasses(plate).entries()) {
    const step = stepOf(pass, before, index + 1);
    if (step === null) continue;
    steps.push(step);
    first ??= pass;
    before = pass;
  }
  const grew = steps.flatMap(({ grownMm }) => (grownMm !== null && grownMm > 0 ? [grownMm] : []));
  const several = first !== null && before !== null && first !== before;
  return {
    steps,
    totalMm: several ? (before?.figures?.outlineDiameterMm ?? 0) - (first?.figures?.outlineDiameterMm ?? 0) : null,
    totalStandardUncertaintyMm: several && first !== null && before !== null ? differenceUncertaintyMm(first, before) : null,
    perPassMm: grew.length === 0 ? null : grew.reduce((sum, mm) => sum + mm, 0) / grew.length,
    sentence: sentenceOf(steps),
  };
}
