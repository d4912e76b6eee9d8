/**
 * What the Picture page knows: the camera, the two holes held against each other, the light the film sees, and every
 * light figure that follows. The heavy ones (outline contrast, point image, photograph) come from `PictureJobs`.
 */
import type {
  BestHole, CameraGeometry, CameraRecord, ColourFilterId, Criterion, DiameterAnswer, FieldContrast, FieldView, FilmPlane, FilmResponse, HoleComparison, HolesInLight, ImageGrid, LightSourceId,
  PictureAim, PictureFigures, PrintTone, SeenLight,
} from '#core';
import {
  COLOUR_FILTERS, DEFAULT_CRITERION, FILM_PLANES, FILM_RESPONSES, LIGHT_SOURCES, bestDiameter, channelShares,
  compareHoles, fieldContrast, filmLight, filmResponse, holesInLight, isCamerawrightError, pictureInWords,
  responseFromCsv,
} from '#core';
import type { Bench } from '../shell/index.ts';
import type { Hole, HoleSupply } from './holes.ts';
import { holeOf, mountedPass } from './holes.ts';
import type { PlaceName } from './places.ts';
import { PictureSettings } from './settings.svelte.ts';

export type Side = 'this' | 'other';
export type AimKind = PictureAim['kind'];

/** Coarse enough that every camera shows it. */
const FIRST_PRINT_FREQUENCY_PER_MM = 1;
const LEAST_MM = 0.01;
const MM_PER_NM = 1e-6;
const FREQUENCIES = 61;
/** Samples across the point image; odd, so that one lies in the middle. */
const GRID = 181;
const MOST_MM = 20;

export type Ready =
  | { readonly kind: 'ready'; readonly camera: CameraGeometry; readonly record: CameraRecord; readonly objectDistanceMm: number }
  | { readonly kind: 'missing'; readonly sentence: string };

type Found<T> = { readonly kind: 'found'; readonly value: T } | { readonly kind: 'trouble'; readonly sentence: string };

function found<T>(work: () => T): Found<T> {
  try {
    return { kind: 'found', value: work() };
  } catch (error) {
    if (isCamerawrightError(error)) {
      return { kind: 'trouble', sentence: error.message };
    }
    throw error;
  }
}

function value<T>(result: Found<T>): T | null {
  return result.kind === 'found' ? result.value : null;
}

export class PictureDesk {
  readonly #bench: Bench;
  readonly #settings = new PictureSettings();
  /** Curves of the maker's own are kept with the choices, under these keys. */
  static readonly ownCurveKey = 'response.own';

  constructor(bench: Bench) {
    this.#bench = bench;
  }

  get cameraId(): string {
    return this.#bench.workshop.camera?.id ?? 'none';
  }

  get(key: string): string | null {
    return this.#settings.get(this.cameraId, key);
  }

  set(key: string, text: string | null): void {
    this.#settings.set(this.cameraId, key, text);
  }

  /** A number kept in core units beside the maker's own text. */
  number(key: string): number | null {
    const text = this.get(key);
    return text === null ? null : Number(text);
  }

  setNumber(key: string, number: number | null, typed: string | null): void {
    this.set(key, number === null ? null : String(number));
    this.set(`${key}.typed`, typed);
  }

  /** A film plane tried on this page only; `null`: as the camera has it. */
  get otherPlane(): FilmPlane | null {
    return FILM_PLANES.find((plane) => plane === this.get('surface')) ?? null;
  }

