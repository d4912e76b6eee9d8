/** The options of `camerawright sheets`. What it does stands in a file of its own. */
import type { Command } from 'commander';
import { newId, nodeClock, nodeSaver, openWorkshopFile } from '#io/node';
import { version } from '../../package.json';
import type { Output, Print } from './answer.ts';
import { cameraOfWorkshop } from './camera-choice.ts';
import { sheetsCommand } from './sheets.ts';
import type { KeptCorrection, SheetsOptions } from './sheets.ts';

/** Appends a calibration to the printer's record; what is stored is printed over drawn length. */
async function keepCorrection({ workshop, printer, paper, stretch, printedWith, measuredMm }: KeptCorrection): Promise<void> {
  const store = await openWorkshopFile(workshop);
  try {
    const at = nodeClock.now();
    store.change('correction of a printer', (draft) => {
      let found = draft.printers.find(({ name }) => name.trim().toLowerCase() === printer.trim().toLowerCase());
      if (found === undefined) {
        found = { id: newId(), name: printer, createdAt: at, calibrations: [] };
        draft.printers.push(found);
      }
      found.calibrations.push({
        id: newId(),
        at,
        paper,
        xFactor: 1 / stretch.xFactor,
        yFactor: 1 / stretch.yFactor,
        readings: [
          { axis: 'x', drawnMm: 100 * printedWith.xFactor, printedMm: measuredMm[0] },
          { axis: 'y', drawnMm: 100 * printedWith.yFactor, printedMm: measuredMm[1] },
        ],
      });
    });
    await store.flush();
  } finally {
    await store.close();
  }
}

export function registerSheets(program: Command, print: Print): void {
  program
    .command('sheets')
    .description('paper for the bench and outlines for the cutter, at true size')
    .argument('[sheet]', 'which sheet (--list lists them), or all')
    .option('--workshop <file>', 'workshop file in which the camera stands')
    .option('--camera <name>', 'name of the camera in the workshop file')
    .option('--frame <WxH>', 'image area, width x height in mm, like 120x95')
    .option('--focal-mm <f>', 'focal length: from the hole to the film, mm')
    .option('--film-format <id>', 'a film or paper format instead of --frame')
    .option('--diameter-um <d>', 'diameter of the hole, µm (the best one unless given or measured)')
    .option('--shift <x,y>', 'hole off the middle of the frame, mm, seen from the film side')
    .option('--film-plane <p>', 'flat, cylinder (bent about the hole) or can (along the wall, hole opposite); as the camera has it unless given')
    .option('--film <name>', 'film or paper, for the times')
    .option('--iso <S>', 'film speed or exposure index, for the times')
    .option('--wood <t>', 'thickness of the boards by caliper, like 17.6 or 3/4 in')
    .option('--holder-depth <T>', 'holder depth, like 5.0 or 0.197 in')
    .option('--film-thickness <t>', 'thickness of film or paper')
    .option('--seat <s>', 'sharp edge of the hole in front of the inner face of the front board')
    .option('--joint <j>', 'butt, rebate or finger')
    .option('--kerf <k>', "width of the laser's cut")
    .option('--saw-kerf <k>', "width of the saw's cut, between parts on a board")
    .option('--boards <list>', 'boards you own, length x width x thickness: "2*600x300x6, 400x200x18"')
    .option('--back <b>', 'holder or roll-film')
    .option('--holder-width <w>', 'width of the holder, across the way it slides in')
    .option('--shutter <s>', 'slide, flap or pivot: which comes first')
    .option('--plate <p>', 'side of the square plate blank')
    .option('--tripod <t>', 'thread of the tripod nut: 1/4 or 3/8')
    .option('--spool-core <d>', "core of the take-up spool, for winding")
    .option('--roll-thickness <t>', 'film and backing paper together, for winding')
    .option('--contact <words>', "contact on the solargraph's label")
    .option('--from <date>', 'date on which the solargraph is hung')
    .option('--to <date>', 'date on which it is taken down')
    .option('--out <dir>', 'folder to write into (this one unless given)')
    .option('--format <f>', 'pdf, svg or dxf (pdf unless given)')
    .option('--paper <p>', 'a4 or letter (a4 unless given)')
    .option('--inches', 'lengths in inches')
    .option('--printer <name>', 'printer of the workshop file: its pages are stretched as it needs')
    .option('--bar-mm <x,y>', 'what the 100 mm check bars of a printed page measure, across and up; kept with --printer')
    .option('--date <d>', 'date on the pages (today unless given)')
    .option('--list', 'list the sheets')
    .option('--json', 'one JSON document: files and every length drawn, with page coordinates')
    .action(async (sheet: string | undefined, options: SheetsOptions & Output) => {
      const chosen = await cameraOfWorkshop(options);
      print(await sheetsCommand(sheet, options, chosen, { now: nodeClock.now(), version, saverFor: nodeSaver, keepCorrection }), options);
    });
}
