import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { landing } from './paper.ts';
import type { SunCamera } from './paper.ts';
import { sunPosition } from './position.ts';
import { skylineRad, sunTracks } from './tracks.ts';
import type { TracksQuestion } from './tracks-answer.ts';
import { tracksDrawing, tracksSvg } from './tracks-drawing.ts';

const DEG = Math.PI / 180;
const ZURICH = { latitudeRad: 47.37 * DEG, longitudeRad: 8.54 * DEG };
const CAN: SunCamera = {
  surface: 'can-wall', distanceMm: 66, paperWidthMm: 180, paperHeightMm: 110, holeHeightMm: 90,
  azimuthRad: Math.PI, tiltRad: 0,
};
const dateWords = (instantS: number): string => new Date(instantS * 1000).toISOString().slice(5, 10);
const noonOf = (year: number, month: number, day: number): number => Date.UTC(year, month - 1, day, 11) / 1000;

function ask(more: Partial<TracksQuestion> = {}): TracksQuestion {
  return {
    place: ZURICH, camera: CAN, fromS: noonOf(2026, 12, 21), toS: noonOf(2027, 6, 21), utcOffsetS: 3600,
    holeDiameterMm: 0.3, dateWords, ...more,
  };
}
const year = sunTracks(ask());

describe('where a ray lands', () => {
  const spot = (camera: SunCamera, azimuthDeg: number, altitudeDeg: number) =>
    landing(camera, { azimuthRad: azimuthDeg * DEG, altitudeRad: altitudeDeg * DEG });

  /** Independent of the formulas: a ray is followed in space to a cylinder, a half cylinder or a plane. */
  function traced(camera: SunCamera, azimuthRad: number, altitudeRad: number): { xMm: number; yMm: number } {
    const s = [
      Math.cos(altitudeRad) * Math.sin(azimuthRad), Math.cos(altitudeRad) * Math.cos(azimuthRad), Math.sin(altitudeRad),
    ] as const;
    const [A, b] = [camera.azimuthRad, camera.tiltRad];
    const dot = (v: readonly number[]): number => v.reduce((sum, value, i) => sum + value * (s[i] as number), 0);
    const axis = dot([Math.sin(A) * Math.cos(b), Math.cos(A) * Math.cos(b), Math.sin(b)]);
    const right = dot([Math.cos(A), -Math.sin(A), 0]);
    const up = dot([-Math.sin(A) * Math.sin(b), -Math.cos(A) * Math.sin(b), Math.cos(b)]);
    // from the hole along −s, bisecting for the surface
    const R = camera.distanceMm / 2;
    const inside = (t: number): boolean => {
      const [x, z] = [-t * right, -t * axis];
      if (camera.surface === 'flat') return -z < camera.distanceMm;
      return camera.surface === 'can-wall' ? Math.hypot(x, z + R) < R : Math.hypot(x, z) < R;
    };
    let [lo, hi] = [1e-9, 1e5];
    for (let step = 0; step < 200; step++) {
      const middle = (lo + hi) / 2;
      if (inside(middle)) lo = middle;
      else hi = middle;
    }
    const [x, z] = [-lo * right, -lo * axis];
    const along = camera.surface === 'flat' ? x : R * Math.atan2(x, -(camera.surface === 'can-wall' ? z + R : z));
    return { xMm: along, yMm: camera.holeHeightMm - camera.paperHeightMm / 2 - lo * up };
  }

  test('agrees with a ray followed through space, on every surface', () => {
    fc.assert(
      fc.property(
        fc.constantFrom('flat' as const, 'can-wall' as const, 'can-axis' as const),
        fc.double({ min: -60, max: 60, noNaN: true }), fc.double({ min: -5, max: 60, noNaN: true }),
        fc.double({ min: -20, max: 50, noNaN: true }), fc.double({ min: 0, max: 360, noNaN: true }),
        (surface, aside, altitude, tilt, azimuth) => {
          const camera = { ...CAN, surface, tiltRad: tilt * DEG, azimuthRad: azimuth * DEG };
          const where = landing(camera, { azimuthRad: (azimuth + aside) * DEG, altitudeRad: altitude * DEG });
          fc.pre(where !== null && where.offAxisRad < 80 * DEG);
          const true_ = traced(camera, (azimuth + aside) * DEG, altitude * DEG);
          // bisection over 100 m leaves 1e-11 of it; grazing rays stretch it
          expect(where?.xMm).toBeCloseTo(true_.xMm, 5);
          expect(where?.yMm).toBeCloseTo(true_.yMm, 5);
        },
      ),
      { numRuns: 200 },
    );
  });

  test('what stands to the left of the scene lands right of the middle, what is high lands low, seen from the film side', () => {
    const east = spot(CAN, 150, 20); // looking south, east is left
    expect(east?.xMm).toBeGreaterThan(0);
    expect(east?.yMm).toBeLessThan(spot(CAN, 150, 5)?.yMm as number);
  });

  test('in a can the whole half circle of the scene goes once round the wall: angle at the axis is twice that at the hole', () => {
    expect(spot(CAN, 180 - 45, 0)?.xMm).toBeCloseTo((Math.PI / 2) * 33, 9);
    expect(spot({ ...CAN, surface: 'can-axis' }, 180 - 45, 0)?.xMm).toBeCloseTo((Math.PI / 4) * 33, 9);
    expect(spot(CAN, 0, 0)).toBeNull();
  });
});

