/** `camerawright demo`: the main job on the demo workshop: hole, verdict, f-number, exposure, in a few lines. */
import { readFile } from 'node:fs/promises';
import { basename } from 'node:path';
import { fileURLToPath } from 'node:url';
import {
  DEFAULT_CRITERION,
  FormatError,
  describeCamera,
  exposureTime,
  filmOf,
  findScene,
  formatNumber,
  formatWithUncertainty,
  holeStop,
  judgeHole,
  lightOfCamera,
} from '#core';
import type { CameraRecord, ExposureAnswer, HoleReading, HoleVerdict, Illumination, Workshop } from '#core';
import { parseWorkshop } from '#core/schema';
import type { PlateRoom } from '#io/ports';
import type { Answer } from './answer.ts';

interface Manifest {
  readonly workshop: string;
  readonly plates: readonly {
    readonly plateId: string;
    readonly name: string;
    readonly scan: string;
    readonly illumination: Illumination;
  }[];
  readonly mainJob: {
    readonly cameraId: string;
    readonly plateId: string;
    /** Of the table of scenes, as the page asks it: the doubt of such words is part of the answer. */
    readonly scene: string;
  };
}

/** The demo lies in the app's folder, which serves it too: one copy for both faces. */
const DEMO = new URL('../app/demo/', import.meta.url);

async function demoFile(name: string): Promise<Uint8Array> {
  return new Uint8Array(await readFile(fileURLToPath(new URL(name, DEMO))));
}

async function demoText(name: string): Promise<string> {
  return new TextDecoder().decode(await demoFile(name));
}

/** A camera with everything that the main job needs. */
function completeCamera(workshop: Workshop, id: string) {
  const record = workshop.cameras.find((camera) => camera.id === id);
  const { widthMm, heightMm } = record?.frame ?? {};
  if (!record || widthMm === undefined || heightMm === undefined || record.focalLengthMm === undefined) {
    throw new FormatError('missing', 'The demo workshop lacks the camera of its main job. Install Camerawright anew.');
  }
  return { record, frame: { widthMm, heightMm }, focalLengthMm: record.focalLengthMm };
}

function judged(camera: CameraRecord, workshop: Workshop, focalLengthMm: number, hole: HoleReading): HoleVerdict {
  const { holes } = lightOfCamera(camera, workshop);
  const conjugates = { focalLengthMm, objectDistanceMm: camera.objectDistanceMm ?? Infinity };
  return judgeHole({
    ...conjugates,
    holes,
    diameterMm: hole.outlineDiameterMm,
    standardUncertaintyMm: hole.outlineStandardUncertaintyMm,
    best: holes.best({ ...conjugates, criterion: camera.criterion ?? DEFAULT_CRITERION }),
  });
}

/** Measures the plate of the demo's main job and carries it through to the seconds. */
export async function demoCommand(room: PlateRoom): Promise<Answer> {
  const manifest = JSON.parse(await demoText('demo.json')) as Manifest;
  const workshop = parseWorkshop(await demoText(manifest.workshop));
  const { mainJob } = manifest;
  const { record, frame, focalLengthMm } = completeCamera(workshop, mainJob.cameraId);
  const plate = manifest.plates.find(({ plateId }) => plateId === mainJob.plateId);
  if (!plate) throw new FormatError('missing', 'The demo lacks the scan of its main job. Install Camerawright anew.');

  const seen = describeCamera({
    camera: {
      frame,
      focalLengthMm,
      holeShift: { xMm: record.holeShift?.xMm ?? 0, yMm: record.holeShift?.yMm ?? 0 },
    },
    light: lightOfCamera(record, workshop),
    ...(record.criterion === undefined ? {} : { criterion: record.criterion }),
  });
  const { reading } = await room.measure(await demoFile(plate.scan), basename(plate.scan), {
    illumination: plate.illumination,
  });
  const [hole] = reading.holes;
  if (!hole) throw new FormatError('damaged', 'The demo scan shows no hole. Install Camerawright anew.');
  const verdict = judged(record, workshop, focalLengthMm, hole);
  const stop = holeStop({
    diameterMm: hole.outlineDiameterMm,
    diameterStandardUncertaintyMm: hole.outlineStandardUncertaintyMm,
    focalLengthMm,
  });
  const material = filmOf(record, workshop);
  const scene = findScene(mainJob.scene);
  const exposure: ExposureAnswer = exposureTime({
    fNumber: stop.fNumber,
    fNumberStandardUncertainty: stop.fNumberStandardUncertainty,
    light: { kind: 'scene', scene: scene.id },
    film: material?.film ?? null,
    ...(material?.exposureIndex ? { exposureIndex: material.exposureIndex } : {}),
  });
  const [lo, hi] = scene.ev100Ev;
  const ev = lo === hi ? `EV ${formatNumber(lo)}` : `EV ${formatNumber(lo)} to ${formatNumber(hi)}`;
  const lines: [string, string][] = [
    ['camera', `${record.name}. ${seen.sentences[0] ?? ''}`],
    ['hole', `Plate ${plate.name} measures ${formatWithUncertainty(hole.outlineDiameterMm, hole.outlineStandardUncertaintyMm, { unit: 'mm' })}.`],
    ['verdict', `${verdict.word}: ${verdict.sentence}`],
    ['f-number', `f/${formatWithUncertainty(stop.fNumber, stop.fNumberStandardUncertainty)}`],
    ['exposure', `${material?.film.name ?? 'No film'} under ${scene.words}, ${ev}: ${exposure.sentence}`],
  ];
  const width = Math.max(...lines.map(([name]) => name.length));
  return {
    json: { camera: record.name, plate: plate.name, reading, verdict, fNumber: stop, exposure },
    text: lines.map(([name, text]) => `${name.padEnd(width)}   ${text}`).join('\n'),
    notes: [],
  };
}