  readonly ready: Ready = $derived.by(() => {
    const record = this.#bench.workshop.camera;
    if (record === null) {
      return { kind: 'missing', sentence: 'No camera is on the bench yet. Make one on the Camera page: its frame and its focal length are needed to draw a picture.' };
    }
    const { frame, focalLengthMm, holeShift } = record;
    const missing = [
      ...(frame?.widthMm === undefined || frame.heightMm === undefined ? ['the image area'] : []),
      ...(focalLengthMm === undefined ? ['the focal length'] : []),
    ];
    if (frame?.widthMm === undefined || frame.heightMm === undefined || focalLengthMm === undefined) {
      return { kind: 'missing', sentence: `To draw a picture ${missing.join(' and ')} of this camera ${missing.length > 1 ? 'are' : 'is'} needed: give ${missing.length > 1 ? 'them' : 'it'} on the Camera page.` };
    }
    return {
      kind: 'ready',
      record,
      objectDistanceMm: record.objectDistanceMm ?? Infinity,
      camera: {
        frame: { widthMm: frame.widthMm, heightMm: frame.heightMm },
        focalLengthMm,
        holeShift: { xMm: holeShift?.xMm ?? 0, yMm: holeShift?.yMm ?? 0 },
        filmPlane: this.otherPlane ?? record.filmPlane?.kind ?? 'flat',
      },
    };
  });

  /* ——— the light that the film sees ——— */

  get source(): LightSourceId {
    return LIGHT_SOURCES.find(({ id }) => id === this.get('source'))?.id ?? 'daylight';
  }

  get filter(): ColourFilterId {
    return COLOUR_FILTERS.find(({ id }) => id === this.get('filter'))?.id ?? 'none';
  }

  /** `camera`: as on the Camera page, whatever that is. */
  get responseKey(): string {
    const key = this.get('response') ?? 'camera';
    const known = key === 'own' ? this.get(PictureDesk.ownCurveKey) !== null : FILM_RESPONSES.some(({ id }) => id === key);
    return known ? key : 'camera';
  }

