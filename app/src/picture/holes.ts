/** The holes that can be looked through: measured passes, round ones by every criterion, one of the maker's own. */
import type { BestHole, Criterion, HoleShape, PassRecord, PlateRecord } from '#core';
import { CRITERIA, criterionFacts, formatNumber, holeOfPass, roundShape } from '#core';

export interface Hole {
  /** What it is called in a sentence: `WB-1, pass 2`, `the best round hole`. */
  readonly name: string;
  readonly shape: HoleShape;
  /** Of the round hole of the same area. */
  readonly diameterMm: number;
  /** False where the shape is a measured outline. */
  readonly round: boolean;
  /** Of the hole's wall: the plate's edge, else its sheet; 0 when nobody measured either. */
  readonly thicknessMm: number;
  /** Of the diameter, k = 1; `null` where nobody measured it. */
  readonly standardUncertaintyMm: number | null;
}

export interface HoleOption {
  readonly value: string;
  readonly label: string;
  readonly group: string;
}

interface MeasuredPass {
  readonly plate: PlateRecord;
  readonly pass: PassRecord;
  readonly number: number;
}

/** Passes with an outline, the last reading of a scan standing for all of them. */
export function measuredPasses(plates: readonly PlateRecord[]): MeasuredPass[] {
  return plates.flatMap((plate) => {
    const found: MeasuredPass[] = [];
    let number = 0;
    let scan: string | null = null;
    for (const pass of plate.passes) {
      const again = pass.scan !== null && pass.scan.sha256 === scan;
      scan = pass.scan?.sha256 ?? null;
      if (!again) number += 1;
      if (pass.figures === undefined) continue;
      if (again && found.at(-1)?.number === number) found.pop();
      found.push({ plate, pass, number });
    }
    return found;
  });
}

function mm(diameterMm: number): string {
  return `${formatNumber(diameterMm, { digits: 3 })} mm`;
}

/** @param debris `left-in`: with what lies in it, and stray holes beside it */
export function passHole({ plate, pass, number }: MeasuredPass, debris: 'blown-out' | 'left-in' = 'blown-out'): Hole | null {
  const hole = holeOfPass(plate, pass, debris);
  const dirty = debris === 'left-in' ? ', as scanned' : '';
  return hole === null ? null : { ...hole, name: `${plate.name}, pass ${number}${dirty}` };
}

export function roundHole(diameterMm: number, name: string, thicknessMm = 0): Hole {
  return { name, shape: roundShape(diameterMm), diameterMm, round: true, thicknessMm, standardUncertaintyMm: null };
}

/** What a key of the list means; the key itself is text that outlives a reload. */
export interface HoleSupply {
  readonly plates: readonly PlateRecord[];
  /** The plate that is in the camera. */
  readonly mounted: PlateRecord | null;
  readonly criterion: Criterion;
  readonly best: (criterion: Criterion) => BestHole;
  /** The typed diameter for this side of the comparison. */
  readonly typedMm: number | null;
  /** What `same` is as large as; `null` for the first hole. */
  readonly first: Hole | null;
}

/** The last pass of the plate in the camera. */
export function mountedPass(supply: Pick<HoleSupply, 'mounted'>): MeasuredPass | null {
  return supply.mounted === null ? null : (measuredPasses([supply.mounted]).at(-1) ?? null);
}

export function holeOptions(supply: HoleSupply): HoleOption[] {
  const inCamera = mountedPass(supply);
  const options: HoleOption[] = [];
  if (inCamera?.pass.figures !== undefined) {
    const label = `${inCamera.plate.name}, in this camera, ${mm(inCamera.pass.figures.outlineDiameterMm)}`;
    options.push({ value: 'mounted', label, group: 'Measured' });
  }
  for (const { plate, pass, number } of measuredPasses(supply.plates)) {
    if (pass.figures !== undefined) {
      const label = `${plate.name}, pass ${number}, ${mm(pass.figures.outlineDiameterMm)}`;
      options.push({ value: `pass:${pass.id}`, label, group: 'Measured' });
      const dirty = (pass.figures.debris ?? []).length + (pass.strayHoles ?? []).length > 0 ? passHole({ plate, pass, number }, 'left-in') : null;
      if (dirty !== null) {
        options.push({ value: `dirty:${pass.id}`, label: `${dirty.name}, as ${mm(dirty.diameterMm)}`, group: 'Measured' });
      }
    }
  }
  if (supply.first !== null) {
    options.push({ value: 'same', label: `round and as large, ${mm(supply.first.diameterMm)}`, group: 'Round' });
  }
  options.push({ value: 'typed', label: 'a diameter of my own', group: 'Round' });
  for (const { id, title } of CRITERIA) {
    options.push({
      value: `best:${id}`,
      label: `${title}${id === supply.criterion ? ' (as chosen for the camera)' : ''}, ${mm(supply.best(id).diameterMm)}`,
      group: 'Best for',
    });
  }
  return options;
}

/** The hole of a key; `null` where a pass is gone or no diameter typed. */
export function holeOf(key: string, supply: HoleSupply): Hole | null {
  if (key === 'mounted') {
    const pass = mountedPass(supply);
    return pass === null ? null : passHole(pass);
  }
  if (key.startsWith('pass:')) {
    const found = measuredPasses(supply.plates).find(({ pass }) => pass.id === key.slice(5));
    return found === undefined ? null : passHole(found);
  }
  if (key.startsWith('dirty:')) {
    const found = measuredPasses(supply.plates).find(({ pass }) => pass.id === key.slice(6));
    return found === undefined ? null : passHole(found, 'left-in');
  }
  if (key === 'same' && supply.first !== null) {
    return roundHole(supply.first.diameterMm, 'a round hole of the same area', supply.first.thicknessMm);
  }
  if (key === 'typed') {
    return supply.typedMm === null ? null : roundHole(supply.typedMm, 'a round hole of your own');
  }
  const criterion = CRITERIA.find(({ id }) => key === `best:${id}`)?.id;
  return criterion === undefined
    ? null
    : roundHole(supply.best(criterion).diameterMm, `the best round hole for ${criterionFacts(criterion).title}`);
}
