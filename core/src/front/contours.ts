/** Lines of equal value over a grid of samples, for the map of the frame. */

/** From place to place in samples: column to the right, row down, between the first and the last. */
export interface ContourLine {
  readonly from: { readonly column: number; readonly row: number };
  readonly to: { readonly column: number; readonly row: number };
}

/**
 * Pieces of the line on which the samples, linear along the sides of their cells, reach a level; not joined up. A cell with
 * two ways through it is decided by the mean of its corners. Cells that touch an infinite sample hold the line at the sample.
 * @param values columns × rows, row by row
 */
export function contourLines(
  grid: { readonly columns: number; readonly rows: number },
  values: ArrayLike<number>,
  level: { readonly value: number },
): ContourLine[] {
  const { columns, rows } = grid;
  const lines: ContourLine[] = [];
  const at = (column: number, row: number): number => values[row * columns + column] as number;
  const part = (a: number, b: number): number => {
    if (!Number.isFinite(a)) return 1;
    if (!Number.isFinite(b)) return 0;
    return (level.value - a) / (b - a);
  };
  for (let row = 0; row + 1 < rows; row++) {
    for (let column = 0; column + 1 < columns; column++) {
      const a = at(column, row);
      const b = at(column + 1, row);
      const c = at(column + 1, row + 1);
      const d = at(column, row + 1);
      const above = [a, b, c, d].map((value) => value >= level.value);
      if (above.every((one) => one === above[0])) continue;
      const places: ContourLine['from'][] = [];
      if (above[0] !== above[1]) places.push({ column: column + part(a, b), row });
      if (above[1] !== above[2]) places.push({ column: column + 1, row: row + part(b, c) });
      if (above[2] !== above[3]) places.push({ column: column + 1 - part(c, d), row: row + 1 });
      if (above[3] !== above[0]) places.push({ column, row: row + 1 - part(d, a) });
      if (places.length === 2) lines.push({ from: places[0]!, to: places[1]! });
      else {
        const high = (a + b + c + d) / 4 >= level.value;
        const [first, second, third, fourth] = places as [ContourLine['from'], ContourLine['from'], ContourLine['from'], ContourLine['from']];
        // corners a and c alike: the line cuts off b and d when the middle goes with a
        if (high === above[0]) lines.push({ from: first, to: second }, { from: third, to: fourth });
        else lines.push({ from: fourth, to: first }, { from: second, to: third });
      }
    }
  }
  return lines;
}
