/**
 * What the Front page knows: the layers of the chosen camera, what they do to the view, and a what-if beside it. All of it is
 * derived, so that a drag redraws the page within a frame.
 */
import {
  frontOf,
  formatNumber,
  frontReport,
  isCamerawrightError,
  latestMeasuredPass,
  openingInWords,
  otherWays,
  radToDegrees,
  readCutters,
  stackCut,
  transmissionMapByRows,
  withHoleMoved,
  withThickness,
} from '#core';
import type { CameraRecord, CutAlong, DecidedParts, Draft, FrontOfCamera, FrontQuestion, FrontReport, LayerRecord, OpeningNeed, StackCut, TransmissionMap } from '#core';
import { keepTyped } from '../shell/index.ts';
import type { Bench } from '../shell/index.ts';
import { unhurried } from './unhurried.ts';

export type EditableLayer = Draft<LayerRecord>;

export interface KnownFront {
  readonly question: FrontQuestion;
  readonly report: FrontReport;
}

export type FrontState =
  | ({ readonly kind: 'known' } & KnownFront)
  | { readonly kind: 'missing'; readonly sentence: string }
  | { readonly kind: 'impossible'; readonly sentence: string };

/** Layers a maker is likely to meet, with the side they stand on. */
export const LAYER_KINDS: readonly { readonly name: string; readonly side: 'front' | 'behind'; readonly thicknessMm: number }[] = [
  { name: 'recess in the board', side: 'front', thicknessMm: 2 },
  { name: 'shutter slide', side: 'front', thicknessMm: 2 },
  { name: 'front plate', side: 'front', thicknessMm: 4 },
  { name: 'cover', side: 'front', thicknessMm: 3 },
  { name: 'filter ring', side: 'front', thicknessMm: 6 },
  { name: 'board hole', side: 'behind', thicknessMm: 9 },
  { name: 'board edge', side: 'behind', thicknessMm: 9 },
  { name: 'baffle', side: 'behind', thicknessMm: 1 },
  { name: 'film-holder lip', side: 'behind', thicknessMm: 2 },
];

const FINE = { columns: 181, rows: 141 };
/** Looking through a measured outline takes longer: while a hand draws it is enough to see where the view is bitten. */
const COARSE_OUTLINE = { columns: 31, rows: 21 };

export class FrontDesk {
  #bench: Bench;
  /** What if: the hole moved, and one layer of another thickness. Not part of the workshop until kept. */
  moveXMm = $state(0);
  moveYMm = $state(0);
  whatIfLayer = $state<string | null>(null);
  whatIfThicknessMm = $state<number | null>(null);
  #along = $state<CutAlong | null>(null);
  /** The corners decide; but those of bent film may lie so far aside that nothing of the front could be drawn beside them. */
  get along(): CutAlong {
    return this.#along ?? ((this.camera?.filmPlane?.kind ?? 'flat') === 'flat' ? 'diagonal' : 'vertical');
  }
  set along(cut: CutAlong) {
    this.#along = cut;
  }
  /** What is looked through: the round equivalent of the hole, or its measured outline. */
  hole = $state<'round' | 'outline'>('round');

  constructor(bench: Bench) {
    this.#bench = bench;
  }

