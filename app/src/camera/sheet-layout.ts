/** How the drawings of a camera share a sheet: scale, places, captions. */
import { restingScale } from '../shell/drawing/index.ts';
import type { DrawingScale } from '../shell/drawing/index.ts';
import type { Cut, SectionExtent } from './section.ts';

/** Where everything on the sheet lies, px. */
export interface SheetLayout {
  readonly pxPerMm: number;
  readonly heightPx: number;
  readonly section: DrawingScale | null;
  readonly frame: DrawingScale;
  readonly aligned: boolean;
  readonly sectionCaption: { readonly x: number; readonly y: number };
  readonly frameCaption: { readonly x: number; readonly y: number };
}

// Room in px around the drawn millimetres, for dimensions and captions.
const air = { frameSide: 48, frameTop: 54, frameFoot: 106, gap: 40, sectionBack: 16, sectionFront: 16, sectionTop: 86, sectionFoot: 104, filmSide: 66 };

export interface SheetQuestion {
  readonly widthPx: number;
  /** Height the sheet may take where both views stand beside each other. */
  readonly roomPx: number;
  /** Size of the frame, or of the sheet where it is larger. */
  readonly frameWidthMm: number;
  readonly frameHeightMm: number;
  readonly cut: Cut;
  /** `null` while there is no section to draw. */
  readonly extent: SectionExtent | null;
  /** For the left hand: the section stands at the left and is mirrored. */
  readonly mirrored: boolean;
}

/** The frame and the section at one scale: beside each other and on one axis where that is larger, else one above the other. */
export function sheetLayout(of: SheetQuestion): SheetLayout {
  const { frameWidthMm: frameW, frameHeightMm: frameH, cut, extent, mirrored, roomPx: room } = of;
  // Before the page is laid out there is no width yet.
  const width = Math.max(of.widthPx, 280);
  if (extent === null) {
    const s = restingScale(Math.min((width - air.frameSide - 12) / frameW, (Math.min(room, 460) - air.frameTop - air.frameFoot) / frameH, 6));
    const cx = width / 2;
    const cy = air.frameTop + (frameH / 2) * s;
    return {
      pxPerMm: s, heightPx: cy + (frameH / 2) * s + air.frameFoot, section: null, aligned: false,
      frame: { pxPerMm: s, origin: { x: cx, y: cy } },
      sectionCaption: { x: 0, y: 0 }, frameCaption: { x: cx - (frameW / 2) * s, y: cy + (frameH / 2) * s + 28 },
    };
  }
  const length = extent.front - extent.back;
  const high = 2 * extent.half;
  const besideFits = width >= 520;
  // Where the section does not share the frame's height it carries its own dimension of the film.
  const gap = air.gap + (cut === 'vertical' ? 0 : 34);
  const beside = besideFits
    ? Math.min(
        (width - air.frameSide - gap - air.sectionBack - air.sectionFront) / (frameW + length),
        (room - Math.max(air.sectionTop, air.frameTop) - air.sectionFoot) / Math.max(high, frameH),
      )
    : 0;
  const stackedRoom = besideFits ? room : Infinity;
  const stacked = Math.min(
    (width - air.filmSide - air.sectionFront - 12) / length,
    (width - air.frameSide - 12) / frameW,
    (stackedRoom - air.sectionTop - air.sectionFoot - air.frameTop - air.frameFoot) / (high + frameH),
  );
  const place = (fromLeft: number): number => (mirrored ? width - fromLeft : fromLeft);
  if (beside >= stacked * 0.9) {
    const s = restingScale(Math.min(beside, 6));
    const total = air.frameSide + frameW * s + gap + air.sectionBack + length * s + air.sectionFront;
    const start = Math.max(0, (width - total) / 2);
    const axis = Math.max(air.sectionTop + extent.half * s, air.frameTop + (frameH / 2) * s);
    const foot = axis + Math.max(extent.half * s + air.sectionFoot, (frameH / 2) * s + air.frameFoot);
    const frameX = start + air.frameSide + (frameW / 2) * s;
    const holeX = start + air.frameSide + frameW * s + gap + air.sectionBack - extent.back * s;
    return {
      pxPerMm: s, heightPx: foot, aligned: cut === 'vertical',
      frame: { pxPerMm: s, origin: { x: place(frameX), y: axis } },
      section: { pxPerMm: s, origin: { x: place(holeX), y: axis }, mirrored },
      frameCaption: { x: mirrored ? place(frameX) - (frameW / 2) * s : frameX - (frameW / 2) * s, y: axis + (frameH / 2) * s + 30 },
      sectionCaption: { x: mirrored ? place(holeX + extent.front * s) : holeX + extent.back * s, y: axis + extent.half * s + 92 },
    };
  }
  const s = restingScale(Math.min(stacked, 6));
  const startSection = Math.max(air.filmSide, (width - length * s) / 2);
  const holeX = startSection - extent.back * s;
  const axis = air.sectionTop + extent.half * s;
  const sectionFoot = axis + extent.half * s + air.sectionFoot;
  const frameX = Math.max(air.frameSide + (frameW / 2) * s, width / 2);
  const frameY = sectionFoot + air.frameTop + (frameH / 2) * s;
  return {
    pxPerMm: s, heightPx: frameY + (frameH / 2) * s + air.frameFoot, aligned: false,
    section: { pxPerMm: s, origin: { x: place(holeX), y: axis }, mirrored },
    frame: { pxPerMm: s, origin: { x: place(frameX), y: frameY } },
    sectionCaption: { x: 4, y: axis + extent.half * s + 92 },
    frameCaption: { x: place(frameX) - (frameW / 2) * s, y: frameY + (frameH / 2) * s + 30 },
  };
}
