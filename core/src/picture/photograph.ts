/**
 * A photograph as this camera would draw it: what the film sees of its colours, thrown on the flat or bent film, darker
 * towards the corners, every point spread by the hole's own image there. In linear light throughout; times of exposure
 * stay out of it.
 */
import { filmSight } from '../camera/film-plane.ts';
import type { CameraGeometry } from '../camera/geometry.ts';
import { InputError, ModelError, requirePositive } from '../errors.ts';
import { discreteGauss } from '../numeric/discrete-gauss.ts';
import { MM_PER_NM } from '../optics/conjugates.ts';
import { shapeAreaMm2, shapeBox } from '../optics/hole-shape.ts';
import type { SeenLight } from '../optics/seen-light.ts';
import { rimOverlapShare } from '../optics/thick-hole.ts';
import type { CancelCheck, Progress } from '../plate/scan.ts';
import type { FieldView } from './field-contrast.ts';
import { filmRay } from './film-ray.ts';
import { kernelReachMm, pointKernel, veilShare } from './point-kernel.ts';
import { drawnByGeometry, geometricContrastError } from './shadow-kernel.ts';
import { zoneBlur } from './zone-blur.ts';
import type { GreyPicture } from './zone-blur.ts';

/** The maker's photograph, straight lines straight. */
export interface ScenePhotograph {
  readonly columns: number;
  readonly rows: number;
  /** 1 grey, 3 red green blue, 4 with an alpha that is not looked at. */
  readonly channels: 1 | 3 | 4;
  /** Interleaved, rows from the top; sRGB-encoded bytes, or linear light as floats. */
  readonly samples: Uint8Array | Uint8ClampedArray | Float32Array;
  /** Angle it covers from left to right, > 0 and < π. */
  readonly angleRad: number;
}

export interface PhotographQuestion {
  readonly view: FieldView;
  readonly scene: ScenePhotograph;
  /** How the film weighs red, green and blue, adding to 1; see `channelShares`. */
  readonly channelShares: readonly [number, number, number];
  /** Columns of the picture wanted, 16 to 8192; rows follow from the frame. */
  readonly columns: number;
  readonly progress?: Progress;
  readonly cancelled?: CancelCheck;
}

export interface Photograph extends GreyPicture {
  /** Share of the frame for which the photograph holds something. */
  readonly coveredShare: number;
  /**
   * Null where diffraction was counted in full; otherwise the hole was so large that its shadow was drawn, and no contrast
   * errs by more than this, see `geometricContrastError`.
   */
  readonly geometricErrorShare: number | null;
}

/** The picture is drawn so much finer than the hole's cutoff asks for, that enlarging it takes little away. */
const SPARE_FACTOR = 1.4;
/** Pixels across a shadow. */
const SHADOW_PIXELS = 64;

/** Byte to linear light, IEC 61966-2-1. */
const SRGB_TO_LINEAR = Float32Array.from({ length: 256 }, (_, i) => {
  const value = i / 255;
  return value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
});

/** The scene in grey as the film weighs it, made smaller by a whole factor where the picture is coarser. */
function greyScene(scene: ScenePhotograph, shares: readonly [number, number, number], shrink: number): GreyPicture {
  const columns = Math.max(1, Math.floor(scene.columns / shrink));
  const rows = Math.max(1, Math.floor(scene.rows / shrink));
  const { samples, channels } = scene;
  const encoded = !(samples instanceof Float32Array);
  const light = new Float32Array(columns * rows);
  const table = SRGB_TO_LINEAR;
  const [red, green, blue] = shares;
  const cut = Math.min(shrink, scene.columns, scene.rows);
  const scale = 1 / (cut * cut);
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      let sum = 0;
      for (let j = 0; j < cut; j++) {
        let at = ((row * shrink + j) * scene.columns + column * shrink) * channels;
        for (let i = 0; i < cut; i++, at += channels) {
          if (channels === 1) sum += encoded ? (table[samples[at] as number] as number) : (samples[at] as number);
          else if (encoded) {
            sum +=
              red * (table[samples[at] as number] as number)
              + green * (table[samples[at + 1] as number] as number)
              + blue * (table[samples[at + 2] as number] as number);
          } else sum += red * (samples[at] as number) + green * (samples[at + 1] as number) + blue * (samples[at + 2] as number);
        }
      }
      light[row * columns + column] = sum * scale;
    }
  }
  return { columns, rows, light };
}

