/**
 * The PDF sink: pages at true size, words as searchable text in the bundled face, subset. Heavy, so it has an entry of its
 * own (`#core/pdf`) that a face loads only when a PDF is asked for.
 */
import fontkit from '@pdf-lib/fontkit';
import {
  PDFDocument,
  PrintScaling,
  appendBezierCurve,
  beginText,
  clip,
  closePath,
  endPath,
  endText,
  fill,
  lineTo,
  moveTo,
  popGraphicsState,
  pushGraphicsState,
  rectangle,
  setDashPattern,
  setFontAndSize,
  setLineJoin,
  setLineWidth,
  setTextMatrix,
  showText,
  stroke as strokePath,
} from 'pdf-lib';
import type { PDFFont, PDFName, PDFOperator, PDFPage } from 'pdf-lib';
import { FormatError } from '../errors.ts';
import { MM_PER_INCH } from '../units/length.ts';
import type { Lettering, Place, Stroke } from './drawing.ts';
import letters from './letters.json' with { type: 'json' };
import { textWidthMm } from './letters.ts';
import { walkPage } from './page.ts';
import type { Page } from './page.ts';
import { DASHES_MM, LINE_WIDTH_MM } from './svg.ts';

const PT_PER_MM = 72 / MM_PER_INCH;

/** A cubic over 15° leaves the circle by less than 1e-8 of its radius. */
const ARC_STEP_RAD = Math.PI / 12;

export interface PdfHead {
  readonly title: string;
  /** ISO 8601; stands in the file as its date. */
  readonly date: string;
  readonly version: string;
}

/** One file of the face, and the letters it holds. */
interface Face {
  readonly font: PDFFont;
  readonly holds: ReadonlySet<number>;
}

interface Faces {
  readonly regular: readonly Face[];
  readonly bold: readonly Face[];
}

const BASE64 = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/';

/** The core has neither Buffer nor atob. */
function bytesOf(base64: string): Uint8Array {
  const plain = base64.replace(/=+$/, '');
  const bytes = new Uint8Array(Math.floor((plain.length * 3) / 4));
  let held = 0;
  let bits = 0;
  let at = 0;
  for (const char of plain) {
    held = ((held << 6) | BASE64.indexOf(char)) & 0xffff;
    bits += 6;
    if (bits >= 8) {
      bits -= 8;
      bytes[at] = (held >> bits) & 0xff;
      at += 1;
    }
  }
  return bytes;
}

/** Embeds only the faces that the pages need: an unused subset would be an empty font. */
async function embedFaces(document: PDFDocument, pages: readonly Page[]): Promise<Faces> {
  const used = { regular: new Set<string>(), bold: new Set<string>() };
  for (const page of pages) {
    walkPage(page, {
      window: () => undefined,
      path: () => undefined,
      arc: () => undefined,
      fill: () => undefined,
      text: ({ text, bold }) => {
        for (const char of text) used[bold ? 'bold' : 'regular'].add(char);
      },
    });
  }
  const embed = async (weight: '400' | '600', chars: ReadonlySet<string>): Promise<readonly Face[]> => {
    const faces: Face[] = [];
    let missing = [...chars].map((char) => char.codePointAt(0) ?? 0);
    for (const part of ['latin', 'latin-ext'] as const) {
      const bytes = bytesOf(letters[`${part}-${weight}`]);
      const holds = new Set(fontkit.create(bytes).characterSet);
      if (!missing.some((code) => holds.has(code))) continue;
      missing = missing.filter((code) => !holds.has(code));
      const options = { subset: true, customName: `Barlow-${part}-${weight}`, features: { kern: false, liga: false } };
      faces.push({ font: await document.embedFont(bytes, options), holds });
    }
    return faces;
  };
  return { regular: await embed('400', used.regular), bold: await embed('600', used.bold) };
}

/**
 * All pages as one PDF, 1:1.
 * @throws FormatError `damaged` when the date cannot be read
 */
export async function pdfOf(pages: readonly Page[], head: PdfHead): Promise<Uint8Array> {
  const when = new Date(head.date);
  if (Number.isNaN(when.getTime())) {
    throw new FormatError('damaged', `The date “${head.date}” is not one: give it as 2026-04-19 or with a time.`, { got: head.date });
  }
  const document = await PDFDocument.create({ updateMetadata: false });
  document.registerFontkit(fontkit);
  document.setTitle(head.title, { showInWindowTitleBar: true });
  document.setProducer(`Camerawright ${head.version}`);
  document.setCreator('Camerawright');
  document.setLanguage('en');
  document.setCreationDate(when);
  document.setModificationDate(when);
  // Printing dialogs that honour it begin with "actual size" (ISO 32000-1, 12.2).
  document.catalog.getOrCreateViewerPreferences().setPrintScaling(PrintScaling.None);
  const faces = await embedFaces(document, pages);
  for (const page of pages) drawPage(document.addPage([page.widthMm * PT_PER_MM, page.heightMm * PT_PER_MM]), page, faces);
  return document.save({ useObjectStreams: false });
}

function pt(mm: number): number {
  return Number((mm * PT_PER_MM).toFixed(6));
}

