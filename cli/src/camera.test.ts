import { describe, expect, test } from 'vitest';
import { CRITERION_IDS, FORMATS, InputError, bestHoleInLight, emptyWorkshop, filmLight, filmResponse, meanWavelengthNm } from '#core';
import type { CameraRecord } from '#core';
import { cameraCommand } from './camera.ts';

interface Document {
  readonly angleHorizontalDeg: number;
  readonly angleVerticalDeg: number;
  readonly angleDiagonalDeg: number;
  readonly equivalent24x36Mm: number;
  readonly cornerFalloffStops: number | null;
  readonly cornerFalloffReason: string | null;
  readonly bestHole: readonly {
    readonly criterion: string;
    readonly diameterUm: number;
    readonly bandUm: readonly [number, number];
  }[];
  readonly wavelengthNm: number;
  readonly focalLengthMm: number;
  readonly focalLengthFrom: string;
  readonly objectMm: number | null;
  readonly insideDepthMm: number | null;
  readonly outsideDepthMm: number | null;
  readonly holeInHand: { readonly band: string; readonly suitedRangeMm: readonly (number | null)[] } | null;
  readonly anglesFromAxisDeg: Readonly<Record<'left' | 'right' | 'up' | 'down', number>>;
}

const document = (options: Parameters<typeof cameraCommand>[0], record: CameraRecord | null = null): Document =>
  JSON.parse(JSON.stringify(cameraCommand(options, record).json)) as Document;

const usual = { frame: '127x102', focalMm: '106' };
const deg = (half: number, focal: number): number => (2 * Math.atan(half / focal) * 180) / Math.PI;

