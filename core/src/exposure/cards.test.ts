import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { CARD_SCENES, FILMS, InputError, cameraCard, cellWords, classBoard, exposureTime, findFilm } from '#core';

const hp5 = findFilm('HP5 Plus');
const paper = findFilm('Ilford Multigrade RC (deluxe), no filter and grades 00-3.5');

describe('the table on the back of a camera', () => {
  test('every cell is what the chain says for that light and film', () => {
    const card = cameraCard({ fNumber: 250, materials: [{ film: hp5 }, { film: paper }], filterFactor: 2 });
    expect(card.lines.map(({ words }) => words).length).toBe(CARD_SCENES.length);
    for (const line of card.lines) {
      for (const [i, film] of [hp5, paper].entries()) {
        const answer = exposureTime({ fNumber: 250, film, filterFactor: 2, light: { kind: 'ev', ev100Ev: line.ev100Ev } });
        expect(line.cells[i]?.correctedS).toBeCloseTo(answer.correctedS, 9);
      }
    }
    expect(card.columns.map(({ title }) => title)).toEqual([hp5.name, paper.name]);
    expect(card.columns[1]?.iso).toBeCloseTo(Math.sqrt(18), 12);
    expect(card.notes).toContain('With a filter of factor 2.');
  });

  // t = N²/2^EV · 100/S: at f/128 on ISO 100, EV 12 is 4 s and each EV less doubles it (ISO 2720 relation)
  test('by speed alone the lines double', () => {
    const card = cameraCard({ fNumber: 128, materials: [{ film: null, exposureIndex: 100 }], lines: [12, 11, 10, 9] });
    expect(card.lines.map(({ cells }) => cells[0]?.correctedS)).toEqual([4, 8, 16, 32]);
    expect(card.lines.map(({ words }) => words)).toEqual(['EV 12', 'EV 11', 'EV 10', 'EV 9']);
    expect(card.columns[0]?.title).toBe('ISO 100');
  });

  test('what is a guess, has no figure or is too short for a hand says so', () => {
    const tmax = findFilm('T-MAX 100');
    const card = cameraCard({ fNumber: 250, materials: [{ film: tmax }, { film: paper }], lines: ['bright-sun', 2] });
    expect(card.lines[0]?.cells[0]?.marks).toEqual([]);
    expect(card.lines[1]?.cells[0]?.marks).toEqual(['extrapolated']);
    expect(card.lines[1]?.cells[1]?.marks).toEqual(['no figure']);
    expect(cellWords(card.lines[1]?.cells[0] as never)).toMatch(/\*$/);
    expect(card.notes.filter((note) => /^[*†‡] /.test(note)).length).toBe(2);
    const short = cameraCard({ fNumber: 100, materials: [{ film: hp5 }], lines: ['bright-sun'] });
    expect(short.lines[0]?.cells[0]?.marks).toEqual(['too short']);
    const own = cameraCard({ fNumber: 100, materials: [{ film: hp5 }], lines: ['bright-sun'], handReactionS: 0 });
    expect(own.lines[0]?.cells[0]?.marks).toEqual([]);
  });

  test('less light never means less time, on any film', () => {
    fc.assert(
      fc.property(fc.constantFrom(...FILMS), fc.double({ min: 60, max: 500, noNaN: true }), (film, fNumber) => {
        const material = { film, ...(film.iso === null ? { exposureIndex: 50 } : {}) };
        const card = cameraCard({ fNumber, materials: [material], lines: [16, 13, 10, 7, 4, 1, -2] });
        const times = card.lines.map(({ cells }) => cells[0]?.correctedS ?? NaN);
        times.forEach((time, i) => expect(time).toBeGreaterThan(times[i - 1] ?? 0));
      }),
      { numRuns: 40 },
    );
  });

  test('a card of no film, of nine, or of an unknown scene', () => {
    expect(() => cameraCard({ fNumber: 250, materials: [] })).toThrow(/1 to 8 films/);
    expect(() => cameraCard({ fNumber: 250, materials: Array(9).fill({ film: hp5 }) })).toThrow(InputError);
    expect(() => cameraCard({ fNumber: 250, materials: [{ film: hp5 }], lines: ['noon on Mars'] })).toThrow(/no scene/);
  });
});

describe('the board of a class', () => {
  const light = { kind: 'ev', ev100Ev: 12 } as const;

  test('twenty cameras in one light; f-numbers from f over d', () => {
    const places = Array.from({ length: 20 }, (_, i) => ({ name: `Table ${i + 1}`, diameterMm: 0.3 + 0.01 * i, focalLengthMm: 75 }));
    const board = classBoard({ light, material: { film: paper }, places });
    expect(board.lines.length).toBe(20);
    board.lines.forEach((line, i) => {
      const fNumber = 75 / (0.3 + 0.01 * i);
      expect(line.fNumber).toBeCloseTo(fNumber, 9);
      expect(line.cell?.correctedS).toBeCloseTo(exposureTime({ fNumber, film: paper, light }).correctedS, 9);
    });
    expect(board.light).toBe('EV 12 at ISO 100');
  });

  test('a change of the weather changes every line; a slip stands on its own', () => {
    const places = [
      { name: 'A', fNumber: 200 },
      { name: 'B', camera: 'tin' },
      { name: 'C', fNumber: 180, material: { film: hp5 } },
      { name: 'D', fNumber: -3 },
    ];
    const at = (ev100Ev: number) => classBoard({ light: { kind: 'ev', ev100Ev }, material: { film: paper }, places });
    const [bright, dull] = [at(15), at(12)];
    expect(bright.lines.map(({ error }) => error !== null)).toEqual([false, true, false, true]);
    expect(bright.lines[1]?.error).toContain('neither an f-number nor a measured hole');
    expect(dull.lines[0]?.cell?.meteredS).toBeCloseTo(8 * (bright.lines[0]?.cell?.meteredS ?? NaN), 9);
    expect(bright.lines[2]?.material).toBe('HP5 Plus');
  });

  test('a light that cannot be is said once', () => {
    expect(() => classBoard({ light: { kind: 'ev', ev100Ev: 99 }, material: { film: paper }, places: [{ name: 'A', fNumber: 200 }] })).toThrow(InputError);
    expect(() => classBoard({ light, material: { film: paper }, places: [] })).toThrow(/1 to 100 places/);
  });
});
