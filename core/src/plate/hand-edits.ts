/**
 * What the maker changes of a measured outline with their own eye: a stretch of the rim pushed, a false burr bridged,
 * a piece of debris declared metal or nothing. The figures follow, and the doubt about them grows.
 */
import type { Point } from '../geometry/points.ts';
import { InputError } from '../errors.ts';
import { figuresOf } from './figures.ts';
import type { BudgetLine, Debris, HandEdit, HoleReading } from './scan.ts';

/** Half of what a hand moved the diameter by is doubt (judgement). @source engineering-judgement */
const HAND_SHARE = 0.5;
/** And at least this share of a blur width over the share of the rim that was touched. @source engineering-judgement */
const HAND_BLUR_SHARE = 0.1;

/**
 * The reading with edits by hand in it. Angles and places as in the reading: of the scan as displayed.
 * @param edits in the order they were made; none gives the reading back
 * @throws InputError out-of-range when the rim would pass through its own middle
 */
export function editedByHand(hole: HoleReading, edits: readonly HandEdit[]): HoleReading {
  if (edits.length === 0) return hole;
  const middle = hole.leastSquares.center;
  let points: Point[] = hole.outline.map(({ xMm, yMm }) => ({ x: xMm - middle.xMm, y: middle.yMm - yMm }));
  let debris = [...hole.debris];
  let lostMm2 = 0;
  let touched = 0;
  for (const edit of edits) {
    switch (edit.kind) {
      case 'nudge':
        points = nudged(points, edit.angleRad, edit.widthRad, edit.shiftMm);
        touched += Math.min(1, edit.widthRad / Math.PI);
        break;
      case 'bridge':
        points = bridged(points, edit.angleRad, edit.widthRad);
        touched += Math.min(1, edit.widthRad / Math.PI);
        break;
      default: {
        const piece = nearest(debris, edit.center.xMm, edit.center.yMm);
        if (piece === null) break;
        debris = debris.filter((other) => other !== piece);
        if (edit.kind === 'metal') lostMm2 += piece.areaMm2;
      }
    }
  }
  if (points.some(({ x, y }) => !(Math.hypot(x, y) > 0.05 * hole.outlineDiameterMm))) {
    throw new InputError('out-of-range', 'Pushed so far the rim would pass through the middle of the hole. Take back the last step.');
  }
  const figures = figuresOf(points, { mmPerUnit: 1, originXMm: middle.xMm, originYMm: middle.yMm });
  const outlineDiameterMm = Math.sqrt(Math.max(0, figures.equivalentDiameterMm ** 2 - (4 / Math.PI) * lostMm2));
  const hiddenMm2 = debris.reduce((sum, piece) => sum + piece.areaMm2, 0);
  const clearDiameterMm = Math.sqrt(Math.max(0, outlineDiameterMm ** 2 - (4 / Math.PI) * hiddenMm2));
  const handMm = Math.hypot(
    HAND_SHARE * (outlineDiameterMm - hole.outlineDiameterMm),
    HAND_BLUR_SHARE * hole.blurSigmaMm * Math.min(1, touched),
  );
  const line: BudgetLine = {
    name: 'hand',
    standardUncertaintyMm: handMm,
    reason: 'the outline was changed by hand; half of what that moved the diameter by, judgement',
  };
  const budget = [...hole.budget, line].sort((a, b) => b.standardUncertaintyMm - a.standardUncertaintyMm);
  return {
    ...hole,
    ...figures,
    outlineDiameterMm,
    clearDiameterMm,
    outlineStandardUncertaintyMm: Math.hypot(hole.outlineStandardUncertaintyMm, handMm),
    clearStandardUncertaintyMm: Math.hypot(hole.clearStandardUncertaintyMm, handMm),
    imageStandardUncertaintyMm: Math.hypot(hole.imageStandardUncertaintyMm, handMm),
    budget,
    debris,
    burrs: hole.burrs.filter(({ angleRad }) => !isBridged(edits, angleRad)),
    chips: hole.chips.filter(({ angleRad }) => !isBridged(edits, angleRad)),
    handEdits: [...(hole.handEdits ?? []), ...edits],
    cautions: [...hole.cautions, 'The outline was changed by hand.'],
  };
}

/** Every point moves along its ray, by less the farther from the direction (a bell of the given half width). */
function nudged(points: readonly Point[], angleRad: number, widthRad: number, shiftMm: number): Point[] {
  return points.map((p) => {
    const r = Math.hypot(p.x, p.y);
    const away = turnBetween(Math.atan2(p.y, p.x), angleRad);
    const grown = 1 + (shiftMm * Math.exp(-Math.LN2 * (away / widthRad) ** 2)) / r;
    return { x: p.x * grown, y: p.y * grown };
  });
}

/** The rim between both ends of an arc becomes a smooth line from one to the other. */
function bridged(points: readonly Point[], angleRad: number, widthRad: number): Point[] {
  const half = Math.min(widthRad, 0.9 * Math.PI) / 2;
  // The form on both sides carries on over the arc: a circle through what lies within one more half width.
  const beside = points.filter((p) => {
    const away = Math.abs(turnBetween(Math.atan2(p.y, p.x), angleRad));
    return away > half && away < 2.5 * half + 0.1;
  });
  if (beside.length < 6) return [...points];
  const radiusAt = (way: 1 | -1): number => {
    const end = beside.filter((p) => Math.sign(turnBetween(Math.atan2(p.y, p.x), angleRad)) === way);
    const near = end.sort(
      (a, b) =>
        Math.abs(turnBetween(Math.atan2(a.y, a.x), angleRad)) - Math.abs(turnBetween(Math.atan2(b.y, b.x), angleRad)),
    );
    const some = near.slice(0, Math.max(3, Math.ceil(near.length / 3)));
    return some.reduce((sum, p) => sum + Math.hypot(p.x, p.y), 0) / Math.max(1, some.length);
  };
  const [before, after] = [radiusAt(-1), radiusAt(1)];
  return points.map((p) => {
    const turn = turnBetween(Math.atan2(p.y, p.x), angleRad);
    if (Math.abs(turn) > half) return p;
    const t = (turn + half) / (2 * half);
    const r = before + (after - before) * t;
    const scale = r / Math.hypot(p.x, p.y);
    return { x: p.x * scale, y: p.y * scale };
  });
}

function turnBetween(a: number, b: number): number {
  return Math.atan2(Math.sin(a - b), Math.cos(a - b));
}

function isBridged(edits: readonly HandEdit[], angleRad: number): boolean {
  return edits.some((edit) => edit.kind === 'bridge' && Math.abs(turnBetween(angleRad, edit.angleRad)) <= edit.widthRad / 2);
}

function nearest(debris: readonly Debris[], xMm: number, yMm: number): Debris | null {
  let best: Debris | null = null;
  let least = Infinity;
  for (const piece of debris) {
    const away = Math.hypot(piece.center.xMm - xMm, piece.center.yMm - yMm);
    if (away < least) {
      least = away;
      best = piece;
    }
  }
  return best;
}
