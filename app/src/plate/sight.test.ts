import { plateFrame } from '#core';
import type { PassRecord } from '#core';
import { describe, expect, it } from 'vitest';
import { clockHour, clockWords, sightOf } from './sight.ts';
import { mapped } from './view.ts';

const scan = { sha256: 'a'.repeat(64), fileName: 'a.png', scannedFace: 'scene', mirrored: false } as const;
const scanCenter = { xMm: 3, yMm: 4 };

function pass(change: Partial<NonNullable<PassRecord['scan']>> = {}): PassRecord {
  const figures = { outlineDiameterMm: 0.4, scanCenter };
  return { id: 'p', at: '2026-01-01T00:00:00Z', scan: { ...scan, ...change }, figures };
}

describe('clock', () => {
  it('has 12 at the top and runs clockwise', () => {
    expect([0, 90, 180, 270, 30, 60].map((deg) => clockHour((deg * Math.PI) / 180))).toEqual([3, 12, 9, 6, 2, 1]);
    expect(clockWords(Math.PI / 6)).toBe('2 o’clock');
  });
});

describe('sight', () => {
  it('shows a burr as scanned where the scan shows it, and from the film side where it is there', () => {
    // In the scan at 2 o'clock, scanned with the scene side on the glass: from the film side at 10 o'clock.
    const angleRad = plateFrame(scan, scanCenter).angle(Math.PI / 6);
    expect(clockWords(sightOf(pass(), 'scan').angle(angleRad))).toBe('2 o’clock');
    expect(clockWords(sightOf(pass(), 'film').angle(angleRad))).toBe('10 o’clock');
  });

  it('turns the mark up from the film side', () => {
    const marked = pass({ scannedFace: 'film', markAngleRad: 0 });
    const frame = plateFrame({ ...scan, scannedFace: 'film', markAngleRad: 0 }, scanCenter);
    const sight = sightOf(marked, 'film');
    expect(clockHour(sight.angle(frame.angle(0)))).toBe(12);
    expect(sight.words).toBe('seen from the film side, mark up');
    expect(sight.clockWords).toBe('the mark at 12 o’clock');
  });

  it.each(['scan', 'film'] as const)('places pixels under the outline (%s)', (side) => {
    const record = pass({ markAngleRad: 1.1 });
    const sight = sightOf(record, side);
    const frame = plateFrame({ ...scan, markAngleRad: 1.1 }, scanCenter);
    const inScan = { xMm: 3.12, yMm: 3.9 };
    const byOutline = sight.place(frame.point(inScan));
    const byPixels = mapped(sight.fromScan!, { x: inScan.xMm, y: inScan.yMm });
    expect(byPixels.x).toBeCloseTo(byOutline.x, 9);
    expect(byPixels.y).toBeCloseTo(byOutline.y, 9);
  });

  it('says from where one looks', () => {
    expect(sightOf(pass(), 'scan').words).toBe('as scanned, seen from the scene side');
    expect(sightOf(pass({ mirrored: true }), 'scan').words).toBe('as scanned, seen from the film side');
    expect(sightOf({ ...pass(), scan: null }, 'scan')).toMatchObject({ side: 'film', fromScan: null });
  });
});
