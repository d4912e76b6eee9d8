/** `camerawright front` and its options. */
import type { Command } from 'commander';
import type { Output, Print } from './answer.ts';
import { frontCommand } from './front.ts';
import { cameraOfWorkshop } from './camera-choice.ts';
import type { CameraOptions } from './camera-choice.ts';
import type { FrontOptions } from './front.ts';

export function registerFront(program: Command, print: Print): void {
  program
    .command('front')
    .description('what stands in the way of the view: which layer bites where, and how large each opening must be')
    .option('--stack <file>', 'frame, hole and layers as JSON')
    .option('--workshop <file>', 'instead: workshop file in which the camera stands')
    .option('--camera <name>', 'name of the camera in the workshop file')
    .option('--outline', 'with the measured outline of the hole in the workshop, not its round equivalent')
    .option('--margin <m>', 'room to leave all round, mm, or like 1/64 in')
    .option('--cutters <list>', 'what the shop owns: metric, metric-tenths, inch, number, letter, forstner, forstner-inch, or sizes: "metric; 3/8 in"')
    .option('--edge-mm <t>', 'thickness of the plate at the hole, mm (that of the plate in the camera unless given)')
    .option('--sheet-mm <t>', 'of the whole sheet, where its edge was thinned: counts with --slope-deg')
    .option('--slope-deg <a>', 'slope of the dimple or countersink against the axis')
    .option('--sharp-edge <side>', 'where the sharp edge looks: film or scene')
    .option('--move-hole <x,y>', 'what if: the hole moved, mm right and up, seen from the film side')
    .option('--thickness <layer=t>', 'what if: a layer made of other stuff, like "front plate=9"')
    .option('--tolerances', 'what the tolerances of the layers do: worst case, root-sum-square, chance')
    .option('--seed <n>', 'seed of the chance (1 unless given)')
    .option('--trials <n>', 'builds tried (10000 unless given)')
    .option('--gauge', 'gauges of the clear view')
    .option('--plate-loss [stops]', 'how thick the plate may be for this loss in the corner')
    .option('--seat [sizes]', 'seat of the plate: "opening=10 plate=0.1", further glue, land, clearance, below, board')
    .option('--slide [sizes]', 'sliding shutter: "opening=10 clear=6 thickness=2", further opening-across, clear-across, play, overlap, not-home, grip, proud')
    .option('--flap [sizes]', 'swinging flap: "opening=10 clear=12 pivot=30", further overlap')
    .option('--lever [sizes]', 'pivot lever: as --flap')
    .option('--holes <x,y;…>', 'several holes in the board, or "kept" for those of the camera: overlap of their images and frames, septa between rows and columns')
    .option('--finder [sizes]', 'view lines, pins and wire frame: "eye=150 up=60 right=0 object=2000 width=150 height=130 behind=10"')
    .addHelpText('after', '\nSizes of a part that are not said are those kept with the camera in the workshop, else as the view needs and as is usual.')
    .option('--map-png <file>', 'write the map as a picture')
    .option('--map-svg <file>', 'write the map as a drawing, contours in stops')
    .option('--map-csv <file>', 'write the map as a table')
    .option('--flat-field <file>', 'write a 32-bit float TIFF: divide a linear scan by it to undo the falloff')
    .option('--map-cause <cause>', 'what the maps show: all, falloff (distance and slant), plate, layers, or each (one file for each)')
    .option('--pixels <n>', 'pixels across of picture and flat field (1200 unless given)')
    .option('--from-front', 'maps seen from the front instead of the film side')
    .option('--upright', 'maps turned by half a turn, as the picture is held')
    .option('--csv', 'the points asked for as a table for a spreadsheet')
    .option('--json', 'one JSON document')
    .action(async (options: FrontOptions & CameraOptions & Output) => {
      print(await frontCommand(options, options.stack === undefined ? await cameraOfWorkshop(options) : null), options);
    });
}
