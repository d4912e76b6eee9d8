/**
 * From what files say about their tone curve to the three curves that the measurement knows.
 * Only a real statement counts: a profile, a chunk or a tag, never a custom.
 */
import { isCamerawrightError } from '#core';
import type { ToneCurve } from '#core';
import { ByteView } from './byte-view.ts';

export interface ToneStatement {
  readonly tone: ToneCurve | null;
  readonly note: string;
}

/** A curve is taken for a known one when it never departs from it by more than this share of white. */
const CURVE_TOLERANCE = 0.006;

/** @source iec61966-2-1 sRGB, encoded 0…1 to light 0…1 */
function srgbLight(encoded: number): number {
  return encoded <= 0.04045 ? encoded / 12.92 : ((encoded + 0.055) / 1.055) ** 2.4;
}

/**
 * Names the curve that turns encoded values (0…1) into light, or null when it is none of ours.
 * @param light the curve, sampled at equal steps of the encoded value from 0 to 1
 */
export function recognisedTone(light: readonly number[]): ToneCurve | null {
  const last = light.length - 1;
  if (last < 1 || !light.every(Number.isFinite)) return null;
  const near = (curve: (encoded: number) => number) =>
    light.every((value, i) => Math.abs(value - curve(i / last)) <= CURVE_TOLERANCE);
  if (near((encoded) => encoded)) return { kind: 'linear' };
  if (near(srgbLight)) return { kind: 'srgb' };
  const gamma = fittedGamma(light);
  if (gamma !== null && near((encoded) => encoded ** gamma)) return { kind: 'gamma', gamma };
  return null;
}

/** Exponent through the middle of the curve, rounded to what a maker would type. */
function fittedGamma(light: readonly number[]): number | null {
  const last = light.length - 1;
  const middle = Math.round(last / 2);
  const encoded = middle / last;
  const value = light[middle]!;
  if (!(value > 0 && value < 1 && encoded > 0 && encoded < 1)) return null;
  const gamma = Math.round((Math.log(value) / Math.log(encoded)) * 1000) / 1000;
  return gamma >= 0.2 && gamma <= 5 ? gamma : null;
}

/** TIFF tag 301: light (0…65535) for each possible sample value. */
export function transferFunctionTone(table: readonly number[]): ToneStatement {
  // 256 or 65536 entries: both hold 256 equally spaced ones that begin at black and end at white.
  const step = (table.length - 1) / 255;
  if (!(step >= 1 && Number.isInteger(step))) {
    return { tone: null, note: 'The transfer function of the file (TIFF tag 301) is not understood.' };
  }
  const light = Array.from({ length: 256 }, (_, i) => table[i * step]! / 65535);
  const tone = recognisedTone(light);
  return tone
    ? { tone, note: `${toneInWords(tone)}, from the transfer function (TIFF tag 301).` }
    : {
        tone: null,
        note: 'The transfer function of the file (TIFF tag 301) is neither sRGB, linear nor a plain gamma.',
      };
}

/** PNG gAMA: 100000 × the exponent of encoding. */
export function gammaChunkTone(gammaTimes100000: number): ToneStatement {
  if (gammaTimes100000 < 20000 || gammaTimes100000 > 500000) {
    return { tone: null, note: 'The gAMA chunk of the file states no possible tone curve.' };
  }
  const gamma = Math.round((100000 / gammaTimes100000) * 1000) / 1000;
  const tone: ToneCurve = Math.abs(gamma - 1) < 0.005 ? { kind: 'linear' } : { kind: 'gamma', gamma };
  return { tone, note: `${toneInWords(tone)}, from the gAMA chunk.` };
}

/**
 * Tone curve of an embedded profile: its gray or green curve, or, for profiles made of tables, what its
 * description says.
 * @source icc1-2022 7.2 header, 10.6 curveType, 10.18 parametricCurveType
 */
export function profileTone(profile: Uint8Array, where: string): ToneStatement {
  try {
    return readProfile(profile, where);
  } catch (error) {
    // A profile is an extra: without it the tone is merely unknown, and that is said.
    if (isCamerawrightError(error)) return { tone: null, note: damagedProfile(where) };
    throw error;
  }
}

