/** Shutters that open clear of the view and close light-tight: a slide in rails, a flap and a lever on a pivot. */
import { InputError, inWords, requirePositive } from '../errors.ts';

/** Overlap on each side when shut. Common practice, no source: at least the thickness of the slide and 5 mm. */
export const DEFAULT_OVERLAP_MM = 5;
/** Room in the slot, all of it. Common practice, no source. */
export const DEFAULT_PLAY_MM = 0.5;
/** How far short of its stop a hand may leave a slide. Common practice, no source. */
export const DEFAULT_NOT_HOME_MM = 1;

export interface SlideQuestion {
  /** Opening behind the slide that must be shut, along the travel and across it. */
  readonly openingAlongMm: number;
  readonly openingAcrossMm: number;
  /** What the view needs at the slide's place, along and across: the smallest opening there. */
  readonly clearAlongMm: number;
  readonly clearAcrossMm: number;
  readonly slideThicknessMm: number;
  readonly playMm?: number;
  readonly overlapMm?: number;
  /** How far short of its stop a hand may leave it; the window is made so much longer, both ways. Default 1 mm. */
  readonly notHomeMm?: number;
  /** Slide held on each side in its rail; default 6 mm. Common practice, no source. */
  readonly railGripMm?: number;
  /** How far the hole's sharp edge stands in front of the surface on which the slot's floor lies; default 0. */
  readonly holeProudMm?: number;
}

export interface Slide {
  /** Depth of the slot between floor and front: slide and play, so that it runs free. */
  readonly slotDepthMm: number;
  /** Between the slide and the hole's edge at the least; ≤ 0: it rubs. */
  readonly holeClearanceMm: number;
  /** Window in the slide. */
  readonly windowAlongMm: number;
  readonly windowAcrossMm: number;
  /** From shut to open, stop to stop. */
  readonly travelMm: number;
  /** Closed part of the slide from the edge of its window on. */
  readonly closedPartMm: number;
  /** Slide over all: margin beyond the window, window, closed part. */
  readonly lengthMm: number;
  /** Slide across, rails included. */
  readonly widthMm: number;
  /** Between the bottoms of the rails: the slide and its play. */
  readonly betweenRailsMm: number;
  /** End stops, as places of the window's middle from the axis: open at 0, shut at the other. */
  readonly stopsMm: readonly [number, number];
  /** What is left round the view when the slide stands `notHomeMm` short; 0 by design, the two sides along the travel. */
  readonly spareNotHomeMm: number;
}

function requireLengths(of: Readonly<Record<string, number>>): void {
  for (const [path, got] of Object.entries(of)) requirePositive(got, path, 'mm');
}

function requireNoneNegative(of: Readonly<Record<string, number>>): void {
  for (const [path, got] of Object.entries(of)) {
    if (Number.isFinite(got) && got >= 0) continue;
    throw new InputError('negative', `${inWords(path)} must be 0 mm or more, but is ${got}.`, { path, got, expected: '≥ 0 mm' });
  }
}

/**
 * A sliding shutter with a window.
 *   window = view + 2 not-home,  travel = window/2 + opening/2 + overlap,  closed part = opening + 2 overlap
 *   slot = slide + play
 * @param question lengths > 0, allowances ≥ 0
 * @throws InputError not-positive, negative
 * @source front-notes
 */
export function slidingShutter(question: SlideQuestion): Slide {
  const { openingAlongMm, openingAcrossMm, clearAlongMm, clearAcrossMm, slideThicknessMm } = question;
  requireLengths({ openingAlongMm, openingAcrossMm, clearAlongMm, clearAcrossMm, slideThicknessMm });
  const { playMm = DEFAULT_PLAY_MM, overlapMm = DEFAULT_OVERLAP_MM, notHomeMm = DEFAULT_NOT_HOME_MM, railGripMm = 6, holeProudMm = 0 } = question;
  requireNoneNegative({ playMm, overlapMm, notHomeMm, railGripMm });
  const windowAlongMm = clearAlongMm + 2 * notHomeMm;
  const windowAcrossMm = Math.max(clearAcrossMm, openingAcrossMm);
  const travelMm = windowAlongMm / 2 + openingAlongMm / 2 + overlapMm;
  const closedPartMm = openingAlongMm + 2 * overlapMm;
  const widthMm = windowAcrossMm + 2 * (overlapMm + railGripMm);
  return {
    slotDepthMm: slideThicknessMm + playMm,
    holeClearanceMm: -holeProudMm,
    windowAlongMm,
    windowAcrossMm,
    travelMm,
    closedPartMm,
    lengthMm: overlapMm + windowAlongMm + closedPartMm,
    widthMm,
    betweenRailsMm: widthMm + playMm,
    stopsMm: [0, travelMm],
    spareNotHomeMm: openSpareMm({ windowMm: windowAlongMm, clearMm: clearAlongMm, shortOfStopMm: notHomeMm }),
  };
}

