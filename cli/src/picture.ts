/** `camerawright picture`: what a hole draws: point image, contrast, detail; round, elliptic or a measured outline. */
import { basename } from 'node:path';
import {
  DEFAULT_CRITERION,
  DEFAULT_WAVELENGTH_NM,
  FormatError,
  InputError,
  UM_PER_MM,
  colourFilter,
  compareHoles,
  criterionFacts,
  edgeIntegral,
  ellipseShape,
  encircledShare,
  filmLight,
  formatNumber,
  holeOfPass,
  holesInLight,
  latestMeasuredPass,
  lightOfCamera,
  lightSource,
  meanWavelengthNm,
  mixedLight,
  mountedPlate,
  numbersOf,
  oneWavelength,
  outlineShape,
  parseAngle,
  parseCriterion,
  parseLength,
  pictureInWords,
  requirePositive,
  responseFromCsv,
  roundOtf,
  roundPointImage,
  roundShape,
  shapeAreaMm2,
  shapeFinestPerMm,
  shapeOtf,
} from '#core';
import type { CameraRecord, Criterion, FilmResponse, HoleShape, RimPoint, SeenLight } from '#core';
import type { Answer } from './answer.ts';
import { cameraOfWorkshop, chosenFilmPlane, parseFrame, parseHole, parseNumber, parseWavelengthNm } from './camera-choice.ts';
import type { CameraOfWorkshop } from './camera-choice.ts';
import { namedResponse } from './light-choice.ts';
import { writePicture } from './picture-files.ts';
import type { PhotoChoice } from './picture-files.ts';
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
  /** A camera of a workshop: its hole, film, frame and focal length, where the call does not say otherwise. */
  readonly workshop?: string;
  readonly camera?: string;
  /** `left-in`: what lies in the measured hole is drawn too, and stray holes beside it. */
  readonly debris?: string;
  /** k = 1, of the diameter. */
  readonly uncertaintyUm?: string;
  readonly thicknessMm?: string;
  /** flat, cylinder or can; that of the camera unless given. */
  readonly filmPlane?: string;
  /** Folder for figures, tables and the photograph. */
  readonly out?: string;
  readonly photo?: string;
  readonly photoAngleDeg?: string;
  readonly photoFormat?: string;
  readonly columns?: string;
  readonly tone?: string;
}

const DEFAULT_FRAME = { widthMm: 127, heightMm: 102 };

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
  readonly shape: HoleShape;
  readonly name: string;
  /** k = 1; null where nothing is known of it. */
  readonly standardUncertaintyMm: number | null;
  readonly thicknessMm: number;
  readonly notes: readonly string[];
}

async function chosenHole(options: PictureOptions, chosen: CameraOfWorkshop | null): Promise<Hole> {
  const given = [options.diameterUm, options.ellipseUm, options.outline].filter((one) => one !== undefined);
  if (given.length > 1 || (given.length === 0 && chosen === null)) {
    throw new InputError(
      given.length === 0 ? 'missing' : 'conflict',
      'Say which hole: --diameter-um D, or --ellipse-um X,Y, or --outline FILE; one of them, or --workshop FILE --camera NAME with a '
        + 'measured plate in it.',
      { path: '--diameter-um' },
    );
  }
  const plain = { standardUncertaintyMm: null, thicknessMm: 0, notes: [] };
  if (options.diameterUm !== undefined) {
    const diameterMm = parseHole(options.diameterUm, '--diameter-um');
    return { ...plain, diameterMm, shape: roundShape(diameterMm), name: `a round hole of ${formatNumber(diameterMm)} mm` };
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
    return { ...plain, diameterMm: null, shape, name: `an ellipse of ${formatNumber(x / UM_PER_MM)} × ${formatNumber(y / UM_PER_MM)} mm` };
  }
  if (options.outline !== undefined) {
    const shape = outlineShape(parseOutline(await readText(options.outline, '--outline')));
    return { ...plain, diameterMm: null, shape, name: `the outline ${basename(options.outline)}` };
  }
  return mountedHole(chosen as CameraOfWorkshop, options);
}

