import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  clearCircleMm,
  contourStops,
  countersunkShare,
  degreesToRad,
  faceView,
  lostStops,
  mapSvg,
  openingNeeds,
  smallestRoundOpeningMm,
  thickHoleShare,
  transmissionAt,
  transmissionMap,
  withHoleMoved,
  withThickness,
} from '#core';
import type { FrontQuestion, Layer } from '#core';

const camera = { frame: { widthMm: 120, heightMm: 95 }, focalLengthMm: 75, holeShift: { xMm: 0, yMm: 0 } };

function round(name: string, nearMm: number, farMm: number, diameterMm: number, more: Partial<Layer> = {}): Layer {
  return { name, nearMm, farMm, opening: { shape: 'circle', diameterMm }, ...more };
}

function share(question: FrontQuestion, xMm: number, yMm: number): number {
  return transmissionAt(question, [{ xMm, yMm }])[0]!.transmissionShare;
}

/** Common area of two discs: r² acos(…) + R² acos(…) − ½ √(…), the textbook form. */
function lens(a: number, b: number, distance: number): number {
  const d = distance;
  const r1 = a * a * Math.acos((d * d + a * a - b * b) / (2 * d * a));
  const r2 = b * b * Math.acos((d * d + b * b - a * a) / (2 * d * b));
  return r1 + r2 - Math.sqrt((-d + a + b) * (d + a - b) * (d - a + b) * (d + a + b)) / 2;
}

describe('closed forms', () => {
  test('one disc, on and off its axis: the lens of two circles, to 1e-9', () => {
    const f = 75;
    for (const [z, R, sx] of [[6, 4, 0], [6, 4, 0.7], [-8, 5, -0.4], [0.5, 0.4, 0.1]] as const) {
      const k = 1 / (1 + z / f);
      // the textbook form itself loses digits where the circles touch
      for (let i = -19; i <= 19; i++) {
        const question = { camera, hole: { diameterMm: 0.3 }, layers: [round('disc', z, z, 2 * R, { shift: { xMm: sx, yMm: 0 } })] };
        // through the penumbra on the right, from the rim's shadow line
        const edge = ((R - Math.sign(z) * sx) * f) / Math.abs(z);
        const x = edge + (i / 20) * 0.15 * (f / Math.abs(z) + 1);
        const distance = Math.abs((sx + (x * z) / f) * k);
        const inside = distance <= R * k - 0.15;
        const outside = distance >= R * k + 0.15;
        const wanted = inside ? 1 : outside ? 0 : lens(0.15, R * k, distance) / (Math.PI * 0.15 ** 2);
        expect(Math.abs(share(question, x, 0) - wanted)).toBeLessThan(1e-9);
      }
    }
  });

  test('a straight rim through the middle leaves one half', () => {
    const opening = { shape: 'polygon', pointsMm: [[0, -50], [50, -50], [50, 50], [0, 50]].map(([xMm, yMm]) => ({ xMm: xMm!, yMm: yMm! })) } as const;
    const question = { camera, hole: { diameterMm: 0.3 }, layers: [{ name: 'half', nearMm: 4, farMm: 4, opening }] };
    expect(share(question, 0, 0)).toBeCloseTo(0.5, 14);
  });

  test('a thick hole seen from afar is the overlap of its rims', () => {
    for (const degrees of [10, 30, 45, 60]) {
      const far = { ...camera, focalLengthMm: 1e7 };
      const question = { camera: far, hole: { diameterMm: 0.3 }, layers: [], plate: { edgeThicknessMm: 0.1, sharpEdge: 'film' } as const };
      const angleRad = degreesToRad(degrees);
      const seen = transmissionAt(question, [{ xMm: 1e7 * Math.tan(angleRad), yMm: 0 }])[0]!;
      expect(Math.abs(seen.plateShare - thickHoleShare({ diameterMm: 0.3, thicknessMm: 0.1, angleRad }))).toBeLessThan(1e-7);
    }
  });

  // reference/optics.json, family f_countersunk: d, land, depth and half angle of the cone, angle of the light, share
  test.each([
    [0.4, 0.05, 0.2, 45, 30, 0.908191677213318, 1e-7],
    [0.4, 0.05, 0.2, 45, 40, 0.866698415928062, 3e-6],
    [0.4, 0.05, 0.2, 45, 50, 0.746207389631553, 3e-6],
    [0.4, 0.05, 0.2, 45, 60, 0.347175065571536, 3e-6],
    [0.4, 0.02, 0.1, 30, 20, 0.97683021428288, 1e-7],
    [0.4, 0.02, 0.1, 30, 30, 0.963249846206505, 3e-6],
    [0.4, 0.02, 0.1, 30, 40, 0.896224712971134, 3e-6],
    [0.4, 0.02, 0.1, 30, 50, 0.771723684692063, 3e-6],
    [0.4, 0.02, 0.1, 30, 60, 0.567729839896051, 3e-6],
    [0.3, 0, 0.25, 45, 20, 1, 1e-7],
    [0.3, 0, 0.25, 45, 40, 1, 1e-7],
  ])('countersunk hole d=%s land=%s depth=%s half angle=%s at %s°', (d, land, depth, half, theta, wanted, tolerance) => {
    const question = {
      camera: { ...camera, focalLengthMm: 1e7 },
      hole: { diameterMm: d },
      layers: [],
      plate: { edgeThicknessMm: land, sheetThicknessMm: land + depth, slopeRad: degreesToRad(half), sharpEdge: 'film' } as const,
    };
    const seen = transmissionAt(question, [{ xMm: 1e7 * Math.tan(degreesToRad(theta)), yMm: 0 }])[0]!;
    expect(Math.abs(seen.plateShare - wanted)).toBeLessThan(tolerance);
    // and as the camera counts it, for light from afar
    const countersink = { sheetThicknessMm: land + depth, slopeRad: degreesToRad(half) };
    const share = countersunkShare({ diameterMm: d, thicknessMm: land, countersink, angleRad: degreesToRad(theta) });
    expect(Math.abs(share - wanted)).toBeLessThan(tolerance);
  });

  test('1 mm of shift in an opening 3 mm ahead moves the clipping edge by f/z = 25 mm', () => {
    const edge = (shift: number): number => {
      let low = 0;
      let high = 200;
      const question = { camera, hole: { diameterMm: 0.3 }, layers: [round('front', 3, 3, 4, { shift: { xMm: shift, yMm: 0 } })] };
      for (let i = 0; i < 60; i++) {
        const middle = (low + high) / 2;
        if (share(question, middle, 0) >= 1 - 1e-12) low = middle;
        else high = middle;
      }
      return low;
    };
    expect(edge(0) - edge(1)).toBeCloseTo(25, 6);
  });
});

