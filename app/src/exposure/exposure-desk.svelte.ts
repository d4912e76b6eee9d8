/**
 * What the Exposure page knows: the question as it stands in the workshop, and the answer that follows. A question
 * that is not complete has no answer but a sentence that says what is missing.
 */
import type {
  CameraFilm, CameraGeometry, CameraRecord, Draft, ExposureAnswer, ExposureQuestion, Film, HoleStop, Light, PlateRecord,
  QuestionRecord, Scene,
} from '#core';
import {
  SCENES, answeredExposure, exposureTime, fNumberOfMark, filmOf, filmResponse, findScene, geometryOf, holeStop, isCamerawrightError,
  latestMeasuredPass, likelyResponse, numbersOf, partFalloffStops, plateEdgeOf, thawed,
} from '#core';
import { theCamera } from '../shell/index.ts';
import type { Bench } from '../shell/index.ts';

export type LightKind = 'ev' | 'meter' | 'scene' | 'illuminance';

/** A light to begin with, so that the first page shows an answer. */
const FIRST_SCENE = 'heavy-overcast';

/** The fields of the question that hold one plain number. */
export type NumberKey =
  | 'ev100Ev' | 'evIso' | 'illuminanceLux' | 'meteredS' | 'meterFNumber' | 'meterIso' | 'filterFactor' | 'falloffStops' | 'handReactionS';

/** The fields that a camera holds once there is one. */
export type SetupKey = 'exposureIndex' | 'fNumber';

/** Where the f-number comes from. */
export type Hole =
  | {
      readonly kind: 'measured';
      readonly stop: HoleStop;
      readonly plateName: string;
      readonly diameterMm: number;
      readonly standardUncertaintyMm: number;
      readonly focalLengthMm: number;
      /** Outline and clear area, when they differ. */
      readonly debris: { readonly outlineMm: number; readonly clearMm: number } | null;
    }
  | { readonly kind: 'typed'; readonly fNumber: number }
  | { readonly kind: 'missing'; readonly sentence: string };

export type Answered =
  | { readonly kind: 'answer'; readonly answer: ExposureAnswer; readonly question: ExposureQuestion }
  | { readonly kind: 'missing'; readonly sentence: string };

/** Debris worth a word: half a micrometre of diameter. */
const DEBRIS_MM = 0.0005;

export class ExposureDesk {
  readonly #bench: Bench;

  constructor(bench: Bench) {
    this.#bench = bench;
  }

  get camera(): CameraRecord | null {
    return this.#bench.workshop.camera;
  }

  get question(): QuestionRecord {
    return this.#bench.workshop.document.question ?? {};
  }

  get lightKind(): LightKind {
    return this.question.lightKind ?? 'scene';
  }

  get scene(): Scene | null {
    try {
      return findScene(this.question.scene ?? FIRST_SCENE);
    } catch {
      return SCENES[0] ?? null;
    }
  }

  /** What a camera or, without one, the question itself says of film, speed and f-number. */
  get setup(): Pick<QuestionRecord, 'filmName' | 'filmId' | 'exposureIndex' | 'fNumber' | 'typed'> {
    return this.camera ?? this.question;
  }

