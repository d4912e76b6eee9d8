/**
 * The two packings of TIFF that no runtime brings along. Both write into a block of known size and refuse whatever
 * does not fit it: a damaged block can cost neither more memory nor more time than its pixels.
 */
import { FormatError } from '#core';

function damaged(why: string): FormatError {
  return new FormatError('damaged', `The picture is damaged: ${why}. Scan or copy it again.`);
}

/**
 * @param unpackedBytes of the block; surplus packed bytes are ignored
 * @source tiff6-1992 section 9
 * @throws FormatError damaged
 */
export function unpackBits(packed: Uint8Array, unpackedBytes: number): Uint8Array {
  const out = new Uint8Array(unpackedBytes);
  let at = 0;
  let filled = 0;
  while (filled < unpackedBytes) {
    if (at >= packed.length) throw damaged('a strip ends before its pixels do');
    const head = packed[at++]!;
    if (head === 128) continue;
    const literal = head < 128;
    const count = literal ? head + 1 : 257 - head;
    if (at + (literal ? count : 1) > packed.length) throw damaged('a strip ends before its pixels do');
    // A last run may reach into padding that is not part of the picture.
    const end = Math.min(filled + count, unpackedBytes);
    if (literal) {
      out.set(packed.subarray(at, at + end - filled), filled);
      at += count;
    } else {
      out.fill(packed[at]!, filled, end);
      at += 1;
    }
    filled = end;
  }
  return out;
}

const CLEAR = 256;
const END = 257;
const FIRST_FREE = 258;
const MOST_CODES = 4096;

/**
 * LZW with codes of 9 to 12 bits, most significant bit first, widening one code early.
 * @param unpackedBytes of the block
 * @source tiff6-1992 section 13
 * @throws FormatError damaged
 */
export function unpackLzw(packed: Uint8Array, unpackedBytes: number): Uint8Array {
  const out = new Uint8Array(unpackedBytes);
  // A code is the string that began at `starts` in the output and is `lengths` long: no chains to follow.
  const starts = new Uint32Array(MOST_CODES);
  const lengths = new Uint32Array(MOST_CODES);
  let next = FIRST_FREE;
  let width = 9;
  let bits = 0;
  let held = 0;
  let at = 0;
  let filled = 0;
  let previousAt = -1;
  let previousLength = 0;
  while (filled < unpackedBytes) {
    while (held < width) {
      if (at >= packed.length) throw damaged('a strip ends before its pixels do');
      bits = ((bits << 8) | packed[at++]!) & 0xffffff;
      held += 8;
    }
    held -= width;
    const code = (bits >>> held) & ((1 << width) - 1);
    if (code === END) throw damaged('a strip ends before its pixels do');
    if (code === CLEAR) {
      next = FIRST_FREE;
      width = 9;
      previousAt = -1;
      continue;
    }
    const from = filled;
    if (code < CLEAR) {
      out[filled++] = code;
    } else {
      // The one code that may be used before it is made: the last string and its own first byte.
      const known = code < next;
      if (previousAt < 0 || (!known && code !== next)) throw damaged('a strip holds an impossible code');
      const start = known ? starts[code]! : previousAt;
      const length = known ? lengths[code]! : previousLength + 1;
      const end = Math.min(filled + length, unpackedBytes);
      for (let i = start; filled < end; i++) out[filled++] = out[i]!;
    }
    if (previousAt >= 0 && next < MOST_CODES) {
      starts[next] = previousAt;
      lengths[next] = previousLength + 1;
      next += 1;
      if (next >= (1 << width) - 1 && width < 12) width += 1;
    }
    previousAt = from;
    previousLength = filled - from;
  }
  return out;
}
