/** `camerawright picture`: what a hole draws: point image, contrast, detail; round, elliptic or a measured outline. */
import { basename } from 'node:path';
import {
  FormatError,
  InputError,
  UM_PER_MM,
  bestHoleInLight,
  compareHoles,
  criterionFacts,
  edgeIntegral,
  ellipseShape,
  encircledShare,
  filmLight,
  formatNumber,
  lightSource,
  meanWavelengthNm,
  mixedLight,
  colourFilter,
  oneWavelength,
  outlineShape,
  parseCriterion,
  pictureInWords,
  requirePositive,
  responseFromCsv,
  roundOtf,
  roundPointImage,
  shapeAreaMm2,
  shapeOtf,
} from '#core';
import type { FilmResponse, HoleShape, RimPoint, SeenLight } from '#core';
import type { Answer } from './answer.ts';
import { parseFrame, parseNumber } from './camera-choice.ts';
import { namedResponse } from './light-choice.ts';
import { csv, table } from './printing.ts';
import { readText } from './tables.ts';

/** As the maker wrote them: every value still text. */
export interface PictureOptions {
  readonly diameterUm?: string;
  /** Instead of a diameter: `500,400`, widths along x and y. */
  readonly ellipseUm?: string;
  /** Instead of a diameter: a CSV file of x,y in mm, loops separated by a blank line. */
  readonly outline?: string;
  readonly focalMm?: string;
  readonly objectMm?: string;
  readonly wavelengthNm?: string;
  readonly weights?: string;
  /** Instead of wavelengths: a film of the list, or a kind of film. */
  readonly film?: string;
  /** Instead of a film: its curve, CSV of nm and relative sensitivity. */
  readonly response?: string;
  readonly source?: string;
  readonly filter?: string;
  readonly radiiMm?: string;
  readonly frequencies?: string;
  readonly pointsMm?: string;
  readonly frame?: string;
  readonly criterion?: string;
  /** Another diameter, to say what it would cost. */
  readonly compareUm?: string;
}

const DEFAULT_WAVELENGTH_NM = 550;
const DEFAULT_FRAME_WIDTH_MM = 127;

function numbers(text: string | undefined, option: string): number[] {
  if (text === undefined || text.trim() === '') return [];
  return text.split(',').map((part) => parseNumber(part, option));
}

function points(text: string | undefined): RimPoint[] {
  if (text === undefined || text.trim() === '') return [];
  return text
    .split(';')
    .filter((pair) => pair.trim() !== '')
    .map((pair) => {
      const [xMm, yMm, ...more] = numbers(pair, '--points-mm');
      if (xMm === undefined || yMm === undefined || more.length > 0) {
        throw new InputError('not-understood', `--points-mm "${pair}" was not understood. Give "x,y;x,y", in mm.`, {
          path: '--points-mm',
          got: pair,
        });
      }
      return { xMm, yMm };
    });
}

/** x,y in mm; a blank line begins a new loop; one line of words at the top is taken as a header. */
function parseOutline(content: string): RimPoint[][] {
  const loops: RimPoint[][] = [[]];
  for (const [index, raw] of content.replace(/^\uFEFF/, '').split(/\r?\n/).entries()) {
    const line = raw.trim();
    if (line.startsWith('#')) continue;
    if (line.replaceAll(',', '').trim() === '') {
      if ((loops.at(-1) as RimPoint[]).length > 0) loops.push([]);
      continue;
    }
    const cells = line.split(/\s*[,;\t]\s*/);
    const [xMm, yMm] = cells.map(Number);
    if (cells.length !== 2 || !Number.isFinite(xMm) || !Number.isFinite(yMm)) {
      if (index === 0 && !/^[-+.\d]/.test(line)) continue;
      throw new FormatError('not-understood', `Line ${index + 1} of the outline: two numbers are needed, x,y in mm.`, {
        at: `line ${index + 1}`,
        got: raw,
      });
    }
    (loops.at(-1) as RimPoint[]).push({ xMm: xMm as number, yMm: yMm as number });
  }
  return loops.filter((loop) => loop.length > 0).map(opened);
}

