/**
 * Light source × film × filter: what the film sees, as the few wavelengths that stand for all of it.
 */
import { FormatError, InputError } from '../errors.ts';
import { discreteGauss } from '../numeric/discrete-gauss.ts';
import { mixedLight } from './seen-light.ts';
import type { SeenLight } from './seen-light.ts';
import spectra from './spectra.json' with { type: 'json' };

export type LightSourceId = 'daylight' | 'sunlight' | 'incandescent' | 'tungsten';
export type FilmResponseId =
  | 'panchromatic'
  | 'orthochromatic'
  | 'blue-paper'
  | 'variable-contrast-paper'
  | 'green-xray';
export type ColourFilterId = 'none' | 'yellow' | 'orange' | 'red' | 'green';

export interface SpectrumPoint {
  readonly wavelengthNm: number;
  /** Of any scale, ≥ 0. */
  readonly relativeShare: number;
}

export interface LightSource {
  readonly id: LightSourceId;
  readonly title: string;
  readonly source: string;
}

export interface FilmResponse {
  /** Null for a curve of the maker's own. */
  readonly id: FilmResponseId | null;
  readonly title: string;
  /** Relative energy sensitivity, ascending; nothing outside. */
  readonly points: readonly SpectrumPoint[];
  /** True for a curve of a kind of film, drawn from memory, not of a product. */
  readonly generic: boolean;
  readonly source: string;
}

export interface ColourFilter {
  readonly id: ColourFilterId;
  readonly title: string;
  /** Half transmission where it opens and closes; null where it does not. */
  readonly opensNm: number | null;
  readonly closesNm: number | null;
}

const asPoints = (pairs: readonly (readonly number[])[]): SpectrumPoint[] =>
  pairs.map(([wavelengthNm, relativeShare]) => ({
    wavelengthNm: wavelengthNm as number,
    relativeShare: relativeShare as number,
  }));

const TUNGSTEN_KELVIN = 3200;

const SPECTRA: ReadonlyMap<string, readonly SpectrumPoint[]> = new Map([
  ...spectra.sources.map(({ id, points }) => [id, asPoints(points)] as const),
  ['tungsten', planck(TUNGSTEN_KELVIN)] as const,
]);

export const LIGHT_SOURCES: readonly LightSource[] = [
  ...spectra.sources.map(({ id, title, source }) => ({ id: id as LightSourceId, title, source })),
  { id: 'tungsten', title: 'tungsten studio lamp (3200 K)', source: 'Planck’s law at 3200 K' },
];

export const FILM_RESPONSES: readonly FilmResponse[] = spectra.responses.map(({ id, title, points, source }) => ({
  id: id as FilmResponseId,
  title,
  points: asPoints(points),
  generic: true,
  source,
}));

/** Ideal shapes: an edge about 20 nm wide at the usual place. Common practice, no source. */
export const COLOUR_FILTERS: readonly ColourFilter[] = [
  { id: 'none', title: 'no filter', opensNm: null, closesNm: null },
  { id: 'yellow', title: 'yellow', opensNm: 495, closesNm: null },
  { id: 'orange', title: 'orange', opensNm: 550, closesNm: null },
  { id: 'red', title: 'red', opensNm: 600, closesNm: null },
  { id: 'green', title: 'green', opensNm: 490, closesNm: 590 },
];

/** Spectral power of a black body per wavelength, any scale, 300 to 780 nm. */
function planck(kelvin: number): SpectrumPoint[] {
  const c2NmKelvin = 1.438776877e7;
  return Array.from({ length: 49 }, (_, i) => {
    const wavelengthNm = 300 + 10 * i;
    const relativeShare = (560 / wavelengthNm) ** 5 / Math.expm1(c2NmKelvin / (kelvin * wavelengthNm));
    return { wavelengthNm, relativeShare };
  });
}

function interpolated(points: readonly SpectrumPoint[], wavelengthNm: number): number {
  const next = points.findIndex((point) => point.wavelengthNm >= wavelengthNm);
  if (next < 0) return 0;
  const after = points[next] as SpectrumPoint;
  const before = points[next - 1];
  if (before === undefined) return after.wavelengthNm === wavelengthNm ? after.relativeShare : 0;
  const t = (wavelengthNm - before.wavelengthNm) / (after.wavelengthNm - before.wavelengthNm);
  return before.relativeShare + t * (after.relativeShare - before.relativeShare);
}

