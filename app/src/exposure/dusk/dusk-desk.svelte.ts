/**
 * What the part “Light that changes” knows: readings with their times, opening and end as they stand in the workshop, and
 * the answer that follows. The sky is loaded when a place is to be used.
 */
import type { ChangingAnswer, Draft, LightCourse, LightReading, QuestionRecord } from '#core';
import {
  UNREAD_SKY_STOPS, changingExposure, endOfLight, isCamerawrightError, readingsCourse, skyCourse, steadyCourse, unreadSkyCourse,
} from '#core';
import type * as SkyDoor from '#core/sun';
import type { TimeZone } from '#io/browser';
import type { Bench } from '../../shell/index.ts';
import { ExposureDesk } from '../exposure-desk.svelte.ts';
import { now, placeOf, zoneOf } from '../place-desk.ts';

type Changing = NonNullable<QuestionRecord['changing']>;
type Sky = typeof SkyDoor;

export type DuskAnswered =
  | { readonly kind: 'answer'; readonly answer: ChangingAnswer; readonly openAtS: number; readonly unread: boolean }
  | { readonly kind: 'missing'; readonly sentence: string };

/** How far ahead the sky is looked up. */
const LONGEST_S = 15 * 3600;

export class DuskDesk {
  readonly #bench: Bench;
  readonly exposure: ExposureDesk;
  #sky = $state.raw<Sky | null>(null);
  /** The present when the part was entered: what is not typed is now. */
  readonly enteredAtS: number;

  constructor(bench: Bench) {
    this.#bench = bench;
    this.exposure = new ExposureDesk(bench);
    this.enteredAtS = Math.round(now(bench) / 60) * 60;
    void import('#core/sun').then((sky) => (this.#sky = sky));
  }

  get state(): Changing {
    return this.exposure.question.changing ?? {};
  }

  get zone(): TimeZone {
    return zoneOf(this.#bench);
  }

  get place(): ReturnType<typeof placeOf> {
    return placeOf(this.#bench);
  }

  get by(): 'place' | 'readings' {
    return this.state.by ?? (this.place === null ? 'readings' : 'place');
  }

  get readings(): readonly LightReading[] {
    return (this.state.readings ?? []).map(({ at, ev100Ev }) => ({ instantS: Date.parse(at) / 1000, ev100Ev }));
  }

  /** The day of all times: the one chosen, that of the first reading or of the opening, or today. */
  get date(): string {
    const { date, readings, openAt } = this.state;
    const first = readings?.[0]?.at ?? openAt;
    return date ?? this.zone.date(first === undefined ? this.enteredAtS : Date.parse(first) / 1000);
  }

  /** What the clock shows now, on the day that is asked about. */
  #nowThatDay(atS: number): number {
    const minute = Math.round(atS / 60) * 60;
    return this.state.date === undefined ? minute : this.zone.instantS(this.state.date, this.zone.clock(minute));
  }

  get openAtS(): number {
    const { openAt } = this.state;
    if (openAt !== undefined) return Date.parse(openAt) / 1000;
    const { readings } = this;
    return readings.length === 0 ? this.#nowThatDay(this.enteredAtS) : Math.max(...readings.map(({ instantS }) => instantS));
  }

  get untilAtS(): number | null {
    return this.state.untilAt === undefined ? null : Date.parse(this.state.untilAt) / 1000;
  }

  #course(): { readonly course: LightCourse; readonly unread: boolean } | { readonly kind: 'missing'; readonly sentence: string } {
    const { readings, place, openAtS } = this;
    if (this.by === 'place') {
      if (place === null) return { kind: 'missing', sentence: 'Type latitude and longitude, or tell the light by two readings.' };
      const sky = this.#sky;
      if (sky === null) return { kind: 'missing', sentence: 'Looking up sun and moon …' };
      const earliest = Math.min(openAtS, ...readings.map(({ instantS }) => instantS));
      const light = sky.skyLight(place, earliest - sky.SKY_BEFORE_S, openAtS + LONGEST_S);
      const unread = readings.length === 0;
      return { course: unread ? unreadSkyCourse(light, openAtS) : skyCourse(light, readings), unread };
    }
    if (readings.length === 0) return { kind: 'missing', sentence: 'Type what the meter shows now, as EV at ISO 100.' };
    const [only] = readings;
    if (readings.length === 1 && only !== undefined && (this.state.cloudShare ?? 0) > 0) {
      return { course: steadyCourse(only.ev100Ev), unread: false };
    }
    return { course: readingsCourse(readings), unread: false };
  }

  readonly #answered = $derived.by<DuskAnswered>(() => {
    const question = this.exposure.unlit;
    if ('kind' in question) return question;
    try {
      const found = this.#course();
      if ('kind' in found) return found;
      const { course, unread } = found;
      const { openAtS } = this;
      const { cloudShare, cloudStops } = this.state;
      const answer = changingExposure({
        question,
        course,
        openAtS,
        untilS: this.untilAtS ?? endOfLight(course, openAtS),
        ...(unread && { lightStandardUncertaintyStops: UNREAD_SKY_STOPS }),
        ...(cloudShare !== undefined && cloudShare > 0 && { cloud: { timeShare: cloudShare, stops: cloudStops ?? 2 } }),
        clock: (instantS, withSeconds) => this.zone.clock(instantS, withSeconds),
      });
      return { kind: 'answer', answer, openAtS, unread };
    } catch (error) {
      if (!isCamerawrightError(error)) throw error;
      return { kind: 'missing', sentence: error.message };
    }
  });