/** A last point that repeats the first closes the loop by hand; it would only be an edge of no length. */
function opened(loop: RimPoint[]): RimPoint[] {
  const first = loop[0] as RimPoint;
  const last = loop[loop.length - 1] as RimPoint;
  return loop.length > 3 && first.xMm === last.xMm && first.yMm === last.yMm ? loop.slice(0, -1) : loop;
}

interface Hole {
  /** Null where the hole is not round. */
  readonly diameterMm: number | null;
  readonly shape: HoleShape | null;
  readonly name: string;
}

async function chosenHole(options: PictureOptions): Promise<Hole> {
  const given = [options.diameterUm, options.ellipseUm, options.outline].filter((one) => one !== undefined);
  if (given.length !== 1) {
    throw new InputError(
      given.length === 0 ? 'missing' : 'conflict',
      'Say which hole: --diameter-um D, or --ellipse-um X,Y, or --outline FILE; one of them.',
      { path: '--diameter-um' },
    );
  }
  if (options.diameterUm !== undefined) {
    const diameterMm = parseNumber(options.diameterUm, '--diameter-um') / UM_PER_MM;
    requirePositive(diameterMm, '--diameter-um', 'µm');
    return { diameterMm, shape: null, name: `a round hole of ${formatNumber(diameterMm)} mm` };
  }
  if (options.ellipseUm !== undefined) {
    const [x, y, ...more] = numbers(options.ellipseUm, '--ellipse-um');
    if (x === undefined || y === undefined || more.length > 0) {
      throw new InputError('not-understood', `--ellipse-um "${options.ellipseUm}" was not understood. Give X,Y in µm.`, {
        path: '--ellipse-um',
        got: options.ellipseUm,
      });
    }
    const shape = ellipseShape({ widthMm: x / UM_PER_MM, heightMm: y / UM_PER_MM });
    return { diameterMm: null, shape, name: `an ellipse of ${formatNumber(x / UM_PER_MM)} × ${formatNumber(y / UM_PER_MM)} mm` };
  }
  const file = options.outline as string;
  const shape = outlineShape(parseOutline(await readText(file, '--outline')));
  return { diameterMm: null, shape, name: `the outline ${basename(file)}` };
}

interface ChosenLight {
  readonly light: SeenLight;
  readonly words: string;
  readonly note: string | null;
}

async function chosenLight(options: PictureOptions): Promise<ChosenLight> {
  const byFilm = [options.film, options.response].filter((one) => one !== undefined);
  if (byFilm.length === 0) {
    for (const [option, value] of [['--source', options.source], ['--filter', options.filter]] as const) {
      if (value === undefined) continue;
      throw new InputError('missing', `${option} needs --film NAME or --response FILE.`, { path: option, got: value });
    }
    const wavelengths = numbers(options.wavelengthNm, '--wavelength-nm');
    const weights = numbers(options.weights, '--weights');
    if (wavelengths.length === 0) wavelengths.push(DEFAULT_WAVELENGTH_NM);
    if (weights.length > 0 && weights.length !== wavelengths.length) {
      throw new InputError('conflict', `--weights has ${weights.length} numbers, --wavelength-nm ${wavelengths.length}: give one for each.`, {
        path: '--weights',
        got: options.weights,
      });
    }
    const words = `light of ${wavelengths.map((one) => formatNumber(one)).join(', ')} nm`;
    if (wavelengths.length === 1) return { light: oneWavelength(wavelengths[0] as number), words, note: null };
    const lines = wavelengths.map((wavelengthNm, i) => ({ wavelengthNm, weightShare: weights[i] ?? 1 }));
    return { light: mixedLight(lines), words, note: null };
  }
  if (byFilm.length > 1 || options.wavelengthNm !== undefined || options.weights !== undefined) {
    throw new InputError('conflict', 'Give either --wavelength-nm, or --film NAME, or --response FILE.', { path: '--film' });
  }
  const response = await chosenResponse(options);
  const source = lightSource(options.source ?? 'daylight');
  const filter = colourFilter(options.filter ?? 'none');
  const light = filmLight({ source: source.id, response, filter: filter.id });
  const mean = formatNumber(meanWavelengthNm(light), { digits: 0 });
  const through = filter.id === 'none' ? '' : ` through ${filter.title}`;
  return {
    light,
    words: `${response.title} in ${source.title}${through}, about ${mean} nm`,
    note: response.generic ? `The colour response is a generic curve of its kind (${response.title}), good to about ±15 nm.` : null,
  };
}