describe('camera --json', () => {
  test('has what the contract names, unrounded', () => {
    const json = document(usual);
    expect(json.angleHorizontalDeg).toBeCloseTo(deg(63.5, 106), 12);
    expect(json.angleVerticalDeg).toBeCloseTo(deg(51, 106), 12);
    expect(json.angleDiagonalDeg).toBeCloseTo(deg(Math.hypot(63.5, 51), 106), 12);
    expect(json.equivalent24x36Mm).toBeCloseTo((106 * Math.hypot(36, 24)) / Math.hypot(127, 102), 12);
    expect(json.cornerFalloffStops).toBeCloseTo(2 * Math.log2(1 + (63.5 ** 2 + 51 ** 2) / 106 ** 2), 12);
    expect(json.bestHole.map(({ criterion }) => criterion)).toEqual([...CRITERION_IDS]);
    const scaleUm = Math.sqrt(550e-6 * 106) * 1000;
    for (const { criterion, diameterUm, bandUm } of json.bestHole) {
      expect(bandUm[0]).toBeLessThan(diameterUm);
      expect(bandUm[1]).toBeGreaterThan(diameterUm);
      if (criterion === 'petzval') expect(diameterUm).toBeCloseTo(Math.SQRT2 * scaleUm, 9);
      if (criterion === 'brightest') expect(diameterUm).toBeCloseTo(2 * scaleUm, 9);
    }
    expect(json.objectMm).toBeNull();
  });

  test('wavelength and object distance change the holes', () => {
    const [far, near, blue] = [usual, { ...usual, objectMm: '1 m' }, { ...usual, wavelengthNm: '406' }].map(
      (options) => document(options).bestHole[2]?.diameterUm ?? NaN,
    ) as [number, number, number];
    expect(near / far).toBeCloseTo(Math.sqrt(1 / (1 + 106 / 1000)), 12);
    expect(blue / far).toBeCloseTo(Math.sqrt(406 / 550), 12);
    expect(document({ ...usual, objectMm: 'infinity' }).bestHole[2]?.diameterUm).toBe(far);
  });

  test('a film brings the light that it sees, and a paper a smaller hole than a film', () => {
    const best = (film: string, criterion: number): number => document({ ...usual, film }).bestHole[criterion]?.diameterUm ?? NaN;
    for (const [film, id] of [['HP5 Plus', 'panchromatic'], ['orthochromatic', 'orthochromatic'], ['blue-paper', 'blue-paper']] as const) {
      const light = filmLight({ source: 'daylight', response: filmResponse(id) });
      const question = { light, focalLengthMm: 106, objectDistanceMm: Infinity };
      expect(best(film, 2)).toBeCloseTo(1000 * bestHoleInLight({ ...question, criterion: 'detail-10' }).diameterMm, 9);
      expect(document({ ...usual, film }).wavelengthNm).toBeCloseTo(meanWavelengthNm(light), 9);
    }
    expect(best('blue-paper', 0)).toBeLessThan(0.93 * best('HP5 Plus', 0));
    expect(cameraCommand({ ...usual, film: 'blue-paper' }).text).toMatch(/in the daylight that blue-sensitive.* sees, about 410 nm/);
    const hole = document({ frame: '120x95', film: 'HP5 Plus', holeUm: '430' });
    expect(hole.bestHole[2]?.diameterUm).toBeCloseTo(430, 9);
  });

  test('a camera of a workshop brings its film, or the wavelength that its maker stated', () => {
    const record: CameraRecord = { id: 'a', name: 'Box', frame: { widthMm: 120, heightMm: 95 }, focalLengthMm: 106, filmName: 'HP5 Plus', mountings: [] };
    const bench = { ...emptyWorkshop({ id: 'w', name: 'w', createdAt: '2026-01-02T03:04:05Z' }), cameras: [record] };
    const of = (camera: CameraRecord, options = {}) => cameraCommand(options, camera, bench);
    const mean = (answer: ReturnType<typeof of>): number => (answer.json as Document).wavelengthNm;
    expect(mean(of(record))).toBeCloseTo(mean(of(record, { film: 'panchromatic' })), 9);
    const stated = of({ ...record, wavelengthNm: 550 });
    expect(mean(stated)).toBe(550);
    expect(stated.notes.join()).toMatch(/Box states light of 550 nm; with --film "HP5 Plus"/);
    expect(mean(of({ ...record, wavelengthNm: 550 }, { film: 'HP5 Plus' }))).toBeCloseTo(mean(of(record)), 9);
    expect(of({ ...record, filmName: 'Grandfather’s plates' }).notes.join()).toMatch(/in no list.*550 nm/);
  });

  test('thickness adds to the corner, down to no light at all, said so', () => {
    const thin = document(usual).cornerFalloffStops ?? NaN;
    expect(document({ ...usual, thicknessMm: '0.1' }).cornerFalloffStops).toBeGreaterThan(thin);
    const black = document({ ...usual, thicknessMm: '1' });
    expect(black.cornerFalloffStops).toBeNull();
    expect(black.cornerFalloffReason).toMatch(/no light passes/);
  });

  test('starts from a wanted angle, a hole in hand or a box', () => {
    const wish = document({ frame: '120x95', angleDeg: '75', across: 'horizontal' });
    expect(wish.angleHorizontalDeg).toBeCloseTo(75, 10);
    expect(wish.focalLengthFrom).toBe('angle');
    const hole = document({ frame: '120x95', holeUm: '430' });
    expect(hole.bestHole[2]?.diameterUm).toBeCloseTo(430, 9);
    expect(hole.focalLengthFrom).toBe('hole');
    expect(hole.holeInHand).toMatchObject({ band: 'within' });
    const seat = { holderDepth: '5', filmThickness: '0.18', seat: '0' };
    const box = document({ frame: '120x95', insideDepth: '101.18', ...seat });
    expect(box.focalLengthMm).toBeCloseTo(106, 10);
    expect(box.focalLengthFrom).toBe('inside-depth');
  });

  test('says how deep the box is', () => {
    const json = document({ ...usual, wood: '18', holderDepth: '5', filmThickness: '0.18', seat: '7' });
    expect(json.insideDepthMm).toBeCloseTo(94.18, 10);
    expect(json.outsideDepthMm).toBeCloseTo(112.18, 10);
    expect(document(usual).insideDepthMm).toBeNull();
    const inches = document({ ...usual, wood: '3/4', holderDepth: '0.197"', filmThickness: '7 thou', seat: '1/4 in' });
    expect(inches.insideDepthMm).toBeCloseTo(106 - (0.197 - 0.007 + 0.25) * 25.4, 10);
  });

  test('a shifted hole: rise looks up', () => {
    const { anglesFromAxisDeg } = document({ ...usual, shift: '0,15' });
    expect(anglesFromAxisDeg.up).toBeGreaterThan(anglesFromAxisDeg.down);
    expect(anglesFromAxisDeg.left).toBe(anglesFromAxisDeg.right);
  });

  test('takes a camera of a workshop, and the call’s own word over it', () => {
    const record: CameraRecord = {
      id: 'a',
      name: 'Walnut',
      formatId: 'plate-half-uk',
      frame: { widthMm: 160, heightMm: 116 },
      focalLengthMm: 110,
      holeShift: { yMm: 10 },
      woodThicknessMm: 12,
      holderDepthMm: 6,
      filmThicknessMm: 0.3,
      plateSeatMm: 3,
      criterion: 'petzval',
      objectDistanceMm: null,
      mountings: [],
    };
    const json = document({}, record);
    expect(json.angleHorizontalDeg).toBeCloseTo(deg(80, 110), 12);
    expect(json.focalLengthFrom).toBe('workshop');
    expect(json.insideDepthMm).toBeCloseTo(110 - 6 + 0.3 - 3, 10);
    expect(json.anglesFromAxisDeg.up).toBeGreaterThan(json.anglesFromAxisDeg.down);
    expect(document({ focalMm: '90', shift: '0,0' }, record).angleVerticalDeg).toBeCloseTo(deg(58, 90), 12);
  });
});

