/** Kinds of quantity the Exposure page writes: times, f-numbers, filters, as a photographer notes them. */
import { InputError, formatNumber, parseTimeS, plainNumber } from '#core';
import type { Quantity } from '../shell/index.ts';

function notUnderstood(label: string, text: string, example: string): InputError {
  return new InputError('not-understood', `${label}: “${text.trim()}” is not understood. ${example}`, {
    path: label, got: text, expected: example,
  });
}

/** A time as it is written into a field: exact enough to be read back. */
export function timeText(timeS: number): string {
  if (timeS < 0.35) {
    const part = 1 / timeS;
    const whole = Math.abs(part - Math.round(part)) < 0.02 * part;
    return whole ? `1/${Math.round(part)} s` : `${formatNumber(timeS, { significant: 3 })} s`;
  }
  if (timeS < 120) {
    return `${formatNumber(timeS, { significant: 4 })} s`;
  }
  const minutes = Math.floor(timeS / 60);
  const rest = Math.round(timeS - minutes * 60);
  return rest === 0 ? `${minutes} min` : rest === 60 ? `${minutes + 1} min` : `${minutes} min ${rest} s`;
}

/** Shutter times by thirds of a stop. */
export const exposureTimeQuantity: Quantity = {
  keyboard: 'text',
  parse(text, label) {
    const timeS = parseTimeS(text);
    if (timeS === null || !(timeS > 0) || !Number.isFinite(timeS)) {
      throw notUnderstood(label, text, 'Write it as 1/60, 2 s, 1 min 30 s or 1:30.');
    }
    return timeS;
  },
  format: timeText,
  other: () => null,
  stepped(value, _text, steps) {
    const next = Math.min(1e7, Math.max(1e-5, (value ?? 1) * 2 ** (steps / 3)));
    return { value: next, typed: timeText(next) };
  },
};

function positive(kind: {
  readonly example: string;
  readonly strip: RegExp;
  readonly write: (value: number) => string;
  readonly step: (value: number | null, steps: number) => number;
}): Quantity {
  return {
    keyboard: 'decimal',
    parse(text, label) {
      const value = plainNumber(text.trim().toLowerCase().replace(kind.strip, ''));
      if (value === null || !(value > 0)) {
        throw notUnderstood(label, text, kind.example);
      }
      return value;
    },
    format: kind.write,
    other: () => null,
    stepped(value, _text, steps) {
      const next = Number(kind.step(value, steps).toPrecision(4));
      return { value: next, typed: kind.write(next) };
    },
  };
}

/** `22`, `f/22`, `f22`. */
export const fNumberQuantity: Quantity = positive({
  example: 'Write it as 22 or f/22.',
  strip: /^f\s*[/⁄]?\s*/,
  write: (value) => `f/${formatNumber(value, { significant: 4 })}`,
  step: (value, steps) => (value ?? 16) * 2 ** (steps / 6),
});

/** Film speed or exposure index, by thirds of a stop. */
export const speedQuantity: Quantity = positive({
  example: 'Write it as 100 or ISO 100.',
  strip: /^(iso|ei|asa)\s*/,
  write: (value) => formatNumber(value, { significant: 4 }),
  step: (value, steps) => (value ?? 100) * 2 ** (steps / 3),
});

/** Light on the subject; by thirds of a stop. */
export const luxQuantity: Quantity = positive({
  example: 'Write it as 5000 or 5000 lx.',
  strip: /\s*(lx|lux)$/,
  write: (value) => `${formatNumber(value, { significant: 4 })} lx`,
  step: (value, steps) => (value ?? 1000) * 2 ** (steps / 3),
});

/** EV at ISO 100 may lie below nothing. */
export const evQuantity: Quantity = {
  keyboard: 'text',
  parse(text, label) {
    const clean = text.trim().toLowerCase().replace(/^ev\s*/, '').replace('−', '-');
    const sign = clean.startsWith('-') ? -1 : 1;
    const value = plainNumber(clean.replace(/^[+-]\s*/, ''));
    if (value === null) {
      throw notUnderstood(label, text, 'Write it as 12, 12.3 or -2.');
    }
    return sign * value;
  },
  format: (value) => formatNumber(value, { significant: 4 }),
  other: () => null,
  stepped(value, _text, steps) {
    const next = Math.min(24, Math.max(-16, Math.round(((value ?? 12) + steps / 3) * 3) / 3));
    const typed = formatNumber(next, { digits: Number.isInteger(next) ? 0 : 1 });
    return { value: Number(next.toFixed(3)), typed };
  },
};