async function chosenResponse(options: PictureOptions): Promise<FilmResponse> {
  if (options.response !== undefined) return responseFromCsv(await readText(options.response, '--response'), basename(options.response));
  return namedResponse(options.film as string, null).response;
}

/** Answers for the hole, camera and light that the options give. */
export async function pictureCommand(options: PictureOptions): Promise<Answer> {
  const hole = await chosenHole(options);
  if (options.focalMm === undefined) {
    throw new InputError('missing', 'Give the focal length: --focal-mm F, from the hole to the film.', { path: '--focal-mm' });
  }
  const focalLengthMm = parseNumber(options.focalMm, '--focal-mm');
  requirePositive(focalLengthMm, '--focal-mm', 'mm');
  const objectDistanceMm = options.objectMm === undefined ? Infinity : parseNumber(options.objectMm, '--object-mm');
  const { light, words, note } = await chosenLight(options);
  const radiiMm = numbers(options.radiiMm, '--radii-mm');
  const pointsMm = points(options.pointsMm);
  if (radiiMm.length > 0 && pointsMm.length > 0) {
    throw new InputError('conflict', 'Give either --radii-mm or --points-mm: the intensities answer one of them.', { path: '--points-mm' });
  }
  if (radiiMm.length > 0 && hole.diameterMm === null) {
    throw new InputError('conflict', '--radii-mm is for a round hole; for another shape give --points-mm "x,y;x,y".', { path: '--radii-mm' });
  }
  const frequenciesPerMm = numbers(options.frequencies, '--frequencies');
  const view = { focalLengthMm, objectDistanceMm, light };
  const common = {
    focalLengthMm,
    objectDistanceMm: Number.isFinite(objectDistanceMm) ? objectDistanceMm : null,
    wavelengthsNm: light.map(({ wavelengthNm }) => wavelengthNm),
    weights: light.map(({ weightShare }) => weightShare),
    meanWavelengthNm: meanWavelengthNm(light),
    radiiMm,
    frequenciesPerMm,
    pointsMm: pointsMm.map(({ xMm, yMm }) => [xMm, yMm]),
  };
  const notes = note === null ? [] : [note];
  const heading = `${hole.name[0]?.toUpperCase()}${hole.name.slice(1)}, ${formatNumber(focalLengthMm)} mm from the film, ${words}.`;
  const drawn = hole.diameterMm === null
    ? shaped({ ...view, shape: hole.shape as HoleShape }, { pointsMm, frequenciesPerMm })
    : round({ ...view, diameterMm: hole.diameterMm }, { radiiMm, pointsMm, frequenciesPerMm }, options);
  return {
    json: { ...common, ...drawn.json },
    text: [heading, ...drawn.sentences, ...drawn.tables.flatMap((lines) => ['', lines])].join('\n'),
    csv: csv(
      ['quantity', 'xOrRadiusMm', 'yMm', 'frequencyPerMm', 'value'],
      [
        ...drawn.json.intensity.map((value, i) => {
          const point = pointsMm[i];
          return ['intensity', point?.xMm ?? radiiMm[i] ?? null, point?.yMm ?? null, null, value];
        }),
        ...drawn.json.otf.map((value, i) => ['otf', null, null, frequenciesPerMm[i] ?? null, value]),
      ],
    ),
    notes,
  };
}

interface Asked {
  readonly radiiMm: readonly number[];
  readonly pointsMm: readonly RimPoint[];
  readonly frequenciesPerMm: readonly number[];
}

interface Drawn {
  readonly json: { readonly intensity: readonly number[]; readonly otf: readonly number[] } & Record<string, unknown>;
  readonly sentences: readonly string[];
  readonly tables: readonly string[];
}

const four = (value: number): string => formatNumber(value, { significant: 4 });

