/** The timer and what calls, on a device made of stubs: clock, storage, screen lock, sound and motor. */
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { findFilm } from '#core';
import type { ExposureQuestion } from '#core';
import { FieldTimer } from './field-timer.svelte.ts';

const START = Date.parse('2026-06-21T17:00:00Z');
const question: ExposureQuestion = { fNumber: 250, light: { kind: 'ev', ev100Ev: 8 }, film: findFilm('HP5 Plus') };

interface Tone {
  readonly hertz: number;
  readonly fromS: number;
  readonly lengthS: number;
}

/** A device whose clock goes where the test wants it, whether its timers fire or not. */
class Device {
  nowMs = START;
  readonly stored = new Map<string, string>();
  readonly tones: Tone[] = [];
  readonly buzzes: number[][] = [];
  locks: { released: boolean }[] = [];
  lockRequests = 0;
  refuseLock = false;
  visible = true;

  constructor() {
    // eslint-disable-next-line @typescript-eslint/no-this-alias -- the stubs look at the device
    const device = this;
    vi.stubGlobal('localStorage', {
      getItem: (key: string) => device.stored.get(key) ?? null,
      setItem: (key: string, value: string) => void device.stored.set(key, value),
      removeItem: (key: string) => void device.stored.delete(key),
    });
    vi.stubGlobal('document', {
      get visibilityState() {
        return device.visible ? 'visible' : 'hidden';
      },
    });
    vi.stubGlobal('navigator', {
      vibrate: (pattern: number[]) => device.buzzes.push(pattern),
      wakeLock: {
        request: async () => {
          device.lockRequests += 1;
          if (device.refuseLock) throw new Error('low battery');
          const lock = { released: false, release: () => Promise.resolve(void (lock.released = true)) };
          device.locks.push(lock);
          return Promise.resolve(lock);
        },
      },
    });
    vi.stubGlobal(
      'AudioContext',
      class {
        state = 'running';
        destination = {};
        get currentTime() {
          return (device.nowMs - START) / 1000;
        }
        resume = () => Promise.resolve();
        createGain = () => ({ gain: { setValueAtTime: () => 0, linearRampToValueAtTime: () => 0 }, connect: () => ({}) });
        createOscillator = () => {
          const frequency = { value: 0 };
          let fromS = 0;
          return {
            frequency,
            connect: (next: unknown) => next,
            start: (at: number) => void (fromS = at),
            stop: (at: number) => void device.tones.push({ hertz: frequency.value, fromS, lengthS: at - fromS }),
          };
        };
      },
    );
  }

  readonly clock = { now: () => new Date(this.nowMs).toISOString(), zone: () => 'Europe/Berlin' };

  /** Awake: the ticks come. */
  async run(seconds: number): Promise<void> {
    for (let i = 0; i < seconds * 10; i++) {
      this.nowMs += 100;
      await vi.advanceTimersByTimeAsync(100);
    }
  }

  /** Asleep: the clock goes on, nothing fires, and the system takes the screen lock away. */
  sleep(seconds: number): void {
    this.visible = false;
    for (const lock of this.locks) lock.released = true;
    this.nowMs += seconds * 1000;
  }
}

