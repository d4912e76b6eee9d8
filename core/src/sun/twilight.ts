/**
 * What falls from a clear sky on level ground, from full day to night, by sun and moon: laws for the light that
 * changes. Their level is of little use to one scene; their change is, and is scaled to the maker's own reading.
 */

/** Piece of the law: log10 lux = Σ c·(h/90°)^i, h = altitude of the centre without refraction. */
interface Piece {
  readonly fromDeg: number;
  readonly c: readonly [number, number, number, number];
}

/**
 * The sun, from the zenith down. Coefficients from memory; the values they give agree with those of the AMS glossary.
 * @source seidelmann1992
 */
const SUN: readonly Piece[] = [
  { fromDeg: 20, c: [3.74, 3.97, -4.07, 1.47] },
  { fromDeg: 5, c: [3.05, 13.28, -45.98, 64.33] },
  { fromDeg: -0.8, c: [2.88, 22.26, -207.64, 1034.3] },
  { fromDeg: -5, c: [2.88, 21.81, -258.11, -858.36] },
  { fromDeg: -12, c: [2.7, 12.17, -431.69, -1899.83] },
  { fromDeg: -18, c: [13.84, 262.72, 1447.42, 2797.93] },
];

/** The full moon at its mean distance. Coefficients from memory; they agree with the scene guide. @source seidelmann1992 */
const MOON: readonly Piece[] = [
  { fromDeg: 20, c: [-1.95, 4.06, -4.24, 1.56] },
  { fromDeg: 5, c: [-2.58, 12.58, -42.58, 59.06] },
  { fromDeg: -0.8, c: [-2.79, 24.27, -252.95, 1321.29] },
];
/** Sine of the moon's mean horizontal parallax, 57′2.6″. */
const MEAN_PARALLAX_RAD = 0.951 * (Math.PI / 180);

const DEG = Math.PI / 180;
/** Below, only the night's own glow is left: the law's last value is held. */
const NIGHT_DEG = -18;

function lawLux(pieces: readonly Piece[], altitudeDeg: number): number {
  const piece = pieces.find(({ fromDeg }) => altitudeDeg >= fromDeg);
  if (piece === undefined) return 0;
  const x = altitudeDeg / 90;
  const [a, b, c, d] = piece.c;
  return 10 ** (a + x * (b + x * (c + x * d)));
}

/**
 * Light of the sun and its sky on level ground, lx.
 *   log10 E = Σ c·(h/90°)^i
 * Valid: clear sky, sun's altitude without refraction; below −18° the last value is held (0.0006 lx, the night's own
 * glow). The pieces of the law differ by up to 1.4 % where they meet, and are left so.
 * @param altitudeRad −π/2…π/2
 * @source seidelmann1992
 */
export function sunLightLux(altitudeRad: number): number {
  return lawLux(SUN, Math.max(altitudeRad / DEG, NIGHT_DEG));
}

/**
 * Light of the moon on level ground, lx; 0 when it has set.
 *   log10 E = Σ c·(h/90°)^i − 0.00868 f − 2.2·10⁻⁹ f⁴ + 2 log10(π/π₀), f phase angle in degrees, π parallax
 * Valid: clear sky; phase to about 160°.
 * @source seidelmann1992
 */
export function moonLightLux(moon: {
  readonly altitudeRad: number;
  readonly phaseAngleRad: number;
  readonly horizontalParallaxRad: number;
}): number {
  const f = moon.phaseAngleRad / DEG;
  const dimmed = -0.00868 * f - 2.2e-9 * f ** 4 + 2 * Math.log10(moon.horizontalParallaxRad / MEAN_PARALLAX_RAD);
  return lawLux(MOON, moon.altitudeRad / DEG) * 10 ** dimmed;
}

/** Steepest fall of the sun's law, EV per degree of altitude: between −6° and −8°. */
const STEEPEST_EV_PER_DEG = 1.64;
/** No place on earth sees the sun sink faster. */
const FASTEST_DEG_PER_MIN = 0.25;
/** The fastest change of light under a clear sky, stops in a second. */
export const FASTEST_CHANGE_STOPS = (STEEPEST_EV_PER_DEG * FASTEST_DEG_PER_MIN) / 60;

/** EV per degree of altitude, and how it bends per degree², as the sun's law has them. */
function slopes(altitudeDeg: number): { readonly perDeg: number; readonly bendPerDeg2: number } {
  const piece = SUN.find(({ fromDeg }) => altitudeDeg >= fromDeg) ?? SUN[SUN.length - 1];
  const [, b, c, d] = piece?.c ?? [0, 0, 0, 0];
  const x = altitudeDeg / 90;
  const toEv = Math.log2(10) / 90;
  return { perDeg: toEv * (b + 2 * c * x + 3 * d * x * x), bendPerDeg2: (toEv / 90) * (2 * c + 6 * d * x) };
}

/**
 * How strongly a light that changes so fast may bend at most, by the law and any place on earth: κ in EV″ = −κ·EV′².
 * A light seen to fall fast stands deep in twilight, where it bends little more.
 * @param changeStopsPerS size of the change seen
 */
export function largestBend(changeStopsPerS: number): number {
  const leastPerDeg = (Math.abs(changeStopsPerS) * 60) / FASTEST_DEG_PER_MIN;
  let largest = 0;
  for (let altitudeDeg = -8; altitudeDeg <= 10; altitudeDeg += 0.25) {
    const { perDeg, bendPerDeg2 } = slopes(altitudeDeg);
    if (perDeg >= leastPerDeg && perDeg > 0) largest = Math.max(largest, -bendPerDeg2 / perDeg ** 2);
  }
  return largest;
}