  readonly camera: CameraRecord | null = $derived.by(() => this.#bench.workshop.camera);
  readonly layers: readonly LayerRecord[] = $derived(this.camera?.front?.layers ?? []);
  readonly marginMm: number = $derived(this.camera?.front?.marginMm ?? 0);
  readonly cutterText: string = $derived(this.camera?.front?.cutters ?? 'metric; forstner');
  readonly cutters = $derived(readCutters(this.cutterText));

  /** Whether the plate in the camera has an outline to look through. */
  readonly measured: boolean = $derived.by(() => {
    const { plate } = this.#bench.workshop;
    return plate !== null && latestMeasuredPass(plate)?.outlineMm !== undefined;
  });

  readonly front: FrontOfCamera | null = $derived.by(() =>
    this.camera === null ? null : frontOf(this.camera, this.#bench.workshop.document, this.hole),
  );

  readonly state: FrontState = $derived.by(() => {
    if (this.front === null) return { kind: 'missing', sentence: 'Begin a camera with its film and focal length: then every layer before the hole is held against its view.' };
    if (this.front.kind === 'missing') return { kind: 'missing', sentence: this.front.sentence };
    return this.#answered(this.front.question);
  });

  /** The same with the what-if; `null` while nothing is asked. */
  readonly whatIf: FrontState | null = $derived.by(() => {
    if (this.front?.kind !== 'known') return null;
    const { question, layerIds } = this.front;
    const index = this.whatIfLayer === null ? -1 : layerIds.indexOf(this.whatIfLayer);
    const thickness = index < 0 ? null : this.whatIfThicknessMm;
    if (this.moveXMm === 0 && this.moveYMm === 0 && thickness === null) return null;
    try {
      let changed = withHoleMoved(question, { xMm: this.moveXMm, yMm: this.moveYMm });
      if (thickness !== null) changed = withThickness(changed, index, thickness);
      return this.#answered(changed);
    } catch (error) {
      if (isCamerawrightError(error)) return { kind: 'impossible', sentence: error.message };
      throw error;
    }
  });

  /** What is drawn: the what-if where one is asked. */
  readonly shown: FrontState = $derived(this.whatIf ?? this.state);

  /** A finer map, drawn once the hand rests; null until it is there for what is shown. */
  #fine = $state.raw<{ readonly of: FrontQuestion; readonly map: TransmissionMap } | null>(null);
  #waiting: ReturnType<typeof setTimeout> | undefined;

  readonly map: TransmissionMap | null = $derived.by(() => {
    if (this.shown.kind !== 'known') return null;
    return this.#fine?.of === this.shown.question ? this.#fine.map : this.shown.report.map;
  });

  /** To be called whenever what is shown has changed. */
  refineSoon(): void {
    clearTimeout(this.#waiting);
    const { shown } = this;
    if (shown.kind !== 'known' || this.#fine?.of === shown.question) return;
    const { question } = shown;
    this.#waiting = setTimeout(() => void this.#refine(question), 250);
  }

  async #refine(question: FrontQuestion): Promise<void> {
    const map = await unhurried(
      transmissionMapByRows(question, FINE),
      () => this.shown.kind === 'known' && this.shown.question === question,
    );
    if (map !== null) this.#fine = { of: question, map };
  }

  readonly cut: StackCut | null = $derived.by(() => (this.shown.kind === 'known' ? stackCut(this.shown.question, this.along) : null));

  #answered(question: FrontQuestion): FrontState {
    try {
      const size = 'diameterMm' in question.hole ? {} : COARSE_OUTLINE;
      return { kind: 'known', question, report: frontReport(question, { marginMm: this.marginMm, cutters: this.cutters.list, ...size }) };
    } catch (error) {
      if (isCamerawrightError(error)) return { kind: 'impossible', sentence: error.message };
      throw error;
    }
  }

  /** What a layer needs, by its id; `null` while it is not measured or nothing can be said. */
  needOf(layerId: string): { readonly need: OpeningNeed; readonly words: string } | null {
    if (this.front?.kind !== 'known' || this.shown.kind !== 'known') return null;
    const need = this.shown.report.needs[this.front.layerIds.indexOf(layerId)];
    return need === undefined ? null : { need, words: openingInWords(need, this.marginMm, this.cutters.list) };
  }

  /** What clears the view with the opening left as it is: another thickness, or a bevel right through. `null` as in `needOf`. */
  otherWaysOf(layerId: string): string | null {
    if (this.front?.kind !== 'known' || this.shown.kind !== 'known') return null;
    const { question, report } = this.shown;
    const layerIndex = this.front.layerIds.indexOf(layerId);
    const need = report.needs[layerIndex];
    if (need === undefined) return null;
    const { thickestMm, bevel } = otherWays(question, { layerIndex, marginMm: this.marginMm, spareMm: need.spareMm });
    const ways = [
      thickestMm === null
        ? 'No thickness clears with this opening'
        : Number.isFinite(thickestMm)
          ? `This opening clears up to ${formatNumber(thickestMm, { digits: 2 })} mm of thickness`
          : 'This opening clears at any thickness',
      ...(bevel === null ? [] : [bevel.angleRad === null ? (bevel.reason ?? '') : `or bevelled right through at ${formatNumber(radToDegrees(bevel.angleRad), { digits: 1 })}° from the axis, wider away from the hole`]),
    ];
    return `${ways.filter((way) => way !== '').join('; ').replace(/\.$/, '')}.`;
  }

  unfinishedOf(layerId: string): string | null {
    if (this.front?.kind !== 'known') return null;
    return this.front.unfinished.find((one) => one.layerId === layerId)?.sentence ?? null;
  }

  /** One change of one layer; `typed` keeps what was written for the field, `null` forgets it. */
  editLayer(id: string, what: string, recipe: (layer: EditableLayer) => void, key?: string, typed: string | null = null): void {
    this.#bench.workshop.editCamera(what, (camera) => {
      const layer = camera.front?.layers.find((one) => one.id === id);
      if (layer === undefined) return;
      recipe(layer);
      if (key !== undefined) keepTyped(layer, key, typed);
    });
  }

