/**
 * Films, plates and papers a camera is built around. The image area is what gets light; the cut size is the
 * sheet. Where a holder's rails decide, the area differs by a millimetre or two from holder to holder.
 *
 * `evidence`: `found` = read in a document or a table; `memory` = known in the trade, not looked up. Measure your
 * own before sawing.
 */
import { InputError } from '../errors.ts';
import type { Frame } from './geometry.ts';

export type FormatKind = 'roll-film' | 'sheet-film' | 'plate' | 'paper' | 'instant';

/** What bounds the picture. */
export type AreaBound = 'frame-mask' | 'holder-rails' | 'whole-sheet';

export interface FilmFormat {
  readonly id: string;
  readonly name: string;
  readonly kind: FormatKind;
  /** The longer side is the width; a camera may turn it. */
  readonly imageArea: Frame;
  /** Of the sheet, longer side first; null where film is not cut. */
  readonly cutSize: Frame | null;
  readonly areaBound: AreaBound;
  readonly evidence: 'found' | 'memory';
  /** Key in docs/SOURCES.md; null where no document is known. */
  readonly sourceKey: string | null;
  /** For the maker; null when there is nothing to say. */
  readonly note: string | null;
}

const BOUND_NOTES: Readonly<Record<AreaBound, string | null>> = {
  'frame-mask': null,
  'holder-rails': 'The image area lies inside the holder’s rails and varies by 1 to 2 mm from holder to holder: '
    + 'measure yours.',
  'whole-sheet': 'The whole sheet is taken as image area; rails or corners that hold it take a little off.',
};

function row(
  id: string,
  name: string,
  kind: FormatKind,
  area: readonly [number, number],
  cut: readonly [number, number] | null,
  areaBound: AreaBound,
  evidence: FilmFormat['evidence'],
  sourceKey: string | null,
  remark: string | null = null,
): FilmFormat {
  const notes = [remark, BOUND_NOTES[areaBound]].filter((note) => note !== null);
  return {
    id,
    name,
    kind,
    imageArea: { widthMm: area[0], heightMm: area[1] },
    cutSize: cut === null ? null : { widthMm: cut[0], heightMm: cut[1] },
    areaBound,
    evidence,
    sourceKey,
    note: notes.length === 0 ? null : notes.join(' '),
  };
}

