/** The passes of a plate as a maker counts them: one for each scan, however often that scan was read. */
import type { PassRecord, PlateRecord } from '#core';

export interface PassLine {
  readonly number: number;
  /** The last reading of the scan: the one that holds. */
  readonly pass: PassRecord;
  /** How often the scan was read: with another scale, another face, another hole. */
  readonly readings: number;
}

/** In the order of the work. Readings of one scan that follow each other are one line. */
export function passLines(plate: PlateRecord): PassLine[] {
  const lines: PassLine[] = [];
  for (const pass of plate.passes) {
    const last = lines.at(-1);
    const sameScan = last !== undefined && pass.scan !== null && last.pass.scan?.sha256 === pass.scan.sha256;
    if (sameScan) {
      lines[lines.length - 1] = { ...last, pass, readings: last.readings + 1 };
    } else {
      lines.push({ number: lines.length + 1, pass, readings: 1 });
    }
  }
  return lines;
}

/** `Plate D` after plates A, B and C; after Z it counts on. */
export function nextPlateName(plates: readonly PlateRecord[]): string {
  const taken = new Set(plates.map((plate) => plate.name.trim().toLowerCase()));
  for (let i = 0; i < 26; i++) {
    const name = `Plate ${String.fromCharCode(65 + i)}`;
    if (!taken.has(name.toLowerCase())) {
      return name;
    }
  }
  let n = 27;
  while (taken.has(`plate ${n}`)) {
    n += 1;
  }
  return `Plate ${n}`;
}