/** The last measured pass of the plate in the camera. */
function mountedHole({ workshop, record }: CameraOfWorkshop, options: PictureOptions): Hole {
  const debris = (options.debris ?? 'blown-out').trim().toLowerCase();
  if (debris !== 'blown-out' && debris !== 'left-in') {
    throw new InputError('unknown-name', `--debris "${options.debris}" is not known. Give blown-out or left-in.`, { path: '--debris', got: options.debris });
  }
  const plate = mountedPlate(record, workshop);
  const pass = plate === null ? null : latestMeasuredPass(plate);
  const hole = plate === null || pass === null ? null : holeOfPass(plate, pass, debris);
  if (plate === null || hole === null) {
    const numbersNow = numbersOf({ ...record, focalLengthMm: record.focalLengthMm ?? 1 }, workshop);
    throw new InputError('missing', `${numbersNow.kind === 'missing' ? numbersNow.sentence : 'The pass leaves nothing open.'} Or give a hole: --diameter-um D.`, {
      path: '--diameter-um',
    });
  }
  const left = hole.debrisLeftOut > 0 && debris === 'left-in' ? [`${hole.debrisLeftOut} pieces of debris have no place in the pass and are left out.`] : [];
  return {
    diameterMm: hole.round ? hole.diameterMm : null,
    shape: hole.shape,
    name: `plate ${plate.name}${hole.debrisDrawn + hole.straysDrawn > 0 ? ' as scanned' : ''}`,
    standardUncertaintyMm: hole.standardUncertaintyMm,
    thicknessMm: hole.thicknessMm,
    notes: left,
  };
}

interface ChosenLight {
  readonly light: SeenLight;
  /** Null: one wavelength or several, and no film. */
  readonly response: FilmResponse | null;
  readonly words: string;
  readonly note: string | null;
}

async function chosenLight(options: PictureOptions, chosen: CameraOfWorkshop | null): Promise<ChosenLight> {
  const byFilm = [options.film, options.response].filter((one) => one !== undefined);
  const cameraLight = chosen === null ? null : lightOfCamera(chosen.record, chosen.workshop);
  const loaded = cameraLight?.response ?? null;
  if (byFilm.length === 0 && options.wavelengthNm === undefined && cameraLight !== null) {
    if (loaded !== null) return throughFilm(options, loaded, cameraLight.filmName ?? loaded.title);
    if (options.source === undefined && options.filter === undefined) {
      return { light: cameraLight.light, response: null, words: cameraLight.words, note: null };
    }
  }
  if (byFilm.length === 0) {
    for (const [option, value] of [['--source', options.source], ['--filter', options.filter]] as const) {
      if (value === undefined) continue;
      throw new InputError('missing', `${option} needs --film NAME or --response FILE.`, { path: option, got: value });
    }
    const wavelengths = (options.wavelengthNm ?? '').split(',').filter((one) => one.trim() !== '').map((one) => parseWavelengthNm(one, '--wavelength-nm'));
    const weights = numbers(options.weights, '--weights');
    if (wavelengths.length === 0) wavelengths.push(DEFAULT_WAVELENGTH_NM);
    if (weights.length > 0 && weights.length !== wavelengths.length) {
      throw new InputError('conflict', `--weights has ${weights.length} numbers, --wavelength-nm ${wavelengths.length}: give one for each.`, {
        path: '--weights',
        got: options.weights,
      });
    }
    const words = `light of ${wavelengths.map((one) => formatNumber(one)).join(', ')} nm`;
    if (wavelengths.length === 1) return { light: oneWavelength(wavelengths[0] as number), response: null, words, note: null };
    const lines = wavelengths.map((wavelengthNm, i) => ({ wavelengthNm, weightShare: weights[i] ?? 1 }));
    return { light: mixedLight(lines), response: null, words, note: null };
  }
  if (byFilm.length > 1 || options.wavelengthNm !== undefined || options.weights !== undefined) {
    throw new InputError('conflict', 'Give either --wavelength-nm, or --film NAME, or --response FILE.', { path: '--film' });
  }
  if (options.response !== undefined) {
    const title = basename(options.response);
    return throughFilm(options, responseFromCsv(await readText(options.response, '--response'), title), title);
  }
  const { response, name } = namedResponse(options.film as string, chosen?.workshop ?? null);
  return throughFilm(options, response, name);
}

