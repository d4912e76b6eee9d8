/** Where a hole is on its plate, in words. */
import type { PassFigures } from '#core';

type Middle = NonNullable<PassFigures['fromMiddle']>;

const WAYS: Readonly<Record<Middle['by'], string>> = {
  edges: 'from the plate’s edges',
  cross: 'from the drawn cross',
  points: 'as you marked it',
};

export function middleWords(by: Middle['by']): string {
  return WAYS[by];
}

/** What to shift so that the hole sits on the axis. */
export function shiftSentence({ xMm, yMm, by, standardUncertaintyMm }: Middle): string {
  const along = (mm: number, plus: string, minus: string): string => `${Math.abs(mm).toFixed(2)} mm ${mm >= 0 ? plus : minus}`;
  const doubt = standardUncertaintyMm === undefined ? '' : `, ± ${Math.max(0.01, 2 * standardUncertaintyMm).toFixed(2)} mm`;
  return (
    `The hole is ${along(xMm, 'right of', 'left of')} and ${along(yMm, 'above', 'below')} the middle, seen from the film side ` +
    `(the middle ${WAYS[by]}${doubt}). Shift the plate by as much the other way.`
  );
}
