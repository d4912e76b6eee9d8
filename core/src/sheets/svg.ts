/** The SVG sink: one page in mm, y down as SVG has it, one group for each layer, words as words. */
import { LAYERS } from './drawing.ts';
import type { Box, Layer, Lettering, LineType, Place, Stroke } from './drawing.ts';
import { walkPage } from './page.ts';
import type { Page } from './page.ts';

/** Line widths, mm: the line group 0.5 of ISO 128, which a copier still shows. */
export const LINE_WIDTH_MM: Readonly<Record<LineType, number>> = {
  thick: 0.5, thin: 0.25, dashed: 0.25, centre: 0.25, phantom: 0.25,
};
/** Dashes and gaps, mm. */
export const DASHES_MM: Readonly<Record<LineType, readonly number[]>> = {
  thick: [], thin: [], dashed: [3, 1], centre: [6, 1, 0.5, 1], phantom: [6, 1, 0.5, 1, 0.5, 1],
};

/** Six digits of a millimetre: a nanometre, far below every promise. */
function mm(value: number): string {
  return String(Number(value.toFixed(6)));
}

function escaped(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;').replaceAll('"', '&quot;');
}

/** How the lines of a page look; in the file itself, or once for all pages shown in another document. */
export const SHEET_STYLE: string = [
  'path,ellipse{fill:none;stroke:#000;stroke-linejoin:miter}',
  ...Object.entries(LINE_WIDTH_MM).map(([line, width]) => {
    const dashes = DASHES_MM[line as LineType];
    return `.${line}{stroke-width:${width}${dashes.length === 0 ? '' : `;stroke-dasharray:${dashes.join(' ')}`}}`;
  }),
  '.fill{fill:#000;stroke:none}',
  "text{font-family:Barlow,'Liberation Sans',sans-serif;font-kerning:none;fill:#000;stroke:none;white-space:pre}",
].join('');

/**
 * A page as an SVG document in mm.
 * @param page as `pagesOf` gives it
 * @param inline without head and style, for a page shown inside another document that brings `SHEET_STYLE`
 */
export function svgOf(page: Page, inline = false): string {
  const groups: string[] = [];
  let open: Record<Layer, string[]> = emptyLayers();
  let windows = 0;
  const { heightMm } = page;
  const y = (up: number): string => mm(heightMm - up);
  const way = (places: readonly Place[]): string =>
    places.map(([px, py], i) => `${i === 0 ? 'M' : 'L'}${mm(px)} ${y(py)}`).join('');
  const windowName = (): string => `window-${windows}-${`${page.title}-${page.name}`.replace(/[^A-Za-z0-9]+/g, '-')}`;
  const settle = (): string => {
    const text = LAYERS.filter((layer) => open[layer].length > 0)
      .map((layer) => `<g data-layer="${layer}" class="layer-${layer}">${open[layer].join('')}</g>`)
      .join('');
    open = emptyLayers();
    return text;
  };
  walkPage(page, {
    window(box: Box | null) {
      if (box === null) {
        groups.push(`<g clip-path="url(#${windowName()})">${settle()}</g>`);
        windows += 1;
        return;
      }
      groups.push(settle());
      const [w, h] = [mm(box.rightMm - box.leftMm), mm(box.topMm - box.bottomMm)];
      groups.push(`<clipPath id="${windowName()}"><rect x="${mm(box.leftMm)}" y="${y(box.topMm)}" width="${w}" height="${h}"/></clipPath>`);
    },
    path(stroke: Stroke, places, closed) {
      open[stroke.layer].push(`<path class="${stroke.line}" d="${way(places)}${closed ? 'Z' : ''}"/>`);
    },
    arc(stroke: Stroke, centre, [rx, ry], fromRad, toRad) {
      if (toRad - fromRad >= 2 * Math.PI - 1e-9) {
        open[stroke.layer].push(
          `<ellipse class="${stroke.line}" cx="${mm(centre[0])}" cy="${y(centre[1])}" rx="${mm(rx)}" ry="${mm(ry)}"/>`,
        );
        return;
      }
      const at = (angle: number): string => `${mm(centre[0] + rx * Math.cos(angle))} ${y(centre[1] + ry * Math.sin(angle))}`;
      const large = toRad - fromRad > Math.PI ? 1 : 0;
      open[stroke.layer].push(
        `<path class="${stroke.line}" d="M${at(fromRad)}A${mm(rx)} ${mm(ry)} 0 ${large} 0 ${at(toRad)}"/>`,
      );
    },
    fill(layer, places) {
      open[layer].push(`<path class="fill" d="${way(places)}Z"/>`);
    },
    text(text: Lettering) {
      const [x, up] = text.at;
      const turn = text.angleRad === 0 ? '' : ` transform="rotate(${mm((-text.angleRad * 180) / Math.PI)} ${mm(x)} ${y(up)})"`;
      const anchor = text.anchor === 'start' ? '' : ` text-anchor="${text.anchor}"`;
      const weight = text.bold ? ' font-weight="600"' : '';
      open[text.layer].push(
        `<text x="${mm(x)}" y="${y(up)}" font-size="${mm(text.sizeMm)}"${anchor}${weight}${turn}>${escaped(text.text)}</text>`,
      );
    },
  });
  const body = [...groups, settle()].join('');
  const size = `viewBox="0 0 ${mm(page.widthMm)} ${mm(heightMm)}"`;
  const title = `<title>${escaped(`${page.title}, page ${page.name}`)}</title>`;
  if (inline) return `<svg xmlns="http://www.w3.org/2000/svg" ${size} class="paper-page" role="img">${title}${body}</svg>`;
  return (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    + `<svg xmlns="http://www.w3.org/2000/svg" width="${mm(page.widthMm)}mm" height="${mm(heightMm)}mm" ${size}>`
    + `${title}<style>${SHEET_STYLE}</style>${body}</svg>\n`
  );
}

function emptyLayers(): Record<Layer, string[]> {
  return { cut: [], score: [], fold: [], drill: [], engrave: [], note: [] };
}
