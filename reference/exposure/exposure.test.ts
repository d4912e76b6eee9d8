import { describe, expect, test } from 'vitest';
import {
  BARE_HOLE_STOPS,
  FILMS,
  METER_CONSTANT_INCIDENT,
  METER_CONSTANT_REFLECTED,
  RECIPROCITY_LAWS,
  SCENES,
  alternateTimes,
  correctedTimeS,
  evOfIlluminance,
  evOfLuminance,
  evOfReading,
  exposureTime,
  fNumberOfMark,
  filmFrom,
  findFilm,
  holeStop,
  illuminanceLux,
  luminanceCdPerM2,
  meterConversions,
  meteredTimeS,
  nearestStop,
  reciprocity,
  sceneEv,
  stopsBetween,
} from '#core';
import computed from './computed.json';
import published from './published.json';
import reciprocityData from './reciprocity.json';

/** Plain arithmetic on both sides: only rounding of doubles is left. */
const EXACT = 1e-12;

function relative(value: number, truth: number): number {
  return Math.abs(value / truth - 1);
}

interface SourceRow {
  metered_s: number;
  corrected_s?: number;
  stops?: number;
  factor?: number;
  cc_filter?: string;
  dev_change?: string;
}

interface SourceFilm {
  film: string;
  maker: string;
  type: string;
  iso: number | null;
  model: string;
  rows?: SourceRow[];
  P?: number;
  no_correction_up_to_s?: number;
  not_recommended_from_s?: number | null;
  document: string;
  evidence: string;
  status?: string;
}

const sourceFilms = reciprocityData.films as unknown as SourceFilm[];

function timeOf(row: SourceRow): number {
  return row.corrected_s ?? row.metered_s * 2 ** (row.stops ?? 0);
}

describe('ISO 2720 and the EV table (computed.json)', () => {
  test.each(computed.evTable)('EV $ev', (row) => {
    const at = (fNumber: number): number => meteredTimeS({ fNumber, ev100Ev: row.ev, iso: 100 });
    expect(relative(at(16), row.f16S)).toBeLessThan(EXACT);
    expect(relative(at(128), row.f128S)).toBeLessThan(EXACT);
    expect(relative(at(128 * Math.SQRT2), row.f181S)).toBeLessThan(EXACT);
    expect(relative(luminanceCdPerM2(row.ev), row.luminanceCdPerM2)).toBeLessThan(EXACT);
    expect(relative(illuminanceLux(row.ev), row.illuminanceLux)).toBeLessThan(EXACT);
    expect(evOfLuminance(row.luminanceCdPerM2)).toBeCloseTo(row.ev, 11);
    expect(evOfIlluminance(row.illuminanceLux)).toBeCloseTo(row.ev, 11);
    expect(evOfReading({ meteredS: row.f16S, fNumber: 16, iso: 100 })).toBeCloseTo(row.ev, 11);
  });

  test('the constants lie in the ranges of the standard', () => {
    const { K_range, K_common, C_flat_range, C_common } = published.iso2720;
    expect(K_common).toContain(METER_CONSTANT_REFLECTED);
    expect(METER_CONSTANT_REFLECTED).toBeGreaterThanOrEqual(K_range[0] ?? NaN);
    expect(METER_CONSTANT_REFLECTED).toBeLessThanOrEqual(K_range[1] ?? NaN);
    expect(METER_CONSTANT_INCIDENT).toBe(C_common.flat);
    expect(METER_CONSTANT_INCIDENT).toBeGreaterThanOrEqual(C_flat_range[0] ?? NaN);
    expect(METER_CONSTANT_INCIDENT).toBeLessThanOrEqual(C_flat_range[1] ?? NaN);
  });

  test('the relations themselves: N²/t = L·S/K = E·S/C', () => {
    const t = meteredTimeS({ fNumber: 180, ev100Ev: 11.3, iso: 400 });
    const iso = 400;
    expect((luminanceCdPerM2(11.3) * iso) / METER_CONSTANT_REFLECTED).toBeCloseTo(180 ** 2 / t, 7);
    expect((illuminanceLux(11.3) * iso) / METER_CONSTANT_INCIDENT).toBeCloseTo(180 ** 2 / t, 7);
  });

  test('EV of f-number and time (published.json, evTable: printed to 0.001)', () => {
    for (const row of published.evTable) {
      const ev = evOfReading({ meteredS: row.t, fNumber: row.N, iso: 100 });
      expect(Math.abs(ev - (row.ev_exact ?? row.ev ?? NaN))).toBeLessThan(6e-4);
    }
  });
});

