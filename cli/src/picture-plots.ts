/**
 * The figures of a hole as drawings: point image, contrast curves, merit of diameters. Ink on paper, line types of
 * technical drawing, axes with units, everything named where it stands. One drawing, two ways to write its letters:
 * as text for SVG, as outlines for PNG.
 */
import { scaleLinear } from 'd3-scale';
import type { ScaleLinear } from 'd3-scale';
import { line } from 'd3-shape';
import { UM_PER_MM, formatNumber } from '#core';
import type { DiameterAnswer, FieldContrast } from '#core';
import type { Letters } from '#io/node';

const INK = '#231e19';
const SOFT = '#5a5146';
const FAINT = '#d9cfbc';
const BRASS = '#a8761a';
const BAND = '#f6e7c1';
const SHEET = '#faf6ec';

interface TextStyle {
  readonly anchor?: 'start' | 'middle' | 'end';
  readonly colour?: string;
  readonly sizePx?: number;
}

/** A sheet to draw on. */
class Sheet {
  readonly #parts: string[] = [];
  readonly widthPx: number;
  readonly heightPx: number;
  readonly #letters: Letters | null;

  constructor(size: { readonly widthPx: number; readonly heightPx: number }, letters: Letters | null) {
    this.widthPx = size.widthPx;
    this.heightPx = size.heightPx;
    this.#letters = letters;
    this.rect([0, 0, size.widthPx, size.heightPx], SHEET);
  }

  rect([x, y, width, height]: readonly [number, number, number, number], fill: string, stroke = 'none'): void {
    this.#parts.push(`<rect x="${n(x)}" y="${n(y)}" width="${n(width)}" height="${n(height)}" fill="${fill}" stroke="${stroke}"/>`);
  }

  path(d: string, style: { readonly width?: number; readonly colour?: string; readonly dash?: string; readonly fill?: string } = {}): void {
    const dash = style.dash === undefined ? '' : ` stroke-dasharray="${style.dash}"`;
    this.#parts.push(
      `<path d="${d}" fill="${style.fill ?? 'none'}" stroke="${style.colour ?? INK}" stroke-width="${style.width ?? 1.5}" stroke-linejoin="round"${dash}/>`,
    );
  }

  circle(x: number, y: number, r: number, fill: string): void {
    this.#parts.push(`<circle cx="${n(x)}" cy="${n(y)}" r="${n(r)}" fill="${fill}" stroke="${SHEET}" stroke-width="2"/>`);
  }

  image([x, y, width, height]: readonly [number, number, number, number], href: string): void {
    this.#parts.push(`<image x="${n(x)}" y="${n(y)}" width="${n(width)}" height="${n(height)}" href="${href}"/>`);
  }

  text(x: number, y: number, words: string, style: TextStyle = {}): void {
    const sizePx = style.sizePx ?? 17;
    const anchor = style.anchor ?? 'start';
    const colour = style.colour ?? INK;
    if (this.#letters === null) {
      this.#parts.push(
        `<text x="${n(x)}" y="${n(y)}" font-family="Barlow, sans-serif" font-size="${sizePx}" text-anchor="${anchor}" fill="${colour}">${escaped(words)}</text>`,
      );
      return;
    }
    const { path, widthPx } = this.#letters(words, sizePx);
    const left = anchor === 'start' ? x : anchor === 'middle' ? x - widthPx / 2 : x - widthPx;
    this.#parts.push(`<path transform="translate(${n(left)} ${n(y)})" d="${path}" fill="${colour}"/>`);
  }

  svg(): string {
    const { widthPx, heightPx } = this;
    return [
      `<svg xmlns="http://www.w3.org/2000/svg" width="${widthPx}" height="${heightPx}" viewBox="0 0 ${widthPx} ${heightPx}">`,
      ...this.#parts,
      '</svg>\n',
    ].join('\n');
  }
}

function n(value: number): string {
  return Number(value.toFixed(2)).toString();
}

function escaped(words: string): string {
  return words.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;');
}

interface Field {
  readonly x: ScaleLinear<number, number>;
  readonly y: ScaleLinear<number, number>;
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly foot: number;
}

