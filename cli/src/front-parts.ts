/** What else `camerawright front` prints: gauge, aiming, tolerances, seat and shutters, several holes. */
import {
  InputError,
  filmAngleRad,
  flatWedgeAlarmMm,
  formatNumber,
  frameCorners,
  gauge,
  holeBoard,
  parseLength,
  pivotLever,
  plateSeat,
  radToDegrees,
  readPlaces,
  seeded,
  sightingPins,
  slidingShutter,
  swingingFlap,
  thickestEdgeMm,
  toleranceAnswer,
  viewLimits,
  viewLines,
  wireFrame,
} from '#core';
import type { AskedParts, FrontQuestion } from '#core';
import { parseNumber } from './camera-choice.ts';
import { table } from './printing.ts';

export interface FrontPartOptions {
  readonly gauge?: boolean;
  readonly finder?: string | boolean;
  readonly tolerances?: boolean;
  readonly seed?: string;
  readonly trials?: string;
  readonly plateLoss?: string | boolean;
  readonly seat?: string | boolean;
  readonly slide?: string | boolean;
  readonly flap?: string | boolean;
  readonly lever?: string | boolean;
  readonly holes?: string;
}

export interface Part {
  readonly name: string;
  readonly json: unknown;
  readonly text: string;
}

function two(value: number): string {
  return formatNumber(value, { digits: 2 });
}

function degrees(angleRad: number): string {
  return `${formatNumber(radToDegrees(angleRad), { digits: 1 })}°`;
}

/** `opening=10 plate=0.1`: lengths by name, under the core's names; nothing where only the option stands. */
function named(given: string | true, option: string, names: Readonly<Record<string, string>>): Record<string, number> {
  const found: Record<string, number> = {};
  if (given === true) return found;
  const known = Object.keys(names);
  for (const part of given.split(/[\s;]+(?=[a-z-]+=)/i).map((one) => one.trim()).filter((one) => one !== '')) {
    const [name = '', value] = part.split('=');
    const field = names[name];
    if (value === undefined || field === undefined) {
      throw new InputError('not-understood', `${option} "${part}" was not understood. It takes ${known.map((one) => `${one}=…`).join(' ')}, lengths in mm.`, {
        path: option,
        got: part,
        expected: known.join(', '),
      });
    }
    found[field] = parseLength(value, { defaultUnit: 'mm', path: `${option} ${name}` }).mm;
  }
  return found;
}

/** An option that was asked for: what stands behind it, or `true`. */
function asked(option: string | boolean | undefined): string | true | null {
  return option === undefined || option === false ? null : option;
}

/** A wedge as it leaves the saw, for comparison. */
const PLAIN_TIP_MM = 2;

function gaugePart(question: FrontQuestion, tipHeightMm: number | null): Part {
  const { camera, hole } = question;
  const heightMm = Math.max(...question.layers.map(({ nearMm, farMm }) => Math.max(nearMm, farMm)), 2) + 2;
  const holeDiameterMm = 'diameterMm' in hole ? hole.diameterMm : 2 * Math.max(...hole.loopsMm.flat().map(({ xMm, yMm }) => Math.hypot(xMm, yMm)));
  const gauges = viewLimits(camera, holeDiameterMm).map((limit) => ({ plane: limit.plane, ...gauge({ ...limit, holeDiameterMm, heightMm, ...(tipHeightMm === null ? {} : { tipHeightMm }) }) }));
  return {
    name: 'gauge',
    json: gauges,
    text: [
      table(
        ['gauge', 'angle', 'tip, mm', 'cut at, mm', 'top, mm', 'height, mm'],
        gauges.map((one) => [one.plane, degrees(one.angleRad), two(one.tipWidthMm), two(one.tipHeightMm), two(one.topWidthMm), two(one.heightMm)]),
      ),
      gauges[2]?.reading ?? '',
      `A plain wedge whose tip is cut flat ${two(PLAIN_TIP_MM)} mm wide alarms ${two(flatWedgeAlarmMm({ tipWidthMm: PLAIN_TIP_MM, holeDiameterMm, focalLengthMm: camera.focalLengthMm, zMm: 0 }))} mm a side too early at the plate.`,
    ].join('\n'),
  };
}

