import { describe, expect, it } from 'vitest';
import { roundShape } from '../optics/hole-shape.ts';
import { roundOtf } from '../optics/round-point-image.ts';
import { oneWavelength } from '../optics/seen-light.ts';
import { bestDiameter } from './best-diameter.ts';
import { filmSight } from '../camera/film-plane.ts';
import { contrastAt, fieldContrast } from './field-contrast.ts';
import { filmRay } from './film-ray.ts';
import { compareHoles, pictureInWords } from './in-words.ts';

const camera = { frame: { widthMm: 127, heightMm: 102 }, focalLengthMm: 106, holeShift: { xMm: 0, yMm: 0 } };
const light = oneWavelength(550);
const view = { camera, shape: roundShape(0.43), objectDistanceMm: Infinity, light };

describe('rays to the film', () => {
  it('light falls off as cos⁴ on a flat film, cos φ cos⁴ ψ on a cylinder', () => {
    const theta = 0.6;
    expect(filmRay(camera, { xMm: 106 * Math.tan(theta), yMm: 0 }).lightShare).toBeCloseTo(Math.cos(theta) ** 4, 12);
    const bent = { ...camera, filmPlane: 'cylinder' as const };
    expect(filmRay(bent, { xMm: 106 * theta, yMm: 0 }).lightShare).toBeCloseTo(Math.cos(theta), 12);
    expect(filmRay(bent, { xMm: 106 * 0.3, yMm: 106 * Math.tan(theta) }).lightShare).toBeCloseTo(Math.cos(0.3) * Math.cos(theta) ** 4, 12);
    expect(() => filmRay(bent, { xMm: 170, yMm: 0 })).toThrow(/behind the hole/);
  });

  // optics notes §2: hole in the wall of a can of diameter D: light cos⁴ ψ / D², whatever φ; the chord to the wall is D cos φ
  it('the wall of a can gets the same light all along, and lies nearer aside', () => {
    const can = { ...camera, filmPlane: 'can' as const };
    const aside = filmRay(can, { xMm: 106 * 0.5, yMm: 0 });
    expect(aside.lightShare).toBeCloseTo(1, 12);
    expect(aside.distanceMm).toBeCloseTo(106 * Math.cos(0.5), 12);
    expect(aside.slantRad).toBeCloseTo(0.5, 12);
    const psi = Math.atan(30 / (106 * Math.cos(0.5)));
    expect(filmRay(can, { xMm: 106 * 0.5, yMm: 30 }).lightShare).toBeCloseTo(Math.cos(psi) ** 4, 12);
    // against the neighbouring film points: offsets along the film as they stand across the ray
    const step = 1e-4;
    const place = (xMm: number, yMm: number) => {
      const { xMm: x, yMm: y, depthMm } = filmSight(can, { xMm, yMm });
      return [x, y, depthMm] as const;
    };
    for (const [xMm, yMm] of [[53, 30], [-40, 12], [20, -35]] as const) {
      const ray = filmRay(can, { xMm, yMm });
      const e1 = [Math.cos(ray.slantRad) * Math.cos(ray.azimuthRad), Math.cos(ray.slantRad) * Math.sin(ray.azimuthRad), -Math.sin(ray.slantRad)];
      const e2 = [-Math.sin(ray.azimuthRad), Math.cos(ray.azimuthRad), 0];
      const tangent = (dx: number, dy: number) => place(xMm + dx, yMm + dy).map((value, i) => (value - (place(xMm - dx, yMm - dy)[i] as number)) / (2 * step));
      const dot = (a: readonly number[], b: readonly number[]): number => a.reduce((sum, value, i) => sum + value * (b[i] as number), 0);
      const along = tangent(step, 0);
      const up = tangent(0, step);
      [dot(e1, along), dot(e1, up), dot(e2, along), dot(e2, up)].forEach((value, i) => expect(ray.projection[i]).toBeCloseTo(value, 6));
    }
  });

  it('a flat film narrows offsets away from the axis by cos θ, a cylinder does not along itself', () => {
    const ray = filmRay(camera, { xMm: 60, yMm: 0 });
    const cos = Math.cos(ray.slantRad);
    [cos, 0, 0, 1].forEach((value, i) => expect(ray.projection[i]).toBeCloseTo(value, 12));
    const bent = filmRay({ ...camera, filmPlane: 'cylinder' }, { xMm: 60, yMm: 0 });
    [1, 0, 0, 1].forEach((value, i) => expect(bent.projection[i]).toBeCloseTo(value, 12));
  });
});

