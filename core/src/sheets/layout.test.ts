import fontkit from '@pdf-lib/fontkit';
import * as fc from 'fast-check';
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { PAPERS, SHEET_NAMES, UNCORRECTED, drawnLengths, planOf, printFactors, sheetPages } from '#core/sheets';
import type { BuildChoices, Page, PageSetup, SheetCamera } from '#core/sheets';
import { bareFrame, builds } from '../../../tests/support/sheet-cameras.ts';
import { clashes } from '../../../tests/support/page-ink.ts';
import { fitted, printable, textWidthMm, wrapped } from './letters.ts';

const date = '2026-04-19T12:00:00+02:00';

function allPages(camera: SheetCamera, choices: BuildChoices, setup: PageSetup, lengths: 'mm' | 'in'): readonly Page[] {
  const plan = planOf(camera, choices);
  const head = { camera: camera.name, date: date.slice(0, 10), version: '0.2.0', lengths, printer: null };
  return SHEET_NAMES.flatMap((name) => sheetPages(name, { plan, lengths, date }, setup, head));
}

const marginOf = (setup: PageSetup): number => 10 - 1e-6 * (setup.xFactor + setup.yFactor);

describe('no word outside the margins, over a line or over another word', () => {
  for (const [camera, choices] of builds) {
    for (const [paper, lengths, tiled] of [['a4', 'mm', true], ['letter', 'in', true], ['letter', 'mm', false]] as const) {
      it(`${camera.name}, ${paper}, ${lengths}, ${tiled ? 'for a printer' : 'for a cutter'}: all sheets`, () => {
        const setup = { paper, tiled, ...UNCORRECTED };
        const found = allPages(camera, choices, setup, lengths).flatMap((page) =>
          clashes(page, marginOf(setup)).map((clash) => `${page.title}, ${page.name}: ${clash}`));
        expect(found).toEqual([]);
      });
    }
  }

  it('whatever the camera, the printer and the build', () => {
    const camera = fc.record({
      widthMm: fc.double({ min: 24, max: 260, noNaN: true }),
      heightMm: fc.double({ min: 24, max: 210, noNaN: true }),
      focal: fc.double({ min: 35, max: 320, noNaN: true }),
      rise: fc.double({ min: -12, max: 12, noNaN: true }),
      board: fc.double({ min: 3, max: 20, noNaN: true }),
      hole: fc.double({ min: 0.12, max: 0.9, noNaN: true }),
      joint: fc.constantFrom('butt', 'rebate', 'finger'),
      paper: fc.constantFrom('a4', 'letter'),
      lengths: fc.constantFrom('mm', 'in'),
      x: fc.double({ min: 0.94, max: 1.06, noNaN: true }),
      filmPlane: fc.constantFrom('flat', 'cylinder', 'can'),
    });
    fc.assert(
      fc.property(camera, ({ widthMm: anyWidth, heightMm, focal, rise, board: anyBoard, hole, joint, paper, lengths, x, filmPlane }) => {
        const board = filmPlane === 'can' ? anyBoard / 20 : anyBoard;
        const widthMm = filmPlane === 'flat' ? anyWidth : Math.min(anyWidth, 2.4 * focal);
        // Bent film's ends must stay behind the front board.
        fc.pre(filmPlane !== 'cylinder' || focal * Math.cos(widthMm / 2 / focal) > board);
        const setup = { paper, tiled: true, xFactor: x, yFactor: 2 - x };
        const one = {
          ...bareFrame, frame: { widthMm, heightMm }, focalLengthMm: focal, holeShift: { xMm: 0, yMm: rise }, boardThicknessMm: board,
          plateSeatMm: board, filmPlane, hole: { ...bareFrame.hole, diameterMm: hole },
        };
        const found = allPages(one, { joint }, setup, lengths).flatMap((page) =>
          clashes(page, marginOf(setup)).map((clash) => `${page.title}, ${page.name}: ${clash}`));
        expect(found).toEqual([]);
      }),
      { numRuns: Number(process.env['RUNS'] ?? 10) },
    );
  });
});

