/**
 * All connected regions of a picture at all grey levels at once (component tree), with their area,
 * place and second moments. What is a hole shows as a compact region that stays the same over many
 * levels, wherever those levels lie: no threshold is chosen.
 */

export interface Region {
  readonly areaPx: number;
  /** Pixel (0,0) has its centre at 0.5. */
  readonly column: number;
  readonly row: number;
  readonly varColumn: number;
  readonly varRow: number;
  readonly covariance: number;
  readonly touchesBorder: boolean;
  /** Grey level at which the region is cut out. */
  readonly level: number;
  /** Levels from here down to where the region has grown to more than `GROWTH` times its area. */
  readonly persistence: number;
}

const GROWTH = 1.7;

/**
 * Regions brighter than their surroundings. For dark ones pass `255 - level`.
 * @param levels 0…255, row after row
 * @param leastAreaPx smaller regions are left out
 * @param leastPersistence regions that last over fewer levels are left out
 * @returns regions in no particular order; nested ones of one thing all appear
 * @source najman2006
 */
export function brightRegions(
  levels: Uint8Array,
  widthPx: number,
  heightPx: number,
  leastAreaPx: number,
  leastPersistence: number,
): Region[] {
  const n = widthPx * heightPx;
  const order = orderByLevel(levels);
  const parent = new Int32Array(n);
  const root = new Int32Array(n).fill(-1);
  const area = new Int32Array(n);
  const border = new Uint8Array(n);
  const sums = new Float64Array(5 * n);

  const find = (start: number): number => {
    let top = start;
    while (root[top]! !== top) top = root[top]!;
    let at = start;
    while (root[at]! !== top) {
      const next = root[at]!;
      root[at] = top;
      at = next;
    }
    return top;
  };

  for (let i = 0; i < n; i++) {
    const p = order[i]!;
    const column = p % widthPx;
    const row = (p - column) / widthPx;
    const x = column + 0.5;
    const y = row + 0.5;
    parent[p] = p;
    root[p] = p;
    area[p] = 1;
    border[p] = column === 0 || row === 0 || column === widthPx - 1 || row === heightPx - 1 ? 1 : 0;
    let base = 5 * p;
    sums[base] = x;
    sums[base + 1] = y;
    sums[base + 2] = x * x;
    sums[base + 3] = y * y;
    sums[base + 4] = x * y;
    for (let side = 0; side < 4; side++) {
      let q = -1;
      if (side === 0 && column > 0) q = p - 1;
      else if (side === 1 && column < widthPx - 1) q = p + 1;
      else if (side === 2 && row > 0) q = p - widthPx;
      else if (side === 3 && row < heightPx - 1) q = p + widthPx;
      if (q < 0 || root[q]! < 0) continue;
      const r = find(q);
      if (r === p) continue;
      root[r] = p;
      parent[r] = p;
      area[p]! += area[r]!;
      border[p]! |= border[r]!;
      base = 5 * p;
      const other = 5 * r;
      for (let k = 0; k < 5; k++) sums[base + k]! += sums[other + k]!;
    }
  }
  // Each region keeps one pixel as its name: the parent pointer skips pixels of the same level.
  for (let i = n - 1; i >= 0; i--) {
    const p = order[i]!;
    const q = parent[p]!;
    if (levels[parent[q]!] === levels[q]) parent[p] = parent[q]!;
  }

  const found: Region[] = [];
  for (let p = 0; p < n; p++) {
    if (area[p]! < leastAreaPx || area[p]! > 0.7 * n) continue;
    if (parent[p] !== p && levels[parent[p]!] === levels[p]) continue;
    const limit = GROWTH * area[p]!;
    let up = parent[p]!;
    while (area[up]! <= limit && parent[up] !== up) up = parent[up]!;
    const persistence = levels[p]! - levels[up]!;
    if (persistence < leastPersistence) continue;
    const a = area[p]!;
    const base = 5 * p;
    const column = sums[base]! / a;
    const row = sums[base + 1]! / a;
    found.push({
      areaPx: a,
      column,
      row,
      varColumn: sums[base + 2]! / a - column * column + 1 / 12,
      varRow: sums[base + 3]! / a - row * row + 1 / 12,
      covariance: sums[base + 4]! / a - column * row,
      touchesBorder: border[p] === 1,
      level: levels[p]!,
      persistence,
    });
  }
  return found;
}

function orderByLevel(levels: Uint8Array): Int32Array {
  const starts = new Int32Array(257);
  for (const level of levels) starts[256 - level]!++;
  for (let i = 1; i <= 256; i++) starts[i]! += starts[i - 1]!;
  const order = new Int32Array(levels.length);
  // Bucket 255 - level starts where the brighter ones end.
  const next = starts.slice(0, 256);
  for (let p = 0; p < levels.length; p++) order[next[255 - levels[p]!]!++] = p;
  return order;
}
