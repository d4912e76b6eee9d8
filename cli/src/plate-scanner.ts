/** A scanner's own scale: found from scans of a steel rule, kept in the workshop, used for later scans. */
import { readFile } from 'node:fs/promises';
import { basename } from 'node:path';
import { InputError, UM_PER_MM, calibrationFromRule, formatNumber, thawed } from '#core';
import type { RuleScan, ScannerRecord } from '#core';
import { newId, nodeClock, openWorkshopFile, readWorkshopFile } from '#io/node';
import type { PlateRoom } from '#io/ports';
import type { Answer } from './answer.ts';

const MM_PER_INCH = 25.4;

function sameName(a: string, b: string): boolean {
  return a.trim().toLowerCase() === b.trim().toLowerCase();
}

function workshopPath(path: string | undefined): string {
  if (path !== undefined) return path;
  throw new InputError('missing', 'A scanner stands in a workshop: give --workshop FILE.', { path: '--workshop' });
}

/** The scanner of that name in a workshop file. */
export async function scannerOf(path: string | undefined, name: string): Promise<ScannerRecord> {
  const file = workshopPath(path);
  const { scanners } = await readWorkshopFile(file);
  const found = scanners.find((scanner) => sameName(scanner.name, name) || scanner.id === name);
  if (found !== undefined) return found;
  const names = scanners.map((scanner) => scanner.name).join(', ');
  throw new InputError(
    'unknown-name',
    `There is no scanner named "${name}" in ${file}. ${names === '' ? 'It holds none: make one with --calibrate.' : `It holds: ${names}.`}`,
    { path: '--scanner', got: name, expected: names },
  );
}

export interface CalibrationQuestion {
  readonly files: readonly string[];
  readonly name: string;
  readonly workshop: string | undefined;
  readonly divisionMm?: number;
}

/**
 * Finds the scale of a scanner from scans of a steel rule, across and down, and appends it to the scanner's record.
 * @throws InputError no-scale when no rule is found; missing
 */
export async function calibrateCommand(question: CalibrationQuestion, room: PlateRoom): Promise<Answer> {
  const file = workshopPath(question.workshop);
  const scans: RuleScan[] = [];
  const families: string[] = [];
  for (const path of question.files) {
    const bytes = await readFile(path).catch(() => {
      throw new InputError('missing', `${path} could not be read. Check the name and the folder.`, { path: 'file', got: path });
    });
    const { marks, opened } = await room.rule(new Uint8Array(bytes), basename(path));
    scans.push({ marks, stated: opened.scale });
    families.push(`${basename(path)}: ${marks.length === 0 ? 'no rule found' : marks.map(({ divisions }) => `${divisions} divisions`).join(' and ')}`);
  }
  const clock = nodeClock;
  const calibration = calibrationFromRule(scans, {
    id: newId(),
    at: clock.now(),
    timeZone: clock.zone(),
    ...(question.divisionMm !== undefined && { divisionMm: question.divisionMm }),
  });
  const store = await openWorkshopFile(file);
  try {
    store.change('scanner', (draft) => {
      const known = draft.scanners.find((scanner) => sameName(scanner.name, question.name));
      if (known) known.calibrations.push(thawed(calibration));
      else draft.scanners.push({ id: newId(), name: question.name, calibrations: [thawed(calibration)] });
    });
    await store.flush();
  } finally {
    await store.close();
  }
  const dpi = (mmPerPx: number): string => formatNumber(MM_PER_INCH / mmPerPx, { significant: 5 });
  return {
    json: { scanner: question.name, workshop: file, calibration },
    text:
      `${question.name}: ${dpi(calibration.xMmPerPx)} px per inch across and ${dpi(calibration.yMmPerPx)} down ` +
      `(${formatNumber(calibration.xMmPerPx * UM_PER_MM, { significant: 5 })} × ${formatNumber(calibration.yMmPerPx * UM_PER_MM, { significant: 5 })} µm), ` +
      `good to ${formatNumber(100 * (calibration.relativeUncertainty ?? 0), { significant: 2 })} % (k = 1).\n` +
      `Kept in ${file}; use it with --scanner "${question.name}" --workshop ${file}.`,
    notes: families,
  };
}
