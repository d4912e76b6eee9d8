/**
 * A scan in hand: its bytes, what the maker says of it, what was read off it. Plain data and the ways between a scan,
 * its reading and the pass in the workshop.
 */
import type {
  EdgeTerm, HoleReading, Illumination, PassRecord, PlacePx, ScanReading, ScanRecord, ScanScale, ScannerRecord, ToneCurve,
} from '#core';
import { plateFrame } from '#core';
import type { HolePicture } from '#io/browser';
import type { ScanLook, ScanMeasurement, ScanRequest } from '#io/ports';
import type { Place } from './view.ts';

const MM_PER_INCH = 25.4;
/** Twice the same hole: its centre moved by less than this share of its width. */
const SAME_HOLE = 0.5;

/** What the maker says of a scan; `null` and `unknown` leave it to the file. */
export interface Given {
  readonly dpi: { readonly x: number; readonly y: number } | null;
  readonly scale: ScanScale | null;
  /** A millimetre rule lies in the scan; a number: one of its divisions, mm. */
  readonly rule: boolean | number;
  /** The calibrated scanner it was made with. */
  readonly scannerId: string | null;
  /** The middle of the plate lies half-way between two places, px of the scan. */
  readonly middle: NonNullable<ScanRequest['middle']> | null;
  readonly tone: ToneCurve | null;
  readonly illumination: Illumination;
  /** The edge term as the maker sets it, k = 1; `null`: by the light. */
  readonly edgeMm: number | null;
  readonly scannedFace: ScanRecord['scannedFace'];
  readonly mirrored: boolean;
  /** From +x counter-clockwise as displayed; `null`: no mark. */
  readonly markAngleRad: number | null;
}

/** A scan whose bytes are at hand. */
export interface OpenScan {
  readonly sha256: string;
  readonly bytes: Blob;
  readonly fileName: string;
  readonly given: Given;
  /** `null` while the scale is asked for, and for a scan that was read on an earlier visit. */
  readonly measurement: ScanMeasurement | null;
  /** `null` only for a scan that was read on an earlier visit. */
  readonly look: ScanLook | null;
  readonly plateId: string;
}

/** A scan that was looked at and now waits for its scale. */
export type AskingScan = OpenScan & { readonly look: ScanLook };

/** A reading to be made: for a plate, of these bytes, in this light. */
export interface Order {
  readonly bytes: Blob;
  readonly fileName: string;
  readonly plateId: string;
  readonly given: Given;
  /** Where in the scan the wanted hole is, px; left out: the largest. */
  readonly near?: Place;
  /** Read without the maker having asked: no step to undo. */
  readonly unasked?: boolean;
}

/** What to assume of a scan of which nothing is known. */
export const NOTHING_GIVEN: Given = {
  dpi: null,
  scale: null,
  rule: false,
  scannerId: null,
  middle: null,
  tone: null,
  illumination: 'unknown',
  edgeMm: null,
  scannedFace: 'film',
  mirrored: false,
  markAngleRad: null,
};

/** A place pointed at over the whole scan, as the core takes it. */
export function pointedPx({ x, y }: Place): PlacePx {
  return { columnPx: x, rowPx: y };
}

/** What is asked of the plate room. */
export function requestOf(given: Given, scanners: readonly ScannerRecord[]): ScanRequest {
  const { rule, scannerId, edgeMm } = given;
  return {
    dpi: given.dpi,
    scale: given.scale,
    ruler: rule === false ? null : rule === true ? {} : { divisionMm: rule },
    scanner: scanners.find(({ id }) => id === scannerId) ?? null,
    middle: given.middle,
    tone: given.tone,
    illumination: given.illumination,
    edge: edgeOf(edgeMm),
  };
}

/** The edge term that the maker set. */
export function edgeOf(edgeMm: number | null): EdgeTerm | null {
  return edgeMm === null ? null : { standardUncertaintyMm: edgeMm, reason: 'the maker knows the rim of this plate' };
}

/** Nothing said of the scale but this. */
export function scaleBy(said: Partial<Pick<Given, 'dpi' | 'scale' | 'rule' | 'scannerId'>>): Pick<Given, 'dpi' | 'scale' | 'rule' | 'scannerId'> {
  return { dpi: null, scale: null, rule: false, scannerId: null, ...said };
}

