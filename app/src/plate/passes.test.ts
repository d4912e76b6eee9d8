import type { PassRecord, PlateRecord } from '#core';
import { describe, expect, it } from 'vitest';
import { nextPlateName, passLines } from './passes.ts';

function pass(id: string, sha: string | null): PassRecord {
  return {
    id,
    at: '2026-01-01T00:00:00Z',
    scan: sha === null ? null : { sha256: sha, fileName: `${sha}.png`, scannedFace: 'film', mirrored: false },
  };
}
function plate(name: string, passes: readonly PassRecord[] = []): PlateRecord {
  return { id: name, name, passes };
}

describe('pass lines', () => {
  it('count readings of one scan that follow each other as one pass, the last one holding', () => {
    const lines = passLines(plate('A', [pass('1', 'x'), pass('2', 'x'), pass('3', 'y'), pass('4', 'x')]));
    expect(lines.map((line) => [line.number, line.pass.id, line.readings])).toEqual([
      [1, '2', 2],
      [2, '3', 1],
      [3, '4', 1],
    ]);
  });

  it('never join passes without a scan', () => {
    expect(passLines(plate('A', [pass('1', null), pass('2', null)]))).toHaveLength(2);
  });
});

describe('name of the next plate', () => {
  it('is the first free letter, then a number', () => {
    expect(nextPlateName([])).toBe('Plate A');
    expect(nextPlateName([plate('plate a'), plate('Plate C')])).toBe('Plate B');
    const letters = Array.from({ length: 26 }, (_, i) => plate(`Plate ${String.fromCharCode(65 + i)}`));
    expect(nextPlateName(letters)).toBe('Plate 27');
    expect(nextPlateName([...letters, plate('Plate 27')])).toBe('Plate 28');
  });
});