describe('openings', () => {
  test('the table of needs for 120 × 95 mm at 75 mm, recomputed with the factor (1 + z/f) that it leaves out', () => {
    const half = Math.hypot(120, 95) / 2;
    const table = { 3: 6.4, 6: 12.5, 9: 18.7, 12: 24.8, 18: 37 };
    for (const [z, shown] of Object.entries(table)) {
      const zMm = Number(z);
      const without = 2 * ((zMm * half) / 75 + 0.15);
      expect(Math.abs(without - shown)).toBeLessThan(0.06);
      const exact = smallestRoundOpeningMm({ zMm, farthestFilmMm: half, focalLengthMm: 75, holeDiameterMm: 0.3 });
      expect(exact - without).toBeCloseTo((0.3 * zMm) / 75, 12);
    }
  });

  test('no smaller opening clears, none larger clips: searched out, in front and behind, shifted, with the hole risen', () => {
    fc.assert(
      fc.property(
        fc.constantFrom([2, 5], [3, 3], [-2, -9], [-20, -24], [6, 15]),
        fc.double({ min: -1, max: 1, noNaN: true }),
        fc.double({ min: -1, max: 1, noNaN: true }),
        fc.double({ min: -10, max: 10, noNaN: true }),
        ([near, far], xMm, yMm, rise) => {
          const ask = (diameterMm: number): FrontQuestion => ({
            camera: { ...camera, holeShift: { xMm: 0, yMm: rise } },
            hole: { diameterMm: 0.35 },
            layers: [round('one', near!, far!, diameterMm, { shift: { xMm, yMm } })],
          });
          const [need] = openingNeeds(ask(10));
          const least = (diameterMm: number): number =>
            Math.min(...transmissionAt(ask(diameterMm), [[60, 47.5], [-60, 47.5], [60, -47.5], [-60, -47.5]].map(([x, y]) => ({ xMm: x!, yMm: y! }))).map((one) => one.transmissionShare));
          expect(least(need!.roundMm + 1e-6)).toBe(1);
          expect(least(need!.roundMm - 0.005)).toBeLessThan(1);
          // the closed form takes the shift in its worst direction, so it is never smaller
          const closed = Math.max(...[near!, far!].map((zMm) => smallestRoundOpeningMm({
            zMm, farthestFilmMm: Math.hypot(60, 47.5 + Math.abs(rise)), focalLengthMm: 75, holeDiameterMm: 0.35, decentringMm: Math.hypot(xMm, yMm),
          })));
          expect(closed).toBeGreaterThanOrEqual(need!.roundMm - 1e-9);
        },
      ),
      { numRuns: 60 },
    );
  });

  // searched out: every size in steps of 0.002 mm, every corner of the frame looked from
  test('the smallest rectangle, slot and bevelled opening against a search, within 0.01 mm', () => {
    const eyes = [[60, 47.5], [-60, 47.5], [60, -47.5], [-60, -47.5]].map(([xMm, yMm]) => ({ xMm: xMm!, yMm: yMm! }));
    const clears = (layer: Layer): boolean => transmissionAt({ camera, hole: { diameterMm: 0.3 }, layers: [layer] }, eyes).every(({ transmissionShare }) => transmissionShare === 1);
    const searched = (make: (size: number) => Layer, from: number): number => {
      let size = from;
      while (!clears(make(size))) size += 0.002;
      return size;
    };
    for (const shift of [{ xMm: 0, yMm: 0 }, { xMm: 0.7, yMm: -0.4 }]) {
      const rectangle = (widthMm: number, heightMm: number): Layer => ({ name: 'r', nearMm: 2, farMm: 5, shift, opening: { shape: 'rectangle', widthMm, heightMm, cornerRadiusMm: 0 } });
      const own = openingNeeds({ camera, hole: { diameterMm: 0.3 }, layers: [rectangle(9, 8)] })[0]!.own;
      if (own.kind !== 'rectangle') throw new Error('no rectangle');
      expect(Math.abs(searched((size) => rectangle(size, 50), own.widthMm - 0.05) - own.widthMm)).toBeLessThan(0.01);
      expect(Math.abs(searched((size) => rectangle(50, size), own.heightMm - 0.05) - own.heightMm)).toBeLessThan(0.01);
      const slot = (factor: number): Layer => ({ name: 's', nearMm: 2, farMm: 5, shift, opening: { shape: 'slot', lengthMm: 12 * factor, widthMm: 10 * factor } });
      const scale = openingNeeds({ camera, hole: { diameterMm: 0.3 }, layers: [slot(1)] })[0]!.own;
      if (scale.kind !== 'scale') throw new Error('no scale');
      expect(12 * Math.abs(searched((size) => slot(size / 12), 12 * scale.factor - 0.05) / 12 - scale.factor)).toBeLessThan(0.01);
      const bevelled = (diameterMm: number): Layer => round('b', 2, 5, diameterMm, { shift, bevels: [{ face: 'far', angleRad: 0.6, depthMm: 2 }] });
      const { roundMm } = openingNeeds({ camera, hole: { diameterMm: 0.3 }, layers: [bevelled(9)] })[0]!;
      expect(Math.abs(searched(bevelled, roundMm - 0.05) - roundMm)).toBeLessThan(0.01);
    }
  });

  test('what is to spare is how far the layer may be moved', () => {
    const ask = (shift: number): FrontQuestion => ({
      camera,
      hole: { diameterMm: 0.3 },
      layers: [{ name: 'plate', nearMm: 3, farMm: 6, opening: { shape: 'rectangle', widthMm: 12, heightMm: 10, cornerRadiusMm: 1 }, shift: { xMm: shift, yMm: 0 } }],
    });
    const [need] = openingNeeds(ask(0));
    expect(need!.spareMm).toBeGreaterThan(0);
    const least = (shift: number): number => Math.min(...[60, -60].flatMap((x) => [47.5, -47.5].map((y) => share(ask(shift), x, y))));
    expect(least(need!.spareMm - 1e-9)).toBe(1);
    expect(least(need!.spareMm + 0.01)).toBeLessThan(1);
  });

  test('the image circle left ends where a disc begins to bite', () => {
    const circle = clearCircleMm({ camera, hole: { diameterMm: 0.3 }, layers: [round('disc', 3, 6, 8, { shift: { xMm: 0.3, yMm: 0.4 } })] });
    // R = z r/f + a (1 + z/f) + e, solved for 2r
    expect(circle).toBeCloseTo((2 * (4 - 0.15 * (1 + 6 / 75) - 0.5) * 75) / 6, 5);
  });
});

