/** Sun tracks in words: does the highest sun stay on the paper, and do the days stand apart. */
import type { SunTracks, TracksQuestion } from './tracks-answer.ts';

type Figures = Omit<SunTracks, 'sentence' | 'cautions'>;

const DEG = Math.PI / 180;

export const SUN_CAUTIONS = [
  'Never look at the sun through the hole, a viewer or a lens; aim with your back to it, by the shadow.',
  'Ask whoever owns the place; label the can with what it is and how to reach you, or it may be taken for something else.',
] as const;

function degrees(rad: number, digits = 1): string {
  const text = (rad / DEG).toFixed(digits).replace(/\.0$/, '');
  return `${text.replace('-', '−')}°`;
}

function mm(valueMm: number): string {
  return `${Math.abs(valueMm).toFixed(Math.abs(valueMm) < 9.95 ? 1 : 0)} mm`;
}

function noonSentence({ highestNoon, camera }: Figures, { dateWords }: TracksQuestion): string {
  if (highestNoon === null) return 'The sun does not rise in this time.';
  const { track, marginMm, remedy } = highestNoon;
  const { noon } = track;
  if (noon.altitudeRad <= 0) return 'The sun does not rise in this time.';
  const who = `The noon sun of ${dateWords(noon.instantS)}, ${degrees(noon.altitudeRad)} high,`;
  if (noon.landing === null || marginMm === null) {
    return `${who} stands behind or far aside of the camera and never falls on the paper.`;
  }
  const { xMm, yMm } = noon.landing;
  const sideways = camera.paperWidthMm / 2 - Math.abs(xMm) < camera.paperHeightMm / 2 - Math.abs(yMm);
  const edge = sideways ? 'side edge' : yMm < 0 ? 'lower edge' : 'upper edge';
  if (marginMm >= 0) return `${who} stays on the paper, ${mm(marginMm)} inside its ${edge}.`;
  const ways: string[] = [];
  if (remedy?.tiltRad !== null && remedy?.tiltRad !== undefined) ways.push(`tilt to ${degrees(remedy.tiltRad)}`);
  if (remedy?.holeHeightMm !== null && remedy?.holeHeightMm !== undefined) {
    ways.push(`put the hole ${mm(remedy.holeHeightMm)} above the paper’s lower edge`);
  }
  const help = ways.length === 0 ? '' : ` To keep it: ${ways.join(', or ')}.`;
  return `${who} misses the paper by ${mm(marginMm)}, beyond its ${edge}.${help}`;
}

function spacingSentence({ spacings, tracks }: Figures): string {
  const falling = tracks.filter(({ noon }) => noon.landing?.onPaper === true).map(({ noon }) => noon.instantS);
  const steps = spacings.filter((one) => one.spacingMm !== null && one.lineMm !== null && falling.includes(one.noonS));
  if (steps.length === 0) return '';
  const widest = steps.reduce((best, one) => ((one.spacingMm ?? 0) > (best.spacingMm ?? 0) ? one : best));
  const [step = 0, line = 0] = [widest.spacingMm ?? 0, widest.lineMm ?? 0];
  const what = widest.blurMm === null ? 'the sun’s disc alone draws' : 'disc and hole together draw';
  const days = step > 0 ? Math.ceil(line / step) : Infinity;
  const apart = step > line
    ? 'so that each day stands apart there'
    : Number.isFinite(days) && days < 30
      ? `so that neighbouring days run together; a gap shows after ${days} clouded days or more`
      : 'so that neighbouring days run together';
  return ` At noon tracks lie at most ${step.toFixed(2)} mm apart from day to day, ${what} a line ${line.toFixed(2)} mm wide, ${apart}.`;
}

function cautionsOf({ tracks, hourLines }: Figures, { camera }: TracksQuestion): string[] {
  const said: string[] = [...SUN_CAUTIONS];
  if (camera.surface === 'can-wall') said.push('Paint the bottom of the can black, or it mirrors a second set of arcs; leave a way out for water.');
  if (hourLines.length === 0) said.push('No sun falls on the paper in these months: check the direction and the dates.');
  const wide = tracks.some(({ points }) => points.some((point) => point.drawn && point.landing?.onPaper === true && point.landing.offAxisRad > 70 * DEG));
  if (wide) said.push('Beyond 70° from the axis the thickness of the wall takes most of the light: a thin plate over a wide opening helps.');
  return said;
}

/** The sentence and the cautions of sun tracks. */
export function tracksSentence(figures: Figures, question: TracksQuestion): Pick<SunTracks, 'sentence' | 'cautions'> {
  return {
    sentence: `${noonSentence(figures, question)}${spacingSentence(figures)}`,
    cautions: cautionsOf(figures, question),
  };
}
