/** The reverse of tiff-codecs.ts, for tests: plain and slow, written from the standard. */

/** @source tiff6-1992 section 9; rows are packed one by one, as it asks */
export function packBits(raw: Uint8Array, rowBytes: number): Uint8Array {
  const out: number[] = [];
  for (let start = 0; start < raw.length; start += rowBytes) {
    const row = raw.subarray(start, start + rowBytes);
    for (let at = 0; at < row.length;) {
      let run = 1;
      while (run < 128 && at + run < row.length && row[at + run] === row[at]) run++;
      if (run > 1) {
        out.push(257 - run, row[at]!);
        at += run;
        continue;
      }
      let literal = 1;
      while (literal < 128 && at + literal < row.length && row[at + literal] !== row[at + literal - 1]) literal++;
      out.push(literal - 1, ...row.subarray(at, at + literal));
      at += literal;
    }
  }
  return Uint8Array.from(out);
}

/** @source tiff6-1992 section 13 */
export function packLzw(raw: Uint8Array): Uint8Array {
  const out: number[] = [];
  let held = 0;
  let heldBits = 0;
  let width = 9;
  const put = (code: number): void => {
    held = (held << width) | code;
    heldBits += width;
    while (heldBits >= 8) {
      out.push((held >>> (heldBits - 8)) & 255);
      heldBits -= 8;
    }
    held &= (1 << heldBits) - 1;
  };
  let table = new Map<string, number>();
  let next = 258;
  const codeOf = (text: string): number => (text.length === 1 ? text.charCodeAt(0) : table.get(text)!);
  put(256);
  let text = '';
  for (const byte of raw) {
    const longer = text + String.fromCharCode(byte);
    if (longer.length === 1 || table.has(longer)) {
      text = longer;
      continue;
    }
    put(codeOf(text));
    table.set(longer, next++);
    if (next === 4095) {
      put(256);
      table = new Map();
      next = 258;
      width = 9;
    } else if (next >= 1 << width && width < 12) {
      width += 1;
    }
    text = String.fromCharCode(byte);
  }
  if (text !== '') put(codeOf(text));
  put(257);
  if (heldBits > 0) out.push((held << (8 - heldBits)) & 255);
  return Uint8Array.from(out);
}