const layers = fc.array(
  fc.record({
    z: fc.double({ min: 0.5, max: 12, noNaN: true }),
    thick: fc.double({ min: 0, max: 8, noNaN: true }),
    size: fc.double({ min: 1, max: 30, noNaN: true }),
    x: fc.double({ min: -2, max: 2, noNaN: true }),
    y: fc.double({ min: -2, max: 2, noNaN: true }),
    turn: fc.double({ min: -2, max: 2, noNaN: true }),
    kind: fc.constantFrom('circle', 'rectangle', 'slot', 'polygon'),
    bevelled: fc.boolean(),
  }),
  { minLength: 1, maxLength: 5 },
);

function layerOf(of: { z: number; thick: number; size: number; x: number; y: number; turn: number; kind: string; bevelled: boolean }, grown = 0): Layer {
  const s = of.size + grown;
  const opening =
    of.kind === 'circle'
      ? ({ shape: 'circle', diameterMm: s } as const)
      : of.kind === 'rectangle'
        ? ({ shape: 'rectangle', widthMm: s, heightMm: s * 0.8, cornerRadiusMm: s * 0.1 } as const)
        : of.kind === 'slot'
          ? ({ shape: 'slot', lengthMm: s * 1.4, widthMm: s } as const)
          : ({ shape: 'polygon', pointsMm: [[-s, -s], [s, -s], [s, s], [0.2 * s, s], [0, 0.1 * s], [-0.1 * s, s], [-s, s]].map(([xMm, yMm]) => ({ xMm: xMm!, yMm: yMm! })) } as const);
  return {
    name: `${of.kind} ${of.z}`,
    nearMm: of.z,
    farMm: of.z + of.thick,
    opening,
    shift: { xMm: of.x, yMm: of.y },
    rotationRad: of.turn,
    bevels: of.bevelled && of.thick > 0 && of.kind !== 'polygon' ? [{ face: 'far', angleRad: 0.5, depthMm: of.thick / 2 }] : [],
  };
}

