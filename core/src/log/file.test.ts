import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { anyWorkshop } from '../../../tests/support/workshop-arbitrary.ts';
import { FormatError, InputError } from '../errors.ts';
import { checkedChange, parseWorkshop, serialiseWorkshop } from './file.ts';
import { emptyWorkshop, thawed } from './workshop.ts';
import type { WorkshopDraft } from './workshop.ts';

const HEAD = { id: '01999c9e-0000-7000-8000-000000000001', name: 'Bench', createdAt: '2026-05-01T10:00:00+02:00' };
const ID = (n: number): string => `01999c9e-0000-7000-8000-${n.toString(16).padStart(12, '0')}`;

/** The text of a workshop with one camera, changed as the test wants. */
function textWith(edit: (document: Record<string, unknown>, camera: Record<string, unknown>) => void): string {
  const camera: Record<string, unknown> = { id: ID(2), name: 'Walnut', mountings: [] };
  const document: Record<string, unknown> = { ...emptyWorkshop(HEAD), cameras: [camera] };
  edit(document, camera);
  return JSON.stringify(document);
}

function refusalOf(text: string): FormatError {
  try {
    parseWorkshop(text);
  } catch (error) {
    if (error instanceof FormatError) return error;
    throw error;
  }
  throw new Error('the text was accepted');
}

describe('the workshop file', () => {
  it('gives back any workshop exactly, unknown fields and every digit', () => {
    fc.assert(
      fc.property(anyWorkshop, (workshop) => {
        const text = serialiseWorkshop(workshop);
        const back = parseWorkshop(text);
        expect(back).toEqual(workshop);
        expect(serialiseWorkshop(back)).toBe(text);
      }),
      { numRuns: 150 },
    );
  });

  it('is the same text for the same workshop, whatever the order of its fields', () => {
    const text = serialiseWorkshop(parseWorkshop(textWith((document) => Object.assign(document, { zeta: 1, alpha: { b: 1, a: 2 } }))));
    const turned = JSON.stringify(Object.fromEntries(Object.entries(JSON.parse(text) as object).reverse()));
    expect(serialiseWorkshop(parseWorkshop(turned))).toBe(text);
    expect(text.indexOf('"alpha"')).toBeLessThan(text.indexOf('"zeta"'));
    expect(text.startsWith('{\n  "format": "camerawright-workshop",\n  "version": 1,\n')).toBe(true);
  });

  it('writes a point on one line and keeps a negative zero', () => {
    const text = textWith((document) => Object.assign(document, { points: [[0.1, -0], [1e-300, 2]] }));
    const written = serialiseWorkshop(parseWorkshop(text.replace('[0.1,0]', '[0.1,-0]')));
    expect(written).toContain('[0.1, -0],\n');
    expect(Object.is((parseWorkshop(written) as unknown as { points: number[][] }).points[0]?.[1], -0)).toBe(true);
  });

  it('allows every field of a camera to be empty', () => {
    expect(parseWorkshop(textWith(() => undefined)).cameras[0]).toEqual({ id: ID(2), name: 'Walnut', mountings: [] });
  });

  it('fills in lists that a hand-written file leaves out', () => {
    const text = textWith((document, camera) => {
      delete document['plates'];
      delete camera['mountings'];
    });
    const workshop = parseWorkshop(text);
    expect(workshop.plates).toEqual([]);
    expect(workshop.cameras[0]?.mountings).toEqual([]);
  });

  it('reads a file with a byte order mark', () => {
    expect(parseWorkshop(`\uFEFF${textWith(() => undefined)}`).name).toBe('Bench');
  });
});

