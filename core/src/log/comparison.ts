/**
 * Two records side by side: every field with its two values in words, and which of them differ. Change one thing at a
 * time is what every teacher says; this tells how many things were changed.
 */
import { criterionFacts } from '../optics/criteria.ts';
import { formatAngle } from '../units/angle.ts';
import { formatTime } from '../exposure/duration.ts';
import { formatNumber } from '../units/figures.ts';
import { latestMeasuredPass, mountedPlate } from './lookup.ts';
import type { CameraRecord, ExposureRecord, PlateRecord, Workshop } from './workshop.ts';

export interface ComparedRow {
  /** In the maker's words: `film`. */
  readonly name: string;
  /** `null`: not said. */
  readonly first: string | null;
  readonly second: string | null;
  readonly differs: boolean;
  /** What the difference amounts to, where that can be said: `1.0 stop more`. */
  readonly amount: string | null;
}

export interface Comparison {
  readonly rows: readonly ComparedRow[];
  /** `Two things changed: film and time given (1.0 stop more).` */
  readonly sentence: string;
}

interface Field<R> {
  readonly name: string;
  /** Of the record as it is kept; what no field names is compared as it stands. */
  readonly keys: readonly string[];
  readonly words: (record: R) => string | null | undefined;
  readonly amount?: (first: R, second: R) => string | null;
  /** False for what differs between any two records: not counted as a change. */
  readonly counts?: boolean;
}

const mm = (value: number | undefined): string | null => (value === undefined ? null : `${formatNumber(value, { significant: 5 })} mm`);

const size = (of: { readonly widthMm?: number | undefined; readonly heightMm?: number | undefined } | undefined): string | null =>
  of?.widthMm === undefined || of.heightMm === undefined
    ? null
    : `${formatNumber(of.widthMm, { significant: 5 })} × ${formatNumber(of.heightMm, { significant: 5 })} mm`;

const hole = (diameterMm: number | undefined): string | null => (diameterMm === undefined ? null : `${Math.round(diameterMm * 1000)} µm`);

/** Stops of a ratio as words; `null` when it is none or cannot be told. */
function stopsWords(ratio: number, more: string, less: string): string | null {
  if (!(ratio > 0) || !Number.isFinite(ratio)) return null;
  const stops = Math.log2(ratio);
  if (Math.abs(stops) < 0.005) return null;
  const count = formatNumber(Math.abs(stops), { digits: Math.abs(stops) < 0.1 ? 2 : 1 });
  return `${count} stop${count === '1.0' ? '' : 's'} ${stops > 0 ? more : less}`;
}

function ratioWords(of: (record: ExposureRecord) => number | undefined, more: string, less: string) {
  return (first: ExposureRecord, second: ExposureRecord): string | null => {
    const [a, b] = [of(first), of(second)];
    return a === undefined || b === undefined ? null : stopsWords(b / a, more, less);
  };
}

const difference = (of: (record: CameraRecord) => number | undefined) => (first: CameraRecord, second: CameraRecord): string | null => {
  const [a, b] = [of(first), of(second)];
  if (a === undefined || b === undefined || a === b) return null;
  return `${formatNumber(Math.abs(b - a), { significant: 3 })} mm ${b > a ? 'more' : 'less'}`;
};

/** Any value as a short text, for fields this program has no words for: of lists and objects only what they hold. */
function shown(value: unknown): string | null {
  if (value === undefined) return null;
  const text = typeof value === 'string' ? value
    : Array.isArray(value) ? `${value.length} ${value.length === 1 ? 'entry' : 'entries'}`
    : typeof value === 'object' && value !== null ? Object.keys(value).join(', ')
    : JSON.stringify(value);
  return text.length > 80 ? `${text.slice(0, 79)}…` : text;
}

const FILM_LIES = { flat: 'flat', cylinder: 'bent about the hole', can: 'along the wall of a can' } as const;

