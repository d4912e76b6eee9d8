/**
 * The point image of any hole on a whole grid, fast: the hole enters only through its moments, once for all wavelengths
 * and film points.
 *
 *   E(x, y) = (α/π) ∫∫ e^{iα(ξ-x)²} e^{iα(η-y)²} dξ dη  over the hole
 *
 * Each factor is a polynomial in ξ (or η) up to an error that falls faster than any power, so the integral is an exact
 * sum Σ e^{iα(ξⱼ-x)²} Wⱼₗ e^{iα(ηₗ-y)²} over Chebyshev points of the hole's box; W = ∫∫ ℓⱼ ℓₗ comes from line integrals
 * of polynomials along the rim. The intensity holds no frequency above width / (λ f), so it too is a polynomial over
 * the window: it is summed over the wavelengths at Chebyshev points of the film and only then drawn out to the grid.
 * How many points either needs is bounded by `chebyshevCount`; the bound is for the worst function of its kind, and a
 * hole's image, smooth and dim at the edge of the window, stays far below it (`SLACK`).
 */
import { InputError, requirePositive } from '../errors.ts';
import { chebyshevCount, chebyshevMatrix, chebyshevPoints } from '../numeric/chebyshev.ts';
import { MM_PER_NM } from './conjugates.ts';
import { separateParts, shapeAreaMm2, shapeBox } from './hole-shape.ts';
import type { EllipseRim, HoleShape, ShapeBox } from './hole-shape.ts';
import { rimNodes } from './rim-nodes.ts';
import type { NodeRule } from './rim-nodes.ts';
import type { ShapedHoleView } from './edge-integral.ts';
import { requireView } from './view.ts';

/** A grid of film points about the foot of the origin. */
export interface ImageGrid {
  readonly columns: number;
  readonly rows: number;
  /** From sample to sample, both ways. */
  readonly pitchMm: number;
}

export interface ShapeImage extends ImageGrid {
  /**
   * columns × rows, row by row from the top, each from the left, seen from the film side; the middle of the grid lies
   * on the origin. Intensity 1 = without the plate.
   */
  readonly intensity: Float64Array;
}

/**
 * How far the errors stay below their bounds: measured against `edgeIntegral` on hundreds of outlines, 2e4 and more
 * (bench/picture-accuracy.ts prints them).
 */
const SLACK = 1e4;

/** One part of the hole, ready for every film point. */
interface Part {
  readonly centerXMm: number;
  readonly centerYMm: number;
  /** Chebyshev points across the part's box, from its centre. */
  readonly atXMm: Float64Array;
  readonly atYMm: Float64Array;
  /** atX × atY. */
  readonly weights: Float64Array;
}

/** How the work is laid out: the same for every wavelength. */
interface Plan {
  readonly alphas: readonly number[];
  readonly largestAlpha: number;
  readonly halfXMm: number;
  readonly halfYMm: number;
  /** N_F-like: (α/π) · area, the largest the field can be. */
  readonly reach: number;
  readonly tolerance: number;
}

/**
 * Nodes along the rim: the remainder of a Gauss rule with κ the phase over one edge. Neighbouring edges err in turn
 * against each other, so a thousand times the tolerance is allowed (measured with SLACK).
 */
function sparingRule(plan: Plan, box: ShapeBox): NodeRule {
  const span = Math.hypot(
    Math.max(Math.abs(box.lowXMm), Math.abs(box.highXMm)) + plan.halfXMm,
    Math.max(Math.abs(box.lowYMm), Math.abs(box.highYMm)) + plan.halfYMm,
  );
  const remainder = (n: number): number => {
    // 2^(2n+1) (n!)⁴ / ((2n+1) ((2n)!)³) of the Gauss rule on [-1, 1]
    let r = 2;
    for (let k = 1; k <= n; k++) r *= (4 * k ** 4) / ((2 * k) ** 3 * (2 * k - 1) ** 3);
    return r / (2 * n + 1);
  };
  const table = Array.from({ length: 12 }, (_, i) => remainder(i + 1));
  const allowed = (1e3 * plan.tolerance) / (4 * Math.max(1, plan.reach));
  return {
    forEdge: (lengthMm) => {
      const turn = plan.largestAlpha * span * lengthMm;
      for (let n = 1; n <= table.length; n++) if ((table[n - 1] as number) * turn ** (2 * n) <= allowed) return n;
      return Math.ceil(12 + turn / 2 + Math.log(1 / plan.tolerance) / 2);
    },
    forEllipse: (rim: EllipseRim) => {
      const size = Math.max(Math.hypot(rim.first.xMm, rim.first.yMm), Math.hypot(rim.second.xMm, rim.second.yMm));
      return Math.ceil(24 + 3 * plan.largestAlpha * span * size + 2 * Math.log(1 / plan.tolerance));
    },
  };
}

