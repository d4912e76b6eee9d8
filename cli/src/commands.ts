/** The commands and their options, in the order of the job. What they do stands in one file each. */
import type { Command } from 'commander';
import { DEFAULT_WAVELENGTH_NM, InputError, parseCriterion, requirePositive } from '#core';
import { nodePlateRoom, readWorkshopFile } from '#io/node';
import type { Output, Print } from './answer.ts';
import { cameraOfWorkshop, parseFrame, parseNumber } from './camera-choice.ts';
import type { CameraOptions } from './camera-choice.ts';
import { cameraCommand } from './camera.ts';
import { demoCommand } from './demo.ts';
import { registerExposure } from './exposure-commands.ts';
import { chosenCameraLight } from './light-choice.ts';
import { registerFront } from './front-commands.ts';
import { registerLog } from './log-commands.ts';
import { openCommand } from './open.ts';
import { pictureCommand } from './picture.ts';
import type { PictureOptions } from './picture.ts';
import {
  parseBridge,
  parseDpi,
  parseEdge,
  parseEnds,
  parseIllumination,
  parseMiddle,
  parseNudge,
  parsePiece,
  parseTone,
  plateCommand,
} from './plate.ts';
import type { AskedEdit, JudgingCamera } from './plate.ts';
import { calibrateCommand, scannerOf } from './plate-scanner.ts';
import { registerSheets } from './sheets-commands.ts';

const FILM_HELP =
  'the best hole in the daylight that this film sees, instead of one wavelength: a name of the list, or panchromatic, orthochromatic, blue-paper, variable-contrast-paper, green-xray';

function cameraOptions(command: Command): Command {
  return command
    .option('--workshop <file>', 'workshop file in which the camera stands')
    .option('--camera <name>', 'name of the camera in the workshop file')
    .option('--frame <WxH>', 'image area, width x height in mm, like 120x95')
    .option('--focal-mm <f>', 'focal length: from the hole to the film, mm')
    .option('--object-mm <u>', 'distance of the object, mm (infinity unless given)')
    .option('--wavelength-nm <w>', `wavelength, nm (${DEFAULT_WAVELENGTH_NM} unless given)`)
    .option('--criterion <c>', 'what "best" means: contrast-50, detail-20, detail-10, peak-energy, petzval, rayleigh, brightest, airy');
}

interface PlateOptions extends CameraOptions, Output {
  readonly objectMm?: string;
  readonly wavelengthNm?: string;
  readonly film?: string;
  readonly criterion?: string;
  readonly dpi?: string;
  readonly tone?: string;
  readonly illumination?: string;
  readonly sheet?: boolean;
  readonly ruler?: string | true;
  readonly ends?: string;
  readonly middle?: string;
  readonly scanner?: string;
  readonly calibrate?: string;
  readonly samePlate?: boolean;
  readonly edgeUm?: string;
  readonly hole?: string;
  readonly nudge?: readonly string[];
  readonly bridge?: readonly string[];
  readonly metal?: readonly string[];
  readonly nothing?: readonly string[];
}

/** Gathers an option that may be given several times. */
function several(value: string, before: readonly string[] | undefined): readonly string[] {
  return [...(before ?? []), value];
}

function handEdits(options: PlateOptions): AskedEdit[] {
  return [
    ...(options.nudge ?? []).map(parseNudge),
    ...(options.bridge ?? []).map(parseBridge),
    ...(options.metal ?? []).map((text) => parsePiece('metal', text)),
    ...(options.nothing ?? []).map((text) => parsePiece('nothing', text)),
  ];
}

/** One division of the rule, where `--ruler` says it. */
function rulerOf(text: string | true): { readonly divisionMm?: number } {
  if (text === true) return {};
  const divisionMm = parseNumber(text, '--ruler');
  requirePositive(divisionMm, '--ruler', 'mm');
  return { divisionMm };
}

/**
 * The camera of the workshop. With `--scanner` the workshop may be there for the scanner alone: its only camera is taken,
 * and of several none, which is said.
 */
