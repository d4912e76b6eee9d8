/** The lines drawn over a hole, in the plate's frame: what is drawn where, before it is brought to the screen. */
import type { PassFigures, PassRecord, PointMm } from '#core';

export interface Mark {
  readonly angleRad: number;
  /** The rim in that direction. */
  readonly rim: PointMm;
  readonly heightMm: number;
  readonly kind: 'burr' | 'chip';
}

/** Distance of the rim from the least-squares centre in a direction. */
export function rimRadiusMm(outline: readonly (readonly [number, number])[], angleRad: number): number | null {
  const ux = Math.cos(angleRad);
  const uy = Math.sin(angleRad);
  let farthest: number | null = null;
  let [x0, y0] = outline[outline.length - 1] ?? [0, 0];
  for (const [x1, y1] of outline) {
    // Where the side crosses the ray: its ends lie on either side of the line through the centre.
    const s0 = ux * y0 - uy * x0;
    const s1 = ux * y1 - uy * x1;
    if (s0 !== s1 && s0 * s1 <= 0) {
      const share = s0 / (s0 - s1);
      const along = (x0 + share * (x1 - x0)) * ux + (y0 + share * (y1 - y0)) * uy;
      if (along > 0 && (farthest === null || along > farthest)) {
        farthest = along;
      }
    }
    [x0, y0] = [x1, y1];
  }
  return farthest;
}

export function marksOf(pass: PassRecord): Mark[] {
  const { figures, outlineMm } = pass;
  if (figures === undefined || outlineMm === undefined) {
    return [];
  }
  const found: Mark[] = [];
  const add = (kind: Mark['kind'], departures: PassFigures['burrs']): void => {
    for (const { angleRad, heightMm } of departures ?? []) {
      const radius = rimRadiusMm(outlineMm, angleRad);
      if (radius !== null) {
        const rim = { xMm: radius * Math.cos(angleRad), yMm: radius * Math.sin(angleRad) };
        found.push({ angleRad, heightMm, kind, rim });
      }
    }
  };
  add('burr', figures.burrs);
  add('chip', figures.chips);
  return found;
}

export interface RimSample {
  /** Displayed hour angle from 12, clockwise, 0 … 2π. */
  readonly turnRad: number;
  readonly radiusMm: number;
}

/** The rim unrolled: radius from the least-squares centre against the clock of the picture, in rising order. */
export function unrolled(
  outline: readonly (readonly [number, number])[],
  place: (point: PointMm) => { readonly x: number; readonly y: number },
): RimSample[] {
  const full = 2 * Math.PI;
  return outline
    .map(([xMm, yMm]) => {
      const { x, y } = place({ xMm, yMm });
      return { turnRad: (Math.atan2(x, -y) + full) % full, radiusMm: Math.hypot(x, y) };
    })
    .sort((a, b) => a.turnRad - b.turnRad);
}

/** What there is to see, for those who do not see it. */
export function descriptionOf(figures: PassFigures, sightWords: string): string {
  const um = (mm: number): string => `${Math.round(mm * 1000)} µm`;
  const parts = [
    `The hole, ${sightWords}: ${um(figures.outlineDiameterMm)} across`,
    ...(figures.feretMinMm !== undefined && figures.feretMaxMm !== undefined
      ? [`between ${um(figures.feretMinMm)} and ${um(figures.feretMaxMm)} wide`]
      : []),
    ...(figures.roundnessMm !== undefined ? [`round to ${um(figures.roundnessMm)}`] : []),
    count(figures.burrs?.length ?? 0, 'burr'),
    count(figures.chips?.length ?? 0, 'chip'),
    (figures.debris?.length ?? 0) === 0 ? 'nothing in it' : `${figures.debris?.length} things in it`,
  ];
  return `${parts.join(', ')}.`;
}

function count(n: number, word: string): string {
  return n === 0 ? `no ${word}s` : n === 1 ? `one ${word}` : `${n} ${word}s`;
}