function drawPage(sheet: PDFPage, page: Page, faces: Faces): void {
  const ops: PDFOperator[] = [];
  const keys = new Map<PDFFont, PDFName>();
  const keyOf = (font: PDFFont): PDFName => {
    const known = keys.get(font);
    if (known !== undefined) return known;
    const key = sheet.node.newFontDictionary(font.name, font.ref);
    keys.set(font, key);
    return key;
  };
  const go = ([x, y]: Place): PDFOperator => moveTo(pt(x), pt(y));
  const on = ([x, y]: Place): PDFOperator => lineTo(pt(x), pt(y));
  const pen = ({ line }: Stroke): PDFOperator[] => [
    setLineWidth(pt(LINE_WIDTH_MM[line])),
    setDashPattern(DASHES_MM[line].map(pt), 0),
  ];
  const way = (places: readonly Place[]): PDFOperator[] => places.map((place, i) => (i === 0 ? go(place) : on(place)));
  ops.push(pushGraphicsState(), setLineJoin(0));
  walkPage(page, {
    window(box) {
      if (box === null) {
        ops.push(popGraphicsState());
        return;
      }
      const [x, y, w, h] = [box.leftMm, box.bottomMm, box.rightMm - box.leftMm, box.topMm - box.bottomMm].map(pt);
      ops.push(pushGraphicsState(), rectangle(x ?? 0, y ?? 0, w ?? 0, h ?? 0), clip(), endPath());
    },
    path(stroke, places, closed) {
      const [from, to] = places;
      if (places.length === 2 && !closed && DASHES_MM[stroke.line].length === 0 && from !== undefined && to !== undefined) {
        ops.push(...way(lineBody(from, to, LINE_WIDTH_MM[stroke.line] / 2)), closePath(), fill());
        return;
      }
      ops.push(...pen(stroke), ...way(places), ...(closed ? [closePath()] : []), strokePath());
    },
    arc(stroke, centre, radii, fromRad, toRad) {
      const whole = toRad - fromRad >= 2 * Math.PI - 1e-9;
      ops.push(...pen(stroke), ...arcWay(centre, radii, fromRad, toRad), ...(whole ? [closePath()] : []), strokePath());
    },
    fill(_, places) {
      ops.push(...way(places), closePath(), fill());
    },
    text(text) {
      ops.push(...textOps(text, text.bold ? faces.bold : faces.regular, keyOf));
    },
  });
  ops.push(popGraphicsState());
  sheet.pushOperators(...ops);
}

/**
 * A straight line as the area it covers, its ends among the corners. Many readers move strokes to whole dots of their
 * screen or printer, by up to half a dot; areas stay where they are, and dimension lines are what people measure.
 */
function lineBody(from: Place, to: Place, halfMm: number): readonly Place[] {
  const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
  if (length === 0) return [from, to];
  const [nx, ny] = [(-halfMm * (to[1] - from[1])) / length, (halfMm * (to[0] - from[0])) / length];
  const off = (place: Place, side: number): Place => [place[0] + side * nx, place[1] + side * ny];
  return [from, off(from, -1), off(to, -1), to, off(to, 1), off(from, 1)];
}

/**
 * An arc as cubic curves: control points k = 4/3 tan(a/4) along the tangents.
 * @source goldapp1991
 */
function arcWay(centre: Place, radii: readonly [number, number], fromRad: number, toRad: number): PDFOperator[] {
  const steps = Math.max(1, Math.ceil((toRad - fromRad) / ARC_STEP_RAD - 1e-9));
  const step = (toRad - fromRad) / steps;
  const k = (4 / 3) * Math.tan(step / 4);
  const at = (x: number, y: number): readonly [number, number] => [pt(centre[0] + radii[0] * x), pt(centre[1] + radii[1] * y)];
  const ops = [moveTo(...at(Math.cos(fromRad), Math.sin(fromRad)))];
  for (let i = 0; i < steps; i += 1) {
    const [a, b] = [fromRad + i * step, fromRad + (i + 1) * step];
    const [ca, sa, cb, sb] = [Math.cos(a), Math.sin(a), Math.cos(b), Math.sin(b)];
    ops.push(appendBezierCurve(...at(ca - k * sa, sa + k * ca), ...at(cb + k * sb, sb - k * cb), ...at(cb, sb)));
  }
  return ops;
}

/** Words, changing the file of the face where the first one lacks a letter. */
function textOps(text: Lettering, faces: readonly Face[], keyOf: (font: PDFFont) => PDFName): PDFOperator[] {
  const width = textWidthMm(text.text, text.sizeMm, text.bold);
  let along = { start: 0, middle: -width / 2, end: -width }[text.anchor];
  const [c, s] = [Math.cos(text.angleRad), Math.sin(text.angleRad)];
  const ops: PDFOperator[] = [];
  for (const { run, font } of runsOf(text.text, faces)) {
    ops.push(
      beginText(),
      setFontAndSize(keyOf(font), pt(text.sizeMm)),
      setTextMatrix(c, s, -s, c, pt(text.at[0] + along * c), pt(text.at[1] + along * s)),
      showText(font.encodeText(run)),
      endText(),
    );
    along += textWidthMm(run, text.sizeMm, text.bold);
  }
  return ops;
}

function runsOf(text: string, faces: readonly Face[]): readonly { readonly run: string; readonly font: PDFFont }[] {
  const runs: { run: string; font: PDFFont }[] = [];
  for (const char of text) {
    const face = faces.find(({ holds }) => holds.has(char.codePointAt(0) ?? 0)) ?? faces[0];
    if (face === undefined) continue;
    const last = runs.at(-1);
    if (last !== undefined && last.font === face.font) last.run += char;
    else runs.push({ run: char, font: face.font });
  }
  return runs;
}