/** Title, axes with units and ticks. */
function axes(sheet: Sheet, of: { title: string; xName: string; yName: string; xDomain: readonly [number, number]; yDomain: readonly [number, number] }): Field {
  const [left, right, top, foot] = [70, sheet.widthPx - 24, 92, sheet.heightPx - 66];
  const x = scaleLinear([...of.xDomain], [left, right]);
  const y = scaleLinear([...of.yDomain], [foot, top]);
  sheet.text(20, 34, of.title, { sizePx: 20 });
  for (const tick of x.ticks(8)) {
    sheet.path(`M${n(x(tick))} ${foot}v6`, { width: 1, colour: SOFT });
    sheet.text(x(tick), foot + 25, formatNumber(tick, { significant: 4 }), { anchor: 'middle' });
  }
  for (const tick of y.ticks(6)) {
    sheet.path(`M${left} ${n(y(tick))}H${right}`, { width: 1, colour: FAINT });
    sheet.text(left - 10, y(tick) + 6, formatNumber(100 * tick, { significant: 3 }), { anchor: 'end' });
  }
  sheet.text(right, sheet.heightPx - 16, of.xName, { anchor: 'end', colour: SOFT });
  sheet.text(20, 74, of.yName, { colour: SOFT });
  sheet.path(`M${left} ${top}V${foot}H${right}`, { width: 1 });
  return { x, y, left, right, top, foot };
}

function curve(field: Field, xs: ArrayLike<number>, ys: ArrayLike<number>): string {
  return line<number>((_, i) => field.x(Number(xs[i])), (value) => field.y(value))(Array.from(ys)) ?? '';
}

const STYLES = [
  { key: 'centre', width: 3, dash: undefined },
  { key: 'edge tangential', width: 1.5, dash: undefined },
  { key: 'edge sagittal', width: 1.5, dash: '8 4' },
  { key: 'corner tangential', width: 1.5, dash: '14 3 2 3' },
  { key: 'corner sagittal', width: 2, dash: '2 3.5' },
] as const;

/** Centre, edge and corner, tangential and sagittal; of the centre the worse of the two directions. */
export function contrastCurves(contrast: readonly FieldContrast[]): { readonly name: string; readonly values: Float64Array }[] {
  const at = (place: FieldContrast['place']) => contrast.find((each) => each.place === place)?.contrast ?? null;
  const [foot, edge, corner] = [at('foot'), at('edge'), at('corner')];
  return [
    ...(foot === null ? [] : [{ name: 'centre', values: foot.tangential.map((t, i) => Math.min(t, foot.sagittal[i] ?? t)) }]),
    ...(edge === null ? [] : [{ name: 'edge tangential', values: edge.tangential }, { name: 'edge sagittal', values: edge.sagittal }]),
    ...(corner === null ? [] : [{ name: 'corner tangential', values: corner.tangential }, { name: 'corner sagittal', values: corner.sagittal }]),
  ];
}

export function contrastPlot(
  of: { readonly title: string; readonly frequenciesPerMm: Float64Array; readonly contrast: readonly FieldContrast[] },
  letters: Letters | null,
): string {
  const sheet = new Sheet({ widthPx: 900, heightPx: 620 }, letters);
  const curves = contrastCurves(of.contrast);
  const lowest = Math.min(0, ...curves.map(({ values }) => Math.min(...values)));
  const field = axes(sheet, {
    title: of.title,
    xName: 'detail, cycles per mm on the film',
    yName: 'contrast, %',
    xDomain: [0, of.frequenciesPerMm.at(-1) ?? 1],
    yDomain: [Math.floor((lowest - 0.02) * 10) / 10, 1],
  });
  sheet.path(`M${field.left} ${n(field.y(0))}H${field.right}`, { width: 1 });
  sheet.path(`M${field.left} ${n(field.y(0.1))}H${field.right}`, { width: 1, colour: SOFT, dash: '6 4' });
  sheet.text(field.right, field.y(0.1) - 6, '10 %', { anchor: 'end', colour: SOFT, sizePx: 16 });
  for (const [i, { name, values }] of curves.entries()) {
    const style = STYLES.find(({ key }) => key === name) ?? STYLES[0];
    const dash = style.dash === undefined ? {} : { dash: style.dash };
    sheet.path(curve(field, of.frequenciesPerMm, values), { width: style.width, ...dash });
    const y = field.top + 16 + 24 * i;
    sheet.path(`M${field.right - 250} ${y - 5}h52`, { width: style.width, ...dash });
    sheet.text(field.right - 186, y, name);
  }
  return sheet.svg();
}

