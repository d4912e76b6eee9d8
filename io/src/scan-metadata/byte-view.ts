import { FormatError } from '#core';

/**
 * Reads numbers at given places of a file and never past its end: whatever a file claims, the worst
 * answer is a FormatError. Places are counted from `base`, as EXIF blocks inside other files need it.
 */
export class ByteView {
  readonly bytes: Uint8Array;
  littleEndian: boolean;
  readonly #view: DataView;
  readonly #what: string;

  /** @param what the part of the file for error messages, such as `TIFF directory` */
  constructor(bytes: Uint8Array, what: string, littleEndian = false) {
    this.bytes = bytes;
    this.littleEndian = littleEndian;
    this.#what = what;
    this.#view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  }

  get length(): number {
    return this.bytes.length;
  }

  /** True when `count` bytes from `at` lie inside. */
  holds(at: number, count: number): boolean {
    return at >= 0 && count >= 0 && at + count <= this.bytes.length;
  }

  u8(at: number): number {
    this.#need(at, 1);
    return this.#view.getUint8(at);
  }

  u16(at: number): number {
    this.#need(at, 2);
    return this.#view.getUint16(at, this.littleEndian);
  }

  u32(at: number): number {
    this.#need(at, 4);
    return this.#view.getUint32(at, this.littleEndian);
  }

  i32(at: number): number {
    this.#need(at, 4);
    return this.#view.getInt32(at, this.littleEndian);
  }

  /** Past 2^53 the nearest double: such a place is outside every file anyway. */
  u64(at: number): number {
    this.#need(at, 8);
    return Number(this.#view.getBigUint64(at, this.littleEndian));
  }

  f32(at: number): number {
    this.#need(at, 4);
    return this.#view.getFloat32(at, this.littleEndian);
  }

  f64(at: number): number {
    this.#need(at, 8);
    return this.#view.getFloat64(at, this.littleEndian);
  }

  /** Latin-1 text; stops at the first NUL. */
  text(at: number, count: number): string {
    this.#need(at, count);
    let out = '';
    for (let i = at; i < at + count; i++) {
      const code = this.bytes[i]!;
      if (code === 0) break;
      out += String.fromCharCode(code);
    }
    return out;
  }

  slice(at: number, count: number): Uint8Array {
    this.#need(at, count);
    return this.bytes.subarray(at, at + count);
  }

  #need(at: number, count: number): void {
    if (!this.holds(at, count)) {
      throw new FormatError(
        'truncated',
        `The file ends too early: its ${this.#what} reaches to byte ${at + count}, but there are only ` +
          `${this.bytes.length}. Copy or scan it again.`,
        { at: `byte ${at}`, got: this.bytes.length, expected: `at least ${at + count} bytes` },
      );
    }
  }
}