describe('properties', () => {
  const points = [[0, 0], [20, 31], [-45, 10], [60, 47.5], [-60, -47.5]].map(([xMm, yMm]) => ({ xMm: xMm!, yMm: yMm! }));
  const run = (question: Omit<FrontQuestion, 'camera' | 'hole'>) => transmissionAt({ camera, hole: { diameterMm: 0.4 }, ...question }, points);

  test('shares lie in 0…1; the order of layers does not matter; the same layer twice takes no more', () => {
    fc.assert(
      fc.property(layers, (drawn) => {
        const stack = drawn.map((one) => layerOf(one));
        const seen = run({ layers: stack });
        const turned = run({ layers: [...stack].reverse() });
        const twice = run({ layers: [...stack, ...stack] });
        seen.forEach(({ transmissionShare }, i) => {
          expect(transmissionShare).toBeGreaterThanOrEqual(0);
          expect(transmissionShare).toBeLessThanOrEqual(1);
          expect(turned[i]!.transmissionShare).toBeCloseTo(transmissionShare, 11);
          expect(twice[i]!.transmissionShare).toBeCloseTo(transmissionShare, 11);
        });
      }),
      { numRuns: 150 },
    );
  });

  test('a larger opening never lets less through', () => {
    fc.assert(
      fc.property(layers, fc.double({ min: 0, max: 3, noNaN: true }), (drawn, more) => {
        const seen = run({ layers: drawn.map((one) => layerOf(one)) });
        const wider = run({ layers: drawn.map((one) => layerOf({ ...one, x: 0, y: 0 }, more)) });
        const centred = run({ layers: drawn.map((one) => layerOf({ ...one, x: 0, y: 0 })) });
        expect(seen).toHaveLength(wider.length);
        centred.forEach(({ transmissionShare }, i) => expect(wider[i]!.transmissionShare).toBeGreaterThanOrEqual(transmissionShare - 1e-11));
      }),
      { numRuns: 100 },
    );
  });

  test('mirrored layers seen from mirrored points are the same', () => {
    fc.assert(
      fc.property(layers, (drawn) => {
        const stack = drawn.map((one) => layerOf(one));
        const mirrored = stack.map((layer): Layer => ({
          ...layer,
          opening:
            layer.opening.shape === 'polygon'
              ? { shape: 'polygon', pointsMm: layer.opening.pointsMm.map(({ xMm, yMm }) => ({ xMm: -xMm, yMm })) }
              : layer.opening,
          shift: { xMm: -layer.shift!.xMm, yMm: layer.shift!.yMm },
          rotationRad: -layer.rotationRad!,
        }));
        const seen = run({ layers: stack });
        const other = transmissionAt({ camera, hole: { diameterMm: 0.4 }, layers: mirrored }, points.map(({ xMm, yMm }) => ({ xMm: -xMm, yMm })));
        seen.forEach(({ transmissionShare }, i) => expect(other[i]!.transmissionShare).toBeCloseTo(transmissionShare, 10));
      }),
      { numRuns: 100 },
    );
  });

  test('a round hole and its outline of 2000 corners agree to the area between them', () => {
    const n = 2000;
    const loop = Array.from({ length: n }, (_, i) => ({ xMm: 0.2 * Math.cos((2 * Math.PI * i) / n), yMm: 0.2 * Math.sin((2 * Math.PI * i) / n) }));
    const stack = [round('a', 3, 7, 9, { shift: { xMm: 0.4, yMm: 0 } }), round('b', 2, 2, 5)];
    for (const [x, y] of [[40, 10], [44, 20], [48, 12], [-50, 14]] as const) {
      const disc = transmissionAt({ camera, hole: { diameterMm: 0.4 }, layers: stack }, [{ xMm: x, yMm: y }])[0]!;
      const outline = transmissionAt({ camera, hole: { loopsMm: [loop] }, layers: stack }, [{ xMm: x, yMm: y }])[0]!;
      expect(Math.abs(disc.transmissionShare - outline.transmissionShare)).toBeLessThan(3e-6);
    }
  });
});

