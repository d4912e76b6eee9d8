/**
 * The kinds of quantity a field can hold: how its text is read, written, shown in the other unit and
 * stepped by the arrow keys. All values are in the core's units (mm, rad, nm).
 */
import { InputError, formatLength, otherUnit, parseAngle, formatAngle, parseLength } from '#core';
import type { LengthUnit, ShownUnit } from '#core';

export interface Quantity {
  /** Which on-screen keyboard serves. */
  readonly keyboard: 'decimal' | 'text' | 'numeric';
  /** @throws InputError with a sentence for the maker */
  parse(text: string, label: string): number;
  format(value: number): string;
  /** The same in the other unit, small beside the field; `null` where there is none. */
  other(value: number, text: string): string | null;
  /** The value after a number of arrow-key steps, in the unit of the text that stood there. */
  stepped(value: number | null, text: string, steps: number): { readonly value: number; readonly typed: string };
  /** The same quantity for a maker whose plain numbers are inches; absent where that has no meaning. */
  readonly inInches?: Quantity;
}

interface LengthKind {
  /** What a plain number means. */
  readonly plain: LengthUnit;
  readonly stepMm: number;
  /** Step where the text is in inches, as a whole part of one: 32 for 1/32 in. */
  readonly stepsPerInch: number;
  readonly minMm?: number;
  /** True where the least value itself is allowed. */
  readonly zeroAllowed?: boolean;
  readonly signed?: boolean;
}

/** Rounds away the dust of binary arithmetic, far below what wood or brass can show. */
function clean(mm: number): number {
  return Number(mm.toFixed(9));
}

function lengthQuantity(kind: LengthKind): Quantity {
  const inMm = lengthIn(kind);
  return kind.plain === 'mm' ? { ...inMm, inInches: lengthIn({ ...kind, plain: 'in' }) } : inMm;
}

function lengthIn(kind: LengthKind): Quantity {
  const lowest = kind.signed === true ? -Infinity : 0;
  function unitOf(text: string): LengthUnit {
    try {
      return parseLength(text, { defaultUnit: kind.plain }).unit;
    } catch {
      return kind.plain;
    }
  }
  return {
    keyboard: 'text',
    parse(text, label) {
      const { mm } = parseLength(text, { defaultUnit: kind.plain, path: label });
      if (mm < lowest || (mm === 0 && kind.signed !== true && kind.zeroAllowed !== true)) {
        const allowed = kind.zeroAllowed === true ? '0 or more' : 'more than 0';
        throw new InputError('out-of-range', `${label} must be ${allowed}, but “${text.trim()}” is ${formatLength(mm, { unit: kind.plain })}.`, {
          path: label,
          got: text,
          expected: allowed,
        });
      }
      return mm;
    },
    format(mm) {
      return formatLength(mm, { unit: kind.plain });
    },
    other(mm, text) {
      return otherUnit(mm, unitOf(text));
    },
    stepped(mm, text, steps) {
      const unit = text.trim() === '' ? kind.plain : unitOf(text);
      const inch = unit === 'in' || unit === 'thou';
      const stepMm = inch ? (unit === 'in' ? 25.4 / kind.stepsPerInch : 0.0254) : kind.stepMm;
      const next = clean((mm ?? 0) + steps * stepMm);
      const floor = kind.zeroAllowed === true ? 0 : stepMm;
      const value = kind.signed === true ? next : Math.max(next, Math.min(mm ?? floor, floor));
      return { value, typed: written(value, unit, text) };
    },
  };

  function written(mm: number, unit: LengthUnit, before: string): string {
    const onRule = Math.abs((mm * kind.stepsPerInch) / 25.4 - Math.round((mm * kind.stepsPerInch) / 25.4)) < 1e-6;
    const shown: ShownUnit = unit === 'in' && onRule ? 'in-fraction' : unit;
    const text = formatLength(mm, shown === 'in-fraction' ? { unit: shown, denominator: kind.stepsPerInch } : { unit: shown });
    return unit === kind.plain && /^[\s\d.,+-]+$/.test(before) ? text.replace(/\s*\p{L}+$/u, '') : text;
  }
}

