import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { sunTracksCommand } from './sun-tracks.ts';
import type { SunTracksOptions } from './sun-tracks.ts';

const CAN: SunTracksOptions = {
  place: '47.37,8.54', zone: 'Europe/Zurich', azimuth: '180', surface: 'can', canDiameterMm: '66', paper: '180x110',
  holeHeightMm: '90', diameterUm: '300', from: '2026-12-21', to: '2027-06-21',
};

function without<Options extends object>(options: Options, key: keyof Options): Options {
  return Object.fromEntries(Object.entries(options).filter(([name]) => name !== key)) as Options;
}

interface Document {
  camera: { azimuthRad: number; surface: string };
  direction: string;
  hourOffsetS: number;
  highestNoon: { marginMm: number };
  tracks: { name: string | null; noon: { landing: { xMm: number; yMm: number } } }[];
  sentence: string;
}

describe('exposure sun-tracks', () => {
  test('the document, the table of tracks, and a clock without summer time', async () => {
    const answer = await sunTracksCommand(CAN);
    const document = answer.json as Document;
    expect(document.hourOffsetS).toBe(3600);
    // hole 90 mm up, 66 mm before the paper, sun 90° − 47.37° + 23.44° = 66.07° high
    expect(document.highestNoon.marginMm).toBeCloseTo(90 - 66 * Math.tan((66.07 * Math.PI) / 180), 0);
    expect(answer.text.split('\n')[0]).toMatch(/misses the paper by 59 mm/);
    const rows = (answer.csv ?? '').split('\r\n');
    expect(rows[0]).toBe('day,name,time,altitude_deg,azimuth_deg,x_mm,y_mm,on_paper,drawn');
    expect(rows.some((row) => row.startsWith('2027-06-21,June solstice,2027-06-21T13:2'))).toBe(true);
  });

  test('a compass direction: declination entered, or by the model, which names its years', async () => {
    const noAzimuth = without(CAN, 'azimuth');
    const entered = (await sunTracksCommand({ ...noAzimuth, compass: '178', declination: '3.5' })).json as Document;
    expect((entered.camera.azimuthRad * 180) / Math.PI).toBeCloseTo(181.5, 9);
    const modelled = (await sunTracksCommand({ ...noAzimuth, compass: '178' })).json as Document;
    expect(modelled.direction).toMatch(/by the WMM-2025 model \(2024 to 2029/);
    // Zurich 2026: about 3.7° east
    expect((modelled.camera.azimuthRad * 180) / Math.PI).toBeCloseTo(181.7, 0);
  });

  test('drawing and reminders as files', async () => {
    const folder = await mkdtemp(join(tmpdir(), 'sun-'));
    try {
      await sunTracksCommand({ ...CAN, svg: join(folder, 'can.svg'), ics: join(folder, 'can.ics'), view: 'picture' });
      expect(await readFile(join(folder, 'can.svg'), 'utf8')).toContain('turned as the picture will be seen');
      const ics = await readFile(join(folder, 'can.ics'), 'utf8');
      // nine in the morning at the place, winter and summer
      expect(ics).toContain('DTSTART:20261221T080000Z');
      expect(ics).toContain('DTSTART:20270621T070000Z');
      expect(ics.replaceAll('\r\n ', '')).toContain('Never look at the sun');
    } finally {
      await rm(folder, { recursive: true });
    }
  });

  test.each([
    [{ azimuth: undefined }, /where the camera looks/],
    [{ compass: '178' }, /not both/],
    [{ place: undefined }, /where the camera stands/],
    [{ from: undefined }, /the first day/],
    [{ surface: 'tube' }, /Give one of: flat, can, half-can/],
    [{ paper: '180' }, /width x height/],
    [{ horizon: '90-12' }, /azimuth and height/],
    [{ tilt: 'up' }, /is not an angle/],
  ] as const)('what cannot be is refused: %#', async (change, words) => {
    const options = Object.fromEntries(Object.entries({ ...CAN, ...change }).filter(([, value]) => value !== undefined));
    await expect(sunTracksCommand(options as SunTracksOptions)).rejects.toThrow(words);
  });
});
