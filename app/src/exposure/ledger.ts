/** The chain of an answer as lines of a ledger: each with its effect and the time that stands after it. */
import type { ExposureAnswer, ExposureLink } from '#core';
import { formatNumber, formatTime } from '#core';

export interface LedgerLine {
  readonly link: ExposureLink;
  /** `×6.3`, `÷4`, or nothing where the link changes nothing. */
  readonly effect: string;
  /** What stands after this line, as a time. */
  readonly timeAfter: string;
  /** k = 2, in stops of the time; empty where the link is taken as exact. */
  readonly spread: string;
  /** Share of the largest uncertainty, 0 … 1, for the bar. */
  readonly share: number;
  readonly largest: boolean;
}

const TITLES: Readonly<Record<ExposureLink['name'], string>> = {
  light: 'Light',
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

function effectOf({ name, factor }: ExposureLink): string {
  if (name === 'light' || Math.abs(Math.log2(factor)) < 0.005) {
    return '';
  }
  return factor >= 1
    ? `× ${formatNumber(factor, { significant: 3 })}`
    : `÷ ${formatNumber(1 / factor, { significant: 3 })}`;
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
      spread: doubt < 0.005 ? '' : `± ${formatNumber(doubt, { digits: 2 })}`,
      share: link.timeStandardUncertaintyStops / most,
      largest: link.name === answer.largestUncertainty,
    };
  });
}