/** A filter as a factor (`8`, `×8`), in stops (`3 stops`) or as a density (`ND 0.9`). */
export const filterQuantity: Quantity = {
  keyboard: 'text',
  parse(text, label) {
    const clean = text.trim().toLowerCase();
    const density = /^(?:nd|d|density)\s*(\d*[.,]\d+)$/.exec(clean);
    const stops = /^(.+?)\s*(?:stops?|ev)$/.exec(clean);
    const value =
      density !== null
        ? 10 ** (plainNumber(density[1] ?? '') ?? NaN)
        : stops !== null
          ? 2 ** (plainNumber(stops[1] ?? '') ?? NaN)
          : plainNumber(clean.replace(/^(?:nd|factor|[x×*])\s*/, '').replace(/\s*[x×]$/, ''));
    if (value === null || !Number.isFinite(value)) {
      throw notUnderstood(label, text, 'Write the factor as 8 or ×8, stops as 3 stops, a density as ND 0.9.');
    }
    if (value < 1) {
      throw new InputError(
        'out-of-range',
        `${label}: a filter can only take light away; its factor is 1 or more, not ${formatNumber(value)}.`,
        { path: label, got: text, expected: '1 or more' },
      );
    }
    return value;
  },
  format: (value) => `×${formatNumber(value, { significant: 4 })}`,
  other(value, text) {
    if (value === 1) {
      return null;
    }
    return /stop|ev|nd\s*\d*[.,]/i.test(text)
      ? `×${formatNumber(value, { significant: 3 })}`
      : `${formatNumber(Math.log2(value), { significant: 3 })} stops`;
  },
  stepped(value, text, steps) {
    const stops = Math.max(0, Math.round((Math.log2(value ?? 1) + steps / 3) * 3) / 3);
    const next = 2 ** stops;
    const inStops = /stop|ev/i.test(text);
    const shown = formatNumber(inStops ? stops : next, { significant: 3 });
    return { value: next, typed: inStops ? `${shown} stops` : `×${shown}` };
  },
};

/** The hand on the shutter, s; 0 for a shutter that needs none. */
export const reactionQuantity: Quantity = {
  keyboard: 'decimal',
  parse(text, label) {
    const value = plainNumber(text.trim().toLowerCase().replace(/\s*s(ec)?$/, ''));
    if (value === null || value > 10) {
      throw notUnderstood(label, text, 'Write seconds from 0 to 10, for instance 0.3.');
    }
    return value;
  },
  format: (value) => `${formatNumber(value, { significant: 3 })} s`,
  other: () => null,
  stepped(value, _text, steps) {
    const next = Math.min(10, Math.max(0, Number(((value ?? 0.3) + 0.1 * steps).toFixed(1))));
    return { value: next, typed: `${next} s` };
  },
};

/** Light lost at a part of the frame, stops. */
export const stopsQuantity: Quantity = {
  keyboard: 'decimal',
  parse(text, label) {
    const value = plainNumber(text.trim().toLowerCase().replace(/\s*stops?$/, ''));
    if (value === null || value > 12) {
      throw notUnderstood(label, text, 'Write stops from 0 to 12, for instance 0.5.');
    }
    return value;
  },
  format: (value) => `${formatNumber(value, { significant: 3 })} stops`,
  other: () => null,
  stepped(value, _text, steps) {
    const next = Math.min(12, Math.max(0, Number(((value ?? 0) + steps / 3).toFixed(2))));
    return { value: next, typed: `${next} stops` };
  },
};

/** How fast somebody walks, m/s. */
export const speedOfWalkQuantity: Quantity = positive({
  example: 'Write it as 1.4 or 1.4 m/s.',
  strip: /\s*m\s*\/\s*s$/,
  write: (value) => `${formatNumber(value, { significant: 3 })} m/s`,
  step: (value, steps) => Math.max(0.1, (value ?? 1.4) + 0.1 * steps),
});

/** A part of one. */
export const shareQuantity: Quantity = positive({
  example: 'Write it as 0.7.',
  strip: /$^/,
  write: (value) => formatNumber(value, { significant: 3 }),
  step: (value, steps) => Math.min(0.9, Math.max(0.1, (value ?? 0.7) + 0.05 * steps)),
});

/** Optical density. */
export const densityQuantity: Quantity = positive({
  example: 'Write it as 0.72.',
  strip: /^d\s*/,
  write: (value) => formatNumber(value, { digits: 2 }),
  step: (value, steps) => Math.max(0.01, (value ?? 0.7) + 0.01 * steps),
});

/** Stops, more or less. */
export const signedStopsQuantity: Quantity = {
  keyboard: 'text',
  parse(text, label) {
    const clean = text.trim().toLowerCase().replace(/\s*stops?$/, '').replace('−', '-');
    const value = plainNumber(clean.replace(/^[+-]\s*/, ''));
    if (value === null || value > 12) {
      throw notUnderstood(label, text, 'Write stops as -2 or 1.5.');
    }
    return clean.startsWith('-') ? -value : value;
  },
  format: (value) => `${formatNumber(value, { significant: 3 })} stops`,
  other: () => null,
  stepped(value, _text, steps) {
    const next = Math.min(12, Math.max(-12, Number(((value ?? 0) + steps / 2).toFixed(2))));
    return { value: next, typed: `${next} stops` };
  },
};