interface Sheet {
  /** Of the picture with its border. */
  readonly columns: number;
  readonly rows: number;
  readonly borderPx: number;
  readonly pitchMm: number;
}

/** Film coordinates of a pixel of the print, which is upright: the film turned by half a turn. */
function filmX(sheet: Sheet, column: number): number {
  return -(column + 0.5 - sheet.columns / 2) * sheet.pitchMm;
}

function filmY(sheet: Sheet, row: number): number {
  return (row + 0.5 - sheet.rows / 2) * sheet.pitchMm;
}

interface Projected {
  readonly picture: GreyPicture;
  readonly coveredShare: number;
  /** Size of a grey scene pixel in the picture, and whether it is a mean of several. */
  readonly greyPx: number;
  readonly averaged: boolean;
}

/** The ray to the place in a column of the film that is as high as the hole. */
interface ColumnRay {
  readonly slopeX: number;
  readonly depthMm: number;
  readonly distance2Mm2: number;
  /** Here; cos⁴ ψ of it at ψ up or down, since the film is straight that way. */
  readonly lightShare: number;
}

/** Nearly beside the hole nothing is drawn any more. */
const WIDEST_RAD = 1.55;

function rayInColumn(camera: CameraGeometry, xMm: number): ColumnRay | null {
  const bent = camera.filmPlane !== undefined && camera.filmPlane !== 'flat';
  if (bent && Math.abs(xMm - camera.holeShift.xMm) > WIDEST_RAD * camera.focalLengthMm) return null;
  const { xMm: x, depthMm, falloffStops } = filmSight(camera, { xMm, yMm: camera.holeShift.yMm });
  return { slopeX: -x / depthMm, depthMm, distance2Mm2: x * x + depthMm * depthMm, lightShare: 2 ** -falloffStops };
}