  readonly #loaded = $derived.by<{ readonly film: CameraFilm | null; readonly trouble: string | null }>(() => {
    const { document } = this.#bench.workshop;
    const { filmName, filmId, exposureIndex } = this.setup;
    const holder: CameraRecord = this.camera ?? {
      id: '', name: '', mountings: [],
      ...(filmName !== undefined && { filmName }),
      ...(filmId !== undefined && { filmId }),
      ...(exposureIndex !== undefined && { exposureIndex }),
    };
    try {
      return { film: filmOf(holder, document), trouble: null };
    } catch (error) {
      if (!isCamerawrightError(error)) {
        throw error;
      }
      return { film: null, trouble: error.message };
    }
  });

  get film(): Film | null {
    return this.#loaded.film?.film ?? null;
  }

  /** The speed the maker sets; `null`: the film's own. */
  get exposureIndex(): number | null {
    return this.setup.exposureIndex ?? this.#loaded.film?.exposureIndex ?? null;
  }

  get hole(): Hole {
    const { camera } = this;
    const { plate } = this.#bench.workshop;
    const typed = this.setup.fNumber;
    const figures = plate === null ? undefined : latestMeasuredPass(plate)?.figures;
    if (camera?.focalLengthMm !== undefined && plate !== null && figures !== undefined) {
      const { outlineDiameterMm: outlineMm, clearDiameterMm: clearMm } = figures;
      const debris = clearMm !== undefined && outlineMm - clearMm > DEBRIS_MM ? { outlineMm, clearMm } : null;
      const stays = debris !== null && this.question.debrisStays === true;
      const diameterMm = stays ? debris.clearMm : outlineMm;
      const standardUncertaintyMm =
        (stays ? figures.clearStandardUncertaintyMm : undefined) ?? figures.outlineStandardUncertaintyMm ?? 0;
      return {
        kind: 'measured',
        plateName: plate.name,
        diameterMm,
        standardUncertaintyMm,
        focalLengthMm: camera.focalLengthMm,
        debris,
        stop: holeStop({
          focalLengthMm: camera.focalLengthMm, diameterMm, diameterStandardUncertaintyMm: standardUncertaintyMm,
        }),
      };
    }
    if (typed !== undefined) {
      return { kind: 'typed', fNumber: typed };
    }
    return { kind: 'missing', sentence: missingHole(camera, plate, figures !== undefined) };
  }

  get light(): Light | { readonly kind: 'missing'; readonly sentence: string } {
    const { question } = this;
    switch (this.lightKind) {
      case 'ev':
        return question.ev100Ev === undefined
          ? { kind: 'missing', sentence: 'Type the EV that the meter shows at ISO 100.' }
          : { kind: 'ev', ev100Ev: question.ev100Ev - Math.log2((question.evIso ?? 100) / 100) };
      case 'illuminance':
        return question.illuminanceLux === undefined
          ? { kind: 'missing', sentence: 'Type the lux that fall on the subject.' }
          : { kind: 'illuminance', illuminanceLux: question.illuminanceLux };
      case 'meter':
        return question.meteredS === undefined || question.meterFNumber === undefined
          ? { kind: 'missing', sentence: 'Type the time and the f-number that the meter shows.' }
          : {
              kind: 'meter',
              meteredS: question.meteredS,
              fNumber: question.meterFNumber,
              ...(question.meterIso !== undefined && { iso: question.meterIso }),
              ...(isMark(question.meterFNumber) && { isMark: true }),
              ...(question.reading !== undefined && { reading: question.reading }),
            };
      case 'scene': {
        const { scene } = this;
        return scene === null
          ? { kind: 'missing', sentence: 'Choose the scene that is most like yours.' }
          : { kind: 'scene', scene: scene.id, ...(scene.directSun && { lighting: question.lighting ?? 'front' }) };
      }
    }
  }

  /** Frame and hole of the camera on the bench, where it has them. */
  get geometry(): CameraGeometry | null {
    return this.camera === null ? null : geometryOf(this.camera);
  }

  /** Worked out for a part of the frame, or as typed; a sentence where no light comes to that part. */
  readonly falloff: { readonly stops: number; readonly problem: string | null } = $derived.by(() => {
    const { part, falloffStops } = this.question;
    const { geometry, camera } = this;
    if (part === undefined || geometry === null || camera === null) {
      return { stops: falloffStops ?? 0, problem: null };
    }
    const { document } = this.#bench.workshop;
    const numbers = numbersOf(camera, document);
    const plate = plateEdgeOf(camera, document, numbers.kind === 'measured' ? numbers.diameterMm : undefined);
    try {
      return { stops: partFalloffStops(geometry, part, plate), problem: null };
    } catch (error) {
      if (!isCamerawrightError(error)) {
        throw error;
      }
      return { stops: 0, problem: error.message };
    }
  });

  /** All that is asked but the light and its colour. */
  get unlit(): Omit<ExposureQuestion, 'light'> | { readonly kind: 'missing'; readonly sentence: string } {
    const { hole, film, question } = this;
    const { trouble } = this.#loaded;
    if (trouble !== null) {
      return { kind: 'missing', sentence: trouble };
    }
    if (hole.kind === 'missing') {
      return hole;
    }
    const { falloff } = this;
    if (falloff.problem !== null) {
      return { kind: 'missing', sentence: falloff.problem };
    }
    return {
      ...(hole.kind === 'typed'
        ? { fNumber: hole.fNumber }
        : { fNumber: hole.stop.fNumber, fNumberStandardUncertainty: hole.stop.fNumberStandardUncertainty }),
      film,
      ...(this.exposureIndex !== null && { exposureIndex: this.exposureIndex }),
      ...(question.filterFactor !== undefined && { filterFactor: question.filterFactor }),
      ...(falloff.stops > 0 && { falloffStops: falloff.stops }),
      ...(question.bracketStops !== undefined && { bracketStops: question.bracketStops }),
      ...(this.#loaded.film?.learntInPinhole === true && { exposureIndexLearntInPinhole: true }),
      ...(question.bareHole === true && { bareHole: true }),
      ...(question.handReactionS !== undefined && { handReactionS: question.handReactionS }),
    };
  }

  readonly #answered = $derived.by<Answered>(() => {
    const { light, unlit, film, question } = this;
    if (light.kind === 'missing') {
      return light;
    }
    if ('kind' in unlit) {
      return unlit;
    }
    const asked: ExposureQuestion = {
      ...unlit,
      light,
      ...(question.lightColour !== undefined &&
        film !== null && {
          lightColour: {
            source: question.lightColour,
            response: question.colourResponse === undefined ? likelyResponse(film) : filmResponse(question.colourResponse),
          },
        }),
    };
    try {
      return { kind: 'answer', answer: exposureTime(asked), question: asked };
    } catch (error) {
      if (!isCamerawrightError(error)) {
        throw error;
      }
      return { kind: 'missing', sentence: error.message };
    }
  });

  get answered(): Answered {
    return this.#answered;
  }

  // ---- changes ----

  /**
   * Writes the answer into the log as an exposure still to be given.
   * @returns the time planned, s; `null` while there is no answer
   */
  plan(): number | null {
    const { answered, camera } = this;
    if (answered.kind !== 'answer') {
      return null;
    }
    const { workshop, newId, clock } = this.#bench;
    const { question, answer } = answered;
    const record = answeredExposure({ id: newId(), at: clock.now(), timeZone: clock.zone(), camera, workshop: workshop.document, question, answer });
    workshop.edit('planned exposure', (draft) => {
      draft.exposures.push(thawed(record));
    });
    return answer.correctedS;
  }

  #ask(what: string, recipe: (question: Draft<QuestionRecord>) => void): void {
    this.#bench.workshop.edit(what, (draft) => {
      draft.question ??= {};
      recipe(draft.question);
    });
  }

  setLightKind(kind: LightKind): void {
    this.#ask('kind of light', (question) => {
      question.lightKind = kind;
    });
  }

  setNumber(key: NumberKey, what: string, value: number | null, typed: string | null): void {
    this.#ask(what, (question) => {
      setTyped(question, key, value, typed);
    });
  }

  setScene(sceneId: string): void {
    this.#ask('scene', (question) => {
      question.scene = sceneId;
    });
  }

  /** One of a list, or nothing said. */
  setWord<Key extends 'reading' | 'lightColour' | 'colourResponse' | 'part'>(key: Key, what: string, word: QuestionRecord[Key]): void {
    this.#ask(what, (question) => {
      if (word === undefined) {
        delete question[key];
      } else {
        Object.assign(question, { [key]: word });
      }
    });
  }

  setBracket(stops: number | null): void {
    this.#ask('bracket', (question) => {
      if (stops === null) {
        delete question.bracketStops;
      } else {
        question.bracketStops = stops;
      }
    });
  }

  setLighting(lighting: 'front' | 'side' | 'back'): void {
    this.#ask('direction of the sun', (question) => {
      question.lighting = lighting;
    });
  }

  setSwitch(key: 'bareHole' | 'debrisStays', what: string, on: boolean): void {
    this.#ask(what, (question) => {
      if (on) {
        question[key] = true;
      } else {
        delete question[key];
      }
    });
  }

  #setUp(what: string, recipe: (setup: Draft<QuestionRecord>) => void): void {
    const id = this.camera?.id;
    this.#bench.workshop.edit(what, (draft) => {
      draft.question ??= {};
      recipe(draft.cameras.find((camera) => camera.id === id) ?? draft.question);
    });
  }

  setSetup(key: SetupKey, what: string, value: number | null, typed: string | null): void {
    this.#setUp(what, (setup) => setTyped(setup, key, value, typed));
  }

  /** A film of the list by name, one of the workshop's own by id, or none. The index was for the film before. */
  setFilm(film: { readonly name?: string; readonly id?: string }): void {
    this.#setUp('film', (setup) => {
      delete setup.filmName;
      delete setup.filmId;
      setTyped(setup, 'exposureIndex', null, null);
      if (film.name !== undefined) {
        setup.filmName = film.name;
      }
      if (film.id !== undefined) {
        setup.filmId = film.id;
      }
    });
  }
}

