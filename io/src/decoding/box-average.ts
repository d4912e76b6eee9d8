import { emptySamples } from './row-decoder.ts';
import type { Samples } from './row-decoder.ts';

/**
 * Averages whole blocks of pixels while rows go by, so that a scan is shrunk without ever being held. Blocks that
 * hang over the border average what there is of them.
 */
export class BoxAverage {
  readonly widthPx: number;
  readonly heightPx: number;
  readonly samples: Samples;
  readonly #inWidthPx: number;
  readonly #channels: 1 | 3;
  readonly #shrink: number;
  readonly #sums: Float64Array;
  #rowsInBlock = 0;
  #outRow = 0;

  constructor(
    size: { readonly widthPx: number; readonly heightPx: number },
    channels: 1 | 3,
    bitsPerSample: 8 | 16,
    shrink: number,
  ) {
    this.#inWidthPx = size.widthPx;
    this.#channels = channels;
    this.#shrink = shrink;
    this.widthPx = Math.ceil(size.widthPx / shrink);
    this.heightPx = Math.ceil(size.heightPx / shrink);
    this.samples = emptySamples(bitsPerSample, this.widthPx * this.heightPx * channels);
    this.#sums = new Float64Array(this.widthPx * channels);
  }

  /** @param row the next row, `widthPx × channels` samples */
  take(row: Samples): void {
    if (this.#channels === 1) this.#addGray(row);
    else this.#addColour(row);
    this.#rowsInBlock += 1;
    if (this.#rowsInBlock === this.#shrink) this.#flush();
  }

  /** Closes a last block that hangs over the bottom. */
  finish(): void {
    if (this.#rowsInBlock > 0) this.#flush();
  }

  #addGray(row: Samples): void {
    const sums = this.#sums;
    const shrink = this.#shrink;
    const whole = Math.floor(this.#inWidthPx / shrink);
    let at = 0;
    for (let column = 0; column < whole; column++) {
      let sum = 0;
      for (const end = at + shrink; at < end; at++) sum += row[at]!;
      sums[column]! += sum;
    }
    let rest = 0;
    for (; at < this.#inWidthPx; at++) rest += row[at]!;
    if (whole < this.widthPx) sums[whole]! += rest;
  }

  #addColour(row: Samples): void {
    const sums = this.#sums;
    const shrink = this.#shrink;
    let at = 0;
    for (let column = 0; column < this.widthPx; column++) {
      const last = Math.min((column + 1) * shrink, this.#inWidthPx) * 3;
      let red = 0;
      let green = 0;
      let blue = 0;
      for (; at < last; at += 3) {
        red += row[at]!;
        green += row[at + 1]!;
        blue += row[at + 2]!;
      }
      sums[column * 3]! += red;
      sums[column * 3 + 1]! += green;
      sums[column * 3 + 2]! += blue;
    }
  }

  #flush(): void {
    const c = this.#channels;
    const start = this.#outRow * this.widthPx * c;
    for (let column = 0; column < this.widthPx; column++) {
      const across = Math.min(this.#shrink, this.#inWidthPx - column * this.#shrink);
      const count = across * this.#rowsInBlock;
      for (let k = 0; k < c; k++) {
        this.samples[start + column * c + k] = Math.round(this.#sums[column * c + k]! / count);
      }
    }
    this.#sums.fill(0);
    this.#rowsInBlock = 0;
    this.#outRow += 1;
  }
}
