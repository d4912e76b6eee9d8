/**
 * What the Camera page knows: the chosen camera's own numbers and everything that follows from them.
 * All of it is derived, so that a drag redraws the page within a frame; what is not given yet is `null`.
 */
import {
  CRITERIA,
  DEFAULT_CRITERION,
  SHEET_FILM_THICKNESS_MM,
  boxDepth,
  describeCamera,
  fieldOfView,
  filmSight,
  formatLength,
  frameFalloff,
  insideDepthMm,
  isCamerawrightError,
  numbersOf,
  plateEdgeOf,
} from '#core';
import type {
  BestHole,
  BoxDepth,
  CameraGeometry,
  CameraLight,
  CameraNumbers,
  CameraRecord,
  Criterion,
  Draft,
  FieldOfView,
  FilmPlane,
  Frame,
  FrameFalloff,
  ThickPlate,
} from '#core';
import { keepTyped } from '../shell/index.ts';
import type { Bench } from '../shell/index.ts';
import type { SectionInput } from './section.ts';

/** The fields of a camera that hold one number. */
export type NumberKey =
  | 'focalLengthMm'
  | 'woodThicknessMm'
  | 'holderDepthMm'
  | 'filmThicknessMm'
  | 'plateSeatMm'
  | 'wavelengthNm';

export interface HoleRow {
  /** Number on the balloon, in order of size. */
  readonly item: number;
  readonly criterion: Criterion;
  readonly title: string;
  readonly meaning: string;
  /** Where the rule stands, for people. */
  readonly source: string;
  readonly best: BestHole;
  readonly fNumber: number;
}

export type Depth =
  | { readonly kind: 'known'; readonly insideMm: number; readonly box: BoxDepth | null }
  | { readonly kind: 'impossible'; readonly sentence: string }
  | { readonly kind: 'missing'; readonly what: readonly string[] };

type EditableCamera = Draft<CameraRecord>;

export class CameraDesk {
  readonly #workshop: Bench['workshop'];
  readonly #appearance: Bench['appearance'];

  constructor(bench: Pick<Bench, 'workshop' | 'appearance'>) {
    this.#workshop = bench.workshop;
    this.#appearance = bench.appearance;
  }

  get camera(): CameraRecord | null {
    return this.#workshop.camera;
  }

  readonly frame: Frame | null = $derived.by(() => {
    const frame = this.camera?.frame;
    return frame?.widthMm === undefined || frame.heightMm === undefined
      ? null
      : { widthMm: frame.widthMm, heightMm: frame.heightMm };
  });

  readonly focalLengthMm: number | null = $derived(this.camera?.focalLengthMm ?? null);
  readonly shift = $derived({ xMm: this.camera?.holeShift?.xMm ?? 0, yMm: this.camera?.holeShift?.yMm ?? 0 });
  readonly offCentre = $derived(this.shift.xMm !== 0 || this.shift.yMm !== 0);
  /** What the film sees, or the wavelength stated. */
  get light(): CameraLight {
    return this.#workshop.light;
  }

  readonly objectDistanceMm: number = $derived(this.camera?.objectDistanceMm ?? Infinity);
  readonly criterion: Criterion = $derived(this.camera?.criterion ?? DEFAULT_CRITERION);

  readonly filmPlane: FilmPlane = $derived(this.camera?.filmPlane?.kind ?? 'flat');
  /** Why the film cannot be bent like this; null where it can. */
  readonly filmProblem: string | null = $derived.by(() => {
    const { frame, focalLengthMm, shift, filmPlane } = this;
    if (frame === null || focalLengthMm === null || filmPlane === 'flat') return null;
    try {
      for (const side of [-1, 1]) {
        filmSight({ frame, focalLengthMm, holeShift: shift, filmPlane }, { xMm: (side * frame.widthMm) / 2, yMm: 0 });
      }
      return null;
    } catch (error) {
      if (isCamerawrightError(error)) return error.message;
      throw error;
    }
  });

  readonly geometry: CameraGeometry | null = $derived(
    this.frame === null || this.focalLengthMm === null
      ? null
      : {
          frame: this.frame,
          focalLengthMm: this.focalLengthMm,
          holeShift: this.shift,
          // a film bent so far that it passes the hole is drawn flat, and said
          filmPlane: this.filmProblem === null ? this.filmPlane : 'flat',
        },
  );
  readonly view: FieldOfView | null = $derived(this.geometry === null ? null : fieldOfView(this.geometry));

  /** Every criterion's best hole for this focal length, smallest first. */
  readonly holes: readonly HoleRow[] = $derived.by(() => {
    const focalLengthMm = this.focalLengthMm;
    if (focalLengthMm === null) {
      return [];
    }
    return CRITERIA.map((facts) => {
      const best = this.light.holes.best({ criterion: facts.id, focalLengthMm, objectDistanceMm: this.objectDistanceMm });
      return { criterion: facts.id, title: facts.title, meaning: facts.meaning, source: facts.source, best, fNumber: focalLengthMm / best.diameterMm };
    })
      .sort((a, b) => a.best.diameterMm - b.best.diameterMm)
      .map((row, index) => ({ ...row, item: index + 1 }));
  });

