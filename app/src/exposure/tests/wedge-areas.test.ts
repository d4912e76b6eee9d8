import { describe, expect, it } from 'vitest';
import { areaBetween, areaOf, areaText, densitiesOf, patchArea } from './wedge-areas.ts';

describe('where strips and wedge lie', () => {
  it('is typed in per cent, with a point or a comma, and reads back as written', () => {
    for (const text of ['0, 50, 100, 50', '0,50,100,50', '0 50 100 50', '0; 50; 100; 50', '0 %, 50 %, 100 %, 50 %']) {
      expect(areaOf(text)).toEqual({ left: 0, top: 50, width: 100, height: 50 });
    }
    expect(areaOf('2,5; 10; 40,25; 30')).toEqual({ left: 2.5, top: 10, width: 40.25, height: 30 });
    const drawn = areaBetween({ x: 80, y: -3 }, { x: 12.34, y: 40 });
    expect(areaText(drawn)).toBe('12.3, 0, 67.7, 40');
    expect(areaOf(areaText(drawn)).width).toBeCloseTo(drawn.width, 0);
  });

  it('says what is no rectangle, and what does not lie in the scan', () => {
    expect(() => areaOf('10, 10')).toThrow(/left, top, width and height/);
    expect(() => areaOf('ten, 0, 1, 1')).toThrow(/not a rectangle/);
    expect(() => areaOf('60, 0, 50, 10')).toThrow(/within the scan/);
  });

  it('becomes whole pixels inside the scan, with the patches along its longer side', () => {
    expect(patchArea({ left: 0, top: 50, width: 100, height: 50 }, 5, { widthPx: 201, heightPx: 101 })).toEqual({
      window: { columnPx: 0, rowPx: 51, widthPx: 201, heightPx: 50 }, count: 5, along: 'columns',
    });
    expect(patchArea({ left: 50, top: 0, width: 20, height: 100 }, 5, { widthPx: 100, heightPx: 100 }).along).toBe('rows');
  });
});

describe('the densities of a wedge', () => {
  it('are read as makers write them', () => {
    for (const text of ['0.05, 0.35, 0.65', '0.05 0.35 0.65', '0,05; 0,35; 0,65', '0,05 0,35 0,65', '.05,.35,.65']) {
      expect(densitiesOf(text)).toEqual([0.05, 0.35, 0.65]);
    }
    expect(() => densitiesOf('0.05')).toThrow(/two or more/);
    expect(() => densitiesOf('0.05, dark')).toThrow(/not the densities/);
    expect(() => densitiesOf('0.05, -1')).toThrow(/not the densities/);
  });
});
