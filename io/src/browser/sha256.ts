/**
 * SHA-256 of a file's bytes, lower-case hex, by the browser; by ourselves where a page over plain http has no access
 * to it.
 */
export async function sha256Hex(bytes: Uint8Array): Promise<string> {
  const subtle = (globalThis.crypto as Crypto | undefined)?.subtle as SubtleCrypto | undefined;
  if (!subtle) return hex(sha256(bytes));
  return hex(new Uint8Array(await subtle.digest('SHA-256', bytes as Uint8Array<ArrayBuffer>)));
}

function hex(bytes: Uint8Array): string {
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
}

/** First 32 bits of the fractional parts of √ or ∛ of the first primes, as the standard makes its constants. */
function primeConstants(count: number, root: 2 | 3): Uint32Array {
  const out = new Uint32Array(count);
  for (let candidate = 2, found = 0; found < count; candidate++) {
    let prime = true;
    for (let d = 2; d * d <= candidate; d++) if (candidate % d === 0) prime = false;
    if (prime) out[found++] = rootFraction(BigInt(candidate), root);
  }
  return out;
}

/** Whole-number root of value · 2^(32 · root): doubles would lose the last bits. */
function rootFraction(value: bigint, root: 2 | 3): number {
  const target = value << BigInt(32 * root);
  let low = 0n;
  let high = 1n << 40n;
  while (high - low > 1n) {
    const middle = (low + high) >> 1n;
    if (middle ** BigInt(root) <= target) low = middle;
    else high = middle;
  }
  return Number(low & 0xffffffffn);
}

/** @source fips180-4 6.2 */
export function sha256(bytes: Uint8Array): Uint8Array {
  const k = primeConstants(64, 3);
  const h = primeConstants(8, 2);
  const padded = new Uint8Array(Math.ceil((bytes.length + 9) / 64) * 64);
  padded.set(bytes);
  padded[bytes.length] = 0x80;
  const view = new DataView(padded.buffer);
  view.setBigUint64(padded.length - 8, BigInt(bytes.length) * 8n);
  const w = new Uint32Array(64);
  const rotate = (x: number, n: number): number => (x >>> n) | (x << (32 - n));
  for (let at = 0; at < padded.length; at += 64) {
    for (let i = 0; i < 16; i++) w[i] = view.getUint32(at + 4 * i);
    for (let i = 16; i < 64; i++) {
      const a = w[i - 15]!;
      const b = w[i - 2]!;
      w[i] =
        w[i - 16]! +
        (rotate(a, 7) ^ rotate(a, 18) ^ (a >>> 3)) +
        w[i - 7]! +
        (rotate(b, 17) ^ rotate(b, 19) ^ (b >>> 10));
    }
    const s = Uint32Array.from(h);
    for (let i = 0; i < 64; i++) {
      const [a, b, c, d, e, f, g, last] = s as unknown as [
        number,
        number,
        number,
        number,
        number,
        number,
        number,
        number,
      ];
      const t1 = last + (rotate(e, 6) ^ rotate(e, 11) ^ rotate(e, 25)) + ((e & f) ^ (~e & g)) + k[i]! + w[i]!;
      const t2 = (rotate(a, 2) ^ rotate(a, 13) ^ rotate(a, 22)) + ((a & b) ^ (a & c) ^ (b & c));
      s.set([t1 + t2, a, b, c, d + t1, e, f, g]);
    }
    for (let i = 0; i < 8; i++) h[i] = h[i]! + s[i]!;
  }
  const out = new Uint8Array(32);
  const result = new DataView(out.buffer);
  h.forEach((value, i) => result.setUint32(4 * i, value));
  return out;
}