function damagedProfile(where: string): string {
  return `The colour profile (${where}) is damaged and was not used.`;
}

function readProfile(profile: Uint8Array, where: string): ToneStatement {
  const unknown = (why: string): ToneStatement => ({ tone: null, note: `The colour profile (${where}) ${why}.` });
  const view = new ByteView(profile, 'colour profile');
  if (!view.holds(0, 132) || view.text(36, 4) !== 'acsp') return { tone: null, note: damagedProfile(where) };
  const tags = new Map<string, { at: number; count: number }>();
  const count = Math.min(view.u32(128), 200);
  for (let i = 0; i < count && view.holds(132 + 12 * i, 12); i++) {
    const entry = 132 + 12 * i;
    const at = view.u32(entry + 4);
    const size = view.u32(entry + 8);
    if (view.holds(at, size)) tags.set(view.text(entry, 4), { at, count: size });
  }
  const curve = tags.get('kTRC') ?? tags.get('gTRC');
  if (curve && !tags.has('A2B0')) {
    const light = profileCurve(view, curve);
    const tone = light && recognisedTone(light);
    if (!tone) return unknown('has a tone curve that is neither sRGB, linear nor a plain gamma');
    return { tone, note: `${toneInWords(tone)}, from the colour profile (${where}).` };
  }
  const description = tags.get('desc');
  const words = description ? profileText(view, description) : '';
  const tone: ToneCurve | null = /sRGB/i.test(words)
    ? { kind: 'srgb' }
    : /linear/i.test(words)
      ? { kind: 'linear' }
      : null;
  if (!tone) return unknown('does not state a simple tone curve');
  return { tone, note: `${toneInWords(tone)}, from the name of the colour profile (${where}).` };
}

function profileCurve(view: ByteView, { at, count }: { at: number; count: number }): number[] | null {
  if (count < 12) return null;
  const kind = view.text(at, 4);
  if (kind === 'curv') {
    const entries = view.u32(at + 8);
    if (entries === 0) return sampled((x) => x);
    if (count < 12 + 2 * entries) return null;
    if (entries === 1) {
      const gamma = view.u16(at + 12) / 256;
      return sampled((x) => x ** gamma);
    }
    return Array.from({ length: entries }, (_, i) => view.u16(at + 12 + 2 * i) / 65535);
  }
  if (kind !== 'para') return null;
  const parameters = [1, 3, 4, 5, 7][view.u16(at + 8)];
  if (parameters === undefined || count < 12 + 4 * parameters) return null;
  const [g = 1, a = 1, b = 0, c = 0, d = 0, e = 0, f = 0] = Array.from(
    { length: parameters },
    (_, i) => view.i32(at + 12 + 4 * i) / 65536,
  );
  const power = (x: number) => Math.max(0, a * x + b) ** g;
  switch (view.u16(at + 8)) {
    case 0:
      return sampled((x) => x ** g);
    case 1:
      return sampled((x) => (a !== 0 && x >= -b / a ? power(x) : 0));
    case 2:
      return sampled((x) => (a !== 0 && x >= -b / a ? power(x) + c : c));
    case 3:
      return sampled((x) => (x >= d ? power(x) : c * x));
    default:
      return sampled((x) => (x >= d ? power(x) + e : c * x + f));
  }
}

function sampled(curve: (encoded: number) => number): number[] {
  return Array.from({ length: 257 }, (_, i) => curve(i / 256));
}

/** Old profiles keep the name as ASCII, new ones as UTF-16: both survive dropping the NULs. */
function profileText(view: ByteView, { at, count }: { at: number; count: number }): string {
  const bytes = view.slice(at, Math.min(count, 512));
  let out = '';
  for (const code of bytes) if (code >= 32 && code < 127) out += String.fromCharCode(code);
  return out;
}

export function toneInWords(tone: ToneCurve): string {
  if (tone.kind === 'srgb') return 'sRGB';
  return tone.kind === 'linear' ? 'linear' : `gamma ${tone.gamma}`;
}
