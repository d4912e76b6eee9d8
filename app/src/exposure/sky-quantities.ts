/** Kinds of quantity that tell where a camera stands and how it looks at the sky. All values in radians or plain numbers. */
import { InputError, degreesToRad, formatNumber, parseAngle, radToDegrees } from '#core';
import type { Quantity } from '../shell/index.ts';

interface AngleKind {
  /** Letters for the positive and the negative side, if makers write them. */
  readonly letters?: readonly [string, string];
  readonly limitDeg: number;
  /** True where a whole turn comes back to itself. */
  readonly turns?: boolean;
  readonly stepDeg: number;
  readonly digits: number;
  readonly example: string;
}

function skyAngle(kind: AngleKind): Quantity {
  const write = (angleRad: number): string => {
    const degrees = radToDegrees(angleRad);
    const text = formatNumber(kind.letters === undefined ? degrees : Math.abs(degrees), { digits: kind.digits }).replace(/(\.\d*?)0+$/, '$1').replace(/\.$/, '');
    const letter = kind.letters === undefined ? '' : ` ${degrees < 0 ? kind.letters[1] : kind.letters[0]}`;
    return `${text}°${letter}`;
  };
  return {
    keyboard: 'text',
    parse(text, label) {
      const letter = kind.letters === undefined ? null : /[a-z]\s*$/i.exec(text.trim())?.[0]?.trim().toUpperCase() ?? null;
      const bare = letter === null ? text : text.trim().replace(/[a-z]\s*$/i, '');
      const known = letter === null || kind.letters?.includes(letter) === true;
      if (!known || bare.trim() === '') {
        throw new InputError('not-understood', `${label}: “${text.trim()}” is not understood. ${kind.example}`, {
          path: label, got: text, expected: kind.example,
        });
      }
      const { angleRad } = parseAngle(bare, { path: label });
      if (Math.abs(radToDegrees(angleRad)) > kind.limitDeg + 1e-9) {
        throw new InputError('out-of-range', `${label} must lie between −${kind.limitDeg}° and ${kind.limitDeg}°. ${kind.example}`, {
          path: label, got: text, expected: `±${kind.limitDeg}°`,
        });
      }
      return letter !== null && letter === kind.letters?.[1] ? -angleRad : angleRad;
    },
    format: write,
    other: () => null,
    stepped(value, _text, steps) {
      const degrees = Math.round((radToDegrees(value ?? 0) + steps * kind.stepDeg) / kind.stepDeg) * kind.stepDeg;
      const held = kind.turns === true
        ? ((degrees % 360) + 360) % 360
        : Math.min(kind.limitDeg, Math.max(-kind.limitDeg, degrees));
      const next = degreesToRad(Number(held.toFixed(6)));
      return { value: next, typed: write(next) };
    },
  };
}

export const latitudeQuantity = skyAngle({
  letters: ['N', 'S'], limitDeg: 90, stepDeg: 0.1, digits: 4, example: 'Write it as 47.37, 47.37 N or 33.87 S.',
});
export const longitudeQuantity = skyAngle({
  letters: ['E', 'W'], limitDeg: 180, stepDeg: 0.1, digits: 4, example: 'Write it as 8.54, 8.54 E or 70.6 W.',
});
export const directionQuantity = skyAngle({
  limitDeg: 360, turns: true, stepDeg: 1, digits: 1, example: 'Write degrees from north through east: 180 is south.',
});
export const tiltQuantity = skyAngle({
  limitDeg: 90, stepDeg: 1, digits: 1, example: 'Write degrees, upward positive, such as 15.',
});

/** A skyline as it is written down: `90:12, 135:4`. */
export function horizonText(corners: readonly { readonly azimuthRad: number; readonly altitudeRad: number }[]): string {
  const degrees = (rad: number): string => String(Number(radToDegrees(rad).toFixed(2)));
  return corners.map((corner) => `${degrees(corner.azimuthRad)}:${degrees(corner.altitudeRad)}`).join(', ');
}

/** @throws InputError not-understood */
export function parseHorizon(text: string): { azimuthRad: number; altitudeRad: number }[] {
  if (text.trim() === '') return [];
  return text.trim().split(/[,;]\s*/).filter((corner) => corner.trim() !== '').map((corner) => {
    const [azimuth, altitude, more] = corner.split(':').map((part) => Number(part.trim().replace('°', '').replace('−', '-')));
    if (azimuth === undefined || altitude === undefined || more !== undefined || !Number.isFinite(azimuth) || !Number.isFinite(altitude)
      || Math.abs(azimuth) > 360 || Math.abs(altitude) > 90) {
      throw new InputError('not-understood', `Skyline: “${corner.trim()}” is not understood. Write direction:height in degrees, such as 90:12, 135:4.`, {
        path: 'horizon', got: corner, expected: 'direction:height',
      });
    }
    return { azimuthRad: degreesToRad(azimuth), altitudeRad: degreesToRad(altitude) };
  });
}
