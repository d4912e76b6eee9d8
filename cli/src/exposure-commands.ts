/** The options of `camerawright exposure` and of the commands below it. What they do stands in files of their own. */
import type { Command } from 'commander';
import { InputError, UM_PER_MM, filmOf, numbersOf, ownFilms, plateEdgeOf } from '#core';
import type { CameraFilm, CameraRecord, Workshop } from '#core';
import { readWorkshopFile } from '#io/node';
import type { Output, Print } from './answer.ts';
import { cameraOfWorkshop } from './camera-choice.ts';
import type { CameraOptions } from './camera-choice.ts';
import { boardCommand, cardCommand } from './exposure-cards.ts';
import type { BoardOptions, CardOptions } from './exposure-cards.ts';
import { alarmCommand, flashCommand, shakeCommand, walkerCommand } from './exposure-field.ts';
import type { AlarmOptions, FlashOptions, ShakeOptions, WalkerOptions } from './exposure-field.ts';
import type { ExposureOptions } from './exposure-reading.ts';
import { filmCommand, givenCommand, keepFilm, planExposure } from './exposure-keeping.ts';
import type { FilmOptions, GivenOptions, Loaded } from './exposure-keeping.ts';
import { learnCommand, planCommand } from './exposure-tests.ts';
import type { LearnOptions, PlanOptions } from './exposure-tests.ts';
import { exposureCommand, filmsCommand } from './exposure.ts';
import { registerSky } from './sky-commands.ts';

interface LoadedExposure<Options> extends Loaded {
  readonly options: Options;
}

type Filled = { -readonly [Key in keyof ExposureOptions]: ExposureOptions[Key] };

/** A speed of the maker's own, unless the call gives one. */
function ownSpeed(options: ExposureOptions, known: CameraFilm | null | undefined): Filled {
  if (options.iso !== undefined || !known?.exposureIndex) return {};
  return { iso: String(known.exposureIndex), learntInPinhole: known.learntInPinhole };
}

/** What a workshop and a camera in it say of hole, film and speed, where the call does not say otherwise. */
async function withCameraOf<Options extends ExposureOptions & CameraOptions>(
  options: Options,
): Promise<LoadedExposure<Options>> {
  if (options.workshop === undefined) {
    await cameraOfWorkshop(options);
    return { options, film: null, own: [], workshop: null, camera: null };
  }
  const withoutCamera = options.camera === undefined && hasHole(options);
  const chosen = withoutCamera ? null : await cameraOfWorkshop(options);
  const workshop = chosen?.workshop ?? (await readWorkshopFile(options.workshop));
  const camera = chosen?.record ?? null;
  const films = ownFilms(workshop);
  const own = films.map(({ film }) => film);
  const filled: Filled = {
    ...(camera === null ? {} : boxOf(camera)),
    ...(camera === null || hasHole(options) ? {} : holeOfCamera(camera, workshop)),
    ...(camera === null ? {} : plateOfCamera(camera, workshop)),
    ...(options.filmPlane === undefined ? {} : { filmPlane: options.filmPlane }),
    ...(options.focalMm === undefined ? {} : { focalMm: options.focalMm }),
    ...(options.frame === undefined ? {} : { frame: options.frame }),
  };
  if (options.film !== undefined) {
    const wanted = options.film.trim().toLowerCase();
    const known = films.find(({ film }) => film.name.toLowerCase() === wanted);
    return { options: { ...options, ...filled, ...ownSpeed(options, known) }, film: null, own, workshop, camera };
  }
  const loaded = camera === null ? null : filmOf(camera, workshop);
  return { options: { ...options, ...filled, ...ownSpeed(options, loaded) }, film: loaded?.film ?? null, own, workshop, camera };
}

/** Frame, focal length and hole shift of a camera, for the part of the frame that matters. */
function boxOf({ frame, focalLengthMm, holeShift, filmPlane }: CameraRecord): Filled {
  return {
    ...(frame?.widthMm === undefined || frame.heightMm === undefined ? {} : { frame: `${frame.widthMm}x${frame.heightMm}` }),
    ...(focalLengthMm === undefined ? {} : { focalMm: String(focalLengthMm) }),
    holeShift: `${holeShift?.xMm ?? 0},${holeShift?.yMm ?? 0}`,
    ...(filmPlane === undefined ? {} : { filmPlane: filmPlane.kind }),
  };
}

/** The wall of its plate, where hole and thickness are measured: slanting light meets it. */
function plateOfCamera(camera: CameraRecord, workshop: Workshop): Filled {
  const numbers = numbersOf(camera, workshop);
  const plateEdge = plateEdgeOf(camera, workshop, numbers.kind === 'measured' ? numbers.diameterMm : undefined);
  return plateEdge === undefined ? {} : { plateEdge };
}

