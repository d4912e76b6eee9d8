/**
 * What to do next with a plate, in the trade's words. Common practice, no source: how burrs, chips and fibres are
 * dealt with at the bench. Hours are those of the picture as displayed.
 */
import type { PassFigures } from '#core';
import { clockWords } from './sight.ts';
import type { Sight } from './sight.ts';
import { micrometres } from './verdict.ts';
import type { Standing } from './verdict.ts';

export interface Advice {
  /** What is seen: `Burr at 2 o’clock, 9 µm high`. */
  readonly seen: string;
  /** What to do about it. */
  readonly remedy: string;
}

/** More of a kind than this is said in one line. */
const NAMED = 3;
/** Form: longest against shortest width, as a share of the diameter, from where it is worth a word. */
const OVAL_SHARE = 0.04;

/** Where a hole stands to the band, for how boldly it may be worked. */
type Room = 'free' | 'near' | 'reached';

/**
 * `near`: one light turn may carry it past the best, or its uncertainty reaches into the band.
 * Judgement, no source: a light turn of the needle opens a hole by about 20 µm.
 */
const LIGHT_TURN_MM = 0.02;

function roomOf(figures: PassFigures, standing: Standing | null): Room {
  if (standing === null) {
    return 'free';
  }
  const d = figures.outlineDiameterMm;
  const spread = 2 * (figures.outlineStandardUncertaintyMm ?? 0);
  const [lo] = standing.best.bandMm;
  if (d >= lo) {
    return 'reached';
  }
  return d + spread + LIGHT_TURN_MM >= lo ? 'near' : 'free';
}

function largest<T extends { readonly heightMm: number }>(list: readonly T[] | undefined): T[] {
  return [...(list ?? [])].sort((a, b) => b.heightMm - a.heightMm);
}

export function adviceFor(figures: PassFigures, sight: Sight, standing: Standing | null): Advice[] {
  const room = roomOf(figures, standing);
  const advice: Advice[] = [];
  const debris = figures.debris ?? [];
  const fibres = debris.filter(({ kind }) => kind === 'fibre').length;
  const grains = debris.length - fibres;
  if (debris.length > 0) {
    const things = [
      ...(fibres > 0 ? [fibres === 1 ? 'a fibre' : `${fibres} fibres`] : []),
      ...(grains > 0 ? [grains === 1 ? 'a grain' : `${grains} grains`] : []),
    ].join(' and ');
    advice.push({
      seen: `There is ${things} in the hole`,
      remedy: 'Blow it out, or draw a single brush hair through, and scan again. The diameter above leaves it out.',
    });
  }
  const burrs = largest(figures.burrs);
  const turn =
    room === 'reached'
      ? 'The size is reached, and growth cannot be undone: only sand the back flat and clean the rim with a brush hair.'
      : room === 'near'
        ? 'Sand the back flat first. The size is near: at most the lightest turn, then scan; growth cannot be undone.'
        : 'Sand the back flat first, then one light turn, which grows the whole hole.';
  const [first] = burrs;
  if (first !== undefined) {
    const named = burrs
      .slice(0, NAMED)
      .map((burr) => `${clockWords(sight.angle(burr.angleRad))}, ${micrometres(burr.heightMm)}`);
    const more = burrs.length > NAMED ? `, and ${burrs.length - NAMED} smaller` : '';
    advice.push({ seen: `${burrs.length === 1 ? 'Burr' : 'Burrs'} at ${named.join('; ')}${more}`, remedy: turn });
  }
  const chips = largest(figures.chips);
  if (chips.length > 0) {
    const named = chips
      .slice(0, NAMED)
      .map((chip) => `${clockWords(sight.angle(chip.angleRad))}, ${micrometres(chip.heightMm)} deep`);
    advice.push({
      seen: `${chips.length === 1 ? 'Chip' : 'Chips'} at ${named.join('; ')}`,
      remedy:
        room === 'free'
          ? 'It goes when the hole is reamed past it.'
          : 'It stays unless the whole hole grows past it; its area is counted in the diameter.',
    });
  }
  const { feretMaxMm, feretMinMm, feretMaxAngleRad } = figures;
  if (feretMaxMm !== undefined && feretMinMm !== undefined && first === undefined && chips.length === 0) {
    const oval = feretMaxMm - feretMinMm;
    if (oval > OVAL_SHARE * figures.outlineDiameterMm) {
      const towards = feretMaxAngleRad === undefined ? '' : ` towards ${clockWords(sight.angle(feretMaxAngleRad))}`;
      advice.push({
        seen: `Longer by ${micrometres(oval)}${towards}`,
        remedy:
          room === 'reached'
            ? 'The picture is a little softer in that direction; turn the plate in the camera if you want it in another.'
            : 'Hold the needle upright and turn the plate, not the hand, a quarter each time.',
      });
    }
  }
  if (room === 'near' && first === undefined) {
    advice.push({
      seen: 'The band is near',
      remedy: 'Smallest steps from here, and a scan after each: growth cannot be undone.',
    });
  }
  return advice;
}

/** Quiet reminders for the bench. From memory, no source at hand; the alloy’s own sheet has the last word. */
export const BENCH_CAUTIONS: readonly string[] = [
  'Thin brass and steel shim cuts: hold it in tape or card, and wear eye protection.',
  'Sand wet, so that no fine dust flies; never dry-grind beryllium copper.',
  'The safety data sheet of the alloy has the last word.',
];
