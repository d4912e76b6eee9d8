/** Exposures as a table and back, and records taken from another workshop file. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { FormatError } from '../errors.ts';
import { exposuresCsv, exposuresFromCsv } from './exposure-csv.ts';
import { checkedWorkshop } from './file.ts';
import { mergeWorkshop } from './merge.ts';
import { emptyWorkshop, thawed } from './workshop.ts';
import type { ExposureRecord, Workshop, WorkshopDraft } from './workshop.ts';
import { anyWorkshop } from '../../../tests/support/workshop-arbitrary.ts';

const ID = (n: number): string => `01999c9e-0000-7000-8000-${n.toString(16).padStart(12, '0')}`;
const AT = '2026-05-01T10:00:00+02:00';
const bench: Workshop = {
  ...emptyWorkshop({ id: ID(1), name: 'Bench', createdAt: AT }),
  cameras: [{ id: ID(2), name: 'Walnut, small', mountings: [] }],
  plates: [{ id: ID(3), name: 'WB-1', passes: [{ id: ID(4), at: AT, scan: null }] }],
};
let made = 1000;
const options = { newId: () => ID(made++), offset: '+02:00' };
const read = (text: string, workshop = bench) => exposuresFromCsv(text, workshop, options);

describe('exposures as a table', () => {
  it('comes back as it was, with every digit and every kind of text', () => {
    const word = fc.string({ minLength: 1, maxLength: 12, unit: 'grapheme' }).filter((text) => text === text.trim() && !text.includes('\uFEFF'));
    const positive = fc.double({ min: 1e-9, max: 1e6, noNaN: true });
    const exposure = fc.record(
      {
        at: fc.date({ min: new Date('1970-01-01'), max: new Date('2100-01-01'), noInvalidDate: true }).map((date) => date.toISOString()),
        cameraId: fc.constant(ID(2)),
        plateId: fc.constant(ID(3)),
        filmName: word,
        exposureIndex: positive,
        fNumber: positive,
        filterFactor: positive.map((x) => x + 1),
        light: fc.double({ min: -50, max: 50, noNaN: true }).map((ev100Ev) => ({ kind: 'ev' as const, ev100Ev: ev100Ev + 0 })),
        planned: positive.map((correctedS) => ({ correctedS })),
        given: positive.map((timeS) => ({ timeS })),
        sheet: word,
        weather: word,
        place: word,
        notes: word,
      },
      { requiredKeys: ['at'], noNullPrototype: true },
    );
    fc.assert(
      fc.property(fc.array(exposure, { maxLength: 6 }), (list) => {
        const exposures = list.map((each, i) => ({ id: ID(100 + i), ...each })) as ExposureRecord[];
        const back = read(exposuresCsv({ ...bench, exposures }));
        expect(back.problems).toEqual([]);
        const byId = (a: ExposureRecord, b: ExposureRecord): number => a.id.localeCompare(b.id);
        expect([...back.exposures].sort(byId)).toEqual(exposures.sort(byId));
      }),
      { numRuns: 150 },
    );
  });

  it('hands no formula to a spreadsheet', () => {
    const text = exposuresCsv({ ...bench, exposures: [{ id: ID(9), at: AT, notes: '=HYPERLINK("x")', place: '-1' }] });
    expect(text).toContain(`'=HYPERLINK(""x"")`);
    expect(text).not.toMatch(/(^|,)[=+@-]/m);
  });

  it('takes a table made by hand: other order, semicolons, decimal commas, dates without offset', () => {
    const { exposures, problems } = read('Place;at;givenS;camera;plate\r\nquay;2026-05-01 14:30;2,5;walnut, SMALL;\n;2026-05-02;;;wb-1\n\n');
    expect(problems).toEqual([]);
    expect(exposures).toEqual([
      { id: expect.any(String) as string, at: '2026-05-01T14:30:00+02:00', cameraId: ID(2), given: { timeS: 2.5 }, place: 'quay' },
      { id: expect.any(String) as string, at: '2026-05-02T12:00:00+02:00', plateId: ID(3) },
    ]);
  });

  it('leaves out what is here already, and says line by line what cannot be taken', () => {
    const here = { ...bench, exposures: [{ id: ID(9), at: AT }] };
    const { exposures, known, problems } = read(`id,at,camera,fNumber,verdict\n${ID(9)},${AT},,,\n,yesterday,,,\n,2026-05-01,Oak,,\n,2026-05-01,,-3,\n,2026-05-01,,x,\n,2026-05-01,,,nice\n`, here);
    expect([exposures, known]).toEqual([[], [ID(9)]]);
    expect(problems).toEqual([
      'Line 3: “yesterday” is no date. Write it like 2026-05-01 14:30.',
      'Line 4: there is no camera named “Oak” in this workshop.',
      'Line 5: fNumber “-3” is not greater than 0.',
      'Line 6: fNumber “x” is no number.',
      'Line 7: verdict “nice” is none of too light, right, too dark, lost.',
    ]);
  });

  it('refuses what is none with a sentence, and never with anything else', () => {
    expect(() => read('a,b\n1,2\n')).toThrow(/no table of exposures: its first line must name the columns/);
    expect(() => read('at,notes\n2026-05-01,"open')).toThrow(/ends inside quotation marks/);
    fc.assert(
      fc.property(fc.string({ unit: fc.constantFrom('a', 't', ',', '"', '\n', ';', '2', '-', '0'), maxLength: 60 }), (text) => {
        try {
          const { exposures } = read(`at,notes\n${text}`);
          checkedWorkshop({ ...bench, exposures });
        } catch (error) {
          expect(error).toBeInstanceOf(FormatError);
        }
      }),
      { numRuns: 300 },
    );
  });
});

describe('taking another workshop in', () => {
  it('adds what is new and writes over nothing', () => {
    const draft = thawed(bench);
    const other: Workshop = {
      ...bench,
      id: ID(50),
      cameras: [{ id: ID(2), name: 'Renamed elsewhere', mountings: [{ id: ID(7), plateId: ID(3), mountedAt: AT }] }, { id: ID(51), name: 'Oak', mountings: [] }],
      plates: [{ id: ID(3), name: 'WB-1', passes: [{ id: ID(4), at: AT, scan: null, work: 'other' }, { id: ID(5), at: AT, scan: null }] }],
    };
    expect(mergeWorkshop(draft, other)).toEqual({ added: ['Walnut, small', 'Oak', 'WB-1'], kept: ['Walnut, small'] });
    expect(draft.cameras.map(({ name }) => name)).toEqual(['Walnut, small', 'Oak']);
    expect(draft.cameras[0]?.mountings).toHaveLength(1);
    expect(draft.plates[0]?.passes).toEqual([{ id: ID(4), at: AT, scan: null }, { id: ID(5), at: AT, scan: null }]);
    expect(mergeWorkshop(draft, other).added).toEqual([]);
  });

  it('does not bring back what was put away here', () => {
    const draft: WorkshopDraft = thawed({ ...bench, cameras: [], trash: [{ id: ID(60), list: 'cameras', trashedAt: AT, record: { id: ID(2) } }] });
    mergeWorkshop(draft, bench);
    expect(draft.cameras).toEqual([]);
  });

  it('of any workshop into an empty one gives all its records, and twice is once', () => {
    fc.assert(
      fc.property(anyWorkshop, (other) => {
        const draft = thawed(emptyWorkshop({ id: ID(1), name: '', createdAt: AT }));
        mergeWorkshop(draft, other);
        for (const list of ['cameras', 'plates', 'films', 'exposures', 'scanners', 'printers', 'filmHolders', 'filmSheets'] as const) expect(draft[list]).toEqual(other[list]);
        expect(mergeWorkshop(draft, other)).toEqual({ added: [], kept: [] });
      }),
      { numRuns: 60 },
    );
  });
});
