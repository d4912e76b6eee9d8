/** The options of the commands below `exposure` that look at the sky. What they do stands in files of their own. */
import type { Command } from 'commander';
import { numbersOf } from '#core';
import type { CameraRecord, Film, Workshop } from '#core';
import type { Output, Print } from './answer.ts';
import { cameraOfWorkshop } from './camera-choice.ts';
import type { CameraOptions } from './camera-choice.ts';
import { duskCommand } from './dusk.ts';
import type { DuskOptions } from './dusk.ts';
import type { ExposureOptions } from './exposure-reading.ts';
import { sunTracksCommand } from './sun-tracks.ts';
import type { SunTracksOptions } from './sun-tracks.ts';

/** What the commands share with `exposure` itself. */
export interface ExposureWays {
  readonly holeOptions: (command: Command) => Command;
  readonly wayOptions: (command: Command) => Command;
  readonly output: (command: Command) => Command;
  readonly withCameraOf: <Options extends ExposureOptions & CameraOptions>(options: Options) => Promise<{
    readonly options: Options;
    readonly film: Film | null;
    readonly own: readonly Film[];
    readonly workshop: Workshop | null;
  }>;
}

function skyOptions(command: Command): Command {
  return command
    .option('--place <lat,lon>', 'latitude and longitude in degrees, north and east positive, like 47.37,8.54')
    .option('--zone <name>', "time zone, like Europe/Zurich or +01:00 (the workshop's or this computer's unless given)");
}

export function registerSky(exposure: Command, print: Print, ways: ExposureWays): void {
  const dusk = exposure
    .command('dusk')
    .description('light that changes: when to close at dusk or dawn, under cloud, by moonlight, or that it will never be enough');
  ways.output(
    skyOptions(ways.wayOptions(ways.holeOptions(dusk)))
      .option('--reading <readings...>', 'time and light, one or more: "17:40 EV 9.3", "17:45 1/15 f/22 ISO 100"')
      .option('--date <date>', 'date of the times, like 2026-10-31 (today unless given)')
      .option('--open <time>', 'when the shutter opens (the last reading unless given)')
      .option('--until <time>', 'no light is counted after this (until it is darkest unless given)')
      .option('--cloud-share <s>', 'share of the time in which cloud passes, 0 to 1')
      .option('--cloud-stops <s>', 'how much it takes away, stops (2 unless given)')
      .option('--metered-iso <S>', "speed the meter was set to, if not the film's")
      .option('--light-uncertainty <u>', 'standard uncertainty of the readings, stops')
      .option('--film <name>', 'film or paper')
      .option('--iso <S>', 'film speed or exposure index')
      .option('--ics <file>', 'write a reminder to close as a calendar file'),
  ).action(async (options: DuskOptions & CameraOptions & Output) => {
    const { options: filled, film, own, workshop } = await ways.withCameraOf(options);
    print(await duskCommand(filled, { loaded: film, own }, knownPlace(workshop, options.camera)), options);
  });

  const tracks = exposure
    .command('sun-tracks')
    .description('what the sun draws on the paper in months: tracks, hours, solstices, and whether the June noon stays on it');
  ways.output(
    skyOptions(tracks)
      .option('--workshop <file>', 'workshop file in which the camera stands')
      .option('--camera <name>', 'name of the camera in the workshop file: its place, paper, direction and months')
      .option('--azimuth <a>', 'direction it looks, degrees from true north through east')
      .option('--compass <a>', 'instead: the same by the compass')
      .option('--declination <d>', 'magnetic declination, degrees east (by the magnetic model unless given)')
      .option('--tilt <t>', 'tilt, degrees, upward positive (0 unless given)')
      .option('--surface <s>', 'flat, can (paper round the wall, hole in the wall) or half-can (hole on the axis)')
      .option('--focal-mm <f>', 'flat paper: from hole to paper, mm')
      .option('--can-diameter-mm <d>', 'inside diameter of the can, mm')
      .option('--paper <WxH>', 'paper, width along the curve by height, mm')
      .option('--hole-height-mm <h>', "hole above the paper's lower edge, mm (the middle unless given)")
      .option('--diameter-um <d>', 'diameter of the hole, µm: how wide a line is')
      .option('--from <date>', 'first day, like 2026-12-21')
      .option('--to <date>', 'last day')
      .option('--horizon <corners>', 'skyline, azimuth:height in degrees: 90:12,135:4')
      .option('--svg <file>', 'write the unrolled paper as a drawing, true to size')
      .option('--view <v>', 'drawn as it lies (emulsion), as the picture will be seen (picture), or from the film side (film)')
      .option('--ics <file>', 'write reminders to open and to close as a calendar file'),
  ).action(async (options: SunTracksOptions & CameraOptions & Output) => {
    const chosen = await cameraOfWorkshop(options);
    const workshop = chosen?.workshop ?? null;
    const numbers = chosen === null ? null : numbersOf(chosen.record, chosen.workshop);
    const known = {
      ...knownPlace(workshop, options.camera),
      ...(chosen === null ? {} : { record: chosen.record }),
      ...(numbers?.kind === 'measured' ? { holeDiameterMm: numbers.diameterMm } : {}),
    };
    print(await sunTracksCommand(options, known), options);
  });
}

/** Where the camera stands, by the workshop. */
function knownPlace(workshop: Workshop | null, cameraName: string | undefined): { place?: CameraPlace; timeZone?: string } {
  const camera = cameraOf(workshop, cameraName);
  const place = camera?.place ?? workshop?.place;
  const timeZone = place?.timeZone ?? workshop?.timeZone;
  return { ...(place === undefined ? {} : { place }), ...(timeZone === undefined ? {} : { timeZone }) };
}

type CameraPlace = NonNullable<CameraRecord['place']>;

function cameraOf(workshop: Workshop | null, name: string | undefined): CameraRecord | undefined {
  if (workshop === null) return undefined;
  const wanted = name?.toLowerCase();
  return wanted === undefined && workshop.cameras.length === 1
    ? workshop.cameras[0]
    : workshop.cameras.find((camera) => camera.name.toLowerCase() === wanted || camera.id === name);
}
