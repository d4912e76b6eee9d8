/** The uncertainty budget of one hole: what may be wrong with its diameter, and by how much. */
import { normalShare } from './normal.ts';
import { lightOfValue, valueOfLight } from './tone.ts';
import type { BudgetLine, Illumination, ScanFacts, ScanScale, ToneCurve } from './scan.ts';

/**
 * Standard uncertainty of the scale as a share of it.
 * Flatbeds were seen 0.6 % off from one side of the glass to the other; half of that is taken for a stated
 * resolution. A ruler of 10 mm read to 0.01 mm, or a scanner calibrated by one, is good for 0.1 %.
 * @source engineering-judgement
 */
export function scaleShare(scale: ScanScale): number {
  if (scale.relativeUncertainty !== undefined) return scale.relativeUncertainty;
  switch (scale.source) {
    case 'ruler':
      return 0.001;
    case 'scanner':
      return 0.0006;
    default:
      return 0.003;
  }
}

/**
 * Where the edge of the brass is against where the light says it is: foil thickness, bevel, lamp. No source;
 * judged, and named as such.
 * @source engineering-judgement
 */
export function edgeTermMm(illumination: Illumination): number {
  return illumination === 'backlit' ? 0.0015 : 0.003;
}

/**
 * Exponents between which an unstated tone curve is thought to lie: linear, when the rim told so, or like most scanners'.
 * @source engineering-judgement
 */
const TONE_DOUBT = { linear: [0.9, 1.1], other: [1.8, 2.6] } as const;

/** Change of the diameter, in blur widths, when a scan made with one tone curve is read with another. */
export function toneShiftInSigmas(tone: ToneCurve, other: ToneCurve, holeLight: number, plateLight: number): number {
  const half = (holeLight + plateLight) / 2;
  const stored = (light: number): number => valueOfLight(tone, Math.min(1, Math.max(0, light)));
  const [h, p, m] = [holeLight, plateLight, half].map((light) => lightOfValue(other, stored(light)));
  const share = (m! - p!) / (h! - p!);
  // Inverse of the normal share by bisection: 40 halvings of ±6 sigma.
  let low = -6;
  let high = 6;
  for (let i = 0; i < 40; i++) {
    const mid = (low + high) / 2;
    if (normalShare(mid) < share) low = mid;
    else high = mid;
  }
  return 2 * ((low + high) / 2);
}

export interface ImageTerms {
  /** mm per unit of the measuring frame. */
  readonly mmPerUnit: number;
  readonly diameterUnits: number;
  /** k = 1, in the diameter, units. */
  readonly noise: number;
  readonly texture: number;
  readonly blur: number;
  readonly sharpening: number;
  /** Sharpening was found and reckoned with. */
  readonly sharpened: boolean;
  readonly saturation: number;
  readonly debris: number;
  readonly sigma: number;
  readonly holeLight: number;
  readonly plateLight: number;
}

export interface Budget {
  readonly lines: readonly BudgetLine[];
  readonly totalMm: number;
  readonly imageMm: number;
}

/** All contributions, largest first, with their root sum of squares. */
export function budgetOf(facts: ScanFacts, terms: ImageTerms): Budget {
  const mm = terms.mmPerUnit;
  const image: BudgetLine[] = [];
  const add = (name: BudgetLine['name'], units: number, reason: string): void => {
    if (units > 0) image.push({ name, standardUncertaintyMm: units * mm, reason });
  };
  add('noise', terms.noise, 'noise of the pixels along the rim, carried through the fit');
  add('texture', terms.texture, 'grain and scratches of the plate beside the rim');
  add('blur', terms.blur, 'shape of the scanner’s blur, estimated from the edge itself');
  add(
    'sharpening',
    terms.sharpening,
    terms.sharpened
      ? 'the scan was sharpened, which was reckoned with but leaves a doubt'
      : 'whether the scan was sharpened cannot be told for certain',
  );
  add('saturation', terms.saturation, 'pixels clipped white or black about the rim');
  add('debris', terms.debris, 'stretches of the rim hidden by debris or scratches');
  if (facts.toneSource === 'estimated') {
    const shift = Math.max(
      ...TONE_DOUBT[facts.tone.kind === 'linear' ? 'linear' : 'other'].map((gamma) =>
        Math.abs(toneShiftInSigmas(facts.tone, { kind: 'gamma', gamma }, terms.holeLight, terms.plateLight)),
      ),
    );
    add('tone', (shift * terms.sigma) / Math.sqrt(3), 'the tone curve is not stated in the file and was assumed');
  }
  const outside: BudgetLine[] = [
    {
      name: 'scale',
      standardUncertaintyMm: scaleShare(facts.scale) * terms.diameterUnits * mm,
      reason: `scale from ${facts.scale.detail}`,
    },
    {
      name: 'edge',
      standardUncertaintyMm: facts.edge?.standardUncertaintyMm ?? edgeTermMm(facts.illumination),
      reason: facts.edge
        ? `set by hand: ${facts.edge.reason}`
        : facts.illumination === 'backlit'
          ? 'where the light says the edge is against where the metal ends; judgement, lit from behind'
          : 'where the light says the edge is against where the metal ends; judgement, lit from the front or not known',
    },
  ];
  const lines = [...image, ...outside].sort((a, b) => b.standardUncertaintyMm - a.standardUncertaintyMm);
  return { lines, totalMm: rootSum(lines), imageMm: rootSum(image) };
}

function rootSum(lines: readonly BudgetLine[]): number {
  return Math.sqrt(lines.reduce((sum, line) => sum + line.standardUncertaintyMm ** 2, 0));
}
