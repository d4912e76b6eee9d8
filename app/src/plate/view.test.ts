import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { affineOf, composed, fitted, mapped, moved, toWorld, viewAffine, zoomed } from './view.ts';

const size = { width: 800, height: 500 };
const bounds = { left: -2, top: -1, right: 2, bottom: 1 };
const near = fc.double({ min: -5, max: 5, noNaN: true });
const place = fc.record({ x: near, y: near });
const pixel = fc.record({ x: fc.integer({ min: 0, max: 800 }), y: fc.integer({ min: 0, max: 500 }) });

describe('view', () => {
  it('fits the whole into the screen, in its middle', () => {
    const view = fitted(bounds, size, 0);
    expect(view).toEqual({ centre: { x: 0, y: 0 }, pxPerUnit: 200 });
    expect(mapped(viewAffine(view, size), { x: 0, y: 0 })).toEqual({ x: 400, y: 250 });
  });

  it('goes from world to screen and back', () => {
    fc.assert(
      fc.property(place, place, fc.double({ min: 1, max: 1000, noNaN: true }), (centre, at, pxPerUnit) => {
        const view = { centre, pxPerUnit };
        const back = toWorld(view, size, mapped(viewAffine(view, size), at));
        expect(back.x).toBeCloseTo(at.x, 6);
        expect(back.y).toBeCloseTo(at.y, 6);
      }),
    );
  });

  it('keeps what lies under the pointer while it is enlarged', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.2, max: 5, noNaN: true }), pixel, (factor, { x, y }) => {
        const view = fitted(bounds, size);
        const next = zoomed(view, size, factor, { x, y }, { least: 1, most: 1e6 });
        const before = toWorld(view, size, { x, y });
        const after = toWorld(next, size, { x, y });
        expect(after.x).toBeCloseTo(before.x, 6);
        expect(after.y).toBeCloseTo(before.y, 6);
      }),
    );
  });

  it('is enlarged no further than its limits and never pushed out of sight', () => {
    const view = fitted(bounds, size);
    expect(zoomed(view, size, 1e9, { x: 0, y: 0 }, { least: 1, most: 50 }).pxPerUnit).toBe(50);
    expect(moved(view, { x: 1e6, y: -1e6 }, bounds).centre).toEqual({ x: -2, y: 1 });
  });

  it('composes ways in the order inner, outer', () => {
    const inner = affineOf(({ x, y }) => ({ x: 2 * x + 1, y: -y }));
    const outer = affineOf(({ x, y }) => ({ x: y, y: x + 3 }));
    expect(mapped(composed(outer, inner), { x: 5, y: 7 })).toEqual(mapped(outer, mapped(inner, { x: 5, y: 7 })));
  });
});
