/** Passes that show one state of a plate: scans of it laid down in other ways, counted as one measurement. */
import { combineScans } from '../plate/same-plate.ts';
import type { PassRecord } from './workshop.ts';

/** The passes of a plate that show the same state as one of them, in order. */
export function sameStatePasses(passes: readonly PassRecord[], pass: PassRecord): readonly PassRecord[] {
  const first = pass.sameStateAs ?? pass.id;
  return passes.filter(({ id, sameStateAs }) => id === first || sameStateAs === first);
}

/**
 * The mean over passes of one state, as it is stored with the last of them; `null` for fewer than two that were
 * measured with a budget.
 */
export function combinedPasses(passes: readonly PassRecord[]): NonNullable<PassRecord['combined']> | null {
  const measured = passes.flatMap(({ id, figures }) => (figures?.budget === undefined ? [] : [{ id, figures, budget: figures.budget }]));
  if (measured.length < 2) return null;
  const mean = combineScans(
    measured.map(({ figures, budget }) => ({
      outlineDiameterMm: figures.outlineDiameterMm,
      clearDiameterMm: figures.clearDiameterMm ?? figures.outlineDiameterMm,
      budget,
    })),
  );
  return {
    passIds: measured.map(({ id }) => id),
    outlineDiameterMm: mean.outlineDiameterMm,
    outlineStandardUncertaintyMm: mean.outlineStandardUncertaintyMm,
    clearDiameterMm: mean.clearDiameterMm,
    repeatabilityMm: mean.repeatabilityMm,
    budget: mean.budget.map((line) => ({ ...line })),
  };
}

/** What stands for a pass in verdict and exposure: the mean over its state where there is one, else its own figures. */
export function decidingFigures(pass: PassRecord): PassRecord['figures'] {
  const { figures, combined } = pass;
  if (figures === undefined || combined === undefined) return figures;
  return {
    ...figures,
    outlineDiameterMm: combined.outlineDiameterMm,
    outlineStandardUncertaintyMm: combined.outlineStandardUncertaintyMm,
    ...(combined.clearDiameterMm !== undefined && { clearDiameterMm: combined.clearDiameterMm }),
    ...(combined.budget !== undefined && { budget: combined.budget }),
  };
}