/** The scene as it falls on the film, still sharp. */
function projected(question: PhotographQuestion, sheet: Sheet): Projected {
  const { view, scene } = question;
  const { camera } = view;
  const f = camera.focalLengthMm;
  const scenePerSlope = scene.columns / (2 * Math.tan(scene.angleRad / 2));
  // twice as fine as the picture: coarser would take contrast away, finer would step over detail
  const shrink = Math.max(1, Math.floor((scenePerSlope * sheet.pitchMm) / (2 * f)));
  const grey = greyScene(scene, question.channelShares, shrink);
  const perSlope = scenePerSlope / shrink;
  const equivalentMm = 2 * Math.sqrt(shapeAreaMm2(view.shape) / Math.PI);
  const thickness = view.thicknessMm ?? 0;
  const light = new Float32Array(sheet.columns * sheet.rows);
  let covered = 0;
  const rays = Array.from({ length: sheet.columns }, (_, column) => rayInColumn(camera, filmX(sheet, column)));
  for (let row = 0; row < sheet.rows; row++) {
    if (row % 64 === 0 && question.cancelled?.()) throw stopped();
    const y = filmY(sheet, row) - camera.holeShift.yMm;
    const inRow = row >= sheet.borderPx && row < sheet.rows - sheet.borderPx;
    for (let column = 0; column < sheet.columns; column++) {
      const ray = rays[column] as ColumnRay | null;
      if (ray === null) continue;
      const { slopeX } = ray;
      const slopeY = -y / ray.depthMm;
      const u = grey.columns / 2 + slopeX * perSlope - 0.5;
      const v = grey.rows / 2 - slopeY * perSlope - 0.5;
      if (!(u >= -0.5 && v >= -0.5 && u <= grey.columns - 0.5 && v <= grey.rows - 0.5)) continue;
      if (inRow && column >= sheet.borderPx && column < sheet.columns - sheet.borderPx) covered++;
      const left = Math.min(grey.columns - 1, Math.max(0, Math.floor(u)));
      const top = Math.min(grey.rows - 1, Math.max(0, Math.floor(v)));
      const right = Math.min(grey.columns - 1, left + 1);
      const below = Math.min(grey.rows - 1, top + 1);
      const s = Math.min(1, Math.max(0, u - left));
      const t = Math.min(1, Math.max(0, v - top));
      const value =
        (1 - t) * ((1 - s) * (grey.light[top * grey.columns + left] as number) + s * (grey.light[top * grey.columns + right] as number))
        + t * ((1 - s) * (grey.light[below * grey.columns + left] as number) + s * (grey.light[below * grey.columns + right] as number));
      const tan2 = slopeX * slopeX + slopeY * slopeY;
      const cos2Up = ray.distance2Mm2 / (ray.distance2Mm2 + y * y);
      const fall = ray.lightShare * cos2Up * cos2Up;
      const clear = thickness === 0 ? 1 : rimOverlapShare((thickness * Math.sqrt(tan2)) / equivalentMm);
      light[row * sheet.columns + column] = value * fall * clear;
    }
  }
  const inner = (sheet.columns - 2 * sheet.borderPx) * (sheet.rows - 2 * sheet.borderPx);
  return { picture: { columns: sheet.columns, rows: sheet.rows, light }, coveredShare: covered / inner, greyPx: f / (perSlope * sheet.pitchMm), averaged: shrink > 1 };
}

/**
 * What reading the scene between its pixels, and taking the mean of several, has cost in contrast: sinc² and sinc of
 * their size. A scene coarser than the picture is left as it is.
 */
function samplingGain(greyPx: number, averaged: boolean): (cyclesPerPx: number) => number {
  if (greyPx > 0.75) return () => 1;
  return (cyclesPerPx) => {
    const x = Math.PI * cyclesPerPx * greyPx;
    const sinc = x === 0 ? 1 : Math.sin(x) / x;
    return 1 / sinc ** (averaged ? 3 : 2);
  };
}

/** Catmull–Rom weights of the four neighbours at a share of the way. */
function cubic(t: number): readonly [number, number, number, number] {
  return [
    t * (-0.5 + t * (1 - 0.5 * t)),
    1 + t * t * (-2.5 + 1.5 * t),
    t * (0.5 + t * (2 - 1.5 * t)),
    t * t * (-0.5 + 0.5 * t),
  ];
}

interface Taps {
  readonly at: Int32Array;
  readonly weight: Float64Array;
}

function tapsFor(count: number, length: number, borderPx: number, inner: number): Taps {
  const at = new Int32Array(4 * count);
  const weight = new Float64Array(4 * count);
  for (let i = 0; i < count; i++) {
    const place = borderPx + ((i + 0.5) * inner) / count - 0.5;
    const first = Math.floor(place);
    const weights = cubic(place - first);
    for (let k = 0; k < 4; k++) {
      at[4 * i + k] = Math.min(length - 1, Math.max(0, first - 1 + k));
      weight[4 * i + k] = weights[k] as number;
    }
  }
  return { at, weight };
}

