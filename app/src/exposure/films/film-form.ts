/** A film or paper of the maker's own as it stands in the form: texts to a checked film, and a kept film back to texts. */
import { FILMS, filmFrom, parseTimeS } from '#core';
import type { Film, FilmKind, ReciprocityRow } from '#core';
import { timeText } from '../quantities.ts';

export type LawChoice = 'none' | 'power' | 'covington' | 'modified-schwarzschild' | 'table' | 'like';

/** A quantity as its field holds it. */
export interface Kept {
  readonly value: number | null;
  readonly typed: string | null;
}
export const NOTHING: Kept = { value: null, typed: null };

export interface FilmForm {
  readonly name: string;
  readonly kind: FilmKind;
  /** Film speed; of paper the slow end of its range. */
  readonly speed: Kept;
  /** Of paper, the fast end; left out: the same as the slow one. */
  readonly fastest: Kept;
  /** The speed the maker sets for it; left out: its own. */
  readonly index: Kept;
  readonly law: LawChoice;
  /** Of the law, as typed. */
  readonly parameter: string;
  /** One row a line, metered and given. */
  readonly rows: string;
  /** Name in the list, for `like`. */
  readonly like: string;
  readonly source: string;
}

export const EMPTY_FORM: FilmForm = {
  name: '', kind: 'bw-negative', speed: NOTHING, fastest: NOTHING, index: NOTHING, law: 'none', parameter: '', rows: '', like: 'HP5 Plus', source: '',
};

/** Paper and plates have a range of exposure indices and no film speed. */
export function hasIndexRange(kind: FilmKind): boolean {
  return kind === 'paper' || kind === 'direct-positive-paper' || kind === 'plate' || kind === 'x-ray';
}

function number(text: string): number {
  return Number(text.trim().replace(',', '.') || NaN);
}

function rowsOf(text: string): { meteredS: number | null; correctedS: number | null }[] {
  return text.split('\n').filter((line) => line.trim() !== '').map((line) => {
    const [metered = '', given = ''] = line.split(/\s*[;\t→]\s*|,\s+|\s{2,}/);
    return { meteredS: parseTimeS(metered), correctedS: parseTimeS(given) };
  });
}

/** What the form says of long exposures. */
function lawFields({ law, parameter, rows, like }: FilmForm): Record<string, unknown> {
  const anew = { noCorrectionUpToS: null, alternates: [] };
  switch (law) {
    case 'power':
      return { ...anew, law: { model: 'power', exponent: number(parameter), validFromS: 1 }, noCorrectionUpToS: 1 };
    case 'covington':
      return { ...anew, law: { model: 'covington', p: number(parameter) } };
    case 'modified-schwarzschild':
      return { ...anew, law: { model: 'modified-schwarzschild', coefficient: number(parameter), exponent: 1.62 } };
    case 'table': {
      const list = rowsOf(rows);
      return { ...anew, law: { model: 'table', rows: list }, noCorrectionUpToS: Math.min(1, list[0]?.meteredS ?? 1) };
    }
    case 'like': {
      const listed = FILMS.find((film) => film.name === like);
      return listed === undefined
        ? {}
        : { law: listed.law, noCorrectionUpToS: listed.noCorrectionUpToS, source: listed.source, evidence: listed.evidence, alternates: listed.alternates };
    }
    case 'none':
      return { ...anew, law: { model: 'none' } };
  }
}

/**
 * The film that the form describes.
 * @param before the film that is being changed: what the form does not ask stays, and so do its figures for long
 *   exposures as long as their fields are left alone
 * @throws InputError with the field and the remedy
 */
export function filmOfForm(form: FilmForm, before: Film | null): Film {
  const { name, kind, speed, fastest, source } = form;
  const ranged = hasIndexRange(kind);
  const asBefore = before !== null && sameLaw(form, formOf(before));
  return filmFrom({
    evidence: 'none',
    ...before,
    ...(asBefore ? {} : { evidence: 'none', ...lawFields(form) }),
    source: source.trim() !== '' ? source : (form.law === 'like' && !asBefore ? FILMS.find((film) => film.name === form.like)?.source : undefined) ?? 'own figures',
    name,
    kind,
    iso: ranged ? null : speed.value,
    exposureIndexRange: ranged && speed.value !== null ? [speed.value, fastest.value ?? speed.value].sort((a, b) => a - b) : null,
  });
}

function sameLaw(a: FilmForm, b: FilmForm): boolean {
  return a.law === b.law && a.parameter === b.parameter && a.rows === b.rows && a.law !== 'like';
}

function rowText({ meteredS, correctedS, correctionStops }: ReciprocityRow): string {
  return `${timeText(meteredS)}; ${timeText(correctedS ?? meteredS * 2 ** (correctionStops ?? 0))}`;
}

/** A kept film as the form shows it. */
export function formOf(film: Film, exposureIndex: number | null = null): FilmForm {
  const { law, exposureIndexRange } = film;
  const kept = (value: number | null): Kept => ({ value, typed: null });
  const [slow, fast] = exposureIndexRange ?? [null, null];
  return {
    ...EMPTY_FORM,
    name: film.name,
    kind: film.kind,
    speed: kept(hasIndexRange(film.kind) ? slow : film.iso),
    fastest: kept(fast === slow ? null : fast),
    index: kept(exposureIndex),
    law: law.model,
    parameter:
      law.model === 'power' ? String(law.exponent)
      : law.model === 'covington' ? String(law.p)
      : law.model === 'modified-schwarzschild' ? String(law.coefficient)
      : '',
    rows: law.model === 'table' ? law.rows.map(rowText).join('\n') : '',
    source: film.source,
  };
}