describe('stops of a hole', () => {
  test('marks and what they stand for (published.json: printed to 0.001 and 0.0001)', () => {
    for (const { nominal, exact } of published.fNumbers.filter((stop) => stop.nominal >= 1)) {
      expect(Math.abs(fNumberOfMark(nominal) - exact)).toBeLessThan(6e-4);
    }
    for (const { nominal, exact, av } of published.fullStops) {
      expect(Math.abs(fNumberOfMark(nominal) - exact)).toBeLessThan(6e-5);
      expect(nearestStop(exact, 'full').name).toBe(`f/${nominal}`);
      expect(stopsBetween({ fromFNumber: 1, toFNumber: exact })).toBeCloseTo(av, 4);
    }
    published.thirdNominal.forEach((nominal, i) => {
      expect(nearestStop(published.thirdExact[i] ?? NaN, 'third').name).toBe(`f/${nominal}`);
      expect(Math.abs(fNumberOfMark(nominal) - (published.thirdExact[i] ?? NaN))).toBeLessThan(6e-4);
    });
    expect(published.fullStops.length).toBe(19);
    expect(published.thirdNominal.length).toBe(28);
  });

  test('f/0.7 is half a mark above the scale: 2^(−1/2) (published.json)', () => {
    const [first] = published.fNumbers;
    expect(first?.nominal).toBe(0.7);
    expect(nearestStop(0.7, 'full').name).toBe('f/0.7');
    expect(Math.abs(nearestStop(0.7, 'full').fNumber - (first?.exact ?? NaN))).toBeLessThan(6e-4);
  });

  test('textbook holes: f/250 and f/300 (published.json, pinholeArithmetic)', () => {
    for (const { d_mm, f_mm, N } of published.pinholeArithmetic) {
      expect(relative(holeStop({ diameterMm: d_mm, focalLengthMm: f_mm }).fNumber, N)).toBeLessThan(EXACT);
    }
  });

  test('1 s at the mark f/22 is 175.8 s at f/300; whole stops f/256 128 s, f/360 256 s', () => {
    const exact = computed.worked.find((row) => row.what.includes('f/300'))?.timeS ?? NaN;
    const answer = exposureTime({
      fNumber: 300,
      light: { kind: 'meter', meteredS: 1, fNumber: 22, isMark: true },
      iso: 4,
    });
    expect(relative(answer.meteredS, exact)).toBeLessThan(EXACT);
    expect(answer.meteredS).toBeCloseTo(175.8, 1);
    const from22 = (fNumber: number): number => meterConversions(fNumber, [22])[0]?.factor ?? NaN;
    expect(from22(fNumberOfMark(256))).toBeCloseTo(128, 9);
    expect(from22(fNumberOfMark(360))).toBeCloseTo(256, 9);
  });

  test('a bare hole passes 0.27 stop more (derived from π/4 against 0.65)', () => {
    expect(BARE_HOLE_STOPS).toBeCloseTo(published.focalPlane.bareHoleStops, 2);
  });
});

describe('worked exposures (computed.json)', () => {
  const ask = (what: string): number => computed.worked.find((row) => row.what === what)?.timeS ?? NaN;

  test('sunny 16 carried to the hole', () => {
    const light = { kind: 'meter', meteredS: 0.01, fNumber: 16, iso: 100 } as const;
    const at = (fNumber: number): number => exposureTime({ fNumber, light, iso: 100 }).meteredS;
    expect(relative(at(256), ask('sunny 16, ISO 100: 1/100 s at f/16 carried to f/256'))).toBeLessThan(EXACT);
    expect(relative(at(150), ask('the same to f/150'))).toBeLessThan(EXACT);
  });

  test('EV, speed, filter, film', () => {
    const ev = (ev100Ev: number): { kind: 'ev'; ev100Ev: number } => ({ kind: 'ev', ev100Ev });
    const sun200 = exposureTime({ fNumber: 200, light: ev(15), iso: 100 });
    expect(relative(sun200.correctedS, ask('EV 15, ISO 100 at f/200'))).toBeLessThan(EXACT);
    const hp5 = exposureTime({ fNumber: 250, light: ev(12), film: findFilm('HP5 Plus') });
    expect(relative(hp5.meteredS, ask('EV 12, ISO 400 at f/250'))).toBeLessThan(EXACT);
    expect(relative(hp5.correctedS, ask('the previous on HP5 Plus, t^1.31'))).toBeLessThan(EXACT);
    const red = exposureTime({ fNumber: 180, light: ev(15), iso: 100, filterFactor: 8 });
    expect(relative(red.correctedS, ask('EV 15, ISO 100 at f/180 with a filter of factor 8'))).toBeLessThan(EXACT);
  });

  test('full sun on a data sheet: 1/500 s at f/16, ISO 400 is EV 14.97 (printed to 0.01), the guide says 15', () => {
    const ev = evOfReading({ meteredS: 1 / 500, fNumber: 16, iso: 400 });
    expect(Math.abs(ev - published.sceneCheck.value)).toBeLessThan(0.005);
    const sun = SCENES.find((scene) => scene.id === 'bright-sun');
    expect(sun && sceneEv(sun).ev100Ev).toBe(published.sceneCheck.table);
  });

  test('the same sheet, its other scenes against the guide, within 0.1 EV (1/500 is not 1/512)', () => {
    const marks: [string, number][] = [
      ['bright-sun-snow', 22],
      ['bright-sun', 16],
      ['hazy-sun', 11],
      ['cloudy-bright', 8],
      ['heavy-overcast', 5.6],
      ['open-shade', 5.6],
    ];
    for (const [id, mark] of marks) {
      const ev = evOfReading({ meteredS: 1 / 500, fNumber: fNumberOfMark(mark), iso: 400 });
      const scene = SCENES.find((candidate) => candidate.id === id);
      expect(Math.abs(ev - (scene ? sceneEv(scene).ev100Ev : NaN)), id).toBeLessThan(0.1);
    }
  });
});