describe('what is refused, and how it is said', () => {
  it('names the field, the camera, what was found and what is allowed', () => {
    const error = refusalOf(textWith((_, camera) => Object.assign(camera, { focalLengthMm: -3 })));
    expect(error.message).toBe(
      'The workshop file cannot be read: cameras[0].focalLengthMm (in “Walnut”) is -3; it must be a number greater than 0.',
    );
    expect(error).toMatchObject({ code: 'out-of-range', path: 'cameras[0].focalLengthMm', got: -3, expected: 'a number greater than 0' });
  });

  it.each<[string, (document: Record<string, unknown>, camera: Record<string, unknown>) => void, RegExp]>([
    ['a number as text', (_, c) => Object.assign(c, { focalLengthMm: 'NaN' }), /focalLengthMm .*is "NaN"; it must be a number/],
    ['an unknown criterion', (_, c) => Object.assign(c, { criterion: 'nice' }), /criterion .*is "nice"; it must be one of "contrast-50"/],
    ['a missing id', (_, c) => delete c['id'], /cameras\[0\]\.id .*is missing; it must be a text/],
    ['an id that is none', (_, c) => Object.assign(c, { id: 'walnut' }), /is "walnut"; it must be an id such as/],
    ['a time without offset', (d) => Object.assign(d, { createdAt: '2026-05-01T10:00:00' }), /createdAt is "2026-05-01T10:00:00"; it must be a time with its offset/],
    ['a list that is none', (d) => Object.assign(d, { plates: {} }), /plates is an object; it must be a list/],
    ['a film plane of a later kind', (_, c) => Object.assign(c, { filmPlane: { kind: 'sphere' } }), /filmPlane\.kind .*is "sphere"; it must be/],
    ['a light of no kind', (d) => Object.assign(d, { exposures: [{ id: ID(9), at: HEAD.createdAt, light: { kind: 'moon' } }] }), /exposures\[0\]\.light\.kind is "moon"/],
    ['a newer version', (d) => Object.assign(d, { version: 2 }), /made by a newer version of this program \(file version 2\)\. Open it there, or update/],
    ['no version', (d) => delete d['version'], /version is null; it must be a whole number/],
    ['a half version', (d) => Object.assign(d, { version: 1.5 }), /version is 1.5; it must be a whole number/],
    ['another format', (d) => Object.assign(d, { format: 'recipe-book' }), /not a workshop file: its format is "recipe-book"/],
    ['a doubled id', (d) => Object.assign(d, { cameras: [1, 2].map(() => ({ id: ID(2), name: 'a' })) }), /cameras\[0\] and cameras\[1\] have the same id/],
    ['a doubled pass', (d) => Object.assign(d, { plates: [{ id: ID(3), name: 'p', passes: [1, 2].map(() => ({ id: ID(4), at: HEAD.createdAt, scan: null })) }] }), /plates\[0\]\.passes\[0\] and plates\[0\]\.passes\[1\] have the same id/],
    ['an endless name', (_, c) => Object.assign(c, { name: 'x'.repeat(301) }), /at most 300 characters/],
  ])('%s', (_name, edit, sentence) => {
    expect(refusalOf(textWith(edit)).message).toMatch(sentence);
  });

  it.each<[string, string, RegExp]>([
    ['nothing', '  \n', /empty/],
    ['half a file', textWith(() => undefined).slice(0, -20), /ends too early/],
    ['a file cut inside a text', textWith(() => undefined).slice(0, 20), /ends too early/],
    ['a missing comma', textWith(() => undefined).replace('","', '" "'), /not valid JSON at line 1, column 35/],
    ['bare NaN', textWith(() => undefined).replace('[]', 'NaN'), /not valid JSON/],
    ['a list', '[]', /holds a list and not a workshop/],
    ['a number', '3', /holds 3 and not/],
    ['a number beyond all bounds', textWith(() => undefined).replace('"name":"Walnut"', '"name":"Walnut","x":[1,1e999]'), /number at cameras\[0\]\.x\[1\] is too large/],
    ['deep nesting', `${'['.repeat(100_000)}${']'.repeat(100_000)}`, /100000 levels deep/],
    ['deep objects', textWith(() => undefined).replace('"mountings":[]', `"mountings":[],"x":${'{"a":'.repeat(40)}1${'}'.repeat(40)}`), /43 levels deep/],
    ['a long field name', textWith((d) => Object.assign(d, { ['k'.repeat(201)]: 1 })), /name of 201 characters/],
    ...['__proto__', 'constructor', 'prototype'].map((key): [string, string, RegExp] => [
      key,
      textWith(() => undefined).replace('"mountings":[]', `"mountings":[],"deep":{"${key}":{"polluted":true}}`),
      new RegExp(`field named “${key}”`),
    ]),
  ])('%s', (_name, text, sentence) => {
    expect(refusalOf(text).message).toMatch(sentence);
    expect(({} as { polluted?: boolean }).polluted).toBeUndefined();
  });

  it('refuses any text with a sentence, and never with anything else', () => {
    const valid = textWith(() => undefined);
    fc.assert(
      fc.property(
        fc.oneof(
          fc.string(),
          fc.json(),
          fc.tuple(fc.nat(valid.length - 1), fc.string({ minLength: 1, maxLength: 2 })).map(([at, put]) => valid.slice(0, at) + put + valid.slice(at + 1)),
        ),
        (text) => {
          try {
            parseWorkshop(text);
          } catch (error) {
            expect(error).toBeInstanceOf(FormatError);
            expect((error as FormatError).message).toMatch(/^[A-Z].*\.$/s);
          }
        },
      ),
      { numRuns: 1000 },
    );
  });

  it('never writes what it would not read', () => {
    const workshop = { ...emptyWorkshop(HEAD), createdAt: 'yesterday' };
    expect(() => serialiseWorkshop(workshop)).toThrow(FormatError);
    expect(() => serialiseWorkshop({ ...emptyWorkshop(HEAD), later: Number.NaN } as never)).toThrow(/cannot hold the number NaN/);
  });
});

describe('a change checked against what was there', () => {
  const before = parseWorkshop(textWith((document) => Object.assign(document, { extra: [1, 2] })));

  it('takes unchanged records as they are and keeps unknown fields', () => {
    const draft: WorkshopDraft = thawed(before);
    const next = { ...before, name: 'New name', plates: [{ id: ID(7), name: 'WB-1', passes: [] }] };
    const checked = checkedChange(next, before);
    expect(checked.cameras).toBe(before.cameras);
    expect(checked).toEqual({ ...draft, name: 'New name', plates: next.plates });
    const more = checkedChange({ ...before, cameras: [...before.cameras, { id: ID(9), name: '', mountings: [] }] }, before);
    expect(more.cameras[0]).toBe(before.cameras[0]);
  });

  it('refuses a bad field with the sentence of its place', () => {
    const next = { ...before, cameras: [...before.cameras, { id: ID(8), name: 'Second', mountings: [], woodThicknessMm: 0 }] };
    expect(() => checkedChange(next, before)).toThrow(InputError);
    expect(() => checkedChange(next, before)).toThrow(/^cameras\[1\]\.woodThicknessMm \(in “Second”\) is 0; it must be a number greater than 0\.$/);
    expect(() => checkedChange({ ...before, cameras: [...before.cameras, ...before.cameras] }, before)).toThrow(/same id/);
    expect(() => checkedChange({ ...before, createdAt: '' }, before)).toThrow(/createdAt is ""/);
  });
});
