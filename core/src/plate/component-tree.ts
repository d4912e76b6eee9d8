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
const LEVELS = 256;
/** Marks in the state of a pixel, beside the number of its sides already looked at. */
const REACHED = 8;

/** Regions that are done, a column for each figure; the list of one tree grows as it goes. */
class Nodes {
  count = 0;
  level = new Uint8Array(1024);
  parent = new Int32Array(1024);
  /** Next child of the same parent, while the parent is not done. */
  sibling = new Int32Array(1024);
  border = new Uint8Array(1024);
  /** Last pixel of the region's own level, which gives regions their order. */
  last = new Int32Array(1024);
  area = new Int32Array(1024);
  /** Sums of x, y, x², y², x y. */
  sums = new Float64Array(5 * 1024);

  add(): number {
    if (this.count === this.level.length) {
      this.level = grown(this.level, new Uint8Array(2 * this.count));
      this.parent = grown(this.parent, new Int32Array(2 * this.count));
      this.sibling = grown(this.sibling, new Int32Array(2 * this.count));
      this.border = grown(this.border, new Uint8Array(2 * this.count));
      this.last = grown(this.last, new Int32Array(2 * this.count));
      this.area = grown(this.area, new Int32Array(2 * this.count));
      this.sums = grown(this.sums, new Float64Array(10 * this.count));
    }
    return this.count++;
  }
}

function grown<A extends Uint8Array | Int32Array | Float64Array>(old: A, larger: A): A {
  larger.set(old);
  return larger;
}

/**
 * Regions brighter than their surroundings. For dark ones pass `255 - level`.
 * The picture is flooded from its brightest places outwards, the regions that are being filled lying on a stack by
 * level: every pixel is entered once, and no figure is kept for each pixel.
 * @param levels 0…255, row after row
 * @param leastAreaPx smaller regions are left out
 * @param leastPersistence regions that last over fewer levels are left out
 * @returns regions in no particular order; nested ones of one thing all appear
 * @source najman2006
 * @source nister2008
 */
export function brightRegions(
  levels: Uint8Array,
  widthPx: number,
  heightPx: number,
  leastAreaPx: number,
  leastPersistence: number,
): Region[] {
  const n = widthPx * heightPx;
  const nodes = flood(levels, widthPx, heightPx, leastAreaPx);
  const { level, parent, area, sums, border, last } = nodes;
  const kept: number[] = [];
  const persistences = new Int16Array(nodes.count);
  for (let p = 0; p < nodes.count; p++) {
    if (area[p]! > 0.7 * n) continue;
    const limit = GROWTH * area[p]!;
    let up = parent[p]!;
    while (area[up]! <= limit && parent[up] !== up) up = parent[up]!;
    persistences[p] = level[p]! - level[up]!;
    if (persistences[p]! >= leastPersistence) kept.push(p);
  }
  kept.sort((p, q) => last[p]! - last[q]!);
  return kept.map((p) => {
    const a = area[p]!;
    const base = 5 * p;
    const column = sums[base]! / a;
    const row = sums[base + 1]! / a;
    return {
      areaPx: a,
      column,
      row,
      varColumn: sums[base + 2]! / a - column * column + 1 / 12,
      varRow: sums[base + 3]! / a - row * row + 1 / 12,
      covariance: sums[base + 4]! / a - column * row,
      touchesBorder: border[p] === 1,
      level: level[p]!,
      persistence: persistences[p]!,
    };
  });
}

