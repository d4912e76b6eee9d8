import { copyFile, mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { InputError } from '#core';
import { SHEET_NAMES } from '#core/sheets';
import { memorySaver } from '#io/memory';
import { readWorkshopFile } from '#io/node';
import { runCommandLine } from './main.ts';
import type { SheetsOptions } from './sheets.ts';
import { sheetsCommand } from './sheets.ts';

interface Document {
  files: string[];
  dimensions: { file: string; page: number; name: string; lengthMm: number; fromMm: [number, number]; toMm: [number, number] }[];
  correction: { xFactor: number; yFactor: number };
  pages: { file: string; page: number; title: string; widthMm: number; heightMm: number }[];
  problems: string[];
}

const nothing = () => Promise.resolve();

const base: SheetsOptions = { frame: '127x102', focalMm: '106', out: 'paper', date: '2026-04-19' };

async function ask(which: string, options: SheetsOptions = base) {
  const saver = memorySaver();
  const answer = await sheetsCommand(which, options, null, { now: '2026-05-01T08:00:00+02:00', version: '0.2.0', saverFor: () => saver, keepCorrection: nothing });
  return { answer, document: answer.json as Document, saver };
}

describe('the document for --json', () => {
  test('names the files and every length with its page and both ends', async () => {
    const { document, saver } = await ask('gauge');
    expect(document.files).toEqual(['paper/camera-127-102-mm-f-106-mm-gauge.pdf']);
    expect(saver.files.map(({ fileName }) => fileName)).toEqual(['camera-127-102-mm-f-106-mm-gauge.pdf']);
    expect(new TextDecoder('latin1').decode(saver.files[0]!.bytes.subarray(0, 5))).toBe('%PDF-');
    for (const { file, page, lengthMm, fromMm, toMm } of document.dimensions) {
      expect(document.files).toContain(file);
      expect(page).toBeGreaterThanOrEqual(1);
      expect(Math.hypot(toMm[0] - fromMm[0], toMm[1] - fromMm[1])).toBeCloseTo(lengthMm, 9);
      for (const [x, y] of [fromMm, toMm]) {
        expect(x).toBeGreaterThanOrEqual(10 - 1e-9);
        expect(x).toBeLessThanOrEqual(200 + 1e-9);
        expect(y).toBeGreaterThanOrEqual(10 - 1e-9);
        expect(y).toBeLessThanOrEqual(287 + 1e-9);
      }
    }
    expect(document.dimensions.filter(({ name }) => name.startsWith('check bar')).map(({ lengthMm }) => lengthMm)).toContain(100);
  });

  test('all of it is one PDF with every sheet, on either paper', async () => {
    for (const paper of ['letter']) {
      const { document } = await ask('all', { ...base, paper });
      expect(document.files.length).toBe(1);
      expect(document.problems).toEqual([]);
      expect(new Set(document.pages.map(({ title }) => title)).size).toBeGreaterThan(SHEET_NAMES.length);
      const width = Math.min(...document.pages.map(({ widthMm }) => widthMm));
      expect(width).toBeCloseTo(paper === 'a4' ? 210 : 215.9, 9);
    }
  });

  test('SVG and DXF for the cutter: a file for each page, never stretched', async () => {
    for (const format of ['svg', 'dxf']) {
      const { document, answer } = await ask('shutter', { ...base, format, barMm: '97,98' });
      expect(document.files.every((file) => file.endsWith(`.${format}`))).toBe(true);
      expect(document.correction).toEqual({ xFactor: 1, yFactor: 1 });
      expect(answer.notes.join(' ')).toContain('keep the true numbers');
    }
  });

  test('what the check bars measured stretches the page per axis; the lengths stay those of the thing', async () => {
    const plain = (await ask('plate')).document;
    const { document } = await ask('plate', { ...base, barMm: '97,98' });
    expect(document.correction.xFactor).toBeCloseTo(100 / 97, 12);
    expect(document.correction.yFactor).toBeCloseTo(100 / 98, 12);
    const bar = (from: Document, name: string) => from.dimensions.find((one) => one.name === name)!;
    for (const name of ['check bar 100 mm, across', 'plate blank, side']) {
      expect(bar(document, name).lengthMm).toBeCloseTo(bar(plain, name).lengthMm, 9);
      expect(bar(document, name).toMm[0] - bar(document, name).fromMm[0]).toBeCloseTo(bar(plain, name).lengthMm / 0.97, 9);
    }
  });

  test('the numbers of the call are on the sheet', async () => {
    const { document } = await ask('box', { ...base, wood: '3/4 in', seat: '19.05', holderDepth: '0.197 in', filmThickness: '0.18', joint: 'butt' });
    // inside depth 106 − 5.0038 + 0.18 − 19.05 = 82.1262; seat board 19.05 of it
    const side = document.dimensions.find(({ name }) => /^side.*, width$/.test(name))!;
    expect(side.lengthMm).toBeCloseTo(82.1262 - 19.05, 9);
  });
});

describe('a printer of the workshop', () => {
  test('keeps what its bars measured, goes on from it on the next page, and is used by name', async () => {
    const folder = await mkdtemp(join(tmpdir(), 'sheets-'));
    try {
      const file = join(folder, 'bench.workshop.json');
      await copyFile('demo/demo-workshop.json', file);
      const call = async (...more: string[]): Promise<Document> => {
        let out = '';
        const code = await runCommandLine(
          ['sheets', 'plate', '--workshop', file, '--camera', 'Pear 6×12', '--out', folder, '--json', ...more],
          { out: (text) => (out += text), err: () => undefined },
        );
        expect(code).toBe(0);
        return JSON.parse(out) as Document;
      };
      expect((await call('--printer', 'Hall', '--bar-mm', '97,98')).correction.xFactor).toBeCloseTo(100 / 97, 12);
      expect((await call('--printer', 'hall')).correction.yFactor).toBeCloseTo(100 / 98, 9);
      // That page still came out 0.5 mm long across.
      expect((await call('--printer', 'Hall', '--bar-mm', '100.5,100')).correction.xFactor).toBeCloseTo(100 / 97 / 1.005, 9);
      const { printers } = await readWorkshopFile(file);
      expect(printers.map(({ name, calibrations }) => [name, calibrations.length])).toEqual([['Hall', 2]]);
      expect(printers[0]?.calibrations[0]?.xFactor).toBeCloseTo(0.97, 12);
      let said = '';
      const code = await runCommandLine(
        ['sheets', 'plate', '--workshop', file, '--camera', 'Pear 6×12', '--printer', 'attic'],
        { out: () => undefined, err: (text) => (said += text) },
      );
      expect(code).toBe(2);
      expect(said).toContain('It holds: Hall');
    } finally {
      await rm(folder, { recursive: true });
    }
  });
});

describe('what cannot be right', () => {
  test.each([
    ['poster', {}, /no sheet “poster”/],
    ['gauge', { paper: 'a5' }, /“a5” is none of a4, letter/],
    ['gauge', { format: 'png' }, /“png” is none of pdf, svg, dxf/],
    ['gauge', { barMm: '12,98' }, /cannot measure 12 mm/],
    ['gauge', { barMm: '97' }, /was not understood/],
    ['gauge', { focalMm: '-3' }, /greater than 0/],
    ['gauge', { kerf: '-1' }, /The kerf must be/],
    ['box', { boards: 'two planks' }, /The board “two planks” was not understood/],
    ['box', { joint: 'glue' }, /butt, rebate, finger/],
  ])('%s %o', async (which, options, words) => {
    await expect(ask(which, { ...base, ...options })).rejects.toThrow(words);
    await expect(ask(which, { ...base, ...options })).rejects.toBeInstanceOf(InputError);
  });

  test('no camera, no sheet', async () => {
    await expect(ask('gauge', { out: 'paper' })).rejects.toThrow(/Say which camera/);
    const none = sheetsCommand(undefined, base, null, { now: '2026-05-01T08:00:00Z', version: '0', saverFor: memorySaver, keepCorrection: nothing });
    await expect(none).rejects.toThrow(/gauge, template, .* or all/);
  });
});