  get answered(): DuskAnswered {
    return this.#answered;
  }

  // ---- changes ----

  #change(what: string, recipe: (changing: Draft<Changing>) => void): void {
    this.#bench.workshop.edit(what, (draft) => {
      draft.question ??= {};
      draft.question.changing ??= {};
      recipe(draft.question.changing);
    });
  }

  /** An ISO time of a clock time on that day. */
  isoOf(clock: string, date = this.date): string {
    return this.zone.iso(this.zone.instantS(date, clock));
  }

  setBy(by: 'place' | 'readings'): void {
    this.#change('how the light is told', (changing) => {
      changing.by = by;
    });
  }

  addReading(ev100Ev: number): void {
    const last = this.readings.at(-1);
    const at = Math.max(this.#nowThatDay(now(this.#bench)), last === undefined ? -Infinity : last.instantS + 60);
    this.#change('reading', (changing) => {
      changing.readings = [...(changing.readings ?? []), { at: this.zone.iso(at), ev100Ev }];
    });
  }

  setReading(index: number, change: { readonly at?: string; readonly ev100Ev?: number }): void {
    this.#change('reading', (changing) => {
      changing.readings = (changing.readings ?? []).map((reading, i) => (i === index ? { ...reading, ...change } : reading));
    });
  }

  removeReading(index: number): void {
    this.#change('reading', (changing) => {
      changing.readings = (changing.readings ?? []).filter((_, i) => i !== index);
    });
  }

  setTime(key: 'openAt' | 'untilAt', iso: string | null): void {
    this.#change(key === 'openAt' ? 'opening' : 'end of the light', (changing) => {
      if (iso === null) delete changing[key];
      else changing[key] = iso;
    });
  }

  /** All times keep their hour and move to another day. */
  setDate(date: string): void {
    const { zone } = this;
    const moved = (iso: string): string => zone.iso(zone.instantS(date, zone.clock(Date.parse(iso) / 1000)));
    this.#change('date', (changing) => {
      changing.date = date;
      if (changing.readings !== undefined) {
        changing.readings = changing.readings.map((reading) => ({ ...reading, at: moved(reading.at) }));
      }
      if (changing.openAt !== undefined) changing.openAt = moved(changing.openAt);
      if (changing.untilAt !== undefined) changing.untilAt = moved(changing.untilAt);
    });
  }

  setCloud(key: 'cloudShare' | 'cloudStops', value: number | null): void {
    this.#change('cloud', (changing) => {
      if (value === null) delete changing[key];
      else changing[key] = value;
    });
  }
}
