/** The front of a camera in a workshop, in the words of the front room; a maker fills it in bit by bit. */
import { polygonArea } from '../geometry/points.ts';
import { thinned } from '../geometry/thinned.ts';
import type { FrontHole } from '../front/hole.ts';
import type { Bevel, Layer, Opening } from '../front/layer.ts';
import type { FrontQuestion, PlateEdge } from '../front/transmission.ts';
import { geometryOf } from './camera-geometry.ts';
import { dimpleOf, latestMeasuredPass, mountedPlate, wallThicknessMm } from './lookup.ts';
import type { CameraRecord, LayerRecord, Workshop } from './workshop.ts';

export type FrontOfCamera =
  | {
      readonly kind: 'known';
      readonly question: FrontQuestion;
      /** Ids of the layers that are in the question, in its order. */
      readonly layerIds: readonly string[];
      /** What is not measured yet, layer by layer: these are left out. */
      readonly unfinished: readonly { readonly layerId: string; readonly sentence: string }[];
      /** Which hole was taken, in words. */
      readonly holeWords: string;
    }
  | { readonly kind: 'missing'; readonly what: 'frame' | 'focal length'; readonly sentence: string };

function openingOf(layer: LayerRecord): Opening | string {
  const { opening } = layer;
  switch (opening?.shape) {
    case undefined:
      return 'its opening';
    case 'circle':
      return opening?.diameterMm === undefined ? 'the diameter of its opening' : { shape: 'circle', diameterMm: opening.diameterMm };
    case 'rectangle': {
      const { widthMm, heightMm, cornerRadiusMm = 0 } = opening ?? {};
      if (widthMm === undefined || heightMm === undefined) return 'width and height of its opening';
      return { shape: 'rectangle', widthMm, heightMm, cornerRadiusMm: Math.min(cornerRadiusMm, widthMm / 2, heightMm / 2) };
    }
    case 'slot': {
      const { widthMm, heightMm } = opening ?? {};
      if (widthMm === undefined || heightMm === undefined) return 'width and height of its opening';
      return { shape: 'slot', lengthMm: widthMm, widthMm: heightMm };
    }
    case 'polygon': {
      const points = opening?.pointsMm ?? [];
      if (points.length < 3) return 'three corners of its opening at least';
      return { shape: 'polygon', pointsMm: points.map(([xMm, yMm]) => ({ xMm, yMm })) };
    }
  }
}

/** A layer as the front room knows it, or what is still to be measured. */
function layerOf(record: LayerRecord): Layer | string {
  const { distanceMm, thicknessMm } = record;
  if (distanceMm === undefined) return 'its distance from the hole';
  if (thicknessMm === undefined) return 'its thickness';
  const opening = openingOf(record);
  if (typeof opening === 'string') return opening;
  const towards = record.side === 'front' ? 1 : -1;
  const bevels = (record.bevels ?? []).flatMap((bevel): Bevel[] =>
    bevel.angleRad === undefined || bevel.depthMm === undefined ? [] : [{ face: bevel.face, angleRad: bevel.angleRad, depthMm: bevel.depthMm }],
  );
  return {
    name: record.name === '' ? 'a layer without a name' : record.name,
    nearMm: towards * distanceMm,
    farMm: towards * (distanceMm + thicknessMm),
    opening,
    bevels,
    shift: { xMm: record.shift?.xMm ?? 0, yMm: record.shift?.yMm ?? 0 },
    rotationRad: record.rotationRad ?? 0,
    ...(record.tolerance === undefined ? {} : { tolerance: record.tolerance }),
  };
}

/** A hole for want of a measured one: the usual best, d = 1.9 √(λ f) at 550 nm; for openings it hardly matters. */
function usualDiameterMm(focalLengthMm: number): number {
  return 1.9 * Math.sqrt(550e-6 * focalLengthMm);
}

/** Of the diameter: below what a scan knows of a rim, and less than a tenth of its points are left to look past. */
const NEAR_ENOUGH_SHARE = 1 / 1000;

interface ChosenHole {
  readonly hole: FrontHole;
  readonly plate: PlateEdge | undefined;
  readonly words: string;
}

function holeOf(camera: CameraRecord, workshop: Workshop, focalLengthMm: number, wanted: 'round' | 'outline'): ChosenHole {
  const plate = mountedPlate(camera, workshop);
  const pass = plate === null ? null : latestMeasuredPass(plate);
  const edgeThicknessMm = wallThicknessMm(plate);
  const edge =
    edgeThicknessMm === undefined
      ? undefined
      : { edgeThicknessMm, sharpEdge: camera.front?.sharpEdge ?? ('film' as const), ...dimpleOf(plate) };
  const measuredMm = pass?.figures?.outlineDiameterMm;
  const diameterMm = measuredMm ?? plate?.targetDiameterMm;
  if (wanted === 'outline' && pass?.outlineMm !== undefined) {
    const rim = pass.outlineMm.map(([x, y]) => ({ x, y }));
    const loop = thinned(rim, NEAR_ENOUGH_SHARE * (2 * Math.sqrt(Math.abs(polygonArea(rim)) / Math.PI))).map(({ x, y }) => ({ xMm: x, yMm: y }));
    return { hole: { loopsMm: [loop] }, plate: edge, words: `the measured outline of plate ${plate?.name ?? ''}` };
  }
  if (diameterMm === undefined) {
    return { hole: { diameterMm: usualDiameterMm(focalLengthMm) }, plate: edge, words: 'a hole of the usual size, as none is measured' };
  }
  const words = measuredMm === undefined ? `the hole that plate ${plate?.name ?? ''} is to get, as none is measured yet` : `the hole of plate ${plate?.name ?? ''}`;
  return { hole: { diameterMm }, plate: edge, words };
}

/**
 * The question for the front room, or what is missing for it.
 * @param wanted `outline`: the measured outline of the hole where there is one; default its round equivalent
 */
export function frontOf(camera: CameraRecord, workshop: Workshop, wanted: 'round' | 'outline' = 'round'): FrontOfCamera {
  const geometry = geometryOf(camera);
  if (geometry === null) {
    const { widthMm, heightMm } = camera.frame ?? {};
    return widthMm === undefined || heightMm === undefined
      ? { kind: 'missing', what: 'frame', sentence: 'First the film: give the image area of this camera.' }
      : { kind: 'missing', what: 'focal length', sentence: 'Now the focal length: give the distance from the hole to the film.' };
  }
  const layers: Layer[] = [];
  const layerIds: string[] = [];
  const unfinished: { layerId: string; sentence: string }[] = [];
  for (const record of camera.front?.layers ?? []) {
    const layer = layerOf(record);
    if (typeof layer === 'string') {
      unfinished.push({ layerId: record.id, sentence: `${record.name === '' ? 'This layer' : record.name} still needs ${layer}.` });
    } else {
      layers.push(layer);
      layerIds.push(record.id);
    }
  }
  const { hole, plate, words } = holeOf(camera, workshop, geometry.focalLengthMm, wanted);
  return {
    kind: 'known',
    question: { camera: geometry, hole, layers, ...(plate === undefined ? {} : { plate }) },
    layerIds,
    unfinished,
    holeWords: words,
  };
}