  /** What was decided about a part, and as it was typed. */
  readonly decided: DecidedParts = $derived(this.camera?.front?.parts ?? {});
  partTyped(part: keyof DecidedParts, field: string): string | null {
    return this.camera?.front?.typed?.[`parts.${part}.${field}`] ?? null;
  }

  /** For a field of a part: `null` leaves it to the usual again. */
  decide(part: keyof DecidedParts, field: string, what: string): (value: number | string | null, typed?: string | null) => void {
    return (value, typed = null) => {
      this.editFront(what, (front) => {
        const parts = (front.parts ??= {});
        const decided = ((parts[part] as Record<string, unknown> | undefined) ??= {}) as Record<string, unknown>;
        if (value === null) delete decided[field];
        else decided[field] = value;
        keepTyped(front, `parts.${part}.${field}`, typed);
      });
    };
  }

  editFront(what: string, recipe: (front: NonNullable<Draft<CameraRecord>['front']>) => void): void {
    this.#bench.workshop.editCamera(what, (camera) => {
      camera.front ??= { layers: [] };
      recipe(camera.front);
    });
  }

  addLayer(kindIndex: number): void {
    const kind = LAYER_KINDS[kindIndex];
    if (kind === undefined) return;
    const outer = this.layers
      .filter(({ side }) => side === kind.side)
      .reduce((most, layer) => Math.max(most, (layer.distanceMm ?? 0) + (layer.thicknessMm ?? 0)), 0);
    const id = this.#bench.newId();
    this.editFront('new layer', (front) => {
      front.layers.push({
        id,
        name: kind.name,
        side: kind.side,
        distanceMm: Number(outer.toFixed(3)),
        thicknessMm: kind.thicknessMm,
        opening: { shape: 'circle' },
      });
    });
  }

  removeLayer(id: string): void {
    this.editFront('layer taken out', (front) => {
      front.layers.splice(front.layers.findIndex((layer) => layer.id === id), 1);
    });
  }

  /** The opening that clears, cut by the next tool up where one is listed. */
  takeNeeded(id: string): void {
    const found = this.needOf(id);
    if (found === null) return;
    const { own } = found.need;
    const margin = this.marginMm;
    this.editLayer(id, 'opening as needed', (layer) => {
      layer.opening ??= { shape: 'circle' };
      const up = (lengthMm: number): number => Math.ceil(lengthMm * 20 - 1e-6) / 20;
      if (own.kind === 'circle') {
        const wanted = own.diameterMm + 2 * margin;
        const sizes = this.cutters.list.map(({ diameterMm }) => diameterMm).filter((size) => size >= wanted - 1e-9);
        layer.opening.diameterMm = sizes.length > 0 ? Math.min(...sizes) : up(wanted);
      } else if (own.kind === 'rectangle') {
        layer.opening.widthMm = up(own.widthMm + 2 * margin);
        layer.opening.heightMm = up(own.heightMm + 2 * margin);
      }
      for (const key of ['opening.diameterMm', 'opening.widthMm', 'opening.heightMm']) delete layer.typed?.[key];
    });
  }

  /** The what-if becomes the camera. */
  keepWhatIf(): void {
    const { front, whatIf } = this;
    if (front?.kind !== 'known' || whatIf?.kind !== 'known') return;
    const { question } = whatIf;
    this.#bench.workshop.editCamera('what-if kept', (camera) => {
      camera.holeShift = { ...camera.holeShift, ...question.camera.holeShift };
      for (const [i, id] of front.layerIds.entries()) {
        const layer = camera.front?.layers.find((one) => one.id === id);
        const changed = question.layers[i];
        if (layer === undefined || changed === undefined) continue;
        const sign = layer.side === 'front' ? 1 : -1;
        layer.distanceMm = Number((sign * changed.nearMm).toFixed(9)) + 0;
        layer.thicknessMm = Number((sign * (changed.farMm - changed.nearMm)).toFixed(9));
        layer.shift = { ...layer.shift, xMm: Number((changed.shift?.xMm ?? 0).toFixed(9)), yMm: Number((changed.shift?.yMm ?? 0).toFixed(9)) };
        delete layer.typed;
      }
    });
    this.forgetWhatIf();
  }

  forgetWhatIf(): void {
    this.moveXMm = 0;
    this.moveYMm = 0;
    this.whatIfLayer = null;
    this.whatIfThicknessMm = null;
  }
}