function layersWords(layers: readonly { readonly name: string; readonly distanceMm?: number | undefined; readonly thicknessMm?: number | undefined }[]): string | null {
  if (layers.length === 0) return null;
  const at = (lengthMm: number | undefined): string => (lengthMm === undefined ? 'not measured' : `${mm(lengthMm) ?? ''}`);
  return layers.map(({ name, distanceMm, thicknessMm }) => `${name} (${at(thicknessMm)} thick, ${at(distanceMm)} off)`).join('; ');
}

const NUMBERS = ['Nothing', 'One thing', 'Two things', 'Three things', 'Four things', 'Five things'] as const;

/** What two records of the same thing at two times say, and what two things side by side. */
const CHANGE = { verb: 'changed', none: 'Nothing that is written down changed.', many: ' The result cannot tell which of them did it.' };
const DIFFERENCE = { verb: 'differ', none: 'Nothing but names and notes differs.', many: '' };

function sentenceOf(rows: readonly ComparedRow[], counted: ReadonlySet<string>, words: typeof CHANGE): string {
  const changed = rows.filter((row) => row.differs && counted.has(row.name));
  const names = changed.map(({ name, amount }) => (amount === null ? name : `${name} (${amount})`));
  const head = NUMBERS[changed.length] ?? `${changed.length} things`;
  if (changed.length === 0) return words.none;
  const list = names.length === 1 ? names.join('') : `${names.slice(0, -1).join(', ')} and ${names.at(-1) ?? ''}`;
  const verb = words === DIFFERENCE && changed.length === 1 ? 'differs' : words.verb;
  return `${head} ${verb}: ${list}.${changed.length > 2 ? words.many : ''}`;
}

function compared<R extends { readonly id: string }>(fields: readonly Field<R>[], first: R, second: R, words = DIFFERENCE): Comparison {
  const rows: ComparedRow[] = fields.map((field) => {
    const [a, b] = [field.words(first) ?? null, field.words(second) ?? null];
    return { name: field.name, first: a, second: b, differs: a !== b, amount: a === b ? null : (field.amount?.(first, second) ?? null) };
  });
  const counted = new Set(fields.filter((field) => field.counts !== false).map(({ name }) => name));
  const known = new Set(['id', 'typed', ...fields.flatMap(({ keys }) => keys)]);
  const [one, two] = [first as Readonly<Record<string, unknown>>, second as Readonly<Record<string, unknown>>];
  // A field from a later program, or one the maker put in by hand, is compared as it stands.
  for (const key of new Set([...Object.keys(one), ...Object.keys(two)])) {
    if (known.has(key)) continue;
    if (JSON.stringify(one[key]) === JSON.stringify(two[key])) continue;
    rows.push({ name: key, first: shown(one[key]), second: shown(two[key]), differs: true, amount: null });
    counted.add(key);
  }
  const said = rows.filter((row) => row.first !== null || row.second !== null);
  return { rows: said, sentence: sentenceOf(said, counted, words) };
}

/** The light as the maker knew it, in words. */
export function lightWords(light: ExposureRecord['light']): string | null {
  switch (light?.kind) {
    case undefined:
      return null;
    case 'ev':
      return `EV ${formatNumber(light.ev100Ev, { significant: 4 })}`;
    case 'meter':
      return `${formatTime(light.meteredS)} at f/${formatNumber(light.fNumber, { significant: 4 })}`;
    case 'illuminance':
      return `${formatNumber(light.illuminanceLux, { significant: 3 })} lux`;
    case 'luminance':
      return `${formatNumber(light.luminanceCdPerM2, { significant: 3 })} cd/m²`;
    case 'scene':
      return light.lighting === undefined ? light.scene : `${light.scene}, light from the ${light.lighting}`;
  }
}

/** Name of the film of an exposure or a camera; `null` when none is said. */
export function filmName(record: { readonly filmId?: string | undefined; readonly filmName?: string | undefined }, workshop: Workshop): string | null {
  return workshop.films.find((film) => film.id === record.filmId)?.name ?? record.filmName ?? null;
}

