import { readFile, mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { findFilm } from '#core';
import { duskCommand } from './dusk.ts';
import type { DuskOptions } from './dusk.ts';
import { readPlace } from './sky-reading.ts';

function without(options: DuskOptions, key: keyof DuskOptions): DuskOptions {
  return Object.fromEntries(Object.entries(options).filter(([name]) => name !== key)) as DuskOptions;
}

interface Document {
  closeAt: string | null;
  closeAtS: number | null;
  openAt: string;
  latestOpening: string | null;
  atEndStops: number;
  atEndRangeStops: [number, number];
  halvingS: number | null;
  presentLightLeftS: number;
  sentence: string;
  readings: { at: string; ev100Ev: number }[];
}

const EVENING: DuskOptions = {
  fNumber: '250', film: 'HP5 Plus', date: '2026-09-22', zone: 'Europe/Zurich', place: '47.37,8.54', reading: ['19:05 EV 9'],
};

async function ask(options: DuskOptions): Promise<Document> {
  return (await duskCommand(options)).json as Document;
}

describe('exposure dusk', () => {
  test('closes by the clock of the place, sooner than in light that only halves on', async () => {
    const answer = await ask(EVENING);
    expect(answer.openAt).toBe('2026-09-22T19:05:00+02:00');
    expect(answer.closeAt).toMatch(/^2026-09-22T19:06:\d\d\+02:00$/);
    expect(answer.sentence).toMatch(/^Open at 19:05:00, close at 19:06:\d\d, /);
    expect(answer.latestOpening).toMatch(/^2026-09-22T19:\d\d:\d\d\+02:00$/);
  });

  test('says that a light will never be enough, and by how much', async () => {
    const answer = await ask({ ...EVENING, reading: ['19:40 EV 4'] });
    expect(answer.closeAt).toBeNull();
    expect(answer.atEndStops).toBeLessThan(-2);
    expect(answer.atEndRangeStops[0]).toBeLessThan(answer.atEndStops);
    expect(answer.sentence).toMatch(/^This light will never be enough; from 19:40 on at most −\d/);
  });

  test('readings by the meter, in seconds at its f-number, at the film’s speed or another', async () => {
    const { readings } = await ask({ ...EVENING, reading: ['19:05 1/15 s f/22 ISO 100', '19:08 1/8@22'] });
    expect(readings[0]?.ev100Ev).toBeCloseTo(Math.log2(22 ** 2 * 15), 9);
    // at the film's own 400
    expect(readings[1]?.ev100Ev).toBeCloseTo(Math.log2(22 ** 2 * 8) - 2, 9);
    expect(readings[1]?.at).toBe('2026-09-22T19:08:00+02:00');
  });

  test('two readings without a place: a light that halves every 5 min has 7.2 min left', async () => {
    const noPlace = without(EVENING, 'place');
    const answer = await ask({ ...noPlace, reading: ['19:00 EV 9', '19:10 EV 7'] });
    expect(answer.halvingS).toBeCloseTo(300, 6);
    // followed for twelve halvings: 1/4000 of it is left out
    expect(answer.presentLightLeftS / 60).toBeCloseTo(5 / Math.LN2, 2);
  });

  test('dawn: the light doubles, and the shutter closes sooner than in the light at opening', async () => {
    const answer = (await duskCommand({ ...EVENING, reading: ['06:50 EV 6'] })).json as Document & { rising: boolean; durationS: number; steady: { correctedS: number } };
    expect(answer.rising).toBe(true);
    expect(answer.durationS).toBeLessThan(answer.steady.correctedS);
    expect(answer.sentence).toMatch(/^Open at 06:50(:00)?, close at 0[67]:\d\d/);
  });

  test('cloud for half the time, two stops each: the mean of both lights, closed form', async () => {
    const answer = (await duskCommand({ fNumber: '250', iso: '100', date: '2026-09-22', zone: 'UTC', reading: ['12:00 EV 12'], cloudShare: '0.5', cloudStops: '2' })).json as { durationS: number };
    expect(answer.durationS).toBeCloseTo(250 ** 2 / 2 ** 12 / (0.5 + 0.5 / 4), 1);
  });

  test('by the full moon of 26 September 2026, which changes little while it is high', async () => {
    const answer = (await duskCommand({ fNumber: '250', iso: '3200', date: '2026-09-26', zone: 'Europe/Zurich', place: '47.37,8.54', reading: ['23:50 EV -2'] })).json as { durationS: number; halvingS: number };
    // 250² · 2² · 100/3200 = 7813 s in a light that stays
    expect(answer.durationS / 7812.5).toBeGreaterThan(0.85);
    expect(answer.durationS / 7812.5).toBeLessThan(1.15);
    expect(answer.halvingS).toBeGreaterThan(2 * 3600);
  });

  test('the film of a camera counts where none is named; CSV gives the falling light', async () => {
    const noFilm = without(EVENING, 'film');
    const answer = await duskCommand(noFilm, { loaded: findFilm('HP5 Plus'), own: [] });
    expect((answer.json as Document).closeAt).toBe((await ask(EVENING)).closeAt);
    const rows = (answer.csv ?? '').trim().split('\r\n');
    expect(rows[0]).toBe('time,ev_iso100,ev_low,ev_high,share_of_exposure');
    expect(rows).toHaveLength(122);
  });

  test('a reminder to close', async () => {
    const folder = await mkdtemp(join(tmpdir(), 'dusk-'));
    try {
      const { notes } = await duskCommand({ ...EVENING, ics: join(folder, 'close.ics') });
      expect(notes.join(' ')).toContain('Reminder written');
      expect(await readFile(join(folder, 'close.ics'), 'utf8')).toMatch(/DTSTART:20260922T1707?06?/);
    } finally {
      await rm(folder, { recursive: true });
    }
  });

  test.each([
    [{ reading: ['19:05'] }, /is not a reading/],
    [{ reading: ['25:05 EV 9'] }, /is not a time/],
    [{ place: '47.37' }, /is not a place/],
    [{ place: '97.37,8' }, /latitudes end at 90°/],
    [{ zone: 'Europe/Nowhere' }, /no time zone/],
    [{ date: '2026-13-01' }, /not a date/],
    [{ until: '19:00' }, /after the opening/],
    [{ reading: undefined }, /when you open/],
    [{ place: undefined }, /give a second one/],
  ] as const)('what cannot be is refused: %#', async (change, words) => {
    const options = Object.fromEntries(Object.entries({ ...EVENING, ...change }).filter(([, value]) => value !== undefined));
    await expect(duskCommand(options as DuskOptions)).rejects.toThrow(words);
  });

  test.each([
    ['47.37,8.54', 47.37, 8.54],
    ['47.37N 8.54E', 47.37, 8.54],
    ['33.87 S, 151.21 E', -33.87, 151.21],
    ['-33.87;-70.6', -33.87, -70.6],
    ['47°22′12″N, 8°32′24″E', 47.37, 8.54],
  ])('place %s', (text, latitudeDeg, longitudeDeg) => {
    const place = readPlace(text);
    expect((place.latitudeRad * 180) / Math.PI).toBeCloseTo(latitudeDeg, 9);
    expect((place.longitudeRad * 180) / Math.PI).toBeCloseTo(longitudeDeg, 9);
  });
});
