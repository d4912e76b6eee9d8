/** The timer of the field view: what runs, where it stands now, and what calls when. */
import type { ExposureQuestion, TimerState } from '#core';
import { differenceStops, timerState } from '#core';
import type { Clock } from '#io/ports';
import { recalledRunning, rememberRunning } from './running.ts';
import type { Running } from './running.ts';
import { Signals } from './signals.ts';

/** Looks at the clock so often while something runs. */
const TICK_MS = 100;
/** Past the end it calls again so often, so long. */
const CALL_AGAIN_S = 10;
const CALLS_UNTIL_S = 300;
const LAST_SECONDS = 5;

export class FieldTimer {
  readonly #clock: Clock;
  readonly #signals = new Signals();
  #running = $state.raw<Running | null>(recalledRunning());
  #nowMs = $state(0);
  #ticking: ReturnType<typeof setInterval> | undefined;
  #called = '';

  constructor(clock: Clock) {
    this.#clock = clock;
    this.look();
    if (this.#running !== null && this.#running.closedAt === null) this.#tick();
  }

  get running(): Running | null {
    return this.#running;
  }

  get canStayLit(): boolean {
    return this.#signals.canStayLit;
  }

  /** Where it stands; `null` when nothing runs. */
  get state(): TimerState | null {
    const running = this.#running;
    if (running === null) return null;
    const now = running.closedAt === null ? this.#nowMs : Date.parse(running.closedAt);
    return timerState({
      elapsedS: Math.max(0, (now - Date.parse(running.startedAt)) / 1000),
      preCountS: running.preCountS,
      timeS: running.timeS,
      film: running.question.film ?? null,
    });
  }

  /** When the shutter is to be closed. */
  get closesAtMs(): number | null {
    const running = this.#running;
    return running === null ? null : Date.parse(running.startedAt) + 1000 * (running.preCountS + running.timeS);
  }

  /** Given against planned, stops; `null` before it is closed. */
  get offStops(): number | null {
    const { running, state } = this;
    if (running === null || running.closedAt === null || state === null || state.openS <= 0) return null;
    return differenceStops(running.question.film ?? null, state.openS, running.timeS);
  }

  /** Asks the clock anew: on every tick, and when the page comes back. */
  look(): void {
    this.#nowMs = Date.parse(this.#clock.now());
    this.#call();
  }

  /** From a touch, so that tones may sound. */
  start(what: { readonly question: ExposureQuestion; readonly timeS: number; readonly preCountS: number; readonly cameraId: string | null }): void {
    this.#signals.wake();
    this.#set({ ...what, startedAt: this.#clock.now(), closedAt: null });
    this.#called = '';
    this.#tick();
    this.look();
  }

  close(): void {
    if (this.#running === null || this.#running.closedAt !== null) return;
    const { state } = this;
    // closed before it opened: nothing was given
    if (state?.phase === 'count-in') this.#set(null);
    else this.#set({ ...this.#running, closedAt: this.#clock.now() });
    this.#rest();
  }

  forget(): void {
    this.#set(null);
    this.#rest();
  }

  /** Lets go of ticking and screen; what runs goes on by the clock. */
  leave(): void {
    this.#rest();
  }

  comeBack(): void {
    this.look();
    if (this.#running !== null && this.#running.closedAt === null) this.#tick();
  }

  #set(running: Running | null): void {
    this.#running = running;
    rememberRunning(running);
  }

  #tick(): void {
    void this.#signals.stayLit();
    this.#ticking ??= setInterval(() => this.look(), TICK_MS);
  }

  #rest(): void {
    clearInterval(this.#ticking);
    this.#ticking = undefined;
    this.#signals.mayDim();
  }

  /** Calls once for each thing worth a call. */
  #call(): void {
    const running = this.#running;
    const { state } = this;
    if (running === null || running.closedAt !== null || state === null || this.#ticking === undefined) return;
    const whole = Math.ceil(state.leftS - 1e-6);
    let call = '';
    if (state.phase === 'count-in') call = `in ${whole}`;
    else if (state.phase === 'open') call = state.openS < 1 ? 'open' : whole <= LAST_SECONDS ? `last ${whole}` : '';
    else if (state.leftS < CALLS_UNTIL_S) call = `over ${Math.floor(state.leftS / CALL_AGAIN_S)}`;
    if (call === this.#called || call === '') return;
    this.#called = call;
    if (call.startsWith('in')) this.#signals.tone(660, 0.08);
    else if (call === 'open') {
      this.#signals.tone(880, 0.5);
      this.#signals.vibrate([300]);
    } else if (call.startsWith('last')) this.#signals.tone(660, 0.08);
    else {
      this.#signals.tone(990, 0.25, 4);
      this.#signals.vibrate([400, 150, 400, 150, 800]);
    }
  }
}
