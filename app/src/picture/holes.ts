/** The holes that can be looked through: measured passes, round ones by every criterion, one of the maker's own. */
import type { BestHole, Criterion, HoleShape, PassRecord, PlateRecord } from '#core';
import { CRITERIA, criterionFacts, formatNumber, outlineShape, roundShape, shapeAreaMm2 } from '#core';

export interface Hole {
  /** What it is called in a sentence: `WB-1, pass 2`, `the best round hole`. */
  readonly name: string;
  readonly shape: HoleShape;
  /** Of the round hole of the same area. */
  readonly diameterMm: number;
  /** False where the shape is a measured outline. */
  readonly round: boolean;
  /** Of the plate at the edge; 0 when nobody measured it. */
  readonly thicknessMm: number;
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

export function passHole({ plate, pass, number }: MeasuredPass): Hole | null {
  const diameterMm = pass.figures?.outlineDiameterMm;
  if (diameterMm === undefined) {
    return null;
  }
  const shape =
    pass.outlineMm === undefined
      ? roundShape(diameterMm)
      : outlineShape([pass.outlineMm.map(([xMm, yMm]) => ({ xMm, yMm }))]);
  return {
    name: `${plate.name}, pass ${number}`,
    shape,
    diameterMm: 2 * Math.sqrt(shapeAreaMm2(shape) / Math.PI),
    round: pass.outlineMm === undefined,
    thicknessMm: plate.edgeThicknessMm ?? 0,
  };
}

export function roundHole(diameterMm: number, name: string, thicknessMm = 0): Hole {
  return { name, shape: roundShape(diameterMm), diameterMm, round: true, thicknessMm };
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