/** T0…T(count) of t, into `row`. */
function chebyshevRow(t: number, count: number, row: Float64Array): void {
  row[0] = 1;
  row[1] = t;
  for (let k = 2; k <= count; k++) row[k] = 2 * t * (row[k - 1] as number) - (row[k - 2] as number);
}

/** m[k][l] = ∫∫ T_k(ξ) T_l(η) dξ dη = ∮ (∫T_k dξ) T_l dη, and from it the weights at the points. */
function partOf(shape: HoleShape, plan: Plan): Part {
  const box = shapeBox(shape);
  const centerXMm = (box.lowXMm + box.highXMm) / 2;
  const centerYMm = (box.lowYMm + box.highYMm) / 2;
  const sizeX = (box.highXMm - box.lowXMm) / 2;
  const sizeY = (box.highYMm - box.lowYMm) / 2;
  const points = (size: number, center: number, half: number): number =>
    chebyshevCount({
      turn: 2 * plan.largestAlpha * size * (Math.abs(center) + half),
      bend: plan.largestAlpha * size * size,
      tolerance: (SLACK * plan.tolerance) / (8 * Math.max(plan.reach, 1e-3)),
    });
  const countX = points(sizeX, centerXMm, plan.halfXMm);
  const countY = points(sizeY, centerYMm, plan.halfYMm);
  const nodes = rimNodes(shape, sparingRule(plan, box));
  const moments = new Float64Array(countX * countY);
  const t = new Float64Array(countX + 2);
  const q = new Float64Array(countX);
  const v = new Float64Array(countY + 1);
  for (let n = 0; n < nodes.xMm.length; n++) {
    chebyshevRow(((nodes.xMm[n] as number) - centerXMm) / sizeX, countX, t);
    chebyshevRow(((nodes.yMm[n] as number) - centerYMm) / sizeY, countY - 1, v);
    const dy = (nodes.dyMm[n] as number) * sizeX;
    q[0] = dy * (t[1] as number);
    q[1] = (dy * (t[2] as number)) / 4;
    for (let k = 2; k < countX; k++) {
      q[k] = (dy / 2) * ((t[k + 1] as number) / (k + 1) - (t[k - 1] as number) / (k - 1));
    }
    for (let k = 0; k < countX; k++) {
      const qk = q[k] as number;
      const row = k * countY;
      for (let l = 0; l < countY; l++) moments[row + l] = (moments[row + l] as number) + qk * (v[l] as number);
    }
  }
  const atX = chebyshevPoints(countX);
  const atY = chebyshevPoints(countY);
  const toX = projection(countX, atX);
  const toY = projection(countY, atY);
  // W = toXᵀ · moments · toY
  const half = new Float64Array(countX * countY);
  multiplyInto(half, transposed(toX, countX), moments, countX);
  const weights = new Float64Array(countX * countY);
  multiplyInto(weights, half, toY, countX);
  return {
    centerXMm,
    centerYMm,
    atXMm: atX.map((x) => x * sizeX),
    atYMm: atY.map((y) => y * sizeY),
    weights,
  };
}

/** Row k: what each point gives to the coefficient of T_k. */
function projection(count: number, at: Float64Array): Float64Array {
  const matrix = new Float64Array(count * count);
  const row = new Float64Array(count + 1);
  for (let j = 0; j < count; j++) {
    chebyshevRow(at[j] as number, count - 1, row);
    for (let k = 0; k < count; k++) matrix[k * count + j] = ((k === 0 ? 1 : 2) / count) * (row[k] as number);
  }
  return matrix;
}

function transposed(square: Float64Array, size: number): Float64Array {
  const turned = new Float64Array(square.length);
  for (let i = 0; i < size; i++) for (let j = 0; j < size; j++) turned[j * size + i] = square[i * size + j] as number;
  return turned;
}

/** out = a · b, with `rows` rows in a and out. */
function multiplyInto(out: Float64Array, a: Float64Array, b: Float64Array, rows: number): void {
  const inner = a.length / rows;
  const columns = b.length / inner;
  for (let i = 0; i < rows; i++) {
    const row = out.subarray(i * columns, (i + 1) * columns);
    for (let k = 0; k < inner; k++) {
      const one = a[i * inner + k] as number;
      const at = k * columns;
      for (let j = 0; j < columns; j++) row[j] = (row[j] as number) + one * (b[at + j] as number);
    }
  }
}