function throughFilm(options: PictureOptions, response: FilmResponse, name: string): ChosenLight {
  const source = lightSource(options.source ?? 'daylight');
  const filter = colourFilter(options.filter ?? 'none');
  const light = filmLight({ source: source.id, response, filter: filter.id });
  const mean = formatNumber(meanWavelengthNm(light), { digits: 0 });
  const through = filter.id === 'none' ? '' : ` through ${filter.title}`;
  return {
    light,
    response,
    words: `${name === response.title ? name : `${name} (${response.title})`} in ${source.title}${through}, about ${mean} nm`,
    note: response.generic ? `The colour response is a generic curve of its kind (${response.title}), good to about ±15 nm.` : null,
  };
}

/** Answers for the hole, camera and light that the options give. */
export async function pictureCommand(options: PictureOptions): Promise<Answer> {
  const chosen = await cameraOfWorkshop(options);
  const record = chosen?.record ?? null;
  const hole = await chosenHole(options, chosen);
  const focalLengthMm = options.focalMm === undefined ? record?.focalLengthMm : parseNumber(options.focalMm, '--focal-mm');
  if (focalLengthMm === undefined) {
    throw new InputError('missing', 'Give the focal length: --focal-mm F, from the hole to the film.', { path: '--focal-mm' });
  }
  requirePositive(focalLengthMm, '--focal-mm', 'mm');
  const objectDistanceMm = options.objectMm === undefined ? (record?.objectDistanceMm ?? Infinity) : parseNumber(options.objectMm, '--object-mm');
  const seen = await chosenLight(options, chosen);
  const { light } = seen;
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
  const asked = { pointsMm, radiiMm, frequenciesPerMm };
  const standardUncertaintyMm =
    options.uncertaintyUm === undefined ? hole.standardUncertaintyMm : parseNumber(options.uncertaintyUm, '--uncertainty-um') / UM_PER_MM;
  const criterion = parseCriterion(options.criterion ?? record?.criterion ?? DEFAULT_CRITERION);
  const frame = chosenFrame(options, record);
  const worth = inWords({ ...view, hole, standardUncertaintyMm, criterion, frameWidthMm: frame.frame.widthMm, frameKnown: frame.known }, options);
  const drawn = hole.diameterMm === null ? shaped({ ...view, shape: hole.shape }, asked) : round({ ...view, diameterMm: hole.diameterMm }, asked);
  const heading = `${hole.name[0]?.toUpperCase()}${hole.name.slice(1)}, ${formatNumber(focalLengthMm)} mm from the film, ${seen.words}.`;
  const files =
    options.out === undefined
      ? null
      : await writePicture(options.out, {
          title: heading,
          holeName: hole.name,
          view: {
            camera: { frame: frame.frame, focalLengthMm, holeShift: frame.holeShift, filmPlane: chosenFilmPlane(options.filmPlane, record) },
            shape: hole.shape,
            thicknessMm: options.thicknessMm === undefined ? hole.thicknessMm : parseLength(options.thicknessMm, { defaultUnit: 'mm', path: '--thickness-mm' }).mm,
            objectDistanceMm,
            light,
          },
          criterion,
          response: seen.response,
          source: options.source,
          filter: options.filter,
          photo: photoChoice(options),
        });
  return {
    json: {
      focalLengthMm,
      objectDistanceMm: Number.isFinite(objectDistanceMm) ? objectDistanceMm : null,
      wavelengthsNm: light.map(({ wavelengthNm }) => wavelengthNm),
      weights: light.map(({ weightShare }) => weightShare),
      meanWavelengthNm: meanWavelengthNm(light),
      radiiMm,
      frequenciesPerMm,
      pointsMm: pointsMm.map(({ xMm, yMm }) => [xMm, yMm]),
      ...drawn.json,
      ...worth.json,
      frameMm: frame.known ? [frame.frame.widthMm, frame.frame.heightMm] : null,
      files: files?.files ?? [],
      photograph: files?.photograph ?? null,
    },
    text: [
      heading,
      ...drawn.sentences,
      ...worth.sentences,
      ...drawn.tables.flatMap((lines) => ['', lines]),
      ...(files === null ? [] : ['', `Written to ${options.out ?? ''}: ${files.files.join(', ')}.`]),
    ].join('\n'),
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
    notes: [...(seen.note === null ? [] : [seen.note]), ...hole.notes, ...(files === null ? [] : [...frame.notes, ...files.notes])],
  };
}