  /** The response that counts; `null`: one wavelength, as the camera states it or for want of a film. */
  readonly #response: Found<FilmResponse | null> = $derived.by(() => {
    const key = this.responseKey;
    const own = this.get(PictureDesk.ownCurveKey);
    if (key === 'own' && own !== null) {
      return found(() => responseFromCsv(own, this.get(`${PictureDesk.ownCurveKey}.name`) ?? 'a curve of your own'));
    }
    const listed = FILM_RESPONSES.find(({ id }) => id === key);
    return { kind: 'found', value: listed ?? this.#bench.workshop.light.response };
  });

  get response(): FilmResponse | null {
    return value(this.#response);
  }

  /** Light without colours of a film has no lamp and no filter either. */
  readonly #light: Found<SeenLight> = $derived.by(() => {
    const { response, source, filter } = this;
    const plain = this.#bench.workshop.light;
    if (response === null || (response === plain.response && source === 'daylight' && filter === 'none')) {
      return { kind: 'found', value: plain.light };
    }
    return found(() => filmLight({ source, response, filter }));
  });

  readonly light: SeenLight = $derived.by(() => {
    const { response, source } = this;
    const light = value(this.#light);
    return light ?? (response === null ? this.#bench.workshop.light.light : filmLight({ source, response }));
  });

  /** Best holes in this light; those of the Camera page where the light is the same. */
  readonly holes: HolesInLight = $derived.by(() => {
    const plain = this.#bench.workshop.light;
    return this.light === plain.light ? plain.holes : holesInLight(this.light);
  });

  /** True where this page looks in another light than the Camera page reckons in. */
  get otherLight(): boolean {
    return this.light !== this.#bench.workshop.light.light;
  }

  readonly shares: readonly [number, number, number] = $derived.by(() => {
    // without a film the colours turn grey as on a panchromatic one
    const question = { source: this.source, response: this.response ?? filmResponse('panchromatic') };
    return value(found(() => channelShares({ ...question, filter: this.response === null ? 'none' : this.filter }))) ?? channelShares(question);
  });

  get meanNm(): number {
    return this.holes.meanWavelengthNm;
  }

  /** What is wrong with film or filter, in a sentence; the light without them stands meanwhile. */
  get lightTrouble(): string | null {
    if (this.#response.kind === 'trouble') return this.#response.sentence;
    return this.#light.kind === 'trouble' ? this.#light.sentence : null;
  }

  /* ——— the holes ——— */

  get criterion(): Criterion {
    return this.#bench.workshop.camera?.criterion ?? DEFAULT_CRITERION;
  }

  best(criterion: Criterion): BestHole {
    const { ready } = this;
    if (ready.kind !== 'ready') {
      throw new Error('There is no best hole without a camera.');
    }
    return this.holes.best({ criterion, focalLengthMm: ready.camera.focalLengthMm, objectDistanceMm: ready.objectDistanceMm });
  }

  supply(side: Side): HoleSupply {
    const { workshop } = this.#bench;
    return {
      plates: workshop.document.plates,
      mounted: workshop.plate,
      criterion: this.criterion,
      best: (criterion) => this.best(criterion),
      typedMm: this.number(`${side}.diameterMm`),
      first: side === 'this' ? null : this.hole,
    };
  }

  keyOf(side: Side): string {
    const chosen = this.get(side);
    if (chosen !== null) {
      return chosen;
    }
    const measured = mountedPass({ mounted: this.#bench.workshop.plate }) !== null;
    if (side === 'this') {
      return measured ? 'mounted' : `best:${this.criterion}`;
    }
    return measured || this.keyOf('this') !== `best:${this.criterion}` ? `best:${this.criterion}` : 'best:contrast-50';
  }

  /** This hole; a choice that no longer exists falls back to the best one. */
  readonly hole: Hole | null = $derived.by(() => {
    if (this.ready.kind !== 'ready') return null;
    const supply = this.supply('this');
    return holeOf(this.keyOf('this'), supply) ?? holeOf(`best:${this.criterion}`, supply);
  });

  readonly other: Hole | null = $derived.by(() => {
    if (this.ready.kind !== 'ready') return null;
    const supply = this.supply('other');
    return holeOf(this.keyOf('other'), supply) ?? holeOf(`best:${this.criterion}`, supply);
  });

  /** True where a diameter of one's own is chosen but not typed yet. */
  waitsFor(side: Side): boolean {
    return this.keyOf(side) === 'typed' && this.number(`${side}.diameterMm`) === null;
  }

  /** The other hole, taken by the hand on the curve. */
  setOther(diameterMm: number): void {
    const held = Math.min(MOST_MM, Math.max(LEAST_MM, Number(diameterMm.toFixed(3))));
    this.set('other', 'typed');
    this.setNumber('other.diameterMm', held, null);
  }

  view(hole: Hole): FieldView | null {
    const { ready, light } = this;
    return ready.kind === 'missing'
      ? null
      : {
          camera: ready.camera, shape: hole.shape, thicknessMm: hole.thicknessMm, objectDistanceMm: ready.objectDistanceMm, light,
        };
  }

  /** Frequencies of the contrast curves, up to where nothing is left to see of either hole. */
  readonly frequenciesPerMm: Float64Array = $derived.by(() => {
    const { ready, hole, other, meanNm } = this;
    if (ready.kind === 'missing' || hole === null || other === null) {
      return new Float64Array();
    }
    const widest = Math.max(hole.diameterMm, other.diameterMm);
    const cutoff = widest / (meanNm * MM_PER_NM * ready.camera.focalLengthMm);
    const step = 10 ** Math.floor(Math.log10(cutoff)) / 4;
    const last = Math.ceil((0.85 * cutoff) / step) * step;
    return Float64Array.from({ length: FREQUENCIES }, (_, i) => (last * i) / (FREQUENCIES - 1));
  });

  /** Contrast of a round hole, fast enough to follow the hand; an outline's comes from the thread. */
  #roundContrast(hole: Hole | null): readonly FieldContrast[] | null {
    const view = hole?.round === true ? this.view(hole) : null;
    return view === null ? null : value(found(() => fieldContrast(view, this.frequenciesPerMm)));
  }

  readonly contrast = $derived(this.#roundContrast(this.hole));
  readonly otherContrast = $derived(this.#roundContrast(this.other));

  /** Both holes as they are drawn; the same object as long as nothing about them changes. */
  readonly views: readonly FieldView[] = $derived(
    [this.hole, this.other].map((hole) => (hole === null ? null : this.view(hole))).filter((view) => view !== null),
  );

  /* ——— in words and numbers ——— */

  readonly figures: PictureFigures | null = $derived(this.hole === null ? null : this.#figuresOf(this.hole));
  readonly otherFigures: PictureFigures | null = $derived(this.other === null ? null : this.#figuresOf(this.other));

  #round(hole: Hole): { focalLengthMm: number; objectDistanceMm: number; light: SeenLight; diameterMm: number } | null {
    const { ready, light } = this;
    return ready.kind === 'missing'
      ? null
      : {
          focalLengthMm: ready.camera.focalLengthMm, objectDistanceMm: ready.objectDistanceMm, light, diameterMm: hole.diameterMm,
        };
  }

  #figuresOf(hole: Hole): PictureFigures | null {
    const view = this.#round(hole);
    const { ready } = this;
    return view === null || ready.kind === 'missing' ? null : pictureInWords(view, ready.camera.frame.widthMm, Math.min(hole.standardUncertaintyMm ?? 0, hole.diameterMm / 5));
  }

  /** This hole in place of the other: what it costs in detail and gains in light. */
  readonly comparison: HoleComparison | null = $derived.by(() => {
    const { hole, other } = this;
    const view = other === null ? null : this.#round(other);
    return view === null || hole === null ? null : compareHoles(view, hole.diameterMm);
  });

  /* ——— the best hole ——— */

  get aimKind(): AimKind {
    const kind = this.get('aim');
    return kind === 'contrast' || kind === 'even' ? kind : 'criterion';
  }

  get printFrequencyPerMm(): number {
    return this.number('printFrequencyPerMm') ?? FIRST_PRINT_FREQUENCY_PER_MM;
  }

  /** Width of the print; without a word a contact print. */
  get printWidthMm(): number | null {
    return this.number('printWidthMm');
  }

  readonly merit: Found<DiameterAnswer> | null = $derived.by(() => {
    const { ready, light, holes, aimKind, hole } = this;
    if (ready.kind === 'missing' || hole === null) {
      return null;
    }
    const aim: PictureAim =
      aimKind === 'criterion'
        ? { kind: 'criterion', criterion: this.criterion }
        : { kind: aimKind, printFrequencyPerMm: this.printFrequencyPerMm };
    const printWidthMm = this.printWidthMm;
    return found(() =>
      bestDiameter({
        camera: ready.camera, objectDistanceMm: ready.objectDistanceMm, light, holes, aim, ownDiameterMm: hole.diameterMm,
        ...(printWidthMm !== null && { printWidthMm }),
      }),
    );
  });

  /* ——— the point image ——— */

  get place(): PlaceName {
    const place = this.get('place');
    return place === 'edge' || place === 'corner' ? place : 'centre';
  }

  /** Wide enough for the shadow of the larger hole and three rings of the smaller, at either scale. */
  readonly grid: ImageGrid | null = $derived.by(() => {
    const { ready, hole, other, meanNm } = this;
    if (ready.kind === 'missing' || hole === null || other === null) {
      return null;
    }
    const f = ready.camera.focalLengthMm;
    const reachMm =
      0.55 * Math.max(hole.diameterMm, other.diameterMm) * (1 + f / ready.objectDistanceMm)
      + (2.6 * meanNm * MM_PER_NM * f) / Math.min(hole.diameterMm, other.diameterMm);
    return { columns: GRID, rows: GRID, pitchMm: (2 * reachMm) / (GRID - 1) };
  });

  /* ——— the print ——— */

  get tone(): PrintTone {
    return this.get('tone') === 'negative' ? 'negative' : 'positive';
  }

  get lighterStops(): number {
    return this.number('lighterStops') ?? 0;
  }
}
