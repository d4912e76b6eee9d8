/**
 * What is looked up instead of worked out: the table on the back of one camera, and the board of a class. Content
 * only; how it is laid on a sheet is not decided here.
 */
import { InputError, isCamerawrightError } from '../errors.ts';
import type { ExposureAnswer, ExposureQuestion, Light, ReciprocityState } from './answer.ts';
import { formatTime, roundedTimeS } from './duration.ts';
import { exposureTime } from './exposure-time.ts';
import { holeStop } from './f-number.ts';
import type { Evidence, Film } from './film.ts';
import { findScene, sceneEv } from './scenes.ts';

/** What a camera may be loaded with: a film or paper, a speed, or a film at a speed of the maker's own. */
export interface CardMaterial {
  readonly film: Film | null;
  /** Overrules the film's speed; needed without a film. */
  readonly exposureIndex?: number;
  /** The index was learnt in a pinhole camera. */
  readonly exposureIndexLearntInPinhole?: boolean;
}

/** What holds for every cell of a card. */
type CardRules = Pick<ExposureQuestion, 'filterFactor' | 'falloffStops' | 'bareHole' | 'handReactionS'>;

export interface CameraCardQuestion extends CardRules {
  readonly fNumber: number;
  /** k = 1 */
  readonly fNumberStandardUncertainty?: number;
  /** 1 to 8 columns, from left to right. */
  readonly materials: readonly CardMaterial[];
  /** Lines of the card: scenes by id or words, or EV at ISO 100. Left out: `CARD_SCENES`. */
  readonly lines?: readonly (string | number)[];
}

/** Why a figure is not to be taken as it stands: past the published figures, no figure at all, too short for a hand. */
export type CardMark = 'extrapolated' | 'no figure' | 'too short';

export interface CardCell {
  readonly meteredS: number;
  readonly correctedS: number;
  /** k = 2 */
  readonly rangeS: readonly [number, number];
  readonly state: ReciprocityState;
  /** The time to give, rounded as one counts it: `42 s`. */
  readonly words: string;
  readonly marks: readonly CardMark[];
}

export interface CardColumn {
  /** `HP5 Plus`, or `ISO 100` without a film. */
  readonly title: string;
  /** Speed or index in use. */
  readonly iso: number;
  readonly source: string;
  readonly evidence: Evidence;
}

export interface CardLine {
  /** Scene words, or `EV 12`. */
  readonly words: string;
  readonly ev100Ev: number;
  /** One for each column. */
  readonly cells: readonly CardCell[];
}

export interface CameraCard {
  readonly fNumber: number;
  readonly columns: readonly CardColumn[];
  readonly lines: readonly CardLine[];
  /** What stands below the table: what the marks mean, what is in the times, where they come from. */
  readonly notes: readonly string[];
}

/** Scenes a maker meets, brightest first. */
export const CARD_SCENES: readonly string[] = [
  'bright-sun-snow',
  'bright-sun',
  'hazy-sun',
  'cloudy-bright',
  'heavy-overcast',
  'open-shade',
  'after-sunset',
  'gallery',
  'office',
  'home',
  'floodlit',
  'distant-lights',
  'full-moon',
];

/** How a mark is written behind a time, in the order of `CardMark`. */
export const CARD_SIGNS: Readonly<Record<CardMark, string>> = {
  extrapolated: '*',
  'no figure': '†',
  'too short': '‡',
};

const MARK_NOTES: Readonly<Record<CardMark, string>> = {
  extrapolated: 'past the published figures: a guess',
  'no figure': 'no figure for long exposures: the metered time; common practice gives two to four times as much',
  'too short': 'too short for a hand on the shutter',
};

/** A hand off by 0.3 s each way costs a third of a stop below this. */
const TOO_SHORT_STOPS = 1 / 3;
const HAND_S = 0.3;

function marksOf(answer: ExposureAnswer, reactionS: number): CardMark[] {
  const marks: CardMark[] = [];
  if (answer.state === 'extrapolated') marks.push('extrapolated');
  if (answer.state === 'no-data') marks.push('no figure');
  if (reactionS > 0 && Math.log2(1 + reactionS / answer.correctedS) > TOO_SHORT_STOPS) marks.push('too short');
  return marks;
}