/** All regions of at least `leastAreaPx`, each with its parent; the root is its own. */
function flood(levels: Uint8Array, widthPx: number, heightPx: number, leastAreaPx: number): Nodes {
  // Rows of a power of two, with a frame all round: places fall out by shifting, and no border is asked for.
  const shift = Math.ceil(Math.log2(widthPx + 2));
  const stride = 1 << shift;
  const mask = stride - 1;
  const total = (heightPx + 2) << shift;
  const value = new Uint8Array(total);
  const state = new Uint8Array(total).fill(REACHED);
  for (let y = 0; y < heightPx; y++) {
    const o = ((y + 1) << shift) + 1;
    value.set(levels.subarray(y * widthPx, (y + 1) * widthPx), o);
    state.fill(0, o, o + widthPx);
  }
  // Pixels that wait at the shore, a list for each level, and a bit for each list that is not empty.
  const first = new Int32Array(LEVELS).fill(-1);
  const next = new Int32Array(total);
  const some = new Int32Array(LEVELS / 32);
  const sides = Int32Array.of(1, stride, -1, -stride);

  const nodes = new Nodes();
  // The regions being filled, darkest at the bottom.
  const deep = LEVELS + 1;
  const cLevel = new Int32Array(deep);
  const cArea = new Int32Array(deep);
  const cBorder = new Uint8Array(deep);
  const cLast = new Int32Array(deep);
  const cChild = new Int32Array(deep);
  const cSums = new Float64Array(5 * deep);
  let top = -1;

  const open = (level: number): void => {
    top++;
    cLevel[top] = level;
    cArea[top] = 0;
    cBorder[top] = 0;
    cLast[top] = -1;
    cChild[top] = -1;
    cSums.fill(0, 5 * top, 5 * top + 5);
  };
  /** Writes the region on top down. */
  const settle = (): number => {
    const k = nodes.add();
    nodes.level[k] = cLevel[top]!;
    nodes.area[k] = cArea[top]!;
    nodes.border[k] = cBorder[top]!;
    nodes.last[k] = cLast[top]!;
    nodes.parent[k] = k;
    nodes.sibling[k] = -1;
    for (let s = 0; s < 5; s++) nodes.sums[5 * k + s] = cSums[5 * top + s]!;
    for (let child = cChild[top]!; child >= 0; child = nodes.sibling[child]!) nodes.parent[child] = k;
    return k;
  };
  /** The region on top is done: it goes on as part of one at `level`, the next below or a new one. */
  const sink = (level: number): void => {
    while (cLevel[top]! > level) {
      const k = cArea[top]! >= leastAreaPx ? settle() : -1;
      if (top === 0 || cLevel[top - 1]! < level) {
        cLevel[top] = level;
        cLast[top] = -1;
        cChild[top] = k;
        return;
      }
      const from = top--;
      cArea[top]! += cArea[from]!;
      cBorder[top]! |= cBorder[from]!;
      for (let s = 0; s < 5; s++) cSums[5 * top + s]! += cSums[5 * from + s]!;
      if (k >= 0) {
        nodes.sibling[k] = cChild[top]!;
        cChild[top] = k;
      }
    }
  };

  let p = stride + 1;
  state[p] = REACHED;
  open(value[p]!);
  for (;;) {
    // Climb to a brighter neighbour as soon as there is one; the rest wait at the shore.
    let here = value[p]!;
    let side = state[p]! & 7;
    while (side < 4) {
      const q = p + sides[side++]!;
      if (state[q]! >= REACHED) continue;
      state[q] = REACHED;
      const there = value[q]!;
      let wait = q;
      let level = there;
      if (there > here) {
        state[p] = REACHED | side;
        wait = p;
        level = here;
      }
      next[wait] = first[level]!;
      first[level] = wait;
      some[level >> 5]! |= 1 << (level & 31);
      if (there > here) {
        p = q;
        here = there;
        side = 0;
        open(here);
      }
    }
    const x = (p & mask) - 0.5;
    const row = p >> shift;
    const y = row - 0.5;
    cArea[top]!++;
    if (p > cLast[top]!) cLast[top] = p;
    if (x === 0.5 || y === 0.5 || x === widthPx - 0.5 || row === heightPx) cBorder[top] = 1;
    const base = 5 * top;
    cSums[base]! += x;
    cSums[base + 1]! += y;
    cSums[base + 2]! += x * x;
    cSums[base + 3]! += y * y;
    cSums[base + 4]! += x * y;
    // The brightest that waits.
    let word = here >> 5;
    while (word >= 0 && some[word] === 0) word--;
    if (word < 0) break;
    const level = 32 * word + 31 - Math.clz32(some[word]!);
    p = first[level]!;
    const after = next[p]!;
    first[level] = after;
    if (after < 0) some[word]! &= ~(1 << (level & 31));
    if (level < here) sink(level);
  }
  // What is left on the stack ends in the whole picture.
  while (top > 0) sink(cLevel[top - 1]!);
  settle();
  return nodes;
}
