/**
 * What stands around a camera: scanners and printers with what was found of their scale, film holders, and the
 * numbered pieces of film and paper that go through them. Open objects as everywhere in a workshop.
 */
import * as z from 'zod';
import { depthMm, id, lengthMm, seconds, share, sizeMm, text, time, typed, uncertaintyMm, word, zone } from './fields.ts';

const mmPerPx = () => z.number().gt(0).lte(100);

/** A scanner with the scale found from a steel rule, or from a plate of known size. Calibrations are appended. */
export const scannerSchema = z.looseObject({
  id: id(),
  name: word(),
  createdAt: time().optional(),
  calibrations: z
    .array(
      z.looseObject({
        id: id(),
        at: time(),
        timeZone: zone().optional(),
        /** What the scan's file said of its resolution when the rule was scanned. */
        statedDpi: z.number().gt(0).lte(1e6).optional(),
        xMmPerPx: mmPerPx(),
        yMmPerPx: mmPerPx(),
        /** k = 1, of both scales. */
        relativeUncertainty: share().optional(),
        /** With what the scale was found. */
        standard: z.enum(['steel rule', 'known hole', 'other']).optional(),
        /** What was measured, so that the scale can be worked out again. */
        readings: z
          .array(
            z.looseObject({
              axis: z.enum(['x', 'y']),
              lengthMm: lengthMm(),
              lengthPx: z.number().gt(0).lte(1e7),
              standardUncertaintyMm: uncertaintyMm().optional(),
            }),
          )
          .max(1000)
          .optional(),
        /** SHA-256 of the scan it was read from. */
        scanSha256: z.string().regex(/^[0-9a-f]{64}$/).optional(),
        notes: text().optional(),
      }),
    )
    .max(1000)
    .default([]),
  typed: typed().optional(),
  notes: text().optional(),
});

/** How long something comes out that is drawn 1 long. */
const printedFactor = () => z.number().gte(0.5).lte(2);

/** A printer or cutter with what it does to a length. Calibrations are appended; the last one counts. */
export const printerSchema = z.looseObject({
  id: id(),
  name: word(),
  createdAt: time().optional(),
  kind: z.enum(['printer', 'cutter']).optional(),
  calibrations: z
    .array(
      z.looseObject({
        id: id(),
        at: time(),
        timeZone: zone().optional(),
        paper: word().optional(),
        /** Printed length over drawn length, across and along the paper's way through the machine as it comes out. */
        xFactor: printedFactor(),
        yFactor: printedFactor(),
        /** k = 1, of both factors. */
        relativeUncertainty: share().optional(),
        /** What was measured on the check bars. */
        readings: z
          .array(
            z.looseObject({
              axis: z.enum(['x', 'y']),
              drawnMm: lengthMm(),
              printedMm: lengthMm(),
              standardUncertaintyMm: uncertaintyMm().optional(),
            }),
          )
          .max(1000)
          .optional(),
        notes: text().optional(),
      }),
    )
    .max(1000)
    .default([]),
  /** What a cutter takes away, measured across the cut. */
  kerfMm: depthMm().optional(),
  typed: typed().optional(),
  notes: text().optional(),
});

/** A film holder: what it takes, and how deep the film lies in it. */
export const holderSchema = z.looseObject({
  id: id(),
  /** What the maker calls it, often a number scratched into it. */
  name: word(),
  createdAt: time().optional(),
  formatId: word().nullable().optional(),
  cutSize: sizeMm().optional(),
  /** Pieces it holds at a time. */
  sides: z.number().int().gte(1).lte(100).optional(),
  filmThicknessMm: depthMm().optional(),
  /** From the face that lies against the camera to the floor the film lies on, at several places. Appended. */
  depths: z
    .array(
      z.looseObject({
        id: id(),
        at: time(),
        timeZone: zone().optional(),
        side: word().optional(),
        readings: z
          .array(z.looseObject({ depthMm: depthMm(), place: word().optional() }))
          .min(1)
          .max(1000),
        /** Step of the gauge's scale or display. */
        gaugeStepMm: depthMm().optional(),
        notes: text().optional(),
      }),
    )
    .max(1000)
    .default([]),
  typed: typed().optional(),
  notes: text().optional(),
});

/** A numbered piece of film or paper on its way: loaded, exposed (its exposures name it), developed. */
export const filmSheetSchema = z.looseObject({
  id: id(),
  /** As written on its corner or its sleeve: `12`, `A3`. */
  number: word(),
  createdAt: time().optional(),
  filmName: word().optional(),
  filmId: id().optional(),
  cutSize: sizeMm().optional(),
  loaded: z.looseObject({ at: time(), holderId: id().optional(), side: word().optional() }).optional(),
  /** Only where no exposure of the log names it. */
  exposed: z.looseObject({ at: time() }).optional(),
  developed: z
    .looseObject({
      at: time(),
      developer: word().optional(),
      dilution: word().optional(),
      timeS: seconds().optional(),
      temperatureCelsius: z.number().gte(-50).lte(150).optional(),
      agitation: word().optional(),
      notes: text().optional(),
    })
    .optional(),
  typed: typed().optional(),
  notes: text().optional(),
});