function cellOf(answer: ExposureAnswer, reactionS: number): CardCell {
  const { meteredS, correctedS, rangeS, state } = answer;
  return {
    meteredS,
    correctedS,
    rangeS,
    state,
    words: formatTime(roundedTimeS(correctedS)),
    marks: marksOf(answer, reactionS),
  };
}

/** The fields that have a value. */
function rulesOf(rules: CardRules): CardRules {
  const { filterFactor, falloffStops, bareHole, handReactionS } = rules;
  return {
    ...(filterFactor === undefined ? {} : { filterFactor }),
    ...(falloffStops === undefined ? {} : { falloffStops }),
    ...(bareHole === undefined ? {} : { bareHole }),
    ...(handReactionS === undefined ? {} : { handReactionS }),
  };
}

function materialOf(material: CardMaterial): Pick<ExposureQuestion, 'film' | 'exposureIndex' | 'exposureIndexLearntInPinhole'> {
  return {
    film: material.film,
    ...(material.exposureIndex === undefined ? {} : { exposureIndex: material.exposureIndex }),
    ...(material.exposureIndexLearntInPinhole === true ? { exposureIndexLearntInPinhole: true } : {}),
  };
}

interface LineLight {
  readonly words: string;
  readonly ev100Ev: number;
  readonly light: Light;
}

function lightOfLine(line: string | number): LineLight {
  if (typeof line === 'number') {
    return { words: `EV ${line}`, ev100Ev: line, light: { kind: 'ev', ev100Ev: line } };
  }
  const scene = findScene(line);
  return { words: scene.words, ev100Ev: sceneEv(scene).ev100Ev, light: { kind: 'scene', scene: scene.id } };
}

function ruleNotes(rules: CardRules): string[] {
  const notes: string[] = [];
  if (rules.filterFactor !== undefined && rules.filterFactor !== 1) {
    notes.push(`With a filter of factor ${Number(rules.filterFactor.toPrecision(3))}.`);
  }
  if (rules.falloffStops !== undefined && rules.falloffStops > 0) {
    notes.push(`For a part of the frame that loses ${rules.falloffStops.toFixed(1)} stops.`);
  }
  if (rules.bareHole === true) notes.push('The bare hole is counted: 0.27 stop less time.');
  return notes;
}

function markNotes(lines: readonly { readonly cells: readonly CardCell[] }[]): string[] {
  const used = new Set(lines.flatMap(({ cells }) => cells.flatMap(({ marks }) => marks)));
  return (Object.keys(CARD_SIGNS) as CardMark[])
    .filter((mark) => used.has(mark))
    .map((mark) => `${CARD_SIGNS[mark]} ${MARK_NOTES[mark]}.`);
}

/**
 * The table for the back of one camera: a line for each light, a column for each film, in each cell the time to give,
 * reciprocity included.
 * Valid: as `exposureTime`; constant light.
 * @param question 1 to 8 materials; scenes of the guide or EV −16…24
 * @throws InputError out-of-range, missing, unknown-name
 * @source ansi-ph2-7
 */
export function cameraCard(question: CameraCardQuestion): CameraCard {
  const { materials } = question;
  if (materials.length < 1 || materials.length > 8) {
    throw new InputError('out-of-range', `A card has 1 to 8 films, but ${materials.length} were given.`, {
      path: 'materials',
      got: materials.length,
      expected: '1…8',
    });
  }
  const rules = rulesOf(question);
  const reactionS = question.handReactionS ?? HAND_S;
  const hole = {
    fNumber: question.fNumber,
    ...(question.fNumberStandardUncertainty === undefined
      ? {}
      : { fNumberStandardUncertainty: question.fNumberStandardUncertainty }),
  };
  const lights = (question.lines ?? CARD_SCENES).map(lightOfLine);
  const answers = lights.map(({ light }) =>
    materials.map((material) => exposureTime({ ...hole, ...rules, ...materialOf(material), light })),
  );
  const lines = lights.map(({ words, ev100Ev }, i) => ({
    words,
    ev100Ev,
    cells: (answers[i] ?? []).map((answer) => cellOf(answer, reactionS)),
  }));
  const columns = materials.map(({ film }, i): CardColumn => {
    const iso = answers[0]?.[i]?.iso ?? 0;
    return {
      title: film?.name ?? `ISO ${iso}`,
      iso,
      source: film?.source ?? 'by speed alone, without reciprocity',
      evidence: film?.evidence ?? 'none',
    };
  });
  return { fNumber: question.fNumber, columns, lines, notes: [...markNotes(lines), ...ruleNotes(question)] };
}