export interface SwingQuestion {
  /** Opening that must be shut, across. */
  readonly openingMm: number;
  /** What the view needs at the flap's place, across. */
  readonly clearMm: number;
  /** From the pivot to the middle of the opening. */
  readonly pivotDistanceMm: number;
  readonly overlapMm?: number;
}

export interface SwingingFlap {
  /** Round end of the flap, across. */
  readonly flapDiameterMm: number;
  /** From shut to clear of the view. */
  readonly sweepRad: number;
}

/**
 * A flap with a round end on a pivot in its own plane.
 *   flap = opening + 2 overlap; it is clear when its middle has gone flap/2 + view/2 along the chord 2 L sin(α/2)
 * @param question lengths > 0
 * @throws InputError not-positive, negative, conflict where the pivot is too near ever to clear
 * @source front-notes
 */
export function swingingFlap(question: SwingQuestion): SwingingFlap {
  const { openingMm, clearMm, pivotDistanceMm } = question;
  requireLengths({ openingMm, clearMm, pivotDistanceMm });
  const { overlapMm = DEFAULT_OVERLAP_MM } = question;
  requireNoneNegative({ overlapMm });
  const flapDiameterMm = openingMm + 2 * overlapMm;
  const chordMm = (flapDiameterMm + clearMm) / 2;
  if (chordMm > 2 * pivotDistanceMm) throw tooNear(pivotDistanceMm, chordMm / 2);
  return { flapDiameterMm, sweepRad: 2 * Math.asin(chordMm / (2 * pivotDistanceMm)) };
}

function tooNear(pivotDistanceMm: number, leastMm: number): InputError {
  return new InputError(
    'conflict',
    `With the pivot ${pivotDistanceMm} mm from the middle the flap never leaves the view; set it at least ${leastMm} mm off.`,
    { path: 'pivotDistanceMm', got: pivotDistanceMm, expected: `≥ ${leastMm} mm` },
  );
}

export interface PivotLever {
  /** Straight bar, across. */
  readonly leverWidthMm: number;
  /** From the pivot to the free end at the least. */
  readonly leverLengthMm: number;
  readonly sweepRad: number;
}

/**
 * A straight bar on a pivot: clear when the axis of the hole is (bar + view)/2 off the middle line of the bar.
 *   sin α = (bar + view) / 2L
 * @param question lengths > 0
 * @throws InputError not-positive, negative, conflict
 * @source front-notes
 */
export function pivotLever(question: SwingQuestion): PivotLever {
  const { openingMm, clearMm, pivotDistanceMm } = question;
  requireLengths({ openingMm, clearMm, pivotDistanceMm });
  const { overlapMm = DEFAULT_OVERLAP_MM } = question;
  requireNoneNegative({ overlapMm });
  const leverWidthMm = openingMm + 2 * overlapMm;
  const away = (leverWidthMm + clearMm) / 2;
  if (away > pivotDistanceMm) throw tooNear(pivotDistanceMm, away);
  return {
    leverWidthMm,
    leverLengthMm: pivotDistanceMm + openingMm / 2 + overlapMm,
    sweepRad: Math.asin(away / pivotDistanceMm),
  };
}

/**
 * "Fully open": what a rim of the moving part leaves of the view when the part stands some way short of its stop.
 * @param of window of the moving part and view at its place, both across the same line
 * @returns spare on the worse side; negative: it clips by so much
 */
export function openSpareMm(of: { readonly windowMm: number; readonly clearMm: number; readonly shortOfStopMm: number }): number {
  return (of.windowMm - of.clearMm) / 2 - Math.abs(of.shortOfStopMm);
}