describe('contrast across the frame', () => {
  it('at the foot is the round hole’s, tangential and sagittal alike', () => {
    const at = contrastAt(view, { xMm: 0, yMm: 0 }, [1, 3]);
    const round = roundOtf({ diameterMm: 0.43, focalLengthMm: 106, objectDistanceMm: Infinity, light }, [1, 3]);
    round.forEach((value, i) => {
      expect(at?.tangential[i]).toBeCloseTo(value, 10);
      expect(at?.sagittal[i]).toBeCloseTo(value, 10);
    });
  });

  it('aside: a narrower hole farther away, tangential detail stretched; cutoffs d/(λf) cos³ θ and cos θ', () => {
    const point = { xMm: 45, yMm: -36 };
    const ray = filmRay(camera, point);
    const cos = Math.cos(ray.slantRad);
    const at = contrastAt(view, point, [2]);
    const away = { focalLengthMm: 106 / cos, objectDistanceMm: Infinity, light };
    expect(at?.tangential[0]).toBeCloseTo(roundOtf({ ...away, diameterMm: 0.43 * cos }, [2 / cos])[0] as number, 10);
    expect(at?.sagittal[0]).toBeCloseTo(roundOtf({ ...away, diameterMm: 0.43 }, [2])[0] as number, 10);
    const cutoff = 0.43 / (550e-6 * 106);
    expect(contrastAt(view, point, [1.001 * cutoff * cos ** 3])?.tangential[0]).toBe(0);
    expect(contrastAt(view, point, [0.98 * cutoff * cos ** 3])?.tangential[0]).not.toBe(0);
    expect(contrastAt(view, point, [1.001 * cutoff * cos])?.sagittal[0]).toBe(0);
  });

  it('a thick plate widens the blur aside and may take all light', () => {
    const thick = fieldContrast({ ...view, thicknessMm: 0.1 }, [2]);
    expect(thick.map(({ place }) => place)).toEqual(['foot', 'edge', 'corner']);
    expect(thick[2]?.contrast?.tangential[0]).not.toBeCloseTo(fieldContrast(view, [2])[2]?.contrast?.tangential[0] as number, 3);
    expect(contrastAt({ ...view, thicknessMm: 1 }, { xMm: 63, yMm: 51 }, [2])).toBeNull();
  });
});

describe('best diameter by computing it', () => {
  // dOTF/dd = 0 found in 30 digits elsewhere; see reference/optics-picture
  it.each([
    [25, 1, 0.20192370540156, 0.8743585313],
    [106 - 6, 3, 0.33573338899942, 0.2896460654],
    [300, 1, 0.55995563577329, 0.5201091073],
  ])('f %d mm, %d cycles/mm', (focalLengthMm, frequency, diameterMm, contrast) => {
    const answer = bestDiameter({
      camera: { ...camera, focalLengthMm },
      objectDistanceMm: Infinity,
      light,
      aim: { kind: 'contrast', printFrequencyPerMm: frequency / 2 },
      printWidthMm: 254,
    });
    expect(answer.diameterMm).toBeCloseTo(diameterMm, 9);
    expect(answer.contrast).toBeCloseTo(contrast, 9);
    expect(answer.frequencyPerMm).toBeCloseTo(frequency, 12);
    expect(answer.bandMm[0]).toBeLessThan(diameterMm);
    expect(answer.bandMm[1]).toBeGreaterThan(diameterMm);
    expect(Math.max(...answer.curve.meritShare)).toBeLessThanOrEqual(1 + 1e-9);
  });

  it('the criterion’s curve has its top at 1 and the maker’s own hole on it', () => {
    const answer = bestDiameter({
      camera,
      objectDistanceMm: Infinity,
      light,
      aim: { kind: 'criterion', criterion: 'detail-10' },
      ownDiameterMm: 0.5,
    });
    expect(answer.diameterMm).toBeCloseTo(1.7784656303006 * Math.sqrt(106 * 550e-6), 7);
    expect(answer.own?.meritShare).toBeLessThan(0.95);
    expect(answer.own?.lightStops).toBeGreaterThan(0);
  });

  it('most even: no neighbour serves the worst place better', () => {
    const question = { camera, objectDistanceMm: Infinity, light, aim: { kind: 'even', printFrequencyPerMm: 1.5 } } as const;
    const { diameterMm, contrast } = bestDiameter(question);
    for (const factor of [0.97, 1.03]) {
      const places = fieldContrast({ ...view, shape: roundShape(factor * diameterMm) }, [1.5]);
      const worst = Math.min(...places.flatMap((at) => [at.contrast?.tangential[0] ?? 0, at.contrast?.sagittal[0] ?? 0]));
      expect(worst).toBeLessThan(contrast as number);
    }
  });
});

describe('in words', () => {
  it('gives detail, bars and prints with their criterion', () => {
    const round = { diameterMm: 0.43, focalLengthMm: 106, objectDistanceMm: Infinity, light };
    const words = pictureInWords(round, 127);
    expect(words.finestPerMm).toBeCloseTo(5.369, 2);
    expect(words.crispPrint[1]?.enlargementFactor).toBeCloseTo((words.finestPerMm * 600) / 1250, 10);
    expect(words.sentences.join(' ')).toMatch(/5 lines per mm at reading distance/);
    expect(compareHoles(round, 0.5).sentence).toMatch(/0\.5 mm instead of 0\.43 mm shows .* less detail and takes 0\.44 stops more light\./);
  });
});
