/** What calls while the page is awake: tones, vibration, and a screen that stays lit. Each only where there is one. */

export class Signals {
  #audio: AudioContext | null = null;
  #lock: WakeLockSentinel | null = null;
  #wanted = false;

  /** Tones may only begin with a touch: called from one. */
  wake(): void {
    try {
      this.#audio ??= new AudioContext();
      void this.#audio.resume();
    } catch {
      // a device without sound
    }
  }

  /** @param lengthS of each tone, a pause as long between them */
  tone(frequencyHz: number, lengthS: number, count = 1): void {
    const audio = this.#audio;
    if (audio === null || audio.state !== 'running') return;
    for (let i = 0; i < count; i++) {
      const from = audio.currentTime + 2 * i * lengthS;
      const source = audio.createOscillator();
      const volume = audio.createGain();
      source.frequency.value = frequencyHz;
      volume.gain.setValueAtTime(0, from);
      volume.gain.linearRampToValueAtTime(0.5, from + 0.01);
      volume.gain.setValueAtTime(0.5, from + lengthS - 0.01);
      volume.gain.linearRampToValueAtTime(0, from + lengthS);
      source.connect(volume).connect(audio.destination);
      source.start(from);
      source.stop(from + lengthS);
    }
  }

  vibrate(pattern: number[]): void {
    if (typeof navigator.vibrate === 'function') navigator.vibrate(pattern);
  }

  /** True where the screen can be kept on. */
  get canStayLit(): boolean {
    return 'wakeLock' in navigator;
  }

  /** Asks again whenever the page comes back: a lock is lost with the screen. */
  async stayLit(): Promise<void> {
    this.#wanted = true;
    if (!this.canStayLit || document.visibilityState !== 'visible' || this.#lock?.released === false) return;
    try {
      const lock = await navigator.wakeLock.request('screen');
      if (this.#wanted) this.#lock = lock;
      else await lock.release();
    } catch {
      // a low battery may refuse; the time stays true all the same
    }
  }

  mayDim(): void {
    this.#wanted = false;
    void this.#lock?.release();
    this.#lock = null;
  }
}
