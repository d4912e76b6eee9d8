import { describe, expect, it } from 'vitest';
import { parseResolution, resolutionWords } from './resolution.ts';

describe('resolution', () => {
  it.each([
    ['4800', 4800, 4800],
    ['4800 dpi', 4800, 4800],
    ['4800 x 4790 ppi', 4800, 4790],
    ['4800×4790', 4800, 4790],
    ['4800/4790', 4800, 4790],
    ['188.976 px/mm', 4799.99, 4799.99],
    ['188,976 px per mm', 4799.99, 4799.99],
    ['1890 px/cm', 4800.6, 4800.6],
    ['5.2917 µm', 4799.97, 4799.97],
    ['5.2917 um/px', 4799.97, 4799.97],
  ])('%s', (text, x, y) => {
    const read = parseResolution(text);
    expect(read.x).toBeCloseTo(x, 1);
    expect(read.y).toBeCloseTo(y, 1);
  });

  it.each(['', 'fine', '4800 furlongs', '4800 dpi dpi', '-4800'])('does not understand “%s”', (text) => {
    expect(() => parseResolution(text)).toThrow(/not understood/);
  });

  it('refuses what no hole can be measured with', () => {
    expect(() => parseResolution('72')).toThrow(/72 pixels per inch cannot be/);
    expect(() => parseResolution('1e9')).toThrow(/not understood/);
  });

  it('is written so that it reads back', () => {
    for (const resolution of [{ x: 4800, y: 4800 }, { x: 4800, y: 4790 }, { x: 4799.9, y: 4799.9 }]) {
      expect(parseResolution(resolutionWords(resolution))).toEqual(resolution);
    }
  });
});