function finderPart(question: FrontQuestion, given: string | true, { box, eye }: AskedParts): Part {
  const { camera } = question;
  const boxNames = { width: 'outsideWidthMm', height: 'outsideHeightMm', behind: 'behindFilmMm' };
  const said = named(given, '--finder', { eye: 'eyeDistanceMm', up: 'eyeYMm', right: 'eyeXMm', object: 'objectDistanceMm', ...boxNames });
  const faces = { ...box, ...said };
  const lines = viewLines(camera, faces);
  const wire = wireFrame(camera, { ...eye, ...said });
  const all = [...lines.top, ...lines.side];
  const pins = sightingPins(camera, faces);
  const pin = ({ acrossMm, forwardMm }: { readonly acrossMm: number; readonly forwardMm: number }): string => `${two(acrossMm)}, ${two(forwardMm)}`;
  return {
    name: 'finder',
    json: { viewLines: lines, pins, wireFrame: wire },
    text: [
      table(
        ['view line', 'angle', 'from across', 'forward', 'to across', 'forward'],
        all.map((line) => [line.name, degrees(line.angleRad), two(line.from.acrossMm), two(line.from.forwardMm), two(line.to.acrossMm), two(line.to.forwardMm)]),
      ),
      `Sighting pins on the top, across and forward of the film: over the hole ${pin(pins.holePin)}; at the back left ${pin(pins.backLeft)}, right ${pin(pins.backRight)} mm.`,
      `Wire frame ${two(wire.eyeDistanceMm)} mm before the eye: ${two(wire.widthMm)} × ${two(wire.heightMm)} mm, its middle ${two(wire.centerXMm)} mm right and `
        + `${two(wire.centerYMm)} mm up of the axis through the eye; parallax ${two(wire.parallaxXMm)}, ${two(wire.parallaxYMm)} mm.`,
      ...(wire.outline.length > 4 ? [`Bent film: bend the wire’s long edges through ${wire.outline.map(({ xMm, yMm }) => `${two(xMm)},${two(yMm)}`).join(' ')} mm.`] : []),
    ].join('\n'),
  };
}

function whole(text: string | undefined, option: string, usual: number): number {
  if (text === undefined) return usual;
  const value = Number(text);
  if (Number.isInteger(value) && value >= 0) return value;
  throw new InputError('not-understood', `${option} "${text}" is not a whole number.`, { path: option, got: text });
}

function tolerancePart(question: FrontQuestion, options: FrontPartOptions): Part {
  const answer = toleranceAnswer(question, seeded(whole(options.seed, '--seed', 1)), whole(options.trials, '--trials', 10_000));
  const corners = Object.entries(answer.cornerClipShare).map(([corner, share]) => [corner, `${formatNumber(100 * share, { digits: 1 })} %`]);
  const first = answer.effects[0];
  return {
    name: 'tolerances',
    json: answer,
    text: [
      `A corner clips in ${formatNumber(100 * answer.clipShare, { digits: 1 })} % of ${answer.trials} builds. To spare: as drawn ${two(answer.nominalSpareMm)} mm, worst case `
        + `${two(answer.worstSpareMm)} mm, root-sum-square ${two(answer.rootSumSquareSpareMm)} mm, 95 of 100 builds ${two(answer.spareOf95Mm)} mm or more.`,
      first === undefined ? 'No layer states a tolerance yet.' : `What matters most: ${first.layer}, ${first.part} ± ${two(first.limitMm)} mm takes ${two(first.effectMm)} mm.`,
      table(['corner', 'clips'], corners),
    ].join('\n'),
  };
}

function platePart(question: FrontQuestion, given: string | true, usualStops: number): Part {
  const [above, below] = given === true ? [usualStops] : given.split('/').map((part) => parseNumber(part, '--plate-loss'));
  const lossStops = below === undefined ? above! : above! / below;
  const { camera, hole } = question;
  if (!('diameterMm' in hole)) throw new InputError('unsupported', '--plate-loss is for a round hole.', { path: '--plate-loss' });
  const angleRad = Math.max(...Object.values(frameCorners(camera.frame)).map((corner) => filmAngleRad(camera, corner)));
  const edgeMm = thickestEdgeMm({ diameterMm: hole.diameterMm, angleRad, lossStops });
  return {
    name: 'plate',
    json: { lossStops, angleRad, thickestEdgeMm: edgeMm },
    text: `For at most ${formatNumber(lossStops, { significant: 2 })} ${lossStops > 1 ? 'stops' : 'stop'} in the corner the edge of the hole may be ${formatNumber(edgeMm, { digits: 3 })} mm thick; the sheet itself is the worst case, a dimpled and sanded edge is thinner.`,
  };
}