/** In the order a maker would look for them; each pair is width and height in mm. */
export const FORMATS: readonly FilmFormat[] = [
  row('135', '135 film, 24×36 mm', 'roll-film', [36, 24], null, 'frame-mask', 'memory', 'iso1007',
    'Film 35 mm wide, 8 perforations (38 mm) from frame to frame.'),
  row('120-6x4.5', '120 roll film, 6×4.5', 'roll-film', [56, 41.5], null, 'frame-mask', 'found', 'iso732',
    '15/16 frames on a roll.'),
  row('120-6x6', '120 roll film, 6×6', 'roll-film', [56, 56], null, 'frame-mask', 'found', 'iso732',
    '12 frames on a roll.'),
  row('120-6x7', '120 roll film, 6×7', 'roll-film', [70, 56], null, 'frame-mask', 'found', 'iso732',
    '10 frames on a roll. The backing paper has no numbers for it: mark your own.'),
  row('120-6x8', '120 roll film, 6×8', 'roll-film', [77, 56], null, 'frame-mask', 'found', 'iso732',
    '9 frames on a roll. The backing paper has no numbers for it: mark your own.'),
  row('120-6x9', '120 roll film, 6×9', 'roll-film', [84, 56], null, 'frame-mask', 'found', 'iso732',
    '8 frames on a roll.'),
  row('120-6x12', '120 roll film, 6×12', 'roll-film', [118, 56], null, 'frame-mask', 'found', 'iso732',
    '6 frames on a roll. The backing paper has no numbers for it: mark your own.'),
  row('120-6x17', '120 roll film, 6×17', 'roll-film', [168, 56], null, 'frame-mask', 'found', 'iso732',
    '4 frames on a roll. The backing paper has no numbers for it: mark your own.'),
  row('120-6x24', '120 roll film, 6×24', 'roll-film', [224, 56], null, 'frame-mask', 'found', 'iso732',
    '3 frames on a roll. The backing paper has no numbers for it: mark your own.'),
  row('127-4x4', '127 roll film, 4×4 cm', 'roll-film', [40, 40], null, 'frame-mask', 'memory', 'iso732'),
  row('110', '110 cartridge, 13×17 mm', 'roll-film', [17, 13], null, 'frame-mask', 'memory', null),
  row('126', '126 cartridge, 28×28 mm', 'roll-film', [28, 28], null, 'frame-mask', 'memory', null),
  row('616', '616 roll film, 6.5×11 cm', 'roll-film', [108, 64], null, 'frame-mask', 'memory', null),
  row('sheet-4x5', '4×5 in sheet film', 'sheet-film', [120.5, 95.5], [125.4, 100], 'holder-rails', 'memory', 'iso1012'),
  row('sheet-5x7', '5×7 in sheet film', 'sheet-film', [171, 121], [176.2, 125.4], 'holder-rails', 'memory', 'iso1012'),
  row('sheet-8x10', '8×10 in sheet film', 'sheet-film', [245, 194], [252.4, 201.6],
    'holder-rails', 'memory', 'iso1012'),
  row('sheet-9x12', '9×12 cm sheet film', 'sheet-film', [114, 85], [118.5, 88.5], 'holder-rails', 'memory', 'iso1012'),
  row('sheet-13x18', '13×18 cm sheet film', 'sheet-film', [173, 123], [178, 128], 'holder-rails', 'memory', 'iso1012'),
  row('sheet-18x24', '18×24 cm sheet film', 'sheet-film', [233, 173], [238, 178], 'holder-rails', 'memory', 'iso1012'),
  row('sheet-6.5x9', '6.5×9 cm sheet film', 'sheet-film', [85, 60], [88.5, 63.5], 'holder-rails', 'memory', 'iso1012'),
  row('plate-whole', 'whole plate, 6½×8½ in', 'plate', [215.9, 165.1], [215.9, 165.1], 'whole-sheet', 'found', null),
  row('plate-half-uk', 'half plate (UK), 4¾×6½ in', 'plate', [165.1, 120.65], [165.1, 120.65],
    'whole-sheet', 'found', null),
  row('plate-half-us', 'half plate (US), 4¼×5½ in', 'plate', [139.7, 107.95], [139.7, 107.95],
    'whole-sheet', 'found', null),
  row('plate-quarter', 'quarter plate, 3¼×4¼ in', 'plate', [107.95, 82.55], [107.95, 82.55],
    'whole-sheet', 'found', null),
  row('paper-9x13', 'paper 9×13 cm', 'paper', [127, 89], [127, 89], 'whole-sheet', 'memory', 'iso1008'),
  row('paper-10x15', 'paper 10×15 cm', 'paper', [152, 102], [152, 102], 'whole-sheet', 'memory', 'iso1008'),
  row('paper-4x5', 'paper 4×5 in', 'paper', [127, 101.6], [127, 101.6], 'whole-sheet', 'memory', 'iso1008'),
  row('paper-5x7', 'paper 5×7 in', 'paper', [177.8, 127], [177.8, 127], 'whole-sheet', 'memory', 'iso1008'),
  row('paper-8x10', 'paper 8×10 in', 'paper', [254, 203.2], [254, 203.2], 'whole-sheet', 'memory', 'iso1008'),
  row('paper-9.5x12', 'paper 9½×12 in (24×30.5 cm)', 'paper', [305, 240], [305, 240],
    'whole-sheet', 'memory', 'iso1008'),
  row('paper-11x14', 'paper 11×14 in', 'paper', [355.6, 279.4], [355.6, 279.4], 'whole-sheet', 'memory', 'iso1008'),
  row('paper-12x16', 'paper 12×16 in', 'paper', [406.4, 304.8], [406.4, 304.8], 'whole-sheet', 'memory', 'iso1008'),
  row('paper-16x20', 'paper 16×20 in', 'paper', [508, 406.4], [508, 406.4], 'whole-sheet', 'memory', 'iso1008'),
  row('paper-20x24', 'paper 20×24 in', 'paper', [609.6, 508], [609.6, 508], 'whole-sheet', 'memory', 'iso1008'),
  row('instax-mini', 'Instax Mini', 'instant', [62, 46], null, 'frame-mask', 'found', null),
  row('instax-square', 'Instax Square', 'instant', [62, 62], null, 'frame-mask', 'found', null),
  row('instax-wide', 'Instax Wide', 'instant', [99, 62], null, 'frame-mask', 'found', null),
  row('polaroid-square', 'Polaroid 600, i-Type and SX-70', 'instant', [79, 79], null, 'frame-mask', 'found', null,
    'For SX-70 also given as 79×77 mm.'),
  row('polaroid-go', 'Polaroid Go', 'instant', [47, 46], null, 'frame-mask', 'found', null),
];

/**
 * One format by its id.
 * @throws InputError unknown-name
 */
export function formatById(id: string): FilmFormat {
  const wanted = id.trim().toLowerCase();
  const found = FORMATS.find((format) => format.id === wanted);
  if (found !== undefined) return found;
  const known = FORMATS.map((format) => format.id).join(', ');
  throw new InputError('unknown-name', `There is no format “${id}”. Known are ${known}.`, {
    path: 'format',
    got: id,
    expected: 'the id of a format',
  });
}

export interface FilmHolder {
  /** The format it holds. */
  readonly formatId: string | null;
  readonly name: string;
  /** T: seating face to septum, the back of the film. */
  readonly holderDepthMm: number;
  /** Plus or minus, for a new holder. */
  readonly toleranceMm: number;
  readonly evidence: 'found' | 'memory';
  readonly sourceKey: string;
}

const holder = (formatId: string | null, name: string, depthIn: number, toleranceIn: number): FilmHolder => ({
  formatId,
  name,
  holderDepthMm: (depthIn * 254) / 10,
  toleranceMm: (toleranceIn * 254) / 10,
  evidence: 'found',
  sourceKey: 'ansi-it3-108',
});

/**
 * Double sheet-film holders. Metric, book-form and plate holders differ, and no figure for them is known:
 * measure from the face that seats on the camera to the septum.
 * @source ansi-it3-108
 */
export const HOLDERS: readonly FilmHolder[] = [
  holder('sheet-4x5', '4×5 in sheet film holder', 0.197, 0.007),
  holder('sheet-5x7', '5×7 in sheet film holder', 0.228, 0.01),
  holder('sheet-8x10', '8×10 in sheet film holder', 0.26, 0.016),
  holder(null, '14×17 in sheet film holder', 0.32, 0.016),
];

/** Sheet film is about 0.007 in thick; 0.004 to 0.010 occur. The slot for it is 0.012, so the film floats a little. */
export const SHEET_FILM_THICKNESS_MM = 0.18;

/** The holder for a format, or null where none is known. */
export function holderFor(formatId: string): FilmHolder | null {
  return HOLDERS.find((entry) => entry.formatId === formatId) ?? null;
}
