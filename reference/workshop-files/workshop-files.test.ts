import { readFileSync, readdirSync } from 'node:fs';
import Ajv2020 from 'ajv/dist/2020.js';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { latestMeasuredPass, mountedPlate, numbersOf } from '#core';
import { parseWorkshop, serialiseWorkshop, workshopJsonSchema } from '#core/schema';
import { anyWorkshop } from '../../tests/support/workshop-arbitrary.ts';

const read = (name: string): string => readFileSync(new URL(name, import.meta.url), 'utf8');
const files = readdirSync(new URL('.', import.meta.url)).filter((name) => name.endsWith('.json'));

/** Whether `whole` has everything that `part` has, with the same values. */
function holds(whole: unknown, part: unknown): boolean {
  if (typeof part !== 'object' || part === null) return Object.is(whole, part);
  if (typeof whole !== 'object' || whole === null) return false;
  return Object.entries(part).every(([key, value]) => holds((whole as Record<string, unknown>)[key], value));
}

describe('files of every released version', () => {
  it('are all here', () => {
    expect(files).toEqual(['v1-bench.json', 'v1-by-hand.json']);
  });

  it.each(files)('%s opens, is written and opens again, and loses nothing', (name) => {
    const text = read(name);
    const workshop = parseWorkshop(text);
    expect(parseWorkshop(serialiseWorkshop(workshop))).toEqual(workshop);
    expect(holds(workshop, JSON.parse(text.replace(/^\uFEFF/, '')))).toBe(true);
  });

  it('v1-bench.json comes back to the byte', () => {
    expect(serialiseWorkshop(parseWorkshop(read('v1-bench.json')))).toBe(read('v1-bench.json'));
  });

  it('v1-bench.json means what it meant', () => {
    const workshop = parseWorkshop(read('v1-bench.json'));
    const [box, unnamed] = workshop.cameras;
    if (box === undefined || unnamed === undefined) throw new Error('two cameras are missing');
    expect(box.focalLengthMm).toBe(106.3625);
    expect(box.typed?.['focalLengthMm']).toBe('4 3/16"');
    expect(mountedPlate(box, workshop)).toBeNull();
    expect(mountedPlate(unnamed, workshop)?.name).toBe('A');
    expect(numbersOf({ ...unnamed, focalLengthMm: 106 }, workshop)).toMatchObject({ diameterMm: 0.43, standardUncertaintyMm: 0.0031 });
    const [plate] = workshop.plates;
    expect(plate === undefined ? null : latestMeasuredPass(plate)?.outlineMm?.[0]).toEqual([0.219, 0]);
    expect(workshop).toMatchObject({ tiny: 5e-324, third: 1 / 3, matrix: [[1, 2], [3, 4]], nothing: null });
  });

  it('v1-by-hand.json gets the lists that its writer left out', () => {
    expect(parseWorkshop(read('v1-by-hand.json'))).toMatchObject({
      cameras: [{ name: 'Tin', focalLengthMm: 60, frame: { heightMm: 90 }, mountings: [] }],
      plates: [{ passes: [] }],
      exposures: [],
    });
  });
});

describe('the published JSON Schema, read by an independent validator', () => {
  const validate = new Ajv2020({ strict: false, validateFormats: false, allErrors: false }).compile(workshopJsonSchema());

  it('accepts every file here and any workshop', () => {
    for (const name of files) expect(validate(JSON.parse(read(name).replace(/^\uFEFF/, ''))), name).toBe(true);
    fc.assert(fc.property(anyWorkshop, (workshop) => validate(JSON.parse(serialiseWorkshop(workshop)))), { numRuns: 50 });
  });

  it.each<[string, (document: Record<string, unknown>) => void]>([
    ['another version', (document) => Object.assign(document, { version: 2 })],
    ['a missing name', (document) => delete document['name']],
    ['a time without offset', (document) => Object.assign(document, { createdAt: '2026-06-01T08:30:00' })],
    ['a focal length of nothing', (document) => Object.assign((document['cameras'] as object[])[0] ?? {}, { focalLengthMm: 0 })],
    ['an unknown criterion', (document) => Object.assign((document['cameras'] as object[])[0] ?? {}, { criterion: 'best' })],
    ['an outline of two points', (document) => Object.assign(document, { plates: [{ id: document['id'], name: '', passes: [{ id: document['id'], at: document['createdAt'], scan: null, outlineMm: [[0, 0], [1, 1]] }] }] })],
  ])('refuses what the program refuses: %s', (_name, spoil) => {
    const document = JSON.parse(read('v1-bench.json')) as Record<string, unknown>;
    spoil(document);
    expect(validate(document)).toBe(false);
    expect(() => parseWorkshop(JSON.stringify(document))).toThrow();
  });
});
