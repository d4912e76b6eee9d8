/** How deep the film lies in a holder, from a gauge put down at several places. */
import type { HolderRecord } from './workshop.ts';

export interface HolderDepth {
  readonly depthMm: number;
  /** k = 1, of the mean depth. */
  readonly standardUncertaintyMm: number;
  /** Deepest less shallowest reading: a floor that is not flat. */
  readonly spreadMm: number;
  readonly count: number;
  /** When the last reading was taken. */
  readonly at: string;
}

/**
 * The depth to reckon with: the mean of the last measurement of each side.
 *   u² = s²/n + (step/√12)²; one reading alone: half a step more, because nothing tells how flat the floor is
 * Valid: readings at places that stand for the whole floor; the gauge itself is taken as true.
 * @returns `null` when the holder was never measured
 * @source jcgm100 4.2.3, 4.3.7
 */
export function holderDepth(holder: HolderRecord): HolderDepth | null {
  const lastOfSide = new Map(holder.depths.map((depth) => [depth.side ?? '', depth]));
  const measured = [...lastOfSide.values()];
  const readings = measured.flatMap((depth) => depth.readings.map(({ depthMm }) => depthMm));
  const last = holder.depths.at(-1);
  if (last === undefined || readings.length === 0) return null;
  const count = readings.length;
  const depthMm = readings.reduce((sum, mm) => sum + mm, 0) / count;
  const variance = count < 2 ? 0 : readings.reduce((sum, mm) => sum + (mm - depthMm) ** 2, 0) / (count - 1);
  const stepMm = Math.max(0, ...measured.map((depth) => depth.gaugeStepMm ?? 0));
  const alone = count < 2 ? stepMm / 2 : 0;
  return {
    depthMm,
    standardUncertaintyMm: Math.hypot(Math.sqrt(variance / count), stepMm / Math.sqrt(12), alone),
    spreadMm: Math.max(...readings) - Math.min(...readings),
    count,
    at: last.at,
  };
}