const named = (list: readonly { readonly id: string; readonly name: string }[], id: string | undefined): string | null =>
  id === undefined ? null : (list.find((record) => record.id === id)?.name ?? 'one that is not in the workshop');

function exposureFields(workshop: Workshop): readonly Field<ExposureRecord>[] {
  const sheetOf = (exposure: ExposureRecord): string | null =>
    workshop.filmSheets.find(({ id }) => id === exposure.sheetId)?.number ?? exposure.sheet ?? null;
  return [
    { name: 'date', keys: ['at', 'timeZone'], words: ({ at }) => at.slice(0, 16).replace('T', ' '), counts: false },
    { name: 'camera', keys: ['cameraId'], words: ({ cameraId }) => named(workshop.cameras, cameraId) },
    { name: 'plate', keys: ['plateId', 'passId'], words: ({ plateId }) => named(workshop.plates, plateId) },
    {
      name: 'f-number',
      keys: ['fNumber', 'fNumberStandardUncertainty'],
      words: ({ fNumber }) => (fNumber === undefined ? null : `f/${formatNumber(fNumber, { significant: 4 })}`),
      amount: ratioWords(({ fNumber }) => (fNumber === undefined ? undefined : 1 / fNumber ** 2), 'brighter', 'darker'),
    },
    { name: 'film', keys: ['filmId', 'filmName'], words: (record) => filmName(record, workshop) },
    {
      name: 'exposure index',
      keys: ['exposureIndex'],
      words: ({ exposureIndex }) => (exposureIndex === undefined ? null : formatNumber(exposureIndex)),
      amount: ratioWords(({ exposureIndex }) => exposureIndex, 'faster', 'slower'),
    },
    {
      name: 'light',
      keys: ['light'],
      words: ({ light }) => lightWords(light),
      amount: (a, b) => (a.light?.kind === 'ev' && b.light?.kind === 'ev' ? stopsWords(2 ** (b.light.ev100Ev - a.light.ev100Ev), 'more', 'less') : null),
    },
    {
      name: 'filter',
      keys: ['filterName', 'filterFactor'],
      words: ({ filterName, filterFactor }) => filterName ?? (filterFactor === undefined ? null : `× ${formatNumber(filterFactor)}`),
      amount: ratioWords(({ filterFactor }) => (filterFactor === undefined ? 1 : 1 / filterFactor), 'clearer', 'denser'),
    },
    {
      name: 'time planned',
      keys: ['planned'],
      words: ({ planned }) => (planned?.correctedS === undefined ? null : formatTime(planned.correctedS)),
      amount: ratioWords(({ planned }) => planned?.correctedS, 'more', 'less'),
      // What was planned follows from the rest.
      counts: false,
    },
    {
      name: 'time given',
      keys: ['given'],
      words: ({ given }) => (given?.timeS === undefined ? null : formatTime(given.timeS)),
      amount: ratioWords(({ given }) => given?.timeS, 'more', 'less'),
    },
    { name: 'sheet', keys: ['sheet', 'sheetId'], words: sheetOf, counts: false },
    { name: 'weather', keys: ['weather'], words: ({ weather }) => weather },
    { name: 'place', keys: ['place'], words: ({ place }) => place },
    { name: 'development', keys: [], words: ({ sheetId }) => developmentWords(workshop.filmSheets.find(({ id }) => id === sheetId)?.developed) },
    { name: 'result', keys: ['result'], words: ({ result }) => result?.verdict, counts: false },
    { name: 'notes', keys: ['notes'], words: ({ notes }) => notes, counts: false },
  ];
}

function developmentWords(developed: Workshop['filmSheets'][number]['developed']): string | null {
  if (developed === undefined) return null;
  const parts = [
    developed.developer,
    developed.dilution,
    developed.timeS === undefined ? undefined : formatTime(developed.timeS),
    developed.temperatureCelsius === undefined ? undefined : `${formatNumber(developed.temperatureCelsius)} °C`,
    developed.agitation,
  ].filter((part) => part !== undefined);
  return parts.length === 0 ? null : parts.join(', ');
}