/** The hole of a camera as options: as measured, else as typed. */
function holeOfCamera(camera: CameraRecord, workshop: Workshop): Filled {
  const numbers = numbersOf(camera, workshop);
  if (numbers.kind === 'measured') {
    return {
      diameterUm: String(numbers.diameterMm * UM_PER_MM),
      focalMm: String(numbers.focalLengthMm),
      ...(numbers.standardUncertaintyMm === null ? {} : { uncertainty: String(numbers.standardUncertaintyMm * UM_PER_MM) }),
    };
  }
  if (camera.fNumber !== undefined) return { fNumber: String(camera.fNumber) };
  throw new InputError('missing', numbers.sentence, { path: numbers.what });
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
    .option('--ev-iso <S>', 'the EV was read at this speed instead')
    .option('--scene <words>', 'light in words, from the published table')
    .option('--lighting <side>', 'front, side or back, with a scene in direct sun')
    .option('--lux <E>', 'illuminance, lux')
    .option('--luminance <L>', 'luminance, cd/m²')
    .option('--metered-s <t>', "seconds read at --metered-f-number, at the film's speed")
    .option('--metered-f-number <N>', 'f-number of the reading')
    .option('--metered-iso <S>', "speed the meter was set to, if not the film's")
    .option('--meter-reading <kind>', 'reflected or incident')
    .option('--mark', 'the metered f-number is a mark on a dial (22 stands for 22.63)')
    .option('--light-uncertainty <u>', 'standard uncertainty of the light, stops');
}

