/** A scanner’s resolution as makers write it: `4800`, `4800 dpi`, `4800 × 4790`, `189 px/mm`, `5.3 µm`. */
import { InputError, formatNumber } from '#core';

export interface Resolution {
  /** Pixels per inch across and down. */
  readonly x: number;
  readonly y: number;
}

const MM_PER_INCH = 25.4;
const LEAST_DPI = 100;
const MOST_DPI = 200_000;
const EXAMPLE = 'Write it as 4800, as 4800 × 4790 when across and down differ, or as 189 px/mm.';

/** Pixels per inch of a number in a unit. */
function dpiOf(value: number, unit: string): number {
  if (/^(px|pixels?|dots?)(\/|\s*per\s*)mm$/.test(unit)) {
    return value * MM_PER_INCH;
  }
  if (/^(px|pixels?|dots?)(\/|\s*per\s*)cm$/.test(unit)) {
    return (value * MM_PER_INCH) / 10;
  }
  if (/^(µm|um|μm)(\/px)?$/.test(unit)) {
    return (MM_PER_INCH * 1000) / value;
  }
  return value;
}

/** @throws InputError with a sentence for the maker */
export function parseResolution(text: string): Resolution {
  const plain = text.trim().toLowerCase().replace(/(\d),(\d)/g, '$1.$2');
  const found = /^(\d+(?:\.\d+)?)\s*(?:(?:[x×*/]|by)\s*(\d+(?:\.\d+)?))?\s*([a-zµμ/ ]*)$/.exec(plain);
  const unit = found?.[3]?.trim().replace(/\s+/g, ' ') ?? '';
  const known = /^(|dpi|ppi|(px|pixels?|dots?)(\/|\s*per\s*)(mm|cm|in|inch)|(µm|um|μm)(\/px)?)$/.test(unit);
  if (found === null || !known) {
    throw new InputError('not-understood', `“${text.trim()}” is not understood as a resolution. ${EXAMPLE}`, {
      path: 'resolution', got: text, expected: 'pixels per inch or per mm',
    });
  }
  const x = dpiOf(Number(found[1]), unit);
  const y = found[2] === undefined ? x : dpiOf(Number(found[2]), unit);
  for (const dpi of [x, y]) {
    if (!(dpi >= LEAST_DPI && dpi <= MOST_DPI)) {
      throw new InputError(
        'out-of-range',
        `${formatNumber(dpi)} pixels per inch cannot be: a hole needs a scan between ${LEAST_DPI} and ${MOST_DPI}. ` +
          EXAMPLE,
        { path: 'resolution', got: text, expected: `${LEAST_DPI}…${MOST_DPI} dpi` },
      );
    }
  }
  return { x, y };
}

/** `4800 dpi`, `4800 × 4790 dpi`. */
export function resolutionWords(resolution: Resolution): string {
  const show = (dpi: number): string => formatNumber(dpi, { significant: 5 });
  const { x, y } = resolution;
  return Math.abs(x / y - 1) < 1e-4 ? `${show(x)} dpi` : `${show(x)} × ${show(y)} dpi`;
}