describe('tracks of half a year', () => {
  test('solstices, equinox and hours are there, and the noon sun lies due south in the middle of the paper', () => {
    expect(year.tracks.map(({ name }) => name).filter((name) => name !== null)).toEqual([
      'December solstice', 'March equinox', 'June solstice',
    ]);
    expect(year.hourLines.map(({ hour }) => hour)).toEqual(expect.arrayContaining([9, 12, 15]));
    for (const { noon } of year.tracks) expect(Math.abs(noon.landing?.xMm ?? 9)).toBeLessThan(0.05);
  });

  /** At the equinox the declination is nil, and the day is the mirror image of itself about noon. */
  test('the track of the equinox is symmetrical about noon, to the change of the declination in a day', () => {
    const equinox = year.tracks.find(({ name }) => name === 'March equinox');
    const noonS = equinox?.noon.instantS as number;
    for (const hours of [1, 2, 3, 4]) {
      const [before, after] = [-1, 1].map((side) => {
        const { azimuthRad, apparentAltitudeRad } = sunPosition(ZURICH, noonS + side * hours * 3600);
        return landing(CAN, { azimuthRad, altitudeRad: apparentAltitudeRad });
      });
      // 0.4° a day of declination is 0.13° in eight hours: 0.2 mm here, more where the paper slants
      expect(Math.abs((before?.xMm ?? 0) + (after?.xMm ?? 9))).toBeLessThan(0.7);
      expect(Math.abs((before?.yMm ?? 0) - (after?.yMm ?? 9))).toBeLessThan(0.7);
    }
  });

  test('the equinox sun on a flat sheet facing south draws a straight line when the tilt is that of the equator', () => {
    const camera: SunCamera = { ...CAN, surface: 'flat', tiltRad: Math.PI / 2 - ZURICH.latitudeRad, holeHeightMm: 55 };
    const flat = sunTracks(ask({ camera, fromS: noonOf(2027, 3, 20), toS: noonOf(2027, 3, 22) }));
    const track = flat.tracks.find(({ name }) => name === 'March equinox');
    const spots = (track?.points ?? []).flatMap(({ landing: where, drawn }) => (drawn && where?.onPaper ? [where.yMm] : []));
    expect(spots.length).toBeGreaterThan(20);
    // declination within 0.1° of nil, refraction up to 0.1° well above the horizon: 0.2 mm at 66 mm, more at the ends
    expect(Math.max(...spots) - Math.min(...spots)).toBeLessThan(0.6);
  });

  test('whether the noon sun of June stays on the paper: by the altitude 90° − latitude + 23.44°', () => {
    const altitudeRad = 90 * DEG - ZURICH.latitudeRad + 23.44 * DEG;
    const fallMm = 66 * Math.tan(altitudeRad);
    const { highestNoon } = year;
    expect(highestNoon?.track.name).toBe('June solstice');
    // refraction and the disc's centre: 0.01°
    expect(highestNoon?.marginMm).toBeCloseTo(90 - fallMm, 0);
    expect(year.sentence).toMatch(/misses the paper by 59 mm, beyond its lower edge\. To keep it: tilt to/);
    const tiltRad = highestNoon?.remedy?.tiltRad as number;
    const tilted = sunTracks(ask({ camera: { ...CAN, tiltRad } }));
    expect(tilted.highestNoon?.marginMm).toBeGreaterThanOrEqual(0);
    expect(tilted.sentence).toMatch(/stays on the paper/);
    const raised = sunTracks(ask({ camera: { ...CAN, holeHeightMm: highestNoon?.remedy?.holeHeightMm as number } }));
    expect(raised.highestNoon?.marginMm).toBeCloseTo(0, 6);
  });

  /** Declination changes by 0.395° a day at the equinox, 23.44°·2π/365.24 = 0.403° at most; common astronomy. */
  test('spacing at the equinox on a flat sheet square to the noon sun: f·0.395°, line: f·0.533° and the hole', () => {
    const camera: SunCamera = { ...CAN, surface: 'flat', tiltRad: Math.PI / 2 - ZURICH.latitudeRad, holeHeightMm: 55 };
    const flat = sunTracks(ask({ camera }));
    const equinox = flat.spacings.find(({ noonS }) => Math.abs(noonS - noonOf(2027, 3, 20)) < 86_400);
    expect(equinox?.spacingMm).toBeCloseTo(66 * 0.395 * DEG, 2);
    expect(equinox?.discMm).toBeCloseTo(66 * 0.535 * DEG, 2);
    expect(equinox?.blurMm).toBeGreaterThan(0.15);
    expect(equinox?.lineMm).toBeCloseTo((equinox?.discMm as number) + (equinox?.blurMm as number), 12);
    expect(flat.spacings[0]?.spacingMm).toBeLessThan(0.01);
    expect(flat.sentence).toMatch(/neighbouring days run together/);
  });

  test('south of the equator the highest noon is that of December, and the sun goes through the north', () => {
    const sydney = { latitudeRad: -33.87 * DEG, longitudeRad: 151.21 * DEG };
    const south = sunTracks(ask({ place: sydney, camera: { ...CAN, azimuthRad: 0 }, utcOffsetS: 36_000 }));
    expect(south.highestNoon?.track.name).toBe('December solstice');
    expect(south.hourLines.length).toBeGreaterThan(4);
    expect(sunTracks(ask({ place: sydney, utcOffsetS: 36_000 })).sentence).toMatch(/never falls on the paper/);
  });

  test('a skyline hides what is behind it', () => {
    const hidden = sunTracks(ask({ horizon: [{ azimuthRad: 0, altitudeRad: 30 * DEG }] }));
    const december = hidden.tracks[0];
    expect(december?.points.some(({ drawn }) => drawn)).toBe(false);
    expect(hidden.tracks.at(-1)?.points.some(({ drawn }) => drawn)).toBe(true);
    const corners = [{ azimuthRad: 90 * DEG, altitudeRad: 10 * DEG }, { azimuthRad: 180 * DEG, altitudeRad: 0 }];
    expect(skylineRad(corners, 135 * DEG) / DEG).toBeCloseTo(5, 9);
    expect(skylineRad(corners, 0) / DEG).toBeCloseTo(10 - (10 / 270) * 90, 9);
  });

  test.each([
    [{ toS: noonOf(2026, 12, 20) }, /after the first/],
    [{ camera: { ...CAN, paperWidthMm: 300 } }, /does not fit/],
    [{ camera: { ...CAN, holeHeightMm: 9000 } }, /cannot be this paper/],
    [{ place: { latitudeRad: 2, longitudeRad: 0 } }, /latitude/],
    [{ holeDiameterMm: 0 }, /greater than 0/],
  ])('what cannot be is refused: %#', (more, words) => {
    expect(() => sunTracks(ask(more))).toThrow(words);
  });
});