/** e^{iα(ξ-x)²} for film points by aperture points. */
function phases(filmMm: Float64Array, atMm: Float64Array, alpha: number, centerMm: number): { re: Float64Array; im: Float64Array } {
  const n = atMm.length;
  const re = new Float64Array(filmMm.length * n);
  const im = new Float64Array(filmMm.length * n);
  for (let i = 0; i < filmMm.length; i++) {
    const x = (filmMm[i] as number) - centerMm;
    for (let j = 0; j < n; j++) {
      const d = (atMm[j] as number) - x;
      const phase = alpha * d * d;
      re[i * n + j] = Math.cos(phase);
      im[i * n + j] = Math.sin(phase);
    }
  }
  return { re, im };
}

/** Adds the part's field at all film points (x by y) to re and im. */
function addField(part: Part, film: { xMm: Float64Array; yMm: Float64Array }, alpha: number, re: Float64Array, im: Float64Array): void {
  const nx = part.atXMm.length;
  const ny = part.atYMm.length;
  const px = phases(film.xMm, part.atXMm, alpha, part.centerXMm);
  const py = phases(film.yMm, part.atYMm, alpha, part.centerYMm);
  const rows = film.yMm.length;
  const gr = new Float64Array(ny);
  const gi = new Float64Array(ny);
  const scale = alpha / Math.PI;
  for (let i = 0; i < film.xMm.length; i++) {
    gr.fill(0);
    gi.fill(0);
    for (let j = 0; j < nx; j++) {
      const cr = px.re[i * nx + j] as number;
      const ci = px.im[i * nx + j] as number;
      const at = j * ny;
      for (let l = 0; l < ny; l++) {
        const w = part.weights[at + l] as number;
        gr[l] = (gr[l] as number) + cr * w;
        gi[l] = (gi[l] as number) + ci * w;
      }
    }
    for (let r = 0; r < rows; r++) {
      let sr = 0;
      let si = 0;
      const at = r * ny;
      for (let l = 0; l < ny; l++) {
        const a = gr[l] as number;
        const b = gi[l] as number;
        const c = py.re[at + l] as number;
        const d = py.im[at + l] as number;
        sr += a * c - b * d;
        si += a * d + b * c;
      }
      const to = r * film.xMm.length + i;
      re[to] = (re[to] as number) + scale * sr;
      im[to] = (im[to] as number) + scale * si;
    }
  }
}

function requireGrid(grid: ImageGrid): void {
  requirePositive(grid.pitchMm, 'pitchMm', 'mm');
  for (const [path, count] of [['columns', grid.columns], ['rows', grid.rows]] as const) {
    if (Number.isInteger(count) && count >= 1 && count <= 4096) continue;
    throw new InputError('out-of-range', `${path} must be a whole number from 1 to 4096, but is ${count}.`, {
      path,
      got: count,
      expected: '1…4096',
    });
  }
}

/**
 * The point image of a hole of any shape on a grid.
 * Formula: above. Several wavelengths add by their shares.
 * Valid: Fresnel regime, thin plate, flat film, on the axis.
 * @param view all > 0; object distance may be infinite; rims as `HoleShape` says
 * @param grid 1 to 4096 columns and rows
 * @param toleranceShare error allowed against the peak, 1e-10 to 1e-4; default 1e-4
 * @throws InputError not-positive, out-of-range, missing
 * @source optics-notes 2
 * @source trefethen2013 8.2
 */
