/** Figures as files: SVG with its looks written into it, PNG of it or of a canvas, CSV. */
import { browserSaver, greyFile } from '#io/browser';
import type { GreyFormat, GreyImage } from '#io/browser';

/** What a drawing's look depends on; written out, because a file has no style sheet. */
const LOOKS = [
  'fill', 'fill-opacity', 'stroke', 'stroke-width', 'stroke-dasharray', 'stroke-opacity', 'stroke-linejoin', 'opacity', 'paint-order',
  'font-family', 'font-size', 'font-weight', 'text-anchor',
] as const;

function fileName(parts: readonly string[], ending: string): string {
  const plain = parts.join(' ').normalize('NFKD').toLowerCase().replace(/[^a-z0-9.]+/g, '-').replace(/^-|-$/g, '');
  return `${plain}.${ending}`;
}

function bytesOf(text: string): Uint8Array {
  return new TextEncoder().encode(text);
}

/** A copy that looks the same alone, without what only the page needs (marked `data-live`). */
export function standaloneSvg(svg: SVGSVGElement): string {
  const copy = svg.cloneNode(true) as SVGSVGElement;
  const originals = [svg, ...svg.querySelectorAll<SVGElement>('*')];
  const copies = [copy, ...copy.querySelectorAll<SVGElement>('*')];
  for (const [i, element] of copies.entries()) {
    const original = originals[i];
    if (original === undefined) continue;
    const style = getComputedStyle(original);
    for (const look of LOOKS) {
      const value = style.getPropertyValue(look);
      if (value !== '') element.setAttribute(look, value.replaceAll('"', "'"));
    }
    for (const name of ['class', 'tabindex', 'role', 'style']) element.removeAttribute(name);
  }
  for (const live of copy.querySelectorAll('[data-live]')) live.remove();
  const { width, height } = svg.getBoundingClientRect();
  copy.setAttribute('xmlns', 'http://www.w3.org/2000/svg');
  copy.setAttribute('width', `${width}`);
  copy.setAttribute('height', `${height}`);
  copy.setAttribute('viewBox', `0 0 ${width} ${height}`);
  const ground = document.createElementNS('http://www.w3.org/2000/svg', 'rect');
  ground.setAttribute('width', '100%');
  ground.setAttribute('height', '100%');
  ground.setAttribute('fill', getComputedStyle(document.body).backgroundColor);
  copy.prepend(ground);
  return new XMLSerializer().serializeToString(copy);
}

/** A canvas within a drawing of its own: the picture as it is, and what is drawn over it as lines. */
export async function saveSvgOfCanvas(name: readonly string[], canvas: HTMLCanvasElement, over: string): Promise<void> {
  const { width, height } = canvas;
  const lines = [
    `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}" viewBox="0 0 ${width} ${height}">`,
    `<image width="${width}" height="${height}" href="${canvas.toDataURL('image/png')}"/>`,
    over,
    '</svg>',
  ];
  await browserSaver.save(fileName(name, 'svg'), 'image/svg+xml', bytesOf(lines.join('\n')));
}

export async function saveSvg(name: readonly string[], svg: SVGSVGElement): Promise<void> {
  await browserSaver.save(fileName(name, 'svg'), 'image/svg+xml', bytesOf(standaloneSvg(svg)));
}

/** Three times as fine as on the screen, for a print. */
const PNG_FACTOR = 3;

export async function savePngOfSvg(name: readonly string[], svg: SVGSVGElement): Promise<void> {
  const address = URL.createObjectURL(new Blob([standaloneSvg(svg)], { type: 'image/svg+xml' }));
  try {
    const picture = new Image();
    picture.src = address;
    await picture.decode();
    const { width, height } = svg.getBoundingClientRect();
    const canvas = document.createElement('canvas');
    canvas.width = Math.round(width * PNG_FACTOR);
    canvas.height = Math.round(height * PNG_FACTOR);
    canvas.getContext('2d')?.drawImage(picture, 0, 0, canvas.width, canvas.height);
    await savePng(name, canvas);
  } finally {
    URL.revokeObjectURL(address);
  }
}

export async function savePng(name: readonly string[], canvas: HTMLCanvasElement): Promise<void> {
  const blob = await new Promise<Blob | null>((resolve) => canvas.toBlob(resolve, 'image/png'));
  if (blob !== null) {
    await browserSaver.save(fileName(name, 'png'), 'image/png', new Uint8Array(await blob.arrayBuffer()));
  }
}

/** In as many bits as the samples have; for further work, where 256 greys would show steps. */
export async function saveGrey(name: readonly string[], image: GreyImage, format: GreyFormat): Promise<void> {
  const ending = format === 'png' ? 'png' : 'tif';
  await browserSaver.save(fileName(name, ending), format === 'png' ? 'image/png' : 'image/tiff', await greyFile(image, format));
}

export async function saveCsv(name: readonly string[], heads: readonly string[], rows: Iterable<readonly number[]>): Promise<void> {
  const lines = [heads.join(',')];
  for (const row of rows) lines.push(row.map((value) => (Number.isFinite(value) ? Number(value.toPrecision(9)) : '')).join(','));
  await browserSaver.save(fileName(name, 'csv'), 'text/csv', bytesOf(`${lines.join('\r\n')}\r\n`));
}
