/**
 * What the real parts may do to a front that clears on paper: worst case, root-sum-square, and chance, over all shifts,
 * thicknesses, places and openings.
 */
import { InputError } from '../errors.ts';
import { filmSight } from '../camera/film-plane.ts';
import { frameCorners } from '../camera/geometry.ts';
import type { CornerName } from '../camera/geometry.ts';
import { signedDistanceMm } from './layer.ts';
import type { LayerBody, LayerSection } from './layer.ts';
import { spreadAt } from './sight.ts';
import type { Eye } from './sight.ts';
import { readyFront } from './transmission.ts';
import type { FrontQuestion, ReadyFront } from './transmission.ts';

export type TolerancePart = 'opening' | 'shift to the side' | 'shift up or down' | 'place' | 'thickness';

/** One thing that may be off, and what it does. */
export interface ToleranceEffect {
  readonly layer: string;
  readonly part: TolerancePart;
  /** The limit, ±. */
  readonly limitMm: number;
  /** What it takes at its worse end from what the tightest corner has to spare. */
  readonly effectMm: number;
  /** Of the scatter of the tightest place, 0…1. */
  readonly varianceShare: number;
}

export interface ToleranceAnswer {
  /** The least that any layer has to spare, all parts as drawn; negative: clips. */
  readonly nominalSpareMm: number;
  /** Every part at its worst end at once. */
  readonly worstSpareMm: number;
  /** Ends combined as root-sum-square about the nominal. */
  readonly rootSumSquareSpareMm: number;
  /** Share of all builds in which some corner clips, by chance within the limits, all values alike likely. */
  readonly clipShare: number;
  /** The same corner by corner. */
  readonly cornerClipShare: Readonly<Record<CornerName, number>>;
  /** What 95 of 100 builds have to spare at least. */
  readonly spareOf95Mm: number;
  readonly trials: number;
  /** Largest first. */
  readonly effects: readonly ToleranceEffect[];
}

/** How far one layer is off. */
interface Offset {
  openingMm: number;
  xMm: number;
  yMm: number;
  placeMm: number;
  thicknessMm: number;
}

type Key = keyof Offset;

const PARTS: readonly (readonly [Key, TolerancePart])[] = [
  ['openingMm', 'opening'],
  ['xMm', 'shift to the side'],
  ['yMm', 'shift up or down'],
  ['placeMm', 'place'],
  ['thicknessMm', 'thickness'],
];

function limitsOf(body: LayerBody): Offset {
  const { openingMm = 0, shiftMm = 0, placeMm = 0, thicknessMm = 0 } = body.layer.tolerance ?? {};
  for (const [path, got] of Object.entries({ openingMm, shiftMm, placeMm, thicknessMm })) {
    if (Number.isFinite(got) && got >= 0) continue;
    throw new InputError('negative', `The tolerance ${path} of ${body.layer.name} must be 0 mm or more, but is ${got}.`, {
      path: `tolerance.${path}`,
      got,
      expected: '≥ 0 mm',
    });
  }
  return { openingMm, xMm: shiftMm, yMm: shiftMm, placeMm, thicknessMm };
}

/** Spare of a section that is off; its outer parts move with thickness, all of it with place. */
function spareOff(front: ReadyFront, body: LayerBody, section: LayerSection, eye: Eye, off: Offset): number {
  const { nearMm, farMm } = body.layer;
  const depth = farMm - nearMm;
  const along = depth === 0 ? 0 : (section.zMm - nearMm) / depth;
  const towards = nearMm + farMm >= 0 ? 1 : -1;
  const zMm = section.zMm + towards * (off.placeMm + along * off.thicknessMm);
  const at: LayerSection = { ...section, zMm };
  const spread = spreadAt(eye, at);
  const lean = zMm / eye.depthMm;
  const { hole } = front;
  let least = Infinity;
  const points = hole.round ? [{ x: 0, y: 0 }] : hole.hull;
  const radius = hole.round ? hole.radiusMm * spread : 0;
  for (const point of points) {
    const x = point.x * spread - eye.xMm * lean - off.xMm;
    const y = point.y * spread - eye.yMm * lean - off.yMm;
    least = Math.min(least, -signedDistanceMm(section.outline, x, y) - radius + off.openingMm / 2);
  }
  return least;
}

interface Tight {
  readonly layerIndex: number;
  readonly corner: CornerName;
  readonly section: LayerSection;
  readonly eye: Eye;
}

const AS_DRAWN: Offset = { openingMm: 0, xMm: 0, yMm: 0, placeMm: 0, thicknessMm: 0 };

/**
 * The three reckonings of a front's tolerances.
 * Valid: limits are independent, each value within its limits as likely as another; corners decide.
 * @param question its layers with tolerances
 * @param chance a generator of numbers from 0 to below 1, seeded by the caller: the core has no chance of its own
 * @param trials 1 to 1 000 000, default 10 000
 * @throws InputError for whatever cannot be right in the question
 * @source front-notes
 */