describe('bent film', () => {
  test('cos φ cos⁴ ψ about the hole, no horizontal falloff in a can', () => {
    const at = (filmPlane: 'cylinder' | 'can', xMm: number, yMm: number): number =>
      transmissionAt({ camera: { ...camera, filmPlane }, hole: { diameterMm: 0.3 }, layers: [] }, [{ xMm, yMm }])[0]!.falloffStops;
    const phi = 50 / 75;
    expect(at('cylinder', 50, 0)).toBeCloseTo(-Math.log2(Math.cos(phi)), 12);
    expect(at('cylinder', 50, 40)).toBeCloseTo(-Math.log2(Math.cos(phi) * Math.cos(Math.atan(40 / 75)) ** 4), 12);
    expect(at('can', 50, 0)).toBeCloseTo(0, 12);
    expect(at('can', 50, 40)).toBeCloseTo(-4 * Math.log2(Math.cos(Math.atan(40 / (75 * Math.cos(phi))))), 12);
  });
});

test('a layer behind the hole does not forbid bent film: the image circle ends where the film would stand in it', () => {
  // the film on a cylinder of 75 mm lies 10 mm behind the hole at acos(10/75) along it
  const board = round('board', -2, -10, 400);
  const circle = clearCircleMm({ camera: { ...camera, filmPlane: 'cylinder' }, hole: { diameterMm: 0.3 }, layers: [board] });
  expect(circle).toBeCloseTo(2 * 75 * Math.acos(10 / 75), 4);
});

