/**
 * Densities as a maker writes them down: `0.15; 0.92` in a row, or each with the stops by which its subject was brighter
 * than the metered light, `-1: 0.35; 0: 0.52; 1: 0.80`. Those are taken as above base and fog, and a film is learnt from them.
 */
import { InputError } from '../errors.ts';
import type { ExposureRecord } from './workshop.ts';

export type DensityReading = NonNullable<NonNullable<ExposureRecord['result']>['densityReadings']>[number];

const READING = /^(?:([-+]?\d+(?:\.\d+)?):)?([-+]?(?:\d+\.?\d*|\.\d+))$/;

/**
 * Numbers apart by semicolons; also by spaces, or by commas where the decimals have points.
 * @throws InputError not-understood
 */
export function parseDensityReadings(text: string): readonly DensityReading[] {
  const plain = text.replaceAll('−', '-').replace(/\s*:\s*/g, ':').trim();
  const parts = plain.includes(';') ? plain.split(';') : plain.includes('.') ? plain.split(/[\s,]+/) : plain.split(/\s+/);
  return parts.map((part) => part.trim()).filter((part) => part !== '').map((part) => {
    const [, stops, density] = READING.exec(part.replaceAll(',', '.')) ?? [];
    if (density === undefined || Math.abs(Number(density)) > 10) {
      throw new InputError('not-understood', `The density “${part}” was not understood: write 0.15; 0.92, or each with the stops of its subject from the metered light, -1: 0.35; 0: 0.52.`, {
        path: 'densityReadings', got: part, expected: 'a density',
      });
    }
    return { ...(stops !== undefined && { subjectStops: Number(stops), aboveFog: true }), density: Number(density) };
  });
}

/** As `parseDensityReadings` reads it. */
export function densityReadingsText(readings: readonly DensityReading[]): string {
  return readings.map(({ density, subjectStops }) => (subjectStops === undefined ? String(density) : `${subjectStops}: ${density}`)).join('; ');
}
