import { describe, expect, test } from 'vitest';
import { changingExposure, evOfIlluminance, moonLightLux, skyCourse, sunLightLux } from '#core';
import { magneticDeclination } from '#core/compass';
import { sunDay, sunPosition, tabulatedCourse } from '#core/sun';
import data from './data.json';

const DEG = Math.PI / 180;
const at = (row: { readonly latitudeDeg: number; readonly longitudeDeg: number }) => ({
  latitudeRad: row.latitudeDeg * DEG, longitudeRad: row.longitudeDeg * DEG,
});

describe('where the sun stands', () => {
  test('the worked example of the solar position algorithm', () => {
    const { nrelSpa } = data;
    const sun = sunPosition(at(nrelSpa), Date.parse(nrelSpa.utc) / 1000);
    expect(Math.abs(sun.altitudeRad / DEG - nrelSpa.airlessAltitudeDeg)).toBeLessThan(5e-4);
    expect(Math.abs(sun.azimuthRad / DEG - nrelSpa.azimuthDeg)).toBeLessThan(5e-4);
    expect(Math.abs(sun.declinationRad / DEG - nrelSpa.declinationDeg)).toBeLessThan(5e-4);
  });

  test('Meeus, example 25.a', () => {
    const { meeus25a } = data;
    const instantS = Date.UTC(1992, 9, 13) / 1000 - meeus25a.deltaTS;
    const sun = sunPosition({ latitudeRad: 0, longitudeRad: 0 }, instantS);
    expect(Math.abs(sun.declinationRad / DEG - meeus25a.declinationDeg)).toBeLessThan(0.01);
  });

  test('rise and set as printed, no row dropped', () => {
    const seconds = (clock: string): number =>
      clock.split(':').reduce((sum, part, i) => sum + Number(part) * [3600, 60, 1][i]!, 0);
    let compared = 0;
    const compare = (row: { date: string; rise: string; set: string; latitudeDeg: number; longitudeDeg: number }, offsetH: number, withinS: number): void => {
      const day = Date.parse(`${row.date}T00:00Z`) / 1000 - offsetH * 3600;
      const { riseS, setS } = sunDay(at(row), day + 43_200);
      for (const [found, printed] of [[riseS, row.rise], [setS, row.set]] as const) {
        expect(Math.abs((found as number) - day - seconds(printed))).toBeLessThanOrEqual(withinS);
        compared++;
      }
    };
    for (const row of data.usno.rows) compare(row, row.offsetH, 31);
    for (const row of data.spaRiseSet.rows) compare(row, 0, 5);
    expect(compared).toBe(22);
  });

  test('a table of a few minutes loses nothing that matters, also at the zenith', () => {
    const quito = at({ latitudeDeg: -0.2, longitudeDeg: -78.5 });
    const fromS = Date.UTC(2026, 2, 20, 15) / 1000;
    const altitude = (instantS: number): number => sunPosition(quito, instantS).altitudeRad;
    const course = tabulatedCourse(altitude, fromS, fromS + 10 * 3600);
    for (let t = fromS; t < fromS + 36_000; t += 977) {
      // the altitude has a corner, 0.4° wide, where the sun passes the zenith: there the cubic rounds it off
      expect(Math.abs(course(t) - altitude(t)) / DEG).toBeLessThan(altitude(t) > 85 * DEG ? 0.15 : 1e-4);
    }
  });
});

test('magnetic declination by the models’ own test values', () => {
  for (const row of data.magneticDeclination.rows) {
    const whole = Math.floor(row.year);
    const instantS = Date.UTC(whole, 0, 1) / 1000 + (row.year - whole) * 365 * 86_400;
    const { declinationRad, validYears } = magneticDeclination(at(row), instantS);
    expect(Math.abs(declinationRad / DEG - row.declinationDeg)).toBeLessThan(0.011);
    expect(whole).toBeGreaterThanOrEqual(validYears[0]);
  }
  expect(() => magneticDeclination(at({ latitudeDeg: 47, longitudeDeg: 8 }), Date.UTC(2035, 5, 1) / 1000)).toThrow(/made for 2015 to 2029/);
  expect(() => magneticDeclination(at({ latitudeDeg: 86, longitudeDeg: 140 }), Date.UTC(2026, 5, 1) / 1000)).toThrow(/magnetic pole/);
});