export function shapeImage(view: ShapedHoleView, grid: ImageGrid, toleranceShare = 1e-4): ShapeImage {
  requireView(view);
  requireGrid(grid);
  if (!(toleranceShare >= 1e-10 && toleranceShare <= 1e-4)) {
    throw new InputError('out-of-range', `toleranceShare must be from 1e-10 to 1e-4, but is ${toleranceShare}.`, {
      path: 'toleranceShare',
      got: toleranceShare,
      expected: '1e-10…1e-4',
    });
  }
  const m = 1 + view.focalLengthMm / view.objectDistanceMm;
  const light = view.light.filter(({ weightShare }) => weightShare > 0);
  const alphas = light.map(
    ({ wavelengthNm }) => (Math.PI / (wavelengthNm * MM_PER_NM)) * (1 / view.focalLengthMm + 1 / view.objectDistanceMm),
  );
  const largestAlpha = Math.max(...alphas);
  const halfXMm = Math.max(((grid.columns - 1) / 2) * grid.pitchMm, grid.pitchMm) / m;
  const halfYMm = Math.max(((grid.rows - 1) / 2) * grid.pitchMm, grid.pitchMm) / m;
  const reach = (largestAlpha / Math.PI) * shapeAreaMm2(view.shape);
  // the peak is about 4 sin²(reach / 2) for a round hole: small holes need the more digits
  const peak = Math.min(2, reach) ** 2;
  const plan: Plan = {
    alphas,
    largestAlpha,
    halfXMm,
    halfYMm,
    reach,
    tolerance: (toleranceShare * Math.sqrt(peak)) / 4,
  };
  const parts = separateParts(view.shape).map((part) => partOf(part, plan));
  const box = shapeBox(view.shape);
  const filmCount = (width: number, half: number, samples: number): number =>
    Math.min(
      samples,
      chebyshevCount({
        turn: 2 * largestAlpha * width * half,
        bend: 0,
        tolerance: (SLACK * toleranceShare * peak) / (8 * Math.max(peak, reach * reach)),
      }),
    );
  const nx = filmCount(box.highXMm - box.lowXMm, halfXMm, grid.columns);
  const ny = filmCount(box.highYMm - box.lowYMm, halfYMm, grid.rows);
  // where the grid is no finer than needed, its own samples serve
  const direct = (count: number): Float64Array =>
    Float64Array.from({ length: count }, (_, i) => ((i - (count - 1) / 2) * grid.pitchMm) / m);
  const film = {
    xMm: nx === grid.columns ? direct(nx) : chebyshevPoints(nx).map((t) => t * halfXMm),
    yMm: ny === grid.rows ? direct(ny).map((y) => -y) : chebyshevPoints(ny).map((t) => t * halfYMm),
  };
  let samples: Float64Array = new Float64Array(nx * ny);
  const re = new Float64Array(nx * ny);
  const im = new Float64Array(nx * ny);
  for (const [index, { weightShare }] of light.entries()) {
    re.fill(0);
    im.fill(0);
    for (const part of parts) addField(part, film, alphas[index] as number, re, im);
    for (let i = 0; i < samples.length; i++) {
      const a = re[i] as number;
      const b = im[i] as number;
      samples[i] = (samples[i] as number) + weightShare * (a * a + b * b);
    }
  }
  if (ny !== grid.rows) {
    const at = direct(grid.rows).map((y) => -y / halfYMm);
    const out = new Float64Array(grid.rows * nx);
    multiplyInto(out, chebyshevMatrix(ny, at), samples, grid.rows);
    samples = out;
  }
  if (nx !== grid.columns) {
    const at = direct(grid.columns).map((x) => x / halfXMm);
    samples = drawnOut(samples, chebyshevMatrix(nx, at), grid);
  }
  return { columns: grid.columns, rows: grid.rows, pitchMm: grid.pitchMm, intensity: samples };
}

/**
 * Rows of nx values drawn out to the grid's columns. The points lie symmetrically, so one product of even and one of
 * odd halves serve two columns at once.
 */
function drawnOut(samples: Float64Array, matrix: Float64Array, grid: ImageGrid): Float64Array {
  const { columns, rows } = grid;
  const nx = matrix.length / columns;
  const half = Math.ceil(nx / 2);
  const even = new Float64Array(half);
  const odd = new Float64Array(half);
  const pairs = Math.ceil(columns / 2);
  // for column c and its mirror: p(x) e + q(x) o and p(x) e - q(x) o
  const p = new Float64Array(pairs * half);
  const q = new Float64Array(pairs * half);
  for (let c = 0; c < pairs; c++) {
    for (let j = 0; j < half; j++) {
      const a = matrix[c * nx + j] as number;
      const b = matrix[c * nx + nx - 1 - j] as number;
      const middle = j === nx - 1 - j;
      p[c * half + j] = middle ? a : a + b;
      q[c * half + j] = middle ? 0 : a - b;
    }
  }
  const out = new Float64Array(columns * rows);
  for (let r = 0; r < rows; r++) {
    for (let j = 0; j < half; j++) {
      const a = samples[r * nx + j] as number;
      const b = samples[r * nx + nx - 1 - j] as number;
      even[j] = 0.5 * (a + b);
      odd[j] = 0.5 * (a - b);
    }
    for (let c = 0; c < pairs; c++) {
      let e = 0;
      let o = 0;
      const at = c * half;
      for (let j = 0; j < half; j++) {
        e += (p[at + j] as number) * (even[j] as number);
        o += (q[at + j] as number) * (odd[j] as number);
      }
      out[r * columns + c] = e + o;
      out[r * columns + columns - 1 - c] = e - o;
    }
  }
  return out;
}
