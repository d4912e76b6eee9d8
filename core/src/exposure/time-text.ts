/** Times as a photographer notes them, read back. */

const UNIT_S: Readonly<Record<string, number>> = {
  s: 1, sec: 1, second: 1, seconds: 1, '"': 1, '″': 1,
  min: 60, m: 60, minute: 60, minutes: 60, "'": 60, '′': 60,
  h: 3600, hour: 3600, hours: 3600, d: 86_400, day: 86_400, days: 86_400,
};

/** A number or a fraction, with a point or a comma; `null` where it is neither. */
export function plainNumber(text: string): number | null {
  const clean = text.trim().replace(',', '.');
  const fraction = /^(\d+(?:\.\d+)?)\s*[/⁄]\s*(\d+(?:\.\d+)?)$/.exec(clean);
  if (fraction !== null) {
    return Number(fraction[1]) / Number(fraction[2]);
  }
  return /^\d*\.?\d+$|^\d+\.$/.test(clean) ? Number(clean) : null;
}

/** Seconds of `1/60`, `2 s`, `1 min 30 s`, `1:30`, `2 h`; a bare number is seconds; `null` where it is not understood. */
export function parseTimeS(text: string): number | null {
  const clean = text.trim().toLowerCase().replace(/(\d),(\d)/g, '$1.$2');
  const clock = /^(?:(\d+):)?(\d+):(\d{1,2}(?:\.\d+)?)$/.exec(clean);
  if (clock !== null) {
    return Number(clock[1] ?? 0) * 3600 + Number(clock[2]) * 60 + Number(clock[3]);
  }
  const bare = plainNumber(clean);
  if (bare !== null) {
    return bare;
  }
  let total = 0;
  let rest = clean;
  while (rest !== '') {
    const part = /^(\d*\.?\d+(?:\s*[/⁄]\s*\d+(?:\.\d+)?)?)\s*([a-z]+|["'″′])\s*/.exec(rest);
    const value = part === null ? null : plainNumber(part[1] ?? '');
    const unit = UNIT_S[part?.[2] ?? ''];
    if (part === null || value === null || unit === undefined) {
      return null;
    }
    total += value * unit;
    rest = rest.slice(part[0].length);
  }
  return total;
}
