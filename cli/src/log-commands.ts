/** The options of `camerawright log`. */
import type { Command } from 'commander';
import type { Output as Printed, Print } from './answer.ts';
import { exportCommand, importCommand } from './log-exchange.ts';
import type { ExportOptions, ImportOptions } from './log-exchange.ts';
import { addCommand, bringBackCommand, giveCommand, judgeCommand, putAwayCommand } from './log-entry.ts';
import type { AddOptions, JudgeOptions } from './log-entry.ts';
import { checkCommand, compareCommand, growthCommand, listCommand, migrateCommand, parseKind } from './log.ts';
import type { ListOptions } from './log.ts';


interface Output extends Printed {
  readonly workshop?: string;
}

const WORKSHOP = ['--workshop <file>', 'workshop file (the only one in this folder unless given)'] as const;

export function registerLog(program: Command, print: Print): void {
  const log = program.command('log').description('cameras, plates and exposures of a workshop file: write down, find, compare, check, carry elsewhere');

  log
    .command('list')
    .argument('[what]', 'exposures, cameras, plates, films, holders, sheets, scanners, printers or trash', 'exposures')
    .description('what is in the workshop; exposures newest first')
    .option(...WORKSHOP)
    .option('--text <words>', 'exposures with all these words')
    .option('--camera <name>', 'exposures with this camera')
    .option('--film <name>', 'exposures on this film')
    .option('--stage <s>', 'planned, given or judged')
    .option('--verdict <v>', 'too light, right, too dark or lost')
    .option('--from <day>', 'from this day on, 2026-05-01')
    .option('--to <day>', 'up to this day')
    .option('--csv', 'exposures as a table for a spreadsheet')
    .option('--json', 'one JSON document')
    .action(async (what: string, options: ListOptions & Output) => print(await listCommand(parseKind(what), options), options));

  log
    .command('add')
    .argument('<what>', 'exposure, camera, plate, holder, sheet, scanner or printer')
    .description('write one record into the workshop')
    .option(...WORKSHOP)
    .option('--name <name>', 'name of it; number of a holder or sheet')
    .option('--camera <name>', 'camera of an exposure: its plate, hole and film come with it')
    .option('--film <name>', 'film of an exposure or sheet')
    .option('--ev <ev>', 'light of an exposure, EV at ISO 100')
    .option('--planned-s <t>', 'seconds planned')
    .option('--given-s <t>', 'seconds given')
    .option('--sheet <number>', 'sheet of an exposure')
    .option('--holder <name>', 'holder of a sheet')
    .option('--side <s>', 'side of the holder')
    .option('--weather <words>', 'weather')
    .option('--place <words>', 'place, if wanted')
    .option('--notes <words>', 'notes')
    .option('--depth-mm <d>', 'depth of a holder, read at one or more places: 5.02,4.99,5.01')
    .option('--gauge-step-mm <s>', 'step of the gauge')
    .option('--drawn-mm <l>', 'length of a check bar as drawn (100 unless given)')
    .option('--printed-x-mm <l>', 'the bar across the paper as it came out of the printer')
    .option('--printed-y-mm <l>', 'the bar along the paper as it came out')
    .option('--dpi <n>', 'true resolution of a scanner, N or X,Y')
    .option('--json', 'one JSON document')
    .action(async (what: string, options: AddOptions & Output) => print(await addCommand(what, options), options));

  log
    .command('give')
    .argument('<exposure>', 'id of a planned exposure, or its end as the list shows it')
    .description('an exposure was given: as planned, unless --time-s says otherwise')
    .option(...WORKSHOP)
    .option('--time-s <t>', 'seconds given')
    .option('--json', 'one JSON document')
    .action(async (exposure: string, options: Output & { readonly timeS?: string }) => print(await giveCommand(exposure, options), options));

  log
    .command('judge')
    .argument('<exposure>', 'id of an exposure, or its end as the list shows it')
    .description('what came of an exposure; the learning of films reads it')
    .option(...WORKSHOP)
    .option('--verdict <v>', 'too light, right, too dark or lost')
    .option('--off-stops <s>', 'stops it got beyond what was right; negative: too few')
    .option('--density <d>', 'densities read on the negative: 0.15,0.92; above fog and with the stops of each subject from the metered light a film is learnt from them: -1:0.35,0:0.52')
    .option('--notes <words>', 'notes')
    .option('--json', 'one JSON document')
    .action(async (exposure: string, options: JudgeOptions & Output) => print(await judgeCommand(exposure, options), options));

  log
    .command('compare')
    .argument('<what>', 'exposures, cameras or plates')
    .argument('<first>')
    .argument('<second>')
    .description('two records side by side, and what changed from one to the other')
    .option(...WORKSHOP)
    .option('--json', 'one JSON document')
    .action(async (what: string, first: string, second: string, options: Output) => print(await compareCommand(what, first, second, options.workshop), options));

  log
    .command('growth')
    .argument('<plate>')
    .description('how a hole grew from pass to pass, its roundness and burr, with the doubt of each step')
    .option(...WORKSHOP)
    .option('--json', 'one JSON document')
    .action(async (plate: string, options: Output) => print(await growthCommand(plate, options.workshop), options));

  log
    .command('put-away')
    .argument('<what>', 'list: exposures, cameras, plates, films, holders, sheets, scanners or printers')
    .argument('<name>', 'name, or id')
    .description('put a record into the trash')
    .option(...WORKSHOP)
    .option('--json', 'one JSON document')
    .action(async (what: string, name: string, options: Output) => print(await putAwayCommand(what, name, options.workshop), options));

  log
    .command('bring-back')
    .argument('<name>', 'what was put away: name, or id as the list of the trash shows it')
    .description('take a record out of the trash')
    .option(...WORKSHOP)
    .option('--json', 'one JSON document')
    .action(async (name: string, options: Output) => print(await bringBackCommand(name, options.workshop), options));

  log
    .command('check')
    .argument('[file]', 'workshop file, JSON or zip')
    .description('whether a workshop file can be read and hangs together')
    .option(...WORKSHOP)
    .option('--json', 'one JSON document')
    .action(async (file: string | undefined, options: Output) => print(await checkCommand(file ?? options.workshop), options));

  log
    .command('export')
    .argument('[file]', 'workshop file')
    .description('the workshop as one document, its exposures as a table, or a zip with the scans')
    .option(...WORKSHOP)
    .option('--out <file>', 'write here: .json, .csv, or .workshop.zip with --scans')
    .option('--scans <folder>', 'put in the scans that are found in this folder')
    .option('--csv', 'the exposures as a table for a spreadsheet')
    .option('--json', 'the workshop document')
    .action(async (file: string | undefined, options: ExportOptions & Output) => print(await exportCommand(file, options), options));

  log
    .command('import')
    .argument('<file>', 'a table of exposures (.csv), another workshop (.json), or a zip with scans')
    .description('take records into a workshop; what is there is never written over')
    .option(...WORKSHOP)
    .option('--scans <folder>', 'where the scans of a zip go')
    .option('--json', 'one JSON document')
    .action(async (file: string, options: ImportOptions & Output) => print(await importCommand(file, options), options));

  log
    .command('migrate')
    .argument('[file]', 'workshop file')
    .description('bring a file to today’s version; the one before stays beside it, ending in .bak')
    .option(...WORKSHOP)
    .option('--json', 'one JSON document')
    .action(async (file: string | undefined, options: Output) => print(await migrateCommand(file ?? options.workshop), options));
}
