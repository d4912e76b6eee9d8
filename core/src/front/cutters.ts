/** Drills and cutters a shop may own, and the next one up from what a view needs. */
import { InputError } from '../errors.ts';
import { MM_PER_INCH, MM_PER_THOU, parseLength } from '../units/length.ts';
import cutters from './cutters.json';

export interface Cutter {
  readonly name: string;
  readonly diameterMm: number;
}

export interface CutterSet {
  readonly id: string;
  readonly title: string;
  readonly source: string;
  readonly cutters: readonly Cutter[];
}

function gcd(a: number, b: number): number {
  return b === 0 ? a : gcd(b, a % b);
}

function inchName(sixtyFourths: number): string {
  const whole = Math.floor(sixtyFourths / 64);
  const rest = sixtyFourths % 64;
  if (rest === 0) return `${whole} in`;
  const by = gcd(rest, 64);
  return `${whole === 0 ? '' : `${whole} `}${rest / by}/${64 / by} in`;
}

/** As they stand in the data: one size by name, or a run of them. */
type SizeRow =
  | { readonly name: string; readonly thou: number }
  /** Inch runs count sixty-fourths. */
  | { readonly unit: string; readonly from: number; readonly to: number; readonly step: number };

function sizesOf(row: SizeRow): Cutter[] {
  if ('name' in row) return [{ name: row.name, diameterMm: Number((row.thou * MM_PER_THOU).toFixed(6)) }];
  const list: Cutter[] = [];
  for (let i = 0; row.from + i * row.step <= row.to + 1e-9; i++) {
    const size = Number((row.from + i * row.step).toFixed(6));
    list.push(
      row.unit === 'mm' ? { name: `${size} mm`, diameterMm: size } : { name: inchName(size), diameterMm: (size * MM_PER_INCH) / 64 },
    );
  }
  return list;
}

/** The lists we ship; a maker's own are made with `cuttersFrom`. */
export const CUTTER_SETS: readonly CutterSet[] = cutters.sets.map(({ id, title, source, sizes }) => ({
  id,
  title,
  source,
  cutters: (sizes as readonly SizeRow[]).flatMap(sizesOf),
}));

/** @throws InputError unknown-name */
export function cutterSet(id: string): CutterSet {
  const found = CUTTER_SETS.find((set) => set.id === id.trim().toLowerCase());
  if (found !== undefined) return found;
  const ids = CUTTER_SETS.map((set) => set.id).join(', ');
  throw new InputError('unknown-name', `There is no list of cutters “${id}”. There are: ${ids}.`, { path: 'cutters', got: id, expected: ids });
}

/** A comma before a digit is a decimal sign. */
function partsOf(text: string): string[] {
  return text.split(/[;\n]|,(?!\d)/).map((part) => part.trim()).filter((part) => part !== '');
}

/**
 * A list of the maker's own: sizes between commas or line ends, each as on the shank: `6, 8 mm, 1/2", 35 Forstner`.
 * What stands after a size is kept as its name.
 * @throws InputError not-understood, not-positive
 */
export function cuttersFrom(text: string): Cutter[] {
  return partsOf(text).map((part) => {
    const size = /^[\d.,/ +-]*\d\s*(?:mm|cm|µm|um|inches|inch|in|thou|["”″])?/i.exec(part)?.[0] ?? part;
    const { mm } = parseLength(size.trim(), { defaultUnit: 'mm', path: 'cutters' });
    if (mm > 0) return { name: part, diameterMm: mm };
    throw new InputError('not-positive', `A cutter must be larger than 0 mm, but “${part}” is ${mm}.`, { path: 'cutters', got: part });
  });
}

/**
 * Shipped lists by name and sizes of the maker's own side by side: `metric, forstner, 3/8 in`.
 * @returns what could be read, and what is wrong with the first part that could not
 */
export function readCutters(text: string): { readonly list: readonly Cutter[]; readonly problem: InputError | null } {
  const list: Cutter[] = [];
  let problem: InputError | null = null;
  for (const part of partsOf(text)) {
    try {
      list.push(...(/^[\d.]/.test(part) ? cuttersFrom(part) : cutterSet(part).cutters));
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      problem ??= error;
    }
  }
  return { list, problem };
}

/**
 * The smallest cutter that is at least as large as needed; null where none is.
 * @param neededMm smallest opening
 */
export function cutterFor(neededMm: number, list: readonly Cutter[]): Cutter | null {
  let best: Cutter | null = null;
  for (const cutter of list) {
    if (cutter.diameterMm < neededMm - 1e-9) continue;
    if (best === null || cutter.diameterMm < best.diameterMm) best = cutter;
  }
  return best;
}
