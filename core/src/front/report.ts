/** A front in plain sentences, the answer first, with what they stand on. Both faces show these. */
import { InputError } from '../errors.ts';
import { fixed, formatNumber } from '../units/figures.ts';
import { frameCorners } from '../camera/geometry.ts';
import { cutterFor } from './cutters.ts';
import type { Cutter } from './cutters.ts';
import { openingNeeds } from './openings.ts';
import type { OpeningNeed } from './openings.ts';
import { clearCircleMm, cornerTransmission, transmissionMap } from './transmission.ts';
import type { CornerLoss, FrontQuestion, TransmissionMap } from './transmission.ts';

export interface FrontReport {
  /** First the answer, then what it stands on; each one a full sentence. */
  readonly sentences: readonly string[];
  readonly needs: readonly OpeningNeed[];
  readonly corners: readonly CornerLoss[];
  readonly map: TransmissionMap;
  /** Of the frame's area, that loses anything to a layer. */
  readonly dimmedShare: number;
  /** About the foot; null where the layers leave more than the film could show. */
  readonly clearCircleMm: number | null;
}

export interface ReportOptions {
  /** To be left all round; default 0. */
  readonly marginMm?: number;
  /** What the shop owns; left out: no drill is named. */
  readonly cutters?: readonly Cutter[];
  /** Default 61 × 41. */
  readonly columns?: number;
  readonly rows?: number;
}

function mm(lengthMm: number): string {
  return `${formatNumber(lengthMm, { digits: Math.abs(lengthMm) < 0.1 ? 3 : 2 })} mm`;
}

/** `0.4 stop`, `2.1 stops`, or that nothing is left. */
function stopsLost(share: number): string {
  if (share <= 0) return 'all light';
  const stops = -Math.log2(share);
  const text = fixed(stops, stops < 0.1 ? 2 : 1);
  return `${text} ${Number(text) <= 1 ? 'stop' : 'stops'}`;
}

/**
 * The opening to make, in words: `Ø 18.67 mm, so 20 mm`.
 * @param need of a layer; margin to be left all round
 */
export function openingInWords(need: OpeningNeed, marginMm = 0, cutters?: readonly Cutter[]): string {
  const { own } = need;
  if (own.kind === 'rectangle') return `${mm(own.widthMm + 2 * marginMm)} × ${mm(own.heightMm + 2 * marginMm)}`;
  if (own.kind === 'scale') {
    return Number.isFinite(own.factor) ? `${formatNumber(100 * own.factor, { significant: 4 })} % of its size` : 'another place: no size is enough';
  }
  const wanted = own.diameterMm + 2 * marginMm;
  const cutter = cutters === undefined ? undefined : cutterFor(wanted, cutters);
  const drill = cutter === undefined ? '' : cutter === null ? ', larger than any cutter listed' : `, so ${cutter.name}`;
  return `Ø ${mm(wanted)}${drill}`;
}

function answer(needs: readonly OpeningNeed[], corners: readonly CornerLoss[], dimmed: number, options: ReportOptions): string {
  if (needs.length === 0) return 'Nothing stands before the hole or behind it: no layer is given yet.';
  const margin = options.marginMm ?? 0;
  const tightest = needs.reduce((worst, need) => (need.spareMm < worst.spareMm ? need : worst));
  if (dimmed === 0 && corners.every(({ clippingLayer }) => clippingLayer === null) && tightest.spareMm >= -1e-9) {
    const short = tightest.spareMm < margin - 0.005 ? `, less than the ${mm(margin)} wanted` : '';
    return `Nothing stands in the view: ${tightest.layer} comes nearest and has ${mm(Math.max(0, tightest.spareMm))} to spare${short}.`;
  }
  const worst = corners.reduce((dark, corner) => (corner.transmissionShare < dark.transmissionShare ? corner : dark));
  const named = worst.clippingLayer ?? tightest.layer;
  const need = needs.find(({ layer }) => layer === named) ?? tightest;
  const area = dimmed > 0 ? ` ${formatNumber(100 * dimmed, { significant: dimmed < 0.1 ? 1 : 2 })} % of the frame is dimmed;` : '';
  return (
    `${named[0]?.toUpperCase()}${named.slice(1)} stands ${mm(-need.spareMm)} in the view:${area} the ${worst.name} corner `
    + `(seen from the film side) loses ${stopsLost(worst.transmissionShare)}. Make it ${openingInWords(need, margin, options.cutters)}.`
  );
}

function darkest(question: FrontQuestion, corners: readonly CornerLoss[]): string {
  const worst = corners.reduce((dark, corner) =>
    corner.falloffStops - Math.log2(corner.clearShare) > dark.falloffStops - Math.log2(dark.clearShare) ? corner : dark,
  );
  const parts = [`${fixed(worst.falloffStops, 1)} to distance and slant`];
  if (question.plate !== undefined) parts.push(worst.plateShare > 0 ? `${fixed(-Math.log2(worst.plateShare), 2)} to the plate's thickness` : 'all to the plate');
  parts.push(worst.transmissionShare > 0 ? `${fixed(-Math.log2(worst.transmissionShare), 2)} to the layers` : 'all to the layers');
  const total =
    worst.clearShare > 0
      ? `is ${fixed(worst.falloffStops - Math.log2(worst.clearShare), 1)} stops darker than the point behind the hole`
      : 'stays black';
  return `The darkest corner (${worst.name}) ${total}: stops lost, ${parts.join(', ')}.`;
}

/**
 * Everything about a front at once.
 * @throws InputError for whatever cannot be right in the question
 */
export function frontReport(question: FrontQuestion, options: ReportOptions = {}): FrontReport {
  const { marginMm = 0 } = options;
  if (!(Number.isFinite(marginMm) && marginMm >= 0)) {
    throw new InputError('negative', `The room to leave all round must be 0 mm or more, but is ${marginMm} mm.`, {
      path: 'marginMm', got: marginMm, expected: '≥ 0 mm',
    });
  }
  const map = transmissionMap(question, { columns: options.columns ?? 61, rows: options.rows ?? 41 });
  const needs = openingNeeds(question);
  const corners = cornerTransmission(question);
  const dimmedShare = map.clippingIndex.reduce((sum, index) => sum + (index >= 0 ? 1 : 0), 0) / map.clippingIndex.length;
  const circle = clearCircleMm(question);
  const { frame, holeShift } = question.camera;
  const needed = 2 * Math.max(...Object.values(frameCorners(frame)).map(({ xMm, yMm }) => Math.hypot(xMm - holeShift.xMm, yMm - holeShift.yMm)));
  return {
    sentences: [
      answer(needs, corners, dimmedShare, options),
      ...(needs.length === 0 ? [] : [darkest(question, corners)]),
      // An oblong opening may leave a small circle and the whole frame all the same.
      ...(circle === null || (dimmedShare === 0 && circle < needed)
        ? []
        : [`The layers leave an image circle of ${mm(circle)} about the point behind the hole; the frame needs ${mm(needed)}.`]),
    ],
    needs,
    corners,
    map,
    dimmedShare,
    clearCircleMm: circle,
  };
}
