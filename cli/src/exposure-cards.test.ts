import { mkdtemp, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import * as fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { isCamerawrightError } from '#core';
import type { CameraCard, ClassBoard } from '#core';
import { boardCommand, cardCommand } from './exposure-cards.ts';
import { runCommandLine } from './main.ts';
import { readTable } from './tables.ts';

describe('card', () => {
  test('films with their speeds, EV lines, as text, CSV and JSON', () => {
    const answer = cardCommand({ fNumber: '128', film: 'HP5 Plus; FP4 Plus@100', ev: '4..15' });
    const card = answer.json as CameraCard;
    expect(card.lines.length).toBe(12);
    expect(card.columns.map(({ iso }) => iso)).toEqual([400, 100]);
    expect(card.lines[3]?.cells[1]?.meteredS).toBe(4);
    expect(answer.csv?.split('\r\n')[0]).toBe(
      'light,ev100,HP5 Plus s,HP5 Plus from s,HP5 Plus to s,HP5 Plus note,FP4 Plus s,FP4 Plus from s,FP4 Plus to s,FP4 Plus note',
    );
    expect(answer.csv?.split('\r\n').length).toBe(14);
    expect(answer.text).toContain('EV 12');
  });

  test('scenes by words, speeds alone, and what cannot be', () => {
    const card = cardCommand({ fNumber: '200', iso: '100, 400', scenes: 'snow; heavy overcast' }).json as CameraCard;
    expect(card.lines.map(({ ev100Ev }) => ev100Ev)).toEqual([16, 12]);
    expect(() => cardCommand({ fNumber: '200', iso: '100', film: 'HP5 Plus' })).toThrow(/name@speed/);
    expect(() => cardCommand({ fNumber: '200' })).toThrow(/loaded with/);
    expect(() => cardCommand({ fNumber: '200', iso: '100', ev: '4', scenes: 'home' })).toThrow(/scenes or EV/);
    expect(() => cardCommand({ fNumber: '200', iso: '100', ev: '-1e9..1e9' })).toThrow(/60 at most/);
  });
});

describe('board', () => {
  test('a list of places, one of them with a slip: exit code 1, the others stand', async () => {
    const folder = await mkdtemp(join(tmpdir(), 'board-'));
    const list = join(folder, 'class.csv');
    await writeFile(list, 'Name;Camera;Diameter um;Focal mm;Film\nAnna;"tin; tall";300;75;\nBen;box;;;\nCleo;box;350;75;HP5 Plus\n');
    const answer = await boardCommand({ places: list, ev: '14', iso: '4' });
    const board = answer.json as ClassBoard;
    expect(board.lines.map(({ camera }) => camera)).toEqual(['tin; tall', 'box', 'box']);
    // (75/0.3)² / 2^14 · 100/4 = 95.4 s
    expect(board.lines[0]?.cell?.correctedS).toBeCloseTo((250 ** 2 / 2 ** 14) * 25, 9);
    expect(board.lines[2]?.material).toBe('HP5 Plus');
    expect(answer.someFailed).toBe(true);
    expect(answer.notes.join()).toContain('Ben');
    const out: string[] = [];
    const streams = { out: (text: string) => void out.push(text), err: () => undefined };
    expect(await runCommandLine(['exposure', 'board', '--places', list, '--ev', '14', '--iso', '4', '--csv'], streams)).toBe(1);
    expect(out.join('').split('\r\n').length).toBe(5);
  });

  test('the options of a command below do not leak into the one above', async () => {
    const out: string[] = [];
    const streams = { out: (text: string) => void out.push(text), err: () => undefined };
    expect(await runCommandLine(['exposure', 'card', '--f-number', '128', '--iso', '100', '--ev', '12', '--json'], streams)).toBe(0);
    expect((JSON.parse(out.join('')) as CameraCard).lines[0]?.cells[0]?.correctedS).toBe(4);
    expect(await runCommandLine(['exposure', 'nonsense'], streams)).toBe(2);
  });
});

describe('tables that a person wrote', () => {
  test('quotes, marks inside, comments, a byte order mark, any line end', () => {
    const [first, second] = readTable('\uFEFF# my list\r\na,b\r\n"x ""y"", z",2\r"two\nlines",', 'It');
    expect(first?.cells.get('a')).toBe('x "y", z');
    expect(first?.cells.get('b')).toBe('2');
    expect(second?.cells.get('a')).toBe('two\nlines');
    expect(second?.cells.has('b')).toBe(false);
  });

  test('whatever is thrown at it, it answers or says what is wrong', () => {
    fc.assert(
      fc.property(fc.string({ maxLength: 200, unit: fc.constantFrom('a', ',', ';', '"', '\n', '\r', '\t', ' ', '1', '#') }), (text) => {
        try {
          for (const { cells } of readTable(text, 'It')) expect(cells.size).toBeLessThanOrEqual(200);
        } catch (error) {
          expect(isCamerawrightError(error)).toBe(true);
        }
      }),
      { numRuns: 500 },
    );
  });
});

describe('beside the camera', () => {
  const call = async (...args: string[]): Promise<{ code: number; json: Record<string, unknown>; err: string }> => {
    const out: string[] = [];
    const err: string[] = [];
    const code = await runCommandLine(['exposure', ...args, '--json'], { out: (text) => void out.push(text), err: (text) => void err.push(text) });
    return { code, json: out.length === 0 ? {} : (JSON.parse(out.join('')) as Record<string, unknown>), err: err.join('') };
  };

  test('walker, shake, flash, alarm', async () => {
    const passer = await call('walker', '--exposure-s', '60', '--focal-mm', '100', '--frame', '120x95', '--distance', '5 m');
    expect(passer.json['timeInFrameS']).toBeCloseTo(6500 / 1400, 9);
    expect((await call('shake', '--diameter-um', '400', '--focal-mm', '100', '--shaken-s', '1', '--exposure-s', '60')).json['allowedMm']).toBeNull();
    expect((await call('flash', '--threshold-s', '4', '--share', '0.5')).json['flashS']).toBe(2);
    const alarm = await call('alarm', '--exposure-s', '600', '--started', '2026-06-21T19:00:00+02:00', '--count-s', '5');
    expect(alarm.json['closesAt']).toBe('2026-06-21T17:10:05.000Z');
    expect(alarm.json['calendar']).toContain('DTSTART:20260621T171000Z');
    expect((await call('walker', '--exposure-s', '60')).err).toContain('--focal-mm');
    expect((await call('alarm', '--exposure-s', '60', '--started', 'noon')).code).toBe(2);
  });

  test('an EV at another speed, the part of the frame, the colour of the light, the step of the bracket', async () => {
    const hole = ['--f-number', '250', '--film', 'HP5 Plus'];
    const plain = await call(...hole, '--ev', '10');
    expect((await call(...hole, '--ev', '12', '--ev-iso', '400')).json['meteredS']).toBeCloseTo(plain.json['meteredS'] as number, 9);
    const corner = await call(...hole, '--ev', '10', '--frame', '120x90', '--focal-mm', '75', '--part', 'corner');
    expect((corner.json['meteredS'] as number) / (plain.json['meteredS'] as number)).toBeCloseTo(4, 9);
    expect((await call(...hole, '--ev', '10', '--part', 'corner')).err).toContain('--frame WxH --focal-mm F');
    const lamp = await call(...hole, '--ev', '6', '--light-colour', 'incandescent');
    expect((lamp.json['chain'] as { name: string }[]).map(({ name }) => name)).toContain('light colour');
    expect((await call(...hole, '--ev', '6', '--bracket', '1')).json['bracketStops']).toBe(1);
    expect((await call(...hole, '--metered-s', '1', '--metered-f-number', '22', '--meter-reading', 'sideways')).code).toBe(2);
  });
});