function round(view: Parameters<typeof roundPointImage>[0], asked: Asked, options: PictureOptions): Drawn {
  const radii = asked.pointsMm.length > 0 ? asked.pointsMm.map(({ xMm, yMm }) => Math.hypot(xMm, yMm)) : asked.radiiMm;
  const intensity = [...roundPointImage(view, radii)];
  const encircled = asked.pointsMm.length > 0 ? [] : [...encircledShare(view, radii)];
  const otf = [...roundOtf(view, asked.frequenciesPerMm)];
  const frameWidthMm = options.frame === undefined ? DEFAULT_FRAME_WIDTH_MM : parseFrame(options.frame).widthMm;
  const figures = pictureInWords(view, frameWidthMm);
  const criterion = parseCriterion(options.criterion ?? 'detail-10');
  const best = bestHoleInLight({ ...view, criterion });
  const other = options.compareUm === undefined ? null : compareHoles(view, parseNumber(options.compareUm, '--compare-um') / UM_PER_MM);
  const um = (lengthMm: number): string => formatNumber(lengthMm * UM_PER_MM, { digits: 0 });
  const sentences = [
    ...figures.sentences.slice(0, options.frame === undefined ? 2 : 3),
    `Best in this light for ${criterionFacts(criterion).title}: ${um(best.diameterMm)} µm, ${um(best.bandMm[0])} to ${um(best.bandMm[1])} µm cost little.`,
    ...(other === null ? [] : [other.sentence]),
  ];
  const tables: string[] = [];
  if (asked.radiiMm.length > 0) {
    tables.push(table(['radius mm', 'intensity', 'light within'], radii.map((r, i) => [
      four(r), four(intensity[i] as number), `${formatNumber(100 * (encircled[i] as number), { digits: 1 })} %`,
    ])));
  }
  if (asked.pointsMm.length > 0) tables.push(pointTable(asked.pointsMm, intensity));
  if (otf.length > 0) {
    tables.push(table(['cycles/mm', 'contrast'], otf.map((value, i) => [four(asked.frequenciesPerMm[i] as number), four(value)])));
  }
  return {
    json: {
      diameterUm: view.diameterMm * UM_PER_MM,
      intensity,
      encircledEnergy: encircled,
      otf,
      finestPerMm: figures.finestPerMm,
      smallestBar: figures.smallestBar,
      crispPrint: options.frame === undefined ? null : figures.crispPrint,
      bestHole: {
        criterion,
        diameterUm: best.diameterMm * UM_PER_MM,
        bandUm: best.bandMm.map((lengthMm) => lengthMm * UM_PER_MM),
        bandMeaning: best.bandMeaning,
      },
      comparison: other,
    },
    sentences,
    tables,
  };
}

function shaped(view: Parameters<typeof edgeIntegral>[0], asked: Omit<Asked, 'radiiMm'>): Drawn {
  const { intensity, errorBoundShare } = edgeIntegral(view, asked.pointsMm);
  const along = shapeOtf(view, asked.frequenciesPerMm, 0);
  const up = shapeOtf(view, asked.frequenciesPerMm, Math.PI / 2);
  const areaMm2 = shapeAreaMm2(view.shape);
  const tables: string[] = [];
  if (asked.pointsMm.length > 0) tables.push(pointTable(asked.pointsMm, [...intensity]));
  if (asked.frequenciesPerMm.length > 0) {
    tables.push(table(['cycles/mm', 'contrast along x', 'contrast along y'], asked.frequenciesPerMm.map((frequency, i) => [
      four(frequency), four(along.real[i] as number), four(up.real[i] as number),
    ])));
  }
  return {
    json: {
      areaMm2,
      equivalentDiameterUm: 2 * Math.sqrt(areaMm2 / Math.PI) * UM_PER_MM,
      intensity: [...intensity],
      intensityErrorBound: errorBoundShare,
      otf: [...along.real],
      otfQuadrature: [...along.imaginary],
      otfAlongY: [...up.real],
      otfAlongYQuadrature: [...up.imaginary],
    },
    sentences: [`Open area ${four(areaMm2)} mm², as a round hole of ${four(2 * Math.sqrt(areaMm2 / Math.PI))} mm.`],
    tables,
  };
}

function pointTable(pointsMm: readonly RimPoint[], intensity: readonly number[]): string {
  return table(['x mm', 'y mm', 'intensity'], pointsMm.map(({ xMm, yMm }, i) => [four(xMm), four(yMm), four(intensity[i] as number)]));
}