/** What there is to do to have an f-number. */
function missingHole(camera: CameraRecord | null, plate: PlateRecord | null, measured: boolean): string {
  if (camera === null) {
    return 'Type the f-number of the hole, or make a camera and measure its plate.';
  }
  const name = theCamera(camera.name);
  if (plate === null) {
    return `No plate is mounted in ${name}: mount one on the Plate page, or type the f-number.`;
  }
  return measured
    ? `There is no focal length for ${name} yet: type it on the Camera page, or type the f-number here.`
    : `${plate.name} in ${name} is not measured yet: measure a scan of it, or type the f-number.`;
}

/** The f-number is one that stands on a dial: f/22 then means 22.63. */
function isMark(fNumber: number): boolean {
  try {
    return fNumberOfMark(fNumber) > 0;
  } catch {
    return false;
  }
}

type Numbers = { [Key in NumberKey | SetupKey]?: number | undefined };

function setTyped(
  record: Numbers & { typed?: Record<string, string> | undefined },
  key: NumberKey | SetupKey,
  value: number | null,
  typed: string | null,
): void {
  if (value === null) {
    delete record[key];
  } else {
    record[key] = value;
  }
  if (typed === null) {
    if (record.typed !== undefined) {
      delete record.typed[key];
    }
  } else {
    record.typed = { ...record.typed, [key]: typed };
  }
}