export function meritPlot(of: { readonly title: string; readonly answer: DiameterAnswer; readonly ownName: string }, letters: Letters | null): string {
  const { answer } = of;
  const { diameterMm, meritShare } = answer.curve;
  const own = answer.own;
  const sheet = new Sheet({ widthPx: 900, heightPx: 560 }, letters);
  const field = axes(sheet, {
    title: of.title,
    xName: 'diameter, mm',
    yName: 'merit, % of the best',
    xDomain: [
      Math.min(Number(diameterMm[0]), own?.diameterMm ?? Infinity),
      Math.max(Number(diameterMm.at(-1)), own?.diameterMm ?? 0),
    ],
    yDomain: [Math.max(-0.5, Math.min(0, ...meritShare)), 1.05],
  });
  const [low, high] = answer.bandMm;
  sheet.rect([field.x(low), field.top, field.x(high) - field.x(low), field.foot - field.top], BAND);
  sheet.text((field.x(low) + field.x(high)) / 2, field.top - 8, `${mm(low)} to ${mm(high)} within ${formatNumber(100 * answer.bandLossShare)} %`, { anchor: 'middle', sizePx: 16 });
  sheet.path(curve(field, diameterMm, meritShare), { width: 3 });
  sheet.path(`M${n(field.x(answer.diameterMm))} ${field.foot}V${n(field.y(1))}`, { width: 1, dash: '14 3 2 3' });
  sheet.text(field.x(answer.diameterMm) + 8, field.foot - 10, `best ${mm(answer.diameterMm)}`, { sizePx: 16 });
  if (own !== null) {
    const [cx, cy] = [field.x(own.diameterMm), field.y(Math.max(field.y.domain()[0] ?? 0, own.meritShare))];
    sheet.path(`M${n(cx)} ${field.foot}V${n(cy)}`, { width: 2.5, colour: BRASS });
    sheet.circle(cx, cy, 8, BRASS);
    // beside the curve's long tail nothing is in the way
    const words = `${of.ownName}, ${mm(own.diameterMm)}: ${formatNumber(100 * own.meritShare, { digits: 0 })} %`;
    sheet.text(field.right - 8, field.top + 30, words, { anchor: 'end', colour: '#7a5408' });
  }
  return sheet.svg();
}

function mm(lengthMm: number): string {
  return `${formatNumber(lengthMm, { digits: 3 })} mm`;
}

/** The image of a point as it falls on the film, with a bar of a round length. */
export function pointPlot(
  of: { readonly title: string; readonly words: string; readonly href: string; readonly widthMm: number },
  letters: Letters | null,
): string {
  const side = 640;
  const sheet = new Sheet({ widthPx: side + 40, heightPx: side + 150 }, letters);
  sheet.text(20, 34, of.title, { sizePx: 20 });
  sheet.text(20, 62, of.words, { colour: SOFT, sizePx: 16 });
  sheet.image([20, 78, side, side], of.href);
  sheet.path(`M20 78h${side}v${side}h-${side}z`, { width: 1 });
  const pxPerMm = side / of.widthMm;
  const longest = 220 / pxPerMm;
  const decade = 10 ** Math.floor(Math.log10(longest));
  const barMm = [5, 2, 1].map((k) => k * decade).find((length) => length <= longest) ?? decade;
  const y = 78 + side + 30;
  sheet.path(`M20 ${y}h${n(barMm * pxPerMm)}M20 ${y - 7}v14M${n(20 + barMm * pxPerMm)} ${y - 7}v14`, { width: 2 });
  sheet.text(20 + barMm * pxPerMm + 14, y + 6, `${formatNumber(barMm * UM_PER_MM)} µm on the film, seen from the film side`);
  return sheet.svg();
}
