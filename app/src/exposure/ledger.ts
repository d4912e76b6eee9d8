/** The chain of an answer as lines of a ledger: each with its effect and the time that stands after it. */
import type { ExposureAnswer, ExposureLink } from '#core';
import { formatNumber, formatTime } from '#core';

export interface LedgerLine {
  readonly link: ExposureLink;
  /** Stops the link adds to the time: `+7.3`; nothing where it changes nothing. */
  readonly effect: string;
  /** What stands after this line, as a time. */
  readonly timeAfter: string;
  /** k = 2, in stops of the time, in words. */
  readonly spread: string;
  /** Share of the largest uncertainty, 0 … 1, for the bar. */
  readonly share: number;
  readonly largest: boolean;
}

const TITLES: Readonly<Record<ExposureLink['name'], string>> = {
  light: 'Light',
  'light colour': 'Light’s colour',
  hole: 'Hole',
  filter: 'Filter',
  falloff: 'Falloff',
  'bare hole': 'Bare hole',
  speed: 'Speed',
  reciprocity: 'Reciprocity',
  hand: 'Hand',
};

export function linkTitle(name: ExposureLink['name']): string {
  return TITLES[name];
}

/** The link within a sentence: `the light`, `reciprocity`. */
export function linkWords(name: ExposureLink['name']): string {
  const title = TITLES[name].toLowerCase();
  return name === 'reciprocity' || name === 'falloff' ? title : `the ${title}`;
}

function effectOf({ stops }: ExposureLink): string {
  const size = Math.abs(stops);
  return size < 0.005 ? '' : `${stops < 0 ? '−' : '+'}${formatNumber(size, { digits: size < 1 ? 2 : 1 })}`;
}

export function ledgerOf(answer: ExposureAnswer): LedgerLine[] {
  const most = Math.max(...answer.chain.map((link) => link.timeStandardUncertaintyStops), 1e-9);
  let stops = 0;
  return answer.chain.map((link) => {
    stops += link.stops;
    const doubt = 2 * link.timeStandardUncertaintyStops;
    return {
      link,
      effect: effectOf(link),
      timeAfter: formatTime(2 ** stops),
      spread: doubt === 0 ? 'exact' : doubt < 0.005 ? 'under 0.01' : `± ${formatNumber(doubt, { digits: 2 })}`,
      share: link.timeStandardUncertaintyStops / most,
      largest: link.name === answer.largestUncertainty,
    };
  });
}
