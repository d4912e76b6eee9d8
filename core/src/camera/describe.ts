/**
 * A camera in plain sentences, the answer first. Both faces show these, so that page and command line
 * say the same thing.
 */
import { InputError, requirePositive } from '../errors.ts';
import type { HolesQuestion } from '../optics/best-hole-colour.ts';
import type { BestHole } from '../optics/best-hole.ts';
import { DEFAULT_CRITERION, criterionFacts } from '../optics/criteria.ts';
import type { Criterion } from '../optics/criteria.ts';
import { formatAngle, radToDegrees } from '../units/angle.ts';
import { fixed, formatNumber, withoutTrailingZeros } from '../units/figures.ts';
import { MM_PER_THOU, formatLength, otherUnit } from '../units/length.ts';
import { boxDepth, insideDepthMm } from './box.ts';
import type { BoxDepth, FilmSeat } from './box.ts';
import { lightOfWavelength } from './camera-light.ts';
import type { CameraLight } from './camera-light.ts';
import { frameFalloff } from './falloff.ts';
import type { FrameFalloff } from './falloff.ts';
import { fieldOfView } from './field-of-view.ts';
import type { Countersink } from '../optics/thick-hole.ts';
import type { FieldOfView } from './field-of-view.ts';
import type { CameraGeometry } from './geometry.ts';

export interface CameraQuestion {
  readonly camera: CameraGeometry;
  /** Default: finest detail at 10 % contrast. */
  readonly criterion?: Criterion;
  /** Default light of 550 nm. */
  readonly light?: CameraLight;
  /** Default: a distant scene. */
  readonly objectDistanceMm?: number;
  /** The hole in hand, when there is one. */
  readonly diameterMm?: number;
  /** Of the plate at the hole's edge; default thin. Needs no hole in hand: the best one is taken then. */
  readonly thicknessMm?: number;
  /** The slope of a dimple beyond that edge. */
  readonly countersink?: Countersink | undefined;
  /** What is needed to say how deep the box must be; the board for the depth over the wood. */
  readonly box?: FilmSeat & { readonly boardThicknessMm?: number };
  /** Lengths in the sentences; default mm. */
  readonly lengths?: 'mm' | 'in';
}

export interface CameraDescription {
  /** First the answer, then the rest; each one a full sentence. */
  readonly sentences: readonly string[];
  readonly view: FieldOfView;
  readonly best: BestHole;
  readonly falloff: FrameFalloff;
  /** Null where the box was not asked for. */
  readonly insideDepthMm: number | null;
  /** Null where the thickness of the board is not known. */
  readonly box: BoxDepth | null;
}

/**
 * Say what a camera sees, which hole suits it, what the corners lose and how deep the box is.
 * @param question frame and focal length > 0; the rest as the functions it calls
 * @throws InputError not-positive, negative, out-of-range, conflict, unknown-name
 */
export function describeCamera(question: CameraQuestion): CameraDescription {
  const { camera } = question;
  if (question.diameterMm !== undefined) requirePositive(question.diameterMm, 'diameterMm', 'mm');
  const lengths = question.lengths ?? 'mm';
  const view = fieldOfView(camera);
  const light = question.light ?? lightOfWavelength();
  const wanted: HolesQuestion = {
    criterion: question.criterion ?? DEFAULT_CRITERION,
    focalLengthMm: camera.focalLengthMm,
    objectDistanceMm: question.objectDistanceMm ?? Infinity,
  };
  const best = light.holes.best(wanted);
  const diameterMm = question.diameterMm ?? best.diameterMm;
  const falloff = frameFalloff(
    camera,
    question.thicknessMm === undefined ? undefined : { thicknessMm: question.thicknessMm, diameterMm, countersink: question.countersink },
  );
  const { insideDepth, box } = depths(question);
  return {
    sentences: [
      answer(view, best, lengths),
      viewSentence(camera, view),
      holeSentence(wanted, best, light, lengths),
      ...(question.diameterMm === undefined ? [] : [inHandSentence(wanted, question.diameterMm, light, lengths)]),
      falloffSentence(camera, falloff, question.thicknessMm),
      circleSentence(camera, view, lengths),
      ...(insideDepth === null ? [] : [boxSentence(insideDepth, box, lengths), ...(box?.notes ?? [])]),
    ],
    view,
    best,
    falloff,
    insideDepthMm: insideDepth,
    box,
  };
}