function wayOptions(command: Command): Command {
  return command
    .option('--filter-factor <F>', 'filter factor')
    .option('--filter-stops <s>', 'filter, stops')
    .option('--falloff-stops <s>', 'falloff to the part of the frame that matters, stops')
    .option('--part <part>', 'part of the frame that matters: behind the hole, middle, half-way, corner, or x,y in mm')
    .option('--frame <WxH>', 'image area, mm, for --part')
    .option('--film-plane <p>', 'flat, cylinder (bent about the hole) or can (along the wall, hole opposite), for --part; as the camera has it unless given')
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
      .option('--light-colour <c>', 'daylight, sunlight, incandescent or tungsten: for paper and ortho film')
      .option('--response <r>', 'colour response, if not the likely one of the film: panchromatic, orthochromatic, blue-paper, variable-contrast-paper, green-xray')
      .option('--bracket <stops>', 'step of the bracket, like 0.5 or 1')
      .option('--plan', 'write it into the log of the workshop as an exposure still to be given')
      .option('--list-films', 'list the films and papers with their sources'),
  ).action(async (options: ExposureOptions & CameraOptions & Output & { readonly plan?: boolean }) => {
    if (options.listFilms === true) {
      const workshop = options.workshop === undefined ? null : await readWorkshopFile(options.workshop);
      print(filmsCommand(workshop === null ? [] : ownFilms(workshop).map(({ film }) => film)), options);
      return;
    }
    const loaded = await withCameraOf(options);
    const answer = exposureCommand(loaded.options, loaded.film, loaded.own);
    if (options.plan !== true) {
      print(answer, options);
      return;
    }
    const { record, sentence } = await planExposure(loaded.options, loaded);
    print({ ...answer, json: { ...(answer.json as object), plannedExposure: record }, notes: [...answer.notes, sentence] }, options);
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

  const plan = exposure.command('plan').description('a step test on one sheet: positions of the dark slide and seconds');
  output(
    wayOptions(lightOptions(holeOptions(plan)))
      .option('--around-s <t>', 'the time thought right, instead of light, hole and film')
      .option('--film <name>', 'film or paper')
      .option('--iso <S>', 'film speed or exposure index')
      .option('--strips <n>', 'how many strips, 3 to 12 (5 unless given)')
      .option('--step <stops>', 'stops from strip to strip, 1/3 to 2 (1 unless given)')
      .option('--length <l>', 'length of the film along the slide’s travel, mm')
      .option('--way <w>', 'push-in (slide out first) or pull-out (slide in first)'),
  ).action(async (options: PlanOptions & CameraOptions & Output) => {
    const around = options.aroundS === undefined ? await withCameraOf<PlanOptions & CameraOptions>(options) : null;
    print(planCommand(around?.options ?? options, around?.film ?? null, around?.own ?? []), options);
  });

  const learn = exposure.command('learn').description('exposure index and reciprocity from your own tests, with what they cannot tell');
  output(
    learn
      .option('--film <name>', 'film or paper tested')
      .option('--iso <S>', 'speed the times were metered at, if not the film’s')
      .option('--trials <file>', 'CSV: metered_s, given_s, verdict (too light, right, too dark) or density, sheet; or right_s, uncertainty_stops')
      .option('--scan <file>', 'scan of a step sheet with a step wedge of known densities beside it')
      .option('--sheet-window <c,r,w,h>', 'where the strips lie in the scan, px')
      .option('--wedge-window <c,r,w,h>', 'where the wedge lies in the scan, px')
      .option('--wedge <d>', 'densities of the wedge’s steps, in the order in which they lie')
      .option('--times <t>', 'seconds of the strips, in the order in which they lie')
      .option('--along <side>', 'columns or rows: along which the strips lie (columns unless given)')
      .option('--metered-s <t>', 'metered time of the scanned sheet')
      .option('--target-density <d>', 'density wanted for the target (0.70; paper 0.60)')
      .option('--base-density <d>', 'base and fog in the readings')
      .option('--law <l>', 'power, covington or modified-schwarzschild (power unless given)')
      .option('--workshop <file>', 'workshop file: its films, and its log where no other tests are given')
      .option('--keep <name>', 'keep what was learnt as a film of that workshop'),
  ).action(async (options: LearnOptions & CameraOptions & Output & { readonly keep?: string }) => {
    const workshop = options.workshop === undefined ? null : await readWorkshopFile(options.workshop);
    const own = workshop === null ? [] : ownFilms(workshop).map(({ film }) => film);
    const answer = await learnCommand(options, own, workshop);
    const kept = options.keep === undefined ? null : await keepFilm(options.workshop, options.keep, answer.learnt.film);
    print(kept === null ? answer : { ...answer, notes: [...answer.notes, kept] }, options);
  });

  exposure
    .command('film')
    .description('films and papers of a workshop’s own: kept from a JSON file, changed, or put in the trash')
    .option('--workshop <file>', 'workshop file')
    .option('--add <file>', 'JSON: one film or a list of them, with the fields of the film list')
    .option('--change <name>', 'change the film of this name by --set')
    .option('--set <fields>', 'fields to change, as JSON or a file of it: {"iso": 80, "exposureIndex": 64, "name": "second box"}; null takes one away')
    .option('--remove <name>', 'put the film of this name in the trash')
    .option('--csv', 'a table for a spreadsheet')
    .option('--json', 'one JSON document')
    .action(async (options: FilmOptions & Output) => print(await filmCommand(options), options));

  const logged = exposure.command('given').description('write down an exposure that was given, beside what was planned');
  output(
    wayOptions(lightOptions(holeOptions(logged)))
      .option('--film <name>', 'film or paper')
      .option('--iso <S>', 'film speed or exposure index')
      .option('--given-s <t>', 'seconds that were given')
      .option('--started <time>', 'when it began, ISO 8601 with offset')
      .option('--sheet <name>', 'which sheet or frame')
      .option('--notes <text>', 'anything else'),
  ).action(async (options: GivenOptions & CameraOptions & Output) => {
    const loaded = await withCameraOf<GivenOptions & CameraOptions>(options);
    print(await givenCommand(loaded.options, loaded), options);
  });
  registerSky(exposure, print, { holeOptions, wayOptions, output, withCameraOf });

  exposure
    .command('walker')
    .description('how fast somebody who walks through the picture vanishes')
    .option('--exposure-s <t>', 'how long the shutter is open, s')
    .option('--focal-mm <f>', 'focal length, mm')
    .option('--frame <WxH>', 'image area, mm')
    .option('--distance <d>', 'how far away he walks, like 5 m')
    .option('--speed <v>', 'm/s (1.4 unless given)')
    .option('--width <w>', 'how wide he is, mm (500 unless given)')
    .option('--brighter-stops <s>', 'brighter than what is behind, stops; negative: darker (-2 unless given)')
    .option('--count <n>', 'how many pass')
    .option('--stands-s <t>', 'seconds that each stands still')
    .option('--json', 'one JSON document')
    .action((options: WalkerOptions & Output) => print(walkerCommand(options), options));

  exposure
    .command('shake')
    .description('how much a camera may move before it costs more than the hole does')
    .option('--diameter-um <d>', 'diameter of the hole, µm')
    .option('--focal-mm <f>', 'focal length, mm')
    .option('--wavelength-nm <w>', 'wavelength, nm (550 unless given)')
    .option('--lever <l>', 'from where the camera turns to where the movement is felt, mm (100 unless given)')
    .option('--shaken-s <t>', 'how long it shakes, s')
    .option('--exposure-s <t>', 'how long the shutter is open, s')
    .option('--json', 'one JSON document')
    .action((options: ShakeOptions & Output) => print(shakeCommand(options), options));

  exposure
    .command('flash')
    .description('how long to flash a paper before the picture, and what it does')
    .option('--threshold-s <t>', 'shortest flash that leaves a grey, s')
    .option('--share <q>', 'flash as a share of that, 0.1 to 0.9 (0.7 unless given)')
    .option('--range-stops <r>', 'range of the paper, stops (3.3 unless given)')
    .option('--json', 'one JSON document')
    .action((options: FlashOptions & Output) => print(flashCommand(options), options));

  exposure
    .command('alarm')
    .description('the closing time as a calendar file (ICS) on standard output')
    .option('--exposure-s <t>', 'how long the shutter is open, s')
    .option('--started <time>', 'when it was opened, ISO 8601 with offset (now unless given)')
    .option('--count-s <t>', 'count before opening, s')
    .option('--title <text>', 'what the calendar says')
    .option('--warning-min <m>', 'rings so many minutes before as well')
    .option('--json', 'one JSON document')
    .action(async (options: AlarmOptions & Output) => print(await alarmCommand(options), options));
}