let device: Device;
beforeEach(() => {
  vi.useFakeTimers({ toFake: ['setInterval', 'clearInterval'] });
  device = new Device();
});
afterEach(() => {
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

function started(timeS: number, preCountS = 0): FieldTimer {
  const timer = new FieldTimer(device.clock);
  timer.start({ question, timeS, preCountS, cameraId: null });
  return timer;
}

describe('what the timer shows', () => {
  it('stores the instant of the start and counts nothing: true after a lock, and in a page that was loaded anew', async () => {
    const timer = started(220, 10);
    expect(JSON.parse(device.stored.get('camerawright.running-exposure') ?? '')).toMatchObject({ startedAt: '2026-06-21T17:00:00.000Z', preCountS: 10, timeS: 220 });
    await device.run(3);
    expect(timer.state).toMatchObject({ phase: 'count-in', leftS: 7 });
    device.sleep(100);
    // not even one tick: the state is that of the last look, until the page comes back
    device.visible = true;
    timer.comeBack();
    expect(timer.state?.phase).toBe('open');
    expect(timer.state?.openS).toBeCloseTo(93, 9);
    const reloaded = new FieldTimer(device.clock);
    expect(reloaded.state?.openS).toBeCloseTo(93, 9);
    expect(reloaded.closesAtMs).toBe(START + 230_000);
  });

  it('tells an overrun in stops on this film, and what was given against what was planned', () => {
    const timer = started(220);
    device.sleep(1750);
    device.visible = true;
    timer.comeBack();
    // HP5 Plus, t^1.31: log2(1750/220)/1.31 = 2.28
    expect(timer.state?.overStops).toBeCloseTo(Math.log2(1750 / 220) / 1.31, 6);
    timer.close();
    device.nowMs += 60_000;
    expect(timer.state?.openS).toBeCloseTo(1750, 9);
    expect(timer.offStops).toBeCloseTo(2.28, 2);
    timer.forget();
    expect(device.stored.size).toBe(0);
  });

  it('writes nothing down that was stopped before it opened', async () => {
    const timer = started(60, 5);
    await device.run(2);
    timer.close();
    expect(timer.running).toBeNull();
    expect(device.stored.size).toBe(0);
  });

  it('runs without storage, and takes nothing for an exposure that is none', () => {
    device.stored.set('camerawright.running-exposure', '{"startedAt":"yesterday","preCountS":0,"timeS":60,"question":{}}');
    expect(new FieldTimer(device.clock).running).toBeNull();
    vi.stubGlobal('localStorage', { getItem: () => { throw new Error('forbidden'); }, setItem: () => { throw new Error('forbidden'); } });
    const timer = started(60);
    device.nowMs += 20_000;
    timer.look();
    expect(timer.state?.openS).toBeCloseTo(20, 9);
  });
});

describe('the screen', () => {
  it('is kept lit while it runs, asked for again after it was lost, and let go at the end', async () => {
    const timer = started(60);
    await device.run(0.2);
    expect(device.locks.map(({ released }) => released)).toEqual([false]);
    device.sleep(10);
    device.visible = true;
    timer.comeBack();
    await device.run(0.2);
    expect(device.locks.map(({ released }) => released)).toEqual([true, false]);
    // another look while it is lit asks for nothing
    timer.comeBack();
    await device.run(0.2);
    expect(device.lockRequests).toBe(2);
    timer.close();
    expect(device.locks.every(({ released }) => released)).toBe(true);
  });

  it('may go dark where there is no lock or it is refused: the time stays true', async () => {
    device.refuseLock = true;
    const timer = started(60);
    await device.run(1);
    expect(timer.canStayLit).toBe(true);
    expect(timer.state?.openS).toBeCloseTo(1, 9);
    vi.stubGlobal('navigator', {});
    const plain = started(60);
    await device.run(1);
    expect(plain.canStayLit).toBe(false);
    expect(plain.state?.openS).toBeCloseTo(1, 9);
  });

  it('is not asked for by a page that nobody sees', async () => {
    device.visible = false;
    started(60);
    await device.run(0.2);
    expect(device.lockRequests).toBe(0);
  });
});

describe('what calls', () => {
  it('counts in with short tones, opens with a long one and a buzz, counts the last five seconds, and calls at the end', async () => {
    const timer = started(8, 3);
    await device.run(3);
    const count = device.tones.splice(0);
    expect(count.map(({ hertz, lengthS }) => [hertz, Number(lengthS.toFixed(2))])).toEqual([[660, 0.08], [660, 0.08], [660, 0.08], [880, 0.5]]);
    expect(device.buzzes.splice(0)).toEqual([[300]]);
    await device.run(7.9);
    expect(device.tones.splice(0).map(({ hertz }) => hertz)).toEqual([660, 660, 660, 660, 660]);
    await device.run(0.2);
    expect(device.tones.splice(0).map(({ hertz }) => hertz)).toEqual([990, 990, 990, 990]);
    expect(device.buzzes).toEqual([[400, 150, 400, 150, 800]]);
    // it calls again every ten seconds until somebody comes, and is still when it is closed
    await device.run(20);
    expect(device.buzzes.length).toBe(3);
    timer.close();
    await device.run(20);
    expect(device.buzzes.length).toBe(3);
  });

  it('calls at once when the page comes back past the end, and not an hour later', async () => {
    const timer = started(60);
    expect(device.buzzes.splice(0)).toEqual([[300]]);
    device.sleep(75);
    device.visible = true;
    timer.comeBack();
    await device.run(0.1);
    expect(device.buzzes).toEqual([[400, 150, 400, 150, 800]]);
    device.sleep(3600);
    device.visible = true;
    timer.comeBack();
    await device.run(0.1);
    expect(device.buzzes.length).toBe(1);
  });

  it('is silent on a device without sound and motor', async () => {
    vi.stubGlobal('AudioContext', class { constructor() { throw new Error('no sound'); } });
    vi.stubGlobal('navigator', {});
    const timer = started(2, 1);
    await device.run(5);
    expect(timer.state?.phase).toBe('over');
    expect(device.tones).toEqual([]);
  });
});
