/**
 * What does not hang together in a workshop that can be read: names that lead nowhere, dates that run backwards, a
 * sheet used twice. Nothing is mended here; the maker is told where to look.
 */
import { formatTime } from '../exposure/duration.ts';
import type { ExposureRecord, PlateRecord, Workshop } from './workshop.ts';

export interface WorkshopFinding {
  /** `broken`: something is missing that is referred to; `doubtful`: it may be meant so. */
  readonly kind: 'broken' | 'doubtful';
  /** Place in the document: `exposures[3].plateId`. */
  readonly at: string;
  readonly sentence: string;
}

type Report = (kind: WorkshopFinding['kind'], at: string, sentence: string) => void;

/** Clocks of different devices are a little apart; only more than this is worth a word. */
const CLOCKS_APART_MS = 24 * 3600 * 1000;

const dayOf = (at: string): string => at.slice(0, 10);

function checkMountings(workshop: Workshop, plateExists: (id: string) => boolean, report: Report): void {
  const inCamera = new Map<string, string>();
  workshop.cameras.forEach((camera, i) => {
    let before = -Infinity;
    camera.mountings.forEach((mounting, j) => {
      const at = `cameras[${i}].mountings[${j}]`;
      if (mounting.plateId !== null && !plateExists(mounting.plateId)) {
        report('broken', `${at}.plateId`, `${camera.name} holds a plate that is not in this workshop.`);
      }
      const ms = Date.parse(mounting.mountedAt);
      if (ms < before) {
        report('doubtful', `${at}.mountedAt`, `${camera.name}: a plate was put in on ${dayOf(mounting.mountedAt)}, before the one that was in it already. A clock may have been wrong.`);
      }
      before = Math.max(before, ms);
    });
    const last = camera.mountings.reduce<(typeof camera.mountings)[number] | null>(
      (late, mounting) => (late === null || Date.parse(mounting.mountedAt) >= Date.parse(late.mountedAt) ? mounting : late),
      null,
    );
    if (last === null || last.plateId === null) return;
    const other = inCamera.get(last.plateId);
    if (other !== undefined) {
      const name = workshop.plates.find(({ id }) => id === last.plateId)?.name ?? 'One plate';
      report('doubtful', `cameras[${i}].mountings`, `${name} is in ${other} and in ${camera.name} at the same time.`);
    }
    inCamera.set(last.plateId, camera.name);
  });
}

function checkPasses(plate: PlateRecord, index: number, report: Report): void {
  let before = -Infinity;
  plate.passes.forEach((pass, j) => {
    const ms = Date.parse(pass.at);
    if (ms < before - CLOCKS_APART_MS) {
      report('doubtful', `plates[${index}].passes[${j}].at`, `${plate.name}: pass ${j + 1} is dated ${dayOf(pass.at)}, before the pass it follows. A clock may have been wrong; the order of the list counts.`);
    }
    before = Math.max(before, ms);
  });
}

function checkExposure(exposure: ExposureRecord, at: string, workshop: Workshop, exists: Record<'camera' | 'plate' | 'film' | 'sheet', (id: string) => boolean>, report: Report): void {
  const name = `The exposure of ${dayOf(exposure.at)}`;
  const links = [
    ['camera', 'cameraId', exposure.cameraId],
    ['plate', 'plateId', exposure.plateId],
    ['film', 'filmId', exposure.filmId],
    ['sheet', 'sheetId', exposure.sheetId],
  ] as const;
  for (const [what, key, id] of links) {
    if (id !== undefined && !exists[what](id)) report('broken', `${at}.${key}`, `${name} names a ${what} that is not in this workshop.`);
  }
  const plate = workshop.plates.find(({ id }) => id === exposure.plateId);
  if (plate !== undefined && exposure.passId !== undefined && !plate.passes.some(({ id }) => id === exposure.passId)) {
    report('broken', `${at}.passId`, `${name} names a pass that plate ${plate.name} does not have.`);
  }
  const { given } = exposure;
  if (given?.startedAt === undefined || given.endedAt === undefined) return;
  const lastedS = (Date.parse(given.endedAt) - Date.parse(given.startedAt)) / 1000;
  if (lastedS < 0) {
    report('doubtful', `${at}.given`, `${name} ended before it began. A clock may have been wrong.`);
  } else if (given.timeS !== undefined && given.timeS > 60 && Math.abs(given.timeS - lastedS) > 0.2 * given.timeS) {
    report('doubtful', `${at}.given`, `${name} is said to have taken ${formatTime(given.timeS)}, but ${formatTime(Math.max(lastedS, 0.001))} lie between its beginning and its end.`);
  }
}