async function cameraBesideScanner(
  options: PlateOptions,
): Promise<{ readonly chosen: Awaited<ReturnType<typeof cameraOfWorkshop>>; readonly notes: readonly string[] }> {
  if (options.scanner === undefined || options.camera !== undefined || options.workshop === undefined) {
    return { chosen: await cameraOfWorkshop(options), notes: [] };
  }
  const { cameras } = await readWorkshopFile(options.workshop);
  const [only] = cameras;
  if (only === undefined) return { chosen: null, notes: [] };
  if (cameras.length === 1) {
    return { chosen: await cameraOfWorkshop(options), notes: [`Judged for ${only.name}, the only camera of ${options.workshop}.`] };
  }
  const names = cameras.map(({ name }) => name).join(', ');
  return {
    chosen: null,
    notes: [`No verdict: say which camera of ${options.workshop} the hole is for with --camera NAME. It holds: ${names}.`],
  };
}

/** The camera a hole is judged for; `null` when none is named. */
async function judgingCamera(options: PlateOptions): Promise<{ readonly camera: JudgingCamera | null; readonly notes: readonly string[] }> {
  const { chosen, notes: heard } = await cameraBesideScanner(options);
  const record = chosen?.record;
  const focalLengthMm = options.focalMm === undefined ? record?.focalLengthMm : parseNumber(options.focalMm, '--focal-mm');
  if (focalLengthMm === undefined) {
    if (chosen === null && options.frame === undefined && options.criterion === undefined && options.film === undefined) {
      return { camera: null, notes: heard };
    }
    throw new InputError('missing', 'A verdict needs the focal length: give --focal-mm F, or a camera that has one.', {
      path: '--focal-mm',
    });
  }
  requirePositive(focalLengthMm, '--focal-mm', 'mm');
  if (options.frame !== undefined) parseFrame(options.frame);
  const { light, notes } = chosenCameraLight(options, record ?? null, chosen?.workshop ?? null);
  return {
    camera: {
      name: record?.name ?? null,
      focalLengthMm,
      objectDistanceMm:
        options.objectMm === undefined ? (record?.objectDistanceMm ?? Infinity) : parseNumber(options.objectMm, '--object-mm'),
      light,
      criterion: parseCriterion(options.criterion ?? record?.criterion ?? 'detail-10'),
    },
    notes: [...heard, ...notes],
  };
}

