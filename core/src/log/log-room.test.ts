/** Holders, sheets, lines of the log, entry in the field, and what does not hang together. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { exposureLines, filterExposures } from './exposure-lines.ts';
import { exposureWith, giveAsPlanned, giveExposure, judgeExposure } from './exposure-entry.ts';
import { sheetFacts, sheetsInHolder } from './film-sheets.ts';
import { holderDepth } from './holder-depth.ts';
import { moveToTrash, trashedName } from './trash.ts';
import { workshopFindings } from './workshop-checks.ts';
import { emptyWorkshop, thawed } from './workshop.ts';
import type { ExposureRecord, HolderRecord, Workshop } from './workshop.ts';

const ID = (n: number): string => `01999c9e-0000-7000-8000-${n.toString(16).padStart(12, '0')}`;
const AT = '2026-05-01T10:00:00+02:00';
const bench: Workshop = {
  ...emptyWorkshop({ id: ID(1), name: 'Bench', createdAt: AT }),
  cameras: [{ id: ID(2), name: 'Walnut', focalLengthMm: 135, filmName: 'HP5 Plus', mountings: [{ id: ID(20), plateId: ID(3), mountedAt: AT }] }],
  plates: [{ id: ID(3), name: 'WB-1', passes: [{ id: ID(5), at: AT, scan: null, figures: { outlineDiameterMm: 0.45, outlineStandardUncertaintyMm: 0.0045 } }] }],
  filmHolders: [{ id: ID(30), name: '7', depths: [] }],
  filmSheets: [{ id: ID(6), number: '12', loaded: { at: AT, holderId: ID(30), side: 'A' } }],
  exposures: [{ id: ID(10), at: AT, cameraId: ID(2), plateId: ID(3), passId: ID(5), sheetId: ID(6), planned: { correctedS: 4 } }],
};

describe('the depth of a holder', () => {
  const holder = (...readings: readonly (readonly number[])[]): HolderRecord => ({
    id: ID(30),
    name: '7',
    depths: readings.map((depths, i) => ({ id: ID(40 + i), at: AT, side: 'AB'[i], gaugeStepMm: 0.01, readings: depths.map((depthMm) => ({ depthMm })) })),
  });

  it('is the mean of the readings, with the doubt of JCGM 100: s/√n (4.2.3) and step/√12 (4.3.7)', () => {
    const depth = holderDepth(holder([4.98, 5.0, 5.02, 5.04]));
    expect(depth?.depthMm).toBeCloseTo(5.01, 12);
    // s² = (9 + 1 + 1 + 9)·10⁻⁴ / 3 by hand
    expect(depth?.standardUncertaintyMm).toBeCloseTo(Math.hypot(Math.sqrt(20e-4 / 3) / 2, 0.01 / Math.sqrt(12)), 12);
    expect(depth?.spreadMm).toBeCloseTo(0.06, 12);
  });

  it('takes the last measurement of each side, and doubts a single reading', () => {
    expect(holderDepth(holder([5.0], [5.1]))).toMatchObject({ depthMm: expect.closeTo(5.05, 12) as number, count: 2 });
    expect(holderDepth(holder([5.0]))?.standardUncertaintyMm).toBeCloseTo(Math.hypot(0.01 / Math.sqrt(12), 0.005), 12);
    expect(holderDepth(holder())).toBeNull();
  });
});

describe('what was put away', () => {
  it('goes by the name a maker knows it by, also where the record has none', () => {
    const draft = thawed(bench);
    const away = (list: 'cameras' | 'filmHolders' | 'filmSheets' | 'exposures', id: string): void =>
      moveToTrash(draft, list, id, { id: ID(40 + draft.trash.length), trashedAt: AT });
    away('cameras', ID(2));
    away('filmHolders', ID(30));
    away('filmSheets', ID(6));
    away('exposures', ID(10));
    expect(draft.trash.map(trashedName)).toEqual(['Walnut', 'Holder 7', 'Sheet 12', 'Exposure of 2026-05-01']);
  });
});

describe('a sheet on its way', () => {
  const facts = (workshop: Workshop) => sheetFacts(workshop.filmSheets[0] ?? { id: '', number: '' }, workshop);

  it('is loaded, exposed, developed, by what is written', () => {
    expect(facts(bench)).toMatchObject({ state: 'loaded', sentence: 'Sheet 12 is loaded in holder 7, side A and not exposed.' });
    expect(sheetsInHolder(ID(30), bench)).toHaveLength(1);
    const draft = thawed(bench);
    giveAsPlanned(draft, ID(10), AT);
    expect(facts(draft as Workshop)).toMatchObject({ state: 'exposed', sentence: 'Sheet 12 in holder 7, side A is exposed: do not use it again, develop it.' });
    for (const sheet of draft.filmSheets) sheet.developed = { at: AT };
    expect(facts(draft as Workshop).state).toBe('developed');
    expect(sheetsInHolder(ID(30), draft as Workshop)).toEqual([]);
    for (const sheet of draft.filmSheets) delete sheet.loaded;
    for (const sheet of draft.filmSheets) delete sheet.developed;
    draft.exposures = [];
    expect(facts(draft as Workshop).state).toBe('blank');
  });

  it('that is exposed twice says so', () => {
    const twice: Workshop = { ...bench, exposures: [1, 2].map((n) => ({ id: ID(n), at: AT, sheetId: ID(6), given: { timeS: 4 } })) };
    expect(facts(twice).sentence).toMatch(/It was exposed 2 times\.$/);
    expect(workshopFindings(twice).map(({ sentence }) => sentence)).toEqual(['Sheet 12 was exposed 2 times.']);
  });
});

describe('an exposure', () => {
  it('begins with the camera as it is: plate, hole, film', () => {
    const [camera] = bench.cameras;
    if (camera === undefined) throw new Error('no camera');
    expect(exposureWith(camera, bench, { id: ID(11), at: AT })).toEqual({
      id: ID(11), at: AT, cameraId: ID(2), plateId: ID(3), passId: ID(5), filmName: 'HP5 Plus', fNumber: 300, fNumberStandardUncertainty: expect.closeTo(3, 12) as number,
    });
  });

  it('is given as planned once, and what was planned stays', () => {
    const draft = thawed(bench);
    giveAsPlanned(draft, ID(10), AT);
    expect(draft.exposures[0]).toMatchObject({ planned: { correctedS: 4 }, given: { timeS: 4, endedAt: AT } });
    expect(() => giveAsPlanned(draft, ID(10), AT)).toThrow(/given already/);
    judgeExposure(draft, ID(10), { verdict: 'right', densityReadings: [{ density: 1.1, subject: 'sky' }] });
    judgeExposure(draft, ID(10), { notes: 'fine' });
    expect(draft.exposures[0]?.result).toEqual({ verdict: 'right', densityReadings: [{ density: 1.1, subject: 'sky' }], notes: 'fine' });
  });

  it('without a plan needs its time said, and one that is gone says so', () => {
    const draft = thawed<Workshop>({ ...bench, exposures: [{ id: ID(10), at: AT }] });
    expect(() => giveAsPlanned(draft, ID(10), AT)).toThrow(/say how long/);
    giveExposure(draft, ID(10), { timeS: 7, at: AT });
    expect(draft.exposures[0]?.given?.timeS).toBe(7);
    expect(() => giveExposure(draft, ID(77), { timeS: 7, at: AT })).toThrow(/not in the workshop any more/);
  });
});

describe('the lines of the log', () => {
  const many: Workshop = {
    ...bench,
    exposures: [
      { id: ID(10), at: '2026-05-01T10:00:00+02:00', cameraId: ID(2), place: 'Île d’Orléans', planned: { correctedS: 4 } },
      { id: ID(11), at: '2026-05-03T10:00:00+02:00', cameraId: ID(2), filmName: 'FP4 Plus', given: { timeS: 9 } },
      { id: ID(12), at: '2026-05-02T23:00:00-03:00', weather: 'fog', given: { timeS: 4 }, result: { verdict: 'too dark' } },
    ],
  };

  it('stand newest first by the instant, not by the text', () => {
    expect(exposureLines(many).map(({ record, stage }) => [record.id, stage])).toEqual([[ID(11), 'given'], [ID(12), 'judged'], [ID(10), 'planned']]);
    const clockBack = { ...many, exposures: [ID(1), ID(2)].map((id) => ({ id, at: AT })) };
    expect(exposureLines(clockBack).map(({ record }) => record.id)).toEqual([ID(2), ID(1)]);
  });

  it('are found by words anywhere, with or without accents, and by what they share', () => {
    const lines = exposureLines(many);
    const found = (filter: Parameters<typeof filterExposures>[1]): string[] => filterExposures(lines, filter).map(({ record }) => record.id);
    expect(found({ text: 'ile walnut' })).toEqual([ID(10)]);
    expect(found({ text: 'too DARK fog' })).toEqual([ID(12)]);
    expect(found({ film: 'fp4 plus' })).toEqual([ID(11)]);
    expect(found({ cameraId: ID(2), stage: 'planned' })).toEqual([ID(10)]);
    expect(found({ fromDay: '2026-05-02', toDay: '2026-05-02' })).toEqual([ID(12)]);
    expect(found({ verdict: 'too dark' })).toEqual([ID(12)]);
    expect(found({})).toHaveLength(3);
  });

  it('stay the same objects where nothing changed', () => {
    const lines = exposureLines(many);
    const next = { ...many, exposures: [...many.exposures, { id: ID(13), at: '2026-05-09T10:00:00Z' }] };
    const again = exposureLines(next, lines);
    expect(again.slice(1)).toEqual(lines);
    expect(again.slice(1).every((line, i) => line === lines[i])).toBe(true);
    const renamed = exposureLines({ ...many, cameras: [{ id: ID(2), name: 'Oak', mountings: [] }] }, lines);
    expect(renamed[0]?.camera).toBe('Oak');
    expect(renamed[1]).toBe(lines[1]);
  });

  it('never lose one, whatever the dates', () => {
    const stamp = fc.date({ min: new Date('1970-01-01'), max: new Date('2100-01-01'), noInvalidDate: true }).map((date) => date.toISOString());
    fc.assert(
      fc.property(fc.array(stamp, { maxLength: 30 }), (stamps) => {
        const exposures = stamps.map((at, n): ExposureRecord => ({ id: ID(n), at }));
        const lines = exposureLines({ ...bench, exposures });
        expect(new Set(lines.map(({ record }) => record))).toEqual(new Set(exposures));
        expect(lines.every((line, i) => i === 0 || (lines[i - 1]?.record.at ?? '') >= line.record.at)).toBe(true);
      }),
    );
  });
});

describe('what does not hang together', () => {
  it('is nothing in a sound workshop', () => {
    expect(workshopFindings(bench, AT)).toEqual([]);
  });

  it.each<[string, Partial<Workshop>, string]>([
    ['a camera with a plate that is not there', { plates: [], exposures: [] }, 'Walnut holds a plate that is not in this workshop.'],
    ['an exposure with a camera that is not there', { cameras: [] }, 'The exposure of 2026-05-01 names a camera that is not in this workshop.'],
    ['an exposure with a pass that is not there', { plates: [{ id: ID(3), name: 'WB-1', passes: [] }] }, 'The exposure of 2026-05-01 names a pass that plate WB-1 does not have.'],
    ['a sheet in a holder that is not there', { filmHolders: [] }, 'Sheet 12 is in a holder that is not in this workshop.'],
  ])('%s is broken', (_name, change, sentence) => {
    expect(workshopFindings({ ...bench, ...change })).toEqual([{ kind: 'broken', at: expect.any(String) as string, sentence }]);
  });

  it('what is in the trash is not missing', () => {
    const trash: Workshop['trash'] = [{ id: ID(60), list: 'cameras', trashedAt: AT, record: { id: ID(2) } }];
    expect(workshopFindings({ ...bench, cameras: [], trash })).toEqual([]);
  });

  it.each<[string, Partial<Workshop>, RegExp]>([
    ['a clock that went back between passes', { plates: [{ id: ID(3), name: 'WB-1', passes: [{ id: ID(5), at: AT, scan: null }, { id: ID(7), at: '2020-01-01T00:00:00Z', scan: null }] }] }, /pass 2 is dated 2020-01-01, before the pass it follows/],
    ['a plate in two cameras', { cameras: [...bench.cameras, { ...(bench.cameras[0] as Workshop['cameras'][number]), id: ID(50), name: 'Oak' }] }, /WB-1 is in Walnut and in Oak at the same time/],
    ['an end before the beginning', { exposures: [{ id: ID(10), at: AT, given: { startedAt: AT, endedAt: '2026-05-01T07:59:00Z' } }] }, /ended before it began/],
    ['a time that is not what lies between', { exposures: [{ id: ID(10), at: AT, given: { timeS: 600, startedAt: AT, endedAt: '2026-05-01T08:30:00Z' } }] }, /is said to have taken 10 min, but 30 min lie between/],
    ['a day that has not come', { exposures: [{ id: ID(10), at: '2031-05-01T10:00:00Z', given: { timeS: 3 } }] }, /a day that has not come yet/],
    ['two sheets in one place', { filmSheets: ['12', '13'].map((number, i) => ({ id: ID(6 + i * 100), number, loaded: { at: AT, holderId: ID(30), side: 'A' } })) }, /Sheets 12 and 13 are in the same place of holder 7/],
  ])('%s is doubtful', (_name, change, sentence) => {
    const findings = workshopFindings({ ...bench, ...change }, '2026-06-01T00:00:00Z');
    expect(findings.map(({ kind }) => kind)).toEqual(['doubtful']);
    expect(findings[0]?.sentence).toMatch(sentence);
  });
});
