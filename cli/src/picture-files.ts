/** What `camerawright picture --out DIR` writes: figures as SVG and PNG, their numbers as CSV, the photograph. */
import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import {
  bestDiameter,
  channelShares,
  colourFilter,
  criterionFacts,
  fieldContrast,
  filmRay,
  filmResponse,
  formatNumber,
  lightSource,
  meanWavelengthNm,
  photograph,
  pointImage,
  printGainStops,
  printTone,
  printTone16,
  radToDegrees,
  shapeAreaMm2,
  slantedView,
} from '#core';
import type { Criterion, FieldView, FilmResponse, PrintTone, ShapeImage } from '#core';
import { greyFile, loadSvgPng, nodeSaver, openPhotograph } from '#io/node';
import type { GreyFormat, Letters } from '#io/node';
import { contrastCurves, contrastPlot, meritPlot, pointPlot } from './picture-plots.ts';
import { csv } from './printing.ts';

export interface PhotoChoice {
  /** Null: the demo garden. */
  readonly path: string | null;
  readonly angleRad: number | null;
  readonly columns: number;
  readonly format: GreyFormat;
  readonly bits: 8 | 16;
  readonly tone: PrintTone;
}

export interface PictureFiles {
  readonly title: string;
  readonly holeName: string;
  readonly view: FieldView;
  readonly criterion: Criterion;
  /** Null without a film. */
  readonly response: FilmResponse | null;
  readonly source: string | undefined;
  readonly filter: string | undefined;
  readonly photo: PhotoChoice;
}

export interface Written {
  readonly files: readonly string[];
  readonly photograph: Record<string, unknown> | null;
  readonly notes: readonly string[];
}

const MM_PER_NM = 1e-6;
const GRID = 257;
const FREQUENCIES = 121;
/** Four decades of light, as many as a long-scaled film may hold. */
const DECADES = 4;
const PNG_SCALE = 2;
/** What the demo garden covers, by its recipe. */
const GARDEN_ANGLE_RAD = Math.PI / 2;
/** The main lens of most telephones, about 26 mm on 36 × 24. Common practice, no source. */
const USUAL_ANGLE_RAD = (69 * Math.PI) / 180;

/** Beside the built app; beside the sources while the command runs from them. */
function gardenPath(): string | null {
  const places = ['../app/demo/photographs/walled-garden.jpg', '../../demo/photographs/walled-garden.jpg'];
  return places.map((place) => fileURLToPath(new URL(place, import.meta.url))).find((path) => existsSync(path)) ?? null;
}

/** Writes everything and gives the names, in the order written. */
export async function writePicture(folder: string, of: PictureFiles): Promise<Written> {
  const saver = nodeSaver(folder);
  const files: string[] = [];
  const save = async (name: string, mediaType: string, content: Uint8Array | string): Promise<void> => {
    await saver.save(name, mediaType, typeof content === 'string' ? new TextEncoder().encode(content) : content);
    files.push(name);
  };
  const { barlowLetters, pngOfSvg } = await loadSvgPng();
  const letters = barlowLetters();
  const figure = async (name: string, draw: (letters: Letters | null) => string): Promise<void> => {
    await save(`${name}.svg`, 'image/svg+xml', draw(null));
    await save(`${name}.png`, 'image/png', await pngOfSvg(draw(letters), PNG_SCALE));
  };
  const { view } = of;
  const { camera, light } = view;
  const f = camera.focalLengthMm;
  const areaMm2 = shapeAreaMm2(view.shape);
  const diameterMm = 2 * Math.sqrt(areaMm2 / Math.PI);
  const lambdaMm = meanWavelengthNm(light) * MM_PER_NM;

  // the photograph first: it may be refused
  const drawn = await drawPhotograph(of);

  const axis = slantedView({ ...view, focalLengthMm: f }, filmRay(camera, camera.holeShift)) ?? { ...view, focalLengthMm: f };
  const reachMm = 0.55 * diameterMm * (1 + f / view.objectDistanceMm) + (2.6 * lambdaMm * f) / diameterMm;
  const image = pointImage(axis, { columns: GRID, rows: GRID, pitchMm: (2 * reachMm) / (GRID - 1) });
  const peak = image.intensity.reduce((most, value) => Math.max(most, value), 0);
  for (const scale of ['linear', 'log'] as const) {
    const href = await inkHref(image, peak, scale);
    const words = scale === 'linear' ? `linear, peak ${formatNumber(peak)} of the light without the plate` : `log, ${DECADES} decades below the peak of ${formatNumber(peak)}`;
    await figure(`point-image-${scale}`, (pen) => pointPlot({ title: `A point of light behind ${of.holeName}`, words, href, widthMm: 2 * reachMm }, pen));
  }
  const middle = (GRID - 1) / 2;
  await save('point-image.csv', 'text/csv', csv(
    ['xMm', 'yMm', 'intensity'],
    [...image.intensity].map((value, i) => [((i % GRID) - middle) * image.pitchMm, (middle - Math.floor(i / GRID)) * image.pitchMm, value]),
  ));

  const last = (0.85 * diameterMm) / (lambdaMm * f);
  const frequenciesPerMm = Float64Array.from({ length: FREQUENCIES }, (_, i) => (last * i) / (FREQUENCIES - 1));
  const contrast = fieldContrast(view, frequenciesPerMm);
  await figure('contrast', (pen) => contrastPlot({ title: `Contrast of fine detail behind ${of.holeName}`, frequenciesPerMm, contrast }, pen));
  const curves = contrastCurves(contrast);
  await save('contrast.csv', 'text/csv', csv(
    ['cyclesPerMm', ...curves.map(({ name }) => name)],
    [...frequenciesPerMm].map((frequency, i) => [frequency, ...curves.map(({ values }) => values[i] ?? null)]),
  ));

  const answer = bestDiameter({
    camera, objectDistanceMm: view.objectDistanceMm, light, aim: { kind: 'criterion', criterion: of.criterion }, ownDiameterMm: diameterMm,
  });
  await figure('best-hole', (pen) => meritPlot({ title: `Best for ${criterionFacts(of.criterion).title}`, answer, ownName: of.holeName }, pen));
  await save('best-hole.csv', 'text/csv', csv(
    ['diameterMm', 'meritShare'],
    [...answer.curve.diameterMm].map((value, i) => [value, answer.curve.meritShare[i] ?? null]),
  ));

  if (drawn !== null) await save(drawn.name, drawn.mediaType, drawn.bytes);
  return {
    files,
    photograph: drawn?.facts ?? null,
    notes: drawn === null ? ['The demo garden is not at hand; give a photograph of yours with --photo FILE.'] : drawn.notes,
  };
}

