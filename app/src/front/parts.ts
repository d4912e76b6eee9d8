/** What the parts for the bench share: figures in words, and rows or the sentence that says why there are none. */
import { formatAngle, formatNumber, isCamerawrightError } from '#core';

export type Row = readonly [string, string];

export interface Reckoned<T> {
  readonly rows: readonly Row[];
  readonly problem: string | null;
  /** What is drawn beside the rows; `null` where nothing can be. */
  readonly value: T | null;
}

export const mm = (value: number, digits = 2): string => `${formatNumber(value, { digits }).replace('-', '−')} mm`;
export const deg = (angleRad: number): string => formatAngle(angleRad, { digits: 1 });

export function reckoned<T>(make: () => { readonly rows: readonly Row[]; readonly value: T }): Reckoned<T> {
  try {
    return { ...make(), problem: null };
  } catch (error) {
    if (isCamerawrightError(error)) return { rows: [], problem: error.message, value: null };
    throw error;
  }
}

export const rowsOf = (make: () => readonly Row[]): Reckoned<null> => reckoned(() => ({ rows: make(), value: null }));
