import { describe, expect, it } from 'vitest';
import { compareCameras, compareExposures, comparePlates } from './comparison.ts';
import { emptyWorkshop } from './workshop.ts';
import type { ExposureRecord, Workshop } from './workshop.ts';

const ID = (n: number): string => `01999c9e-0000-7000-8000-${n.toString(16).padStart(12, '0')}`;
const AT = '2026-05-01T10:00:00+02:00';
const workshop: Workshop = {
  ...emptyWorkshop({ id: ID(1), name: 'Bench', createdAt: AT }),
  cameras: [
    { id: ID(2), name: 'Walnut', focalLengthMm: 135, mountings: [{ id: ID(20), plateId: ID(3), mountedAt: AT }] },
    { id: ID(4), name: 'Pear', focalLengthMm: 60, mountings: [] },
  ],
  plates: [{ id: ID(3), name: 'WB-1', passes: [{ id: ID(5), at: AT, scan: null, figures: { outlineDiameterMm: 0.45, burrs: [] } }] }],
  filmSheets: [
    { id: ID(6), number: '12', developed: { at: AT, developer: 'one', timeS: 300, temperatureCelsius: 20 } },
    { id: ID(7), number: '13', developed: { at: AT, developer: 'one', timeS: 420, temperatureCelsius: 20 } },
  ],
};
const base: ExposureRecord = { id: ID(10), at: AT, cameraId: ID(2), filmName: 'HP5 Plus', fNumber: 300, light: { kind: 'ev', ev100Ev: 12 }, given: { timeS: 4 } };

describe('what changed between two exposures', () => {
  it('is one thing, with what it amounts to', () => {
    const { sentence, rows } = compareExposures(base, { ...base, id: ID(11), given: { timeS: 8 } }, workshop);
    expect(sentence).toBe('One thing changed: time given (1.0 stop more).');
    expect(rows.find(({ name }) => name === 'camera')).toEqual({ name: 'camera', first: 'Walnut', second: 'Walnut', differs: false, amount: null });
  });

  it('is several things, and then the result cannot tell', () => {
    const other = { ...base, id: ID(11), filmName: 'FP4 Plus', light: { kind: 'ev' as const, ev100Ev: 10.5 }, fNumber: 150 };
    expect(compareExposures(base, other, workshop).sentence).toBe(
      'Three things changed: f-number (2.0 stops brighter), film and light (1.5 stops less). The result cannot tell which of them did it.',
    );
  });

  it('does not count the date, the sheet or the result, but what was done to the sheet', () => {
    const [first, second] = [{ ...base, sheetId: ID(6) }, { ...base, id: ID(11), at: '2026-05-02T10:00:00+02:00', sheetId: ID(7), result: { verdict: 'right' as const } }];
    expect(compareExposures(first, second, workshop).sentence).toBe('One thing changed: development.');
    expect(compareExposures(base, { ...base, id: ID(11) }, workshop).sentence).toBe('Nothing that is written down changed.');
  });

  it('shows what it has no words for as it stands', () => {
    const later = { ...base, id: ID(11), bellowsMm: 12 } as ExposureRecord;
    expect(compareExposures(base, later, workshop).sentence).toBe('One thing changed: bellowsMm.');
    expect(compareExposures(base, later, workshop).rows.at(-1)).toMatchObject({ name: 'bellowsMm', first: null, second: '12' });
  });

  it('says so when a camera is gone', () => {
    expect(compareExposures(base, { ...base, id: ID(11), cameraId: ID(99) }, workshop).rows.find(({ name }) => name === 'camera')?.second).toBe(
      'one that is not in the workshop',
    );
  });
});

describe('two cameras, two plates', () => {
  it('stand side by side with their difference', () => {
    const [walnut, pear] = workshop.cameras;
    if (walnut === undefined || pear === undefined) throw new Error('no cameras');
    const { rows } = compareCameras(walnut, pear, workshop);
    expect(rows.find(({ name }) => name === 'focal length')).toEqual({ name: 'focal length', first: '135 mm', second: '60 mm', differs: true, amount: '75 mm less' });
    expect(rows.find(({ name }) => name === 'f-number')).toMatchObject({ first: 'f/300', second: null });
  });

  it('measure light by the area of the hole: 0.45 to 0.90 mm is two stops', () => {
    const [plate] = workshop.plates;
    if (plate === undefined) throw new Error('no plate');
    const larger = { ...plate, id: ID(8), name: 'WB-2', passes: [{ id: ID(9), at: AT, scan: null, figures: { outlineDiameterMm: 0.9, burrs: [] } }] };
    expect(comparePlates(plate, larger).rows.find(({ name }) => name === 'hole')).toEqual({
      name: 'hole', first: '450 µm', second: '900 µm', differs: true, amount: '2.0 stops brighter',
    });
  });
});