function transmission(filter: ColourFilter, wavelengthNm: number): number {
  const edge = (fromNm: number): number => 1 / (1 + Math.exp(-fromNm / 5));
  const opened = filter.opensNm === null ? 1 : edge(wavelengthNm - filter.opensNm);
  const closed = filter.closesNm === null ? 1 : edge(filter.closesNm - wavelengthNm);
  return opened * closed;
}

function found<T extends { readonly id: string | null }>(list: readonly T[], id: string, what: string): T {
  const one = list.find((entry) => entry.id === id.trim().toLowerCase());
  if (one !== undefined) return one;
  const expected = list.map((entry) => entry.id).join(', ');
  throw new InputError('unknown-name', `There is no ${what} “${id}”. Choose one of ${expected}.`, {
    path: what.replaceAll(' ', '-'),
    got: id,
    expected,
  });
}

/** @throws InputError unknown-name */
export function lightSource(id: string): LightSource {
  return found(LIGHT_SOURCES, id, 'light source');
}

/** @throws InputError unknown-name */
export function filmResponse(id: string): FilmResponse {
  return found(FILM_RESPONSES, id, 'film response');
}

/** @throws InputError unknown-name */
export function colourFilter(id: string): ColourFilter {
  return found(COLOUR_FILTERS, id, 'filter');
}

/**
 * The response that a film or paper most likely has, from what is known of it. Common practice, no source.
 * @param material its kind as films are listed, and its name
 */
export function likelyResponse(material: { readonly kind: string; readonly name: string }): FilmResponse {
  const { kind, name } = material;
  if (kind === 'paper' || kind === 'direct-positive-paper') {
    return filmResponse(/multigrade|variable|\bvc\b|direct positive/i.test(name) ? 'variable-contrast-paper' : 'blue-paper');
  }
  if (kind === 'x-ray') return filmResponse(/blue(?!-? ?or)/i.test(name) ? 'blue-paper' : 'green-xray');
  if (kind === 'plate' || kind === 'emulsion' || /\bortho/i.test(name)) return filmResponse('orthochromatic');
  return filmResponse('panchromatic');
}

export interface FilmLightQuestion {
  readonly source: LightSourceId;
  readonly response: FilmResponse;
  /** Default none. */
  readonly filter?: ColourFilterId;
  /** Wavelengths that stand for the whole, 1 to 15; default 7. */
  readonly count?: number;
}

/** Step of the sum over wavelengths. */
const STEP_NM = 2;

/** Samples of source × response × filter every 2 nm over the response. */
function product(question: FilmLightQuestion): { at: number; weight: number }[] {
  const source = SPECTRA.get(lightSource(question.source).id) as readonly SpectrumPoint[];
  const filter = colourFilter(question.filter ?? 'none');
  const { points } = question.response;
  const first = points[0] as SpectrumPoint;
  const last = points[points.length - 1] as SpectrumPoint;
  const samples: { at: number; weight: number }[] = [];
  for (let at = first.wavelengthNm; at <= last.wavelengthNm; at += STEP_NM) {
    samples.push({ at, weight: interpolated(source, at) * interpolated(points, at) * transmission(filter, at) });
  }
  return samples;
}

/**
 * What a film sees: light source × relative sensitivity × filter, as a few wavelengths that sum smooth functions of the
 * wavelength as the whole curve would (a Gauss rule of that weight).
 * Valid: the film's curve as given; a generic one is good to about ±15 nm in its mean.
 * @param question count 1…15
 * @throws InputError unknown-name, out-of-range, missing (a filter or lamp that leaves no light)
 * @source optics-notes 2
 * @source cie-illuminants
 * @source gautschi2004 2.2
 */
export function filmLight(question: FilmLightQuestion): SeenLight {
  const count = question.count ?? 7;
  if (!(Number.isInteger(count) && count >= 1 && count <= 15)) {
    throw new InputError('out-of-range', `count must be a whole number from 1 to 15, but is ${count}.`, {
      path: 'count',
      got: count,
      expected: '1…15',
    });
  }
  const samples = product(question);
  const sum = samples.reduce((total, { weight }) => total + weight, 0);
  const open = product({ ...question, filter: 'none' }).reduce((total, { weight }) => total + weight, 0);
  if (!(sum > 1e-6 * open)) {
    const filter = colourFilter(question.filter ?? 'none');
    throw new InputError('missing', `${question.response.title} sees nothing through filter “${filter.title}”: take another.`, {
      path: 'filter',
      got: filter.id,
    });
  }
  return mixedLight(discreteGauss(samples, count).map(({ at, weight }) => ({ wavelengthNm: at, weightShare: weight })));
}

