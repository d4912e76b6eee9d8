/** Adapters for Node: what the command line may use of the world. */
import { directPlateRoom } from '../plate-room.ts';
import type { PlateRoom } from '../ports.ts';
import { nodeImageSource } from './image-source.ts';

export { openWorkshopFile, readWorkshopFile } from '../store/node.ts';
export type { WorkshopFileOptions } from '../store/node.ts';
export { endingOf, packWorkshop, scansOf, unpackWorkshop } from '../archive/workshop-zip.ts';
export type { KeptScan, UnpackedWorkshop } from '../archive/workshop-zip.ts';
export { newId } from '../store/id.ts';
export { systemClock as nodeClock } from '../system-clock.ts';
export { instantOfIso, timeZone } from '../time-zone.ts';
export type { TimeZone } from '../time-zone.ts';
export { scanPatches } from '../scan-patches.ts';
export { nodeImageSource, sha256Hex } from './image-source.ts';
export { nodeSaver } from './saver.ts';
export { openPhotograph } from './photograph.ts';
export { greyFile } from '../encoding/grey-file.ts';
export type { GreyFormat } from '../encoding/grey-file.ts';
export type { Letters } from './svg-png.ts';

/** The letters of the house and PNG from drawings; loaded when a figure is written as PNG. */
export const loadSvgPng = () => import('./svg-png.ts');
export { DEFAULT_PORT, openInBrowser, serve } from './serve/index.ts';
export type { ServeOptions, Serving } from './serve/index.ts';

/** The plate room in this process. */
export function nodePlateRoom(): PlateRoom {
  return directPlateRoom(nodeImageSource());
}