/** The picture of one hole with the scale that places it. */
export function pictureFor(measurement: ScanMeasurement, hole: HoleReading): HolePicture | null {
  const picture = measurement.previews[measurement.reading.holes.indexOf(hole)];
  const { xMmPerPx, yMmPerPx } = measurement.reading.scale;
  return picture === undefined ? null : { picture, xMmPerPx, yMmPerPx };
}

/** The hole nearest to a place in the scan; without a place the largest, which comes first. */
export function holeNear(reading: ScanReading, near: Place | undefined): HoleReading | undefined {
  const { holes, scale } = reading;
  if (near === undefined) {
    return holes[0];
  }
  const away = ({ leastSquares: { center } }: HoleReading): number =>
    Math.hypot(center.xMm / scale.xMmPerPx - near.x, center.yMm / scale.yMmPerPx - near.y);
  return [...holes].sort((a, b) => away(a) - away(b))[0];
}

/** Where the hole of a pass is in its scan, px: the one place that a corrected scale does not move. */
export function placePx(pass: PassRecord): Place | null {
  const center = pass.figures?.scanCenter;
  return center === undefined || pass.scale === undefined
    ? null
    : { x: center.xMm / pass.scale.xMmPerPx, y: center.yMm / pass.scale.yMmPerPx };
}

/** What the maker had said of the scan of a pass. */
export function givenOf(pass: PassRecord): Given {
  const { scale, tone, scan } = pass;
  const told = scale !== undefined && scale.source !== 'file';
  const said = tone?.source === 'given' ? tone : null;
  return {
    dpi: told && scale.source === 'given' ? dpiOf(scale) : null,
    scale:
      told && scale.source !== 'given'
        ? {
            xMmPerPx: scale.xMmPerPx,
            yMmPerPx: scale.yMmPerPx,
            source: scale.source,
            detail: scale.detail ?? '',
            ...(scale.relativeUncertainty !== undefined && { relativeUncertainty: scale.relativeUncertainty }),
          }
        : null,
    tone:
      said === null ? null : said.kind === 'gamma' ? { kind: 'gamma', gamma: said.gamma ?? 2.2 } : { kind: said.kind },
    rule: false,
    scannerId: null,
    middle: middleSaid(pass),
    edgeMm: pass.edgeTerm?.standardUncertaintyMm ?? null,
    illumination: pass.illumination ?? 'unknown',
    scannedFace: scan?.scannedFace ?? 'film',
    mirrored: scan?.mirrored ?? false,
    markAngleRad: scan?.markAngleRad ?? null,
  };
}

/** The middle that the maker pointed at, as one place of the scan. */
function middleSaid({ figures, scan, scale }: PassRecord): Given['middle'] {
  const from = figures?.fromMiddle;
  if (from?.by !== 'points' || scan === null || scale === undefined || figures?.scanCenter === undefined) {
    return null;
  }
  const { xMm, yMm } = plateFrame(scan, figures.scanCenter).picturePoint({ xMm: -from.xMm, yMm: -from.yMm });
  const place = { columnPx: xMm / scale.xMmPerPx, rowPx: yMm / scale.yMmPerPx };
  return { between: [place, place] };
}

/** The hole of a reading that a pass holds; `null` when it is none of them. */
export function holeOf(pass: PassRecord, reading: ScanReading): HoleReading | null {
  const center = pass.figures?.scanCenter;
  if (center === undefined) {
    return null;
  }
  const away = (hole: HoleReading): number =>
    Math.hypot(hole.leastSquares.center.xMm - center.xMm, hole.leastSquares.center.yMm - center.yMm);
  return reading.holes.find((hole) => away(hole) < SAME_HOLE * hole.outlineDiameterMm) ?? null;
}

/** A resolution in pixels per inch. */
export function dpiOf(scale: Pick<ScanScale, 'xMmPerPx' | 'yMmPerPx'>): { readonly x: number; readonly y: number } {
  return { x: MM_PER_INCH / scale.xMmPerPx, y: MM_PER_INCH / scale.yMmPerPx };
}
