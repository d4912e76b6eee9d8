/** A scanner's own scale, found once from a steel rule, for every scan it makes. */
import { InputError } from '../errors.ts';
import type { RulerMarks } from '../plate/ruler.ts';
import { rulerScale } from '../plate/ruler.ts';
import type { ScanScale } from '../plate/scan.ts';
import type { ScannerRecord } from './workshop.ts';

const MM_PER_INCH = 25.4;
/** A calibration made within this of the stated resolution is for that resolution. */
const SAME_DPI = 0.01;
/** Added when a calibration is carried to another resolution. @source engineering-judgement */
const CARRIED_DOUBT = 0.001;

type Calibration = ScannerRecord['calibrations'][number];

/** What a file states, in pixels per inch; the mean of both directions. */
function dpiOf(scale: Pick<ScanScale, 'xMmPerPx' | 'yMmPerPx'>): number {
  return MM_PER_INCH / Math.sqrt(scale.xMmPerPx * scale.yMmPerPx);
}

/**
 * The scale of a scan by its scanner's calibration: the last one made at the resolution that the file states, else
 * the last one carried over in the ratio of the stated resolutions.
 * @param stated what the file says; `null` when it says nothing
 * @throws InputError missing when the scanner was never calibrated, or its calibration cannot be carried over
 */
export function scannerScale(scanner: Pick<ScannerRecord, 'name' | 'calibrations'>, stated: ScanScale | null): ScanScale {
  const dpi = stated === null ? null : dpiOf(stated);
  const { calibrations } = scanner;
  const same = calibrations.findLast(
    ({ statedDpi }) => dpi === null || statedDpi === undefined || Math.abs(statedDpi / dpi - 1) < SAME_DPI,
  );
  const other = calibrations.findLast(({ statedDpi }) => statedDpi !== undefined);
  const used = same ?? other;
  if (used === undefined) {
    throw new InputError('missing', `The scanner ${scanner.name} has no calibration yet: scan a steel rule across and down and enter it.`, {
      path: 'scanner',
    });
  }
  const carried = same === undefined && dpi !== null && used.statedDpi !== undefined ? used.statedDpi / dpi : 1;
  const doubt = used.relativeUncertainty ?? 0.001;
  return {
    xMmPerPx: used.xMmPerPx * carried,
    yMmPerPx: used.yMmPerPx * carried,
    source: 'scanner',
    detail:
      carried === 1
        ? `the calibration of ${scanner.name}, ${used.at.slice(0, 10)}`
        : `the calibration of ${scanner.name} at ${used.statedDpi} px per inch, ${used.at.slice(0, 10)}, carried to this resolution`,
    relativeUncertainty: carried === 1 ? doubt : Math.hypot(doubt, CARRIED_DOUBT),
  };
}

export interface RuleScan {
  readonly marks: readonly RulerMarks[];
  /** What the file states of its resolution. */
  readonly stated: ScanScale | null;
}

/**
 * A calibration from scans of a steel rule, across and down the glass (or both in one).
 * @param divisionMm where the marks do not tell what a division is
 * @throws InputError no-scale, missing; not-allowed when the scans were made at different resolutions
 */
export function calibrationFromRule(
  scans: readonly RuleScan[],
  facts: { readonly id: string; readonly at: string; readonly timeZone?: string; readonly divisionMm?: number },
): Calibration {
  const stated = scans.find((scan) => scan.stated !== null)?.stated ?? null;
  const dpi = stated === null ? null : dpiOf(stated);
  if (dpi !== null && scans.some((scan) => scan.stated !== null && Math.abs(dpiOf(scan.stated) / dpi - 1) > SAME_DPI)) {
    throw new InputError('out-of-range', 'The scans of the rule were made at different resolutions: calibrate one resolution at a time.');
  }
  const marks = scans.flatMap((scan) => scan.marks);
  const scale = rulerScale(marks, { stated, ...(facts.divisionMm !== undefined && { divisionMm: facts.divisionMm }) });
  return {
    id: facts.id,
    at: facts.at,
    ...(facts.timeZone !== undefined && { timeZone: facts.timeZone }),
    ...(dpi !== null && { statedDpi: dpi }),
    xMmPerPx: scale.xMmPerPx,
    yMmPerPx: scale.yMmPerPx,
    ...(scale.relativeUncertainty !== undefined && { relativeUncertainty: scale.relativeUncertainty }),
    standard: 'steel rule',
    notes: scale.detail,
  };
}