/** What changed from one exposure to another. */
export function compareExposures(first: ExposureRecord, second: ExposureRecord, workshop: Workshop): Comparison {
  return compared(exposureFields(workshop), first, second, CHANGE);
}

function plateFigures(plate: PlateRecord | null) {
  return plate === null ? undefined : latestMeasuredPass(plate)?.figures;
}

/** Two cameras side by side. */
export function compareCameras(first: CameraRecord, second: CameraRecord, workshop: Workshop): Comparison {
  const measured = (camera: CameraRecord): number | undefined => plateFigures(mountedPlate(camera, workshop))?.outlineDiameterMm;
  const fNumberOf = (camera: CameraRecord): number | undefined => {
    const diameterMm = measured(camera);
    return diameterMm === undefined || camera.focalLengthMm === undefined ? camera.fNumber : camera.focalLengthMm / diameterMm;
  };
  const fields: readonly Field<CameraRecord>[] = [
    { name: 'name', keys: ['name', 'createdAt'], words: ({ name }) => name, counts: false },
    { name: 'image area', keys: ['frame', 'formatId'], words: ({ frame }) => size(frame) },
    { name: 'film is cut to', keys: ['cutSize'], words: ({ cutSize }) => size(cutSize) },
    { name: 'film lies', keys: ['filmPlane'], words: ({ filmPlane }) => (filmPlane === undefined ? null : FILM_LIES[filmPlane.kind]) },
    { name: 'focal length', keys: ['focalLengthMm'], words: ({ focalLengthMm }) => mm(focalLengthMm), amount: difference(({ focalLengthMm }) => focalLengthMm) },
    {
      name: 'hole off centre',
      keys: ['holeShift'],
      words: ({ holeShift }) => (holeShift === undefined ? null : `${mm(holeShift.xMm ?? 0) ?? ''} right, ${mm(holeShift.yMm ?? 0) ?? ''} up`),
    },
    { name: 'plate', keys: ['mountings'], words: (camera) => mountedPlate(camera, workshop)?.name },
    { name: 'hole', keys: [], words: (camera) => hole(measured(camera)) },
    {
      name: 'f-number',
      keys: ['fNumber'],
      words: (camera) => {
        const fNumber = fNumberOf(camera);
        return fNumber === undefined ? null : `f/${formatNumber(fNumber, { significant: 4 })}`;
      },
      amount: (a, b) => {
        const [one, two] = [fNumberOf(a), fNumberOf(b)];
        return one === undefined || two === undefined ? null : stopsWords((one / two) ** 2, 'brighter', 'darker');
      },
    },
    { name: 'film', keys: ['filmId', 'filmName'], words: (camera) => filmName(camera, workshop) },
    { name: 'exposure index', keys: ['exposureIndex'], words: ({ exposureIndex }) => (exposureIndex === undefined ? null : formatNumber(exposureIndex)) },
    { name: 'wood', keys: ['wood'], words: ({ wood }) => wood },
    { name: 'wood thickness', keys: ['woodThicknessMm'], words: ({ woodThicknessMm }) => mm(woodThicknessMm), amount: difference(({ woodThicknessMm }) => woodThicknessMm) },
    { name: 'holder', keys: ['holderId'], words: ({ holderId }) => named(workshop.filmHolders, holderId) },
    { name: 'holder depth', keys: ['holderDepthMm'], words: ({ holderDepthMm }) => mm(holderDepthMm), amount: difference(({ holderDepthMm }) => holderDepthMm) },
    { name: 'film thickness', keys: ['filmThicknessMm'], words: ({ filmThicknessMm }) => mm(filmThicknessMm) },
    { name: 'seat of the plate', keys: ['plateSeatMm'], words: ({ plateSeatMm }) => mm(plateSeatMm) },
    { name: 'layers', keys: ['front'], words: ({ front }) => layersWords(front?.layers ?? []) },
    { name: 'best hole by', keys: ['criterion'], words: ({ criterion }) => (criterion === undefined ? null : criterionFacts(criterion).title) },
    { name: 'light', keys: ['wavelengthNm'], words: ({ wavelengthNm }) => (wavelengthNm === undefined ? null : `${formatNumber(wavelengthNm)} nm`) },
    {
      name: 'object distance',
      keys: ['objectDistanceMm'],
      words: ({ objectDistanceMm }) => (objectDistanceMm === undefined || objectDistanceMm === null ? null : `${formatNumber(objectDistanceMm / 1000, { significant: 4 })} m`),
    },
    { name: 'place', keys: ['place'], words: ({ place }) => (place === undefined ? null : 'written down'), counts: false },
    { name: 'picture of the sun', keys: ['sunPicture'], words: ({ sunPicture }) => (sunPicture === undefined ? null : 'planned'), counts: false },
    { name: 'notes', keys: ['notes'], words: ({ notes }) => notes, counts: false },
  ];
  return compared(fields, first, second);
}

