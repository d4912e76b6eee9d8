/** Pages on their way out: to the printer, or into a file. The writers load when they are asked for. */
import { SHEET_STYLE, svgOf } from '#core/sheets';
import type { Page } from '#core/sheets';
import { browserSaver } from '#io/browser';

export interface Parcel {
  readonly camera: string;
  readonly what: string;
  readonly date: string;
  readonly version: string;
}

function fileName({ camera, what }: Parcel, part: string, ending: string): string {
  const plain = `${camera} ${what} ${part}`.normalize('NFKD').toLowerCase().replace(/[^\p{L}\p{N}]+/gu, '-').replace(/^-+|-+$/g, '');
  return `${plain === '' ? 'sheet' : plain}.${ending}`;
}

export async function savePdf(pages: readonly Page[], parcel: Parcel): Promise<void> {
  const { pdfOf } = await import('#core/pdf');
  const bytes = await pdfOf(pages, { title: `${parcel.camera}: ${parcel.what}`, date: parcel.date, version: parcel.version });
  await browserSaver.save(fileName(parcel, '', 'pdf'), 'application/pdf', bytes);
}

/** One file for each page, as a cutter wants them. */
export async function saveSvg(pages: readonly Page[], parcel: Parcel): Promise<void> {
  await saveEach(pages, parcel, 'svg', 'image/svg+xml', (page) => svgOf(page));
}

export async function saveDxf(pages: readonly Page[], parcel: Parcel): Promise<void> {
  const { dxfOf } = await import('#core/pdf');
  await saveEach(pages, parcel, 'dxf', 'image/vnd.dxf', dxfOf);
}

async function saveEach(pages: readonly Page[], parcel: Parcel, ending: string, mediaType: string, write: (page: Page) => string): Promise<void> {
  const many = pages.length > 1;
  for (const [i, page] of pages.entries()) {
    await browserSaver.save(fileName(parcel, many ? `${i + 1}` : '', ending), mediaType, new TextEncoder().encode(write(page)));
  }
}

/**
 * Prints pages at true size through the browser: each page is an SVG in mm on a paper without the browser's own margins.
 * Lying pages turn their paper.
 */
export function printPages(pages: readonly Page[]): void {
  const [first] = pages;
  if (first === undefined) {
    return;
  }
  const sheet = new CSSStyleSheet();
  const size = (page: Page): string => `${page.widthMm}mm ${page.heightMm}mm`;
  sheet.replaceSync(`
    ${SHEET_STYLE.replace(/(^|\})([a-z.])/g, '$1.on-paper $2')}
    @media screen { .on-paper { display: none } }
    @media print {
      body > :not(.on-paper) { display: none !important }
      .on-paper > div { break-after: page; line-height: 0 }
      .on-paper svg { display: block }
    }
    @page { margin: 0; size: ${size(first)} }
    @page upright { margin: 0; size: ${size(pages.find(({ widthMm, heightMm }) => heightMm >= widthMm) ?? first)} }
    @page lying { margin: 0; size: ${size(pages.find(({ widthMm, heightMm }) => widthMm > heightMm) ?? first)} }
    .on-paper .upright { page: upright }
    .on-paper .lying { page: lying }
  `);
  const place = document.createElement('div');
  place.className = 'on-paper';
  for (const page of pages) {
    const one = document.createElement('div');
    one.className = page.widthMm > page.heightMm ? 'lying' : 'upright';
    one.innerHTML = svgOf(page, true);
    const svg = one.querySelector('svg');
    svg?.setAttribute('width', `${page.widthMm}mm`);
    svg?.setAttribute('height', `${page.heightMm}mm`);
    place.append(one);
  }
  document.adoptedStyleSheets = [...document.adoptedStyleSheets, sheet];
  document.body.append(place);
  const clear = (): void => {
    place.remove();
    document.adoptedStyleSheets = document.adoptedStyleSheets.filter((other) => other !== sheet);
    removeEventListener('afterprint', clear);
  };
  addEventListener('afterprint', clear);
  print();
}