function depths(question: CameraQuestion): { readonly insideDepth: number | null; readonly box: BoxDepth | null } {
  if (question.box === undefined) return { insideDepth: null, box: null };
  const { boardThicknessMm, ...seat } = question.box;
  const of = { ...seat, focalLengthMm: question.camera.focalLengthMm };
  const box = boardThicknessMm === undefined ? null : boxDepth({ ...of, boardThicknessMm });
  return { insideDepth: box?.insideDepthMm ?? insideDepthMm(of), box };
}

type Lengths = 'mm' | 'in';

/** `75` for wide angles, `8.2` for narrow ones. */
function wholeAngle(angleRad: number): string {
  return formatAngle(angleRad, { digits: Math.abs(radToDegrees(angleRad)) < 10 ? 1 : 0 });
}

function tenths(angleRad: number): string {
  return formatAngle(angleRad, { digits: 1 });
}

/** The equivalent on 24×36 mm: nobody needs it better than to a millimetre. */
function roundFocal(focalLengthMm: number): string {
  return focalLengthMm < 10 ? formatNumber(focalLengthMm, { significant: 2 }) : fixed(focalLengthMm, 0);
}

/**
 * A hole and its band with as many digits as tell the band's ends apart; the band is rounded inwards, so
 * that every diameter named lies in it.
 */
export function holeInWords(best: BestHole, lengths: Lengths): { readonly hole: string; readonly band: string } {
  const unitMm = lengths === 'mm' ? 1 : MM_PER_THOU;
  const unit = lengths === 'mm' ? 'mm' : 'thou';
  const [low, high] = best.bandMm.map((edgeMm) => edgeMm / unitMm) as [number, number];
  const usual = lengths === 'mm' ? 2 : 1;
  const digits = Math.min(6, Math.max(usual, Math.ceil(Math.log10(5 / (high - low)))));
  const step = 10 ** -digits;
  const inLow = Math.ceil(low / step - 1e-9) * step;
  const inHigh = Math.floor(high / step + 1e-9) * step;
  return {
    hole: `${fixed(best.diameterMm / unitMm, digits)} ${unit}`,
    band: `${fixed(inLow, digits)} to ${fixed(inHigh, digits)} ${unit}`,
  };
}

function answer(view: FieldOfView, best: BestHole, lengths: Lengths): string {
  const { hole, band } = holeInWords(best, lengths);
  return (
    `Sees ${wholeAngle(view.diagonalRad)} on the diagonal, like about ${roundFocal(view.equivalentByDiagonalMm)} mm `
    + `on 24×36; best hole ${hole}, anything from ${band}.`
  );
}

function viewSentence(camera: CameraGeometry, view: FieldOfView): string {
  const total =
    `Angle of view ${tenths(view.horizontalRad)} across, ${tenths(view.verticalRad)} high, `
    + `${tenths(view.diagonalRad)} corner to corner`;
  const { xMm, yMm } = camera.holeShift;
  if (xMm === 0 && yMm === 0) return `${total}.`;
  const parts = [
    ...(xMm === 0 ? [] : [sides(view.leftRad, 'to the left', view.rightRad, 'to the right')]),
    ...(yMm === 0 ? [] : [sides(view.upRad, 'up', view.downRad, 'down')]),
  ];
  const outside = [view.leftRad, view.rightRad, view.upRad, view.downRad].some((angle) => angle < 0)
    ? ' The hole stands outside the frame: what is straight ahead is not in the picture.'
    : '';
  return `${total}; from the axis ${parts.join(', ')}, seen from behind the camera.${outside}`;
}

/** Both ways from the axis; where the axis itself is out of the picture, from where to where on the one side. */
function sides(firstRad: number, first: string, secondRad: number, second: string): string {
  if (firstRad < 0) return `${tenths(-firstRad)} to ${tenths(secondRad)} ${second}`;
  if (secondRad < 0) return `${tenths(-secondRad)} to ${tenths(firstRad)} ${first}`;
  return `${tenths(firstRad)} ${first} and ${tenths(secondRad)} ${second}`;
}

