/** The answer in words: the sentence a maker reads, and what to know before trusting it. */
import type { ExposureAnswer, ExposureQuestion } from './answer.ts';
import { formatRange, formatTime, roundedTimeS } from './duration.ts';
import type { Film } from './film.ts';
import { rowTimeS } from './film-record.ts';
import { EVIDENCE_WORDS } from './reciprocity.ts';
import type { Correction } from './reciprocity.ts';

type Figures = Omit<ExposureAnswer, 'sentence' | 'cautions'>;

interface Background {
  readonly film: Film | null;
  readonly correction: Correction;
  readonly question: ExposureQuestion;
  readonly reactionS: number;
  /** The longest the metered time may truly be, k = 2. */
  readonly longestS: number;
}

/** From here on another published figure is worth a sentence. */
const DIFFERS_STOPS = 0.25;
/** A hand that is off by more than this share of the exposure spoils it: a third of a stop. */
const HAND_SPOILS_STOPS = 1 / 3;
const PRACTICE_S = 1;
const YEAR_S = 365.25 * 86_400;

function firstSentence(answer: Figures, background: Background): string {
  const [loS, hiS] = answer.rangeS;
  const { lo, time, hi } = formatRange({ loS, timeS: answer.correctedS, hiS });
  const between = lo === hi ? '' : `; anything from ${lo} to ${hi} will do`;
  const end = background.correction.publishedToS;
  switch (answer.state) {
    case 'extrapolated':
      return (
        `Expose about ${time}; anything from ${lo} to ${hi} may do. ` +
        `The published figures end at ${end ?? 0} s metered; this is extrapolated.`
      );
    case 'no-data': {
      const silent =
        end === null ? 'There is no figure for its long exposures' : `The maker gives no figure beyond ${end} s`;
      return (
        `Expose ${time} as metered, or longer: up to ${hi} may be needed. ` +
        `${silent}; the range is common practice, no source.`
      );
    }
    default:
      return `Expose ${time}${between}.`;
  }
}

function alternatesSentence(answer: Figures): string[] {
  const far = answer.alternates.filter(
    (other) => Math.abs(Math.log2(other.correctedS / answer.correctedS)) >= DIFFERS_STOPS,
  );
  if (far.length === 0) return [];
  const said = far.map((other) => formatTime(roundedTimeS(other.correctedS)));
  return [`Independent figures say ${[...new Set(said)].join(' and ')}; the range holds them.`];
}

/** What the document asks of filter and development at the published row nearest to this time. */
function rowCautions(film: Film, meteredS: number): string[] {
  if (film.law.model !== 'table') return [];
  const [first] = film.law.rows;
  if (first === undefined || (film.noCorrectionUpToS !== null && meteredS <= film.noCorrectionUpToS)) return [];
  const apart = (s: number): number => Math.abs(Math.log(s / meteredS));
  const row = film.law.rows.reduce(
    (best, other) => (apart(other.meteredS) < apart(best.meteredS) ? other : best),
    first,
  );
  const at = `at ${row.meteredS} s metered, ${formatTime(rowTimeS(row))} given`;
  const said: string[] = [];
  if (row.colourFilter !== null) said.push(`For true colour the maker asks for a ${row.colourFilter} filter ${at}.`);
  if (row.developmentChange !== null) said.push(`The maker changes development by ${row.developmentChange} ${at}.`);
  return said;
}

function filmCautions(answer: Figures, { film, correction, longestS }: Background): string[] {
  if (film === null) {
    return answer.correctedS > PRACTICE_S
      ? ['No film was named, so nothing is added for reciprocity; beyond about 1 s most films need more.']
      : [];
  }
  const said: string[] = [];
  if (answer.notRecommended) {
    said.push(`The maker does not recommend ${film.name} from ${film.notRecommendedFromS ?? 0} s metered on.`);
  }
  if (answer.state === 'corrected' || answer.state === 'extrapolated') {
    if (answer.evidence !== 'published')
      said.push(`The figures for ${film.name} are ${EVIDENCE_WORDS[answer.evidence]} (${film.source}).`);
    said.push(...rowCautions(film, answer.meteredS));
  }
  const limitS = film.noCorrectionUpToS;
  if (film.law.model === 'none' && answer.state === 'none-needed' && limitS !== null && longestS > limitS) {
    said.push(`Close to ${limitS} s metered, beyond which the maker gives no figure.`);
  }
  if (film.status !== null) said.push(`${film.name}: ${film.status}.`);
  if (film.exposureIndexRange !== null && correction.state !== 'not-applied') {
    said.push('Paper and plates have an exposure index, not a film speed: a test strip tells yours.');
  }
  return said;
}

/** The sentence and the cautions of an answer. */
export function sentenceOf(answer: Figures, background: Background): Pick<ExposureAnswer, 'sentence' | 'cautions'> {
  const cautions = filmCautions(answer, background);
  const handOffS = background.reactionS;
  if (handOffS > 0 && Math.log2(1 + handOffS / answer.correctedS) > HAND_SPOILS_STOPS) {
    cautions.push(
      'Too short for a hand on the shutter: a slower film, a grey filter or a smaller hole makes the time longer.',
    );
  }
  if (background.question.bareHole === true) {
    cautions.push('The time is 0.27 stop shorter than a meter says, because a bare hole passes more than a lens.');
  }
  if (answer.correctedS > YEAR_S) {
    cautions.push('Longer than a year: this light is not enough for this hole and film.');
  }
  return { sentence: [firstSentence(answer, background), ...alternatesSentence(answer)].join(' '), cautions };
}
