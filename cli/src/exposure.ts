/** `camerawright exposure`: from a light and a hole to the seconds on this film, and the list of films. */
import {
  EVIDENCE_WORDS,
  FILMS,
  exposureTime,
  fNumberOfMark,
  findFilm,
  formatNumber,
  formatTime,
  meterConversions,
  nearestStop,
  roundedTimeS,
  stopsBetween,
} from '#core';
import type { ExposureAnswer, ExposureLink, ExposureQuestion, Film } from '#core';
import type { Answer } from './answer.ts';
import { falloffOf, given, holeOf, lightColourOf, lightOf, read } from './exposure-reading.ts';
import type { ExposureOptions, Hole } from './exposure-reading.ts';
import { csv, table } from './printing.ts';

/** From here on a dial's mark and the plain number differ enough to say so. */
const MARK_DIFFERS_STOPS = 0.02;

export interface Films {
  /** In the camera, where the call names none. */
  readonly loaded: Film | null;
  readonly own: readonly Film[];
}

/** The question that the options ask. */
export function questionOf(options: ExposureOptions, hole: Hole, films: Films): ExposureQuestion {
  const film = options.film === undefined ? films.loaded : findFilm(options.film, films.own);
  return {
    ...hole,
    light: lightOf(options),
    film,
    ...given({
      iso: read(options.iso, '--iso'),
      filterFactor: read(options.filterFactor, '--filter-factor'),
      filterStops: read(options.filterStops, '--filter-stops'),
      falloffStops: falloffOf(options),
      lightColour: lightColourOf(options, film),
      bracketStops: read(options.bracket, '--bracket'),
      bareHole: options.bareHole,
      exposureIndexLearntInPinhole: options.learntInPinhole,
      handReactionS: read(options.handS, '--hand-s'),
    }),
  };
}

function notesOf(question: ExposureQuestion): string[] {
  const { light } = question;
  if (light.kind !== 'meter' || light.isMark === true) return [];
  const exact = markOrNull(light.fNumber);
  if (exact === null) return [];
  const off = stopsBetween({ fromFNumber: light.fNumber, toFNumber: exact });
  if (Math.abs(off) < MARK_DIFFERS_STOPS) return [];
  return [
    `f/${light.fNumber} was taken as the plain number. As a mark on a dial it stands for ` +
      `${formatNumber(exact, { significant: 4 })}, ${formatNumber(Math.abs(off), { significant: 1 })} stop ${off > 0 ? 'less' : 'more'} time: say so with --mark.`,
  ];
}

function markOrNull(fNumber: number): number | null {
  try {
    return fNumberOfMark(fNumber);
  } catch {
    return null;
  }
}

/** What a link does to the seconds: the light gives them at f/1, the rest multiply. */
function timePart(link: ExposureLink): string {
  if (link.name === 'light') return `${formatNumber(link.factor, { significant: 3 })} s at f/1`;
  if (link.name === 'hand' || Math.abs(link.stops) < 1e-12) return '';
  return `× ${formatNumber(link.factor, { significant: 3 })}`;
}

function textOf(answer: ExposureAnswer, fNumber: number): string {
  const rows = answer.chain.map((link) => [
    link.name,
    link.words,
    timePart(link),
    `± ${(2 * link.timeStandardUncertaintyStops).toFixed(2)}`,
  ]);
  const [less, middle, more] = answer.bracketS.map((timeS) => formatTime(roundedTimeS(timeS)));
  const step =
    answer.bracketStops === 0.5 ? 'half a stop' : `${answer.bracketStops} stop${answer.bracketStops === 1 ? '' : 's'}`;
  const third = nearestStop(fNumber, 'third');
  return [
    answer.sentence,
    '',
    table(['link', 'value', 'time', 'doubt, stops (k = 2)'], rows),
    '',
    `Metered ${formatTime(answer.meteredS)} at f/${formatNumber(fNumber, { significant: 4 })} ` +
      `(nearest third stop ${third.name}).`,
    `Largest doubt: ${answer.largestUncertainty}. Bracket by ${step}: ${less}, ${middle}, ${more}.`,
    `Source: ${answer.source}${answer.evidence === 'none' ? '' : ` (${EVIDENCE_WORDS[answer.evidence]})`}.`,
    ...answer.cautions,
  ].join('\n');
}

/** The chain as a table: what each link does to the time, its doubt at k = 1, and the time so far. */
function chainCsv(answer: ExposureAnswer): string {
  let timeS = 1;
  return csv(
    ['link', 'value', 'stops', 'time after s', 'standard uncertainty stops', 'in the time stops', 'reason'],
    [
      ...answer.chain.map((link) => {
        timeS *= link.factor;
        const { name, words, stops, standardUncertaintyStops, timeStandardUncertaintyStops, reason } = link;
        return [name, words, stops, timeS, standardUncertaintyStops, timeStandardUncertaintyStops, reason];
      }),
      ['to give', answer.source, null, answer.correctedS, null, null, answer.sentence],
    ],
  );
}

/**
 * The time to give.
 * @param loaded the film in the camera, where the call names none
 * @param own films and papers of the workshop's own
 * @throws InputError for everything that cannot be right in the call
 */
export function exposureCommand(options: ExposureOptions, loaded: Film | null = null, own: readonly Film[] = []): Answer {
  const hole = holeOf(options);
  const question = questionOf(options, hole, { loaded, own });
  const answer = exposureTime(question);
  return {
    json: {
      ...answer,
      fNumber: hole.fNumber,
      fNumberStandardUncertainty: hole.fNumberStandardUncertainty ?? null,
      nearestFullStop: nearestStop(hole.fNumber, 'full'),
      nearestThirdStop: nearestStop(hole.fNumber, 'third'),
      meterConversions: meterConversions(hole.fNumber),
    },
    text: textOf(answer, hole.fNumber),
    csv: chainCsv(answer),
    notes: notesOf(question),
  };
}

function figuresOf(film: Film): string {
  const { law } = film;
  switch (law.model) {
    case 'table': {
      const last = law.rows[law.rows.length - 1];
      return `${law.rows.length} row${law.rows.length === 1 ? '' : 's'}, to ${last?.meteredS ?? 0} s`;
    }
    case 'power':
      return `t^${law.exponent} beyond ${law.validFromS} s`;
    case 'covington':
      return `(t + 1)^(1/${law.p}) − 1`;
    case 'modified-schwarzschild':
      return `t + ${law.coefficient}·t^${law.exponent}`;
    case 'none':
      return film.noCorrectionUpToS === null ? 'none' : `none beyond ${film.noCorrectionUpToS} s`;
  }
}

function speedOf(film: Film): string {
  if (film.iso !== null) return String(film.iso);
  return film.exposureIndexRange === null ? '' : `EI ${[...new Set(film.exposureIndexRange)].join('–')}`;
}

/**
 * The films, papers and plates that can be named with `--film`.
 * @param own of the workshop's own, listed first
 */
export function filmsCommand(own: readonly Film[] = []): Answer {
  const films = [...own, ...FILMS];
  const header = ['film', 'speed', 'long exposures', 'evidence', 'source'];
  const rows = films.map((film) => [film.name, speedOf(film), figuresOf(film), film.evidence, film.source]);
  return {
    json: films,
    text: table(
      header.slice(0, 4),
      rows.map((row) => row.slice(0, 4)),
    ),
    csv: csv(header, rows),
    notes: [],
  };
}