describe('camera for people', () => {
  test('the answer first, then the table with the chosen criterion marked', () => {
    const { text, notes } = cameraCommand(usual);
    const lines = text.split('\n');
    expect(lines[0]).toBe(
      'Sees 75° on the diagonal, like about 28 mm on 24×36; best hole 0.43 mm, anything from 0.39 to 0.45 mm.',
    );
    expect(lines.filter((line) => line.startsWith('* '))).toEqual([expect.stringMatching(/^\* detail-10 +0\.43 mm/)]);
    expect(lines).toHaveLength(15);
    expect(notes).toEqual([expect.stringMatching(/cut size of 4×5 in sheet film.*120\.5 × 95\.5 mm/)]);
    const byImageArea = cameraCommand({ frame: '120x95', focalMm: '106' }).text;
    expect(byImageArea).toMatch(/^Sees 72° on the diagonal, like about 30 mm/);
  });

  test('a focal length that was worked out is said before everything', () => {
    const wish = cameraCommand({ frame: '120x95', angleDeg: '75' }).text;
    expect(wish).toMatch(/^Focal length 99\.7 mm for 75° diagonally\./);
    expect(cameraCommand({ frame: '120x95', holeUm: '430' }).text).toMatch(
      /^Focal length 106\.3 mm suits the hole in hand best, anything from 95\.9 mm to 131\.5 mm is good\./,
    );
  });

  test('inches when asked', () => {
    const { text } = cameraCommand({ ...usual, inches: true, wood: '3/4' });
    expect(text).toMatch(/best hole 16\.9 thou, anything from 15\.3 to 17\.7 thou/);
    expect(text).toMatch(/Inside depth of the box 4\.18 in \(106\.18 mm\)/);
  });

  test('what was taken for granted is said aside', () => {
    expect(cameraCommand({ ...usual, film: 'HP5 Plus' }).notes.join(' ')).toMatch(/HP5 Plus sees.*generic curve.*±15 nm/);
    expect(cameraCommand({ ...usual, film: 'HP5 Plus', wavelengthNm: '500' }).notes.join(' ')).toMatch(/light of 500 nm.*HP5 Plus/);
    expect(cameraCommand({ format: 'sheet-4x5', focalMm: '100', wood: '18' }).notes.join(' ')).toMatch(
      /Holder depth 5 mm ± 0\.178 mm/,
    );
  });

  test('lists the formats', () => {
    const { text, json } = cameraCommand({ listFormats: true });
    expect(text.split('\n')).toHaveLength(FORMATS.length + 1);
    expect(json).toHaveLength(FORMATS.length);
  });
});