/** Wood, film and box: steps of half a millimetre or 1/32 in. */
export const woodLength = lengthQuantity({ plain: 'mm', stepMm: 0.5, stepsPerInch: 32, zeroAllowed: true });
/** A distance that cannot be nothing. */
export const boxLength = lengthQuantity({ plain: 'mm', stepMm: 0.5, stepsPerInch: 32 });
/** A place that may lie on either side. */
export const signedLength = lengthQuantity({ plain: 'mm', stepMm: 0.5, stepsPerInch: 32, signed: true });
/** Holes and films: steps of a hundredth of a millimetre. */
export const holeLength = lengthQuantity({ plain: 'mm', stepMm: 0.01, stepsPerInch: 1000 });

/** Film and paper: may be nothing, steps of a hundredth. */
export const filmLength = lengthQuantity({ plain: 'mm', stepMm: 0.01, stepsPerInch: 1000, zeroAllowed: true });
/** From the hole to what is pictured: a plain number is metres. */
export const farLength = lengthQuantity({ plain: 'm', stepMm: 100, stepsPerInch: 1 });

export const angle: Quantity = {
  keyboard: 'decimal',
  parse(text, label) {
    // Makers say “about 75°”, and the answer is about right anyway.
    const { angleRad } = parseAngle(text.replace(/^\s*(?:about|around|some|ca\.?|~|≈)\s*/i, ''), { path: label });
    if (!(angleRad > 0 && angleRad < Math.PI)) {
      throw new InputError('out-of-range', `${label} must lie between 0° and 180°, but “${text.trim()}” does not.`, {
        path: label,
        got: text,
        expected: 'between 0° and 180°',
      });
    }
    return angleRad;
  },
  format(angleRad) {
    return formatAngle(angleRad);
  },
  other() {
    return null;
  },
  stepped(angleRad, _text, steps) {
    const deg = Math.min(179, Math.max(1, Math.round(((angleRad ?? 0) * 180) / Math.PI + steps)));
    return { value: (deg * Math.PI) / 180, typed: `${deg}°` };
  },
};

interface PlainKind {
  /** Written after the number and allowed, but not needed, in the text: `nm`. */
  readonly unit: string;
  readonly step: number;
  readonly min: number;
  readonly max: number;
}

/** A number with a fixed unit, such as a wavelength in nm. */
export function plainQuantity(kind: PlainKind): Quantity {
  return {
    keyboard: 'decimal',
    parse(text, label) {
      const bare = text.trim().replace(',', '.').replace(new RegExp(`\\s*${kind.unit}$`, 'i'), '');
      const value = Number(bare);
      if (bare === '' || !Number.isFinite(value)) {
        throw new InputError('not-understood', `${label}: “${text.trim()}” is not a number. Write it in ${kind.unit}, for instance ${kind.min}.`, {
          path: label,
          got: text,
          expected: `a number in ${kind.unit}`,
        });
      }
      if (value < kind.min || value > kind.max) {
        throw new InputError('out-of-range', `${label} must lie between ${kind.min} and ${kind.max} ${kind.unit}, but is ${value}.`, {
          path: label,
          got: text,
          expected: `${kind.min} to ${kind.max} ${kind.unit}`,
        });
      }
      return value;
    },
    format(value) {
      return `${Number(value.toPrecision(6))} ${kind.unit}`;
    },
    other() {
      return null;
    },
    stepped(value, _text, steps) {
      const next = Math.min(kind.max, Math.max(kind.min, (value ?? kind.min) + steps * kind.step));
      return { value: next, typed: `${Number(next.toPrecision(6))} ${kind.unit}` };
    },
  };
}