function fieldTable(of: object): string {
  return table(
    ['measure', 'value'],
    Object.entries(of).map(([name, value]) => [
      name.replace(/Mm$|Rad$/, '').replace(/([A-Z])/g, (letter) => ` ${letter.toLowerCase()}`),
      name.endsWith('Rad') ? degrees(value as number) : Array.isArray(value) ? value.map((one) => two(one as number)).join(', ') : value === null ? '' : `${two(value as number)} mm`,
    ]),
  );
}

function holesPart(question: FrontQuestion, given: string, { places, septumThicknessMm }: AskedParts, imageCircleMm: number | null): Part {
  const { camera, hole } = question;
  const holeDiameterMm = 'diameterMm' in hole ? hole.diameterMm : 0.3;
  const board = holeBoard(camera, { places: readPlaces(given.trim().toLowerCase() === 'kept' ? places : given, '--holes'), holeDiameterMm, imageCircleMm, septumThicknessMm });
  const pair = ({ first, second }: { readonly first: number; readonly second: number }): string => `${first + 1} and ${second + 1}`;
  return {
    name: 'holes',
    json: { imageCircleMm: board.imageCircleMm, overlaps: board.images, frames: board.frames, septa: board.septa },
    text: [
      table(['holes', 'images overlap, mm', 'area, mm²'], board.images.map((one) => [pair(one), two(one.overlapWidthMm), two(one.overlapMm2)])),
      ...board.frames.map((one) => `Frames ${pair(one)} share a piece of film of ${two(one.widthMm)} × ${two(one.heightMm)} mm.`),
      ...board.septa.map((one) => `${one.stands === 'upright' ? 'Upright septum' : 'Level septum'} of ${pair(one)} at ${one.stands === 'upright' ? 'x' : 'y'} = ${two(one.placeMm)} mm, from ${two(one.spanMm[0])} to ${two(one.spanMm[1])} along the board, ${two(one.lengthMm)} mm long from the film; ${two(one.gapToBoardMm)} mm may stay open before the board.`),
    ].join('\n'),
  };
}

/**
 * The parts asked for, in the order of the job.
 * @param usual what is asked of each where the line says nothing
 */
export function frontParts(question: FrontQuestion, options: FrontPartOptions, usual: AskedParts, imageCircleMm: number | null): Part[] {
  const parts: Part[] = [];
  if (options.gauge === true) parts.push(gaugePart(question, usual.gaugeTipMm));
  if (options.tolerances === true) parts.push(tolerancePart(question, options));
  const loss = asked(options.plateLoss);
  if (loss !== null) parts.push(platePart(question, loss, usual.lossStops));
  const seatSizes = asked(options.seat);
  if (seatSizes !== null) {
    const names = { opening: 'boardOpeningMm', plate: 'plateThicknessMm', glue: 'glueThicknessMm', land: 'landMm', clearance: 'glueClearanceMm', below: 'belowSurfaceMm', board: 'boardThicknessMm' };
    const seat = plateSeat({ ...usual.seat, ...named(seatSizes, '--seat', names) });
    parts.push({ name: 'seat', json: seat, text: fieldTable(seat) });
  }
  const slideSizes = asked(options.slide);
  if (slideSizes !== null) {
    const said = named(slideSizes, '--slide', {
      opening: 'openingAlongMm', 'opening-across': 'openingAcrossMm', clear: 'clearAlongMm', 'clear-across': 'clearAcrossMm', thickness: 'slideThicknessMm',
      play: 'playMm', overlap: 'overlapMm', 'not-home': 'notHomeMm', grip: 'railGripMm', proud: 'holeProudMm',
    });
    // What is said along counts across, too, unless that is said.
    const across = { openingAcrossMm: said['openingAlongMm'] ?? usual.slide.openingAcrossMm, clearAcrossMm: said['clearAlongMm'] ?? usual.slide.clearAcrossMm };
    const slide = slidingShutter({ ...usual.slide, ...across, ...said });
    parts.push({ name: 'slide', json: slide, text: fieldTable(slide) });
  }
  const swing = { opening: 'openingMm', clear: 'clearMm', pivot: 'pivotDistanceMm', overlap: 'overlapMm' };
  for (const [name, option, make] of [['flap', options.flap, swingingFlap], ['lever', options.lever, pivotLever]] as const) {
    const sizes = asked(option);
    if (sizes === null) continue;
    const made = make({ ...usual.swing, ...named(sizes, `--${name}`, swing) });
    parts.push({ name, json: made, text: fieldTable(made) });
  }
  if (options.holes !== undefined) parts.push(holesPart(question, options.holes, usual, imageCircleMm));
  const finder = asked(options.finder);
  if (finder !== null) parts.push(finderPart(question, finder, usual));
  return parts;
}
