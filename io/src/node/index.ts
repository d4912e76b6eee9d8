/** Adapters for Node: what the command line may use of the world. */
export { openWorkshopFile, readWorkshopFile } from '../store/node.ts';
export type { WorkshopFileOptions } from '../store/node.ts';
export { newId } from '../store/id.ts';