describe('a call that cannot be answered', () => {
  test.each<[Parameters<typeof cameraCommand>[0], RegExp]>([
    [{ focalMm: '106' }, /The frame is missing.*--frame WxH/],
    [{ frame: '127x102' }, /The focal length is missing.*--angle-deg 75/],
    [{ ...usual, format: 'sheet-4x5' }, /--frame or --format, not both/],
    [{ ...usual, angleDeg: '75' }, /Give one of --focal-mm, --angle-deg/],
    [{ frame: '127', focalMm: '106' }, /127x102/],
    [{ frame: '127x0', focalMm: '106' }, /--frame height must be greater than 0 mm/],
    [{ frame: '127x102', focalMm: '1,000' }, /1\.000 or 1000/],
    [{ ...usual, shift: '3' }, /Give x,y/],
    [{ ...usual, criterion: 'sharp' }, /contrast-50/],
    [{ ...usual, wavelengthNm: '-1' }, /--wavelength-nm must lie between 200 and 1200 nm, but is -1/],
    [{ ...usual, wavelengthNm: 'inf' }, /--wavelength-nm/],
    [{ ...usual, film: 'HP6' }, /HP5 Plus/],
    [{ ...usual, objectMm: '0' }, /--object-mm must be greater than 0/],
    [{ ...usual, thicknessMm: '-0.1' }, /The thickness must be 0 mm or more/],
    [{ frame: '120x95', angleDeg: '180' }, /less than 180°/],
    [{ frame: '120x95', angleDeg: '75', across: 'slantwise' }, /horizontal, vertical or diagonal/],
    [{ frame: '120x95', holeUm: '430', objectMm: '40' }, /Give --focal-mm, or a farther object/],
    [{ format: '4x5', focalMm: '100' }, /sheet-4x5/],
    [{ ...usual, holeUm: '0.35' }, /0\.35 µm, less than two wavelengths\. Did you mean 0\.35 mm\? Write 0\.35mm\./],
    [{ ...usual, holeUm: '500000' }, /500 mm wide, which is no pinhole/],
    [{ ...usual, wavelengthNm: '0.55' }, /between 200 and 1200 nm, but is 0\.55\. Give it in nanometres/],
    [{ frame: '127x102', filmPlane: 'can', angleDeg: '200' }, /less than 180°, but 200° is wanted/],
  ])('%j', (options, reason) => {
    expect(() => cameraCommand(options)).toThrow(InputError);
    expect(() => cameraCommand(options)).toThrow(reason);
  });
});

describe('a frame', () => {
  test('with a unit at its end has it on both sides, and each its own where both have one', () => {
    const area = (frame: string) => (cameraCommand({ frame, focalMm: '106' }).json as { frameMm: [number, number] }).frameMm;
    for (const written of ['4x5 in', '4x5in', '4×5"', '4in x 5in', '101.6x127', '10.16 x 12.7 cm']) {
      expect(area(written)[0], written).toBeCloseTo(101.6, 9);
      expect(area(written)[1], written).toBeCloseTo(127, 9);
    }
    expect(area('100mm x 5in')[0]).toBeCloseTo(100, 9);
  });
});

describe('bent film', () => {
  test('the focal length of a wanted angle is the one that sees it', () => {
    for (const [filmPlane, across, angleDeg] of [['cylinder', 'horizontal', '120'], ['can', 'horizontal', '150'], ['can', 'diagonal', '120'], ['cylinder', 'vertical', '50']] as const) {
      const seen = cameraCommand({ frame: '127x102', filmPlane, across, angleDeg }).json as Record<string, number>;
      const key = { horizontal: 'angleHorizontalDeg', vertical: 'angleVerticalDeg', diagonal: 'angleDiagonalDeg' }[across];
      expect(seen[key], `${filmPlane} ${across}`).toBeCloseTo(Number(angleDeg), 6);
    }
    // about the hole the angle is the film's length over the radius: 127 mm at 120°
    expect((cameraCommand({ frame: '127x102', filmPlane: 'cylinder', across: 'horizontal', angleDeg: '120' }).json as { focalLengthMm: number }).focalLengthMm)
      .toBeCloseTo(127 / ((120 * Math.PI) / 180), 6);
    expect(() => cameraCommand({ frame: '127x10', filmPlane: 'can', across: 'vertical', angleDeg: '100' })).toThrow(/does not see 100\.0° vertically at any focal length/);
  });


  test('about the hole its length is an angle and the ends lose cos φ; in a can nothing sideways', () => {
    const ask = (filmPlane: string) =>
      cameraCommand({ frame: '120x0.001', focalMm: '75', filmPlane }).json as { angleHorizontalDeg: number; cornerFalloffStops: number };
    expect(ask('cylinder').angleHorizontalDeg).toBeCloseTo((120 / 75) * (180 / Math.PI), 9);
    expect(ask('cylinder').cornerFalloffStops).toBeCloseTo(-Math.log2(Math.cos(60 / 75)), 6);
    expect(ask('can').cornerFalloffStops).toBeCloseTo(0, 6);
    expect(() => ask('ball')).toThrow(/flat, cylinder, can/);
  });
});
