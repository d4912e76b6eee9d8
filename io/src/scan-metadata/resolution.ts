import type { ScanScale } from '#core';
import type { ResolutionStatement, Statements } from './metadata.ts';

const MM_PER_INCH = 25.4;

/** Numbers that programs write when nobody measured anything: 1 px per inch or mm, and the two screen defaults. */
const DEFAULTS_PER_INCH = [1, 2.54, 25.4, 72, 96];
/** Formats that count per metre or in whole numbers miss the default by rounding. */
const DEFAULT_TOLERANCE_PER_INCH = 0.06;
/** A pixel of 0.85 mm cannot show a pinhole; nor can one finer than light itself, 25 nm. */
const LEAST_PER_INCH = 30;
const MOST_PER_INCH = 1e6;
/** Two statements agree when they differ by less than rounding to whole numbers explains. */
const AGREEMENT = 0.003;

const REMEDY = "Type the scanner's resolution, or scan a steel rule beside the plate.";

export interface WeighedResolution {
  readonly scale: ScanScale | null;
  readonly scaleNote: string;
  readonly warnings: readonly string[];
}

/**
 * Decides which scale a file really states: its own statement, or, where that is absent or a mere default, a
 * further one. x and y stay apart. What disagrees is said, not settled.
 */
export function weighResolution(statements: Statements): WeighedResolution {
  const all = statements.resolution ? [statements.resolution, ...statements.others] : [...statements.others];
  const usable = all.filter((statement) => refusal(statement) === null);
  const chosen = usable[0];
  if (chosen === undefined) {
    const first = all[0];
    const reason = first ? refusal(first)! : statements.resolutionAbsence;
    return { scale: null, scaleNote: `No scale: ${reason}. ${REMEDY}`, warnings: [] };
  }
  const scale: ScanScale = {
    xMmPerPx: MM_PER_INCH / chosen.xPerInch,
    yMmPerPx: MM_PER_INCH / chosen.yPerInch,
    source: 'file',
    detail: chosen.where,
  };
  return {
    scale,
    scaleNote: `${inWords(chosen)}, from ${chosen.where}.`,
    warnings: disagreements(chosen, usable, all),
  };
}

/** Why a statement cannot be a scanner's resolution, or null when it can. */
function refusal({ xPerInch, yPerInch, where }: ResolutionStatement): string | null {
  const words = `the file says ${pair(xPerInch, yPerInch)} per inch (${where})`;
  if (![xPerInch, yPerInch].every((value) => Number.isFinite(value) && value > 0)) {
    return `the resolution in the file is not a number (${where})`;
  }
  const isDefault = (value: number) =>
    DEFAULTS_PER_INCH.some((standard) => Math.abs(value - standard) <= DEFAULT_TOLERANCE_PER_INCH);
  if (isDefault(xPerInch) && isDefault(yPerInch)) {
    return `${words}, which programs write when the resolution is not known`;
  }
  if (Math.min(xPerInch, yPerInch) < LEAST_PER_INCH || Math.max(xPerInch, yPerInch) > MOST_PER_INCH) {
    return `${words}, which cannot be true of a scan that shows a pinhole`;
  }
  return null;
}

function disagreements(
  chosen: ResolutionStatement,
  usable: readonly ResolutionStatement[],
  all: readonly ResolutionStatement[],
): string[] {
  // The format's own statement reset to a default beside a real one is the mark of a re-saved, maybe resized, file.
  const reset = all[0] !== chosen;
  const resaved = () =>
    `${inWords(chosen)} is taken from ${chosen.where}, because ${refusal(all[0]!)}. ` +
    'If the picture was resized after scanning, give the resolution by hand.';
  const differing = usable
    .filter((other) => other !== chosen && !agree(chosen, other))
    .map(
      (other) =>
        `The file states two resolutions: ${inWords(chosen)} (${chosen.where}, used here) and ${inWords(other)} ` +
        `(${other.where}). It was probably changed after scanning: give the resolution by hand if you know it.`,
    );
  return reset ? [resaved(), ...differing] : differing;
}

function agree(a: ResolutionStatement, b: ResolutionStatement): boolean {
  return (
    Math.abs(a.xPerInch - b.xPerInch) <= AGREEMENT * a.xPerInch &&
    Math.abs(a.yPerInch - b.yPerInch) <= AGREEMENT * a.yPerInch
  );
}

function inWords({ xPerInch, yPerInch }: ResolutionStatement): string {
  return xPerInch === yPerInch
    ? `${figure(xPerInch)} px per inch`
    : `${figure(xPerInch)} px per inch across and ${figure(yPerInch)} down`;
}

function pair(xPerInch: number, yPerInch: number): string {
  return xPerInch === yPerInch ? figure(xPerInch) : `${figure(xPerInch)} × ${figure(yPerInch)}`;
}

function figure(value: number): string {
  return String(Number(value.toFixed(2)));
}