describe('how much light there is', () => {
  test.each(data.twilight.rows)('sun at $altitudeDeg°: $lux lx', ({ altitudeDeg, lux }) => {
    const [lo = 0, hi = 0] = lux;
    const slack = lo === hi ? 0.1 : 0;
    expect(sunLightLux(altitudeDeg * DEG)).toBeGreaterThanOrEqual(lo * (1 - slack));
    expect(sunLightLux(altitudeDeg * DEG)).toBeLessThanOrEqual(hi * (1 + slack));
  });

  /** The guide is for a meter aimed at a landscape, the law for level ground: their change is compared, not their level. */
  test.each(data.moon.rows.slice(1))('moon, phase $phaseAngleDeg°: as much dimmer than full as the guide says', (row) => {
    const light = (phaseAngleDeg: number): number => evOfIlluminance(
      moonLightLux({ altitudeRad: 50 * DEG, phaseAngleRad: phaseAngleDeg * DEG, horizontalParallaxRad: 0.951 * DEG }),
    );
    const full = data.moon.rows[0]!;
    const drop = light(full.phaseAngleDeg) - light(row.phaseAngleDeg);
    // printed in whole EV on both sides
    expect(drop).toBeGreaterThanOrEqual(full.ev100Ev[0]! - row.ev100Ev[1]! - 1);
    expect(drop).toBeLessThanOrEqual(full.ev100Ev[1]! - row.ev100Ev[0]! + 1);
  });

  test('full moon in the zenith: 0.27 lx', () => {
    const lux = moonLightLux({ altitudeRad: 90 * DEG, phaseAngleRad: 0, horizontalParallaxRad: 0.951 * DEG });
    expect(lux).toBeCloseTo(0.27, 2);
  });
});

/** Recomputed apart from this program: the table in README.md beside this file. Halving time and light left are two things. */
describe('the sun sinking 10.6° an hour', () => {
  test.each([
    { altitudeDeg: 0, halvingMin: 6.89, leftMin: 7.92 },
    { altitudeDeg: -0.8333, halvingMin: 5.82, leftMin: 7.04 },
    { altitudeDeg: -3, halvingMin: 4.24, leftMin: 5.65 },
    { altitudeDeg: -5, halvingMin: 3.6, leftMin: 5.05 },
  ])('at $altitudeDeg° the light halves in $halvingMin min and is worth $leftMin min', ({ altitudeDeg, halvingMin, leftMin }) => {
    const openAtS = 1.8e9;
    const lux = (instantS: number): number => sunLightLux((altitudeDeg - ((instantS - openAtS) * 10.6) / 3600) * DEG);
    const answer = changingExposure({
      question: { fNumber: 250, iso: 100 },
      course: skyCourse(lux, [{ instantS: openAtS, ev100Ev: 6 }]),
      openAtS, untilS: openAtS + 90 * 60,
      clock: String,
    });
    // across the joints of two pieces at −0.8° and −5° the law steps by 0.3 %, which is 0.2 and 0.1 min here
    expect(Math.abs((answer.halvingS as number) / 60 - halvingMin)).toBeLessThan(altitudeDeg === -0.8333 ? 0.25 : altitudeDeg === -5 ? 0.1 : 0.03);
    expect(Math.abs(answer.presentLightLeftS / 60 - leftMin)).toBeLessThan(0.03);
    // the closed form of a light that went on as it does now is an upper bound
    expect(answer.presentLightLeftS).toBeLessThan((answer.halvingS as number) / Math.LN2);
  });
});