/** One place at the board: whose camera it is, and its hole as f-number or as diameter and focal length. */
export interface BoardPlace {
  /** Who works with it: `Table 3`. */
  readonly name: string;
  readonly camera?: string;
  readonly fNumber?: number;
  readonly diameterMm?: number;
  readonly focalLengthMm?: number;
  /** k = 1, of the f-number. */
  readonly fNumberStandardUncertainty?: number;
  /** Left out: the board's. */
  readonly material?: CardMaterial;
}

export interface ClassBoardQuestion extends CardRules {
  readonly light: Light;
  /** What the cameras are loaded with, unless a place says otherwise. */
  readonly material: CardMaterial;
  /** 1 to 100 places. */
  readonly places: readonly BoardPlace[];
}

export interface BoardLine {
  readonly name: string;
  readonly camera: string;
  readonly material: string;
  /** `null` when the place cannot be worked out. */
  readonly fNumber: number | null;
  readonly cell: CardCell | null;
  /** Why not, a sentence; `null` when all is well. */
  readonly error: string | null;
}

export interface ClassBoard {
  /** The one light that all work in. */
  readonly light: string;
  readonly lines: readonly BoardLine[];
  readonly notes: readonly string[];
}

function fNumberOf(place: BoardPlace): number {
  if (place.fNumber !== undefined) return place.fNumber;
  if (place.diameterMm === undefined || place.focalLengthMm === undefined) {
    throw new InputError('missing', 'It has neither an f-number nor a measured hole with a focal length.', {
      path: 'places',
      expected: 'an f-number, or diameter and focal length',
    });
  }
  return holeStop({ diameterMm: place.diameterMm, focalLengthMm: place.focalLengthMm }).fNumber;
}

/**
 * The board of a class: one light, and the seconds for every camera in the room. A place with a slip in it says so on
 * its own line; the others stand.
 * Valid: as `exposureTime`.
 * @param question 1 to 100 places
 * @throws InputError out-of-range, unknown-name: of what all share
 */
export function classBoard(question: ClassBoardQuestion): ClassBoard {
  const { places, material: shared, light } = question;
  if (places.length < 1 || places.length > 100) {
    throw new InputError('out-of-range', `A board has 1 to 100 places, but ${places.length} were given.`, {
      path: 'places',
      got: places.length,
      expected: '1…100',
    });
  }
  const rules = rulesOf(question);
  const reactionS = question.handReactionS ?? HAND_S;
  // a light that cannot be is one slip, not twenty
  const lightWords = exposureTime({ fNumber: 100, light, iso: 100 }).chain[0]?.words ?? '';
  const lines = places.map((place): BoardLine => {
    const material = place.material ?? shared;
    const head = {
      name: place.name,
      camera: place.camera ?? '',
      material: material.film?.name ?? (material.exposureIndex === undefined ? '' : `ISO ${material.exposureIndex}`),
    };
    try {
      const fNumber = fNumberOf(place);
      const u = place.fNumberStandardUncertainty;
      const answer = exposureTime({
        fNumber,
        ...(u === undefined ? {} : { fNumberStandardUncertainty: u }),
        ...rules,
        ...materialOf(material),
        light,
      });
      return { ...head, fNumber, cell: cellOf(answer, reactionS), error: null };
    } catch (error) {
      if (!isCamerawrightError(error)) throw error;
      return { ...head, fNumber: null, cell: null, error: error.message };
    }
  });
  const cells = lines.map(({ cell }) => ({ cells: cell === null ? [] : [cell] }));
  return { light: lightWords, lines, notes: [...markNotes(cells), ...ruleNotes(question)] };
}

/** A cell as it is written on a card: `42 s*`. */
export function cellWords(cell: CardCell): string {
  return `${cell.words}${cell.marks.map((mark) => CARD_SIGNS[mark]).join('')}`;
}
