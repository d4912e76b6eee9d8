/** Adapters that keep nothing, for tests and for places where nothing can be kept. */
export { memoryStore } from '../store/memory.ts';
export { newId } from '../store/id.ts';
export { memoryClock } from './clock.ts';
export { memoryImageSource } from './image-source.ts';
export type { MemoryScan } from './image-source.ts';
export { memorySaver } from './saver.ts';
export type { SavedFile } from './saver.ts';