function chosenFrame(options: PictureOptions, record: CameraRecord | null) {
  const { widthMm, heightMm } = record?.frame ?? {};
  const own = widthMm === undefined || heightMm === undefined ? null : { widthMm, heightMm };
  const frame = options.frame === undefined ? own : parseFrame(options.frame);
  const holeShift = { xMm: record?.holeShift?.xMm ?? 0, yMm: record?.holeShift?.yMm ?? 0 };
  if (frame !== null) return { frame, known: true, holeShift, notes: [] };
  const { widthMm: width, heightMm: height } = DEFAULT_FRAME;
  return { frame: DEFAULT_FRAME, known: false, holeShift, notes: [`A frame of ${width} × ${height} mm is taken: give yours with --frame WxH.`] };
}

function photoChoice(options: PictureOptions): PhotoChoice {
  const format = (options.photoFormat ?? 'png8').trim().toLowerCase();
  const parts = /^(png|tiff?)-?(8|16)?$/.exec(format);
  if (parts === null) {
    throw new InputError('unknown-name', `--photo-format "${options.photoFormat}" is not known. Give png8, png16, tiff8 or tiff16.`, {
      path: '--photo-format',
      got: options.photoFormat,
    });
  }
  const tone = (options.tone ?? 'positive').trim().toLowerCase();
  if (tone !== 'positive' && tone !== 'negative') {
    throw new InputError('unknown-name', `--tone "${options.tone}" is not known. Give positive or negative.`, { path: '--tone', got: options.tone });
  }
  return {
    path: options.photo ?? null,
    angleRad: options.photoAngleDeg === undefined ? null : parseAngle(options.photoAngleDeg, { path: '--photo-angle-deg' }).angleRad,
    columns: options.columns === undefined ? 2000 : parseNumber(options.columns, '--columns'),
    format: parts[1] === 'png' ? 'png' : 'tiff',
    bits: parts[2] === '16' ? 16 : 8,
    tone,
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

function round(view: Parameters<typeof roundPointImage>[0], asked: Asked): Drawn {
  const radii = asked.pointsMm.length > 0 ? asked.pointsMm.map(({ xMm, yMm }) => Math.hypot(xMm, yMm)) : asked.radiiMm;
  const intensity = [...roundPointImage(view, radii)];
  const encircled = asked.pointsMm.length > 0 ? [] : [...encircledShare(view, radii)];
  const otf = [...roundOtf(view, asked.frequenciesPerMm)];
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
  return { json: { intensity, encircledEnergy: encircled, otf }, sentences: [], tables };
}

function shaped(view: Parameters<typeof edgeIntegral>[0], asked: Omit<Asked, 'radiiMm'>): Drawn {
  const { intensity, errorBoundShare } = edgeIntegral(view, asked.pointsMm);
  const along = shapeOtf(view, asked.frequenciesPerMm, 0);
  const up = shapeOtf(view, asked.frequenciesPerMm, Math.PI / 2);
  const tables: string[] = [];
  if (asked.pointsMm.length > 0) tables.push(pointTable(asked.pointsMm, [...intensity]));
  if (asked.frequenciesPerMm.length > 0) {
    tables.push(table(['cycles/mm', 'contrast along x', 'contrast along y'], asked.frequenciesPerMm.map((frequency, i) => [
      four(frequency), four(along.real[i] as number), four(up.real[i] as number),
    ])));
  }
  return {
    json: {
      intensity: [...intensity],
      intensityErrorBound: errorBoundShare,
      otf: [...along.real],
      otfQuadrature: [...along.imaginary],
      otfAlongY: [...up.real],
      otfAlongYQuadrature: [...up.imaginary],
    },
    sentences: [],
    tables,
  };
}

function pointTable(pointsMm: readonly RimPoint[], intensity: readonly number[]): string {
  return table(['x mm', 'y mm', 'intensity'], pointsMm.map(({ xMm, yMm }, i) => [four(xMm), four(yMm), four(intensity[i] as number)]));
}

interface Worth {
  readonly focalLengthMm: number;
  readonly objectDistanceMm: number;
  readonly light: SeenLight;
  readonly hole: Hole;
  readonly standardUncertaintyMm: number | null;
  readonly criterion: Criterion;
  readonly frameWidthMm: number;
  readonly frameKnown: boolean;
}

/** What the hole is worth, by the size of the round hole of its area, and what its shape costs beside. */
function inWords(of: Worth, options: PictureOptions): { readonly json: Record<string, unknown>; readonly sentences: readonly string[] } {
  const { hole, criterion } = of;
  const camera = { focalLengthMm: of.focalLengthMm, objectDistanceMm: of.objectDistanceMm, light: of.light };
  const areaMm2 = shapeAreaMm2(hole.shape);
  const diameterMm = hole.diameterMm ?? 2 * Math.sqrt(areaMm2 / Math.PI);
  const view = { ...camera, diameterMm };
  const figures = pictureInWords(view, of.frameWidthMm, of.standardUncertaintyMm ?? 0);
  const holes = holesInLight(of.light);
  const best = holes.best({ ...camera, criterion });
  const cost = holes.cost({ ...view, criterion });
  const other = options.compareUm === undefined ? null : compareHoles(view, parseNumber(options.compareUm, '--compare-um') / UM_PER_MM);
  const um = (lengthMm: number): string => formatNumber(lengthMm * UM_PER_MM, { digits: 0 });
  const shapeFinest = hole.diameterMm === null ? shapeFinestPerMm({ ...camera, shape: hole.shape }) : null;
  const shapeLoss = shapeFinest === null ? null : 1 - shapeFinest / figures.finestPerMm;
  const [low, high] = best.bandMm;
  return {
    json: {
      diameterUm: hole.diameterMm === null ? null : hole.diameterMm * UM_PER_MM,
      areaMm2,
      equivalentDiameterUm: diameterMm * UM_PER_MM,
      diameterStandardUncertaintyUm: of.standardUncertaintyMm === null ? null : of.standardUncertaintyMm * UM_PER_MM,
      finestPerMm: figures.finestPerMm,
      finestRangePerMm: figures.finestRangePerMm,
      shapeFinestPerMm: shapeFinest,
      smallestBar: figures.smallestBar,
      crispPrint: of.frameKnown ? figures.crispPrint : null,
      bestHole: {
        criterion,
        diameterUm: best.diameterMm * UM_PER_MM,
        bandUm: best.bandMm.map((lengthMm) => lengthMm * UM_PER_MM),
        bandMeaning: best.bandMeaning,
        lossShare: cost.lossShare,
        lightStops: cost.lightStops,
        band: cost.place,
      },
      comparison: other,
      sentences: figures.sentences,
    },
    sentences: [
      ...(hole.diameterMm === null ? [`Open area ${four(areaMm2)} mm², as a round hole of ${four(diameterMm)} mm.`] : []),
      ...figures.sentences.slice(0, of.frameKnown ? 3 : 2),
      ...(shapeLoss === null
        ? []
        : [
            Math.abs(shapeLoss) < 0.005
              ? 'Its shape costs nothing beside: it draws as fine as the round hole of its area.'
              : `Its shape draws ${formatNumber(100 * Math.abs(shapeLoss), { significant: 2 })} % ${shapeLoss > 0 ? 'less fine' : 'finer'} than that, where it is worst.`,
          ]),
      `Best in this light for ${criterionFacts(criterion).title}: ${um(best.diameterMm)} µm, ${um(low)} to ${um(high)} µm cost little.`,
      ...(other === null ? [] : [other.sentence]),
    ],
  };
}
