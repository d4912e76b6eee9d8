/** `camerawright front` and its options. */
import type { Command } from 'commander';
import type { Output, Print } from './answer.ts';
import { frontCommand } from './front.ts';
import type { FrontOptions } from './front.ts';

export function registerFront(program: Command, print: Print): void {
  program
    .command('front')
    .description('what stands in the way of the view: which layer bites where, and how large each opening must be')
    .option('--stack <file>', 'frame, hole and layers as JSON')
    .option('--workshop <file>', 'instead: workshop file in which the camera stands')
    .option('--camera <name>', 'name of the camera in the workshop file')
    .option('--margin <m>', 'room to leave all round, mm, or like 1/64 in')
    .option('--cutters <list>', 'what the shop owns: metric, metric-tenths, inch, number, letter, forstner, forstner-inch, or sizes: "metric; 3/8 in"')
    .option('--move-hole <x,y>', 'what if: the hole moved, mm right and up, seen from the film side')
    .option('--thickness <layer=t>', 'what if: a layer made of other stuff, like "front plate=9"')
    .option('--map-png <file>', 'write the map as a picture')
    .option('--map-svg <file>', 'write the map as a drawing, contours in stops')
    .option('--map-csv <file>', 'write the map as a table')
    .option('--flat-field <file>', 'write a 32-bit float TIFF: divide a linear scan by it to undo the falloff')
    .option('--pixels <n>', 'pixels across of picture and flat field (1200 unless given)')
    .option('--from-front', 'maps seen from the front instead of the film side')
    .option('--upright', 'maps turned by half a turn, as the picture is held')
    .option('--csv', 'the points asked for as a table for a spreadsheet')
    .option('--json', 'one JSON document')
    .action(async (options: FrontOptions & Output) => print(await frontCommand(options), options));
}
