/** Rows of data.json; a family with fewer rows than expected is an error, so that none can be lost in silence. */
import data from './data.json' with { type: 'json' };

export interface Row {
  readonly family: string;
  readonly name: string;
  readonly inputs: Record<string, unknown>;
  readonly value: number;
}

export function family(name: string, count: number): Row[] {
  const rows = (data.checks as Row[]).filter((row) => row.family === name);
  if (rows.length !== count) throw new Error(`${name}: ${rows.length} rows instead of ${count}`);
  return rows;
}

export function number(inputs: Record<string, unknown>, key: string): number {
  const value = inputs[key];
  if (typeof value !== 'number') throw new Error(`${key} is no number`);
  return value;
}

/** The largest error, in size. */
export function worst(rows: readonly Row[], error: (row: Row) => number): number {
  return Math.max(...rows.map((row) => Math.abs(error(row))));
}