describe('the drawing', () => {
  const drawing = tracksDrawing(year, 'emulsion', dateWords);

  test('is the film side mirrored, and the picture its upside-down: no line leaves the paper', () => {
    const picture = tracksDrawing(year, 'picture', dateWords);
    const film = tracksDrawing(year, 'film side', dateWords);
    drawing.lines.forEach((line, i) =>
      line.pieces.forEach((piece, j) =>
        piece.forEach(({ xMm, yMm }, k) => {
          expect(Math.abs(xMm)).toBeLessThanOrEqual(90 + 1e-9);
          expect(Math.abs(yMm)).toBeLessThanOrEqual(55 + 1e-9);
          expect(picture.lines[i]?.pieces[j]?.[k]).toEqual({ xMm, yMm: yMm === 0 ? -0 : -yMm });
          expect(film.lines[i]?.pieces[j]?.[k]?.xMm).toBeCloseTo(-xMm, 12);
        }),
      ),
    );
  });

  test('as SVG is true to size, in millimetres, and holds the paper and every line', () => {
    const svg = tracksSvg(drawing, 'Can <on> the roof & more');
    expect(svg).toMatch(/<svg [^>]*width="208mm" height="152mm" viewBox="-104 -69 208 152"/);
    expect(svg).toContain('<rect x="-90" y="-55" width="180" height="110"');
    expect(svg).toContain('Can &lt;on&gt; the roof &amp; more');
    expect(svg).toContain('50 mm, true size; emulsion up');
    expect(svg.match(/<path fill="none" stroke="#000" stroke-linejoin="round" stroke-width="0.5"/g)?.length).toBe(
      drawing.lines.filter(({ kind, pieces }) => kind === 'season' && pieces.length > 0).length,
    );
  });
});