describe('every page', () => {
  it('has the paper’s size, four check bars, and says date, camera, version and scale', () => {
    for (const paper of ['a4', 'letter'] as const) {
      const [camera, choices] = builds[0]!;
      for (const page of allPages(camera, choices, { paper, tiled: true, ...UNCORRECTED }, 'mm')) {
        const { widthMm, heightMm } = PAPERS[paper];
        expect([page.widthMm, page.heightMm].sort((a, b) => a - b)).toEqual([widthMm, heightMm].sort((a, b) => a - b));
        const bars = drawnLengths(page).filter(({ name }) => name.startsWith('check bar'));
        expect(bars.map(({ lengthMm }) => Number(lengthMm.toFixed(9)))).toEqual([100, 101.6, 100, 101.6]);
        const texts = page.blocks.flatMap(({ drawing }) => drawing.items.flatMap((item) => (item.kind === 'text' ? [item.text] : []))).join('\n');
        for (const words of ['2026-04-19', camera.name, 'Camerawright 0.2.0', 'Scale ']) expect(texts).toContain(words);
      }
    }
  });

  it('names its lengths once each', () => {
    for (const [camera, choices] of builds) {
      for (const page of allPages(camera, choices, { paper: 'a4', tiled: true, ...UNCORRECTED }, 'mm')) {
        const names = drawnLengths(page).map(({ name }) => name);
        expect(new Set(names).size, `${page.title}: ${names.join('; ')}`).toBe(names.length);
      }
    }
  });
});

describe('the printer’s correction', () => {
  it('undoes what the bars show, also on a page that was corrected already', () => {
    expect(printFactors({ acrossMm: 97, upMm: 98 })).toEqual({ xFactor: 100 / 97, yFactor: 100 / 98 });
    const again = printFactors({ acrossMm: 100.5, upMm: 99.5, printedWith: { xFactor: 1.03, yFactor: 1.02 } });
    expect(again.xFactor).toBeCloseTo(1.03 / 1.005, 12);
    expect(again.yFactor).toBeCloseTo(1.02 / 0.995, 12);
    expect(() => printFactors({ acrossMm: 10, upMm: 98 })).toThrow(/across cannot measure 10 mm/);
    expect(() => printFactors({ acrossMm: 97, upMm: NaN })).toThrow(/up cannot measure/);
  });

  it('moves every drawn length by its axis’ factor', () => {
    const [camera, choices] = builds[1]!;
    const setup = { paper: 'a4', tiled: true, xFactor: 1.03, yFactor: 0.98 } as const;
    for (const page of allPages(camera, choices, setup, 'mm')) {
      for (const { fromMm, toMm, lengthMm } of drawnLengths(page)) {
        expect(Math.hypot((toMm[0] - fromMm[0]) / 1.03, (toMm[1] - fromMm[1]) / 0.98)).toBeCloseTo(lengthMm, 9);
      }
    }
  });
});

describe('letters', () => {
  it('are as wide as the bundled face says (read by another library)', () => {
    for (const [weight, bold] of [['400', false], ['600', true]] as const) {
      const font = fontkit.create(readFileSync(`node_modules/@fontsource/barlow/files/barlow-latin-${weight}-normal.woff`)) as unknown as {
        layout(text: string, features: Record<string, boolean>): { advanceWidth: number };
      };
      for (const text of ['Front board 217 × 172', 'AVAToWaffle', 'Ø 18.93 µm ± 0.5°']) {
        expect(textWidthMm(text, 1000, bold)).toBeCloseTo(font.layout(text, { kern: false, liga: false }).advanceWidth, 6);
      }
    }
  });

  it('wrap within the room, lose nothing, and stand in for what the face lacks', () => {
    fc.assert(
      fc.property(fc.string({ maxLength: 80 }), fc.double({ min: 8, max: 80, noNaN: true }), (text, room) => {
        const lines = wrapped(text, 3.4, room);
        for (const line of lines) expect(textWidthMm(line, 3.4)).toBeLessThanOrEqual(room + 1e-9);
        expect(lines.join('').replaceAll(' ', '')).toBe(printable(text).replaceAll(' ', ''));
        expect(textWidthMm(fitted(text, 3.4, room), 3.4)).toBeLessThanOrEqual(room + 1e-9);
      }),
      { numRuns: 200 },
    );
    expect(printable('⌀ 5 → 6 Ж')).toBe('Ø 5 > 6 ?');
  });
});