async function inkHref(image: ShapeImage, peak: number, scale: 'linear' | 'log'): Promise<string> {
  // dark where light falls, as on a negative
  const samples = Uint8Array.from(image.intensity, (value) => {
    const share = value / peak;
    const ink = scale === 'linear' ? share : share <= 0 ? 0 : 1 + Math.log10(share) / DECADES;
    return Math.round(255 * (1 - Math.min(1, Math.max(0, ink))));
  });
  const png = await greyFile({ columns: image.columns, rows: image.rows, samples, pitchMm: null }, 'png');
  return `data:image/png;base64,${Buffer.from(png).toString('base64')}`;
}

async function drawPhotograph(of: PictureFiles) {
  const { photo, view } = of;
  const path = photo.path ?? gardenPath();
  if (path === null) return null;
  const angleRad = photo.angleRad ?? (photo.path === null ? GARDEN_ANGLE_RAD : USUAL_ANGLE_RAD);
  const { scene, warnings } = await openPhotograph(path, angleRad);
  const shares = channelShares({
    source: lightSource(of.source ?? 'daylight').id,
    // without a film the colours turn grey as on a panchromatic one
    response: of.response ?? filmResponse('panchromatic'),
    ...(of.response === null ? {} : { filter: colourFilter(of.filter ?? 'none').id }),
  });
  const picture = photograph({ view, scene, channelShares: shares, columns: photo.columns });
  const gainStops = printGainStops(picture);
  const samples = photo.bits === 16 ? printTone16(picture, photo.tone, gainStops) : printTone(picture, photo.tone, gainStops);
  const pitchMm = view.camera.frame.widthMm / picture.columns;
  const degrees = formatNumber(radToDegrees(angleRad));
  return {
    name: `photograph.${photo.format === 'png' ? 'png' : 'tif'}`,
    mediaType: photo.format === 'png' ? 'image/png' : 'image/tiff',
    bytes: await greyFile({ columns: picture.columns, rows: picture.rows, samples, pitchMm }, photo.format),
    facts: {
      columns: picture.columns,
      rows: picture.rows,
      bits: photo.bits,
      tone: photo.tone,
      coveredShare: picture.coveredShare,
      geometricErrorShare: picture.geometricErrorShare,
      photoAngleDeg: radToDegrees(angleRad),
      gainStops,
    },
    notes: [
      ...warnings,
      ...(photo.path !== null && photo.angleRad === null ? [`The photograph is taken to cover ${degrees}° from left to right; say it with --photo-angle-deg.`] : []),
      ...(picture.coveredShare < 0.995 ? [`The photograph fills ${formatNumber(100 * picture.coveredShare, { digits: 0 })} % of the frame.`] : []),
      ...(picture.geometricErrorShare === null
        ? []
        : [`So large a hole is drawn by its shadow; no contrast errs by more than ${formatNumber(100 * picture.geometricErrorShare, { significant: 2 })} %.`]),
    ],
  };
}