/** Two plates side by side, by the last measured pass of each. */
export function comparePlates(first: PlateRecord, second: PlateRecord): Comparison {
  const figure = (of: (figures: NonNullable<ReturnType<typeof plateFigures>>) => string | null) => (plate: PlateRecord): string | null => {
    const figures = plateFigures(plate);
    return figures === undefined ? null : of(figures);
  };
  const fields: readonly Field<PlateRecord>[] = [
    { name: 'name', keys: ['name', 'createdAt'], words: ({ name }) => name, counts: false },
    { name: 'material', keys: ['material'], words: ({ material }) => material },
    { name: 'thickness of the sheet', keys: ['sheetThicknessMm'], words: ({ sheetThicknessMm }) => mm(sheetThicknessMm) },
    { name: 'thickness at the edge', keys: ['edgeThicknessMm'], words: ({ edgeThicknessMm }) => mm(edgeThicknessMm) },
    { name: 'slope of the dimple', keys: ['dimpleSlopeRad'], words: ({ dimpleSlopeRad }) => (dimpleSlopeRad === undefined ? null : formatAngle(dimpleSlopeRad, { digits: 0 })) },
    { name: 'target', keys: ['targetDiameterMm', 'targetCameraId'], words: ({ targetDiameterMm }) => hole(targetDiameterMm) },
    { name: 'passes', keys: ['passes'], words: ({ passes }) => (passes.length === 0 ? null : String(passes.length)), counts: false },
    {
      name: 'hole',
      keys: [],
      words: figure(({ outlineDiameterMm, outlineStandardUncertaintyMm }) =>
        outlineStandardUncertaintyMm === undefined
          ? hole(outlineDiameterMm)
          : `${Math.round(outlineDiameterMm * 1000)} ± ${formatNumber(outlineStandardUncertaintyMm * 2000, { significant: 2 })} µm`,
      ),
      amount: (a, b) => {
        const [one, two] = [plateFigures(a)?.outlineDiameterMm, plateFigures(b)?.outlineDiameterMm];
        return one === undefined || two === undefined ? null : stopsWords((two / one) ** 2, 'brighter', 'darker');
      },
    },
    { name: 'out of round', keys: [], words: figure(({ roundnessMm }) => (roundnessMm === undefined ? null : `${formatNumber(roundnessMm * 1000, { significant: 2 })} µm`)) },
    {
      name: 'highest burr',
      keys: [],
      words: figure(({ burrs }) => (burrs === undefined ? null : burrs.length === 0 ? 'none' : `${formatNumber(Math.max(...burrs.map((b) => b.heightMm)) * 1000, { significant: 2 })} µm`)),
    },
    { name: 'verdict', keys: [], words: (plate) => latestMeasuredPass(plate)?.verdict?.word, counts: false },
    { name: 'notes', keys: ['notes'], words: ({ notes }) => notes, counts: false },
  ];
  return compared(fields, first, second);
}