/**
 * How a film weighs the three channels of a linear sRGB picture when it turns them grey, adding to 1: each channel
 * stands for a third of the spectrum (below 490 nm, 490 to 580 nm, above).
 * Valid: a sketch; a picture of three channels does not hold the spectrum.
 * @param question as for `filmLight`
 * @throws InputError unknown-name, missing
 */
export function channelShares(question: FilmLightQuestion): readonly [number, number, number] {
  filmLight({ ...question, count: 1 });
  const shares: [number, number, number] = [0, 0, 0];
  for (const { at, weight } of product(question)) {
    const channel = at < 490 ? 2 : at < 580 ? 1 : 0;
    shares[channel] += weight;
  }
  const sum = shares[0] + shares[1] + shares[2];
  return [shares[0] / sum, shares[1] / sum, shares[2] / sum];
}

/**
 * A maker's own curve: two columns, wavelength in nm and relative sensitivity (linear, ≥ 0), with or without a header.
 * @param text CSV with comma, semicolon or tab
 * @param title what to call it
 * @throws FormatError not-understood, damaged
 */
export function responseFromCsv(text: string, title: string): FilmResponse {
  const points: SpectrumPoint[] = [];
  for (const [index, raw] of text.split(/\r?\n/).entries()) {
    const line = raw.trim();
    if (line === '' || line.startsWith('#')) continue;
    const at = `line ${index + 1}`;
    const cells = line.split(/\s*[;\t]\s*|\s*,\s*/).map(Number);
    const [wavelengthNm, relativeShare] = cells;
    if (cells.length !== 2 || wavelengthNm === undefined || relativeShare === undefined || cells.some(Number.isNaN)) {
      if (points.length === 0 && index < 2) continue;
      throw new FormatError('not-understood', `${at}: two numbers are needed, wavelength in nm and sensitivity.`, { at, got: raw });
    }
    const before = points[points.length - 1]?.wavelengthNm ?? 0;
    if (!(wavelengthNm > before && wavelengthNm >= 200 && wavelengthNm <= 1200 && relativeShare >= 0)) {
      throw new FormatError(
        'damaged',
        `${at}: wavelengths must rise from line to line, between 200 and 1200 nm, with sensitivities of 0 or more.`,
        { at, got: raw },
      );
    }
    points.push({ wavelengthNm, relativeShare });
  }
  if (points.length < 2 || points.every(({ relativeShare }) => relativeShare === 0)) {
    throw new FormatError('damaged', 'The curve needs two wavelengths or more, and some sensitivity.', { got: points.length });
  }
  return { id: null, title, points, generic: false, source: 'the maker’s own' };
}

const EYE = asPoints(spectra.eye.points);

/** How much a film makes of a light of one illuminance: its own response over the eye's. */
function worth(source: LightSourceId, response: readonly SpectrumPoint[]): number {
  const power = SPECTRA.get(lightSource(source).id) as readonly SpectrumPoint[];
  let film = 0;
  let eye = 0;
  for (let at = 300; at <= 780; at += STEP_NM) {
    const share = interpolated(power, at);
    film += share * interpolated(response, at);
    eye += share * interpolated(EYE, at);
  }
  return film / eye;
}

/**
 * What the colour of a light does to a film or paper: how much less it makes of the same illuminance than of daylight,
 * for which its speed holds, stops; positive = the light is worth less and the time grows.
 *   log2[(∫D·R / ∫D·V) / (∫L·R / ∫L·V)]
 * Valid: a meter that sees like the eye; the film's curve as given (generic ones about ±15 nm).
 * @throws InputError unknown-name
 * @source cie-illuminants
 * @source cie-v1924
 */
export function lightColourStops(question: { readonly source: LightSourceId; readonly response: FilmResponse }): number {
  const { points } = question.response;
  return Math.log2(worth('daylight', points) / worth(question.source, points));
}
