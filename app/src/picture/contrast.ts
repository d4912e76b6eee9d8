/** Reading the contrast curves. */
import type { FieldContrast } from '#core';

export interface Curve {
  readonly key: 'centre' | 'edge-t' | 'edge-s' | 'corner-t' | 'corner-s' | 'other';
  readonly name: string;
  readonly values: Float64Array;
}

/** The five curves of a hole: at the foot both directions are one line where the hole is nearly round. */
export function curvesOf(contrast: readonly FieldContrast[]): Curve[] {
  const at = (place: FieldContrast['place']) => contrast.find((each) => each.place === place)?.contrast ?? null;
  const foot = at('foot');
  const edge = at('edge');
  const corner = at('corner');
  return [
    ...(foot === null
      ? []
      : [{ key: 'centre' as const, name: 'centre', values: foot.tangential.map((t, i) => Math.min(t, foot.sagittal[i] ?? t)) }]),
    ...(edge === null
      ? []
      : [
          { key: 'edge-t' as const, name: 'edge, tangential', values: edge.tangential },
          { key: 'edge-s' as const, name: 'edge, sagittal', values: edge.sagittal },
        ]),
    ...(corner === null
      ? []
      : [
          { key: 'corner-t' as const, name: 'corner, tangential', values: corner.tangential },
          { key: 'corner-s' as const, name: 'corner, sagittal', values: corner.sagittal },
        ]),
  ];
}

/** The value of a curve between its samples. */
export function valueAt(xs: ArrayLike<number>, ys: ArrayLike<number>, x: number): number | null {
  const last = xs.length - 1;
  if (last < 1 || ys.length !== xs.length || !(x >= Number(xs[0]) && x <= Number(xs[last]))) {
    return null;
  }
  let i = 0;
  while (i < last - 1 && Number(xs[i + 1]) < x) i += 1;
  const x0 = Number(xs[i]);
  const x1 = Number(xs[i + 1]);
  const t = x1 === x0 ? 0 : (x - x0) / (x1 - x0);
  return Number(ys[i]) * (1 - t) + Number(ys[i + 1]) * t;
}

/** The first frequency at which a curve falls through a contrast; `null` when it stays above. */
export function fallsThrough(xs: ArrayLike<number>, ys: ArrayLike<number>, contrast: number): number | null {
  for (let i = 1; i < xs.length; i++) {
    const before = Number(ys[i - 1]);
    const after = Number(ys[i]);
    if (before >= contrast && after < contrast) {
      return Number(xs[i - 1]) + ((before - contrast) / (before - after)) * (Number(xs[i]) - Number(xs[i - 1]));
    }
  }
  return null;
}