/** The inside of a sheet at the size wanted. */
function resized(picture: GreyPicture, sheet: Sheet, size: { columns: number; rows: number }): Float32Array {
  const x = tapsFor(size.columns, sheet.columns, sheet.borderPx, sheet.columns - 2 * sheet.borderPx);
  const y = tapsFor(size.rows, sheet.rows, sheet.borderPx, sheet.rows - 2 * sheet.borderPx);
  const wide = new Float32Array(size.columns * sheet.rows);
  for (let row = 0; row < sheet.rows; row++) {
    for (let column = 0; column < size.columns; column++) {
      let sum = 0;
      for (let k = 4 * column; k < 4 * column + 4; k++) {
        sum += (x.weight[k] as number) * (picture.light[row * sheet.columns + (x.at[k] as number)] as number);
      }
      wide[row * size.columns + column] = sum;
    }
  }
  const out = new Float32Array(size.columns * size.rows);
  for (let row = 0; row < size.rows; row++) {
    for (let k = 4 * row; k < 4 * row + 4; k++) {
      const weight = y.weight[k] as number;
      const from = (y.at[k] as number) * size.columns;
      const to = row * size.columns;
      for (let column = 0; column < size.columns; column++) {
        out[to + column] = (out[to + column] as number) + weight * (wide[from + column] as number);
      }
    }
  }
  // the cubic overshoots by a hair beside a sharp edge; light is never negative
  for (let i = 0; i < out.length; i++) if ((out[i] as number) < 0) out[i] = 0;
  return out;
}

/**
 * What the rim throws far: a share of each point's light, spread as 1/r³ from where the kernels end. Smooth, so a sheet of
 * few pixels does; the scene beyond the sheet is taken to be as bright as that within reach.
 */
function addVeil(blurred: GreyPicture, sharp: GreyPicture, veil: { radiusPx: number; share: number }): void {
  const shrink = Math.max(1, Math.floor(veil.radiusPx / 3));
  const columns = Math.ceil(sharp.columns / shrink);
  const rows = Math.ceil(sharp.rows / shrink);
  const small = new Float32Array(columns * rows);
  const count = new Float32Array(columns * rows);
  for (let row = 0; row < sharp.rows; row++) {
    for (let column = 0; column < sharp.columns; column++) {
      const at = Math.floor(row / shrink) * columns + Math.floor(column / shrink);
      small[at] = (small[at] as number) + (sharp.light[row * sharp.columns + column] as number);
      count[at] = (count[at] as number) + 1;
    }
  }
  const inside = veil.radiusPx / shrink;
  const radiusPx = Math.ceil(8 * inside);
  const side = 2 * radiusPx + 1;
  const kernel = new Float64Array(side * side);
  for (let i = 0; i < kernel.length; i++) {
    const r = Math.hypot((i % side) - radiusPx, Math.floor(i / side) - radiusPx);
    kernel[i] = r >= inside ? 1 / r ** 3 : 0;
  }
  const sum = kernel.reduce((total, value) => total + value, 0);
  const zones = { columns: 2, rows: 2, radiusPx, kernel: () => kernel.map((value) => value / sum) };
  const spread = zoneBlur({ columns, rows, light: small.map((value, i) => value / (count[i] as number)) }, zones).light;
  const reached = zoneBlur({ columns, rows, light: new Float32Array(columns * rows).fill(1) }, zones).light;
  // a sheet hardly larger than the kernels has nothing so far away: then the place itself stands for it
  const far = spread.map((value, i) =>
    (reached[i] as number) > 1e-3 ? value / (reached[i] as number) : (small[i] as number) / (count[i] as number),
  );
  const x = tapsFor(sharp.columns, columns, 0, sharp.columns / shrink);
  const y = tapsFor(sharp.rows, rows, 0, sharp.rows / shrink);
  const wide = new Float32Array(sharp.columns);
  for (let row = 0; row < sharp.rows; row++) {
    wide.fill(0);
    for (let column = 0; column < sharp.columns; column++) {
      // the middle two of four taps, as a straight line between them, are enough for so smooth a veil
      const a = x.at[4 * column + 1] as number;
      const b = x.at[4 * column + 2] as number;
      const top = (y.at[4 * row + 1] as number) * columns;
      const below = (y.at[4 * row + 2] as number) * columns;
      wide[column] = 0.25 * ((far[top + a] as number) + (far[top + b] as number) + (far[below + a] as number) + (far[below + b] as number));
    }
    for (let column = 0; column < sharp.columns; column++) {
      const at = row * sharp.columns + column;
      blurred.light[at] = (1 - veil.share) * (blurred.light[at] as number) + veil.share * (wide[column] as number);
    }
  }
}