  readonly chosen: HoleRow | null = $derived(this.holes.find((row) => row.criterion === this.criterion) ?? null);

  /**
   * What holes of other sizes lose by the chosen criterion: pairs of (diameter against the best one, share lost). It is
   * the same for every camera, since only d / √(λ f′) counts, and is therefore worked out once for each criterion and light.
   */
  readonly valley: readonly (readonly [number, number])[] = $derived.by(() => {
    const { holes } = this.light;
    const anyCamera = { focalLengthMm: 100, objectDistanceMm: Infinity, criterion: this.criterion };
    const best = holes.best(anyCamera).diameterMm;
    return Array.from({ length: 91 }, (_, index) => {
      const ratio = 0.5 + index / 50;
      return [ratio, holes.cost({ ...anyCamera, diameterMm: ratio * best }).lossShare] as const;
    });
  });

  /** The measured hole of the plate in this camera. */
  readonly mounted: (CameraNumbers & { readonly kind: 'measured'; readonly plateName: string }) | null = $derived.by(() => {
    const camera = this.camera;
    if (camera === null) {
      return null;
    }
    const numbers = numbersOf(camera, this.#workshop.document);
    const plateName = this.#workshop.plate?.name ?? '';
    return numbers.kind === 'measured' ? { ...numbers, plateName } : null;
  });

  /** The wall of the plate in the camera, by its edge or, where that was not measured, its sheet, which is the worst case. */
  readonly plateEdge: ThickPlate | undefined = $derived.by(() => {
    const diameterMm = this.mounted?.diameterMm ?? this.chosen?.best.diameterMm;
    return this.camera === null ? undefined : plateEdgeOf(this.camera, this.#workshop.document, diameterMm);
  });
  readonly falloff: FrameFalloff | null = $derived(this.geometry === null ? null : frameFalloff(this.geometry, this.plateEdge));

  readonly filmThicknessMm: number = $derived(this.camera?.filmThicknessMm ?? SHEET_FILM_THICKNESS_MM);
  readonly plateSeatMm: number = $derived(this.camera?.plateSeatMm ?? 0);

  readonly depth: Depth = $derived.by(() => {
    const camera = this.camera;
    const holderDepthMm = camera?.holderDepthMm;
    if (this.focalLengthMm === null || holderDepthMm === undefined) {
      return {
        kind: 'missing',
        what: [
          ...(this.focalLengthMm === null ? ['the focal length'] : []),
          ...(holderDepthMm === undefined ? ['the holder’s depth'] : []),
        ],
      };
    }
    try {
      const seat = {
        focalLengthMm: this.focalLengthMm,
        holderDepthMm,
        filmThicknessMm: this.filmThicknessMm,
        plateSeatMm: this.plateSeatMm,
      };
      const wood = camera?.woodThicknessMm;
      const box = wood === undefined ? null : boxDepth({ ...seat, boardThicknessMm: wood });
      return { kind: 'known', insideMm: box?.insideDepthMm ?? insideDepthMm(seat), box };
    } catch (error) {
      if (isCamerawrightError(error)) {
        return { kind: 'impossible', sentence: error.message };
      }
      throw error;
    }
  });

  /** Over the wood, front to back; a back board is counted where the film lies on it. */
  readonly outsideDepthMm: number | null = $derived.by(() => {
    if (this.depth.kind !== 'known' || this.depth.box === null) {
      return null;
    }
    const backBoard = this.camera?.holderDepthMm === 0 ? (this.camera.woodThicknessMm ?? 0) : 0;
    return this.depth.box.outsideDepthMm + backBoard;
  });

  /** The answer in one or two sentences, and the rest for those who ask. */
  readonly words: { readonly answer: readonly string[]; readonly reasons: readonly string[] } = $derived.by(() => {
    if (this.camera === null) {
      return { answer: ['No camera on the bench yet.'], reasons: [] };
    }
    if (this.frame === null) {
      return {
        answer: ['Begin with the film: choose a format, or give the width and height of the image area.'],
        reasons: [],
      };
    }
    if (this.geometry === null) {
      return {
        answer: ['Now the focal length: give it, or start from an angle of view, a hole or a box you have.'],
        reasons: [],
      };
    }
    if (this.filmProblem !== null) {
      return { answer: [this.filmProblem, 'Until then it is drawn and reckoned as flat film.'], reasons: [] };
    }
    const { sentences } = describeCamera({
      camera: this.geometry,
      criterion: this.criterion,
      light: this.light,
      objectDistanceMm: this.objectDistanceMm,
      lengths: this.#appearance.plainUnit,
      ...(this.mounted !== null && { diameterMm: this.mounted.diameterMm }),
      ...(this.plateEdge !== undefined && { thicknessMm: this.plateEdge.thicknessMm, countersink: this.plateEdge.countersink }),
    });
    const [answer = '', ...reasons] = sentences;
    return { answer: [answer, ...this.#depthWords()], reasons };
  });

  #depthWords(): readonly string[] {
    const { depth } = this;
    // a can is as deep as it is
    if (this.geometry?.filmPlane === 'can') return [];
    switch (depth.kind) {
      case 'known': {
        const unit = this.#appearance.plainUnit;
        const shown = (lengthMm: number): string => formatLength(lengthMm, { unit, digits: unit === 'mm' ? 1 : 2 });
        const inside = shown(depth.insideMm);
        const outside = this.outsideDepthMm === null ? '' : `, ${shown(this.outsideDepthMm)} over the wood`;
        return [`The box is ${inside} deep inside${outside}.`];
      }
      case 'impossible':
        return [depth.sentence];
      case 'missing':
        return [];
    }
  }

  /** What the section is drawn from; `null` until there is a frame and a focal length. */
  readonly section: SectionInput | null = $derived.by(() => {
    if (this.geometry === null) {
      return null;
    }
    const { frame, focalLengthMm } = this.geometry;
    const cut = this.camera?.cutSize;
    return {
      frameWidthMm: frame.widthMm,
      frameHeightMm: frame.heightMm,
      focalLengthMm,
      filmPlane: this.geometry.filmPlane ?? 'flat',
      holeShiftXMm: this.shift.xMm,
      holeShiftYMm: this.shift.yMm,
      woodThicknessMm: this.camera?.woodThicknessMm ?? null,
      holderDepthMm: this.depth.kind === 'impossible' ? null : (this.camera?.holderDepthMm ?? null),
      filmThicknessMm: this.filmThicknessMm,
      plateSeatMm: this.plateSeatMm,
      sheetWidthMm: Math.max(frame.widthMm, cut?.widthMm ?? 0),
      sheetHeightMm: Math.max(frame.heightMm, cut?.heightMm ?? 0),
    };
  });

  typed(key: string): string | null {
    return this.camera?.typed?.[key] ?? null;
  }

  /** Stores a number and what was typed for it; `null` empties the field. */
  set(key: NumberKey, what: string, value: number | null, typed: string | null): void {
    this.#edit(what, key, typed, (camera) => {
      if (value === null) {
        delete camera[key];
      } else {
        camera[key] = value;
      }
    });
  }

  setFrame(side: 'widthMm' | 'heightMm', value: number | null, typed: string | null): void {
    this.#edit('image area', `frame.${side}`, typed, (camera) => {
      const frame = (camera.frame ??= {});
      if (value === null) {
        delete frame[side];
      } else {
        frame[side] = value;
      }
    });
  }

  /** Size the sheet is cut to; it is only drawn and cut, never reckoned with. */
  setCut(side: 'widthMm' | 'heightMm', value: number | null, typed: string | null): void {
    this.#edit('cut size', `cutSize.${side}`, typed, (camera) => {
      const size = (camera.cutSize ??= {});
      if (value === null) {
        delete size[side];
      } else {
        size[side] = value;
      }
    });
  }

  setShift(axis: 'xMm' | 'yMm', value: number | null, typed: string | null): void {
    this.#edit(axis === 'yMm' ? 'rise' : 'shift', `holeShift.${axis}`, typed, (camera) => {
      (camera.holeShift ??= {})[axis] = value ?? 0;
    });
  }

  moveHole(xMm: number, yMm: number): void {
    this.#workshop.editCamera('place of the hole', (camera) => {
      camera.holeShift = { ...camera.holeShift, xMm, yMm };
      keepTyped(camera, 'holeShift.xMm', null);
      keepTyped(camera, 'holeShift.yMm', null);
    });
  }

  setObjectDistance(value: number | null, typed: string | null): void {
    this.#edit('object distance', 'objectDistanceMm', typed, (camera) => {
      camera.objectDistanceMm = value;
    });
  }

  /** A film of the list by name, one of the workshop's own by id, or none. The speed typed was for the film before. */
  setFilm(film: { readonly name?: string; readonly id?: string }): void {
    this.#workshop.editCamera('film', (camera) => {
      delete camera.filmName;
      delete camera.filmId;
      delete camera.exposureIndex;
      keepTyped(camera, 'exposureIndex', null);
      if (film.name !== undefined) {
        camera.filmName = film.name;
      }
      if (film.id !== undefined) {
        camera.filmId = film.id;
      }
    });
  }

  setCriterion(criterion: Criterion): void {
    this.#workshop.editCamera('criterion', (camera) => {
      camera.criterion = criterion;
    });
  }

  setFilmPlane(kind: FilmPlane): void {
    this.#workshop.editCamera('film plane', (camera) => {
      camera.filmPlane = { ...camera.filmPlane, kind };
    });
  }

  setWood(name: string): void {
    this.#workshop.editCamera('wood', (camera) => {
      if (name === '') {
        delete camera.wood;
      } else {
        camera.wood = name;
      }
    });
  }

  /** A wish or a find that leads to a focal length: kept as typed, part of no drawing. */
  setWish(key: string, what: string, typed: string | null): void {
    this.#edit(what, `wish.${key}`, typed, () => undefined);
  }

  #edit(what: string, key: string, typed: string | null, recipe: (camera: EditableCamera) => void): void {
    this.#workshop.editCamera(what, (camera) => {
      recipe(camera);
      keepTyped(camera, key, typed);
    });
  }
}