describe('the scene guide is complete', () => {
  test('every value of the table, in its order, none dropped', () => {
    const values = Object.values(published.scenes.ev100).map((ev) => (typeof ev === 'number' ? [ev, ev] : ev));
    expect(SCENES.map((scene) => scene.ev100Ev)).toEqual(values);
  });
});

describe('laws at one time each (computed.json) and as found (reciprocity.json, checks)', () => {
  const law = (what: string): number => computed.laws.find((row) => row.what.startsWith(what))?.timeS ?? NaN;
  const found = (what: string): number => reciprocityData.checks.find((row) => row.what === what)?.expect_s ?? NaN;
  const alternate = (film: string, source: string, meteredS: number): number =>
    alternateTimes(findFilm(film), meteredS).find((other) => other.source.includes(source))?.correctedS ?? NaN;

  test('Ilford: 10 s → 20.4 s at P = 1.31', () => {
    const given = correctedTimeS(findFilm('HP5 Plus'), published.ilfordExample.tm);
    expect(relative(given, law('Ilford'))).toBeLessThan(EXACT);
    expect(Math.abs(given - published.ilfordExample.tc)).toBeLessThan(0.05);
    expect(Math.abs(given - found('HP5+ 10 s, P 1.31'))).toBeLessThan(0.005);
  });

  test('Gainer and Bond, Covington', () => {
    const tri = alternate('Tri-X 400 / Tri-X 320', 'Gainer', 10);
    expect(relative(tri, law('Gainer on Tri-X'))).toBeLessThan(EXACT);
    // printed 17.05, a rounding of 17.045 the other way
    expect(Math.abs(tri - found('Gainer 400TX 10 s'))).toBeLessThan(0.006);
    const tmx = alternate('T-MAX 100', 'Gainer', 100);
    expect(relative(tmx, law('Gainer on T-MAX 100'))).toBeLessThan(EXACT);
    expect(Math.abs(tmx - found('Gainer TMX 100 s'))).toBeLessThan(0.05);
    const delta = alternate('Delta 100', 'Covington', 60);
    expect(relative(delta, law('Covington'))).toBeLessThan(EXACT);
    expect(Math.abs(delta - found('Covington Delta 100 p=.85 60 s'))).toBeLessThan(0.05);
  });

  test('the note that compares independent fits with makers at 100 s (printed to 1 s)', () => {
    // printed 393 for 393.65 (cut, not rounded), 275 for 275.4, 206 for 206.0
    expect(Math.abs(alternate('Tri-X 400 / Tri-X 320', 'Gainer', 100) - 393)).toBeLessThan(0.7);
    expect(Math.abs(alternate('HP5 Plus', 'Gainer', 100) - 275)).toBeLessThan(0.6);
    expect(Math.abs(alternate('T-MAX 400 (TMY-2)', 'Gainer', 100) - 206)).toBeLessThan(0.6);
    expect(Math.round(correctedTimeS(findFilm('HP5 Plus'), 100))).toBe(417);
  });
});

