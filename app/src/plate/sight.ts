/**
 * How the hole is looked at: as the scan shows it, or from the film side with the plate's mark up. A pass keeps its
 * outline in the plate's own frame (mm, seen from the film side, y up); a sight turns that into what is displayed
 * (mm from the middle of the hole, x right, y down) and says in words from where one looks.
 */
import type { PassRecord, PlateFrame, PointMm } from '#core';
import { plateFrame } from '#core';
import { affineOf } from './view.ts';
import type { Affine, Place } from './view.ts';

export type Side = 'scan' | 'film';

export interface Sight {
  readonly side: Side;
  /** From the plate's frame to what is displayed. */
  readonly place: (point: PointMm) => Place;
  /** Direction in the plate's frame as displayed, counter-clockwise from +x, 0 … 2π. */
  readonly angle: (angleRad: number) => number;
  /** From mm in the scan to what is displayed; `null` for a pass without a scan. */
  readonly fromScan: Affine | null;
  /** `as scanned, seen from the scene side` */
  readonly words: string;
  /** Where 12 o’clock is, for those who read clock positions. */
  readonly clockWords: string;
}

const FULL_TURN = 2 * Math.PI;

export function sightOf(pass: PassRecord, wanted: Side): Sight {
  const { scan } = pass;
  const center = pass.figures?.scanCenter;
  const side: Side = scan === null || center === undefined ? 'film' : wanted;
  const frame = scan === null || center === undefined ? null : plateFrame(scan, center);
  const place =
    side === 'film' || frame === null || center === undefined
      ? (point: PointMm): Place => ({ x: point.xMm, y: -point.yMm })
      : (point: PointMm): Place => {
          const { xMm, yMm } = frame.picturePoint(point);
          return { x: xMm - center.xMm, y: yMm - center.yMm };
        };
  const mark = scan?.markAngleRad !== undefined;
  return {
    side,
    place,
    angle: (angleRad) => {
      const tip = place({ xMm: Math.cos(angleRad), yMm: Math.sin(angleRad) });
      return (Math.atan2(-tip.y, tip.x) + FULL_TURN) % FULL_TURN;
    },
    fromScan: frame === null || center === undefined ? null : scanAffine(frame, center, side),
    words: side === 'film' ? filmWords(mark) : scanWords(scan),
    clockWords: side === 'film' && mark ? 'the mark at 12 o’clock' : '12 o’clock at the top of the picture',
  };
}

function scanAffine(frame: PlateFrame, center: PointMm, side: Side): Affine {
  return side === 'scan'
    ? { a: 1, b: 0, c: 0, d: 1, e: -center.xMm, f: -center.yMm }
    : affineOf(({ x, y }) => {
        const { xMm, yMm } = frame.point({ xMm: x, yMm: y });
        return { x: xMm, y: -yMm };
      });
}

function filmWords(mark: boolean): string {
  return mark ? 'seen from the film side, mark up' : 'seen from the film side';
}

function scanWords(scan: PassRecord['scan']): string {
  if (scan === null) {
    return filmWords(false);
  }
  const scene = (scan.scannedFace === 'scene') !== scan.mirrored;
  return `as scanned, seen from the ${scene ? 'scene' : 'film'} side`;
}

/** Hour on a clock face for a displayed direction: 12 at the top, clockwise. */
export function clockHour(angleRad: number): number {
  const hour = Math.round(3 - (angleRad * 6) / Math.PI) % 12;
  return hour <= 0 ? hour + 12 : hour;
}

export function clockWords(angleRad: number): string {
  return `${clockHour(angleRad)} o’clock`;
}