function checkSheets(workshop: Workshop, exists: { readonly film: (id: string) => boolean; readonly holder: (id: string) => boolean }, report: Report): void {
  const uses = new Map<string, number>();
  for (const { sheetId, given } of workshop.exposures) {
    if (sheetId !== undefined && given !== undefined) uses.set(sheetId, (uses.get(sheetId) ?? 0) + 1);
  }
  const inPlace = new Map<string, string>();
  workshop.filmSheets.forEach((sheet, i) => {
    const at = `filmSheets[${i}]`;
    if (sheet.filmId !== undefined && !exists.film(sheet.filmId)) report('broken', `${at}.filmId`, `Sheet ${sheet.number} is of a film that is not in this workshop.`);
    const holderId = sheet.loaded?.holderId;
    if (holderId !== undefined && !exists.holder(holderId)) report('broken', `${at}.loaded.holderId`, `Sheet ${sheet.number} is in a holder that is not in this workshop.`);
    const times = uses.get(sheet.id) ?? 0;
    if (times > 1) report('doubtful', at, `Sheet ${sheet.number} was exposed ${times} times.`);
    if (holderId === undefined || sheet.developed !== undefined) return;
    const place = `${holderId} ${sheet.loaded?.side ?? ''}`;
    const other = inPlace.get(place);
    if (other !== undefined) {
      const holder = workshop.filmHolders.find(({ id }) => id === holderId)?.name ?? 'one holder';
      report('doubtful', `${at}.loaded`, `Sheets ${other} and ${sheet.number} are in the same place of holder ${holder}.`);
    }
    inPlace.set(place, sheet.number);
  });
}

/**
 * Everything that does not hang together, in the order of the document.
 * @param now ISO 8601, to find dates that have not come yet; without it they are not looked for
 */
export function workshopFindings(workshop: Workshop, now?: string): readonly WorkshopFinding[] {
  const findings: WorkshopFinding[] = [];
  const report: Report = (kind, at, sentence) => void findings.push({ kind, at, sentence });
  // What is in the trash can come back, so it is not missing.
  const idsOf = (list: 'cameras' | 'plates' | 'films' | 'filmHolders' | 'filmSheets'): ((id: string) => boolean) => {
    const ids = new Set<string>(workshop[list].map(({ id }) => id));
    for (const entry of workshop.trash) if (entry.list === list) ids.add(entry.record.id);
    return (id) => ids.has(id);
  };
  const exists = { camera: idsOf('cameras'), plate: idsOf('plates'), film: idsOf('films'), sheet: idsOf('filmSheets'), holder: idsOf('filmHolders') };
  checkMountings(workshop, exists.plate, report);
  workshop.cameras.forEach((camera, i) => {
    if (camera.filmId !== undefined && !exists.film(camera.filmId)) report('broken', `cameras[${i}].filmId`, `${camera.name} is loaded with a film that is not in this workshop.`);
    if (camera.holderId !== undefined && !exists.holder(camera.holderId)) report('broken', `cameras[${i}].holderId`, `${camera.name} takes a holder that is not in this workshop.`);
  });
  workshop.plates.forEach((plate, i) => {
    if (plate.targetCameraId !== undefined && !exists.camera(plate.targetCameraId)) report('broken', `plates[${i}].targetCameraId`, `${plate.name} is made for a camera that is not in this workshop.`);
    checkPasses(plate, i, report);
  });
  workshop.exposures.forEach((exposure, i) => checkExposure(exposure, `exposures[${i}]`, workshop, exists, report));
  checkSheets(workshop, exists, report);
  if (now !== undefined) {
    const laterMs = Date.parse(now) + CLOCKS_APART_MS;
    workshop.exposures.forEach((exposure, i) => {
      if (exposure.given !== undefined && Date.parse(exposure.at) > laterMs) {
        report('doubtful', `exposures[${i}].at`, `The exposure of ${dayOf(exposure.at)} was given on a day that has not come yet. A clock may have been wrong.`);
      }
    });
  }
  return findings;
}
