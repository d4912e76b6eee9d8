/**
 * The DXF sink: one page in mm, a layer for each kind of work, words in plain ASCII (every reader takes them). Never
 * corrected for a printer: a cutter takes numbers, not paper.
 */
import { DxfWriter, TextHorizontalAlignment, TextVerticalAlignment, Units, point3d } from '@tarikjabiri/dxf';
import { LAYERS } from './drawing.ts';
import type { Layer, LineType, Place } from './drawing.ts';
import { CAP_HEIGHT_EM } from './letters.ts';
import { walkPage } from './page.ts';
import type { Page } from './page.ts';
import { DASHES_MM } from './svg.ts';

/** Colour numbers 1 to 7 of the format, so that layers can be told apart on a screen. */
const COLOUR: Readonly<Record<Layer, number>> = { cut: 1, score: 5, fold: 3, drill: 6, engrave: 2, note: 7 };

const LINE_NAMES: Readonly<Record<LineType, string>> = {
  thick: 'Continuous', thin: 'Continuous', dashed: 'DASHED', centre: 'CENTER', phantom: 'PHANTOM',
};

const ASCII: Readonly<Record<string, string>> = {
  '×': 'x', Ø: 'dia ', ø: 'dia ', '°': ' deg', '±': '+/-', '–': '-', '—': '-', '−': '-', '…': '...', µ: 'u', '“': '"',
  '”': '"', '‘': "'", '’': "'", '½': '1/2', '¼': '1/4', '¾': '3/4', ß: 'ss', æ: 'ae', Æ: 'AE', œ: 'oe', Œ: 'OE', ł: 'l', Ł: 'L',
  '·': '*', '•': '*',
};

/** The text in ASCII: accents dropped, signs spelt out, the rest `?`. */
export function asciiText(text: string): string {
  return [...text]
    .map((char) => ASCII[char] ?? char.normalize('NFKD').replace(/[\u0300-\u036f]/g, ''))
    .map((part) => [...part].map((char) => (char >= ' ' && char <= '~' ? char : (ASCII[char] ?? '?'))).join(''))
    .join('');
}

/** A page as a DXF document, mm. @param page laid out without correction */
export function dxfOf(page: Page): string {
  const dxf = new DxfWriter();
  dxf.setUnits(Units.Millimeters);
  for (const line of ['dashed', 'centre', 'phantom'] as const) {
    // Dashes are positive, gaps negative; the description is for people.
    dxf.addLType(LINE_NAMES[line], line, DASHES_MM[line].map((length, i) => (i % 2 === 0 ? length : -length)));
  }
  for (const layer of LAYERS) dxf.addLayer(layer, COLOUR[layer], 'Continuous');
  const at = ([x, y]: Place) => point3d(x, y, 0);
  walkPage(page, {
    window: () => undefined,
    path({ layer, line }, places, closed) {
      const options = { layerName: layer, lineType: LINE_NAMES[line] };
      const [from, to] = places;
      if (places.length === 2 && !closed && from !== undefined && to !== undefined) {
        dxf.addLine(at(from), at(to), options);
        return;
      }
      dxf.addLWPolyline(places.map(([x, y]) => ({ point: { x, y } })), { ...options, flags: closed ? 1 : 0 });
    },
    arc({ layer, line }, centre, [radiusMm], fromRad, toRad) {
      const options = { layerName: layer, lineType: LINE_NAMES[line] };
      if (toRad - fromRad >= 2 * Math.PI - 1e-9) dxf.addCircle(at(centre), radiusMm, options);
      else dxf.addArc(at(centre), radiusMm, (fromRad * 180) / Math.PI, (toRad * 180) / Math.PI, options);
    },
    fill(layer, places) {
      dxf.addLWPolyline(places.map(([x, y]) => ({ point: { x, y } })), { layerName: layer, flags: 1 });
    },
    text(text) {
      const align = { start: TextHorizontalAlignment.Left, middle: TextHorizontalAlignment.Center, end: TextHorizontalAlignment.Right };
      dxf.addText(at(text.at), text.sizeMm * CAP_HEIGHT_EM, asciiText(text.text), {
        layerName: text.layer,
        rotation: (text.angleRad * 180) / Math.PI,
        ...(text.anchor === 'start'
          ? {}
          : {
              horizontalAlignment: align[text.anchor],
              verticalAlignment: TextVerticalAlignment.BaseLine,
              secondAlignmentPoint: at(text.at),
            }),
      });
    },
  });
  return dxf.stringify();
}