function stopped(): ModelError {
  return new ModelError('cancelled', 'Drawing the picture was stopped.');
}

/** Pixels of a picture gather many fringes: a few wavelengths with the same moments draw the same. */
function fewer(light: SeenLight, count: number): SeenLight {
  return discreteGauss(light.map(({ wavelengthNm, weightShare }) => ({ at: wavelengthNm, weight: weightShare })), count).map(
    ({ at, weight }) => ({ wavelengthNm: at, weightShare: weight }),
  );
}

function roundAndCentred({ shape, camera }: FieldView): boolean {
  const [rim, ...more] = shape.rims;
  if (rim?.kind !== 'ellipse' || more.length > 0 || camera.holeShift.xMm !== 0 || camera.holeShift.yMm !== 0) return false;
  const { center, first, second } = rim;
  const a = Math.hypot(first.xMm, first.yMm);
  const b = Math.hypot(second.xMm, second.yMm);
  const lean = first.xMm * second.xMm + first.yMm * second.yMm;
  return Math.hypot(center.xMm, center.yMm) < 1e-12 && Math.abs(a - b) < 1e-9 * a && Math.abs(lean) < 1e-9 * a * b;
}

/** A kernel mirrored left for right, upside down, or both. */
function turned(kernel: Float64Array, side: number, how: { readonly x: boolean; readonly y: boolean }): Float64Array {
  const out = new Float64Array(kernel.length);
  for (let row = 0; row < side; row++) {
    const from = (how.y ? side - 1 - row : row) * side;
    for (let column = 0; column < side; column++) {
      out[row * side + column] = kernel[from + (how.x ? side - 1 - column : column)] as number;
    }
  }
  return out;
}

function requireScene(scene: ScenePhotograph): void {
  const count = scene.columns * scene.rows * scene.channels;
  if (!(Number.isInteger(count) && count > 0 && scene.samples.length === count)) {
    throw new InputError('out-of-range', `The photograph should hold ${count} samples, but holds ${scene.samples.length}.`, {
      path: 'scene.samples',
      got: scene.samples.length,
    });
  }
  if (!(scene.angleRad > 0 && scene.angleRad < Math.PI)) {
    throw new InputError('out-of-range', `The photograph’s angle must lie between 0 and half a turn, but is ${scene.angleRad}.`, {
      path: 'scene.angleRad',
      got: scene.angleRad,
    });
  }
}

/**
 * A photograph through the hole: exposure of the film, 1 = white of the photograph straight ahead; upright, as the
 * print shows it. The picture is drawn no finer than 1.4 times what the hole’s cutoff asks for, and then enlarged.
 * Valid: as `slantedView`; the scene lies in a plane at the object distance; a photograph of three channels stands for
 * the colours; light thrown farther than `kernelReachMm` is spread alike to all sides; from a Fresnel number of 10 on the
 * hole's shadow is drawn, with the error that `geometricErrorShare` bounds.
 * @param question columns 16…8192; angle of the photograph > 0 and < π
 * @throws InputError not-positive, negative, out-of-range, missing
 * @throws ModelError cancelled
 * @source optics-notes 2
 */