describe('every published figure stands in the films, none dropped', () => {
  const EVIDENCE: Record<string, string> = { found: 'published', memory: 'memory', 'found+memory': 'memory' };

  test('40 films, 4 papers and plates, 18 without figures, 6 laws', () => {
    expect(sourceFilms.length).toBe(40);
    const names = new Set(FILMS.flatMap((film) => [film.name, ...film.alsoNamed]));
    for (const { film } of sourceFilms) expect(names).toContain(film);
    for (const { material } of reciprocityData.papers_xray) expect(names).toContain(material);
    for (const name of reciprocityData.no_maker_data_sourced) expect(names).toContain(name);
    expect(names.size).toBe(40 + reciprocityData.papers_xray.length + reciprocityData.no_maker_data_sourced.length);
    expect(reciprocityData.papers_xray.length).toBe(4);
    expect(reciprocityData.no_maker_data_sourced.length).toBe(18);
    expect(new Set(FILMS.map((film) => film.id)).size).toBe(FILMS.length);
    expect(RECIPROCITY_LAWS.map((note) => note.id)).toEqual(reciprocityData.models.map((model) => model.id));
  });

  test.each(sourceFilms)('$film', (source) => {
    const film = findFilm(source.film.toUpperCase());
    expect(film.name).toBe(source.film);
    expect(film.maker).toBe(source.maker);
    expect(film.kind).toBe(source.type);
    expect(film.iso).toBe(source.iso);
    expect(film.source).toBe(source.document);
    const quoted = source.evidence === 'found' && /quoted|via compilation/.test(source.document);
    expect(film.evidence).toBe(quoted ? 'second-hand' : EVIDENCE[source.evidence]);
    expect(film.notRecommendedFromS).toBe(source.not_recommended_from_s ?? null);
    if (source.status !== undefined && source.status !== 'current') expect(film.status).toBe(source.status);
    if (source.model === 'power') {
      expect(film.law).toEqual({ model: 'power', exponent: source.P, validFromS: 1, validToS: null });
      expect(film.noCorrectionUpToS).toBe(1);
      return;
    }
    expect(film.noCorrectionUpToS).toBe(source.no_correction_up_to_s);
    const rows = source.rows ?? [];
    expect(film.law.model).toBe(rows.length === 0 ? 'none' : 'table');
    const own = film.law.model === 'table' ? film.law.rows : [];
    expect(own.length).toBe(rows.length);
    rows.forEach((row, i) => {
      expect(own[i]?.correctedS).toBe(row.corrected_s ?? null);
      expect(own[i]?.correctionStops).toBe(row.stops ?? null);
      expect(own[i]?.colourFilter).toBe(row.cc_filter === undefined ? null : `CC${row.cc_filter}`);
      expect(own[i]?.developmentChange).toBe(row.dev_change?.replace('-', '−') ?? null);
      // the node itself, to the last bit where a time is printed
      expect(correctedTimeS(film, row.metered_s)).toBe(timeOf(row));
      expect(reciprocity(film, row.metered_s).state).toBe('corrected');
      if (row.factor !== undefined) expect(timeOf(row)).toBeCloseTo(row.factor * row.metered_s, 9);
    });
    const limit = source.no_correction_up_to_s ?? NaN;
    const inside = rows[0]?.metered_s === limit ? limit * 0.999 : limit;
    expect(correctedTimeS(film, inside)).toBe(inside);
  });

  test('the practitioner’s table, beside the makers’ figures', () => {
    for (const [name, rows] of [
      ['Tri-X 400 / Tri-X 320', reciprocityData.practitioner_table.TriX_s],
      ['T-MAX 100', reciprocityData.practitioner_table.TMX_s],
    ] as const) {
      expect(rows.length).toBe(12);
      for (const [metered, given] of rows) {
        const other = alternateTimes(findFilm(name), metered ?? NaN).find(({ source }) => source.includes('Barnbaum'));
        expect(other?.correctedS).toBe(given);
        expect(other?.evidence).toBe('second-hand');
      }
    }
  });

  test('papers carry a range of exposure indices, not a film speed', () => {
    const range = (name: string): unknown => findFilm(name).exposureIndexRange;
    expect(range('Ilford Multigrade RC (deluxe), no filter and grades 00-3.5')).toEqual([3, 6]);
    expect(range('Ilford Special Lantern plate (historic)')).toEqual([5, 5]);
    expect(range('Harman Direct Positive FB')).toEqual([1, 3]);
    expect(range('x-ray film, blue- or green-sensitive, daylight')).toEqual([25, 100]);
    for (const { material } of reciprocityData.papers_xray) expect(findFilm(material).iso).toBeNull();
  });

  test('a film goes through its own record and back unchanged', () => {
    for (const film of FILMS) expect(filmFrom(JSON.parse(JSON.stringify(film)))).toEqual(film);
  });
});