export function toleranceAnswer(question: FrontQuestion, chance: () => number, trials = 10_000): ToleranceAnswer {
  if (!(Number.isInteger(trials) && trials >= 1 && trials <= 1_000_000)) {
    throw new InputError('out-of-range', `The number of trials must be from 1 to 1000000, but is ${trials}.`, { path: 'trials', got: trials });
  }
  const front = readyFront(question);
  if (front.bodies.length === 0) {
    throw new InputError('missing', 'There is no layer whose tolerance could matter yet.', { path: 'layers' });
  }
  const corners = frameCorners(front.camera.frame);
  const places: Tight[] = front.bodies.flatMap((body, layerIndex) =>
    (Object.keys(corners) as CornerName[]).flatMap((corner) => {
      const eye = filmSight(front.camera, corners[corner]);
      return body.sections.map((section) => ({ layerIndex, corner, section, eye }));
    }),
  );
  const spareAt = (place: Tight, off: Offset): number => spareOff(front, front.bodies[place.layerIndex]!, place.section, place.eye, off);
  const limits = front.bodies.map(limitsOf);

  let nominalSpareMm = Infinity;
  let worstSpareMm = Infinity;
  let rootSumSquareSpareMm = Infinity;
  let tight: Tight = places[0]!;
  let tightRss = Infinity;
  for (const place of places) {
    const nominal = spareAt(place, AS_DRAWN);
    nominalSpareMm = Math.min(nominalSpareMm, nominal);
    worstSpareMm = Math.min(worstSpareMm, worstEnd(place, limits[place.layerIndex]!, spareAt));
    const losses = PARTS.map(([key]) => loss(place, key, limits[place.layerIndex]!, nominal, spareAt));
    const rss = nominal - Math.hypot(...losses);
    if (rss < tightRss) {
      tightRss = rss;
      tight = place;
    }
    rootSumSquareSpareMm = Math.min(rootSumSquareSpareMm, rss);
  }

  const { clips, cornerClips, spares } = builds(places, limits, spareAt, chance, trials);
  spares.sort((a, b) => a - b);
  const nominal = spareAt(tight, AS_DRAWN);
  const effects = PARTS.map(([key, part]) => ({ key, part, effectMm: loss(tight, key, limits[tight.layerIndex]!, nominal, spareAt) }));
  const total = effects.reduce((sum, { effectMm }) => sum + effectMm ** 2, 0);
  return {
    nominalSpareMm,
    worstSpareMm,
    rootSumSquareSpareMm,
    clipShare: clips / trials,
    cornerClipShare: {
      'top-left': cornerClips['top-left'] / trials,
      'top-right': cornerClips['top-right'] / trials,
      'bottom-left': cornerClips['bottom-left'] / trials,
      'bottom-right': cornerClips['bottom-right'] / trials,
    },
    spareOf95Mm: spares[Math.floor(0.05 * trials)]!,
    trials,
    effects: effects
      .map(({ key, part, effectMm }) => ({
        layer: front.bodies[tight.layerIndex]!.layer.name,
        part,
        limitMm: limits[tight.layerIndex]![key],
        effectMm,
        varianceShare: total > 0 ? effectMm ** 2 / total : 0,
      }))
      .filter(({ limitMm }) => limitMm > 0)
      .sort((a, b) => b.effectMm - a.effectMm),
  };
}

type SpareAt = (place: Tight, off: Offset) => number;

function loss(place: Tight, key: Key, limits: Offset, nominal: number, spareAt: SpareAt): number {
  if (limits[key] === 0) return 0;
  const ends = [-1, 1].map((sign) => spareAt(place, { ...AS_DRAWN, [key]: sign * limits[key] }));
  return Math.max(0, nominal - Math.min(...ends));
}

/** All ends of all limits: 32 builds. Spare is concave in the shifts and straight in the rest, so no build between is worse. */
function worstEnd(place: Tight, limits: Offset, spareAt: SpareAt): number {
  let worst = Infinity;
  for (let bits = 0; bits < 2 ** PARTS.length; bits++) {
    const off = { ...AS_DRAWN };
    for (const [i, [key]] of PARTS.entries()) off[key] = (bits >> i) & 1 ? limits[key] : -limits[key];
    worst = Math.min(worst, spareAt(place, off));
  }
  return worst;
}

function builds(places: readonly Tight[], limits: readonly Offset[], spareAt: SpareAt, chance: () => number, trials: number) {
  const cornerClips: Record<CornerName, number> = { 'top-left': 0, 'top-right': 0, 'bottom-left': 0, 'bottom-right': 0 };
  const spares = new Float64Array(trials);
  let clips = 0;
  for (let trial = 0; trial < trials; trial++) {
    const offs = limits.map((limit) => {
      const off = { ...AS_DRAWN };
      for (const [key] of PARTS) off[key] = limit[key] === 0 ? 0 : (2 * chance() - 1) * limit[key];
      return off;
    });
    const byCorner: Record<CornerName, number> = { 'top-left': Infinity, 'top-right': Infinity, 'bottom-left': Infinity, 'bottom-right': Infinity };
    for (const place of places) byCorner[place.corner] = Math.min(byCorner[place.corner], spareAt(place, offs[place.layerIndex]!));
    let least = Infinity;
    for (const corner of Object.keys(byCorner) as CornerName[]) {
      if (byCorner[corner] < 0) cornerClips[corner] += 1;
      least = Math.min(least, byCorner[corner]);
    }
    if (least < 0) clips += 1;
    spares[trial] = least;
  }
  return { clips, cornerClips, spares };
}