export function photograph(question: PhotographQuestion): Photograph {
  const { view, scene, columns } = question;
  const { camera } = view;
  requireScene(scene);
  requirePositive(view.objectDistanceMm === Infinity ? 1 : view.objectDistanceMm, 'objectDistanceMm', 'mm');
  if (!(Number.isInteger(columns) && columns >= 16 && columns <= 8192)) {
    throw new InputError('out-of-range', `columns must be a whole number from 16 to 8192, but is ${columns}.`, {
      path: 'columns',
      got: columns,
      expected: '16…8192',
    });
  }
  const { widthMm, heightMm } = camera.frame;
  // a frame that reaches behind the hole is refused here
  filmRay(camera, { xMm: widthMm / 2, yMm: heightMm / 2 });
  filmRay(camera, { xMm: -widthMm / 2, yMm: heightMm / 2 });
  const rows = Math.max(1, Math.round((columns * heightMm) / widthMm));
  const box = shapeBox(view.shape);
  const widest = Math.max(box.highXMm - box.lowXMm, box.highYMm - box.lowYMm);
  const mean = view.light.reduce((sum, { wavelengthNm, weightShare }) => sum + wavelengthNm * weightShare, 0);
  const finestMm = (mean * MM_PER_NM * camera.focalLengthMm) / (2 * SPARE_FACTOR * widest);
  const axis = { ...view, focalLengthMm: camera.focalLengthMm };
  const geometric = drawnByGeometry(axis);
  // a shadow shows nothing finer than a small part of it: at 32 / d its contrast is below 0.2 %
  const shadowMm = geometric ? (widest * (1 + camera.focalLengthMm / view.objectDistanceMm)) / SHADOW_PIXELS : 0;
  const pitchMm = Math.max(widthMm / columns, finestMm, shadowMm);
  const radiusPx = Math.max(2, Math.ceil(kernelReachMm(view) / pitchMm));
  const innerColumns = Math.max(8, Math.round(widthMm / pitchMm));
  const innerRows = Math.max(8, Math.round(heightMm / pitchMm));
  const sheet: Sheet = {
    columns: innerColumns + 2 * radiusPx,
    rows: innerRows + 2 * radiusPx,
    borderPx: radiusPx,
    pitchMm: widthMm / innerColumns,
  };
  question.progress?.(0.02, 'projecting');
  const { picture, coveredShare, greyPx, averaged } = projected(question, sheet);
  const preview = innerColumns * innerRows < 600_000;
  const across = preview ? 3 : 5;
  const kernels = new Map<string, Float64Array>();
  const drawn = { ...view, light: fewer(view.light, preview ? 3 : 4) };
  // behind a round hole in the middle all four quarters of the frame see the same, mirrored
  const alike = roundAndCentred(view);
  const kernel = (column: number, row: number): Float64Array => {
    const point = {
      xMm: -(column / (across - 1) - 0.5) * widthMm,
      yMm: (row / (across - 1) - 0.5) * heightMm,
    };
    const mirrored = { x: alike && 2 * column >= across, y: alike && 2 * row >= across };
    if (mirrored.x || mirrored.y) {
      const twin = kernel(mirrored.x ? across - 1 - column : column, mirrored.y ? across - 1 - row : row);
      return turned(twin, 2 * radiusPx + 1, mirrored);
    }
    const key = `${column},${row}`;
    let known = kernels.get(key);
    if (known === undefined) {
      if (question.cancelled?.()) throw stopped();
      known = pointKernel(drawn, point, { pitchMm: sheet.pitchMm, radiusPx, geometric });
      kernels.set(key, known);
      const needed = alike ? Math.ceil(across / 2) ** 2 : across ** 2;
      question.progress?.(0.05 + 0.2 * Math.min(1, kernels.size / needed), 'drawing');
    }
    return known;
  };
  for (let row = 0; row < across; row++) for (let column = 0; column < across; column++) kernel(column, row);
  const blurred = zoneBlur(
    picture,
    { columns: across, rows: across, radiusPx, kernel, gain: samplingGain(greyPx, averaged) },
    {
      progress: (share, word) => question.progress?.(0.25 + 0.7 * share, word),
      ...(question.cancelled === undefined ? {} : { cancelled: question.cancelled }),
    },
  );
  addVeil(blurred, picture, { radiusPx, share: veilShare(view, (radiusPx + 0.5) * sheet.pitchMm) });
  const light = resized(blurred, sheet, { columns, rows });
  question.progress?.(1, 'done');
  return { columns, rows, light, coveredShare, geometricErrorShare: geometric ? geometricContrastError(axis) : null };
}
