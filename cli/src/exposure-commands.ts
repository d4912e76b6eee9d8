/** The options of `camerawright exposure` and of the commands below it. What they do stands in files of their own. */
import type { Command } from 'commander';
import { InputError, UM_PER_MM, filmOf, numbersOf, ownFilms } from '#core';
import type { Film, Workshop } from '#core';
import { readWorkshopFile } from '#io/node';
import type { Output, Print } from './answer.ts';
import { cameraOfWorkshop } from './camera-choice.ts';
import type { CameraOptions } from './camera-choice.ts';
import { boardCommand, cardCommand } from './exposure-cards.ts';
import type { BoardOptions, CardOptions } from './exposure-cards.ts';
import type { ExposureOptions } from './exposure-reading.ts';
import { exposureCommand, filmsCommand } from './exposure.ts';

interface LoadedExposure<Options> {
  readonly options: Options;
  readonly film: Film | null;
  /** The workshop's own, found before the list. */
  readonly own: readonly Film[];
  readonly workshop: Workshop | null;
}

/** What a camera of a workshop says of hole and film, where the call does not say otherwise. */
async function withCameraOf<Options extends ExposureOptions & CameraOptions>(
  options: Options,
): Promise<LoadedExposure<Options>> {
  if (options.workshop !== undefined && options.camera === undefined && hasHole(options)) {
    const workshop = await readWorkshopFile(options.workshop);
    return { options, film: null, own: ownFilms(workshop).map(({ film }) => film), workshop };
  }
  const chosen = await cameraOfWorkshop(options);
  if (chosen === null) return { options, film: null, own: [], workshop: null };
  const { record, workshop } = chosen;
  const own = ownFilms(workshop).map(({ film }) => film);
  const filled: { -readonly [Key in keyof ExposureOptions]: ExposureOptions[Key] } = {};
  if (!hasHole(options)) {
    const numbers = numbersOf(record, workshop);
    if (numbers.kind === 'measured') {
      filled.diameterUm = String(numbers.diameterMm * UM_PER_MM);
      filled.focalMm = String(numbers.focalLengthMm);
      if (numbers.standardUncertaintyMm !== null) filled.uncertainty = String(numbers.standardUncertaintyMm * UM_PER_MM);
    } else if (record.fNumber !== undefined) {
      filled.fNumber = String(record.fNumber);
    } else {
      throw new InputError('missing', numbers.sentence, { path: numbers.what });
    }
  }
  if (options.film !== undefined) return { options: { ...options, ...filled }, film: null, own, workshop };
  const loaded = filmOf(record, workshop);
  if (options.iso === undefined && loaded?.exposureIndex) filled.iso = String(loaded.exposureIndex);
  return { options: { ...options, ...filled }, film: loaded?.film ?? null, own, workshop };
}

function hasHole(options: ExposureOptions): boolean {
  return options.fNumber !== undefined || options.diameterUm !== undefined;
}

function holeOptions(command: Command): Command {
  return command
    .option('--workshop <file>', 'workshop file: its cameras, films and papers')
    .option('--camera <name>', 'name of the camera in the workshop file: its hole, film and speed')
    .option('--f-number <N>', 'f-number of the hole')
    .option('--diameter-um <d>', 'diameter of the hole, µm (with --focal-mm, instead of --f-number)')
    .option('--focal-mm <f>', 'focal length, mm')
    .option('--uncertainty <u>', 'standard uncertainty of the f-number, or of the diameter in µm')
    .option('--focal-uncertainty-mm <u>', 'standard uncertainty of the focal length, mm');
}

function lightOptions(command: Command): Command {
  return command
    .option('--ev <ev>', 'light as EV at ISO 100')
    .option('--scene <words>', 'light in words, from the published table')
    .option('--lighting <side>', 'front, side or back, with a scene in direct sun')
    .option('--lux <E>', 'illuminance, lux')
    .option('--luminance <L>', 'luminance, cd/m²')
    .option('--metered-s <t>', "seconds read at --metered-f-number, at the film's speed")
    .option('--metered-f-number <N>', 'f-number of the reading')
    .option('--metered-iso <S>', "speed the meter was set to, if not the film's")
    .option('--mark', 'the metered f-number is a mark on a dial (22 stands for 22.63)')
    .option('--light-uncertainty <u>', 'standard uncertainty of the light, stops');
}

function wayOptions(command: Command): Command {
  return command
    .option('--filter-factor <F>', 'filter factor')
    .option('--filter-stops <s>', 'filter, stops')
    .option('--falloff-stops <s>', 'falloff to the part of the frame that matters, stops')
    .option('--bare-hole', 'apply the constant of a bare hole (0.27 stop)')
    .option('--hand-s <t>', 'reaction of the hand on the shutter, s');
}

function output(command: Command): Command {
  return command.option('--csv', 'a table for a spreadsheet').option('--json', 'one JSON document');
}

/** `exposure` itself, and what stands below it. */
export function registerExposure(program: Command, print: Print): void {
  const exposure = program
    .command('exposure')
    .description('how long to expose: from a light and a hole to the seconds on this film')
    // options behind the name of a command below are that command's own
    .enablePositionalOptions();
  output(
    wayOptions(lightOptions(holeOptions(exposure)))
      .option('--film <name>', 'film or paper (--list-films lists them)')
      .option('--iso <S>', 'film speed or exposure index')
      .option('--list-films', 'list the films and papers with their sources'),
  ).action(async (options: ExposureOptions & CameraOptions & Output) => {
    if (options.listFilms === true) {
      const workshop = options.workshop === undefined ? null : await readWorkshopFile(options.workshop);
      print(filmsCommand(workshop === null ? [] : ownFilms(workshop).map(({ film }) => film)), options);
      return;
    }
    const { options: filled, film, own } = await withCameraOf(options);
    print(exposureCommand(filled, film, own), options);
  });

  const card = exposure.command('card').description('the table for the back of a camera: seconds for each light and film');
  output(
    wayOptions(holeOptions(card))
      .option('--film <names>', 'films or papers, separated by semicolons; name@speed sets a speed')
      .option('--iso <speeds>', 'speeds without a film, separated by commas')
      .option('--scenes <words>', 'scenes for the lines, separated by semicolons')
      .option('--ev <range>', 'EV for the lines instead: 4..16, or 4,8,12'),
  ).action(async (options: CardOptions & CameraOptions & Output) => {
    const { options: filled, film, own } = await withCameraOf<CardOptions & CameraOptions>(options);
    print(cardCommand(filled, film, own), options);
  });

  const board = exposure.command('board').description('the board of a class: one light, the seconds for every camera');
  output(
    wayOptions(lightOptions(board))
      .option('--workshop <file>', 'every camera of this workshop file')
      .option('--places <file>', 'CSV with a head: name, camera, diameter_um, focal_mm, f_number, film, speed')
      .option('--film <name>', 'film or paper in the cameras')
      .option('--iso <S>', 'film speed or exposure index'),
  ).action(async (options: BoardOptions & Output) => {
    print(await boardCommand(options), options);
  });
}