function holeSentence(wanted: HolesQuestion, best: BestHole, light: CameraLight, lengths: Lengths): string {
  const facts = criterionFacts(best.criterion);
  const distance = Number.isFinite(wanted.objectDistanceMm)
    ? `an object ${shownLength(wanted.objectDistanceMm, lengths)} away`
    : 'a distant scene';
  return (
    `Best hole here means ${facts.title}, for ${distance} in ${light.words}, `
    + `and gives f/${formatNumber(wanted.focalLengthMm / best.diameterMm)}; `
    + `between the two figures ${best.bandMeaning}.`
  );
}

function inHandSentence(wanted: HolesQuestion, diameterMm: number, light: CameraLight, lengths: Lengths): string {
  const cost = light.holes.cost({ ...wanted, diameterMm });
  const suited = light.holes.suited({ ...wanted, diameterMm });
  const percent = formatNumber(100 * cost.lossShare, { significant: cost.lossShare < 0.1 ? 1 : 2 });
  const loss = cost.lossShare < 0.005 ? 'as good as the best' : `${percent} % off the best`;
  const stops = stopsInWords(Math.abs(cost.lightStops));
  const lightWords =
    stops === '0.0 stop' ? 'the same light' : `${stops} ${cost.lightStops < 0 ? 'less' : 'more'} light`;
  const place = { below: 'smaller than', within: 'within', above: 'larger than' }[cost.place];
  const suits =
    suited.focalLengthMm === null
      ? 'it is too large for any focal length at this distance'
      : `it is the best hole for a focal length of ${shownLength(suited.focalLengthMm, lengths, 0)}`;
  return (
    `Your hole of ${formatLength(diameterMm, { unit: lengths === 'mm' ? 'mm' : 'thou' })} `
    + `(f/${formatNumber(wanted.focalLengthMm / diameterMm)}) is ${place} the band: ${loss} by this measure, `
    + `${lightWords}; ${suits}.`
  );
}

function stopsInWords(stops: number): string {
  const text = fixed(stops, 1);
  return `${text} ${Number(text) <= 1 ? 'stop' : 'stops'}`;
}

function falloffSentence(camera: CameraGeometry, falloff: FrameFalloff, thicknessMm: number | undefined): string {
  const plate = thicknessMm === undefined || thicknessMm === 0 ? '' : ', the thickness of the plate included';
  const { falloffStops, reason } = falloff.worst;
  if (falloffStops === null) return `The ${falloff.worstCorner} corner of the film stays black. ${reason ?? ''}`;
  const centred = camera.holeShift.xMm === 0 && camera.holeShift.yMm === 0;
  const corner = centred
    ? 'The corners get'
    : `The darkest corner (${falloff.worstCorner}, seen from the film side) gets`;
  return `${corner} ${stopsInWords(falloffStops)} less light than the point behind the hole${plate}.`;
}

function circleSentence(camera: CameraGeometry, view: FieldOfView, lengths: Lengths): string {
  const { widthMm, heightMm } = camera.frame;
  const unit = lengths === 'mm' ? 'mm' : 'in';
  const side = (sizeMm: number): string => formatLength(sizeMm, { unit }).replace(/ [a-z]+$/, '');
  return (
    `Image area used: ${side(widthMm)} × ${side(heightMm)} ${unit}; the image circle must be `
    + `${shownLength(view.imageCircleMm, lengths, lengths === 'mm' ? 0 : 1)} across.`
  );
}

function boxSentence(insideDepth: number, box: BoxDepth | null, lengths: Lengths): string {
  const shown = (lengthMm: number): string => {
    const unit = lengths === 'mm' ? 'mm' : 'in';
    return `${formatLength(lengthMm, { unit })} (${otherUnit(lengthMm, unit)})`;
  };
  const over = box === null ? '' : `; ${shown(box.outsideDepthMm)} over the wood`;
  return (
    `Inside depth of the box ${shown(insideDepth)}, from the inner face of the front board to the seat of the holder`
    + `${over}.`
  );
}

function shownLength(lengthMm: number, lengths: Lengths, digits?: number): string {
  if (!Number.isFinite(lengthMm)) {
    throw new InputError('out-of-range', 'A length to be written must be finite.', { got: lengthMm });
  }
  if (lengths === 'in') return formatLength(lengthMm, { unit: 'in', digits: Math.max(1, digits ?? 1) });
  if (digits === undefined && lengthMm >= 1000) {
    return `${withoutTrailingZeros(fixed(lengthMm / 1000, 2))} m`;
  }
  return formatLength(lengthMm, digits === undefined ? { unit: 'mm' } : { unit: 'mm', digits });
}
