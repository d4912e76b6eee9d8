/** Metered against corrected time of a film as lines and points for a log–log drawing. */
import type { Film, ReciprocityLaw } from '#core';
import { alternateTimes, correctedTimeS, reciprocity } from '#core';

export interface CurvePoint {
  readonly meteredS: number;
  readonly givenS: number;
}

export interface OtherCurve {
  readonly name: string;
  readonly source: string;
  readonly points: readonly CurvePoint[];
}

export interface FilmCurve {
  /** Inside what the document covers. */
  readonly covered: readonly CurvePoint[];
  /** Past the last figure. */
  readonly beyond: readonly CurvePoint[];
  /** Rows as printed. */
  readonly rows: readonly CurvePoint[];
  /** Other published figures for the same film. */
  readonly others: readonly OtherCurve[];
  readonly fromS: number;
  readonly toS: number;
}

const PER_DECADE = 24;

function steps(fromS: number, toS: number): number[] {
  const count = Math.max(2, Math.ceil(Math.log10(toS / fromS) * PER_DECADE));
  return Array.from({ length: count + 1 }, (_, i) => fromS * (toS / fromS) ** (i / count));
}

function rowsOf(law: ReciprocityLaw): CurvePoint[] {
  return law.model === 'table'
    ? law.rows.map((row) => ({
        meteredS: row.meteredS,
        givenS: row.correctedS ?? row.meteredS * 2 ** (row.correctionStops ?? 0),
      }))
    : [];
}

/** @param meteredS the time that is asked for, which the drawing has to hold */
export function filmCurve(film: Film, meteredS: number): FilmCurve {
  const rows = rowsOf(film.law);
  const lastRow = rows.at(-1)?.meteredS ?? 100;
  const fromS = 10 ** Math.floor(Math.log10(Math.min(1, meteredS, rows[0]?.meteredS ?? 1)));
  const toS = 10 ** Math.ceil(Math.log10(Math.max(100, meteredS * 1.5, lastRow * 1.2)) - 1e-9);
  const open = film.law.model === 'none' ? (film.noCorrectionUpToS ?? fromS) : toS;
  const end = reciprocity(film, meteredS).publishedToS ?? open;
  const until = Math.min(Math.max(end, fromS), toS);
  const at = (t: number): CurvePoint => ({ meteredS: t, givenS: correctedTimeS(film, t) });
  return {
    covered: until > fromS ? steps(fromS, until).map(at) : [],
    beyond: until < toS ? steps(until, toS).map(at) : [],
    rows,
    others: film.alternates.flatMap((alternate) => {
      const alone: Film = { ...film, alternates: [alternate] };
      const points = steps(fromS, toS).flatMap((t) => {
        const [time] = alternateTimes(alone, t);
        return time === undefined ? [] : [{ meteredS: t, givenS: time.correctedS }];
      });
      return points.length === 0 ? [] : [{ name: alternate.name, source: alternate.source, points }];
    }),
    fromS,
    toS,
  };
}