export function registerCommands(program: Command, print: Print): void {
  cameraOptions(program.command('camera'))
    .description('what a box sees, its best hole, and how deep it must be')
    .option('--format <id>', 'a film or paper format instead of --frame (--list-formats lists them)')
    .option('--list-formats', 'list the formats with their image areas and sources')
    .option('--angle-deg <a>', 'wanted angle of view, degrees: gives the focal length')
    .option('--across <side>', 'which angle is wanted: horizontal, vertical or diagonal', 'diagonal')
    .option('--hole-um <d>', 'a hole in hand, µm: gives the focal length it suits')
    .option('--shift <x,y>', 'hole off the middle of the frame, mm, seen from the film side')
    .option('--sheet-mm <t>', 'of the whole plate, where its edge was thinned, mm: with --slope-deg')
    .option('--slope-deg <a>', 'slope of the dimple or countersink against the axis')
    .option('--film-plane <p>', 'flat, cylinder (bent about the hole) or can (along the wall, hole opposite)')
    .option('--thickness-mm <t>', 'thickness of the plate at the hole, mm: adds its loss to the falloff (that of the plate in the camera unless given)')
    .option('--film <name>', FILM_HELP)
    .option('--wood <t>', 'thickness of the wood, like 18 or 3/4 in')
    .option('--holder-depth <T>', 'holder depth, like 5.0 or 0.197 in')
    .option('--film-thickness <t>', 'thickness of film or paper')
    .option('--seat <s>', 'sharp edge of the hole in front of the inner face of the front board (negative: behind it)')
    .option('--inside-depth <d>', 'inside depth of a box in hand: gives the focal length')
    .option('--inches', 'lengths in inches')
    .option('--json', 'one JSON document')
    .action(async (options: Record<string, string | boolean | undefined> & CameraOptions & Output) => {
      const chosen = await cameraOfWorkshop(options);
      print(cameraCommand(options, chosen?.record ?? null, chosen?.workshop ?? null), options);
    });

  registerFront(program, print);

  cameraOptions(program.command('plate').argument('<files...>', 'scans (TIFF, PNG, JPEG), or folders of them'))
    .description('how large and how round the hole in a scan is, and what it is good for')
    .option('--dpi <n>', 'resolution of the scan, pixels per inch: N, or X,Y')
    .option('--tone <t>', 'tone curve of the scan: srgb, linear or a gamma')
    .option('--illumination <i>', 'backlit or reflective')
    .option('--film <name>', FILM_HELP)
    .option('--ruler [mm]', 'a millimetre rule lies in the scan: its scale is used (mm: one division, where the marks do not tell)')
    .option('--ends <x1,y1,x2,y2,mm>', 'two ends of a known length in the scan (rule, coin, feeler gauge), pixels from the top left corner, and the length')
    .option('--middle <x1,y1,x2,y2>', 'the middle of the plate lies half-way between two places in the scan, pixels from the top left corner (a drawn cross is found by itself)')
    .option('--scanner <name>', 'the scanner it was made with: its calibration in the workshop file is used')
    .option('--calibrate <name>', 'the files are scans of a steel rule, across and down: keep the scale of this scanner in the workshop file')
    .option('--edge-um <u>', 'where the light says the edge is against where the metal ends, µm (k = 1), in place of 1.5 or 3')
    .option('--same-plate', 'scans of one plate laid down in other ways (0°, 90°, flipped): their mean, and what they differ by')
    .option('--hole <n>', 'only this hole of the scan, 1 being the first')
    .option('--nudge <a,um[,w]>', 'by hand: push the rim in direction a° outwards by µm, over w° to each side', several)
    .option('--bridge <a[,w]>', 'by hand: no burr there but debris or a fleck; bridge w° of the rim about a°', several)
    .option('--metal <n>', 'by hand: debris number n is metal and stays', several)
    .option('--nothing <n>', 'by hand: debris number n is a fault of the scan', several)
    .option('--sheet', 'a sheet of many holes: in reading order')
    .option('--csv', 'a table for a spreadsheet')
    .option('--json', 'one JSON document')
    .action(async (files: string[], options: PlateOptions) => {
      const room = nodePlateRoom();
      try {
        const ruler = options.ruler === undefined ? null : rulerOf(options.ruler);
        if (options.calibrate !== undefined) {
          print(await calibrateCommand({ files, name: options.calibrate, workshop: options.workshop, ...ruler }, room), options);
          return;
        }
        const answer = await plateCommand(
          {
            files,
            ...(options.samePlate ? { samePlate: true } : {}),
            ...(options.hole === undefined ? {} : { hole: parseNumber(options.hole, '--hole') }),
            edits: handEdits(options),
            request: {
              ...(ruler === null ? {} : { ruler }),
              ...(options.ends === undefined ? {} : { ends: parseEnds(options.ends) }),
              ...(options.middle === undefined ? {} : { middle: parseMiddle(options.middle) }),
              ...(options.scanner === undefined ? {} : { scanner: await scannerOf(options.workshop, options.scanner) }),
              ...(options.edgeUm === undefined ? {} : { edge: parseEdge(options.edgeUm) }),
              ...(options.dpi === undefined ? {} : { dpi: parseDpi(options.dpi) }),
              ...(options.tone === undefined ? {} : { tone: parseTone(options.tone) }),
              ...(options.illumination === undefined ? {} : { illumination: parseIllumination(options.illumination) }),
              ...(options.sheet ? { expect: 'sheet' as const } : {}),
            },
            ...(await judgingCamera(options)),
          },
          room,
        );
        print(answer, options);
      } finally {
        room.close();
      }
    });

  program
    .command('picture')
    .description('what this hole draws: point image, contrast, detail and a photograph, in the light that the film sees')
    .option('--workshop <file>', 'workshop file in which the camera stands')
    .option('--camera <name>', 'name of the camera in the workshop file: its plate, film and frame')
    .option('--diameter-um <d>', 'diameter of a round hole, µm')
    .option('--ellipse-um <X,Y>', 'instead: an ellipse, widths along x and y, µm')
    .option('--outline <file>', 'instead: CSV of x,y in mm, seen from the film; blank lines between loops, clockwise loops take away')
    .option('--focal-mm <f>', 'focal length: from the hole to the film, mm')
    .option('--object-mm <u>', 'distance of the object, mm (infinity unless given)')
    .option('--wavelength-nm <w>', 'wavelength, nm, or several: 450,550,650 (550 unless given)')
    .option('--weights <w>', 'one weight for each wavelength')
    .option('--film <name>', 'instead: a film, or panchromatic, orthochromatic, blue-paper, variable-contrast-paper, green-xray')
    .option('--response <file>', 'instead: the colour response of your film, CSV of nm and relative sensitivity')
    .option('--source <s>', 'light on the film: daylight, sunlight, incandescent or tungsten (daylight unless given)')
    .option('--filter <f>', 'none, yellow, orange, red or green')
    .option('--radii-mm <r>', 'radii on the film, mm: 0,0.05,0.1')
    .option('--points-mm <p>', 'points on the film, mm: "x,y;x,y"')
    .option('--frequencies <n>', 'spatial frequencies on the film, cycles/mm: 1,2,4')
    .option('--frame <WxH>', 'image area, mm: says how large a print stays crisp')
    .option('--criterion <c>', 'what "best" means, as for camera')
    .option('--thickness-mm <t>', 'thickness of the plate at the hole, mm (that of the plate in the camera unless given)')
    .option('--debris <d>', 'what lies in the measured hole, and stray holes beside it: blown-out or left-in', 'blown-out')
    .option('--uncertainty-um <u>', 'standard uncertainty of the diameter, µm (that of the measured plate unless given)')
    .option('--film-plane <p>', 'flat, cylinder (bent about the hole) or can (along the wall, hole opposite); as the camera has it unless given')
    .option('--out <dir>', 'write figures (SVG, PNG), their numbers (CSV) and the photograph into this folder')
    .option('--photo <file>', 'photograph to draw, TIFF, PNG or JPEG (the demo garden unless given)')
    .option('--photo-angle-deg <a>', 'angle that the photograph covers from left to right (69 unless given)')
    .option('--photo-format <f>', 'png8, png16, tiff8 or tiff16', 'png8')
    .option('--columns <n>', 'width of the photograph drawn, pixels', '2000')
    .option('--tone <t>', 'positive or negative', 'positive')
    .option('--compare-um <d>', 'another diameter: what it costs in detail and gains in light')
    .option('--csv', 'a table for a spreadsheet')
    .option('--json', 'one JSON document')
    .action(async (options: PictureOptions & Output) => print(await pictureCommand(options), options));

  registerExposure(program, print);

  registerSheets(program, print);

  registerLog(program, print);

  program
    .command('open')
    .description('serve the web app on this machine and open it')
    .option('--port <n>', 'this port, or none; unless given the usual one, or a free one where that is taken')
    .option('--no-browser', 'print the address only')
    .action(async (options: { readonly port?: string; readonly browser: boolean }) => {
      await openCommand(options);
    });

  program
    .command('demo')
    .description('the main job on the demo workshop, here in the terminal')
    .option('--json', 'one JSON document')
    .action(async (options: Output) => {
      const room = nodePlateRoom();
      try {
        print(await demoCommand(room), options);
      } finally {
        room.close();
      }
    });
}