describe('maps and what-ifs', () => {
  const question: FrontQuestion = { camera, hole: { diameterMm: 0.3 }, layers: [round('board', 1, 6, 11), round('cover', 6, 8, 18)] };

  test('the map holds what its points hold', () => {
    const map = transmissionMap(question, { columns: 7, rows: 5 });
    for (const [column, row] of [[0, 0], [3, 2], [6, 4], [1, 3]] as const) {
      const [seen] = transmissionAt(question, [{ xMm: 120 * (column / 6 - 0.5), yMm: 95 * (0.5 - row / 4) }]);
      expect(map.transmissionShare[row * 7 + column]).toBe(seen!.transmissionShare);
      expect(map.falloffStops[row * 7 + column]).toBe(seen!.falloffStops);
    }
  });

  test('the causes add up to the whole where layers and plate do not shade one another, and each is drawn on its own', () => {
    const thick: FrontQuestion = { ...question, plate: { edgeThicknessMm: 0.05, sharpEdge: 'film' }, layers: [] };
    const map = transmissionMap(thick, { columns: 9, rows: 7 });
    const [all, falloff, plate, layers] = (['all', 'falloff', 'plate', 'layers'] as const).map((cause) => lostStops(map, cause)) as [Float64Array, Float64Array, Float64Array, Float64Array];
    all.forEach((stops, i) => expect(stops).toBeCloseTo((falloff[i] as number) + (plate[i] as number) + (layers[i] as number), 12));
    expect(Math.max(...layers)).toBe(0);
    // cos⁴ in the corner
    expect(falloff[0]).toBeCloseTo(2 * Math.log2(1 + (60 ** 2 + 47.5 ** 2) / 75 ** 2), 12);
    expect(mapSvg(map, camera.frame, { cause: 'plate' })).toContain('Stops lost to the plate’s thickness');
    expect(mapSvg(map, camera.frame, { cause: 'layers' })).not.toContain('<path');
    expect(mapSvg(map, camera.frame)).toContain('<path');
  });

  test('contours are at most a dozen, finer where little is lost', () => {
    expect(contourStops([0, 0.3]).map(({ stops }) => stops)).toEqual([0.05, 0.1, 0.15, 0.2, 0.25, 0.3]);
    expect(contourStops([0, Infinity])).toHaveLength(12);
    expect(contourStops([0, Infinity]).filter(({ strong }) => strong).map(({ stops }) => stops)).toEqual([1, 2, 3, 4, 5, 6]);
    expect(contourStops([0])).toEqual([]);
  });

  test('face on, what the view needs lies within the opening just when the layer clears', () => {
    for (const [diameterMm, shift] of [[14, 0], [13, 0], [14, 1.2], [18, 2]] as const) {
      const one: FrontQuestion = { camera, hole: { diameterMm: 0.3 }, layers: [round('board', 1, 6, diameterMm, { shift: { xMm: shift, yMm: 0 } })] };
      const [need] = openingNeeds(one);
      const { openingMm, neededMm } = faceView(one, { layerIndex: 0, zMm: need!.zMm });
      for (const { xMm, yMm } of openingMm) expect(Math.hypot(xMm - shift, yMm)).toBeCloseTo(diameterMm / 2, 9);
      const reach = Math.max(...neededMm.map(({ xMm, yMm }) => Math.hypot(xMm - shift, yMm)));
      // the rim is drawn by 25 points a circle
      expect(diameterMm / 2 - reach).toBeCloseTo(need!.spareMm, 2);
    }
  });

  test('a hole moved left sees every opening shifted to the right', () => {
    const moved = withHoleMoved(question, { xMm: -1, yMm: 0 });
    expect(moved.camera.holeShift.xMm).toBe(-1);
    expect(moved.layers.map((layer) => layer.shift!.xMm)).toEqual([1, 1]);
  });

  test('a thicker board pushes the cover out, a thinner one lets it in', () => {
    const thick = withThickness(question, 0, 9);
    expect(thick.layers.map(({ nearMm, farMm }) => [nearMm, farMm])).toEqual([[1, 10], [10, 12]]);
    expect(withThickness(question, 0, 4).layers[1]!.nearMm).toBe(5);
    const behind = { ...question, layers: [round('a', -1, -6, 11), round('b', -6, -8, 18), round('c', 1, 2, 9)] };
    expect(withThickness(behind, 0, 7).layers.map(({ nearMm, farMm }) => [nearMm, farMm])).toEqual([[-1, -8], [-8, -10], [1, 2]]);
  });

  test('what cannot be is refused with a sentence', () => {
    const bad = (layer: Partial<Layer>) => () => transmissionAt({ ...question, layers: [{ ...question.layers[0]!, ...layer }] }, []);
    expect(bad({ nearMm: -80, farMm: -90 })).toThrow(/behind the hole, but the film is only 75 mm/);
    expect(bad({ bevels: [{ face: 'far', angleRad: 0.5, depthMm: 9 }] })).toThrow(/do not fit/);
    expect(bad({ opening: { shape: 'circle', diameterMm: 0 } })).toThrow(/greater than 0/);
    const bow = [[0, 0], [4, 4], [4, 0], [0, 5]].map(([xMm, yMm]) => ({ xMm: xMm!, yMm: yMm! }));
    expect(bad({ opening: { shape: 'polygon', pointsMm: bow } })).toThrow(/crosses/);
  });
});
